"""What eats the margin: tolerances stacked up, clause by clause, on the work as built.

Only what holds at size is asked. Boxes come first, then bounds that keep sums together, and clear
nearly all; the rest are tried corner by corner. Glass is frozen as it was ordered, so that an error
of a reading lands in the laps and gaps.
"""

import heapq
import itertools
import math
from collections.abc import Callable, Iterator, Mapping, MutableMapping, Sequence
from dataclasses import replace
from typing import TypeVar, cast

from ruleset.explain import Teller
from ruleset.formula.answer import Answer, Answering
from ruleset.formula.boxes import Box, point
from ruleset.formula.cone import leaves
from ruleset.formula.sums import Bounding
from ruleset.formula.tree import Arith, Both, Call, Compare, Minus, Node
from ruleset.kinds import KINDS
from ruleset.library import is_chain
from ruleset.plan import Case, Plan, Step, leaf_of, sliced
from ruleset.program import (
    EXEMPT,
    FAILS,
    HOLDS,
    SOFTER,
    Program,
    Spelled,
    compile_boxes,
    compile_plan,
)

from .allowance import Allowance, Tolerances, allowances
from .already import range_of
from .finding import Contributor, Offset, Stack
from .verdict import Verdict

T = TypeVar("T")
Known = MutableMapping[object, Stack]
"""Stack-ups made already, by all that they depend on."""
FINE = 2
"""How much finer than usual the worst corner prints: tolerances are finer than the grid."""
FEW_CORNERS = 8
"""Up to this many toleranced names every corner is tried: 256 of them."""
MOST_BOXES = 400
"""Boxes that are asked, past that, to prove that no corner is worse than the one found."""
MARGIN = "margin"
BETWEEN = (-0.75, -0.5, -0.25, 0.0, 0.25, 0.5, 0.75)
"""Shares of a tolerance that are tried between its ends."""


def stack_up(verdict: Verdict, sheet: Tolerances, known: Known | None = None) -> Iterator[Stack]:
    """Yield the clauses that hold at size and fail somewhere within the tolerances.

    Args:
        verdict: The verdict of one job.
        sheet: The sheet of tolerances.
        known: Stack-ups made already, of this job or of others of its shape; added to.
    """
    allowed = allowances(verdict, sheet)
    for at in _not_cleared(verdict, sheet, allowed):
        found = _Stacking(verdict, sheet, allowed, at).known_stack({} if known is None else known)
        if found.fails:
            yield found


def stack_of(verdict: Verdict, sheet: Tolerances, at: int, known: Known | None = None) -> Stack:
    """Return how the tolerances stack up against one case that holds at size.

    Args:
        verdict: The verdict of one job.
        sheet: The sheet of tolerances.
        at: The case's place in the plan.
        known: Stack-ups made already; added to.
    """
    stacking = _Stacking(verdict, sheet, allowances(verdict, sheet), at)
    return stacking.known_stack({} if known is None else known)


def said_at_worst(verdict: Verdict, sheet: Tolerances, stack: Stack) -> str:
    """Return a clause's sentence at the worst corner of its tolerances.

    Args:
        verdict: The verdict that the stack-up was made of.
        sheet: The sheet of tolerances.
        stack: The stack-up.
    """
    program = _program(verdict, _off(sheet, allowances(verdict, sheet)), stack.at)
    off = {one.name: one.amount for one in stack.corner}
    facts = [_value(verdict, name) + off.get(name, 0.0) for name in program.facts]
    run = program.run(facts, _limits(verdict, program))
    known = dict(zip((step.name for step in program.plan.steps), run.values, strict=True))
    known |= dict(zip(program.facts, facts, strict=True))

    def look_up(name: str) -> Answer:
        value = known.get(name, math.nan)
        return Answer(value) if value == value else verdict.answer(name)

    answering: Answering = verdict.answering.over(look_up)
    teller = Teller(answering, verdict.kind, {}, verdict.library.words, verdict.job.style)
    return teller.tell(verdict.plan.cases[stack.at], FINE).says


