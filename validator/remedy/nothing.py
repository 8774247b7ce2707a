"""Where there is no remedy: the proof, clauses that exclude each other, what would do instead."""

import itertools
import math
from collections.abc import Collection, Iterable
from dataclasses import dataclass, replace

from ruleset.plan import Case
from ruleset.program import UNKNOWN
from ruleset.quantity import show
from ruleset.turns import HAND

from .best import Reaching
from .effort import ENDED, TooMany
from .levers import Levers
from .options import Lever, grid_of
from .result import Clash, Nothing, Site, Tried
from .search import Search, Task
from .solve import Solver
from .thought import Thought
from .trial import Trying
from .turned import Turned
from .wide_choice import WideChoice

FEW_NODES, MOST_SETS = 300, 12  # nodes for one set of clauses that may clash, and sets tried
MOST_CLASH = 5  # clauses in one set; more than that tells a person nothing
MOST_LABELS = 8  # options of a lever that are told by name
Allowed = tuple[frozenset[int], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Why:
    """Explains why some cases have no remedy.

    Attributes:
        solver: The search that found none.
        trying: For what is shown.
        levers: The sheet of levers.
        turned: What another hand asks of the job.
    """

    solver: Solver
    trying: Trying
    levers: Levers
    turned: Turned

    def advice(self, do: str) -> Nothing:
        """Return why no design cures a case that depends on none."""
        return Nothing(proved=True, design=False, do=do)

    def too_tight(self, targets: frozenset[int], do: str, *, proved: bool) -> Nothing:
        """Return that nothing was found that holds within tolerance."""
        return replace(self._bare(targets, do), proved=proved, late=not proved, tight=True)

    def _bare(self, targets: frozenset[int], do: str) -> Nothing:
        used, levers = self._used(targets), self.solver.levers
        every = (*levers.narrow, *levers.wide)
        return Nothing(
            proved=False,
            design=True,
            tried=tuple(
                Tried(name=one.name, means=one.means, text=self._range(one))
                for one in every
                if one.name in used
            ),
            besides=tuple(one.means for one in every if one.name not in used),
            held=levers.held,
            grid=self._grid(),
            do=do,
        )

    def nothing(
        self, targets: frozenset[int], do: str, *, proved: bool, late: bool = False
    ) -> Nothing:
        """Return why cases that depend on the design have no remedy.

        Args:
            targets: Places of the cases.
            do: What to do instead.
            proved: Whether the search came to its end.
            late: Whether it was for the work it takes that it did not.
        """
        missing = self.missing(targets)
        if missing:
            return Nothing(proved=False, design=True, missing=missing, do=do)
        found = self._bare(targets, do)
        hand = {one.name for one in self.levers.levers if one.fact == HAND}
        if all(one.name in hand for one in found.tried):
            return self.advice(do)
        found = replace(found, proved=proved, late=late)
        try:
            if proved:
                found = replace(found, clash=self._clash(targets))
            if len(targets) == 1:
                (target,) = targets
                reaching = Reaching(solver=self.solver, trying=self.trying)
                found = replace(found, best=reaching.best(target))
                found = replace(found, site=self._site(reaching, target))
        except ENDED:
            self.solver.effort.ended = True
        return found

    def missing(self, targets: Iterable[int]) -> tuple[str, ...]:
        """Return what would have to be known before any design can be told to cure, in words.

        That is what keeps a case from being decided, and what could be changed had it been chosen.
        """
        verdict = self.trying.verdict
        chosen = {one.fact for one in self.levers.levers if one.fact}
        names: dict[str, None] = {}
        for at in sorted(targets):
            case = self._case(at)
            if verdict.run.outcomes[at] == UNKNOWN:
                names |= dict.fromkeys(verdict.missing(case))
            cone = verdict.cone(case)
            names |= dict.fromkeys(
                one for one in cone if one in chosen and math.isnan(verdict.facts[one])
            )
        leaves = verdict.plan.leaves
        return tuple(leaves[name].fact.means for name in names if name in leaves)

    def _site(self, reaching: Reaching, target: int) -> Site | None:
        """Return the least reading of the site with which this kit has a remedy."""
        cone = set(self.trying.verdict.cone(self._case(target)))
        for site in self.levers.site:
            if site.told in cone and all(
                one in self.trying.verdict.job.values for one in site.facts
            ):
                thought = Thought(reaching, site, target)
                if thought.matters():
                    return thought.site()
        return None

    def _grid(self) -> str:
        style = self.trying.verdict.job.style
        kind = self.trying.verdict.library.facts["job.grid"].kind
        return show(float(grid_of(self.trying.verdict)), kind, style).text if kind else ""

    def _used(self, targets: Collection[int]) -> set[str]:
        """Return the levers that the cases depend on, and those that what they break does."""
        facts = {name for at in targets for name in self.trying.verdict.cone(self._case(at))}
        facts |= {HAND} if not self.turned.cases.isdisjoint(targets) else set()
        levers = self.solver.levers
        return {
            lever.name
            for lever in (*levers.narrow, *levers.wide)
            if facts & set(lever.columns) or not lever.columns
        }

    def _case(self, at: int) -> Case:
        return self.trying.verdict.plan.cases[at]

    def _range(self, lever: Lever) -> str:
        labels = [label for label in lever.labels if label]
        if len(labels) > MOST_LABELS:
            return f"{len(labels)} others"
        if lever.labels:
            return ", ".join(labels) or "its other place"
        style = self.trying.verdict.job.style
        (fact, column), *_ = lever.columns.items()
        kind = self.trying.verdict.plan.leaves[fact].kind
        if kind is None:
            return ""
        return f"{show(column[0], kind, style).text} to {show(column[-1], kind, style).text}"

    def _clash(self, targets: frozenset[int]) -> tuple[Clash, ...]:
        """Return a smallest set of clauses that no design within reach holds together."""
        solver = self.solver
        chosen = solver.present
        allowed = solver.curing(targets)
        broken = [at for at, code in chosen.settled.items() if code not in allowed[at]]
        if broken:
            return tuple(self._named(at) for at in broken[:1])
        core = self._smallest(chosen, targets, allowed)
        if core is None:
            core = self._thinned(chosen, targets, allowed)
        return tuple(self._named(at) for at in sorted(core, key=lambda at: at not in targets))

    def _smallest(
        self, chosen: WideChoice, targets: frozenset[int], allowed: Allowed
    ) -> frozenset[int] | None:
        """Return a smallest set of cases that allow no point, None where few looks tell.

        A set that hits all that each point so far breaks is asked for another point, until there
        is none.
        """
        sets: list[frozenset[int]] = []
        core = frozenset(targets)
        for _ in range(MOST_SETS):
            try:
                point = self._least(chosen, core, allowed)
            except TooMany:
                return None
            if point is None:
                return core
            sets.append(frozenset(self.solver.broken(chosen, point, allowed)))
            hit = _smallest_hit(sets)
            if not sets[-1] or hit is None:
                return None
            core = frozenset(targets) | hit
        return None

    def _thinned(
        self, chosen: WideChoice, targets: frozenset[int], allowed: Allowed
    ) -> frozenset[int]:
        """Return a set of cases that allow no point, of which none can be left out; or none."""
        try:
            if self.solver.point(chosen, targets, self.solver.dearest) is not None:
                return frozenset()
        except TooMany:
            return frozenset()
        # A corner of the tolerances stands for the clause that it is a corner of.
        core = frozenset(chosen.clause(at) for at in self.solver.core)
        for at in sorted(core - targets):
            try:
                if self._least(chosen, core - {at}, allowed) is None:
                    core -= {at}
            except TooMany:
                continue
        return core

    def _least(
        self, chosen: WideChoice, core: frozenset[int], allowed: Allowed
    ) -> tuple[int, ...] | None:
        bounds = self.solver.bounds(self.solver.dearest)
        task = Task(chosen=chosen, cases=tuple(sorted(core)), allowed=allowed, bounds=bounds)
        return Search(task=task, effort=self.solver.effort).least(FEW_NODES)

    def _named(self, at: int) -> Clash:
        case = self._case(at)
        return Clash(
            clause=case.clause.name,
            subject=case.subject,
            title=case.clause.title,
            of_kit=any(one.startswith("kit.") for one in self.trying.verdict.cone(case)),
        )


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
