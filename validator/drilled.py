"""Holes as they are drilled: which measures of hardware and design would have put them there."""

import itertools
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from ruleset.formula.answer import Answer
from ruleset.formula.tree import Arith, Name, Node

from .filled_tables import Filling
from .papers import papers_of
from .slips import Spot, alike, apart, is_near
from .verdict import Verdict

HAIR = 1e-6  # mm
HOLES = "holes"
"""The group of a pane's holes, and what a paper lists of it."""
EDGE = "datum_edge"
"""What says which edge, seen from outside, a pane's holes count from."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Drilled:
    """What holes that lie elsewhere come to.

    Attributes:
        facts: What each measure would have to be for the holes to lie where they do, mm.
        unfit: Why no measure says so, a whole sentence; "" where `facts` do.
    """

    facts: Mapping[str, float]
    unfit: str = ""


def holes_of(verdict: Verdict, part: str) -> Mapping[str, Spot] | None:
    """Return a pane's holes as drawn, by what they are; None where one is not known."""
    found: dict[str, Spot] = {}
    for _, means, fields in Filling(verdict).children(part, HOLES):
        answers = [verdict.answer(fields[key]) for key in ("x", "y", "across")]
        if not all(answer.known for answer in answers):
            return None
        found[means] = Spot(*(answer.value for answer in answers))
    return found


def drilled(verdict: Verdict, part: str, moved: Mapping[str, Spot]) -> Drilled:
    """Return which measures put some holes of a pane where they are, and leave the others.

    Args:
        verdict: The job, judged.
        part: The pane.
        moved: Where holes lie, by what they are.
    """
    drawn = holes_of(verdict, part) or {}
    if any(not is_near(drawn[name].across, spot.across, HAIR) for name, spot in moved.items()):
        return Drilled(facts={}, unfit="The hardware is made for the other diameter.")
    made = _Moving(verdict)
    fields = {means: names for _, means, names in Filling(verdict).children(part, HOLES)}
    wanted = [
        (names[key], float(getattr(moved.get(means, drawn[means]), key)))
        for means, names in fields.items()
        for key in ("x", "y")
    ]
    for name, target in wanted:
        if not is_near(made.value(name), target, HAIR):
            made.facts |= dict(made.solved(Name(name), target))
    if not all(is_near(made.value(name), target, HAIR) for name, target in wanted):
        return Drilled(
            facts={}, unfit="Holes of one piece of hardware no longer lie as it is made."
        )
    further = {means for means, names in fields.items() if names["x"] in verdict.plan.leaves}
    if further and any(_is_of_piece(verdict, part, fact) for fact in made.facts):
        # Nothing says which further hole goes with which piece, so that all have to move alike.
        seen = {name: moved.get(name, drawn[name]) for name in {*further, *moved}}
        if len(alike([apart(drawn[name], spot) for name, spot in seen.items()], HAIR)) > 1:
            unfit = "What is fixed through two holes needs them as far apart as it is made."
            return Drilled(facts={}, unfit=unfit)
    for fact, unfit in papers_of(verdict).made.items():
        if fact in made.facts:
            return Drilled(facts={}, unfit=unfit)
    return Drilled(facts=made.facts)


def _is_of_piece(verdict: Verdict, part: str, fact: str) -> bool:
    """Return whether a measure is of holes that one piece, such as a pull, may be fixed through."""
    listed = verdict.library.parts[part].groups[HOLES].more
    pieces = (one for one in papers_of(verdict).pieces if one.part == part)
    return fact.startswith(f"{listed}[") or any(fact in one.placed for one in pieces)


class _Moving:
    """Values of a job as measures are moved; glass keeps its size."""

    def __init__(self, verdict: Verdict) -> None:
        self.verdict = verdict
        self.facts: dict[str, float] = {}
        self.steps = {step.name: step for step in verdict.plan.steps}

    def look_up(self, name: str) -> Answer:
        if name in self.facts:
            return Answer(self.facts[name])
        step = self.steps.get(name)
        if step is None or step.frozen:
            return self.verdict.answer(name)
        return self.verdict.answering.over(self.look_up).answer(step.drawn)

    def value(self, name: str) -> float:
        return self.look_up(name).value

    def of(self, node: Node) -> float:
        return self.verdict.answering.over(self.look_up).answer(node).value

    def solved(self, node: Node, target: float) -> tuple[tuple[str, float], ...]:
        """Return the last measure of a formula and what makes it come to a target; () for none."""
        return tuple(itertools.islice(self._solutions(node, target), 1))

    def _solutions(self, node: Node, target: float) -> Iterator[tuple[str, float]]:
        match node:
            case Name(name=name) if name in self.steps:
                if not self.steps[name].frozen:
                    yield from self._solutions(self.steps[name].drawn, target)
            case Name(name=name) if name in self.verdict.plan.leaves and name not in self.facts:
                yield name, target
            case Arith(op="-", left=left, right=right):
                yield from self._solutions(right, self.of(left) - target)
                yield from self._solutions(left, target + self.of(right))
            case Arith(op="+", left=left, right=right):
                yield from self._solutions(right, target - self.of(left))
                yield from self._solutions(left, target - self.of(right))