def _value(verdict: Verdict, name: str) -> float:
    return verdict.answer(name).value


def _limits(verdict: Verdict, program: Program | Spelled) -> list[float]:
    return [verdict.library.limits[name].value for name in program.limits]


def _kept(verdict: Verdict, which: object, make: Callable[[], T]) -> T:
    """Return what is compiled for a shape of job, made once: many jobs of an audit share it."""
    plans, key = verdict.library.plans, ("stack-up", verdict.plan.shape, which)
    if key not in plans:
        plans[key] = make()
    return cast("T", plans[key])


def _not_cleared(
    verdict: Verdict, sheet: Tolerances, allowed: Mapping[str, Allowance]
) -> list[int]:
    """Return the cases that hold at size and that the boxes of all tolerances do not clear."""
    library, off = verdict.library, _off(sheet, allowed)
    places, program = _kept(
        verdict, ("boxes", off, sheet.not_for), lambda: _boxes(verdict, off, sheet)
    )
    facts = [_box(verdict, name, allowed) for name in program.facts]
    limits = [point(library.limits[name].value) for name in program.limits]
    outcomes, _ = program.call(facts, limits)
    at_size = verdict.run.outcomes
    bounds = _Bounds(verdict, sheet, allowed, program.plan)
    return [
        at
        for at, code in zip(places, outcomes, strict=True)
        if at_size[at] == HOLDS and code not in (HOLDS, EXEMPT) and not bounds.clear(at)
    ]


def _off(sheet: Tolerances, allowed: Mapping[str, Allowance]) -> frozenset[str]:
    """Return the names that may be off in a job, or in others of its shape."""
    return frozenset(allowed) | {name for row in sheet.declared for name in row.of}


class _Bounds:
    """What surely holds within the tolerances, with sums kept together."""

    def __init__(
        self,
        verdict: Verdict,
        sheet: Tolerances,
        allowed: Mapping[str, Allowance],
        plan: Plan,
    ) -> None:
        self._verdict = verdict
        self._sheet = sheet
        self._ranges = {
            name: _box(verdict, name, allowed) for name in allowed if verdict.answer(name).known
        }
        self._reading = Bounding(
            _Values(verdict),
            {name: limit.value for name, limit in verdict.library.limits.items()},
            {step.name: self._formula(step) for step in plan.steps if not step.frozen},
            dict.fromkeys(self._ranges, ()),
        )

    def _formula(self, step: Step) -> Node:
        if step.built is not None and self._verdict.answering.answer(step.built).known:
            return step.built
        return step.drawn

    def clear(self, at: int) -> bool:
        """Return whether a case surely holds wherever the tolerances go."""
        case = self._verdict.plan.cases[at]
        margin = margin_of(case)
        peak = None if margin is None else self._reading.bound(margin)
        if peak is None:
            return False
        try:
            low, _ = peak.box(self._ranges.__getitem__)
        except KeyError:  # a step that is no sum
            return False
        return low + taken_up(self._verdict, self._sheet, case) >= -hair_of(case)


class _Values:
    """A verdict's values, as a mapping that is asked for single names."""

    def __init__(self, verdict: Verdict) -> None:
        self._verdict = verdict

    def get(self, name: str, otherwise: float) -> float:
        answer = self._verdict.answer(name)
        return answer.value if answer.known else otherwise


def _boxes(
    verdict: Verdict, off: frozenset[str], sheet: Tolerances
) -> tuple[tuple[int, ...], Spelled]:
    """Return the cases that tolerances reach, and their program over boxes."""
    plan = _reached(verdict, off)
    reached = {*off, *(step.name for step in plan.steps if not step.frozen)}
    places = tuple(
        at
        for at, case in enumerate(plan.cases)
        if not sheet.spares(case.clause) and not reached.isdisjoint(_names(case))
    )
    asked = sliced(plan, (plan.cases[at] for at in places), built=True)
    return places, compile_boxes(verdict.library, asked, built=True)


