"""The work as it is built: its values, what each may be off by, and what holds all the same."""

import math
from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass, replace
from typing import TypeVar

from ruleset.cases import hair_of, leaf_of, margin_of, names_of
from ruleset.formula.bounding import Bounding
from ruleset.formula.boxes import Box, only_points, point
from ruleset.formula.cone import leaves
from ruleset.formula.slopes import Growing
from ruleset.formula.sums import Peak, Within
from ruleset.formula.tree import Node
from ruleset.formula.worst_corner import Corners, TooMany
from ruleset.plan import Case, Plan, Step, sliced
from ruleset.program import EXEMPT, HOLDS, Program, Spelled, compile_boxes, guarded

from .fails_already import range_of
from .tolerances import Allowance, Tolerances, allowances
from .verdict import Verdict

T = TypeVar("T")


class Toleranced:
    """A job with its tolerances: every value as built, and what it may be off by.

    Attributes:
        verdict: The verdict of the job.
        tolerances: The sheet of tolerances.
        allowed: What each name may be off by.
        off: The names that may be off, in this job or in others of its shape.
        measured: What a pane that was cut was measured as, by the name of its size.
    """

    def __init__(
        self,
        verdict: Verdict,
        tolerances: Tolerances,
        allowed: Mapping[str, Allowance] | None = None,
    ) -> None:
        """Look up what may be off.

        Args:
            verdict: The verdict of the job.
            tolerances: The sheet of tolerances.
            allowed: What each name may be off by; by the sheet and the job where not given.
        """
        self.verdict = verdict
        self.tolerances = tolerances
        self.allowed = allowances(verdict, tolerances) if allowed is None else allowed
        self.off = frozenset(self.allowed) | {name for _, name in tolerances.off(verdict)}
        self.measured = tolerances.measured(verdict)
        self._bounds: list[Bounds] = []

    @property
    def bounds(self) -> "Bounds":
        """Return what surely holds within the tolerances."""
        if not self._bounds:
            self._bounds.append(Bounds(self))
        return self._bounds[0]

    def value(self, name: str) -> float:
        """Return a value, nan where it is missing."""
        measured = self.measured.get(name)
        return self.verdict.answer(name).value if measured is None else measured

    def get(self, name: str, otherwise: float) -> float:
        """Return a value, something else where it is missing."""
        value = self.value(name)
        return value if value == value else otherwise  # nan

    def box(self, name: str) -> Box:
        """Return where a value may lie."""
        value = self.value(name)
        if value != value:  # nan
            return range_of(self.verdict, name)
        off = self.allowed[name].amount if name in self.allowed else 0.0
        return (value - off, value + off)

    def limits(self, program: Program | Spelled) -> list[float]:
        """Return the limits that a program takes."""
        return [self.verdict.library.limits[name].value for name in program.limits]


def kept(toleranced: Toleranced, kind: type[T], which: Hashable, make: Callable[[], T]) -> T:
    """Return what is compiled for a shape of job, made once: many jobs of an audit share it."""
    verdict = toleranced.verdict
    key = ("stack-up", verdict.plan.shape, toleranced.off, which)
    return verdict.library.kept.get(kind, key, make)


def not_cleared(toleranced: Toleranced) -> list[int]:
    """Return the cases that hold at size and that the boxes of all tolerances do not clear."""
    boxes = kept(toleranced, _Boxes, toleranced.tolerances.not_for, lambda: _boxes(toleranced))
    places, program = boxes.places, boxes.program
    facts = [toleranced.box(name) for name in program.facts]
    outcomes, _ = program.call(facts, [point(one) for one in toleranced.limits(program)])
    at_size = toleranced.verdict.run.outcomes
    return [
        at
        for at, code in zip(places, outcomes, strict=True)
        if at_size[at] == HOLDS and code not in (HOLDS, EXEMPT) and not toleranced.bounds.clear(at)
    ]


