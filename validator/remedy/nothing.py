"""Where there is no remedy: the proof, clauses that exclude each other, what would do instead."""

import itertools
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from ruleset.explain import Amount
from ruleset.plan import Case
from ruleset.program import UNKNOWN
from ruleset.quantity import show

from ..facts import Given
from ..verdict import Verdict, judge
from .demand import ANY, Solution
from .follow import followers
from .ground import Ground
from .levers import Levers, SiteForm
from .options import Lever, grid_of, grid_values
from .result import Best, Clash, Nothing, Site, Tried
from .search import HAIR, OutOfTime, Search, Task, TooMany
from .solve import Solver
from .stock import HANDLE
from .trial import Bench, Trial

MOST_NODES = 300  # nodes for the best value; it is told as the best found where they run out
FEW_NODES, MOST_SETS = 300, 12  # nodes for one set of clauses that may clash, and sets tried
MOST_CLASH = 5  # clauses in one set; more than that tells a person nothing
MOST_SCANNED = 128  # steps of a reading that are gone through one by one
Allowed = tuple[frozenset[int], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Why:
    """Explains why some cases have no remedy.

    Attributes:
        solver: The search that found none.
        bench: For what is shown.
        levers: The sheet of levers.
    """

    solver: Solver
    bench: Bench
    levers: Levers

    def advice(self, do: str) -> Nothing:
        """Return why no design cures a case that depends on none."""
        return Nothing(proved=True, design=False, do=do)

    def nothing(
        self, targets: frozenset[int], do: str, *, proved: bool, late: bool = False
    ) -> Nothing:
        """Return why cases that depend on the design have no remedy.

        Args:
            targets: Places of the cases.
            do: What to do instead.
            proved: Whether the search came to its end.
            late: Whether it was for want of time that it did not.
        """
        tried = self._tried(targets)
        if all(one.name in self._swaps() for one in tried):
            return self.advice(do)
        missing = self._missing(targets)
        if missing:
            return Nothing(proved=False, design=True, tried=tried, missing=missing, do=do)
        found = Nothing(
            proved=proved,
            design=True,
            tried=tried,
            grid=self._grid(),
            do=do,
            late=late,
            unfit=self.solver.board.unfit if self._asks_handle(targets) else (),
        )
        try:
            if proved:
                found = replace(found, clash=self._clash(targets))
            if len(targets) == 1:
                (target,) = targets
                found = replace(found, best=self._best(target))
                found = replace(found, site=self._site(target))
        except OutOfTime:
            pass
        return found

    def _asks_handle(self, targets: Iterable[int]) -> bool:
        cones = (self.bench.verdict.cone(self._case(at)) for at in targets)
        return any(name.startswith(f"{HANDLE}.") for cone in cones for name in cone)

    def _missing(self, targets: Iterable[int]) -> tuple[str, ...]:
        """Return what would have to be known before any design can be told to cure, in words."""
        verdict = self.bench.verdict
        names = dict.fromkeys(
            name
            for at in sorted(targets)
            if verdict.run.outcomes[at] == UNKNOWN
            for name in verdict.missing(self._case(at))
        )
        leaves = verdict.plan.leaves
        return tuple(leaves[name].fact.means for name in names if name in leaves)

    def _swaps(self) -> set[str]:
        return {one.name for one in self.levers.levers if one.swap}

    def _grid(self) -> str:
        style = self.bench.verdict.job.style
        kind = self.bench.verdict.library.facts["job.grid"].kind
        return show(float(grid_of(self.bench.verdict)), kind, style).text if kind else ""

    def _tried(self, targets: Iterable[int]) -> tuple[Tried, ...]:
        used = self._used(targets)
        board = self.solver.board
        return tuple(
            Tried(name=lever.name, means=lever.means, text=self._range(lever))
            for lever in (*board.narrow, *board.wide)
            if lever.name in used
        )

    def _used(self, targets: Iterable[int]) -> set[str]:
        """Return the levers that the cases depend on, and those that what they break does."""
        facts = {name for at in targets for name in self.bench.verdict.cone(self._case(at))}
        board = self.solver.board
        return {
            lever.name
            for lever in (*board.narrow, *board.wide)
            if facts & set(lever.columns) or not lever.columns
        }

    def _case(self, at: int) -> Case:
        return self.bench.verdict.plan.cases[at]

    def _range(self, lever: Lever) -> str:
        if lever.labels:
            return ", ".join(label for label in lever.labels if label) or "its other place"
        style = self.bench.verdict.job.style
        (fact, column), *_ = lever.columns.items()
        kind = self.bench.verdict.plan.leaves[fact].kind
        if kind is None:
            return ""
        return f"{show(column[0], kind, style).text} to {show(column[-1], kind, style).text}"

    def _clash(self, targets: frozenset[int]) -> tuple[Clash, ...]:
        """Return a smallest set of clauses that no design with this kit holds together."""
        solver = self.solver
        ground = solver.present
        allowed = solver.curing(targets)
        broken = [at for at, code in ground.settled.items() if code not in allowed[at]]
        if broken:
            return tuple(self._named(at) for at in broken[:1])
        core = self._smallest(ground, targets, allowed)
        if core is None:
            core = self._thinned(ground, targets, allowed)
        return tuple(self._named(at) for at in sorted(core, key=lambda at: at not in targets))

    def _smallest(
        self, ground: Ground, targets: frozenset[int], allowed: Allowed
    ) -> frozenset[int] | None:
        """Return a smallest set of cases that allow no point, None where few looks tell.

        A set that hits all that each point so far breaks is asked for another point, until there
        is none.
        """
        sets: list[frozenset[int]] = []
        core = frozenset(targets)
        for _ in range(MOST_SETS):
            try:
                point = self._least(ground, core, allowed)
            except TooMany:
                return None
            if point is None:
                return core
            sets.append(frozenset(self.solver.broken(ground, point, allowed)))
            hit = _smallest_hit(sets)
            if not sets[-1] or hit is None:
                return None
            core = frozenset(targets) | hit
        return None

    def _thinned(self, ground: Ground, targets: frozenset[int], allowed: Allowed) -> frozenset[int]:
        """Return a set of cases that allow no point, of which none can be left out; or none."""
        if self.solver.point(ground, targets, self.solver.dearest) is not None:
            return frozenset()
        core = self.solver.core
        for at in sorted(core - targets):
            try:
                if self._least(ground, core - {at}, allowed) is None:
                    core -= {at}
            except TooMany:
                continue
        return core

    def _least(
        self, ground: Ground, core: frozenset[int], allowed: Allowed
    ) -> tuple[int, ...] | None:
        bounds = self.solver.bounds(self.solver.dearest)
        task = Task(ground=ground, cases=tuple(sorted(core)), allowed=allowed, bounds=bounds)
        return Search(task=task, clock=self.solver.clock).least(FEW_NODES)

    def _named(self, at: int) -> Clash:
        case = self._case(at)
        return Clash(clause=case.clause.name, subject=case.subject, title=case.clause.title)

    def _best(self, target: int) -> Best | None:
        """Return the best value the clause reaches with this kit, all else holding."""
        solver, ground = self.solver, self.solver.present
        if target in ground.settled or math.isnan(self._margin(ground, target)):
            return None
        present = self._margin(ground, target)
        if self.most(solver, target) <= present + self.worth(target):
            return None
        allowed = list(solver.allowed)
        allowed[target] = ANY
        active = {target, *(at for at in solver.guards if at not in ground.settled)}
        while True:
            task = Task(
                ground=ground,
                cases=tuple(sorted(active)),
                allowed=allowed,
                bounds=solver.bounds(solver.dearest),
                cured=frozenset((target,)),
            )
            found = Search(task=task, clock=solver.clock).greatest(target, MOST_NODES)
            if found is None:
                return None
            broken = solver.broken(ground, found[0], allowed) - active
            if not broken:
                break
            active |= broken
        if found[1] <= present + HAIR:
            return None
        trial = self.bench.trial(self.solution(found[0]))
        told = trial.verdict.teller().tell(trial.verdict.plan.cases[target])
        if told.actual is None or told.limit is None:
            return None
        return Best(actual=told.actual, limit=told.limit, changes=trial.changes, proved=found[2])

    def worth(self, target: int) -> float:
        """Return how much more of a margin is worth telling: a step of the grid, for a length."""
        case = self._case(target)
        told = self.bench.verdict.teller().tell(case)
        is_length = told.margin is not None and told.margin.kind.name == "length"
        return float(grid_of(self.bench.verdict)) if is_length else HAIR

    def most(self, solver: Solver, target: int) -> float:
        """Return what the target's margin surely does not exceed over one ground."""
        ground = solver.present
        if target in ground.settled:
            return -math.inf
        allowed = list(solver.allowed)
        allowed[target] = ANY
        guards = (at for at in solver.guards if at not in ground.settled)
        task = Task(
            ground=ground,
            cases=tuple(sorted({target, *guards})),
            allowed=allowed,
            bounds=solver.bounds(solver.dearest),
        )
        return Search(task=task, clock=solver.clock).most(target)

    def _margin(self, ground: Ground, target: int) -> float:
        node = tuple((lever.at, lever.at) for lever in self.solver.board.narrow)
        return ground.cell(target).said(node).low

    def solution(self, point: tuple[int, ...]) -> Solution:
        return self.solver.solution(self.solver.present, point, proved=True)

    def _site(self, target: int) -> Site | None:
        """Return the least reading of the site with which this kit has a remedy."""
        cone = set(self.bench.verdict.cone(self._case(target)))
        for form in self.levers.site:
            if form.told in cone and all(
                one in self.bench.verdict.job.values for one in form.facts
            ):
                thought = _Thought(self, form, target)
                if thought.matters():
                    return thought.site()
        return None


def _smallest_hit(sets: list[frozenset[int]]) -> frozenset[int] | None:
    """Return a smallest set with a member of each set, None where none is small.

    Example:
        >>> sorted(_smallest_hit([frozenset((1, 2)), frozenset((2, 3))]))
        [2]
    """
    members = sorted({one for group in sets for one in group})
    for size in range(1, MOST_CLASH):
        for hit in itertools.combinations(members, size):
            chosen = frozenset(hit)
            if all(chosen & group for group in sets):
                return chosen
    return None


class _Thought:
    """A search over a reading of the site that nobody may change, to say what would do."""

    def __init__(self, why: Why, form: SiteForm, target: int) -> None:
        self.why = why
        self.form = form
        self.target = target
        self.verdict = why.bench.verdict
        self.more = followers(self.verdict, form.follows)
        grid = grid_of(self.verdict)
        self.extra = [one for one in grid_values(0.0, form.reach, grid) if one > 0.0]

    def matters(self) -> bool:
        """Return whether the largest reading lets the target's margin grow by what is worth it."""
        why = self.why
        verdict = self._larger(self.extra[-1])
        solver = replace(why.solver, verdict=verdict, grounds={}, found={}, met={}, solved={})
        now = why.most(why.solver, self.target)
        return why.most(solver, self.target) > now + why.worth(self.target)

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
                return self._told(trial, at, proved=proved)
        return None

    def _doublings(self) -> Iterator[int]:
        at = 1
        while at <= len(self.extra):
            yield at - 1
            at *= 2

    def _does(self, at: int) -> Trial | None:
        """Return the design with which a larger reading would do, judged in thought."""
        self.why.solver.clock.tick()
        bench = replace(self.why.bench, verdict=self._larger(self.extra[at]), trials={})
        solver = replace(
            self.why.solver, verdict=bench.verdict, grounds={}, found={}, met={}, solved={}
        )
        targets = frozenset((self.target,))
        ground, allowed = solver.present, solver.curing(targets)
        if not solver.settled(ground, allowed):
            return None
        try:
            point = solver.point(ground, targets, solver.dearest)
        except TooMany:
            return None
        if point is None:
            return None
        trial = bench.trial(solver.solution(ground, point, proved=True), targets)
        outcomes = trial.verdict.run.outcomes
        clean = all(code in kept for code, kept in zip(outcomes, allowed, strict=True))
        return trial if clean else None

    def _larger(self, extra: float) -> Verdict:
        bench, job = self.why.bench, self.verdict.job
        values = dict(job.values)
        for fact in self.form.facts:
            values[fact] = self._given(fact, self.verdict.facts[fact] + extra)
        verdict = judge(replace(job, values=values), bench.rules, codes=bench.codes)
        repeats = (*self.more, *(one for one in bench.followers if one.agreed))
        for one in repeats:
            values[one.fact] = self._given(one.fact, verdict.answer(one.source).value)
        return judge(replace(job, values=values), bench.rules, codes=bench.codes)

    def _given(self, fact: str, value: float) -> Given:
        return replace(self.verdict.job.values[fact], value=value, tolerance=None)

    def _told(self, trial: Trial, at: int, *, proved: bool) -> Site:
        have = self.verdict.facts[self.form.told]
        return Site(
            means=self.form.means,
            fact=self.form.told,
            have=self._amount(have),
            need=self._amount(have + self.extra[at]),
            changes=trial.changes,
            proved=proved,
        )

    def _amount(self, value: float) -> Amount:
        kind = self.verdict.plan.leaves[self.form.told].kind
        if kind is None:
            raise TypeError(self.form.told)
        text = show(value, kind, self.verdict.job.style).text
        return Amount(value=value, kind=kind, text=text)
