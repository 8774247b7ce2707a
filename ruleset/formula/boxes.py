"""The spelling of intervals: what surely holds or surely fails anywhere in a range.

A value is a pair, low and high. A value that may be missing or undefined somewhere in the range
is the whole line, which decides nothing. Bounds are not rounded outward: the hair of each
comparison is far wider than the rounding of the few dozen steps of a formula.
"""

import math
from collections.abc import Callable

from .answer import round_down, round_to, round_up
from .spelling import Ask, PythonQuestions

Box = tuple[float, float]
WHOLE: Box = (-math.inf, math.inf)


def point(value: float) -> Box:
    """Return the box of one value; of a missing one, the whole line."""
    return (value, value) if value == value else WHOLE  # nan


def add(a: Box, b: Box) -> Box:
    """Return the sums of two boxes."""
    return (a[0] + b[0], a[1] + b[1])


def subtract(a: Box, b: Box) -> Box:
    """Return the differences of two boxes."""
    return (a[0] - b[1], a[1] - b[0])


def _hull(values: tuple[float, ...]) -> Box:
    total = sum(values)  # one nan makes it nan, as do both infinities, between which is the whole
    return WHOLE if total != total else (min(values), max(values))


def multiply(a: Box, b: Box) -> Box:
    """Return the products of two boxes.

    Example:
        >>> multiply((-1.0, 2.0), (3.0, 4.0))
        (-4.0, 8.0)
    """
    return _hull((a[0] * b[0], a[0] * b[1], a[1] * b[0], a[1] * b[1]))


def divide(a: Box, b: Box) -> Box:
    """Return the quotients of two boxes; the whole line where the divisor may be 0."""
    if b[0] <= 0.0 <= b[1]:
        return WHOLE
    return _hull((a[0] / b[0], a[0] / b[1], a[1] / b[0], a[1] / b[1]))


def negative(a: Box) -> Box:
    """Return the negatives of a box."""
    return (-a[1], -a[0])


def power(a: Box, exponent: int) -> Box:
    """Return the whole powers of a box.

    Example:
        >>> power((-3.0, 2.0), 2)
        (0.0, 9.0)
    """
    ends = _hull(tuple(math.prod([end] * exponent) for end in a))
    return (0.0, ends[1]) if exponent % 2 == 0 and a[0] < 0.0 < a[1] else ends


def least(a: Box, b: Box) -> Box:
    """Return the lesser of two boxes; the whole line where either may be undefined."""
    return WHOLE if WHOLE in (a, b) else (min(a[0], b[0]), min(a[1], b[1]))


def greatest(a: Box, b: Box) -> Box:
    """Return the greater of two boxes; the whole line where either may be undefined."""
    return WHOLE if WHOLE in (a, b) else (max(a[0], b[0]), max(a[1], b[1]))


def absolute(a: Box) -> Box:
    """Return the sizes of a box."""
    if a[0] >= 0.0:
        return a
    return (-a[1], -a[0]) if a[1] <= 0.0 else (0.0, max(-a[0], a[1]))


def hull(a: Box, b: Box) -> Box:
    """Return the smallest box around two."""
    return (min(a[0], b[0]), max(a[1], b[1]))


def root(a: Box) -> Box:
    """Return the square roots of a box; the whole line where it may be negative."""
    return WHOLE if a[0] < 0.0 else (math.sqrt(a[0]), math.sqrt(a[1]))


def rising(function: Callable[..., float]) -> Callable[..., Box]:
    """Return the box twin of a function that rises with its first value; the rest are points."""

    def twin(a: Box, *rest: Box) -> Box:
        if any(one[0] != one[1] for one in rest) or WHOLE in (a, *rest):
            return WHOLE
        at = [one[0] for one in rest]
        return _hull((function(a[0], *at), function(a[1], *at)))

    return twin


def only_points(function: Callable[..., float]) -> Callable[..., Box]:
    """Return the box twin of a function nothing is known of: exact at points, else anything."""

    def twin(*args: Box) -> Box:
        if any(one[0] != one[1] for one in args):
            return WHOLE
        return point(function(*(one[0] for one in args)))

    return twin


def rising_near(function: Callable[[float], float]) -> Callable[[Box], Box]:
    """Return the box twin of a function of angles that rises from -90 to 90 degrees.

    Example:
        >>> rising_near(math.sin)((0.0, 4.0)) == WHOLE
        True
    """
    twin = rising(function)
    return lambda a: twin(a) if a[0] == a[1] or absolute(a)[1] < math.pi / 2 else WHOLE


