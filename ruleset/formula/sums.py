"""Closer bounds on a margin: sums, greatest and least of what moves in step are kept together.

A box forgets that two values move together: a height less itself seems to lie anywhere. Here a
value is a sum of levers with their factors, and a sum goes into the operands of a greatest or a
least, so that what cancels does cancel. Rounding to a grid leaves a lever alone that moves on that
grid, and is an error of at most half a grid else. What is no such sum is taken from the box.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Protocol

from .answer import PLAIN_FUNCTIONS
from .boxes import Box, divide, multiply
from .tree import (
    Among,
    Arith,
    Both,
    Call,
    Choose,
    Compare,
    Either,
    Gather,
    Minus,
    Name,
    Node,
    Not,
    Number,
    Power,
    Truth,
    Word,
    fold,
)

MOST_OPERANDS = 24
WHOLE = 1e-7  # steps; how near to a whole number of them a lever's value is on the grid

Look = Callable[[str], Box]
"""Gives the box of a lever's fact or of a step."""


class Values(Protocol):
    """Values by name, as a mapping has them."""

    def get(self, name: str, otherwise: float, /) -> float: ...


class NoSum(Exception):
    """A formula that is no sum, greatest or least of sums."""


@dataclass(frozen=True, slots=True, eq=False)
class Atom:
    """Something that varies; told from others by what it is, not by its bounds.

    Attributes:
        box: Gives its bounds.
        lever: The fact of the lever that it is; "" for none.
        how: What it is made of its parts: "product", "quotient", "choice" for the second where
            the first is so and nothing else, or "".
        parts: The two that it is made of; () for none.
        negative: Their negatives.
    """

    box: Callable[[Look], Box]
    lever: str = ""
    how: str = ""
    parts: "tuple[Peak, ...]" = ()
    negative: "tuple[Peak, ...]" = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Sum:
    """A constant and atoms with their factors."""

    constant: float
    terms: Mapping[Atom, float]

    def box(self, look: Look) -> Box:
        """Return its bounds."""
        low = high = self.constant
        for atom, factor in self.terms.items():
            one = atom.box(look)
            low += factor * one[0] if factor > 0 else factor * one[1]
            high += factor * one[1] if factor > 0 else factor * one[0]
        return (low, high)

    def plus(self, other: "Sum", sign: float) -> "Sum":
        """Return the sum of two, the other one times a sign."""
        terms = dict(self.terms)
        for atom, factor in other.terms.items():
            together = terms.get(atom, 0.0) + sign * factor
            if together:
                terms[atom] = together
            else:
                terms.pop(atom, None)
        return Sum(constant=self.constant + sign * other.constant, terms=terms)

    def times(self, factor: float) -> "Sum":
        """Return the sum times a number."""
        if not factor:
            return constant(0.0)
        terms = {atom: own * factor for atom, own in self.terms.items()}
        return Sum(constant=self.constant * factor, terms=terms)


@dataclass(frozen=True, slots=True, kw_only=True)
class Peak:
    """The greatest (`way` 1) or the least (`way` -1) of sums; of one, the sum itself (`way` 0)."""

    way: int
    of: tuple[Sum, ...]

    @property
    def is_sum(self) -> bool:
        """Return whether it is one sum of levers."""
        return len(self.of) == 1 and all(atom.lever for atom in self.of[0].terms)

    def box(self, look: Look) -> Box:
        """Return its bounds."""
        boxes = [one.box(look) for one in self.of]
        pick = min if self.way < 0 else max
        return (pick(one[0] for one in boxes), pick(one[1] for one in boxes))


def constant(value: float) -> Sum:
    """Return a sum that does not vary."""
    if not math.isfinite(value):
        raise NoSum
    return Sum(constant=value, terms={})


def single(one: Sum) -> Peak:
    """Return a sum as a peak of one."""
    return Peak(way=0, of=(one,))


