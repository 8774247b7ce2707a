"""What eats the margin: tolerances stacked up, clause by clause, on the work as built.

Only what holds at size is asked. Boxes come first, then bounds that keep sums together, and clear
nearly all; the rest are tried corner by corner. Glass is frozen as it was ordered, so that an error
of a reading lands in the laps and gaps.
"""

import heapq
import itertools
import math
from collections.abc import Hashable, Iterable, Iterator, MutableMapping, Sequence
from dataclasses import replace
from typing import cast

from ruleset.cases import hair_of, margin_of, step_of
from ruleset.explain import Teller
from ruleset.formula.answer import Answer, Answering
from ruleset.formula.boxes import point
from ruleset.plan import Case, Plan, sliced
from ruleset.program import FAILS, HOLDS, SOFTER, Program, Spelled, compile_boxes, compile_plan

from .finding import Contributor, Offset, Stack
from .likely import least_by_chance
from .toleranced import Toleranced, kept, not_cleared, reached, taken_up

Known = MutableMapping[Hashable, Stack]
"""Stack-ups made already, by all that they depend on."""
FINE = 2
"""How much finer than usual the worst corner prints: tolerances are finer than the grid."""
FEW_CORNERS = 8
"""Up to this many toleranced names every corner is tried: 256 of them."""
MOST_BOXES = 400
"""Boxes that are asked, past that, to prove that no corner is worse than the one found."""
MARGIN = "margin"
FEW_ALONE = 3
"""This many tolerances, those that take most, are each begun from by themselves."""
FAR = 4
"""A margin this many times what all tolerances take is not looked at closer; for costly clauses."""
BETWEEN = (-1.0, -0.75, -0.5, -0.25, 0.0, 0.25, 0.5, 0.75, 1.0)
"""Shares of a tolerance that are tried between its ends, and at them."""
VALLEYS = 8
"""Corners, the worst first, from which a way inward is followed."""


def stack_up(toleranced: Toleranced, known: Known | None = None) -> Iterator[Stack]:
    """Yield the clauses that hold at size and fail somewhere within the tolerances.

    Args:
        toleranced: The work as it is built.
        known: Stack-ups made already, of this job or of others of its shape; added to.
    """
    known = {} if known is None else known
    for at in not_cleared(toleranced):
        found = tight_at(toleranced, at, known)
        if found is not None:
            yield found


def tight_at(toleranced: Toleranced, at: int, known: Known) -> Stack | None:
    """Return how the tolerances stack up against one case; None where it holds at worst.

    Args:
        toleranced: The work as it is built.
        at: The case's place in the plan.
        known: Stack-ups made already; added to.
    """
    found = Stacking(toleranced, at).known_stack(known, chance=False)
    return found if found.fails else None


def is_costly(toleranced: Toleranced, at: int) -> bool:
    """Return whether a case calls a function that a plugin gives.

    Args:
        toleranced: The work as it is built.
        at: The case's place in the plan.
    """
    called = range(len(toleranced.verdict.library.functions))
    source = _program(toleranced, at).source
    return any(f"g{one}(" in source for one in called)


def stack_of(toleranced: Toleranced, at: int, known: Known | None = None) -> Stack:
    """Return how the tolerances stack up against one case that holds at size.

    Args:
        toleranced: The work as it is built.
        at: The case's place in the plan.
        known: Stack-ups made already; added to.
    """
    return Stacking(toleranced, at).known_stack({} if known is None else known)


def said_at_worst(toleranced: Toleranced, stack: Stack) -> str:
    """Return a clause's sentence at the worst corner of its tolerances.

    Args:
        toleranced: The work that the stack-up was made of.
        stack: The stack-up.
    """
    verdict, program = toleranced.verdict, _program(toleranced, stack.at)
    off = {one.name: one.amount for one in stack.corner}
    facts = [toleranced.value(name) + off.get(name, 0.0) for name in program.facts]
    run = program.run(facts, toleranced.limits(program))
    known = dict(zip((step.name for step in program.plan.steps), run.values, strict=True))
    known |= dict(zip(program.facts, facts, strict=True))

    def look_up(name: str) -> Answer:
        value = known.get(name, math.nan)
        return Answer(value) if value == value else verdict.answer(name)

    answering: Answering = verdict.answering.over(look_up)
    teller = Teller(answering, verdict.kind, {}, verdict.library.words, verdict.job.style)
    return teller.tell(verdict.plan.cases[stack.at], FINE).says


def _program(toleranced: Toleranced, at: int) -> Program:
    """Return the built program of one case, its margin last."""
    library = toleranced.verdict.library
    return kept(
        toleranced,
        Program,
        at,
        lambda: compile_plan(library, _asked(toleranced, at), built=True),
    )


def _asked(toleranced: Toleranced, at: int) -> Plan:
    case = toleranced.verdict.plan.cases[at]
    plan = sliced(reached(toleranced), (case,), built=True, told=True)
    margin = margin_of(case)
    more = () if margin is None else (step_of(MARGIN, margin, case.clause.place),)
    return replace(plan, steps=(*plan.steps, *more))


