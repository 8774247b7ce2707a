"""Names and dimensions of a formula, checked before any job is seen."""

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import Protocol

from ..errors import Fault, FormulaError
from ..kinds import KINDS, PLAIN, TEXT, Dims, Kind, dims_in_words, kind_for
from ..nearest import did_you_mean
from ..place import Place
from .grammar import beside
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Type:
    """What a formula gives.

    Attributes:
        of: "quantity", "word", "yes/no", or "text", which no formula may read.
        dims: Dimensions of a quantity; None for the number 0, which fits any.
        words: The words a word may be; empty where any may stand.
    """

    of: str = "quantity"
    dims: Dims | None = PLAIN
    words: tuple[str, ...] = ()


YES_NO = Type(of="yes/no")
PLAIN_NUMBER = Type()
ANY_ZERO = Type(dims=None)


_TYPES = {name: Type(dims=kind.dims) for name, kind in KINDS.items()}


def type_of_kind(kind: Kind, words: tuple[str, ...] = ()) -> Type:
    """Return the type of a value of a kind."""
    if kind.name == "yes/no":
        return YES_NO
    if kind.name == "word":
        return Type(of="word", words=words)
    if kind == TEXT:
        return Type(of=TEXT.name)
    return _TYPES[kind.name]


@dataclass(frozen=True, slots=True, kw_only=True)
class Function:
    """A function that formulas may call, given by a plugin.

    Attributes:
        name: Its name in formulas.
        takes: Kind of each value, in order.
        gives: Kind of the result.
        call: The Python function: floats in internal units in, one float out. A ValueError means
            that the values have no meaning together; the result is then undefined.
        means: What it works out, for people.
        source: Where the method comes from.
    """

    name: str
    takes: tuple[Kind, ...]
    gives: Kind
    call: Callable[..., float]
    means: str
    source: str


class Scope(Protocol):
    """What the names in a formula mean."""

    def type_of(self, name: str) -> Type | None:
        """Return the type of a name, or None when there is no such name."""

    def is_group(self, name: str) -> bool:
        """Return whether a name is a group of parts."""

    def lacking(self, name: str) -> str:
        """Return which part on a name's way may have no such thing, as a sentence; "" for none."""

    def names(self) -> Iterable[str]:
        """Return every name that may stand in the formula."""


@dataclass(frozen=True, slots=True)
class Typed:
    """A checked formula and what it gives."""

    node: Node
    type: Type


class _Wrong(Exception):
    def __init__(self, node: Node, says: str) -> None:
        super().__init__(says)
        self.at = node.at
        self.says = says


def check(tree: Node, scope: Scope, functions: Mapping[str, Function], place: Place) -> Typed:
    """Return the typed tree of a formula.

    Raises:
        FormulaError: A name is not known, or values are joined that do not fit.
    """
    try:
        return asked(fold(tree, _Checker(scope, functions)))
    except _Wrong as wrong:
        raise FormulaError(Fault(beside(place, wrong.at), wrong.says)) from None


def in_words(type_: Type) -> str:
    """Return a type as a sentence names it."""
    if type_.of == "quantity":
        return dims_in_words(type_.dims or PLAIN)
    return "a word" if type_.of == "word" else "a yes/no"


def asked(typed: Typed) -> Typed:
    """Return a yes/no value as the question whether it is so; other formulas as they are."""
    if typed.type.of == "yes/no" and isinstance(typed.node, Name | Call):
        return Typed(Truth(typed.node, typed.node.at), YES_NO)
    return typed


