"""The least change that cures some clauses and breaks no other.

Classes are gone through from the cheapest; within one, the choices of kit, glass and hand, fewest
changes first; and for each, the narrow levers. Only the clauses to be cured are searched at first;
a clause that the point found breaks joins them, and clauses that share no lever are searched apart.
What is left out can only make the least change larger, so the first point that breaks nothing is
the least of all. Tolerances come in the same way: where the point found is too tight, the corner
that breaks it joins as a clause of its own, and the search goes on.
"""

import contextlib
import itertools
import math
from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from ruleset.cases import margin_of
from ruleset.program import EXEMPT, HOLDS, UNKNOWN
from ruleset.turns import HAND

from ..verdict import Verdict
from .corner import Corner
from .effort import Effort, TooMany
from .options import JobLevers
from .ranges import Node, alone
from .search import FAILED, HAIR, Search, Task
from .space import Space
from .wanted_change import ANY, CURED, Solution, Wanted, Weighing
from .wide_choice import WideChoice, groups

BY_CORNER = frozenset((EXEMPT, HOLDS, UNKNOWN))
MOST = 4000  # nodes for a least change over one choice of kit, glass and hand
LOOKS = 500  # nodes for any change at all, where those did not do
MOST_ROUNDS = 100  # times that clauses may join as they break


class Uncut(Exception):
    """A point is too tight, but no corner of its tolerances tells it from its neighbours."""