def cosine(a: Box) -> Box:
    """Return the cosines of a box of angles; the whole line past half a turn."""
    if a[0] != a[1] and absolute(a)[1] > math.pi:
        return WHOLE
    near, far = absolute(a)
    return WHOLE if math.isinf(far) else (math.cos(far), math.cos(near))


BOX_FUNCTIONS: dict[str, Callable[..., Box]] = {
    "sqrt": root,
    "round_down": rising(round_down),
    "round_up": rising(round_up),
    "round_to": rising(round_to),
    "atan": rising(math.atan),
    "sin": rising_near(math.sin),
    "cos": cosine,
    "tan": rising_near(math.tan),
}
BOX_PRELUDE: dict[str, object] = {
    "whole": WHOLE,
    "inf": math.inf,
    "add": add,
    "subtract": subtract,
    "multiply": multiply,
    "divide": divide,
    "negative": negative,
    "power": power,
    "least": least,
    "greatest": greatest,
    "absolute": absolute,
    "hull": hull,
    "point": point,
}


class Boxes(PythonQuestions):
    """Calls on pairs. Needs the names of `BOX_PRELUDE` and of `BOX_FUNCTIONS` as of_NAME."""

    takes_one_branch = False

    def number(self, value: float) -> str:
        return "whole" if math.isnan(value) else f"({value!r}, {value!r})"

    def arith(self, op: str, left: str, right: str) -> str:
        name = {"+": "add", "-": "subtract", "*": "multiply"}[op]
        return f"{name}({left}, {right})"

    def divide(self, left: str, right_atom: str) -> str:
        return f"divide({left}, {right_atom})"

    def minus(self, of: str) -> str:
        return f"negative({of})"

    def power(self, base_atom: str, exponent: int) -> str:
        return f"power({base_atom}, {exponent})"

    def extreme(self, how: str, one_atom: str, other_atom: str) -> str:
        return f"{'least' if how == 'min' else 'greatest'}({one_atom}, {other_atom})"

    def absolute(self, of: str) -> str:
        return f"absolute({of})"

    def function(self, name: str, args: tuple[str, ...]) -> str:
        return f"{name}({', '.join(args)})"

    def choose(self, test: Ask, then: str, otherwise: str) -> str:
        return (
            f"({then} if {test.so} else {otherwise} if {test.not_so} "
            f"else hull({then}, {otherwise}))"
        )

    def finite(self, atom: str) -> str:
        return atom

    def compare(self, op: str, left: str, right: str, hair: float) -> Ask:
        a, ah, b, bh = f"{left}[0]", f"{left}[1]", f"{right}[0]", f"{right}[1]"
        match op:
            case ">=":
                return Ask(f"{a} >= {bh} - {hair!r}", f"{ah} < {b} - {hair!r}")
            case "<":
                return Ask(f"{ah} < {b} - {hair!r}", f"{a} >= {bh} - {hair!r}")
            case "<=":
                return Ask(f"{ah} <= {b} + {hair!r}", f"{a} > {bh} + {hair!r}")
            case ">":
                return Ask(f"{a} > {bh} + {hair!r}", f"{ah} <= {b} + {hair!r}")
        same = f"({a} >= {bh} - {hair!r} and {ah} <= {b} + {hair!r})"
        apart = f"({ah} < {b} - {hair!r} or {a} > {bh} + {hair!r})"
        return Ask(same, apart) if op == "==" else Ask(apart, same)

    def alike(self, left_atom: str, right_atom: str) -> Ask:
        same = f"{left_atom}[0] == {left_atom}[1] == {right_atom}[0] == {right_atom}[1]"
        apart = f"({left_atom}[1] < {right_atom}[0] or {left_atom}[0] > {right_atom}[1])"
        return Ask(f"({same})", apart)

    def among(self, item_atom: str, numbers: tuple[float, ...]) -> Ask:
        same = " or ".join(f"{item_atom} == ({n!r}, {n!r})" for n in numbers) or "False"
        other = " and ".join(f"({item_atom}[1] < {n!r} or {item_atom}[0] > {n!r})" for n in numbers)
        return Ask(f"({same})", f"({other or 'True'})")

    def truth(self, atom: str) -> Ask:
        return Ask(f"{atom} == (1.0, 1.0)", f"{atom} == (0.0, 0.0)")

    def yes_no(self, ask: Ask) -> str:
        return f"((1.0, 1.0) if {ask.so} else (0.0, 0.0) if {ask.not_so} else (0.0, 1.0))"

    def first_known(self, one_atom: str, other_atom: str) -> str:
        return f"{other_atom} if {one_atom} == whole else {one_atom}"