class Stacking:
    """One clause on one subject, tried over its tolerances."""

    def __init__(self, toleranced: Toleranced, at: int) -> None:
        """Compile the clause for the work as it is built.

        Args:
            toleranced: The work.
            at: The case's place in the plan.
        """
        self.toleranced = toleranced
        self.at = at
        self.case: Case = toleranced.verdict.plan.cases[at]
        self.program = _program(toleranced, at)
        self.limits = toleranced.limits(self.program)
        self.has_margin = margin_of(self.case) is not None
        self.base = [toleranced.value(name) for name in self.program.facts]
        self.moves = [
            (index, toleranced.allowed[name])
            for index, name in enumerate(self.program.facts)
            if name in toleranced.allowed
        ]
        self.taken_up = taken_up(toleranced, self.case)
        self.costly = is_costly(toleranced, at)

    def known_stack(self, known: Known, *, chance: bool = True) -> Stack:
        """Return how the tolerances stack up, as it was found before where it was.

        Args:
            known: Stack-ups made already; added to.
            chance: Whether what chance takes is wanted of what holds at worst as well.
        """
        amounts = tuple([(one.name, one.amount) for _, one in self.moves])
        facts = tuple([None if one != one else one for one in self.base])  # nan
        shape = self.toleranced.verdict.plan.shape
        key = (shape, self.at, facts, amounts, self.taken_up, tuple(self.limits))
        for whole in (True, chance):
            if (key, whole) in known:
                return known[key, whole]
        found = self.stack(chance=chance)
        known[key, chance or found.fails] = found
        return found

    def stack(self, *, chance: bool = True) -> Stack:
        """Return how the tolerances stack up.

        Args:
            chance: Whether what chance takes is wanted of what holds at worst as well.
        """
        calm = (0,) * len(self.moves)
        outcome, margin = self._run(calm)
        as_measured = outcome != HOLDS and bool(self.toleranced.measured)  # told as such, by itself
        if outcome not in (HOLDS, FAILS, SOFTER) or as_measured:
            return self._told(calm, calm, math.nan, math.nan, math.nan, outcome, "")
        alone = [self._alone(at, margin, both=not self.costly) for at in range(len(self.moves))]
        if self.costly and margin < FAR * sum(loss for _, loss in alone):
            alone = [self._alone(at, margin, both=True) for at in range(len(self.moves))]
        signs, tried = self._worst_corner(alone)
        code, worst = self._run(signs)
        holds = self.has_margin and worst + self.taken_up >= -self._hair()
        if chance or not holds:
            ways, taken = self._by_chance(alone, signs, margin, worst)
        else:
            ways, taken = self._by_sum(alone)
        return self._told(signs, ways, taken, margin, worst, code, tried)

    def _by_chance(
        self,
        alone: Sequence[tuple[int, float]],
        signs: Sequence[float],
        margin: float,
        worst: float,
    ) -> tuple[Sequence[float], float]:
        """Return the ways in which chance takes most of the margin, and what it takes: the rss."""
        losses = [loss for _, loss in alone]
        ways, rss = self._by_sum(alone)
        is_sum = abs(sum(losses) - (margin - worst)) <= self._hair()
        if self.costly or is_sum or not rss:
            return ways, rss
        branches = [*self._branches()]
        if not branches:
            most = sorted(range(len(losses)), key=lambda at: -losses[at])[:FEW_ALONE]
            branches = [
                [float(at == one) * sign for at, (sign, _) in enumerate(alone)] for one in most
            ]
        least, left = least_by_chance(lambda t: self._run(t)[1], [ways, signs, *branches])
        return least, max(margin - left, 0.0)

    def _branches(self) -> Iterator[Sequence[float]]:
        """Yield the ways in which each sum falls most that may be the least of the margin's."""
        for slopes in self.toleranced.bounds.slopes(self.at):
            yield [-slopes.get(one.name, 0.0) * one.amount for _, one in self.moves]

    @staticmethod
    def _by_sum(alone: Sequence[tuple[int, float]]) -> tuple[Sequence[float], float]:
        """Return the ways and what chance takes where the margin is a sum."""
        rss = math.sqrt(sum(loss * loss for _, loss in alone))
        return [sign * loss / (rss or 1.0) for sign, loss in alone], rss

    def _told(  # noqa: PLR0913, PLR0917  # private: what was found
        self,
        signs: Sequence[float],
        ways: Sequence[float],
        rss: float,
        margin: float,
        worst: float,
        code: int,
        tried: str,
    ) -> Stack:
        after = likely = math.nan
        if margin == margin:  # nan
            after = min(margin, worst + self.taken_up)
            likely = max(after, margin - max(0.0, rss - self.taken_up))
        fails = after < -self._hair() if self.has_margin else code in (FAILS, SOFTER)
        return Stack(
            at=self.at,
            margin=margin,
            worst=after,
            rss=likely,
            fails=fails,
            fails_rss=fails and likely < -self._hair(),
            contributors=tuple(self._contributors([abs(way) * rss for way in ways], rss)),
            corner=tuple(
                Offset(name=one.name, amount=sign * one.amount, likely=way * one.amount)
                for sign, way, (_, one) in zip(signs, ways, self.moves, strict=True)
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

    def _alone(self, at: int, margin: float, *, both: bool) -> tuple[int, float]:
        """Return the worse way of one tolerance alone, and what it takes from the margin.

        Args:
            at: Place of the tolerance.
            margin: The margin at size.
            both: Whether to try both ways; else the other one is taken to do the opposite.
        """
        found = (1, 0.0)
        for sign in (1, -1):
            signs = [0] * len(self.moves)
            signs[at] = sign
            _, moved = self._run(signs)
            if margin - moved > found[1]:
                found = (sign, margin - moved)
            if not both and moved != margin:
                return found if found[1] else (-1, moved - margin)
        return found

    def _worst_corner(self, alone: Sequence[tuple[int, float]]) -> tuple[Sequence[float], str]:
        signs: Sequence[float] = [sign for sign, _ in alone]
        many = len(self.moves)
        if self.costly:
            if sum(loss for _, loss in alone) * FAR > self._key((0,) * many)[0]:
                signs = self._flipped(signs)
            return signs, f"the corner that each of {many} tolerances alone points to, improved"
        if not self.has_margin:
            return self._of(
                itertools.product((-1, 1), repeat=many), signs
            ), f"all {2**many} corners"
        corners, proved, bent = self._worst(signs, alone)
        how = "proved" if proved else "the worst of those tried"
        tried = f"the worst of {2**many} corners, {how}"
        if not bent:
            return self._of(corners, signs), tried
        starts = sorted(corners, key=self._key)[:VALLEYS]
        inward = [self._between(one, bent) for one in starts]
        return self._of(inward, signs), f"{tried}, and of points between"

    def _worst(
        self, signs: Sequence[float], alone: Sequence[tuple[int, float]]
    ) -> tuple[Sequence[Sequence[float]], bool, Sequence[int]]:
        """Return corners of which one is worst, whether none is worse, and what to move inward.

        The worst corner of two valleys need not lie in the deeper one: each is followed.
        """
        many = len(self.moves)
        corners = self.toleranced.bounds.worst(self.at, self._key(signs)[0])
        if corners is not None:
            ways = zip((one.name for _, one in self.moves), signs, strict=True)
            usual = {name: sign if name in corners.counts else 0 for name, sign in ways}
            pointed = ([*{**usual, **ends}.values()] for ends in corners.found)
            bent = [at for at, (_, one) in enumerate(self.moves) if one.name in corners.bent]
            return [[*usual.values()], *pointed], True, bent
        if many <= FEW_CORNERS:
            every = itertools.product((-1, 1), repeat=many)
            return [self._of(every, signs)], True, range(many)
        # The tolerance that takes most is fixed first: what is left moves least.
        order = sorted(range(many), key=lambda at: -alone[at][1])
        corner, proved = self._proved(signs, order)
        return [corner], proved, range(many)

    def _flipped(self, signs: Sequence[float]) -> Sequence[float]:
        """Return a corner improved by turning one tolerance at a time."""
        key = self._key(signs)
        for at in range(len(signs)):
            other = [*signs[:at], -signs[at], *signs[at + 1 :]]
            found = self._key(other)
            if found < key:
                signs, key = other, found
        return signs

    def _of(self, corners: Iterable[Sequence[float]], signs: Sequence[float]) -> Sequence[float]:
        best, key = signs, self._key(signs)
        for corner in corners:
            other = self._key(corner)
            if other < key:
                best, key = corner, other
        return best

    def _between(self, ways: Sequence[float], bent: Sequence[int]) -> Sequence[float]:
        """Return the worst found by moving one tolerance at a time, the one that takes most first.

        A size that is rounded anew, as the bar's, is worst somewhere between two ends; so is the
        highest place of a wall that leans and bows.
        """
        worst = self._key(ways)[0]
        for _ in bent:
            other = self._of(self._moved(ways, bent), ways)
            margin = self._key(other)[0]
            if margin >= worst - self._hair():
                break
            ways, worst = other, margin
        return ways

    @staticmethod
    def _moved(ways: Sequence[float], bent: Sequence[int]) -> Iterator[Sequence[float]]:
        """Yield the places that moving one tolerance leads to."""
        for at in bent:
            for way in BETWEEN:
                yield [*ways[:at], way, *ways[at + 1 :]]

    def _key(self, signs: Sequence[float]) -> tuple[float, int]:
        code, margin = self._run(signs)
        return (margin if margin == margin else 0.0, -code)  # nan

    def _proved(self, signs: Sequence[float], order: Sequence[int]) -> tuple[Sequence[float], bool]:
        """Return the worst corner, and whether none is worse: branch and bound over boxes.

        A node has fixed the ways of the first few tolerances, and its box holds all that the others
        may do; where the least margin in it is no less than the worst one found, it is done.
        """
        library = self.toleranced.verdict.library
        program = kept(
            self.toleranced,
            Spelled,
            self.at,
            lambda: compile_boxes(library, self.program.plan, built=True),
        )
        where = [self.program.facts.index(name) for name in program.facts]
        limits = [point(one) for one in self.toleranced.limits(program)]
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
