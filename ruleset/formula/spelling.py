"""How the steps of a formula are spelled in generated code.

One emitter walks the tree; a spelling says how each of a dozen operations is written. The scalar
spelling is plain Python on floats; arrays and intervals are further spellings of the same steps.
Missing is nan everywhere, and every yes/no is two questions: surely so, surely not.
"""

import math
from dataclasses import dataclass
from typing import Protocol


@dataclass(frozen=True, slots=True)
class Ask:
    """A yes/no in generated code: one expression for surely so, one for surely not."""

    so: str
    not_so: str


class Spelling(Protocol):
    """The operations that generated code is made of; arguments are expressions.

    Where an argument is called an atom, the emitter passes a name or a number only.
    """

    takes_one_branch: bool
    """Whether `choose` works out one branch alone, so that a costly one is not paid for nothing."""

    def number(self, value: float) -> str: ...
    def arith(self, op: str, left: str, right: str) -> str: ...
    def divide(self, left: str, right_atom: str) -> str: ...
    def minus(self, of: str) -> str: ...
    def power(self, base_atom: str, exponent: int) -> str: ...
    def extreme(self, how: str, one_atom: str, other_atom: str) -> str: ...
    def absolute(self, of: str) -> str: ...
    def function(self, name: str, args: tuple[str, ...]) -> str: ...
    def choose(self, test: Ask, then: str, otherwise: str) -> str: ...
    def finite(self, atom: str) -> str: ...
    def compare(self, op: str, left: str, right: str, hair: float) -> Ask: ...
    def alike(self, left_atom: str, right_atom: str) -> Ask: ...
    def among(self, item_atom: str, numbers: tuple[float, ...]) -> Ask: ...
    def truth(self, atom: str) -> Ask: ...
    def both(self, parts: tuple[Ask, ...]) -> Ask: ...
    def either(self, parts: tuple[Ask, ...]) -> Ask: ...
    def yes_no(self, ask: Ask) -> str: ...
    def outcome(self, when: Ask | None, needs: Ask, softer: Ask | None) -> str: ...
    def first_known(self, one_atom: str, other_atom: str) -> str: ...


class PythonQuestions:
    """Questions joined by Python's own and, or and if; for spellings whose questions are bools."""

    def both(self, parts: tuple[Ask, ...]) -> Ask:
        so = " and ".join(part.so for part in parts) or "True"
        not_so = " or ".join(part.not_so for part in parts) or "False"
        return Ask(f"({so})", f"({not_so})")

    def either(self, parts: tuple[Ask, ...]) -> Ask:
        so = " or ".join(part.so for part in parts) or "False"
        not_so = " and ".join(part.not_so for part in parts) or "True"
        return Ask(f"({so})", f"({not_so})")

    def outcome(self, when: Ask | None, needs: Ask, softer: Ask | None) -> str:
        """Return 0 exempt, 1 holds, 2 fails, 3 unknown, 4 fails at the lower level."""
        fails = "2" if softer is None else f"(4 if {softer.so} else 2)"
        if when is None:
            return f"1 if {needs.so} else {fails} if {needs.not_so} else 3"
        return (
            f"0 if {when.not_so} else 1 if {needs.so} else "
            f"{fails} if {when.so} and {needs.not_so} else 3"
        )


def is_number(code: str) -> bool:
    """Return whether an expression is one written number."""
    return code[0].isdigit() or (code[0] == "-" and code[1:2].isdigit())


class Scalar(PythonQuestions):
    """Plain Python on floats. Needs only the names that the program's prelude gives."""

    takes_one_branch = True

    def number(self, value: float) -> str:
        return "nan" if math.isnan(value) else repr(float(value))

    def arith(self, op: str, left: str, right: str) -> str:
        return f"({left} {op} {right})"

    def divide(self, left: str, right_atom: str) -> str:
        if is_number(right_atom):
            return f"({left} / {right_atom})" if float(right_atom) else "nan"
        return f"({left} / {right_atom} if {right_atom} else nan)"

    def minus(self, of: str) -> str:
        return f"(-{of})"

    def power(self, base_atom: str, exponent: int) -> str:
        return f"({' * '.join([base_atom] * exponent)})"

    def extreme(self, how: str, one_atom: str, other_atom: str) -> str:
        # Python's own min and max forget a nan on one side.
        sign = "<=" if how == "min" else ">="
        keep = f"{one_atom} {sign} {other_atom}"
        if not is_number(one_atom):
            keep += f" or {one_atom} != {one_atom}"
        return f"({one_atom} if {keep} else {other_atom})"

    def absolute(self, of: str) -> str:
        return f"fabs({of})"

    def function(self, name: str, args: tuple[str, ...]) -> str:
        return f"{name}({', '.join(args)})"

    def choose(self, test: Ask, then: str, otherwise: str) -> str:
        return f"({then} if {test.so} else {otherwise} if {test.not_so} else nan)"

    def finite(self, atom: str) -> str:
        return f"{atom} if {atom} - {atom} == 0.0 else nan"

    def compare(self, op: str, left: str, right: str, hair: float) -> Ask:
        low, high = _moved(right, -hair), _moved(right, hair)
        match op:
            case ">=":
                return Ask(f"{left} >= {low}", f"{left} < {low}")
            case "<":
                return Ask(f"{left} < {low}", f"{left} >= {low}")
            case "<=":
                return Ask(f"{left} <= {high}", f"{left} > {high}")
            case ">":
                return Ask(f"{left} > {high}", f"{left} <= {high}")
        same, apart = f"{low} <= {left} <= {high}", f"({left} < {low} or {left} > {high})"
        return Ask(same, apart) if op == "==" else Ask(apart, same)

    def alike(self, left_atom: str, right_atom: str) -> Ask:
        # `!=` is true of a nan; less or more is not.
        apart = f"({left_atom} < {right_atom} or {left_atom} > {right_atom})"
        return Ask(f"{left_atom} == {right_atom}", apart)

    def among(self, item_atom: str, numbers: tuple[float, ...]) -> Ask:
        same = " or ".join(f"{item_atom} == {number!r}" for number in numbers) or "False"
        other = " and ".join(f"{item_atom} != {number!r}" for number in numbers) or "True"
        return Ask(f"({same})", f"({item_atom} == {item_atom} and {other})")

    def truth(self, atom: str) -> Ask:
        return Ask(f"{atom} == 1.0", f"{atom} == 0.0")

    def yes_no(self, ask: Ask) -> str:
        return f"(1.0 if {ask.so} else 0.0 if {ask.not_so} else nan)"

    def first_known(self, one_atom: str, other_atom: str) -> str:
        return f"{one_atom} if {one_atom} == {one_atom} else {other_atom}"


def _moved(code: str, hair: float) -> str:
    if not hair:
        return code
    if is_number(code):
        return repr(float(code) + hair)
    return f"{code} {'-' if hair < 0 else '+'} {abs(hair)!r}"