def _reached(verdict: Verdict, off: frozenset[str]) -> Plan:
    """Return a plan in which what no tolerance reaches is given: it is as the verdict has it."""
    return _kept(verdict, ("reached", off), lambda: _made_reached(verdict.plan, off))


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


def _needed(step: Step) -> tuple[str, ...]:
    return leaves(step.drawn) + (leaves(step.built) if step.built is not None else ())


def _names(case: Case) -> tuple[str, ...]:
    trees = (case.when, case.needs, case.softer)
    return tuple(name for tree in trees if tree is not None for name in leaves(tree))


def _box(verdict: Verdict, name: str, allowed: Mapping[str, Allowance]) -> Box:
    value = _value(verdict, name)
    if value != value:  # nan
        return range_of(verdict, name)
    off = allowed[name].amount if name in allowed else 0.0
    return (value - off, value + off)


def _program(verdict: Verdict, off: frozenset[str], at: int) -> Program:
    """Return the built program of one case, its margin last."""
    library = verdict.library
    return _kept(
        verdict, (at, off), lambda: compile_plan(library, _asked(verdict, off, at), built=True)
    )


def _asked(verdict: Verdict, off: frozenset[str], at: int) -> Plan:
    case = verdict.plan.cases[at]
    plan = sliced(_reached(verdict, off), (case,), built=True, told=True)
    return replace(plan, steps=(*plan.steps, *_margin_step(case)))


