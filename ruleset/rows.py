"""Rows of a sheet that are said once for each part of a sort, written out for every part."""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

from .book import braces
from .errors import Fault
from .library import Library
from .names import InFormula
from .nearest import did_you_mean
from .node import Node, Rows, Table, Text
from .part import Sort
from .place import Place
from .turns import HAND, Turns

FOR = "for"
WITHIN = ("means", "from")
"""Prose that stands within a sentence, and so begins small."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One row, written out.

    Attributes:
        part: The part that it is of; "" for a row that is said of no sort.
        node: Its fields, every path a plain name and every part in words.
    """

    part: str
    node: Node


class RowWriter:
    """Writes rows out for the parts of a library; keeps the faults."""

    def __init__(
        self,
        library: Library,
        faults: list[Fault],
        hand: str = "",
        prose: Collection[str] = (),
        words: Collection[str] = (),
    ) -> None:
        """Name every part.

        Args:
            library: The books, their parts bound.
            faults: Where what is wrong with a row goes.
            hand: The word of the hand; "" where the arrangement has none or it is not known. What
                is not known then stays a path, and a part is the one or the other.
            prose: Fields whose texts are for people: names in them stand in braces alone.
            words: Fields whose texts are no names of values, such as ids of clauses.
        """
        hands = library.hands or ("",)
        self.library = library
        self.faults = faults
        self.turns = tuple(
            Turns(library, ((HAND, at),)) for at, word in enumerate(hands) if hand in ("", word)
        )
        self.prose = frozenset(prose)
        self.words = frozenset(words)

    def written(self, row: Node) -> Iterator[Row]:
        """Yield a row for each part of the sort that it is for, or the row itself.

        A row that names what only some parts of the sort have is left out for the others.
        """
        sort_node = row.entries.get(FOR) if isinstance(row, Table) else None
        if not isinstance(row, Table) or sort_node is None:
            yield Row(part="", node=row)
            return
        sort = self._sort(sort_node)
        if sort is None:
            return
        rest = Table(
            place=row.place,
            entries={key: one for key, one in row.entries.items() if key != FOR},
            keys={key: place for key, place in row.keys.items() if key != FOR},
        )
        check = _Check(self, sort)
        check.node(rest, "")
        for part in self.library.parts.values():
            if sort.name in part.sorts and all(self._has(part.sorts, p) for p in check.paths):
                bound = dict.fromkeys(sort.variables, part.name)
                yield Row(part=part.name, node=_Writing(self, bound).node(rest, ""))

    def is_name(self, key: str, text: str, variables: Collection[str]) -> bool:
        """Return whether a field's text is a name that begins with a variable."""
        first = text.partition(".")[0]
        of_part = first in variables and " " not in text and text not in self.library.limits
        return of_part and key not in self.prose and key not in self.words

    def _sort(self, node: Node) -> Sort | None:
        text = node.text if isinstance(node, Text) else ""
        each, _, name = text.partition(" ")
        sort = self.library.sorts.get(name) if each == "each" else None
        if sort is None:
            says = f"for is {text!r}; it is `each SORT`."
            hint = did_you_mean(name, self.library.sorts)
            self.faults.append(Fault(node.place, f"{says}{hint}"))
        return sort

    def _has(self, sorts: tuple[str, ...], path: str) -> bool:
        return bool(self.library.names.has.ends(sorts, path))


class _Check:
    """The names of one row, each known of its sort or of one below."""

    def __init__(self, writer: RowWriter, sort: Sort) -> None:
        self.writer = writer
        self.library = writer.library
        self.sort = sort
        self.paths: list[str] = []
        """What the row asks of its part, from the variable on."""

    def node(self, node: Node, key: str) -> None:
        if isinstance(node, Table):
            for name, one in node.entries.items():
                self.node(one, name)
        elif isinstance(node, Rows):
            for one in node.items:
                self.node(one, key)
        else:
            for name in braces(node.text):
                self._known(name, node.place)
            if self.writer.is_name(key, node.text, self.sort.variables):
                self._known(node.text, node.place)

    def _known(self, name: str, place: Place) -> None:
        names = self.library.names
        path = name.partition(".")[2]
        if name.partition(".")[0] not in self.sort.variables:
            scope = InFormula(names, "", {}, {})
            if not names.is_part(name, {}) and scope.type_of(name) is None:
                self._wrong(name, place)
        elif path:
            below = names.has.below(self.sort.name)
            self.paths.append(path)
            if not any(names.has.ends((one,), path) for one in below):
                self._wrong(name, place)

    def _wrong(self, name: str, place: Place) -> None:
        known = InFormula(self.library.names, "", {}, self.sort.variables).names()
        says = f"No {self.sort.name} has a name {name}.{did_you_mean(name, known)}"
        self.writer.faults.append(Fault(place, says))


class _Writing:
    """One row written out for one part."""

    def __init__(self, writer: RowWriter, bound: Mapping[str, str]) -> None:
        self.writer = writer
        self.bound = bound
        self.renamers = [turns.renamer(bound, lambda name: name) for turns in writer.turns]

    def node(self, node: Node, key: str) -> Node:
        if isinstance(node, Table):
            entries = {name: self.node(one, name) for name, one in node.entries.items()}
            return Table(place=node.place, entries=entries, keys=node.keys)
        if isinstance(node, Rows):
            items = tuple(self.node(one, key) for one in node.items)
            return Rows(place=node.place, items=items)
        text = node.text
        for name in braces(text):
            text = text.replace(f"{{{name}}}", self._said(name))
        if node.text.startswith("{") and key in self.writer.prose and key not in WITHIN:
            text = text[:1].upper() + text[1:]
        elif self.writer.is_name(key, text, self.bound):
            text = self._plain(text)
        return Text(place=node.place, text=text, quoted=node.quoted)

    def _plain(self, name: str) -> str:
        """Return the plain name; where it is another for each hand, the path from the part on."""
        plain = {rename(name) for rename in self.renamers}
        if len(plain) == 1:
            return plain.pop()
        first, dot, rest = name.partition(".")
        return f"{self.bound[first]}{dot}{rest}"

    def _said(self, name: str) -> str:
        """Return what a part is; a value stays in braces, by its plain name."""
        plain = dict.fromkeys(rename(name) for rename in self.renamers)
        means = [self.writer.turns[0].means.get(one) for one in plain]
        words = [one for one in means if one]
        return " or ".join(words) if len(words) == len(means) else f"{{{self._plain(name)}}}"
