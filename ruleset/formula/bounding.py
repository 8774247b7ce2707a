"""The reading that makes a formula a peak of sums: closer bounds than boxes give.

Rounding to a grid leaves a lever alone that moves on that grid, and is an error of at most half a
grid else. What is surely so all over the ranges of the levers is taken for so, and what is surely
neither the greatest nor the least is left out, so that most of a job's choices are gone.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from typing import Protocol

from .answer import PLAIN_FUNCTIONS, compared
from .boxes import (
    BOX_FUNCTIONS,
    WHOLE,
    Box,
    add,
    cosine,
    divide,
    hull,
    multiply,
    negative,
    point,
    power,
    rising_near,
)
from .sums import (
    MOST_OPERANDS,
    NoSum,
    Peak,
    Sum,
    Within,
    added,
    atom_of,
    constant,
    divided,
    lever_of,
    multiplied,
    peak_of,
    scaled,
    single,
)
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

NEAR = 1e-7  # steps; how near to a whole number of them a lever's value is on the grid
YES, NO, OPEN = (1.0, 1.0), (0.0, 0.0), (0.0, 1.0)

SLOPES: Mapping[str, Callable[[Box], Box]] = {
    "sin": cosine,
    "cos": lambda of: negative(rising_near(math.sin)(of)),
    "tan": lambda of: add(YES, power(rising_near(math.tan)(of), 2)),
    "atan": lambda of: divide(YES, add(YES, power(of, 2))),
}
"""How fast functions grow with what they are of."""


class Values(Protocol):
    """Values by name, as a mapping has them."""

    def get(self, name: str, otherwise: float, /) -> float: ...


class Bounding:
    """The reading that makes a formula a peak of sums.

    Names are looked up: the value of what does not vary, else the formula of a step.
    """

    def __init__(  # noqa: PLR0913, PLR0917  # where each sort of name is looked up
        self,
        values: Values,
        limits: Mapping[str, float],
        steps: Mapping[str, Node],
        ranges: Mapping[str, Box],
        columns: Mapping[str, Sequence[float]],
        words: Mapping[str, float],
        functions: Mapping[str, Callable[..., Box]],
        *,
        beneath: "Bounding | None" = None,
    ) -> None:
        """Keep where names are looked up.

        Args:
            values: Values of the facts and steps that do not vary.
            limits: Values of the limits.
            steps: Formulas of the steps that vary.
            ranges: The facts that vary, each with the range it stays in; what is surely so all over
                them is taken for so, and what is surely neither greatest nor least is left out.
            columns: The values of those of them that have not any value of their range.
            words: The number of each word.
            functions: Plugins' functions, over boxes.
            beneath: Where a name is looked up that stands nowhere else; it has all that varies.
        """
        self._values = values
        self._limits = limits
        self._steps = steps
        self._ranges = ranges
        self.root: Within = Within(ranges.__getitem__) if beneath is None else beneath.root
        self._columns = columns
        self._words = words
        self._functions = {**BOX_FUNCTIONS, **functions}
        self._beneath = beneath
        self._known: dict[str, Peak | None] = {}
        self._whole: dict[tuple[str, float], bool] = {}

    def over(self, values: Values, steps: Mapping[str, Node]) -> "Bounding":
        """Return the same reading with further values and steps, which none so far names."""
        return Bounding(
            values, {}, steps, {}, self._columns, self._words, self._functions, beneath=self
        )

    def bound(self, node: Node) -> Peak | None:
        """Return a formula as a peak of sums, None where something in it is missing."""
        try:
            return fold(node, self)
        except NoSum:
            return None

    def number(self, node: Number) -> Peak:
        return single(constant(node.value))

    def word(self, node: Word) -> Peak:
        return single(constant(self._words[node.text]))

    def name(self, node: Name) -> Peak:
        found = self.named(node.name)
        if found is None:
            raise NoSum
        return found

    def named(self, name: str) -> Peak | None:
        """Return what a name stands for, None where it is missing."""
        if name not in self._known:
            self._known[name] = self._look_up(name)
        return self._known[name]

    def _look_up(self, name: str) -> Peak | None:
        if name in self._steps:
            return self.bound(self._steps[name])
        if name in self._ranges:
            return single(Sum(constant=0.0, terms={lever_of(name): 1.0}))
        value = self._limits.get(name, self._values.get(name, math.nan))
        if math.isfinite(value):
            return single(constant(value))
        return None if self._beneath is None else self._beneath.named(name)

    def arith(self, node: Arith, left: Peak, right: Peak) -> Peak:
        match node.op:
            case "+":
                return added(left, right)
            case "-":
                return added(left, scaled(right, -1.0))
            case "*":
                return multiplied(left, right)
        return divided(left, right)

    def minus(self, node: Minus, of: Peak) -> Peak:
        return scaled(of, -1.0)

    def power(self, node: Power, base: Peak) -> Peak:
        if base.fixed is not None:
            return single(constant(base.fixed**node.exponent))
        times = float(node.exponent)

        def slopes(within: Within) -> tuple[Box, ...]:
            return (multiply((times, times), power(base.box(within), node.exponent - 1)),)

        return atom_of(lambda within: power(base.box(within), node.exponent), base, slopes=slopes)

    def call(self, node: Call, args: tuple[Peak, ...]) -> Peak:
        match node.function, args:
            case "max", _:
                return self._peak(1, args)
            case "min", _:
                return self._peak(-1, args)
            case "abs", (of,):
                return self._peak(1, (of, scaled(of, -1.0)))
            case (("round_to" | "round_up" | "round_down"), (of, grid)) if grid.fixed:
                return self._rounded(node.function, of, grid.fixed)
        values = [one.fixed for one in args]
        if node.function in PLAIN_FUNCTIONS and None not in values:
            return single(constant(PLAIN_FUNCTIONS[node.function](*values)))
        function, slope = self._functions[node.function], SLOPES.get(node.function)
        return atom_of(
            lambda within: function(*[one.box(within) for one in args]),
            *args,
            slopes=slope and (lambda within: (slope(args[0].box(within)),)),
        )

    def _peak(self, way: int, args: Sequence[Peak]) -> Peak:
        kept = [one.whole if one.way * way < 0 else one for one in args]
        sums = self._counting(way, [one for arg in kept for one in arg.of])
        if len(sums) > MOST_OPERANDS:
            sums = [one for arg in kept for one in arg.whole.of]
        return peak_of(way, sums)

    def _counting(self, way: int, sums: Sequence[Sum]) -> list[Sum]:
        """Return the sums that may be the greatest, or the least, somewhere."""
        kept: list[Sum] = []
        for one in sums:
            if not any(self._is_past(way, other, one) for other in kept):
                kept = [other for other in kept if not self._is_past(way, one, other)]
                kept.append(one)
        return kept

    def _is_past(self, way: int, one: Sum, other: Sum) -> bool:
        """Return whether one sum is no less than another all over the ranges, or no more."""
        low, high = one.plus(other, -1.0).box(self.root)
        return low >= 0.0 if way > 0 else high <= 0.0

    def _settled(self, of: Peak) -> Peak:
        """Return a yes/no, as a constant where it is the same all over the ranges."""
        box = of.box(self.root)
        return single(constant(box[0])) if box in {YES, NO} else of

    def _rounded(self, how: str, of: Peak, step: float) -> Peak:
        if step <= 0:
            raise NoSum
        if all(self._on_grid(one, step) for one in of.of):
            # Rounding keeps what is a whole number of steps, and keeps the order of a peak.
            return Peak(way=of.way, of=tuple(_constant_rounded(how, one, step) for one in of.of))
        hair = step * 1e-6
        least, most = {"round_to": (-0.5, 0.5), "round_up": (0.0, 1.0), "round_down": (-1.0, 0.0)}[
            how
        ]

        def error(within: Within) -> Box:
            low, high = of.box(within)
            if low == high:
                return point(PLAIN_FUNCTIONS[how](low, step) - low)
            return (least * step - hair, most * step + hair)

        return added(of, atom_of(error, of))

    def _on_grid(self, one: Sum, step: float) -> bool:
        """Return whether all that moves in a sum moves by whole steps."""
        return all(
            atom.lever and float(factor).is_integer() and self._is_whole(atom.lever, step)
            for atom, factor in one.terms.items()
        )

    def _is_whole(self, lever: str, step: float) -> bool:
        key = (lever, step)
        if key not in self._whole:
            values = self._columns.get(lever, ())
            self._whole[key] = bool(values) and all(is_whole(value / step) for value in values)
        return self._whole[key]

    def choose(self, node: Choose, test: Peak, then: Peak, otherwise: Peak) -> Peak:
        if test.fixed is not None:
            return then if test.fixed else otherwise
        more = added(then, scaled(otherwise, -1.0))

        def difference(within: Within) -> Box:
            asked, box = test.box(within), more.box(within)
            if asked in (YES, NO):
                return box if asked == YES else asked
            return hull(box, NO)

        def slopes(within: Within) -> tuple[Box, ...]:
            asked = test.box(within)
            return (NO if asked in (YES, NO) else WHOLE, asked)

        return added(otherwise, atom_of(difference, test, more, slopes=slopes))

    def compare(self, node: Compare, left: Peak, right: Peak) -> Peak:
        if left.fixed is not None and right.fixed is not None:
            return single(constant(compared(node.op, left.fixed, right.fixed, node.hair)))
        more = added(left, scaled(right, -1.0))
        asked = atom_of(lambda within: _asked(node.op, more.box(within), node.hair), more)
        return self._settled(asked)

    def among(self, node: Among, item: Peak) -> Peak:
        numbers = [self._words[word] for word in node.words]
        if item.fixed is not None:
            return single(constant(float(item.fixed in numbers)))

        def said(within: Within) -> Box:
            low, high = item.box(within)
            if low == high:
                return YES if low in numbers else NO
            return OPEN if any(low <= one <= high for one in numbers) else NO

        return self._settled(atom_of(said, item))

    def truth(self, node: Truth, of: Peak) -> Peak:
        return of

    def both(self, node: Both, parts: tuple[Peak, ...]) -> Peak:
        return self._settled(_joined(parts, by=NO))

    def either(self, node: Either, parts: tuple[Peak, ...]) -> Peak:
        return self._settled(_joined(parts, by=YES))

    def negation(self, node: Not, of: Peak) -> Peak:
        return added(single(constant(1.0)), scaled(of, -1.0))

    def gather(self, node: Gather, body: Peak | None) -> Peak:
        raise NoSum


def _joined(parts: Sequence[Peak], *, by: Box) -> Peak:
    """Return whether all parts are so, or any of them: `by` is what one part alone decides."""
    other = NO if by == YES else YES
    if any(part.fixed == by[0] for part in parts):
        return single(constant(by[0]))
    open_ = [part for part in parts if part.fixed is None]
    if not open_:
        return single(constant(other[0]))

    def said(within: Within) -> Box:
        boxes = [part.box(within) for part in open_]
        return by if by in boxes else other if all(one == other for one in boxes) else OPEN

    return atom_of(said, *open_)


def _asked(op: str, more: Box, hair: float) -> Box:
    """Return whether a comparison holds, by the bounds of how much more its left side is."""
    low, high = more
    match op:
        case ">=":
            return YES if low >= -hair else NO if high < -hair else OPEN
        case "<":
            return YES if high < -hair else NO if low >= -hair else OPEN
        case "<=":
            return YES if high <= hair else NO if low > hair else OPEN
        case ">":
            return YES if low > hair else NO if high <= hair else OPEN
    same, apart = low >= -hair and high <= hair, high < -hair or low > hair
    return OPEN if not same and not apart else YES if same == (op == "==") else NO


def _constant_rounded(how: str, one: Sum, step: float) -> Sum:
    return Sum(constant=PLAIN_FUNCTIONS[how](one.constant, step), terms=one.terms)


def is_whole(steps: float) -> bool:
    """Return whether a number is a whole one, but for what rounding leaves."""
    return abs(steps - round(steps)) < NEAR
