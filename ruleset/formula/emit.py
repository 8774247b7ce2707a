"""Typed trees in, statements of generated code out."""

from collections.abc import Mapping

from .spelling import Ask, Spelling, is_number
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

LONG = 60
"""Operands longer than this are named before they are used twice."""


class Statements:
    """The statements written so far, and the names given out."""

    def __init__(self) -> None:
        """Begin with an empty sheet."""
        self.lines: list[str] = []
        self._given = 0

    def name(self, code: str) -> str:
        """Return a new name that holds the value of an expression."""
        name = f"t{self._given}"
        self._given += 1
        self.lines.append(f"{name} = {code}")
        return name


class Emitter:
    """The reading that writes code. A quantity is an expression, a yes/no two of them."""

    def __init__(
        self,
        spelling: Spelling,
        statements: Statements,
        names: Mapping[str, str],
        words: Mapping[str, float],
        functions: Mapping[str, str],
    ) -> None:
        """Keep the spelling and what the names stand for.

        Args:
            spelling: How operations are written.
            statements: Where statements go.
            names: The generated name of each fact, working and limit.
            words: The number of each word.
            functions: The generated name of each function given by a plugin.
        """
        self._spell = spelling
        self._statements = statements
        self._names = names
        self._words = words
        self._functions = functions

    def value(self, node: Node) -> str:
        """Write a formula and return the expression of its value; a yes/no is 1, 0 or nan."""
        code = fold(node, self)
        return self._spell.yes_no(code) if isinstance(code, Ask) else code

    def question(self, node: Node) -> Ask:
        """Write a yes/no formula and return its two questions."""
        return _ask(fold(node, self))

    def _atom(self, code: str | Ask) -> str:
        text = _code(code)
        return text if text.isidentifier() or is_number(text) else self._statements.name(text)

    def _short(self, code: str | Ask) -> str:
        text = _code(code)
        return self._statements.name(text) if len(text) > LONG else text

    def _brief(self, ask: str | Ask) -> Ask:
        """Name a long yes/no, so that nesting cannot double the code at every level."""
        found = _ask(ask)
        if len(found.so) + len(found.not_so) <= 4 * LONG:
            return found
        return self._spell.truth(self._statements.name(self._spell.yes_no(found)))

    def number(self, node: Number) -> str | Ask:
        return self._spell.number(node.value)

    def word(self, node: Word) -> str | Ask:
        return self._spell.number(self._words[node.text])

    def name(self, node: Name) -> str | Ask:
        return self._names[node.name]

    def arith(self, node: Arith, left: str | Ask, right: str | Ask) -> str | Ask:
        if node.op == "/":
            return self._spell.divide(_code(left), self._atom(right))
        return self._spell.arith(node.op, _code(left), _code(right))

    def minus(self, node: Minus, of: str | Ask) -> str | Ask:
        return self._spell.minus(_code(of))

    def power(self, node: Power, base: str | Ask) -> str | Ask:
        return self._spell.power(self._atom(base), node.exponent)

    def call(self, node: Call, args: tuple[str | Ask, ...]) -> str | Ask:
        if node.function in ("min", "max"):
            best = self._atom(args[0])
            for arg in args[1:]:
                best = self._statements.name(
                    self._spell.extreme(node.function, best, self._atom(arg))
                )
            return best
        if node.function == "abs":
            return self._spell.absolute(_code(args[0]))
        name = self._functions.get(node.function, f"of_{node.function}")
        return self._spell.function(name, tuple(_code(arg) for arg in args))

    def choose(
        self, node: Choose, test: str | Ask, then: str | Ask, otherwise: str | Ask
    ) -> str | Ask:
        branches = (_code(then), _code(otherwise))
        if not self._spell.takes_one_branch:
            branches = (self._short(then), self._short(otherwise))
        return self._spell.choose(self._brief(test), *branches)

    def compare(self, node: Compare, left: str | Ask, right: str | Ask) -> str | Ask:
        if node.hair == 0.0:
            return self._unlike(node, self._spell.alike(self._atom(left), self._atom(right)))
        return self._spell.compare(node.op, self._short(left), self._short(right), node.hair)

    def _unlike(self, node: Compare, ask: Ask) -> Ask:
        return ask if node.op == "==" else Ask(ask.not_so, ask.so)

    def among(self, node: Among, item: str | Ask) -> str | Ask:
        numbers = tuple(self._words[word] for word in node.words)
        return self._spell.among(self._atom(item), numbers)

    def truth(self, node: Truth, of: str | Ask) -> str | Ask:
        return self._spell.truth(self._atom(of))

    def both(self, node: Both, parts: tuple[str | Ask, ...]) -> str | Ask:
        return self._spell.both(tuple(self._brief(part) for part in parts))

    def either(self, node: Either, parts: tuple[str | Ask, ...]) -> str | Ask:
        return self._spell.either(tuple(self._brief(part) for part in parts))

    def negation(self, node: Not, of: str | Ask) -> str | Ask:
        ask = _ask(of)
        return Ask(ask.not_so, ask.so)

    def gather(self, node: Gather, body: str | Ask | None) -> str | Ask:
        message = f"the group {node.group} was not written out before code was made"
        raise AssertionError(message)


def _code(code: str | Ask) -> str:
    if isinstance(code, Ask):
        message = "a yes/no stands where a checked formula has a quantity"
        raise TypeError(message)
    return code


def _ask(code: str | Ask) -> Ask:
    if isinstance(code, str):
        message = "a quantity stands where a checked formula has a yes/no"
        raise TypeError(message)
    return code