@dataclass(slots=True, kw_only=True)
class Solver:
    """Finds least changes for one job.

    Attributes:
        verdict: The verdict of the job as it stands.
        levers: The levers.
        space: The programs of the hand as it stands.
        turned: Those of each other hand, by the number of its word.
        facts: What they take that the job does not give, internal units.
        allowed: The outcomes that each case may have.
        effort: Counts the work.
        guards: Places of cases that are searched from the start; for speed alone.
        choices: Grounds made so far, by choice.
        found: Points found so far, by what was asked.
        ends: The bounds of the narrow levers, by class.
        met: The cases that points of each choice broke so far, by what was to be cured.
        solved: Least changes found so far, and whether each answer is exact, by what was asked.
        core: The cases that were last found to allow no point together.
        tightness: Weighs points; None where tolerances are left out.
        exact: Whether the last answer passed nothing over that may have been less.
        corners: Corners met so far that are corners of any choice.
        most: Nodes that one search over one choice may take up.
        floors: What may fail on, but by no more than it does.
        hard: The searches that took up more, by choice and by what was asked.
        empty: The bounds in which there was nothing, by choice and by what was asked.
        hopeless: Choices that no narrow lever can help: something else breaks for good.
    """

    verdict: Verdict
    levers: JobLevers
    space: Space
    allowed: tuple[frozenset[int], ...]
    effort: Effort
    guards: tuple[int, ...] = ()
    choices: dict[tuple[int, ...], WideChoice] = field(default_factory=dict)
    found: dict[Hashable, tuple[int, ...] | None] = field(default_factory=dict)
    met: dict[Hashable, set[int]] = field(default_factory=dict)
    solved: dict[Hashable, tuple[Solution | None, bool]] = field(default_factory=dict)
    core: frozenset[int] = frozenset()
    ends: dict[int, Node] = field(default_factory=dict)
    tightness: Weighing | None = None
    exact: bool = True
    corners: list[Corner] = field(default_factory=list)
    most: int = MOST
    floors: tuple[Corner, ...] = ()
    turned: Mapping[float, Space] = field(default_factory=dict)
    facts: Mapping[str, float] = field(default_factory=dict)
    hard: set[object] = field(default_factory=set)
    empty: dict[Hashable, Node] = field(default_factory=dict)
    hopeless: set[tuple[int, ...]] = field(default_factory=set)

    @property
    def dearest(self) -> int:
        """Return the place of the dearest class."""
        return len(self.levers.classes) - 1

    def over(self, verdict: Verdict, most: int) -> "Solver":
        """Return the same search over another job of the same shape, with nothing found yet."""
        return Solver(
            verdict=verdict,
            levers=self.levers,
            space=self.space,
            allowed=self.allowed,
            effort=self.effort,
            guards=self.guards,
            floors=self.floors,
            turned=self.turned,
            facts=self.facts,
            most=most,
        )

    def best(self, targets: frozenset[int], wanted: Wanted | None = None) -> Solution | None:
        """Return the least change that cures some cases, None where none was found.

        `exact` tells whether there is surely nothing less, or none at all.

        Args:
            targets: Places of the cases.
            wanted: How tight it may leave the job; None for any way that holds at size.

        Raises:
            Ended: The caller said so.
        """
        key = (targets, wanted)
        if key not in self.solved:
            self.exact = True
            self.solved[key] = self._best(targets, wanted), self.exact
        solution, self.exact = self.solved[key]
        return solution

    def _best(self, targets: frozenset[int], wanted: Wanted | None) -> Solution | None:
        for cap in range(-1, len(self.levers.classes)):
            solution = self._at_cap(targets, cap, wanted)
            if solution is not None:
                return replace(solution, proved=self.exact)
        return None

    def _at_cap(self, targets: frozenset[int], cap: int, wanted: Wanted | None) -> Solution | None:
        allowed = self.curing(targets)
        best: tuple[tuple[float, ...], Solution] | None = None
        for choice in self._choices(cap):
            wide = sum(1 for option in choice if option)
            if best is not None and wide > best[1].moved:
                break
            chosen = self._hoped(choice)
            if chosen is None or not self.settled(chosen, allowed):
                continue
            point = self._least(chosen, targets, cap, wanted)
            if point is None:
                continue
            solution = self.solution(chosen, point, proved=True)
            rank = (solution.moved, solution.steps, *self._rank(chosen, point, targets))
            if best is None or rank < best[0]:
                best = (rank, solution)
        return best[1] if best else None

    def _least(
        self, chosen: WideChoice, targets: frozenset[int], cap: int, wanted: Wanted | None
    ) -> tuple[int, ...] | None:
        """Return the least point over one choice; some point, or none, where that is too much work.

        What was too much once is not tried again with dearer moves.
        """
        key = (chosen.choice, targets, wanted)
        if self.empty.get(key) == self.bounds(cap):  # a dearer class, but nothing moves further
            return None
        point = None
        if key not in self.hard:
            try:
                point = self.point(chosen, targets, cap, wanted=wanted)
            except Uncut:
                self.exact = False
            except TooMany:
                self.hard.add(key)
        if key in self.hard:
            self.exact = False
            with contextlib.suppress(Uncut, TooMany):
                point = self.point(chosen, targets, cap, hurried=True, wanted=wanted)
        if point is None:
            self.empty[key] = self.bounds(cap)
        return point

    def _hoped(self, choice: tuple[int, ...]) -> WideChoice | None:
        """Return the wide choice of options; None where it breaks something for good; none kept."""
        if choice in self.hopeless:
            return None
        self.effort.tick()
        chosen = self.chosen(choice)
        if not self.settled(chosen, self.allowed):
            self.hopeless.add(choice)
            del self.choices[choice]
            return None
        return chosen

    def _rank(
        self, chosen: WideChoice, point: tuple[int, ...], targets: frozenset[int]
    ) -> tuple[float, ...]:
        node = alone(point)
        margins = [
            said.low
            for at in sorted(targets)
            if at not in chosen.settled and not math.isnan((said := chosen.cell(at).said(node)).low)
        ]
        return (-min(margins, default=0.0), *chosen.choice)

    def solution(self, chosen: WideChoice, point: tuple[int, ...], *, proved: bool) -> Solution:
        pairs = [
            *zip(self.levers.wide, chosen.choice, strict=True),
            *zip(self.levers.narrow, point, strict=True),
        ]
        moved = [(lever, option) for lever, option in pairs if option != lever.at]
        return Solution(
            choice=chosen.choice,
            point=point,
            cap=max((lever.costs[option] for lever, option in moved), default=-1),
            moved=len(moved),
            steps=sum(lever.steps[option] for lever, option in moved),
            proved=proved,
        )

    def held_by(self, solution: Solution, wanted: Wanted) -> set[int]:
        """Return the cases that a step less of any lever would break or leave too tight."""
        chosen = self.chosen(solution.choice)
        allowed, bound = self.curing(wanted.targets), self._bound(chosen, wanted)
        found: set[int] = set()
        for which, (option, lever) in enumerate(
            zip(solution.point, self.levers.narrow, strict=True)
        ):
            if option == lever.at or not lever.rising:
                continue
            less = option + (1 if option < lever.at else -1)
            point = (*solution.point[:which], less, *solution.point[which + 1 :])
            found |= self.broken(chosen, point, allowed)
            node = alone(point)
            found |= {
                chosen.clause(at) for at in bound if chosen.cell(at).said(node).code in FAILED
            }
        return found

    def _choices(self, cap: int) -> Iterator[tuple[int, ...]]:
        """Yield every choice of the wide levers up to a class, the fewest changes first."""
        options = [range(lever.bounds(cap)[1] + 1) for lever in self.levers.wide]
        every = itertools.product(*options)
        yield from sorted(every, key=lambda one: (sum(1 for option in one if option), one))

    def chosen(self, choice: tuple[int, ...]) -> WideChoice:
        """Return the wide choice of some options; made once."""
        if choice not in self.choices:
            facts, space = {**self.facts, **self.verdict.facts}, self.space
            for lever, option in zip(self.levers.wide, choice, strict=True):
                if option != lever.at:
                    facts |= {fact: column[option] for fact, column in lever.columns.items()}
                    space = self.turned[facts[HAND]] if HAND in lever.columns else space
            made = WideChoice(space, self.levers.narrow, facts, choice)
            made.floors = {one.at: made.add(one) for one in self.floors}
            self.choices[choice] = made
        return self.choices[choice]

    @property
    def present(self) -> WideChoice:
        """Return the choice that leaves kit, glass and hand as they stand."""
        return self.chosen(tuple(0 for _ in self.levers.wide))

    def curing(self, targets: Iterable[int]) -> tuple[frozenset[int], ...]:
        allowed = list(self.allowed)
        for at in targets:
            allowed[at] = CURED
        return tuple(allowed)

    def settled(self, chosen: WideChoice, allowed: Sequence[frozenset[int]]) -> bool:
        return all(code in allowed[at] for at, code in chosen.settled.items())

    def bounds(self, cap: int) -> Node:
        """Return the options of each narrow lever up to a class."""
        if cap not in self.ends:
            self.ends[cap] = tuple(lever.bounds(cap) for lever in self.levers.narrow)
        return self.ends[cap]

    def point(
        self,
        chosen: WideChoice,
        targets: frozenset[int],
        cap: int,
        *,
        hurried: bool = False,
        wanted: Wanted | None = None,
    ) -> tuple[int, ...] | None:
        """Return the least point over one choice that cures, or None.

        Raises:
            Ended: The caller said so.
            TooMany: It takes more work than a search is given.
            Uncut: A point is too tight, and there is no telling how much less would do.
        """
        met = self.met.setdefault((chosen.choice, targets), set())
        active = {at for at in (*targets, *self.guards, *met) if at not in chosen.settled}
        active |= {place for at, place in chosen.floors.items() if at not in chosen.settled}
        if wanted is not None:
            active |= self._binding(chosen, wanted)
        bounds = self.bounds(cap)
        until = self.effort.nodes + (LOOKS if hurried else self.most)
        begun: list[Search] = []
        for _ in range(MOST_ROUNDS):
            self.exact = self.exact and active.isdisjoint(chosen.rough)
            allowed = [*self.curing(targets), *([BY_CORNER] * len(chosen.corners))]
            given = self._given(chosen, active, allowed)
            point = [lever.at for lever in self.levers.narrow]
            for group in groups(chosen, active, bounds):
                task = Task(
                    chosen=chosen,
                    cases=tuple(sorted(group)),
                    allowed=allowed,
                    bounds=bounds,
                    given=given & group,
                    cured=targets & group,
                )
                most = until - self.effort.nodes
                part = self._searched(task, begun, most, hurried=hurried)
                if part is None:
                    self.core = group
                    return None
                for which, (option, lever) in enumerate(zip(part, self.levers.narrow, strict=True)):
                    if option != lever.at:
                        point[which] = option
            found = tuple(point)
            broken = self.broken(chosen, found, allowed) - active
            met |= broken
            if not broken and wanted is not None:
                broken = self._too_tight(chosen, found, wanted)
            if not broken:
                return found
            active |= broken
        raise TooMany

    def _given(
        self, chosen: WideChoice, active: set[int], allowed: Sequence[frozenset[int]]
    ) -> frozenset[int]:
        """Return the cases that are asked only when another one holds that has to; it joins."""
        given = set()
        for at in sorted(active):
            case = chosen.clause(at)
            if at != case and margin_of(chosen.space.plan.cases[case]) is None:
                continue  # such a corner asks anew whether it is asked at all
            other = chosen.space.told.get(case)
            if other is not None and other not in chosen.settled and allowed[other] <= CURED:
                active.add(other)
                given.add(at)
        return frozenset(given)

    def _binding(self, chosen: WideChoice, wanted: Wanted) -> set[int]:
        """Return the corners of the targets that are known to bind, as places of cases."""
        bound = self._bound(chosen, wanted)
        return {at for at in bound if chosen.clause(at) in wanted.targets}

    def _bound(self, chosen: WideChoice, wanted: Wanted) -> set[int]:
        tightness, first = self.tightness, len(chosen.space.plan.cases)
        if tightness is None:
            return set()
        return {
            at
            for at, corner in enumerate(chosen.corners, start=first)
            if tightness.binds(corner, wanted)
        }

    def _too_tight(self, chosen: WideChoice, point: tuple[int, ...], wanted: Wanted) -> set[int]:
        """Return the corners, as places of cases, that tell a point that is too tight."""
        node = alone(point)
        bound = self._bound(chosen, wanted)
        found = {at for at in bound if chosen.cell(at).said(node).code in FAILED}
        return found or self._met_before(chosen, point, wanted) or self._new(chosen, node, wanted)

    def _met_before(self, chosen: WideChoice, point: tuple[int, ...], wanted: Wanted) -> set[int]:
        """Return corners that other choices were found to break, and this point breaks as well."""
        if self.tightness is None:
            return set()
        binding = (one for one in self.corners if self.tightness.binds(one, wanted))
        return {chosen.add(one) for one in binding if chosen.breaks(one, point)}

    def _new(self, chosen: WideChoice, node: Node, wanted: Wanted) -> set[int]:
        found: set[int] = set()
        if self.tightness is None:
            return found
        point = tuple(low for low, _ in node)
        solution = self.solution(chosen, point, proved=True)
        for corner in self.tightness.corners(solution, wanted):
            self.effort.tick()
            at = chosen.add(corner)
            if corner.is_general:
                self.corners.append(corner)
            cell = chosen.cell(at)
            said = cell.said(node)
            if said.code not in FAILED:
                raise Uncut
            found.add(at)
            if corner.likely and not abs(said.low - corner.margin) < HAIR:
                chosen.rough.add(at)
        return found

    def _searched(
        self, task: Task, begun: list[Search], most: int, *, hurried: bool
    ) -> tuple[int, ...] | None:
        """Return the point that a search finds; one that fewer clauses were asked of goes on."""
        key = (task.chosen.choice, task.cases, task.cured, task.bounds, task.given, hurried)
        if key not in self.found:
            if hurried:
                self.found[key] = Search(task=task, effort=self.effort).any(most)
            else:
                search = _gone_on(begun, task) or Search(task=task, effort=self.effort)
                begun.append(search)
                self.found[key] = search.least(most)
        return self.found[key]

    def broken(
        self, chosen: WideChoice, point: tuple[int, ...], allowed: Sequence[frozenset[int]]
    ) -> set[int]:
        """Return the cases that a point takes to an outcome they may not have.

        The costly ones are asked only where no other is broken.
        """
        outcomes = chosen.outcomes(point)
        found = {at for at, code in outcomes.items() if code not in allowed[at]}
        if found:
            return found
        node = alone(point)
        for at in sorted(chosen.space.costly):
            if allowed[at] != ANY and chosen.cell(at).said(node).code not in allowed[at]:
                found.add(at)
        return found


def _gone_on(begun: list[Search], task: Task) -> Search | None:
    """Return a search of some of the clauses with the others joined; None for more than one."""
    some = [one for one in begun if not set(one.task.cases).isdisjoint(task.cases)]
    for one in some:
        begun.remove(one)
    if len(some) != 1 or not set(some[0].task.cases) <= set(task.cases):
        return None
    some[0].join(task)
    return some[0]
