"""The sentence of arithmetic a person would pencil: 60 - 1/4 - 31 + 1 1/2."""

from collections.abc import Callable
from dataclasses import dataclass

from .tree import (
    FAR,
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

SUM, PRODUCT, ALONE = 1, 2, 3
_NAMES = {"min": "the least of", "max": "the greatest of", "sqrt": "the square root of"}


@dataclass(frozen=True, slots=True)
class Pencilled:
    """Arithmetic as text, and how tightly it binds."""

    text: str
    binds: int = ALONE


class Pencil:
    """The reading that writes a formula with its values in place of its names."""

    def __init__(self, value: Callable[[str], str], truth: Callable[[Node], bool | None]) -> None:
        """Keep how a name's value prints, and how a condition came out.

        Args:
            value: Gives the printed value of a name.
            truth: Gives whether a condition is so, None where it is not known.
        """
        self._value = value
        self._truth = truth

    def number(self, node: Number) -> Pencilled:
        return Pencilled(f"{node.value:.6g}")

    def word(self, node: Word) -> Pencilled:
        return Pencilled(node.text)

    def name(self, node: Name) -> Pencilled:
        text = self._value(node.name)
        return Pencilled(text, PRODUCT if " " in text or "/" in text else ALONE)

    def arith(self, node: Arith, left: Pencilled, right: Pencilled) -> Pencilled:
        if node.op in "+-":
            tight = right.text.startswith("-") or (node.op == "-" and right.binds == SUM)
            other = f"({right.text})" if tight else right.text
            return Pencilled(f"{left.text} {node.op} {other}", SUM)
        one = left.text if left.binds == ALONE else f"({left.text})"
        two = right.text if right.binds == ALONE else f"({right.text})"
        return Pencilled(f"{one} {node.op} {two}", PRODUCT)

    def minus(self, node: Minus, of: Pencilled) -> Pencilled:
        return Pencilled(f"-{of.text}" if of.binds == ALONE else f"-({of.text})", SUM)

    def power(self, node: Power, base: Pencilled) -> Pencilled:
        text = base.text if base.binds == ALONE else f"({base.text})"
        return Pencilled(f"{text}^{node.exponent}", PRODUCT)

    def call(self, node: Call, args: tuple[Pencilled, ...]) -> Pencilled:
        told = [arg for arg in args if arg.text]
        if node.function in ("min", "max") and len(told) == 1:
            return told[0]
        inside = ", ".join(arg.text for arg in told)
        if node.function == "abs":
            return Pencilled(f"|{inside}|")
        if node.function.startswith("round_"):
            way = {"round_up": " up", "round_down": " down"}.get(node.function, "")
            return Pencilled(f"{args[0].text}, rounded{way} to {args[1].text},", SUM)
        name = _NAMES.get(node.function, node.function.replace("_", " ") + " of")
        return Pencilled(f"{name} ({inside})", PRODUCT)

    def choose(
        self, node: Choose, test: Pencilled, then: Pencilled, otherwise: Pencilled
    ) -> Pencilled:
        so = self._truth(node.test)
        if so is None:
            return Pencilled(f"either {then.text} or {otherwise.text}", SUM)
        if not so and node.otherwise in (Number(FAR), Number(-FAR)):
            return Pencilled("")  # a member that is not there is not told
        return then if so else otherwise

    def compare(self, node: Compare, left: Pencilled, right: Pencilled) -> Pencilled:
        return Pencilled(f"{left.text} {node.op} {right.text}", SUM)

    def among(self, node: Among, item: Pencilled) -> Pencilled:
        return Pencilled(f"{item.text} among {', '.join(node.words)}", SUM)

    def truth(self, node: Truth, of: Pencilled) -> Pencilled:
        return of

    def both(self, node: Both, parts: tuple[Pencilled, ...]) -> Pencilled:
        return Pencilled(" and ".join(part.text for part in parts), SUM)

    def either(self, node: Either, parts: tuple[Pencilled, ...]) -> Pencilled:
        return Pencilled(" or ".join(part.text for part in parts), SUM)

    def negation(self, node: Not, of: Pencilled) -> Pencilled:
        return Pencilled(f"not {of.text}", SUM)

    def gather(self, node: Gather, body: Pencilled | None) -> Pencilled:
        return Pencilled(f"{node.how} over {node.group}")


def pencil(node: Node, value: Callable[[str], str], truth: Callable[[Node], bool | None]) -> str:
    """Return a formula with its values written in.

    Args:
        node: The formula, its groups written out.
        value: Gives the printed value of a name.
        truth: Gives whether a condition is so, None where it is not known.
    """
    return fold(node, Pencil(value, truth)).text.rstrip(",")
