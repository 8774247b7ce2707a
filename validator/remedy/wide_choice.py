"""One choice of kit, glass and hand: what each clause says over ranges of the other levers."""

import functools
import math
from collections.abc import Iterable, Mapping, Sequence

from ruleset.formula.answer import Answer, Answering
from ruleset.formula.bounding import Bounding
from ruleset.formula.boxes import WHOLE, Box, only_points, point
from ruleset.formula.cone import leaves
from ruleset.formula.slopes import most_of
from ruleset.formula.sums import Peak, Within
from ruleset.formula.tree import Name
from ruleset.plan import Case
from ruleset.program import EXEMPT, FAILS, HOLDS, SOFTER, UNKNOWN, guarded

from .corner import Corner
from .narrow import Places, Ranges, narrow
from .options import Lever
from .ranges import Node, Said, box_of
from .space import MARGIN, ClauseAlone, Space


class WideChoice:
    """A choice of the wide levers, its facts and what was worked out from them.

    Attributes:
        floors: Where what asks that a case fails by no more stands, by the case's place.
        corners: Corners of tolerances that were met so far.
        rough: Places of those that tell more or less than chance takes: of a bar the root of what
            each tolerance takes alone is told, which no corner is.
    """

    def __init__(
        self,
        space: Space,
        narrow: Sequence[Lever],
        facts: Mapping[str, float],
        choice: tuple[int, ...],
    ) -> None:
        """Work out everything that no narrow lever reaches.

        Args:
            space: The programs.
            narrow: The narrow levers.
            facts: Value of each fact with the wide levers set so; internal units.
            choice: The option of each wide lever.
        """
        self.space = space
        self.narrow = tuple(narrow)
        self.choice = choice
        fixed = space.fixed
        self.limits = {name: limit.value for name, limit in space.library.limits.items()}
        run = fixed.run(
            [facts.get(name, math.nan) for name in fixed.facts],
            [self.limits[name] for name in fixed.limits],
        )
        self.values = {
            **facts,
            **dict(zip((s.name for s in fixed.plan.steps), run.values, strict=True)),
        }
        self.settled = dict(zip(space.settled, run.outcomes, strict=True))
        self.corners: list[Corner] = []
        self.rough: set[int] = set()
        self.floors: dict[int, int] = {}
        self._cells: dict[tuple[int, bool], Cell] = {}
        self._columns = {
            fact: (which, column, lever.rising)
            for which, lever in enumerate(narrow)
            for fact, column in lever.columns.items()
        }
        self._within: tuple[Node | None, Within] = None, Within(lambda _: WHOLE)
        self.gaps = {
            fact
            for fact, (_, column, _) in self._columns.items()
            if any(math.isnan(one) for one in column)
        }
        self.moving = {fact: values for one in narrow for fact, values in one.columns.items()}
        self.places: Places = {
            fact: (which, values)
            for which, lever in enumerate(narrow)
            if lever.rising
            for fact, values in lever.columns.items()
        }
        functions = {n: guarded(f, []) for n, f in space.library.functions.items()}
        self._bounding = Bounding(
            self.values,
            self.limits,
            {step.name: step.drawn for step in space.folded.steps},
            {name: box_of(column, (0, len(column) - 1)) for name, column in self.moving.items()},
            self.moving,
            space.library.words,
            {name: only_points(function) for name, function in functions.items()},
        )
        self._open = {step.name for step in space.folded.steps} | set(self.moving)
        self._answering = Answering(self._answer, space.library.words, functions)

    def _answer(self, name: str) -> Answer:
        return Answer(self.limits.get(name, self.values.get(name, math.nan)))

    def is_asked(self, case: Case) -> bool:
        """Return whether a case is surely asked, wherever the narrow levers stand."""
        if case.when is None:
            return True
        if not self._open.isdisjoint(leaves(case.when)):
            return False
        return self._answering.answer(case.when).value == 1.0

    def cell(self, at: int, *, given: bool = False) -> "Cell":
        """Return one clause over this choice.

        Args:
            at: Its place; corners come after all the clauses.
            given: Whether to take for given that it is asked at all.
        """
        key = (at, given)
        if key not in self._cells:
            self._cells[key] = self._cell(at, given=given)
        return self._cells[key]

    def within(self, node: Node) -> Within:
        """Return the ranges of a node, for the bounds of what is made of them; the last is kept."""
        last, within = self._within
        if last is not node and last != node:
            within = Within(functools.partial(self._box, node))
            self._within = node, within
        return within

    def _box(self, node: Node, fact: str) -> Box:
        which, column, rising = self._columns[fact]
        return box_of(column, node[which], rising=rising)

    def _cell(self, at: int, *, given: bool) -> "Cell":
        first = len(self.space.plan.cases)
        if at < first:
            alone = self.space.of_case(at, given=given)
            return Cell(self, at, alone, self.values, self._bounding)
        corner = self.corners[at - first]
        alone = self.space.at_corner(corner, given=given)
        facts = corner.facts(self._still)
        bounding = self._bounding.over(facts, {s.name: s.drawn for s in alone.steps})
        return Cell(self, at, alone, {**self.values, **facts}, bounding)

    def _still(self, name: str) -> float:
        """Return a value that no narrow lever reaches, nan for any other."""
        return math.nan if name in self._open else self._answer(name).value

    def add(self, corner: Corner) -> int:
        """Take up a corner of one clause, and return its place after all the clauses."""
        self.corners.append(corner)
        return len(self.space.plan.cases) + len(self.corners) - 1

    def breaks(self, corner: Corner, options: Sequence[int]) -> bool:
        """Return whether one option of each lever fails at another choice's corner.

        It is one here as well only where the same sizes are known as built.
        """
        if corner.built != self._built:
            return False
        program = self.space.at_corner(corner).program
        values = {**self.at(options), **corner.facts(self._still)}
        facts = [point(values.get(name, math.nan)) for name in program.facts]
        outcomes, _ = program.call(facts, [point(self.limits[name]) for name in program.limits])
        return outcomes[0] in (FAILS, SOFTER)

    @functools.cached_property
    def _built(self) -> frozenset[str]:
        """Return the steps whose built formula has a value."""
        return frozenset(
            step.name
            for step in self.space.drawn.steps
            if step.built is not None and all(map(self._is_known, leaves(step.built)))
        )

    def _is_known(self, name: str) -> bool:
        return name in self._open or self._answering.answer(Name(name)).known

    def at(self, options: Sequence[int]) -> dict[str, float]:
        """Return the value of each fact and step that is given at one option of each lever."""
        values = dict(self.values)
        for lever, option in zip(self.narrow, options, strict=True):
            for fact, column in lever.columns.items():
                values[fact] = column[option]
        return values

    def clause(self, at: int) -> int:
        """Return the place of the clause that a place stands for: its own, or its corner's."""
        first = len(self.space.plan.cases)
        return at if at < first else self.corners[at - first].at

    def outcomes(self, options: Sequence[int]) -> dict[int, int]:
        """Return each case's outcome at one option of each lever, the costly ones left out."""
        cheap, values = self.space.cheap, self.at(options)
        run = cheap.run(
            [values.get(name, math.nan) for name in cheap.facts],
            [self.limits[name] for name in cheap.limits],
        )
        return {**self.settled, **dict(zip(self.space.open, run.outcomes, strict=True))}


