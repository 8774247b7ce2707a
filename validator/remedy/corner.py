"""A clause at one corner of the tolerances, written as a clause over the levers.

The glass is cut from the drawing: frozen sizes are the drawn ones and what they are off by. All
else is as built, from readings and parts that are off. What each is off by is a fact of its own, so
that one program serves every corner of a clause.
"""

import math
from collections.abc import Callable, Hashable, Mapping
from dataclasses import dataclass, replace

from ruleset.cases import hair_of, margin_of, step_of
from ruleset.formula.tree import Arith, Both, Compare, Name, Node, Number, Rewrite, fold
from ruleset.plan import Case, Plan, Step

from ..finding import Stack
from ..toleranced import built_formula
from ..tolerances import Tolerances
from ..verdict import Verdict

OFF, IS, SHIFTED, SPARE = "off:", "off:is:", "shifted:", "off:spare"


@dataclass(frozen=True, slots=True, kw_only=True)
class Corner:
    """One corner of one clause.

    Attributes:
        at: The case's place in the plan.
        likely: Whether it is the corner that stands for the root-sum-square, not the worst one.
        off: What each name is off by where it was found, internal units.
        by: The working or limit that says how much a name may be off by; for those that the job
            itself says it of, none.
        shares: Which share of that each is off by.
        measured: What panes that were cut were measured as, by the names of their sizes.
        built: The steps whose built formula has a value.
        adjusters: The workings that say how much is taken up of the loss.
        spare: By how much less than nothing the margin may be besides, internal units.
        margin: The margin that is left there at the point it was found for.
    """

    at: int
    likely: bool
    off: Mapping[str, float]
    by: Mapping[str, str]
    shares: Mapping[str, float]
    measured: Mapping[str, float]
    built: frozenset[str]
    adjusters: tuple[str, ...]
    spare: float
    margin: float

    @property
    def is_general(self) -> bool:
        """Return whether it is a corner of other choices of kit, glass and hand as well."""
        return not self.likely and self.off.keys() == self.shares.keys()

    def facts(self, value: Callable[[str], float]) -> dict[str, float]:
        """Return the facts that the corner is made of, by name.

        Args:
            value: Gives the value of a working or limit, nan where that may move.
        """
        amounts = {name: value(self.by[name]) * share for name, share in self.shares.items()}
        found = {f"{OFF}{name}": amount for name, amount in self.off.items()}
        found |= {f"{OFF}{name}": one for name, one in amounts.items() if not math.isnan(one)}
        found |= {f"{IS}{name}": one for name, one in self.measured.items()}
        return {**found, SPARE: self.spare}

    @property
    def key(self) -> tuple[Hashable, ...]:
        """Return what its program depends on."""
        return self.at, frozenset(self.off), frozenset(self.measured), self.built, self.adjusters


def corner_of(verdict: Verdict, tolerances: Tolerances, stack: Stack, *, likely: bool) -> Corner:
    """Return the corner that a stack-up found, for other designs of the same job.

    Args:
        verdict: The verdict the stack-up was made of.
        tolerances: The sheet of tolerances.
        stack: The stack-up.
        likely: Whether to take the one where chance takes most: where the margin is a sum, each
            tolerance takes its square's part of it there, and all of them the root-sum-square.
    """
    off = {
        one.name: one.likely if likely else one.amount
        for one in stack.corner
        if one.amount or one.likely
    }
    stated = {name for name, one in verdict.job.values.items() if one.tolerance is not None}
    by = {
        name: row.by for row, name in tolerances.off(verdict) if name in off and name not in stated
    }
    taking = tolerances.taking(verdict.plan.cases[stack.at])
    return Corner(
        at=stack.at,
        likely=likely,
        off=off,
        by=by,
        shares={name: off[name] / verdict.answer(amount).value for name, amount in by.items()},
        measured=tolerances.measured(verdict),
        built=frozenset(
            step.name for step in verdict.plan.steps if built_formula(verdict, step) is not None
        ),
        adjusters=tuple(one.by for one in taking if verdict.answer(one.by).known),
        spare=0.0,
        margin=stack.rss if likely else stack.worst,
    )


def no_worse(at: int, margin: float) -> Corner:
    """Return what asks that a case fails by no more than it does.

    Args:
        at: The case's place in the plan.
        margin: Its margin as the job stands, internal units; below 0.
    """
    nothing: dict[str, float] = {}
    nobody: dict[str, str] = {}
    return Corner(
        at=at,
        likely=False,
        off=nothing,
        by=nobody,
        shares=nothing,
        measured=nothing,
        built=frozenset(),
        adjusters=(),
        spare=-margin,
        margin=0.0,
    )


class _Shifting(Rewrite):
    """The reading that asks for each name as built and off, and keeps the steps that takes."""

    def __init__(self, plan: Plan, corner: Corner) -> None:
        self._steps = {step.name: step for step in plan.steps}
        self._off = corner.off
        self._measured = corner.measured
        self._built = corner.built
        self._place = plan.cases[corner.at].clause.place
        self._named: dict[str, str] = {}
        self.steps: list[Step] = []

    def name(self, node: Name) -> Node:
        return Name(self._shifted(node.name), node.at)

    def _shifted(self, name: str) -> str:
        if name not in self._named:
            self._named[name] = self._made(name)
        return self._named[name]

    def _made(self, name: str) -> str:
        # A pane that was measured is what it is: it no longer follows the drawing, and is not off.
        if name in self._measured:
            return self._kept(name, Name(f"{IS}{name}"))
        if name in self._off:
            return self._kept(name, Arith("+", Name(name), Name(f"{OFF}{name}")))
        # Glass is cut from the drawing: what changes with the work cannot reach into a frozen size,
        # so the shift ends at it, and only its own tolerance, above, moves it.
        step = self._steps.get(name)
        if step is None or step.frozen:
            return name
        is_built = name in self._built and step.built is not None
        formula = step.built if is_built and step.built is not None else step.drawn
        shifted = fold(formula, self)
        # A step that nothing shifts keeps its name, so that all corners share its program.
        return self._kept(name, shifted) if is_built or shifted != formula else name

    def _kept(self, name: str, formula: Node) -> str:
        new = f"{SHIFTED}{name}"
        self.steps.append(step_of(new, formula, self._place))
        return new


def cornered(plan: Plan, corner: Corner) -> tuple[tuple[Step, ...], Case]:
    """Return a case of a plan as it is asked at a corner, and the steps that takes, in order.

    What is exempt at size is asked nothing at its corners, as in a stack-up.

    Args:
        plan: The plan.
        corner: The corner; its `facts` are what the steps take.
    """
    case = plan.cases[corner.at]
    shifting = _Shifting(plan, corner)
    when, margin = case.when, margin_of(case)
    if margin is not None:
        held = fold(margin, shifting)
        for name in (SPARE, *corner.adjusters):
            held = Arith("+", held, Name(name))
        needs: Node | None = Compare(">=", held, Number(0.0), hair_of(case))
    else:
        needs = None if case.needs is None else fold(case.needs, shifting)
        when = None if when is None else Both((when, fold(when, shifting)))
    return tuple(shifting.steps), replace(case, when=when, needs=needs, softer=None)
