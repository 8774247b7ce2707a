"""What eats the margin: tolerances stacked up, clause by clause, on the work as built.

Only what holds at size is asked. Boxes come first, and clear nearly all; the rest are tried corner
by corner. Glass is frozen as it was ordered, so that an error of a reading lands in the laps and
gaps.
"""

import itertools
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import TypeVar, cast

from ruleset.explain import Teller
from ruleset.formula.answer import Answer, Answering
from ruleset.formula.boxes import Box, point
from ruleset.formula.tree import Both, Compare
from ruleset.kinds import KINDS
from ruleset.library import is_chain
from ruleset.plan import Case, Plan, Step, sliced
from ruleset.program import EXEMPT, FAILS, HOLDS, SOFTER, Program, compile_boxes, compile_plan

from .allowance import Allowance, Tolerances, allowances
from .already import range_of
from .finding import Contributor, Stack
from .verdict import Verdict

T = TypeVar("T")
FINE = 2
"""How much finer than usual the worst corner prints: tolerances are finer than the grid."""
MOST_CORNERS = 8
"""Up to this many toleranced names every corner is tried: 256 of them."""


def stack_up(verdict: Verdict, sheet: Tolerances) -> Iterator[Stack]:
    """Yield the clauses that hold at size and fail somewhere within the tolerances.

    Args:
        verdict: The verdict of one job.
        sheet: The sheet of tolerances.
    """
    allowed = allowances(verdict, sheet)
    for at in _not_cleared(verdict, sheet, allowed):
        found = _Stacking(verdict, sheet, allowed, at).stack()
        if found is not None:
            yield found


def _touched(verdict: Verdict, sheet: Tolerances) -> list[int]:
    spared = set(sheet.not_for)
    return [
        at
        for at, (case, code) in enumerate(
            zip(verdict.plan.cases, verdict.run.outcomes, strict=True)
        )
        if code == HOLDS and not {case.clause.name, case.clause.book} & spared
    ]


def _value(verdict: Verdict, name: str) -> float:
    return verdict.answer(name).value


def _not_cleared(
    verdict: Verdict, sheet: Tolerances, allowed: Mapping[str, Allowance]
) -> list[int]:
    """Return the cases that the boxes of all tolerances do not clear."""
    library, plan = verdict.library, verdict.plan
    program = _kept(verdict, "boxes", lambda: compile_boxes(library, plan, built=True))
    facts = [_box(verdict, name, allowed) for name in program.facts]
    limits = [point(verdict.library.limits[name].value) for name in program.limits]
    outcomes, _ = program.call(facts, limits)
    return [at for at in _touched(verdict, sheet) if outcomes[at] not in (HOLDS, EXEMPT)]


def _kept(verdict: Verdict, which: object, make: Callable[[], T]) -> T:
    """Return what is compiled for a shape of job, made once: many jobs of an audit share it."""
    plans, key = verdict.library.plans, ("stack-up", verdict.plan.shape, which)
    if key not in plans:
        plans[key] = make()
    return cast("T", plans[key])


