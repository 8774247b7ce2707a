"""Where no design does: how large a reading of the site would have to be for one that does."""

from collections.abc import Iterator
from dataclasses import replace

from ruleset.explain import Amount
from ruleset.quantity import show

from ..facts import Given, as_checked
from ..verdict import Verdict, judge
from .best import Reaching
from .effort import TooMany
from .follow import followers
from .levers import SiteReadings
from .options import grid_of, grid_values
from .result import Site
from .trial import Trial

MOST_SCANNED = 128  # steps of a reading that are gone through one by one
FEW_NODES = 600  # nodes for one size of the reading


class Thought:
    """A search over a reading of the site that nobody may change, to say what would do."""

    def __init__(self, reaching: Reaching, site: SiteReadings, target: int) -> None:
        """Take what is tried.

        Args:
            reaching: The search that found no cure, and what changes are tried with.
            site: The readings that are tried larger.
            target: Place of the case.
        """
        self.reaching = reaching
        self.solver = reaching.solver
        self.trying = reaching.trying
        self.tried = site
        self.target = target
        self.exact = True
        self.verdict = self.trying.verdict
        self.more = followers(self.verdict, site.follows)
        grid = grid_of(self.verdict)
        self.extra = [one for one in grid_values(0.0, site.reach, grid) if one > 0.0]

    def matters(self) -> bool:
        """Return whether the largest reading lets the target's margin grow by what is worth it."""
        reaching = self.reaching
        solver = self.solver.over(self._larger(self.extra[-1]), FEW_NODES)
        now = reaching.most(self.solver, self.target)
        return reaching.most(solver, self.target) > now + reaching.worth(self.target)

    def site(self) -> Site | None:
        """Return the least reading that would do; None where none was found."""
        last = next((at for at in self._doublings() if self._does(at) is not None), None)
        if last is None:
            return None
        proved = last <= MOST_SCANNED
        first = 0 if proved else last // 2
        for at in range(first, last + 1):
            trial = self._does(at)
            if trial is not None:
                return self._told(trial, at, proved=proved and self.exact)
        return None

    def _doublings(self) -> Iterator[int]:
        at = 1
        while at <= len(self.extra):
            yield at - 1
            at *= 2

    def _does(self, at: int) -> Trial | None:
        """Return the design with which a larger reading would do, judged in thought."""
        self.solver.effort.tick()
        trying = replace(self.trying, verdict=self._larger(self.extra[at]), trials={})
        solver = self.solver.over(trying.verdict, FEW_NODES)
        targets = frozenset((self.target,))
        chosen, allowed = solver.present, solver.curing(targets)
        if not solver.settled(chosen, allowed):
            return None
        try:
            point = solver.point(chosen, targets, solver.dearest)
        except TooMany:
            self.exact = False
            return None
        if point is None:
            return None
        trial = trying.trial(solver.solution(chosen, point, proved=True), targets)
        outcomes = trial.verdict.run.outcomes
        clean = all(code in kept for code, kept in zip(outcomes, allowed, strict=True))
        return trial if clean else None

    def _larger(self, extra: float) -> Verdict:
        trying, job = self.trying, self.verdict.job
        values = as_checked(job.values)
        for fact in self.tried.facts:
            values[fact] = self._given(fact, self.verdict.facts[fact] + extra)
        verdict = judge(replace(job, values=values), trying.rules, codes=trying.codes)
        repeats = (*self.more, *(one for one in trying.followers if one.agreed))
        for one in repeats:
            values[one.fact] = self._given(one.fact, verdict.answer(one.source).value)
        return judge(replace(job, values=values), trying.rules, codes=trying.codes)

    def _given(self, fact: str, value: float) -> Given:
        return replace(self.verdict.job.values[fact], value=value, tolerance=None)

    def _told(self, trial: Trial, at: int, *, proved: bool) -> Site:
        have = self.verdict.facts[self.tried.told]
        return Site(
            means=self.tried.means,
            fact=self.tried.told,
            have=self._amount(have),
            need=self._amount(have + self.extra[at]),
            changes=trial.changes,
            proved=proved,
        )

    def _amount(self, value: float) -> Amount:
        kind = self.verdict.plan.leaves[self.tried.told].kind
        if kind is None:
            raise TypeError(self.tried.told)
        text = show(value, kind, self.verdict.job.style).text
        return Amount(value=value, kind=kind, text=text)