class _Checker:
    """The reading that types a tree."""

    def __init__(self, scope: Scope, functions: Mapping[str, Function]) -> None:
        self.scope = scope
        self.functions = functions

    def number(self, node: Number) -> Typed:
        return Typed(node, ANY_ZERO if node.value == 0 else PLAIN_NUMBER)

    def word(self, node: Word) -> Typed:
        return Typed(node, Type(of="word", words=(node.text,)))

    def name(self, node: Name) -> Typed:
        found = self.scope.type_of(node.name)
        if found is None:
            group, star, _ = node.name.rpartition("[*]")
            if star and not self.scope.is_group(group):
                raise self._no_group(node, group)
            hint = self.scope.lacking(node.name) or did_you_mean(node.name, self.scope.names())
            raise _Wrong(node, f"There is no {node.name} here.{hint}")
        if found.of == TEXT.name:
            says = f"{node.name} is text that stands on papers; no formula reads it."
            raise _Wrong(node, says)
        return Typed(node, found)

    def arith(self, node: Arith, left: Typed, right: Typed) -> Typed:
        one, two = self._dims(left), self._dims(right)
        made = Arith(node.op, left.node, right.node, node.at)
        if node.op in "+-":
            return Typed(made, Type(dims=self._same(node, left, right)))
        sign = 1 if node.op == "*" else -1
        pairs = zip(one or PLAIN, two or PLAIN, strict=True)
        a, b, c, d, e = (x + sign * y for x, y in pairs)
        return Typed(made, Type(dims=(a, b, c, d, e)))

    def minus(self, node: Minus, of: Typed) -> Typed:
        return Typed(Minus(of.node, node.at), Type(dims=self._dims(of)))

    def power(self, node: Power, base: Typed) -> Typed:
        a, b, c, d, e = (n * node.exponent for n in self._dims(base) or PLAIN)
        return Typed(Power(base.node, node.exponent, node.at), Type(dims=(a, b, c, d, e)))

    def call(self, node: Call, args: tuple[Typed, ...]) -> Typed:
        made = Call(node.function, tuple(arg.node for arg in args), node.at)
        if node.function in self.functions:
            return self._plugged(made, self.functions[node.function], args)
        rule = _RULES.get(node.function)
        if rule is None:
            hint = did_you_mean(node.function, (*_RULES, *self.functions, "sum", "any", "all"))
            raise _Wrong(node, f"There is no function {node.function}.{hint}")
        return Typed(made, rule(self, made, args))

    def choose(self, node: Choose, test: Typed, then: Typed, otherwise: Typed) -> Typed:
        question = self._question(node, test)
        if then.type.of == "yes/no" and otherwise.type.of == "yes/no":
            yes, no = asked(then).node, asked(otherwise).node
            branches = (
                Both((question, yes), node.at),
                Both((Not(question, node.at), no), node.at),
                Both((yes, no), node.at),
            )
            return Typed(Either(branches, node.at), YES_NO)
        made = Choose(question, then.node, otherwise.node, node.at)
        if then.type.of == "word" and otherwise.type.of == "word":
            words = tuple(dict.fromkeys(then.type.words + otherwise.type.words))
            return Typed(made, Type(of="word", words=words))
        return Typed(made, Type(dims=self._same(node, then, otherwise)))

    def compare(self, node: Compare, left: Typed, right: Typed) -> Typed:
        if left.type.of == "word" and right.type.of == "word":
            return self._words_alike(node, left, right)
        if "yes/no" in (left.type.of, right.type.of):
            raise _Wrong(node, "A yes/no is not compared; write it alone, or `not` before it.")
        dims = self._same(node, left, right) or PLAIN
        kind = kind_for(dims)
        if kind is None or kind.hair is None:
            raise _Wrong(node, f"Values of {dims_in_words(dims)} are not compared in a book.")
        made = Compare(node.op, left.node, right.node, kind.hair, node.at)
        return Typed(made, YES_NO)

    def among(self, node: Among, item: Typed) -> Typed:
        if item.type.of != "word":
            raise _Wrong(node, f"Before `in` stands a word; this is {in_words(item.type)}.")
        for word in node.words:
            self._known_word(node, word, item.type.words)
        return Typed(Among(item.node, node.words, node.at), YES_NO)

    def truth(self, node: Truth, of: Typed) -> Typed:
        return Typed(Truth(of.node, node.at), YES_NO)

    def both(self, node: Both, parts: tuple[Typed, ...]) -> Typed:
        return Typed(Both(tuple(self._question(node, p) for p in parts), node.at), YES_NO)

    def either(self, node: Either, parts: tuple[Typed, ...]) -> Typed:
        return Typed(Either(tuple(self._question(node, p) for p in parts), node.at), YES_NO)

    def negation(self, node: Not, of: Typed) -> Typed:
        return Typed(Not(self._question(node, of), node.at), YES_NO)

    def gather(self, node: Gather, body: Typed | None) -> Typed:
        if not self.scope.is_group(node.group):
            raise self._no_group(node, node.group)
        if body is None:
            return Typed(Gather("count", node.group, None, node.at), PLAIN_NUMBER)
        if node.how in ("any", "all"):
            question = self._question(node, body)
            return Typed(Gather(node.how, node.group, question, node.at), YES_NO)
        if node.how == "count":
            raise _Wrong(node, "count takes the group alone: count(pane.holes).")
        made = Gather(node.how, node.group, body.node, node.at)
        return Typed(made, Type(dims=self._dims(body)))

    def _no_group(self, node: Node, group: str) -> _Wrong:
        hint = did_you_mean(group, self.scope.names())
        return _Wrong(node, f"There is no group {group} here.{hint}")

    def _question(self, node: Node, part: Typed) -> Node:
        if part.type.of != "yes/no":
            raise _Wrong(
                part.node if part.node.at else node,
                f"A yes/no is needed here; this is {in_words(part.type)}. Compare it with a limit.",
            )
        return asked(part).node

    def _dims(self, part: Typed) -> Dims | None:
        if part.type.of != "quantity":
            raise _Wrong(part.node, f"Arithmetic takes quantities; this is {in_words(part.type)}.")
        return part.type.dims

    def _same(self, node: Node, left: Typed, right: Typed) -> Dims | None:
        one, two = self._dims(left), self._dims(right)
        if one is None or two is None or one == two:
            return two if one is None else one
        plain = " A number with a dimension is a named limit." if PLAIN in (one, two) else ""
        raise _Wrong(
            node,
            f"{_capital(in_words(left.type))} and {in_words(right.type)} do not go together here; "
            f"both sides must be of one dimension.{plain}",
        )

    def _words_alike(self, node: Compare, left: Typed, right: Typed) -> Typed:
        if node.op not in ("==", "!="):
            raise _Wrong(node, "Words are compared by == or != only.")
        for one, other in ((left, right), (right, left)):
            if isinstance(one.node, Word):
                self._known_word(node, one.node.text, other.type.words)
        return Typed(Compare(node.op, left.node, right.node, 0.0, node.at), YES_NO)

    def _known_word(self, node: Node, word: str, words: tuple[str, ...]) -> None:
        if words and word not in words:
            raise _Wrong(
                node,
                f"'{word}' is none of its words, which are {', '.join(words)}."
                f"{did_you_mean(word, words)}",
            )

    def _plugged(self, node: Call, function: Function, args: tuple[Typed, ...]) -> Typed:
        if len(args) != len(function.takes):
            raise _Wrong(
                node, f"{function.name} takes {len(function.takes)} values; here are {len(args)}."
            )
        for at, (arg, kind) in enumerate(zip(args, function.takes, strict=True), start=1):
            if self._dims(arg) not in (None, kind.dims):
                raise _Wrong(
                    arg.node,
                    f"Value {at} of {function.name} is {in_words(arg.type)}; "
                    f"{dims_in_words(kind.dims)} is needed.",
                )
        return Typed(node, type_of_kind(function.gives))


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _count_args(node: Call, args: tuple[Typed, ...], least: int, most: int) -> None:
    if not least <= len(args) <= most:
        many = f"{least}" if least == most else f"{least} or more"
        raise _Wrong(node, f"{node.function} takes {many} values; here are {len(args)}.")