class _Stacking:
    """One clause on one subject, tried over its tolerances."""

    def __init__(
        self,
        verdict: Verdict,
        sheet: Tolerances,
        allowed: Mapping[str, Allowance],
        at: int,
    ) -> None:
        self.verdict = verdict
        self.at = at
        self.case: Case = verdict.plan.cases[at]
        self.off = _off(sheet, allowed)
        self.program = _program(verdict, self.off, at)
        self.limits = _limits(verdict, self.program)
        self.has_margin = margin_of(self.case) is not None
        self.base = [_value(verdict, name) for name in self.program.facts]
        self.moves = [
            (index, allowed[name])
            for index, name in enumerate(self.program.facts)
            if name in allowed
        ]
        self.taken_up = taken_up(verdict, sheet, self.case)
        called = range(len(verdict.library.functions))
        self.costly = any(f"g{at}(" in self.program.source for at in called)

    def known_stack(self, known: Known) -> Stack:
        amounts = tuple([one.amount for _, one in self.moves])
        facts = tuple([None if one != one else one for one in self.base])  # nan
        key = (self.at, facts, amounts, self.taken_up, tuple(self.limits))
        if key not in known:
            known[key] = self.stack()
        return known[key]

    def stack(self) -> Stack:
        """Return how the tolerances stack up."""
        calm = (0,) * len(self.moves)
        outcome, margin = self._run(calm)
        if outcome not in (HOLDS, FAILS, SOFTER):  # as built it is not asked, or not known
            return self._told(calm, [0.0] * len(calm), math.nan, math.nan, outcome, "")
        alone = [self._alone(at, margin) for at in range(len(self.moves))]
        signs, tried = self._worst_corner(alone)
        if self.has_margin and not self.costly:
            signs, tried = self._between(signs), f"{tried}, and points between"
        code, worst = self._run(signs)
        return self._told(signs, [loss for _, loss in alone], margin, worst, code, tried)

    def _told(  # noqa: PLR0913, PLR0917  # private: what was found
        self,
        signs: Sequence[float],
        losses: Sequence[float],
        margin: float,
        worst: float,
        code: int,
        tried: str,
    ) -> Stack:
        rss = math.sqrt(sum(loss * loss for loss in losses))
        after = likely = math.nan
        if margin == margin:  # nan
            after = min(margin, worst + self.taken_up)
            # Where a limit caps a loss, the squares of what each takes alone overstate it.
            likely = max(after, margin - max(0.0, rss - self.taken_up))
        fails = after < -self._hair() if self.has_margin else code in (FAILS, SOFTER)
        return Stack(
            at=self.at,
            margin=margin,
            worst=after,
            rss=likely,
            fails=fails,
            fails_rss=fails and likely < -self._hair(),
            contributors=tuple(self._contributors(losses, rss)),
            corner=tuple(
                Offset(name=one.name, amount=sign * one.amount, loss=loss)
                for sign, (_, one), loss in zip(signs, self.moves, losses, strict=True)
            ),
            taken_up=self.taken_up,
            tried=tried,
        )

    def _run(self, signs: Sequence[float]) -> tuple[int, float]:
        facts = list(self.base)
        for sign, (index, allowance) in zip(signs, self.moves, strict=True):
            facts[index] += sign * allowance.amount
        run = self.program.run(facts, self.limits)
        return run.outcomes[0], run.values[-1] if self.has_margin else math.nan

    def _hair(self) -> float:
        return hair_of(self.case)

    def _alone(self, at: int, margin: float) -> tuple[int, float]:
        """Return the worse way of one tolerance alone, and what it takes from the margin."""
        found = (1, 0.0)
        for sign in (1, -1):
            signs = [0] * len(self.moves)
            signs[at] = sign
            _, moved = self._run(signs)
            if margin - moved > found[1]:
                found = (sign, margin - moved)
            if self.costly and moved != margin:
                # A bar's sag and stress are as good as straight lines over a 1/16 in.
                return found if found[1] else (-1, moved - margin)
        return found

    def _worst_corner(self, alone: Sequence[tuple[int, float]]) -> tuple[Sequence[float], str]:
        signs: Sequence[float] = [sign for sign, _ in alone]
        many = len(self.moves)
        if self.costly:
            return signs, f"the corner that each of {many} tolerances alone points to"
        if many <= FEW_CORNERS or not self.has_margin:
            return self._of_all(signs), f"all {2**many} corners"
        # The tolerance that takes most is fixed first: what is left moves least.
        order = sorted(range(many), key=lambda at: -alone[at][1])
        better, proved = self._proved(signs, order)
        how = "proved over boxes" if proved else "the worst of those tried"
        return better, f"the worst of {2**many} corners, {how}"

    def _of_all(self, signs: Sequence[float]) -> Sequence[float]:
        best, key = signs, self._key(signs)
        for corner in itertools.product((-1, 1), repeat=len(self.moves)):
            other = self._key(corner)
            if other < key:
                best, key = corner, other
        return best

    def _between(self, ways: Sequence[float]) -> Sequence[float]:
        """Return the worst found by moving one tolerance at a time from the worst corner inward.

        A size that is rounded anew, as the bar's, is worst somewhere between two ends.
        """
        worst = self._key(ways)[0]
        for at in range(len(self.moves)):
            for way in BETWEEN:
                other = [*ways[:at], way, *ways[at + 1 :]]
                margin = self._key(other)[0]
                if margin < worst - self._hair():
                    ways, worst = other, margin
        return ways

    def _key(self, signs: Sequence[float]) -> tuple[float, int]:
        code, margin = self._run(signs)
        return (margin if margin == margin else 0.0, -code)  # nan

    def _proved(self, signs: Sequence[float], order: Sequence[int]) -> tuple[Sequence[float], bool]:
        """Return the worst corner, and whether none is worse: branch and bound over boxes.

        A node has fixed the ways of the first few tolerances, and its box holds all that the others
        may do; where the least margin in it is no less than the worst one found, it is done.
        """
        program = _kept(
            self.verdict,
            ("boxes", self.at, self.off),
            lambda: compile_boxes(self.verdict.library, self.program.plan, built=True),
        )
        where = [self.program.facts.index(name) for name in program.facts]
        limits = [point(one) for one in _limits(self.verdict, program)]
        ranges = [point(self.base[at]) for at in where]
        moved = {index: at for at, (index, _) in enumerate(self.moves)}

        def low(fixed: tuple[int, ...]) -> float:
            way = dict(zip(order, fixed, strict=False))
            facts = list(ranges)
            for slot, index in enumerate(where):
                if index in moved:
                    at = moved[index]
                    amount = self.moves[at][1].amount
                    value = self.base[index]
                    sign = way.get(at)
                    facts[slot] = (
                        (value - amount, value + amount)
                        if sign is None
                        else point(value + sign * amount)
                    )
            _, values = program.call(facts, limits)
            return cast("float", values[-1][0])

        best, worst = signs, self._key(signs)[0]
        hair = self._hair()
        heap: list[tuple[float, tuple[int, ...]]] = [(low(()), ())]
        for _ in range(MOST_BOXES):
            if not heap or heap[0][0] >= worst - hair:
                return best, True
            _, fixed = heapq.heappop(heap)
            if len(fixed) == len(order):
                corner = [sign for _, sign in sorted(zip(order, fixed, strict=True))]
                margin = self._key(corner)[0]
                if margin < worst:
                    best, worst = corner, margin
                continue
            for sign in (-1, 1):
                child = (*fixed, sign)
                heapq.heappush(heap, (low(child), child))
        return best, False

    def _contributors(self, losses: Sequence[float], rss: float) -> Iterator[Contributor]:
        together: dict[str, tuple[tuple[str, ...], float]] = {}
        for (_, allowance), loss in zip(self.moves, losses, strict=True):
            names, square = together.get(allowance.means, ((), 0.0))
            together[allowance.means] = ((*names, allowance.name), square + loss * loss)
        ranked = sorted(together.items(), key=lambda item: (-item[1][1], item[0]))
        for means, (names, square) in ranked:
            if square > 0.0:
                yield Contributor(
                    means=means,
                    names=names,
                    loss=math.sqrt(square),
                    share=square / (rss * rss),
                )


