"""Rows of a sheet that are said once for each part of a sort, written out for every part."""

from collections.abc import Collection, Iterator, Mapping

from .book import braces
from .errors import Fault
from .library import Library
from .names import InFormula
from .nearest import did_you_mean
from .node import Node, Rows, Table, Text
from .part import Sort
from .place import Place
from .record import record
from .turns import HAND, Turns

FOR = "for"


@record
class Row:
    """One row, written out.

    Attributes:
        part: The part that it is of; "" for a row that is said of no sort.
        node: Its fields, every path a plain name and every part in words.
    """

    part: str
    node: Node


class RowWriter:
    """Writes rows out for the parts of a library, for one of its hands; keeps the faults."""

    def __init__(
        self, library: Library, faults: list[Fault], hand: str = "", prose: Collection[str] = ()
    ) -> None:
        """Name every part.

        Args:
            library: The books, their parts bound.
            faults: Where what is wrong with a row goes.
            hand: The word of the hand; "" where the arrangement has none.
            prose: Fields whose texts are for people: names in them stand in braces alone.
        """
        at = library.hands.index(hand) if library.hands else 0
        self.library = library
        self.faults = faults
        self.turns = Turns(library, ((HAND, at),))
        self.prose = frozenset(prose)

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
        check = _Check(self.library, sort, self.prose, self.faults)
        check.node(rest, "")
        for part in self.turns.of_sort(sort.name)[0]:
            own = self.library.parts.get(part)
            if own is not None and all(self._has(own.sorts, path) for path in check.paths):
                bound = dict.fromkeys(sort.variables, part)
                yield Row(part=part, node=_Writing(self.turns, bound, self.prose).node(rest, ""))

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

    def __init__(
        self, library: Library, sort: Sort, prose: Collection[str], faults: list[Fault]
    ) -> None:
        self.library = library
        self.sort = sort
        self.prose = prose
        self.faults = faults
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
            if key not in self.prose and _begins(node.text, self.sort.variables):
                self._known(node.text, node.place)

    def _known(self, name: str, place: Place) -> None:
        names = self.library.names
        path = name.partition(".")[2]
        if not _begins(name, self.sort.variables):
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
        self.faults.append(Fault(place, says))


class _Writing:
    """One row written out for one part."""

    def __init__(self, turns: Turns, bound: Mapping[str, str], prose: Collection[str]) -> None:
        self.turns = turns
        self.bound = bound
        self.prose = prose
        self.rename = turns.renamer(bound, lambda name: name)

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
        if text != node.text and key in self.prose:
            text = text[:1].upper() + text[1:]
        elif key not in self.prose and _begins(text, self.bound):
            text = self.rename(text)
        return Text(place=node.place, text=text, quoted=node.quoted)

    def _said(self, name: str) -> str:
        """Return what a part is; a value stays in braces, by its plain name."""
        plain = self.rename(name)
        return self.turns.means.get(plain) or f"{{{plain}}}"


def _begins(name: str, variables: Collection[str]) -> bool:
    """Return whether a text is a name that begins with a variable."""
    return name.partition(".")[0] in variables and " " not in name
