"""A job as it is built: glass frozen at the size it has, readings of the work in place of plans."""

import math
from collections.abc import Collection, Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from ruleset.formula.cone import leaves
from ruleset.formula.tree import Name
from ruleset.plan import Step
from ruleset.program import Program, compile_plan

from .verdict import Verdict

READ = "as_built."


@dataclass(frozen=True, slots=True, kw_only=True)
class Frozen:
    """A size that glass has been given.

    Attributes:
        step: The working that is frozen, such as the width of a pane.
        fact: The fact that gives it.
        value: Its size, mm.
    """

    step: str
    fact: str
    value: float


def frozen_steps(verdict: Verdict) -> tuple[Step, ...]:
    """Return the steps that are cut and no longer follow."""
    return tuple(step for step in verdict.plan.steps if step.frozen)


def built_verdict(
    verdict: Verdict,
    sizes: Mapping[str, Frozen],
    *,
    readings: bool = True,
    moved: Mapping[str, float] = MappingProxyType({}),
) -> Verdict:
    """Return the verdict of the built program.

    Args:
        verdict: The job as drawn.
        sizes: Size of each step whose glass is known; the others keep the drawn one.
        readings: Whether readings of the work count; without them every place is as it is to be.
        moved: What some facts are in place of what the job gives, internal units.
    """
    program = _built_program(verdict)
    given = {
        name: one
        for name, one in verdict.job.values.items()
        if readings or not name.startswith(READ)
    }
    facts = {
        name: math.nan if name.startswith(READ) and name not in given else value
        for name, value in verdict.facts.items()
    }
    for step in frozen_steps(verdict):
        size = sizes.get(step.name)
        facts[step.name] = size.value if size else verdict.answer(step.name).value
    for name in program.facts:
        if name not in facts:
            facts[name] = given[name].value if name in given else math.nan
    facts |= moved
    run = program.run(
        [facts[name] for name in program.facts],
        [verdict.library.limits[name].value for name in program.limits],
    )
    return Verdict(
        job=verdict.job,
        layers=verdict.layers,
        library=verdict.library,
        plan=replace(verdict.plan, steps=tuple(_said(s, sizes, given) for s in verdict.plan.steps)),
        program=program,
        run=run,
        facts={
            **facts,
            **{name: one.value for name, one in given.items()},
            **moved,
        },
        assumed=verdict.assumed,
    )


def _said(step: Step, sizes: Mapping[str, Frozen], given: Collection[str]) -> Step:
    """Return a step whose arithmetic says what the built program took."""
    if step.name in sizes:
        return replace(step, drawn=Name(sizes[step.name].fact))
    if step.built is not None and all(name in given for name in leaves(step.built)):
        return replace(step, drawn=step.built)
    return step


def _built_program(verdict: Verdict) -> Program:
    library = verdict.library
    key = ("built", verdict.plan.shape)
    return library.kept.get(Program, key, lambda: compile_plan(library, verdict.plan, built=True))
