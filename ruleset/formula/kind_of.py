"""Which kind a formula's value prints as."""

from collections.abc import Callable

from ..kinds import KINDS, Kind
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

Maybe = Kind | None
PLAIN = KINDS["number"]


class KindOf:
    """The reading that finds the declared kind of what a formula gives; None where none is."""

    def __init__(self, declared: Callable[[str], Maybe]) -> None:
        """Keep what gives the declared kind of a name."""
        self._declared = declared

    def number(self, node: Number) -> Maybe:
        return None

    def word(self, node: Word) -> Maybe:
        return None

    def name(self, node: Name) -> Maybe:
        return self._declared(node.name)

    def arith(self, node: Arith, left: Maybe, right: Maybe) -> Maybe:
        if node.op in "+-":
            return left or right
        if isinstance(node.right, Number) or (right == PLAIN and left):
            return left
        plain = isinstance(node.left, Number) or left == PLAIN
        return right if plain and node.op == "*" else None

    def minus(self, node: Minus, of: Maybe) -> Maybe:
        return of

    def power(self, node: Power, base: Maybe) -> Maybe:
        return None

    def call(self, node: Call, args: tuple[Maybe, ...]) -> Maybe:
        alike = ("min", "max", "abs", "round_up", "round_down", "round_to")
        return next(filter(None, args), None) if node.function in alike else None

    def choose(self, node: Choose, test: Maybe, then: Maybe, otherwise: Maybe) -> Maybe:
        return then or otherwise

    def compare(self, node: Compare, left: Maybe, right: Maybe) -> Maybe:
        return left or right

    def among(self, node: Among, item: Maybe) -> Maybe:
        return item

    def truth(self, node: Truth, of: Maybe) -> Maybe:
        return of

    def both(self, node: Both, parts: tuple[Maybe, ...]) -> Maybe:
        return None

    def either(self, node: Either, parts: tuple[Maybe, ...]) -> Maybe:
        return None

    def negation(self, node: Not, of: Maybe) -> Maybe:
        return None

    def gather(self, node: Gather, body: Maybe) -> Maybe:
        return body


def kind_of(node: Node, declared: Callable[[str], Maybe]) -> Maybe:
    """Return the kind that a formula's value prints as, None where no name in it tells."""
    return fold(node, KindOf(declared))