class Bounding:
    """The reading that makes a formula a peak of sums.

    Names are looked up: the value of what does not vary, else the formula of a step.
    """

    def __init__(
        self,
        values: "Values",
        limits: Mapping[str, float],
        steps: Mapping[str, Node],
        moving: Mapping[str, Sequence[float]],
    ) -> None:
        """Keep where names are looked up.

        Args:
            values: Values of the facts and steps that do not vary.
            limits: Values of the limits.
            steps: Formulas of the steps that vary.
            moving: The facts that vary, each with its values; () where it may have any.
        """
        self._values = values
        self._limits = limits
        self._steps = steps
        self._moving = moving
        self._known: dict[str, Peak] = {}
        self._whole: dict[tuple[str, float], bool] = {}

    def bound(self, node: Node) -> Peak | None:
        """Return a formula as a peak of sums, None where it is none."""
        try:
            return fold(node, self)
        except NoSum:
            return None

    def number(self, node: Number) -> Peak:
        return single(constant(node.value))

    def word(self, node: Word) -> Peak:
        raise NoSum

    def name(self, node: Name) -> Peak:
        name = node.name
        if name not in self._known:
            self._known[name] = self._look_up(name)
        return self._known[name]

    def _look_up(self, name: str) -> Peak:
        if name in self._steps:
            made = self.bound(self._steps[name])
            return made or single(Sum(constant=0.0, terms={Atom(lambda look: look(name)): 1.0}))
        if name in self._moving:
            return single(Sum(constant=0.0, terms={Atom(lambda look: look(name), name): 1.0}))
        if name in self._limits:
            return single(constant(self._limits[name]))
        return single(constant(self._values.get(name, math.nan)))

    def arith(self, node: Arith, left: Peak, right: Peak) -> Peak:
        match node.op:
            case "+":
                return _added(left, right)
            case "-":
                return _added(left, _scaled(right, -1.0))
            case "*":
                return _multiplied(left, right)
        return _divided(left, right)

    def minus(self, node: Minus, of: Peak) -> Peak:
        return _scaled(of, -1.0)

    def power(self, node: Power, base: Peak) -> Peak:
        value = _fixed(base)
        if value is None:
            raise NoSum
        return single(constant(value**node.exponent))

    def call(self, node: Call, args: tuple[Peak, ...]) -> Peak:
        match node.function, args:
            case "max", _:
                return _peak(1, args)
            case "min", _:
                return _peak(-1, args)
            case "abs", (of,):
                return _peak(1, (of, _scaled(of, -1.0)))
            case (("round_to" | "round_up" | "round_down"), (of, grid)):
                return self._rounded(node.function, of, grid)
            case (("sqrt" | "sin" | "cos" | "tan" | "atan"), (of,)):
                value = _fixed(of)
                if value is not None:
                    return single(constant(PLAIN_FUNCTIONS[node.function](value)))
        raise NoSum

    def _rounded(self, how: str, of: Peak, grid: Peak) -> Peak:
        step = _fixed(grid)
        if step is None or step <= 0:
            raise NoSum
        if all(self._on_grid(one, step) for one in of.of):
            # Rounding keeps what is a whole number of steps, and keeps the order of a peak.
            return Peak(way=of.way, of=tuple(_constant_rounded(how, one, step) for one in of.of))
        hair = step * 1e-6
        low, high = {"round_to": (-0.5, 0.5), "round_up": (0.0, 1.0), "round_down": (-1.0, 0.0)}[
            how
        ]
        error = (low * step - hair, high * step + hair)
        return _added(of, single(Sum(constant=0.0, terms={Atom(lambda _: error): 1.0})))

    def _on_grid(self, one: Sum, step: float) -> bool:
        """Return whether all that moves in a sum moves by whole steps."""
        return all(
            atom.lever and float(factor).is_integer() and self._is_whole(atom.lever, step)
            for atom, factor in one.terms.items()
        )

    def _is_whole(self, lever: str, step: float) -> bool:
        key = (lever, step)
        if key not in self._whole:
            values = self._moving[lever]
            self._whole[key] = bool(values) and all(_whole(value / step) for value in values)
        return self._whole[key]

    def choose(self, node: Choose, test: Peak, then: Peak, otherwise: Peak) -> Peak:
        decided = _fixed(test)
        if decided is not None:
            return then if decided else otherwise
        more = _added(then, _scaled(otherwise, -1.0))

        def difference(look: Look) -> Box:
            asked, box = test.box(look), more.box(look)
            if asked == (1.0, 1.0):
                return box
            if asked == (0.0, 0.0):
                return asked
            return (min(box[0], 0.0), max(box[1], 0.0))

        return _added(otherwise, _atom(difference, "choice", test, more))

    def compare(self, node: Compare, left: Peak, right: Peak) -> Peak:
        raise NoSum

    def among(self, node: Among, item: Peak) -> Peak:
        raise NoSum

    def truth(self, node: Truth, of: Peak) -> Peak:
        return of

    def both(self, node: Both, parts: tuple[Peak, ...]) -> Peak:
        raise NoSum

    def either(self, node: Either, parts: tuple[Peak, ...]) -> Peak:
        raise NoSum

    def negation(self, node: Not, of: Peak) -> Peak:
        value = _fixed(of)
        if value is None:
            raise NoSum
        return single(constant(1.0 - value))

    def gather(self, node: Gather, body: Peak | None) -> Peak:
        raise NoSum


