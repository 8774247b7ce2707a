"""One choice of kit, glass and hand: what each clause says over ranges of the other levers."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from ruleset.formula.answer import Answer, Answering
from ruleset.formula.boxes import WHOLE, Box, point
from ruleset.formula.cone import leaves
from ruleset.formula.sums import Bounding, Peak
from ruleset.plan import Case, Step
from ruleset.program import EXEMPT, FAILS, HOLDS, UNKNOWN, guarded

from .corner import Corner
from .narrow import Narrowing, Places, Ranges
from .options import Lever
from .space import MARGIN, Form, Space

Range = tuple[int, int]
"""First and last option of a lever."""
Node = tuple[Range, ...]
"""A range for each narrow lever."""


@dataclass(frozen=True, slots=True)
class Said:
    """What a clause says over ranges.

    Attributes:
        code: Its outcome anywhere in them; UNKNOWN where they do not decide it.
        low: Least margin in them, internal units; nan where it compares nothing.
        high: Greatest margin in them.
    """

    code: int
    low: float
    high: float


class WideChoice:
    """A choice of the wide levers, its facts and what was worked out from them.

    Attributes:
        floors: Where what asks that a case fails by no more stands, by the case's place.
        corners: Corners of tolerances that were met so far.
        rough: Places of those that may tell more than the root-sum-square they stand for: a scaled
            corner is it only where the margin is a sum of levers.
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
        self.moving = {fact: values for one in narrow for fact, values in one.columns.items()}
        self.places: Places = {
            fact: (which, values)
            for which, lever in enumerate(narrow)
            if lever.rising
            for fact, values in lever.columns.items()
        }
        self._bounding = self._bounds({}, ())
        self._open = {step.name for step in space.folded.steps} | set(self.moving)
        functions = {n: guarded(f, []) for n, f in space.library.functions.items()}
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

    def _bounds(self, more: Mapping[str, float], steps: Iterable[Step]) -> Bounding:
        formulas = {step.name: step.drawn for step in (*self.space.folded.steps, *steps)}
        return Bounding({**self.values, **more}, self.limits, formulas, self.moving)

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

    def _cell(self, at: int, *, given: bool) -> "Cell":
        first = len(self.space.plan.cases)
        if at < first:
            form = self.space.form(at, given=given)
            return Cell(self, at, form, self.values, self._bounding)
        corner = self.corners[at - first]
        form = self.space.corner_form(corner, given=given)
        bounding = self._bounds(corner.facts, form.steps)
        return Cell(self, at, form, {**self.values, **corner.facts}, bounding)

    def add(self, corner: Corner) -> int:
        """Take up a corner of one clause, and return its place after all the clauses."""
        self.corners.append(corner)
        return len(self.space.plan.cases) + len(self.corners) - 1

    def clause(self, at: int) -> int:
        """Return the place of the clause that a place stands for: its own, or its corner's."""
        first = len(self.space.plan.cases)
        return at if at < first else self.corners[at - first].at

    def outcomes(self, options: Sequence[int]) -> dict[int, int]:
        """Return each case's outcome at one option of each lever, the costly ones left out."""
        cheap = self.space.cheap
        values = dict(self.values)
        for lever, option in zip(self.narrow, options, strict=True):
            for fact, column in lever.columns.items():
                values[fact] = column[option]
        run = cheap.run(
            [values.get(name, math.nan) for name in cheap.facts],
            [self.limits[name] for name in cheap.limits],
        )
        return {**self.settled, **dict(zip(self.space.open, run.outcomes, strict=True))}