def _links(case: Case) -> tuple[Compare, ...]:
    """Return the comparisons of a case that has a margin."""
    if isinstance(case.needs, Compare) and case.needs.hair:
        return (case.needs,)
    if isinstance(case.needs, Both) and is_chain(case.needs):
        return tuple(part for part in case.needs.parts if isinstance(part, Compare))
    return ()


def taken_up(verdict: Verdict, sheet: Tolerances, case: Case) -> float:
    """Return what the adjusters take up of a case's loss, internal units."""
    amounts = (verdict.answer(one.by) for one in sheet.taking(case.clause))
    return sum((amount.value for amount in amounts if amount.known), 0.0)


def hair_of(case: Case) -> float:
    """Return how little below zero a case's margin still counts as none."""
    return max((link.hair for link in _links(case)), default=0.0)


def margin_of(case: Case) -> Node | None:
    """Return how far a case is on its right side, as a formula; None where it compares nothing."""
    margins: list[Node] = []
    for link in _links(case):
        if link.op in ("<=", "<"):
            margins.append(Arith("-", link.right, link.left))
        elif link.op in (">=", ">"):
            margins.append(Arith("-", link.left, link.right))
        else:
            margins.append(Minus(Call("abs", (Arith("-", link.left, link.right),))))
    if not margins:
        return None
    return margins[0] if len(margins) == 1 else Call("min", tuple(margins))


def _margin_step(case: Case) -> Iterator[Step]:
    margin = margin_of(case)
    if margin is not None:
        yield Step(
            name=MARGIN,
            means=MARGIN,
            kind=KINDS["number"],
            drawn=margin,
            built=None,
            frozen="",
            working=None,
            place=case.clause.place,
        )
