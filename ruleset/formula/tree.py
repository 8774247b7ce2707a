"""What a formula is: one small typed tree, and the one walk over it.

Every reading of a formula (generated code, an answer, pencilled arithmetic, a cone, a direction)
is a `Reading`: it says what each step means, and `fold` does the walking.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import Protocol, TypeVar

FAR = 1e9
"""What a member that is not there counts as in a least or a greatest: further than any size, and
yet a number, so that nothing turns into what is not known."""


@dataclass(frozen=True, slots=True)
class Number:
    """A plain ratio, or nan for what is undefined."""

    value: float
    at: int = field(default=0, compare=False)


@dataclass(frozen=True, slots=True)
class Word:
    """A quoted word."""

    text: str
    at: int = field(default=0, compare=False)


@dataclass(frozen=True, slots=True)
class Name:
    """A fact, a working or a limit."""

    name: str
    at: int = field(default=0, compare=False)


@dataclass(frozen=True, slots=True)
class Arith:
    """left op right, with op one of + - * /."""

    op: str
    left: "Node"
    right: "Node"
    at: int = field(default=0, compare=False)


@dataclass(frozen=True, slots=True)
class Minus:
    """The negative of a value."""

    of: "Node"
    at: int = field(default=0, compare=False)


@dataclass(frozen=True, slots=True)
class Power:
    """A value to a whole power, 2 to 4."""

    base: "Node"
    exponent: int
    at: int = field(default=0, compare=False)


@dataclass(frozen=True, slots=True)
class Call:
    """A function of the fixed list, or one that a plugin gives."""

    function: str
    args: tuple["Node", ...]
    at: int = field(default=0, compare=False)


@dataclass(frozen=True, slots=True)
class Choose:
    """then if test else otherwise, of values."""

    test: "Node"
    then: "Node"
    otherwise: "Node"
    at: int = field(default=0, compare=False)


@dataclass(frozen=True, slots=True)
class Compare:
    """left op right; `hair` is how much apart still counts as equal, 0 for words."""

    op: str
    left: "Node"
    right: "Node"
    hair: float = 0.0
    at: int = field(default=0, compare=False)


@dataclass(frozen=True, slots=True)
class Among:
    """A word is one of a list."""

    item: "Node"
    words: tuple[str, ...]
    at: int = field(default=0, compare=False)


@dataclass(frozen=True, slots=True)
class Truth:
    """A yes/no value, asked."""

    of: "Node"
    at: int = field(default=0, compare=False)


@dataclass(frozen=True, slots=True)
class Both:
    """All of the parts; of none, yes."""

    parts: tuple["Node", ...]
    at: int = field(default=0, compare=False)


@dataclass(frozen=True, slots=True)
class Either:
    """Any of the parts; of none, no."""

    parts: tuple["Node", ...]
    at: int = field(default=0, compare=False)


@dataclass(frozen=True, slots=True)
class Not:
    """The opposite of a yes/no."""

    of: "Node"
    at: int = field(default=0, compare=False)


@dataclass(frozen=True, slots=True)
class Gather:
    """An aggregate over a group, before the group's members are known.

    Inside the body a member is written group[*]; `body` is None for a plain count.
    """

    how: str
    group: str
    body: "Node | None"
    at: int = field(default=0, compare=False)


Node = (
    Number
    | Word
    | Name
    | Arith
    | Minus
    | Power
    | Call
    | Choose
    | Compare
    | Among
    | Truth
    | Both
    | Either
    | Not
    | Gather
)

T = TypeVar("T")


class Reading(Protocol[T]):
    """What each step of a formula means to one reading of it.

    Every method gets the step itself and what the reading made of the step's parts.
    """

    def number(self, node: Number) -> T: ...
    def word(self, node: Word) -> T: ...
    def name(self, node: Name) -> T: ...
    def arith(self, node: Arith, left: T, right: T) -> T: ...
    def minus(self, node: Minus, of: T) -> T: ...
    def power(self, node: Power, base: T) -> T: ...
    def call(self, node: Call, args: tuple[T, ...]) -> T: ...
    def choose(self, node: Choose, test: T, then: T, otherwise: T) -> T: ...
    def compare(self, node: Compare, left: T, right: T) -> T: ...
    def among(self, node: Among, item: T) -> T: ...
    def truth(self, node: Truth, of: T) -> T: ...
    def both(self, node: Both, parts: tuple[T, ...]) -> T: ...
    def either(self, node: Either, parts: tuple[T, ...]) -> T: ...
    def negation(self, node: Not, of: T) -> T: ...
    def gather(self, node: Gather, body: T | None) -> T: ...


def _parts(parts: tuple[Node, ...], reading: Reading[T]) -> tuple[T, ...]:
    return tuple([fold(part, reading) for part in parts])


_STEPS: Mapping[type, Callable[..., object]] = MappingProxyType(
    {
        Number: lambda n, r: r.number(n),
        Word: lambda n, r: r.word(n),
        Name: lambda n, r: r.name(n),
        Arith: lambda n, r: r.arith(n, fold(n.left, r), fold(n.right, r)),
        Minus: lambda n, r: r.minus(n, fold(n.of, r)),
        Power: lambda n, r: r.power(n, fold(n.base, r)),
        Call: lambda n, r: r.call(n, _parts(n.args, r)),
        Choose: lambda n, r: r.choose(n, fold(n.test, r), fold(n.then, r), fold(n.otherwise, r)),
        Compare: lambda n, r: r.compare(n, fold(n.left, r), fold(n.right, r)),
        Among: lambda n, r: r.among(n, fold(n.item, r)),
        Truth: lambda n, r: r.truth(n, fold(n.of, r)),
        Both: lambda n, r: r.both(n, _parts(n.parts, r)),
        Either: lambda n, r: r.either(n, _parts(n.parts, r)),
        Not: lambda n, r: r.negation(n, fold(n.of, r)),
        Gather: lambda n, r: r.gather(n, None if n.body is None else fold(n.body, r)),
    }
)


def fold(node: Node, reading: Reading[T]) -> T:
    """Return what `reading` makes of a formula, from its leaves up."""
    return _STEPS[type(node)](node, reading)  # type: ignore[return-value]  # one table, many types


class Rewrite:
    """The reading that builds the same tree again; others change one step of it."""

    def number(self, node: Number) -> Node:
        return node

    def word(self, node: Word) -> Node:
        return node

    def name(self, node: Name) -> Node:
        return node

    def arith(self, node: Arith, left: Node, right: Node) -> Node:
        return Arith(node.op, left, right, node.at)

    def minus(self, node: Minus, of: Node) -> Node:
        return Minus(of, node.at)

    def power(self, node: Power, base: Node) -> Node:
        return Power(base, node.exponent, node.at)

    def call(self, node: Call, args: tuple[Node, ...]) -> Node:
        return Call(node.function, args, node.at)

    def choose(self, node: Choose, test: Node, then: Node, otherwise: Node) -> Node:
        return Choose(test, then, otherwise, node.at)

    def compare(self, node: Compare, left: Node, right: Node) -> Node:
        return Compare(node.op, left, right, node.hair, node.at)

    def among(self, node: Among, item: Node) -> Node:
        return Among(item, node.words, node.at)

    def truth(self, node: Truth, of: Node) -> Node:
        return Truth(of, node.at)

    def both(self, node: Both, parts: tuple[Node, ...]) -> Node:
        return Both(parts, node.at)

    def either(self, node: Either, parts: tuple[Node, ...]) -> Node:
        return Either(parts, node.at)

    def negation(self, node: Not, of: Node) -> Node:
        return Not(of, node.at)

    def gather(self, node: Gather, body: Node | None) -> Node:
        return Gather(node.how, node.group, body, node.at)