class Cell:
    """One clause over one choice; keeps what it said."""

    def __init__(
        self,
        chosen: WideChoice,
        at: int,
        form: Form,
        values: Mapping[str, float],
        bounding: Bounding,
    ) -> None:
        """Take the clause's program, and what does not move.

        Args:
            chosen: Where it is asked.
            at: Its place.
            form: The clause.
            values: Value of each fact and step that does not move.
            bounding: The reading that bounds its margins.
        """
        self.at = at
        self._call = form.program.call
        self._facts = [point(values.get(name, math.nan)) for name in form.program.facts]
        self._limits = [point(chosen.limits[name]) for name in form.program.limits]
        self._moving: list[tuple[int, int, tuple[float, ...], bool]] = []
        for which, lever in enumerate(chosen.narrow):
            for fact, column in lever.columns.items():
                if fact in form.program.facts:
                    slot = form.program.facts.index(fact)
                    self._moving.append((slot, which, column, lever.rising))
        self.levers = tuple(dict.fromkeys(which for _, which, _, _ in self._moving))
        names = [step.name for step in form.program.plan.steps]
        self._margins = [names.index(f"{MARGIN}{at}") for at in range(form.margins)]
        self._slots = {name: slot for slot, name in enumerate(form.program.facts)}
        self._steps = {name: at for at, name in enumerate(names)}
        self._may_fail = form.case.softer is None and chosen.is_asked(form.case)
        self._hair = form.hair
        bounds = [bounding.bound(node) for node in form.nodes]
        self._bounds: list[Peak] = [one for one in bounds if one is not None]
        if len(self._bounds) < len(bounds) or self._lacks(values, chosen):
            self._bounds = []
        self.is_sum = len(self._bounds) == 1 and self._bounds[0].is_sum
        self._known: dict[Node, Said] = {}

    def _lacks(self, values: Mapping[str, float], chosen: WideChoice) -> bool:
        """Return whether a value is missing somewhere: sums would let what is unknown cancel."""
        still = set(self._slots) - set(chosen.moving)
        columns = (column for _, _, column, _ in self._moving)
        return any(math.isnan(values.get(name, math.nan)) for name in still) or any(
            math.isnan(one) for column in columns for one in column
        )

    def said(self, node: Node) -> Said:
        """Return what the clause says over the ranges of a node."""
        key = tuple([node[which] for which in self.levers])
        known = self._known.get(key)
        if known is None:
            known = self._known[key] = self._ask(node)
        return known

    def is_point(self, node: Node) -> bool:
        """Return whether the node leaves nothing open that the clause depends on."""
        return all(node[which][0] == node[which][1] for which in self.levers)

    def narrow(self, ranges: Ranges, places: Places) -> None:
        """Leave out of ranges what the clause surely forbids, where it may not fail.

        Args:
            ranges: A range for each narrow lever; changed in place.
            places: Where the levers whose values rise stand.

        Raises:
            Empty: It forbids them all.
        """
        if not self._may_fail:
            return
        facts = list(self._facts)
        for slot, which, column, rising in self._moving:
            facts[slot] = _box(column, ranges[which], rising=rising)
        slots = self._slots
        narrowing = Narrowing(ranges, places, lambda name: facts[slots[name]])
        for peak in self._bounds:
            narrowing.at_least(peak, -2 * self._hair)

    def _ask(self, node: Node) -> Said:
        facts = list(self._facts)
        for slot, which, column, rising in self._moving:
            facts[slot] = _box(column, node[which], rising=rising)
        is_point = self.is_point(node)
        if self._may_fail and self._bounds and not is_point:
            found = self._by_bounds(facts)
            if found is not None:
                return found
        outcomes, values = self._call(facts, self._limits)
        code = outcomes[0]
        margins: list[Box] = [values[at] for at in self._margins]
        if not margins:
            return Said(code, math.nan, math.nan)
        low, high = min(one[0] for one in margins), min(one[1] for one in margins)
        if not self._bounds or code in (HOLDS, EXEMPT) or is_point:
            return Said(code, low, high)

        def look(name: str) -> Box:
            slot = self._slots.get(name)
            return facts[slot] if slot is not None else values[self._steps[name]]

        closer = [one.box(look) for one in self._bounds]
        low = max(low, min(one[0] for one in closer))
        high = min(high, *(one[1] for one in closer))
        return Said(self._decided(low, high) if code == UNKNOWN else code, low, high)

    def _by_bounds(self, facts: Sequence[Box]) -> Said | None:
        """Return what the margins' own bounds say, None where the program has to be asked.

        Where they are sums of levers alone, no box of the program is closer.
        """
        slots = self._slots
        try:
            boxes = [one.box(lambda name: facts[slots[name]]) for one in self._bounds]
        except KeyError:  # a step that is no sum
            return None
        low, high = min([one[0] for one in boxes]), min([one[1] for one in boxes])
        return Said(self._decided(low, high), low, high)

    def _decided(self, low: float, high: float) -> int:
        if low > 2 * self._hair:
            return HOLDS
        return FAILS if self._may_fail and high < -2 * self._hair else UNKNOWN


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


def _box(column: tuple[float, ...], ends: Range, *, rising: bool) -> Box:
    low, high = ends
    if low == high:
        return point(column[low])
    if rising:
        return (column[low], column[high])
    values = column[low : high + 1]
    if any(value != value for value in values):  # nan
        return WHOLE
    return (min(values), max(values))