def _alike(checker: _Checker, node: Call, args: tuple[Typed, ...]) -> Type:
    _count_args(node, args, 2, 100)
    dims = args[0]
    for arg in args[1:]:
        dims = Typed(arg.node, Type(dims=checker._same(node, dims, arg)))  # noqa: SLF001  # same file
    return Type(dims=dims.type.dims)


def _absolute(checker: _Checker, node: Call, args: tuple[Typed, ...]) -> Type:
    _count_args(node, args, 1, 1)
    return Type(dims=checker._dims(args[0]))  # noqa: SLF001  # same file


def _root(checker: _Checker, node: Call, args: tuple[Typed, ...]) -> Type:
    _count_args(node, args, 1, 1)
    dims = checker._dims(args[0]) or PLAIN  # noqa: SLF001  # same file
    if any(n % 2 for n in dims):
        raise _Wrong(node, f"The square root of {dims_in_words(dims)} has no dimension in use.")
    a, b, c, d, e = (n // 2 for n in dims)
    return Type(dims=(a, b, c, d, e))


def _rounding(checker: _Checker, node: Call, args: tuple[Typed, ...]) -> Type:
    _count_args(node, args, 2, 2)
    return Type(dims=checker._same(node, *args))  # noqa: SLF001  # same file


def _turn(takes: str, gives: str) -> Callable[[_Checker, Call, tuple[Typed, ...]], Type]:
    def rule(checker: _Checker, node: Call, args: tuple[Typed, ...]) -> Type:
        _count_args(node, args, 1, 1)
        if checker._dims(args[0]) not in (None, KINDS[takes].dims):  # noqa: SLF001  # same file
            raise _Wrong(node, f"{node.function} takes {dims_in_words(KINDS[takes].dims)}.")
        return Type(dims=KINDS[gives].dims)

    return rule


_RULES: Mapping[str, Callable[[_Checker, Call, tuple[Typed, ...]], Type]] = {
    "min": _alike,
    "max": _alike,
    "abs": _absolute,
    "sqrt": _root,
    "round_up": _rounding,
    "round_down": _rounding,
    "round_to": _rounding,
    "sin": _turn("angle", "number"),
    "cos": _turn("angle", "number"),
    "tan": _turn("angle", "number"),
    "atan": _turn("number", "angle"),
}
BUILT_IN = frozenset(_RULES)