class Bounds:
    """What surely holds within the tolerances, with sums kept together, and which way is worst."""

    def __init__(self, toleranced: Toleranced) -> None:
        """Take the toleranced; a formula is looked into when it is first asked for."""
        self._toleranced = toleranced
        library = toleranced.verdict.library
        self._ranges = {
            n: toleranced.box(n) for n in toleranced.allowed if toleranced.verdict.answer(n).known
        }
        self._within = Within(self._ranges.__getitem__)
        self._reading = Bounding(
            toleranced,
            {name: limit.value for name, limit in library.limits.items()},
            {
                step.name: self._formula(step)
                for step in reached(toleranced).steps
                if not step.frozen
            },
            self._ranges,
            {},
            library.words,
            {n: only_points(guarded(f, [])) for n, f in library.functions.items()},
        )

    def _formula(self, step: Step) -> Node:
        return built_formula(self._toleranced.verdict, step) or step.drawn

    def clear(self, at: int) -> bool:
        """Return whether a case surely holds wherever the tolerances go."""
        case = self._toleranced.verdict.plan.cases[at]
        peak = self._margin(case)
        if peak is None:
            return False
        low, _ = peak.box(self._within)
        return low + taken_up(self._toleranced, case) >= -hair_of(case)

    def worst(self, at: int, least: float) -> Corners | None:
        """Return the corners of which one is the worst for a case's margin, None for no telling.

        Args:
            at: The case's place in the plan.
            least: A margin that is met within the tolerances; only what is worse is looked for.
        """
        case = self._toleranced.verdict.plan.cases[at]
        peak = self._margin(case)
        if peak is None:
            return None
        corners = Corners(least, hair_of(case))
        try:
            corners.look(peak, self._ranges)
        except TooMany:
            return None
        return corners

    def slopes(self, at: int) -> tuple[Mapping[str, float], ...]:
        """Return how fast each sum that may be the least of a case's margin grows, in the mean."""
        peak = self._margin(self._toleranced.verdict.plan.cases[at])
        if peak is None:
            return ()
        growing = Growing(self._within)
        sums = growing.active(peak) if peak.way < 0 else ()
        every = [growing.of_sum(one) for one in sums] or [growing.of(peak)]
        return tuple(
            {name: (low + high) / 2 for name, (low, high) in one.items()}
            for one in every
            if all(math.isfinite(low) and math.isfinite(high) for low, high in one.values())
        )

    def _margin(self, case: Case) -> Peak | None:
        margin = margin_of(case)
        return None if margin is None else self._reading.bound(margin)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Boxes:
    """The places of the cases that tolerances reach, and their program over boxes."""

    places: tuple[int, ...]
    program: Spelled


def _boxes(toleranced: Toleranced) -> _Boxes:
    plan = reached(toleranced)
    moving = {*toleranced.off, *(step.name for step in plan.steps if not step.frozen)}
    places = tuple(
        at
        for at, case in enumerate(plan.cases)
        if not toleranced.tolerances.spares(case.clause) and not moving.isdisjoint(names_of(case))
    )
    asked = sliced(plan, (plan.cases[at] for at in places), built=True)
    program = compile_boxes(toleranced.verdict.library, asked, built=True)
    return _Boxes(places=places, program=program)


def reached(toleranced: Toleranced) -> Plan:
    """Return a plan in which what no tolerance reaches is given: it is as the verdict has it."""
    return kept(
        toleranced, Plan, "reached", lambda: _made_reached(toleranced.verdict.plan, toleranced.off)
    )


def _made_reached(plan: Plan, off: frozenset[str]) -> Plan:
    reached = set(off)
    for step in plan.steps:
        if not step.frozen and (step.built is not None or not reached.isdisjoint(_needed(step))):
            reached.add(step.name)
    still = (step for step in plan.steps if not step.frozen and step.name not in reached)
    return replace(
        plan,
        leaves={**plan.leaves, **{step.name: leaf_of(step) for step in still}},
        steps=tuple(step for step in plan.steps if step.frozen or step.name in reached),
    )


def built_formula(verdict: Verdict, step: Step) -> Node | None:
    """Return a step's built formula where it has a value, None where the drawn one stands."""
    if step.built is not None and verdict.answering.answer(step.built).known:
        return step.built
    return None


def _needed(step: Step) -> tuple[str, ...]:
    return leaves(step.drawn) + (leaves(step.built) if step.built is not None else ())


def taken_up(toleranced: Toleranced, case: Case) -> float:
    """Return what the adjusters take up of a case's loss, internal units."""
    amounts = (toleranced.verdict.answer(one.by) for one in toleranced.tolerances.taking(case))
    return sum((amount.value for amount in amounts if amount.known), 0.0)
