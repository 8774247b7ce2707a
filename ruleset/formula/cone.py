"""What a formula depends on."""

from collections.abc import Callable

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

Names = tuple[str, ...]


class _Leaves:
    """The reading that keeps the names, in the order they stand."""

    def number(self, node: Number) -> Names:
        return ()

    def word(self, node: Word) -> Names:
        return ()

    def name(self, node: Name) -> Names:
        return (node.name,)

    def arith(self, node: Arith, left: Names, right: Names) -> Names:
        return left + right

    def minus(self, node: Minus, of: Names) -> Names:
        return of

    def power(self, node: Power, base: Names) -> Names:
        return base

    def call(self, node: Call, args: tuple[Names, ...]) -> Names:
        return sum(args, ())

    def choose(self, node: Choose, test: Names, then: Names, otherwise: Names) -> Names:
        return test + then + otherwise

    def compare(self, node: Compare, left: Names, right: Names) -> Names:
        return left + right

    def among(self, node: Among, item: Names) -> Names:
        return item

    def truth(self, node: Truth, of: Names) -> Names:
        return of

    def both(self, node: Both, parts: tuple[Names, ...]) -> Names:
        return sum(parts, ())

    def either(self, node: Either, parts: tuple[Names, ...]) -> Names:
        return sum(parts, ())

    def negation(self, node: Not, of: Names) -> Names:
        return of

    def gather(self, node: Gather, body: Names | None) -> Names:
        return (f"{node.group}[*]", *(body or ()))


_READING = _Leaves()


class _Taken(_Leaves):
    """The reading that leaves out the branches that were not taken."""

    def __init__(self, truth: Callable[[Node], bool | None]) -> None:
        self._truth = truth

    def choose(self, node: Choose, test: Names, then: Names, otherwise: Names) -> Names:
        so = self._truth(node.test)
        if so is None:
            return test + then + otherwise
        return then if so else otherwise


def leaves(node: Node) -> Names:
    """Return the names in a formula, each once, in the order they stand."""
    names: Names = fold(node, _READING)
    return tuple(dict.fromkeys(names))


def taken(node: Node, truth: Callable[[Node], bool | None]) -> Names:
    """Return the names that a formula's value came from, each once.

    Args:
        node: The formula.
        truth: Tells how a condition came out, None where that is not known.
    """
    names: Names = fold(node, _Taken(truth))
    return tuple(dict.fromkeys(names))