class Cell:
    """One clause over one choice; keeps what it said.

    Attributes:
        at: Its place.
        levers: Places of the levers that it depends on.
        bounds: Its margins, as peaks of sums; none where a value is missing.
        sums: The sums of which none is less than nothing, where it holds.
        hair: How little of a margin still counts as none.
        may_fail: Whether it fails surely where a margin is less than nothing.
    """

    def __init__(
        self,
        chosen: WideChoice,
        at: int,
        alone: ClauseAlone,
        values: Mapping[str, float],
        bounding: Bounding,
    ) -> None:
        """Take the clause's program, and what does not move.

        Args:
            chosen: Where it is asked.
            at: Its place.
            alone: The clause.
            values: Value of each fact and step that does not move.
            bounding: The reading that bounds its margins.
        """
        self.at = at
        self._call = alone.program.call
        self._facts = [point(values.get(name, math.nan)) for name in alone.program.facts]
        self._limits = [point(chosen.limits[name]) for name in alone.program.limits]
        self.may_fail = alone.case.softer is None and chosen.is_asked(alone.case)
        self.hair = alone.hair
        names = [step.name for step in alone.program.plan.steps]
        self._margins = [names.index(f"{MARGIN}{at}") for at in range(alone.margins)]
        bounds = () if self._lacks(alone, chosen) else [bounding.bound(one) for one in alone.nodes]
        self.bounds: list[Peak] = [one for one in bounds if one is not None]
        if len(self.bounds) < len(bounds):
            self.bounds = []
        self.sums = tuple(one for peak in self.bounds if peak.way <= 0 for one in peak.of)
        counts = {name for one in self.bounds for name in one.levers}
        self._chosen = chosen
        self._moving: list[tuple[int, str]] = []
        levers: dict[int, None] = {}
        for which, lever in enumerate(chosen.narrow):
            for fact, column in lever.columns.items():
                if fact not in alone.program.facts:
                    continue
                slot = alone.program.facts.index(fact)
                if self.may_fail and self.bounds and fact not in counts:
                    self._facts[slot] = point(column[lever.at])  # it cancels
                else:
                    self._moving.append((slot, fact))
                    levers[which] = None
        self.levers = tuple(levers)
        self._known: dict[Node, Said] = {}
        self._failed: dict[Node, bool] = {}

    def _lacks(self, alone: ClauseAlone, chosen: WideChoice) -> bool:
        """Return whether a value is missing somewhere: sums would let what is unknown cancel."""
        facts = zip(alone.program.facts, self._facts, strict=True)
        still = (one for name, one in facts if name not in chosen.moving)
        return not chosen.gaps.isdisjoint(alone.program.facts) or WHOLE in still

    def said(self, node: Node) -> Said:
        """Return what the clause says over the ranges of a node."""
        key = tuple([node[which] for which in self.levers])
        known = self._known.get(key)
        if known is None:
            known = self._known[key] = self._ask(node)
        return known

    def surely_fails(self, node: Node) -> bool:
        """Return whether the clause fails anywhere in the ranges of a node, by its slopes."""
        key = tuple([node[which] for which in self.levers])
        if key not in self._failed:
            within = self._chosen.within(node)
            least = min(self.sums, key=lambda one: one.box(within)[1])
            self._failed[key] = most_of(least, within) < -2 * self.hair
        return self._failed[key]

    def is_point(self, node: Node) -> bool:
        """Return whether the node leaves nothing open that the clause depends on."""
        return all(node[which][0] == node[which][1] for which in self.levers)

    def narrow(self, ranges: Ranges, within: Within) -> None:
        """Leave out of ranges what the clause surely forbids, where it may not fail.

        Args:
            ranges: A range for each narrow lever; changed in place.
            within: Bounds in these ranges, or in wider ones.

        Raises:
            Empty: It forbids them all.
        """
        for one in self.sums:
            narrow(one, -2 * self.hair, ranges, self._chosen.places, within)

    def _ask(self, node: Node) -> Said:
        is_point = self.is_point(node)
        within = self._chosen.within(node)
        if self.may_fail and self.bounds and not is_point:
            return self._by_bounds(within)
        facts = list(self._facts)
        for slot, fact in self._moving:
            facts[slot] = within.fact(fact)
        outcomes, values = self._call(facts, self._limits)
        code = outcomes[0]
        margins: list[Box] = [values[at] for at in self._margins]
        if not margins:
            return Said(code, math.nan, math.nan)
        low, high = min(one[0] for one in margins), min(one[1] for one in margins)
        if not self.bounds or code in (HOLDS, EXEMPT) or is_point:
            return Said(code, low, high)
        closer = self._by_bounds(within)
        low, high = max(low, closer.low), min(high, closer.high)
        return Said(self._decided(low, high) if code == UNKNOWN else code, low, high)

    def _by_bounds(self, within: Within) -> Said:
        """Return what the margins' own bounds say."""
        margins = [one.box(within) for one in self.bounds]
        low, high = min([one[0] for one in margins]), min([one[1] for one in margins])
        return Said(self._decided(low, high), low, high)

    def _decided(self, low: float, high: float) -> int:
        if low > 2 * self.hair:
            return HOLDS
        return FAILS if self.may_fail and high < -2 * self.hair else UNKNOWN


def groups(chosen: WideChoice, active: Iterable[int], bounds: Node) -> tuple[frozenset[int], ...]:
    """Return the cases in groups that share no lever that may move."""
    cells: Mapping[int, Cell] = {at: chosen.cell(at) for at in sorted(active)}
    groups: list[tuple[set[int], set[int]]] = []
    for at, cell in cells.items():
        levers = {which for which in cell.levers if bounds[which][0] < bounds[which][1]}
        cases = {at}
        apart = []
        for one in groups:
            if one[1] & levers:
                cases |= one[0]
                levers |= one[1]
            else:
                apart.append(one)
        groups = [*apart, (cases, levers)]
    return tuple(frozenset(cases) for cases, _ in groups)
