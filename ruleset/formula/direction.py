"""Which way a limit tightens: whether raising it can only make a clause harder to meet."""

from collections.abc import Callable, Mapping

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

Signs = Mapping[str, int]
"""For each name: 1 where raising it raises the value (or keeps a yes), -1 lowers, 0 not known."""

_SAME = ("min", "max", "sqrt")
_ROUND = ("round_up", "round_down", "round_to")


class _Direction:
    """The reading that follows signs from the leaves up."""

    def __init__(self, positive: Callable[[str], bool]) -> None:
        self._positive = positive

    def number(self, node: Number) -> Signs:
        return {}

    def word(self, node: Word) -> Signs:
        return {}

    def name(self, node: Name) -> Signs:
        return {node.name: 1}

    def arith(self, node: Arith, left: Signs, right: Signs) -> Signs:
        if node.op in "+-":
            return _merged(left, right if node.op == "+" else _turned(right))
        if not (self._never_negative(node.left) and self._never_negative(node.right)):
            return _lost(left, right)
        return _merged(left, right if node.op == "*" else _turned(right))

    def _never_negative(self, node: Node) -> bool:
        return never_negative(node, self._positive)

    def minus(self, node: Minus, of: Signs) -> Signs:
        return _turned(of)

    def power(self, node: Power, base: Signs) -> Signs:
        return base if self._never_negative(node.base) else _lost(base)

    def call(self, node: Call, args: tuple[Signs, ...]) -> Signs:
        if node.function in _ROUND:
            return _merged(args[0], _lost(*args[1:]))  # a wider grid may round either way
        return _merged(*args) if node.function in _SAME else _lost(*args)

    def choose(self, node: Choose, test: Signs, then: Signs, otherwise: Signs) -> Signs:
        return _merged(_lost(test), then, otherwise)

    def compare(self, node: Compare, left: Signs, right: Signs) -> Signs:
        if node.op in (">=", ">"):
            return _merged(left, _turned(right))
        if node.op in ("<=", "<"):
            return _merged(_turned(left), right)
        return _lost(left, right)

    def among(self, node: Among, item: Signs) -> Signs:
        return _lost(item)

    def truth(self, node: Truth, of: Signs) -> Signs:
        return of

    def both(self, node: Both, parts: tuple[Signs, ...]) -> Signs:
        return _merged(*parts)

    def either(self, node: Either, parts: tuple[Signs, ...]) -> Signs:
        return _merged(*parts)

    def negation(self, node: Not, of: Signs) -> Signs:
        return _turned(of)

    def gather(self, node: Gather, body: Signs | None) -> Signs:
        return body or {}


def _turned(signs: Signs) -> Signs:
    return {name: -sign for name, sign in signs.items()}


def _lost(*many: Signs) -> Signs:
    return {name: 0 for signs in many for name in signs}


def _merged(*many: Signs) -> Signs:
    found: dict[str, int] = {}
    for signs in many:
        for name, sign in signs.items():
            found[name] = sign if found.get(name, sign) == sign else 0
    return found


def never_negative(node: Node, positive: Callable[[str], bool]) -> bool:
    """Return whether the value of a formula is surely not below 0.

    Args:
        node: A typed tree.
        positive: Tells whether a name is known never to be negative.
    """
    parts: tuple[Node, ...]
    match node:
        case Number(value=value):
            return value >= 0
        case Name(name=name):
            return positive(name)
        case Arith(op="+" | "*" | "/", left=left, right=right):
            parts = (left, right)
        case Power(base=base, exponent=exponent):
            parts = (base,) if exponent % 2 else ()
        case Choose(then=then, otherwise=otherwise):
            parts = (then, otherwise)
        case Call(function="abs" | "sqrt"):
            parts = ()
        case Call(function="max", args=args):
            return any(never_negative(arg, positive) for arg in args)
        case Call(function="min", args=args):
            parts = args
        case Call(function=function, args=args) if function in _ROUND:
            parts = args[:1]
        case _:
            return False
    return all(never_negative(part, positive) for part in parts)


def directions(node: Node, positive: Callable[[str], bool]) -> Signs:
    """Return how the value of a formula follows each name in it.

    Args:
        node: A typed tree.
        positive: Tells whether a name is known never to be negative.
    """
    return fold(node, _Direction(positive))
