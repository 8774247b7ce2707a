"""One choice of kit, glass and hand: what each clause says over ranges of the other levers."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from ruleset.formula.boxes import WHOLE, Box, point
from ruleset.program import EXEMPT, FAILS, HOLDS, UNKNOWN

from .bounds import Bounding, Peak
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


class Ground:
    """A choice of the wide levers, its facts and what was worked out from them."""

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
        self._cells: dict[int, Cell] = {}
        self.bounding = Bounding(
            self.values,
            self.limits,
            {step.name: step.drawn for step in space.folded.steps},
            dict.fromkeys((fact for lever in narrow for fact in lever.columns), True),
        )

    def cell(self, at: int) -> "Cell":
        """Return one clause over this ground."""
        if at not in self._cells:
            self._cells[at] = Cell(self, self.space.form(at))
        return self._cells[at]

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
    """One clause over one ground; keeps what it said."""

    def __init__(self, ground: Ground, form: Form) -> None:
        """Take the clause's program, and what does not move."""
        self.at = form.at
        self._form = form
        self._call = form.program.call
        self._facts = [point(ground.values.get(name, math.nan)) for name in form.program.facts]
        self._limits = [point(ground.limits[name]) for name in form.program.limits]
        self._moving: list[tuple[int, int, tuple[float, ...], bool]] = []
        for which, lever in enumerate(ground.narrow):
            for fact, column in lever.columns.items():
                if fact in form.program.facts:
                    slot = form.program.facts.index(fact)
                    self._moving.append((slot, which, column, lever.rising))
        self.levers = tuple(dict.fromkeys(which for _, which, _, _ in self._moving))
        names = [step.name for step in form.program.plan.steps]
        self._margins = [names.index(f"{MARGIN}{at}") for at in range(form.margins)]
        self._slots = {name: slot for slot, name in enumerate(form.program.facts)}
        self._steps = {name: at for at, name in enumerate(names)}
        case = ground.space.plan.cases[form.at]
        self._may_fail = case.when is None and case.softer is None
        self._hair = form.hair
        bounds = [ground.bounding.bound(node) for node in form.nodes]
        self._bounds: list[Peak] = [one for one in bounds if one is not None]
        if len(self._bounds) < len(bounds):
            self._bounds = []
        self._known: dict[Node, Said] = {}

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

    def _ask(self, node: Node) -> Said:
        facts = list(self._facts)
        for slot, which, column, rising in self._moving:
            facts[slot] = _box(column, node[which], rising=rising)
        outcomes, values = self._call(facts, self._limits)
        code = outcomes[0]
        margins: list[Box] = [values[at] for at in self._margins]
        if not margins:
            return Said(code, math.nan, math.nan)
        low, high = min(one[0] for one in margins), min(one[1] for one in margins)
        if not self._bounds or code in (HOLDS, EXEMPT) or self.is_point(node):
            return Said(code, low, high)

        def look(name: str) -> Box:
            slot = self._slots.get(name)
            return facts[slot] if slot is not None else values[self._steps[name]]

        closer = [one.box(look) for one in self._bounds]
        low = max(low, min(one[0] for one in closer))
        high = min(high, *(one[1] for one in closer))
        if code == UNKNOWN and low > 2 * self._hair:
            code = HOLDS
        elif code == UNKNOWN and self._may_fail and high < -2 * self._hair:
            code = FAILS
        return Said(code, low, high)


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