def _fixed(peak: Peak) -> float | None:
    """Return the value of what does not vary, None for what does."""
    if len(peak.of) == 1 and not peak.of[0].terms:
        return peak.of[0].constant
    return None


def _added(left: Peak, right: Peak) -> Peak:
    if left.way * right.way < 0 or len(left.of) * len(right.of) > MOST_OPERANDS:
        raise NoSum
    way = left.way or right.way
    return _least_of(way, [one.plus(two, 1.0) for one in left.of for two in right.of])


def _scaled(peak: Peak, factor: float) -> Peak:
    way = peak.way if factor > 0 else -peak.way
    return Peak(way=way, of=tuple(one.times(factor) for one in peak.of))


def _peak(way: int, args: Sequence[Peak]) -> Peak:
    if any(one.way * way < 0 for one in args) or sum(len(one.of) for one in args) > MOST_OPERANDS:
        raise NoSum
    return _least_of(way, [one for arg in args for one in arg.of])


def _least_of(way: int, sums: Sequence[Sum]) -> Peak:
    """Return a peak of sums; of those that differ by a constant only one counts."""
    pick = min if way < 0 else max
    found: dict[frozenset[tuple[Atom, float]], Sum] = {}
    for one in sums:
        key = frozenset(one.terms.items())
        found[key] = pick(one, found.get(key, one), key=lambda other: other.constant)
    return Peak(way=way if len(found) > 1 else 0, of=tuple(found.values()))


def _multiplied(left: Peak, right: Peak) -> Peak:
    for one, other in ((left, right), (right, left)):
        value = _fixed(one)
        if value is not None:
            return _scaled(other, value) if value else single(constant(0.0))
    return _atom(lambda look: multiply(left.box(look), right.box(look)), "product", left, right)


def _divided(left: Peak, right: Peak) -> Peak:
    value = _fixed(right)
    if value is not None:
        if not value:
            raise NoSum
        return _scaled(left, 1.0 / value)
    return _atom(lambda look: divide(left.box(look), right.box(look)), "quotient", left, right)


def _atom(box: Callable[[Look], Box], how: str, *parts: Peak) -> Peak:
    negative = tuple(_scaled(one, -1.0) for one in parts)
    atom = Atom(box, how=how, parts=parts, negative=negative)
    return single(Sum(constant=0.0, terms={atom: 1.0}))


def _constant_rounded(how: str, one: Sum, step: float) -> Sum:
    return Sum(constant=PLAIN_FUNCTIONS[how](one.constant, step), terms=one.terms)


def _whole(steps: float) -> bool:
    return abs(steps - round(steps)) < WHOLE
