"""The other hands of a job: its facts in the programs of the hands that it has not."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from ruleset.formula.cone import leaves
from ruleset.formula.tree import Node
from ruleset.plan import Case, Plan, plan, sliced
from ruleset.turns import HAND

from ..usual import value_of
from ..verdict import Verdict, program_for

SAME = 1e-9  # of a value, whatever its unit


@dataclass(frozen=True, slots=True, kw_only=True)
class Turned:
    """What another hand asks of a job.

    Attributes:
        plans: The plan of each other hand, by the number of its word; every one has the same cases
            in the same places.
        cases: Places of the cases that another hand asks otherwise.
        facts: What the other programs take that the job does not give, internal units.
    """

    plans: Mapping[float, Plan] = field(default_factory=dict)
    cases: frozenset[int] = frozenset()
    facts: Mapping[str, float] = field(default_factory=dict)


def turned(verdict: Verdict) -> Turned:
    """Return what the other hands ask of a job; nothing where its own is not known."""
    library, shape = verdict.library, dict(verdict.plan.shape)
    plans: dict[float, Plan] = {}
    facts: dict[str, float] = {}
    places: set[int] = set()
    for at, word in enumerate(library.hands):
        if HAND not in shape or shape[HAND] == at:
            continue
        other = plan(library, tuple(sorted({**shape, HAND: at}.items())))
        if _asked(other) == _asked(verdict.plan):
            plans[library.words[word]] = other
            facts |= {name: value_of(library, name, verdict.job.values) for name in other.leaves}
            places |= _differ(verdict, other, facts)
    return Turned(plans=plans, cases=frozenset(places), facts=facts)


def _asked(made: Plan) -> Sequence[tuple[str, str]]:
    return [(case.clause.name, case.subject) for case in made.cases]


def _differ(verdict: Verdict, other: Plan, facts: Mapping[str, float]) -> set[int]:
    """Return the cases that another hand asks otherwise; none in a job that is symmetrical."""
    program = program_for(verdict.library, other)
    known = {**facts, **verdict.facts}
    run = program.run(
        [known[name] for name in program.facts],
        [verdict.library.limits[name].value for name in program.limits],
    )
    values = dict(zip((step.name for step in verdict.plan.steps), verdict.run.values, strict=True))
    theirs = dict(zip((step.name for step in other.steps), run.values, strict=True))
    asked = (step.name for step in sliced(other, other.cases).steps)
    if run.outcomes == verdict.run.outcomes and all(
        name in values and _is_same(values[name], theirs[name]) for name in asked
    ):
        return set()
    mine = {step.name: step.drawn for step in verdict.plan.steps}
    apart: set[str] = set()
    for step in other.steps:  # each after those it needs
        if step.drawn != mine.get(step.name) or not apart.isdisjoint(leaves(step.drawn)):
            apart.add(step.name)
    pairs = zip(verdict.plan.cases, other.cases, strict=True)
    return {
        at
        for at, (one, two) in enumerate(pairs)
        if _trees(one) != _trees(two)
        or any(not apart.isdisjoint(leaves(tree)) for tree in _trees(two))
    }


def _trees(case: Case) -> tuple[Node, ...]:
    return tuple(tree for tree in (case.when, case.needs, case.softer) if tree is not None)


def _is_same(one: float, two: float) -> bool:
    return abs(one - two) <= SAME * max(1.0, abs(one)) or (one != one and two != two)  # nan
