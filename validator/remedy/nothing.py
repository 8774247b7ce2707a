"""Where there is no remedy: the proof, clauses that exclude each other, what would do instead."""

import itertools
import math
from collections.abc import Iterable
from dataclasses import dataclass, replace

from ruleset.explain import Amount
from ruleset.plan import Case
from ruleset.program import UNKNOWN
from ruleset.quantity import show

from ..facts import Given
from ..verdict import judge
from .follow import Follower, followers, with_followers
from .ground import Ground
from .levers import Levers, SiteForm
from .options import Board, Lever, grid_of, grid_values
from .result import Best, Clash, Nothing, Site, Tried
from .search import OutOfTime, Search, Task, TooMany
from .solve import ANY, Solution, Solver
from .space import space_for
from .trial import Bench

MOST_NODES = 300  # nodes for the best value; it is told as the best found where they run out
FEW_NODES, MOST_SETS = 300, 12  # nodes for one set of clauses that may clash, and sets tried
MOST_CLASH = 5  # clauses in one set; more than that tells a person nothing
SITE = "site"
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

    def nothing(self, targets: frozenset[int], do: str, *, proved: bool) -> Nothing:
        """Return why cases that depend on the design have no remedy.

        Args:
            targets: Places of the cases.
            do: What to do instead.
            proved: Whether the search came to its end.
        """
        tried = self._tried(targets)
        if all(one.name in self._swaps() for one in tried):
            return self.advice(do)
        missing = self._missing(targets)
        if missing:
            return Nothing(proved=False, design=True, tried=tried, missing=missing, do=do)
        found = Nothing(proved=proved, design=True, tried=tried, grid=self._grid(), do=do)
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
        if found[1] <= self._margin(ground, target) + 1e-6:  # no better than as it stands
            return None
        trial = self.bench.trial(self.solution(found[0]))
        told = trial.verdict.teller().tell(trial.verdict.plan.cases[target])
        if told.actual is None or told.limit is None:
            return None
        return Best(actual=told.actual, limit=told.limit, changes=trial.changes, proved=found[2])

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
                return _Thought(self, form, target).site()
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

    def site(self) -> Site | None:
        more = followers(self.verdict, self.form.follows)
        board = self._board()
        plan = self.why.solver.space.plan
        sources = {one.fact: one.source for one in more if one.fact in plan.leaves}
        narrow = {fact for lever in board.narrow for fact in lever.columns}
        solver = replace(
            self.why.solver,
            board=board,
            space=space_for(self.verdict.library, with_followers(plan, sources), narrow),
            grounds={},
            found={},
        )
        point = self._least(solver)
        if point is None:
            return None
        return self._told(solver, board, point, more)

    def _board(self) -> Board:
        grid = grid_of(self.verdict)
        more = (0.0, *(one for one in grid_values(0.0, self.form.reach, grid) if one > 0.0))
        lever = Lever(
            name=SITE,
            means=self.form.means,
            columns={
                fact: tuple(self.verdict.facts[fact] + one for one in more)
                for fact in self.form.facts
            },
            costs=(-1, *([0] * (len(more) - 1))),
            steps=tuple(range(len(more))),
            at=0,
            rising=True,
        )
        return replace(self.why.solver.board, narrow=(*self.why.solver.board.narrow, lever))

    def _least(self, solver: Solver) -> tuple[int, ...] | None:
        ground = solver.present
        allowed = solver.curing((self.target,))
        if not all(code in allowed[at] for at, code in ground.settled.items()):
            return None
        active = {self.target, *(at for at in solver.guards if at not in ground.settled)}
        while True:
            task = Task(
                ground=ground,
                cases=tuple(sorted(active)),
                allowed=allowed,
                bounds=solver.bounds(solver.dearest),
                cured=frozenset((self.target,)),
                first=len(solver.board.narrow) - 1,
            )
            try:
                point = Search(task=task, clock=solver.clock).least(MOST_NODES)
            except TooMany:
                return None
            if point is None:
                return None
            broken = solver.broken(ground, point, allowed) - active
            if not broken:
                return point
            active |= broken

    def _told(
        self, solver: Solver, board: Board, point: tuple[int, ...], more: tuple[Follower, ...]
    ) -> Site | None:
        """Return the reading and the design that goes with it, judged again in thought."""
        extra = point[-1]
        if extra == 0:
            return None
        job = self.verdict.job
        wider = dict(job.values)
        for fact, column in board.narrow[-1].columns.items():
            wider[fact] = self._given(fact, column[extra])
        thought = replace(job, values=wider)
        for one in more:
            value = judge(thought, self.why.bench.rules, codes=self.why.bench.codes)
            wider[one.fact] = self._given(one.fact, value.answer(one.source).value)
        thought = replace(job, values=wider)
        verdict = judge(thought, self.why.bench.rules, codes=self.why.bench.codes)
        bench = replace(self.why.bench, verdict=verdict)
        trial = bench.trial(self.why.solution(point[:-1]), (self.target,))
        allowed = solver.curing((self.target,))
        if any(code not in allowed[at] for at, code in enumerate(trial.verdict.run.outcomes)):
            return None
        fact = self.form.told
        return Site(
            means=self.form.means,
            fact=fact,
            have=self._amount(fact, self.verdict.facts[fact]),
            need=self._amount(fact, wider[fact].value),
            changes=trial.changes,
            proved=True,
        )

    def _given(self, fact: str, value: float) -> Given:
        old = self.verdict.job.values[fact]
        return replace(old, value=value, tolerance=None)

    def _amount(self, fact: str, value: float) -> Amount:
        kind = self.verdict.plan.leaves[fact].kind
        if kind is None:
            raise TypeError(fact)
        text = show(value, kind, self.verdict.job.style).text
        return Amount(value=value, kind=kind, text=text)
