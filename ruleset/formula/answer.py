"""What one formula comes to, worked out directly, and which missing names are to blame.

The program answers whole jobs; this reading answers one formula for a sentence a person reads, and
is the plain three-valued interpreter that the program is tested against.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass

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

NAN = math.nan
NOTHING: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Answer:
    """A value and why it is not known.

    Attributes:
        value: A float in internal units, the number of a word, or 1 and 0 for yes and no; nan
            where it is not known.
        missing: The names that would have to be known. Unknown with none is undefined.
    """

    value: float
    missing: frozenset[str] = NOTHING

    @property
    def known(self) -> bool:
        """Return whether there is a value."""
        return self.value == self.value  # only nan differs from itself


def round_down(value: float, grid: float) -> float:
    """Return the largest multiple of a grid that is not above a value by more than a hair.

    Example:
        >>> round_down(10.0, 4.0)
        8.0
    """
    return _on_grid(value, grid, lambda steps: math.floor(steps + 1e-9))


def round_up(value: float, grid: float) -> float:
    """Return the smallest multiple of a grid that is not below a value by more than a hair.

    Example:
        >>> round_up(10.0, 4.0)
        12.0
    """
    return _on_grid(value, grid, lambda steps: math.ceil(steps - 1e-9))


def round_to(value: float, grid: float) -> float:
    """Return the nearest multiple of a grid; half way goes up.

    Example:
        >>> round_to(10.0, 4.0)
        12.0
    """
    return _on_grid(value, grid, lambda steps: math.floor(steps + 0.5 + 1e-9))


def _on_grid(value: float, grid: float, nearest: Callable[[float], int]) -> float:
    if not (grid > 0 and math.isfinite(value) and math.isfinite(grid)):
        return NAN
    steps = value / grid
    return nearest(steps) * grid if math.isfinite(steps) else NAN


def root(value: float) -> float:
    """Return a square root, nan of what is negative."""
    return math.sqrt(value) if value >= 0 else NAN


def turned(function: Callable[[float], float]) -> Callable[[float], float]:
    """Return a function of angles that gives nan where it has no value."""

    def turn(value: float) -> float:
        return function(value) if math.isfinite(value) else NAN

    return turn


PLAIN_FUNCTIONS: Mapping[str, Callable[..., float]] = {
    "abs": math.fabs,
    "sqrt": root,
    "round_down": round_down,
    "round_up": round_up,
    "round_to": round_to,
    "sin": turned(math.sin),
    "cos": turned(math.cos),
    "tan": turned(math.tan),
    "atan": turned(math.atan),
}


def compared(op: str, left: float, right: float, hair: float) -> float:
    """Return 1 or 0 for a comparison, nan where a side is missing. The one comparison rule."""
    if left != left or right != right:  # nan
        return NAN
    match op:
        case ">=":
            so = left >= right - hair
        case "<":
            so = left < right - hair
        case "<=":
            so = left <= right + hair
        case ">":
            so = left > right + hair
        case "==":
            so = right - hair <= left <= right + hair
        case _:
            so = not right - hair <= left <= right + hair
    return float(so)


class Answering:
    """The reading that works a formula out."""

    def __init__(
        self,
        look_up: Callable[[str], Answer],
        words: Mapping[str, float],
        functions: Mapping[str, Callable[..., float]],
    ) -> None:
        """Keep what names, words and functions stand for.

        Args:
            look_up: Gives the answer for a name.
            words: The number of each word.
            functions: Functions given by plugins, guarded: they return nan and do not raise.
        """
        self._look_up = look_up
        self._words = words
        self._functions = functions

    def over(self, look_up: Callable[[str], Answer]) -> "Answering":
        """Return the same reading over other values of the names."""
        return Answering(look_up, self._words, self._functions)

    def answer(self, node: Node) -> Answer:
        """Return what a formula comes to."""
        return fold(node, self)

    def number(self, node: Number) -> Answer:
        return Answer(node.value)

    def word(self, node: Word) -> Answer:
        return Answer(self._words[node.text])

    def name(self, node: Name) -> Answer:
        return self._look_up(node.name)

    def arith(self, node: Arith, left: Answer, right: Answer) -> Answer:
        a, b = left.value, right.value
        match node.op:
            case "+":
                value = a + b
            case "-":
                value = a - b
            case "*":
                value = a * b
            case _:
                value = a / b if b else NAN
        return _made(value, left, right)

    def minus(self, node: Minus, of: Answer) -> Answer:
        return _made(-of.value, of)

    def power(self, node: Power, base: Answer) -> Answer:
        value = 1.0
        for _ in range(node.exponent):
            value *= base.value
        return _made(value, base)

    def call(self, node: Call, args: tuple[Answer, ...]) -> Answer:
        values = [arg.value for arg in args]
        if any(not arg.known for arg in args):
            return _made(NAN, *args)
        if node.function in ("min", "max"):
            return _made(min(values) if node.function == "min" else max(values), *args)
        function = self._functions.get(node.function) or PLAIN_FUNCTIONS[node.function]
        return _made(function(*values), *args)

    def choose(self, node: Choose, test: Answer, then: Answer, otherwise: Answer) -> Answer:
        if not test.known:
            return Answer(NAN, test.missing)
        return then if test.value else otherwise

    def compare(self, node: Compare, left: Answer, right: Answer) -> Answer:
        return _made(compared(node.op, left.value, right.value, node.hair), left, right)

    def among(self, node: Among, item: Answer) -> Answer:
        if not item.known:
            return Answer(NAN, item.missing)
        return Answer(float(any(item.value == self._words[word] for word in node.words)))

    def truth(self, node: Truth, of: Answer) -> Answer:
        return of

    def both(self, node: Both, parts: tuple[Answer, ...]) -> Answer:
        return _decided(parts, by=0.0)

    def either(self, node: Either, parts: tuple[Answer, ...]) -> Answer:
        return _decided(parts, by=1.0)

    def negation(self, node: Not, of: Answer) -> Answer:
        return Answer(1.0 - of.value, of.missing)

    def gather(self, node: Gather, body: Answer | None) -> Answer:
        message = f"the group {node.group} was not written out before it was worked out"
        raise AssertionError(message)


def _made(value: float, *parts: Answer) -> Answer:
    if math.isfinite(value):
        return Answer(value)
    missing: frozenset[str] = NOTHING
    for part in parts:
        missing |= part.missing
    return Answer(NAN, missing)


def _decided(parts: tuple[Answer, ...], *, by: float) -> Answer:
    if any(part.value == by for part in parts):
        return Answer(by)
    open_ = [part for part in parts if not part.known]
    return _made(NAN, *open_) if open_ else Answer(1.0 - by)
