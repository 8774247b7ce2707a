"""How far each clause of a job is on its right side, worked out by a program of its own."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from ruleset.cases import links_of, margin_of, step_of
from ruleset.formula.kind_of import KindOf
from ruleset.formula.tree import fold
from ruleset.place import Place
from ruleset.plan import Case
from ruleset.program import FAILS, HOLDS, SOFTER, Program, compile_plan

from ..verdict import Verdict
from .row import Margin

DIGITS = 6
_BETWEEN = {"date": "duration"}
"""The kind of a difference, where that is another."""
_PLACE = Place(file="audit")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Margins:
    """The cases of a shape of job that compare, with the kind of each, and their program."""

    cases: tuple[tuple[int, str, str], ...]
    program: Program


def margins(verdict: Verdict) -> Mapping[str, Margin]:
    """Return the least margin of each clause that holds or fails, internal units."""
    if verdict.hands:
        return {}  # each hand has margins of its own
    made = verdict.library.kept.get(
        _Margins, ("margins", verdict.plan.shape), lambda: _made(verdict)
    )
    program = made.program
    limits = [verdict.library.limits[name].value for name in program.limits]
    values = program.run([verdict.facts[name] for name in program.facts], limits).values
    found: dict[str, Margin] = {}
    outcomes = verdict.run.outcomes
    ours = values[len(values) - len(made.cases) :]
    for (at, clause, kind), value in zip(made.cases, ours, strict=True):
        if outcomes[at] in (HOLDS, FAILS, SOFTER) and math.isfinite(value):
            known = found.get(clause)
            if known is None or value < known.value:
                found[clause] = Margin(float(f"{value:.{DIGITS}g}"), kind)
    return found


def _made(verdict: Verdict) -> _Margins:
    plan = verdict.plan
    asked = [
        (at, case, margin)
        for at, case in enumerate(plan.cases)
        if (margin := margin_of(case)) is not None
    ]
    steps = tuple(step_of(f"margin:{at}", margin, _PLACE) for at, _, margin in asked)
    program = compile_plan(verdict.library, replace(plan, steps=(*plan.steps, *steps), cases=()))
    cases = tuple((at, case.clause.name, _kind(verdict, case)) for at, case, _ in asked)
    return _Margins(cases=cases, program=program)


def _kind(verdict: Verdict, case: Case) -> str:
    """Return the name of the kind that a case compares, "number" where it has none declared."""
    reading = KindOf(verdict.kind)
    for link in links_of(case):
        for side in (link.left, link.right):
            kind = fold(side, reading)
            if kind is not None:
                return _BETWEEN.get(kind.name, kind.name)
    return "number"
