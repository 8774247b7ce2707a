"""A clause at one corner of the tolerances, written as a clause over the levers.

The glass is cut from the drawing: frozen sizes are the drawn ones and what they are off by. All
else is as built, from readings and parts that are off. What each is off by is a fact of its own, so
that one program serves every corner of a clause.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from ruleset.cases import hair_of, margin_of, step_of
from ruleset.formula.tree import Arith, Both, Compare, Name, Node, Number, Rewrite, fold
from ruleset.plan import Case, Plan, Step

from ..finding import Stack
from ..toleranced import built_formula
from ..tolerances import Tolerances
from ..verdict import Verdict

OFF, IS, SHIFTED, TAKEN_UP = "off:", "off:is:", "shifted:", "off:taken up"


@dataclass(frozen=True, slots=True, kw_only=True)
class Corner:
    """One corner of one clause.

    Attributes:
        at: The case's place in the plan.
        likely: Whether it is the corner that stands for the root-sum-square, not the worst one.
        off: What each name is off by, internal units.
        measured: What panes that were cut were measured as, by the names of their sizes.
        built: The steps whose built formula has a value.
        taken_up: What the adjusters take up, internal units of the margin.
        margin: The margin that is left there at the point it was found for.
    """

    at: int
    likely: bool
    off: Mapping[str, float]
    measured: Mapping[str, float]
    built: frozenset[str]
    taken_up: float
    margin: float

    @property
    def facts(self) -> dict[str, float]:
        """Return the facts that the corner is made of, by name."""
        found = {f"{OFF}{name}": amount for name, amount in self.off.items()}
        found |= {f"{IS}{name}": value for name, value in self.measured.items()}
        return {**found, TAKEN_UP: self.taken_up}

    @property
    def key(self) -> tuple[object, ...]:
        """Return what its program depends on."""
        return self.at, frozenset(self.off), frozenset(self.measured), self.built


def corner_of(verdict: Verdict, tolerances: Tolerances, stack: Stack, *, likely: bool) -> Corner:
    """Return the corner that a stack-up found, for other designs of the same job.

    Args:
        verdict: The verdict the stack-up was made of.
        tolerances: The sheet of tolerances.
        stack: The stack-up.
        likely: Whether to take the one where chance takes most: where the margin is a sum, each
            tolerance takes its square's part of it there, and all of them the root-sum-square.
    """
    return Corner(
        at=stack.at,
        likely=likely,
        off={
            one.name: one.likely if likely else one.amount
            for one in stack.corner
            if one.amount or one.likely
        },
        measured=tolerances.measured(verdict),
        built=frozenset(
            step.name for step in verdict.plan.steps if built_formula(verdict, step) is not None
        ),
        taken_up=stack.taken_up,
        margin=stack.rss if likely else stack.worst,
    )


def no_worse(at: int, margin: float) -> Corner:
    """Return what asks that a case fails by no more than it does.

    Args:
        at: The case's place in the plan.
        margin: Its margin as the job stands, internal units; below 0.
    """
    nothing: dict[str, float] = {}
    return Corner(
        at=at,
        likely=False,
        off=nothing,
        measured=nothing,
        built=frozenset(),
        taken_up=-margin,
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
        # Adjusters give back loss, at most all of it. That they give back no more needs no formula
        # here: the case itself is asked at size, and a margin of 0 or more is all that is wanted.
        held = Arith("+", fold(margin, shifting), Name(TAKEN_UP))
        needs: Node | None = Compare(">=", held, Number(0.0), hair_of(case))
    else:
        needs = None if case.needs is None else fold(case.needs, shifting)
        # Asked only where it is asked at size and at the corner: neither alone would be told.
        when = None if when is None else Both((when, fold(when, shifting)))
    return tuple(shifting.steps), replace(case, when=when, needs=needs, softer=None)
