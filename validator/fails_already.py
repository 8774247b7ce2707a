"""Unknown, but already no: clauses that fail whatever the missing facts come to."""

import math
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from ruleset.cases import step_of
from ruleset.explain import Told
from ruleset.formula.boxes import WHOLE, Box, point
from ruleset.formula.tree import Compare
from ruleset.plan import Case, Plan, Step, sliced
from ruleset.program import FAILS, SOFTER, UNKNOWN, compile_boxes

from .verdict import Verdict

SIDES = ("actual", "limit")
_SENTENCES = re.compile(r"(?<=\.) ")


@dataclass(frozen=True, slots=True, kw_only=True)
class FailsAlready:
    """What is known of a clause that fails already.

    Attributes:
        outcome: FAILS or SOFTER, as a program says it.
        told: Its sentence.
    """

    outcome: int
    told: Told


def already_no(verdict: Verdict) -> Mapping[int, FailsAlready]:
    """Return the unknown cases of a verdict that fail anywhere in the missing facts' ranges.

    Args:
        verdict: The verdict of one job.

    Returns:
        What there is to say of each, by its place in the plan's cases. Without a hand it is what
        fails for every hand, in the words of each where they differ.
    """
    unknown = [at for at, code in enumerate(verdict.run.outcomes) if code == UNKNOWN]
    if not unknown:
        return {}
    if verdict.hands:
        return _of_every_hand(verdict, unknown)
    asked = _with_sides(sliced(verdict.plan, (verdict.plan.cases[at] for at in unknown)))
    program = compile_boxes(verdict.library, asked)
    facts = [range_of(verdict, name) for name in program.facts]
    limits = [point(verdict.library.limits[name].value) for name in program.limits]
    outcomes, values = program.call(facts, limits)
    boxes = dict(zip((step.name for step in asked.steps), values, strict=True))
    return {
        at: FailsAlready(outcome=code, told=_told(verdict, verdict.plan.cases[at], index, boxes))
        for index, (at, code) in enumerate(zip(unknown, outcomes, strict=True))
        if code in (FAILS, SOFTER)
    }


def _of_every_hand(verdict: Verdict, unknown: Iterable[int]) -> dict[int, FailsAlready]:
    hands = {hand: _failing(one) for hand, one in verdict.hands.items()}
    found: dict[int, FailsAlready] = {}
    for at in unknown:
        case = verdict.plan.cases[at]
        told = {hand: fails.get((case.clause.name, case.subject)) for hand, fails in hands.items()}
        known = {hand: one for hand, one in told.items() if one is not None}
        if len(known) == len(hands):
            found[at] = _joined(known)
    return found


def _failing(verdict: Verdict) -> dict[tuple[str, str], FailsAlready]:
    """Return what fails of a verdict of one hand, what fails already included."""
    already, teller = already_no(verdict), verdict.teller()
    found: dict[tuple[str, str], FailsAlready] = {}
    for at, (case, code) in enumerate(zip(verdict.plan.cases, verdict.run.outcomes, strict=True)):
        one = already.get(at)
        if code in (FAILS, SOFTER):
            one = FailsAlready(outcome=code, told=teller.tell(case))
        if one is not None:
            found[case.clause.name, case.subject] = one
    return found


def _joined(hands: Mapping[str, FailsAlready]) -> FailsAlready:
    first = next(iter(hands.values()))
    outcome = FAILS if all(one.outcome == FAILS for one in hands.values()) else SOFTER
    if all(one.told == first.told for one in hands.values()):
        return FailsAlready(outcome=outcome, told=first.told)
    says = _of_each({hand: one.told.says for hand, one in hands.items()})
    do = _of_each({hand: one.told.do for hand, one in hands.items()})
    return FailsAlready(outcome=outcome, told=Told(says=says, do=do))


def _of_each(texts: Mapping[str, str]) -> str:
    """Return a text as each hand says it, or once where all say the same."""
    first = next(iter(texts.values()))
    if all(text == first for text in texts.values()):
        return first
    return " ".join(f"With the hand {hand}: {text}" for hand, text in texts.items())


def range_of(verdict: Verdict, name: str) -> Box:
    """Return where a fact may lie: its value, or its declared range where it is missing."""
    value = verdict.facts.get(name, math.nan)
    if value == value:  # nan
        return (value, value)
    fact = verdict.library.facts.get(name)
    if fact is None or fact.kind is None or fact.kind.name == "word":
        return WHOLE
    return (0.0, 1.0) if fact.kind.name == "yes/no" else (fact.low, fact.high)


def _only_known(says: str) -> str:
    """Return the sentences that tell something; the first always stays."""
    first, *more = _SENTENCES.split(says)
    return " ".join([first, *(one for one in more if "not known" not in one)])


def _with_sides(plan: Plan) -> Plan:
    return Plan(
        leaves=plan.leaves,
        steps=(*plan.steps, *_sides(plan)),
        cases=plan.cases,
        shape=plan.shape,
    )


def _sides(plan: Plan) -> Iterator[Step]:
    """Yield a step for each side of each comparison, so that its box can be read off."""
    for index, case in enumerate(plan.cases):
        if isinstance(case.needs, Compare):
            for side, node in zip(SIDES, (case.needs.left, case.needs.right), strict=True):
                yield step_of(f"{index}:{side}", node, case.clause.place)


def _told(verdict: Verdict, case: Case, index: int, boxes: Mapping[str, Box]) -> Told:
    sides = [boxes.get(f"{index}:{side}", WHOLE) for side in SIDES]
    needs = case.needs
    if isinstance(needs, Compare) and needs.op in (">=", ">", "<=", "<") and needs.hair:
        up = needs.op in (">=", ">")
        have, bound = (sides[0][1], sides[1][0]) if up else (sides[0][0], sides[1][1])
        if math.isfinite(have) and math.isfinite(bound):
            told = verdict.teller().tell_bound(case, have, bound)
            return replace(told, says=_only_known(told.says))
    return Told(says=f"This fails already: {case.clause.title}.", do=case.clause.do)
