"""Bounds of a formula hold every value it comes to, its slopes each step, its worst corner all.

Outside check: random formulas are worked out plainly, point by point and corner by corner.
"""

import itertools
import math
from collections.abc import Mapping
from random import Random

import pytest

from ruleset.formula.answer import Answer, Answering
from ruleset.formula.bounding import NO, Bounding
from ruleset.formula.boxes import Box, only_points
from ruleset.formula.slopes import Growing
from ruleset.formula.sums import Within
from ruleset.formula.tree import (
    Among,
    Arith,
    Both,
    Call,
    Choose,
    Compare,
    Either,
    Minus,
    Name,
    Node,
    Not,
    Number,
    Power,
    Word,
)
from ruleset.formula.worst_corner import Corners, TooMany

WORDS = {"left": 1.0, "right": 2.0}
RANGES: Mapping[str, Box] = {"a": (2.0, 3.0), "b": (1.0, 1.5), "c": (-0.5, 0.5), "d": (4.0, 4.25)}
STILL = {"e": 7.0, "f": -2.0, "hand": 1.0}
MANY = 250
HAIR = 1e-9


def square(one: float) -> float:
    return one * one


def random_formula(random: Random, depth: int) -> Node:
    """Return a formula of quantities over the names above."""
    if depth == 0 or random.random() < 0.1:
        name = random.choice((*RANGES, "e", "f", "step"))
        return Name(name) if random.random() < 0.8 else Number(random.uniform(-3.0, 3.0))
    one, other = (random_formula(random, depth - 1) for _ in range(2))
    made: list[Node] = [
        *(Arith(op, one, other) for op in "++--*"),
        Arith("/", one, Call("max", (other, Number(0.5)))),
        *(Call(how, (one, other, Name("a"))) for how in ("min", "max")),
        Call("abs", (one,)),
        Call(random.choice(("round_to", "round_up", "round_down")), (one, Number(0.25))),
        Call(
            random.choice(("sin", "cos", "tan")),
            (Call("atan", (Arith("/", one, Number(20.0)),)),),
        ),
        Power(one, random.choice((2, 3))) if depth == 1 else Minus(one),
        Choose(random_question(random, depth - 1), one, other),
    ]
    return random.choice(made)


def random_question(random: Random, depth: int) -> Node:
    one, other = (random_formula(random, depth) for _ in range(2))
    asked = Compare(random.choice((">=", "<=", ">", "<", "==", "!=")), one, other, HAIR)
    made: list[Node] = [
        asked,
        Both((asked, Compare(">", Name("a"), Number(2.5), HAIR))),
        Either((asked, Compare("==", Name("hand"), Word("left")))),
        Either((asked, Among(Name("hand"), ("right",)))),
        Not(asked),
    ]
    return random.choice(made)


STEPS = {"step": Arith("-", Arith("*", Number(2.0), Name("a")), Name("b"))}


def bounding(ranges: Mapping[str, Box] = RANGES) -> Bounding:
    return Bounding(STILL, {}, STEPS, ranges, {}, WORDS, {"square": only_points(square)})


def value(node: Node, at: Mapping[str, float]) -> float:
    """Return what a formula comes to, by the plain reading."""
    plain = Answering(lambda name: Answer(known[name]), WORDS, {"square": square})
    known = {**STILL, **at}
    known["step"] = plain.answer(STEPS["step"]).value
    return plain.answer(node).value


def points(random: Random, ranges: Mapping[str, Box], many: int) -> list[dict[str, float]]:
    """Return points of a range, its ends among them."""
    return [
        {name: random.choice((*ends, random.uniform(*ends))) for name, ends in ranges.items()}
        for _ in range(many)
    ]


def part(random: Random) -> dict[str, Box]:
    """Return a part of the ranges."""
    found = {}
    for name, ends in RANGES.items():
        one, other = random.uniform(*ends), random.uniform(*ends)
        found[name] = (min(one, other), max(one, other))
    return found


def test_a_value_lies_within_its_bounds_and_grows_within_its_slopes() -> None:
    tried = moved = 0
    for seed in range(MANY):
        random = Random(seed)  # noqa: S311  # not for secrets
        node = random_formula(random, 4)
        peak = bounding().bound(node)
        if peak is None:
            continue
        for ranges in (RANGES, part(random), part(random)):
            within = Within(ranges.__getitem__)
            low, high = peak.box(within)
            slopes = Growing(within).of(peak)
            for at in points(random, ranges, 12):
                found = value(node, at)
                if math.isnan(found):
                    continue
                near = 1e-7 * (1 + abs(found))
                assert low - near <= found <= high + near, seed
                tried += 1
                for name, ends in ranges.items():
                    other = {**at, name: random.uniform(*ends)}
                    step, more = other[name] - at[name], value(node, other) - found
                    grows = [slope * step if step else 0.0 for slope in slopes.get(name, NO)]
                    assert min(grows) - near <= more <= max(grows) + near, (seed, name)
                    moved += abs(more) > near
    assert tried > 30 * MANY
    assert moved > 30 * MANY


def test_no_corner_is_worse_than_the_worst_of_those_found() -> None:
    tried = inside = 0
    for seed in range(MANY):
        random = Random(1000 + seed)  # noqa: S311  # not for secrets
        node = random_formula(random, 4)
        peak = bounding().bound(node)
        ranges = {
            name: (low, low + (high - low) * random.choice((0.02, 1)))
            for name, (low, high) in RANGES.items()
        }
        known = value(node, {name: low for name, (low, _) in ranges.items()})
        if peak is None or math.isnan(known):
            continue
        corners = Corners(known, HAIR)
        try:
            corners.look(peak, ranges)
        except TooMany:
            continue
        every = itertools.product(*ranges.values())
        values = [value(node, dict(zip(ranges, ends, strict=True))) for ends in every]
        found = [known]
        for ends in corners.found:
            at = {n: ranges[n][1 if ends.get(n, -1) > 0 else 0] for n in ranges}
            found.append(value(node, at))
        near = 1e-7 * (1 + abs(min(found)))
        assert all(one >= min(found) - near for one in values if one == one), seed
        tried += 1
        if not corners.bent:
            inside += 1
            between = [value(node, at) for at in points(random, ranges, 30)]
            assert all(one >= min(found) - near for one in between if one == one), seed
    assert tried > MANY / 2
    assert inside > MANY / 3


def test_a_quotient_times_what_holds_its_divisor_is_told_without_it() -> None:
    # 8 / (10 - a) times (9 - a) is 8 - 8 / (10 - a): a stands once, so that the bounds are exact.
    divisor = Arith("-", Number(10.0), Name("a"))
    node = Arith("*", Arith("/", Number(8.0), divisor), Arith("-", Number(9.0), Name("a")))
    peak = bounding().bound(node)
    assert peak is not None
    found = peak.box(Within(RANGES.__getitem__))
    assert found == pytest.approx((8 - 8 / 7, 8 - 8 / 8))


def test_what_is_the_same_all_over_the_ranges_is_decided_once() -> None:
    # d is more than a everywhere, so that the greatest of them is d, and so is the choice.
    node = Choose(
        Compare(">", Name("d"), Name("a"), HAIR), Call("max", (Name("a"), Name("d"))), Name("b")
    )
    peak = bounding().bound(node)
    assert peak is not None
    assert [one.is_plain for one in peak.of] == [True]
    assert peak.levers == {"d"}
