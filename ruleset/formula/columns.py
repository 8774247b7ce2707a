"""The spelling of arrays: the same rules over many jobs or variants at once.

Needs numpy, which is imported by whoever asks for a columns program. Values are arrays that
broadcast, or plain floats where nothing varies: a working is computed only over what it depends on.
"""

import math
from collections.abc import Callable
from typing import Any

from .answer import PLAIN_FUNCTIONS
from .spelling import Ask, is_number


class Columns:
    """numpy's functions by short names; see `columns_prelude`."""

    takes_one_branch = False

    def number(self, value: float) -> str:
        return "nan" if math.isnan(value) else repr(float(value))

    def arith(self, op: str, left: str, right: str) -> str:
        return f"({left} {op} {right})"

    def divide(self, left: str, right_atom: str) -> str:
        if is_number(right_atom) and float(right_atom):
            return f"({left} / {right_atom})"
        return f"divide({left}, {right_atom})"

    def minus(self, of: str) -> str:
        return f"(-{of})"

    def power(self, base_atom: str, exponent: int) -> str:
        return f"({' * '.join([base_atom] * exponent)})"

    def extreme(self, how: str, one_atom: str, other_atom: str) -> str:
        return f"{'minimum' if how == 'min' else 'maximum'}({one_atom}, {other_atom})"

    def absolute(self, of: str) -> str:
        return f"fabs({of})"

    def function(self, name: str, args: tuple[str, ...]) -> str:
        return f"{name}({', '.join(args)})"

    def choose(self, test: Ask, then: str, otherwise: str) -> str:
        return f"where({test.so}, {then}, where({test.not_so}, {otherwise}, nan))"

    def finite(self, atom: str) -> str:
        return f"where(isfinite({atom}), {atom}, nan)"

    def compare(self, op: str, left: str, right: str, hair: float) -> Ask:
        low, high = f"({right} - {hair!r})", f"({right} + {hair!r})"
        match op:
            case ">=":
                return Ask(f"({left} >= {low})", f"({left} < {low})")
            case "<":
                return Ask(f"({left} < {low})", f"({left} >= {low})")
            case "<=":
                return Ask(f"({left} <= {high})", f"({left} > {high})")
            case ">":
                return Ask(f"({left} > {high})", f"({left} <= {high})")
        same = f"(({low} <= {left}) & ({left} <= {high}))"
        apart = f"(({left} < {low}) | ({left} > {high}))"
        return Ask(same, apart) if op == "==" else Ask(apart, same)

    def alike(self, left_atom: str, right_atom: str) -> Ask:
        apart = f"(({left_atom} < {right_atom}) | ({left_atom} > {right_atom}))"
        return Ask(f"({left_atom} == {right_atom})", apart)

    def among(self, item_atom: str, numbers: tuple[float, ...]) -> Ask:
        same = " | ".join(f"({item_atom} == {number!r})" for number in numbers) or "False"
        other = " & ".join(f"({item_atom} != {number!r})" for number in numbers) or "True"
        return Ask(f"({same})", f"(({item_atom} == {item_atom}) & {other})")

    def truth(self, atom: str) -> Ask:
        return Ask(f"({atom} == 1.0)", f"({atom} == 0.0)")

    def both(self, parts: tuple[Ask, ...]) -> Ask:
        so = " & ".join(part.so for part in parts) or "True"
        not_so = " | ".join(part.not_so for part in parts) or "False"
        return Ask(f"({so})", f"({not_so})")

    def either(self, parts: tuple[Ask, ...]) -> Ask:
        so = " | ".join(part.so for part in parts) or "False"
        not_so = " & ".join(part.not_so for part in parts) or "True"
        return Ask(f"({so})", f"({not_so})")

    def yes_no(self, ask: Ask) -> str:
        return f"where({ask.so}, 1.0, where({ask.not_so}, 0.0, nan))"

    def outcome(self, when: Ask | None, needs: Ask, softer: Ask | None) -> str:
        fails = "two" if softer is None else f"where({softer.so}, four, two)"
        if when is None:
            return f"where({needs.so}, one, where({needs.not_so}, {fails}, three))"
        both = f"({when.so} & {needs.not_so})"
        return f"where({when.not_so}, zero, where({needs.so}, one, where({both}, {fails}, three)))"

    def first_known(self, one_atom: str, other_atom: str) -> str:
        return f"where({one_atom} == {one_atom}, {one_atom}, {other_atom})"


def columns_prelude() -> dict[str, object]:
    """Return the names that generated columns code needs, without plugins' functions."""
    import numpy as np  # noqa: PLC0415  # heavy: only where columns are asked for

    grid_functions = {
        "of_round_down": lambda steps: np.floor(steps + 1e-9),
        "of_round_up": lambda steps: np.ceil(steps - 1e-9),
        "of_round_to": lambda steps: np.floor(steps + 0.5 + 1e-9),
    }

    def on_grid(nearest: Callable[[Any], Any]) -> Callable[[Any, Any], Any]:
        def rounded(value: Any, grid: Any) -> Any:  # noqa: ANN401  # arrays or floats
            safe = np.where(np.asarray(grid) > 0, grid, np.nan)
            return nearest(value / safe) * safe

        return rounded

    def where(test: Any, then: Any, otherwise: Any) -> Any:  # noqa: ANN401  # arrays or plain
        if isinstance(test, bool | np.bool_):  # nothing that varies decides it
            return then if test else otherwise
        return np.where(test, then, otherwise)

    def divide(left: Any, right: Any) -> Any:  # noqa: ANN401  # arrays or floats
        quotient = np.true_divide(left, right)
        return np.where(np.isfinite(quotient), quotient, np.nan)

    found: dict[str, object] = {
        "nan": math.nan,
        "where": where,
        "minimum": np.minimum,
        "maximum": np.maximum,
        "fabs": np.fabs,
        "isfinite": np.isfinite,
        "divide": divide,
        "of_sqrt": np.sqrt,
        "of_sin": np.sin,
        "of_cos": np.cos,
        "of_tan": np.tan,
        "of_atan": np.arctan,
        **{name: on_grid(nearest) for name, nearest in grid_functions.items()},
    }
    found |= {
        word: np.int8(number) for number, word in enumerate(("zero", "one", "two", "three", "four"))
    }
    lost = {f"of_{name}" for name in PLAIN_FUNCTIONS if name != "abs"} - set(found)
    if lost:
        raise AssertionError(lost)
    return found


def row_by_row(function: Callable[..., float]) -> Callable[..., Any]:
    """Return the columns twin of a function that takes one row at a time."""
    import numpy as np  # noqa: PLC0415  # heavy: only where columns are asked for

    def twin(*args: Any) -> Any:  # noqa: ANN401  # arrays or floats
        columns = np.broadcast_arrays(*args)
        shape = columns[0].shape
        if not shape:
            return function(*(float(one) for one in columns))
        rows = np.stack([one.ravel() for one in columns], axis=1)
        unique, back = np.unique(rows, axis=0, return_inverse=True)
        values = np.array([function(*map(float, row)) for row in unique])
        return values[back.ravel()].reshape(shape)

    return twin
