"""What books put together are: every name known once, every formula checked."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import pairwise
from typing import TypeVar

from .book import Book, Clause, Fact, Limit, Working
from .formula.check import (
    Function,
    Typed,
)
from .formula.tree import Both, Compare, Node
from .kept import Kept
from .names import Names
from .part import Part, Sort

T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckedWorking:
    """A working with its typed formulas, and the names in its meaning that are parts."""

    working: Working
    drawn: Typed
    built: Typed | None
    named: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CheckedClause:
    """A clause with its typed formulas, and the names in its sentences that are parts."""

    clause: Clause
    when: Node | None
    needs: Node
    softer: Node | None
    named: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Library:
    """All books of a run, checked.

    Attributes:
        names: What every name means.
        books: The books by id.
        facts: Every fact by name.
        sorts: Every sort by name.
        parts: Every part by name.
        limits: Every limit by full name.
        workings: Every working, checked, in the order of the books.
        clauses: Every clause by full name, checked.
        children: Typed formula of each child's field, by (part or sort, group, index, field).
        functions: Functions given by plugins.
        stated: Facts of sorts of which a policy has a word, by sort and path.
        words: The number of each word.
        hands: The words that the hand of the bound arrangement may be; () where it has none.
    """

    names: Names
    books: Mapping[str, Book]
    facts: Mapping[str, Fact]
    sorts: Mapping[str, Sort]
    parts: Mapping[str, Part]
    limits: Mapping[str, Limit]
    workings: tuple[CheckedWorking, ...]
    clauses: Mapping[str, CheckedClause]
    children: Mapping[tuple[str, str, int, str], Typed]
    functions: Mapping[str, Function]
    words: Mapping[str, float]
    hands: tuple[str, ...] = ()
    stated: Mapping[tuple[str, str], Fact] = field(default_factory=dict)
    kept: Kept = field(default_factory=Kept, repr=False, compare=False)
    """Plans, programs and sheets already made; what no layer changes has the same ones."""

    def __repr__(self) -> str:
        """Return its books' names: all of it would be millions of letters in a failing test."""
        return f"<Library of {', '.join(self.books)}>"


def is_chain(node: Node) -> bool:
    """Return whether a tree is a comparison chain a <= b <= c."""
    if not isinstance(node, Both) or len(node.parts) < 2:  # noqa: PLR2004  # two links
        return False
    links = [part for part in node.parts if isinstance(part, Compare)]
    return len(links) == len(node.parts) and all(
        one.right == two.left for one, two in pairwise(links)
    )