def _box(verdict: Verdict, name: str, allowed: Mapping[str, Allowance]) -> Box:
    value = _value(verdict, name)
    if value != value:  # nan
        return range_of(verdict, name)
    off = allowed[name].amount if name in allowed else 0.0
    return (value - off, value + off)


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
        self.sheet = sheet
        self.at = at
        self.case: Case = verdict.plan.cases[at]
        self.program: Program = _kept(verdict, at, self._compiled)
        self.plan = self.program.plan
        self.limits = [verdict.library.limits[name].value for name in self.program.limits]
        self.costly = self._costly()
        self.base = [_value(verdict, name) for name in self.program.facts]
        self.moves = [
            (index, allowed[name])
            for index, name in enumerate(self.program.facts)
            if name in allowed
        ]

    def _compiled(self) -> Program:
        plan = sliced(self.verdict.plan, (self.case,), built=True, told=True)
        steps = (*plan.steps, *margin_steps(self.case))
        whole = Plan(leaves=plan.leaves, steps=steps, cases=plan.cases, shape=plan.shape)
        return compile_plan(self.verdict.library, whole, built=True)

    def _run(self, signs: Sequence[int]) -> tuple[int, float]:
        run = self.program.run(self._facts(signs), self.limits)
        return run.outcomes[0], self._margin(run.values)

    def _facts(self, signs: Sequence[int]) -> list[float]:
        facts = list(self.base)
        for sign, (index, allowance) in zip(signs, self.moves, strict=True):
            facts[index] += sign * allowance.amount
        return facts

    def _margin(self, values: Sequence[float]) -> float:
        links = _links(self.case)
        if not links:
            return math.nan
        sides = values[-2 * len(links) :]
        margins = [
            sides[2 * at + 1] - sides[2 * at]
            if link.op in ("<=", "<")
            else sides[2 * at] - sides[2 * at + 1]
            if link.op in (">=", ">")
            else -abs(sides[2 * at] - sides[2 * at + 1])
            for at, link in enumerate(links)
        ]
        return min(margins)

    def stack(self) -> Stack | None:
        """Return how the tolerances stack up, None where nothing within them fails."""
        calm = (0,) * len(self.moves)
        outcome, margin = self._run(calm)
        if outcome not in (HOLDS, FAILS, SOFTER):
            return None
        alone = [self._alone(at, margin) for at in range(len(self.moves))]
        signs, tried = self._worst_corner([sign for sign, _ in alone])
        code, worst = self._run(signs)
        losses = [loss for _, loss in alone]
        rss = math.sqrt(sum(loss * loss for loss in losses))
        up, hair = self._taken_up(), self._hair()
        has_margin = margin == margin  # nan
        after = min(margin, worst + up) if has_margin else math.nan
        # Where a limit caps a loss, the squares of what each takes alone overstate it.
        likely = max(after, margin - max(0.0, rss - up)) if has_margin else math.nan
        fails = after < -hair if has_margin else code in (FAILS, SOFTER)
        if not fails:  # then it does not fail within the root-sum-square either
            return None
        return Stack(
            at=self.at,
            margin=margin,
            worst=after,
            rss=likely,
            fails_rss=has_margin and likely < -hair,
            contributors=tuple(self._contributors(losses, rss)),
            says=self._says(signs),
            taken_up=up,
            tried=tried,
        )

    def _hair(self) -> float:
        links = _links(self.case)
        return links[0].hair if links else 0.0

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

    def _worst_corner(self, signs: list[int]) -> tuple[Sequence[int], str]:
        many = len(self.moves)
        if self.costly:
            return signs, f"the corner that each of {many} tolerances alone points to"
        if many <= MOST_CORNERS:
            corners = itertools.product((-1, 1), repeat=many)
            best: Sequence[int] = signs
            key = self._key(best)
            for corner in corners:
                other = self._key(corner)
                if other < key:
                    best, key = corner, other
            return best, f"all {2**many} corners"
        key = self._key(signs)
        for at in range(many):
            flipped = [*signs[:at], -signs[at], *signs[at + 1 :]]
            other = self._key(flipped)
            if other < key:
                signs, key = flipped, other
        return signs, f"the corner that each of {many} tolerances alone points to, improved"

    def _key(self, signs: Sequence[int]) -> tuple[float, int]:
        code, margin = self._run(signs)
        return (margin if margin == margin else 0.0, -code)  # nan

    def _costly(self) -> bool:
        called = self.verdict.library.functions
        return any(f"g{at}(" in self.program.source for at in range(len(called)))

    def _taken_up(self) -> float:
        total = 0.0
        for adjuster in self.sheet.taking(self.case.clause):
            amount = self.verdict.answer(adjuster.by)
            total += amount.value if amount.known else 0.0
        return total

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

    def _says(self, signs: Sequence[int]) -> str:
        facts = self._facts(signs)
        run = self.program.run(facts, self.limits)
        known = dict(zip((step.name for step in self.plan.steps), run.values, strict=True))
        known |= dict(zip(self.program.facts, facts, strict=True))

        def look_up(name: str) -> Answer:
            value = known.get(name, math.nan)
            return Answer(value) if value == value else self.verdict.answer(name)

        verdict = self.verdict
        answering: Answering = verdict.answering.over(look_up)
        teller = Teller(answering, verdict.kind, {}, verdict.library.words, verdict.job.style)
        return teller.tell(self.case, FINE).says


def _links(case: Case) -> tuple[Compare, ...]:
    """Return the comparisons of a case that has a margin."""
    if isinstance(case.needs, Compare) and case.needs.hair:
        return (case.needs,)
    if isinstance(case.needs, Both) and is_chain(case.needs):
        return tuple(part for part in case.needs.parts if isinstance(part, Compare))
    return ()


def margin_steps(case: Case) -> Iterator[Step]:
    """Yield a step for each side of each comparison of a case, left before right."""
    for at, link in enumerate(_links(case)):
        for side, node in (("left", link.left), ("right", link.right)):
            yield Step(
                name=f"{at}:{side}",
                means=side,
                kind=KINDS["number"],
                drawn=node,
                built=None,
                frozen="",
                working=None,
                place=case.clause.place,
            )
