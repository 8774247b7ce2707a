"""A sheet of the rules as it is read: what it says of a sort written out for each part there is.

Every sheet goes through here before its own reader sees it, so that no reader knows of sorts.
"""

from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import TypeVar

from ruleset.book import braces
from ruleset.errors import Fault, ShapeError
from ruleset.fields import Faults
from ruleset.library import Library
from ruleset.node import Node, Rows, Table, Text, plain
from ruleset.place import Place
from ruleset.rows import FOR, Row, RowWriter
from ruleset.turns import HAND

from .ready import read_shipped
from .shipped import shipped_rules
from .verdict import Verdict

T = TypeVar("T")
PROSE = ("item", "from", "title", "means", "do", "then", "says", "cautions", "notes", "about")
"""Fields of sheets that are for people."""
WORDS = (
    "holds",
    "after",
    "clauses",
    "class",
    "stock",
    "choices",
    "swap",
    "given",
    "form",
    "papers",
    "at",
    "in",
)
"""Fields of sheets that name clauses, steps and words, and no values."""
TABLES = "tables"
"""A table of a sheet has a `for` of its own, since a job may list what it has a row for."""
STEPS, AFTER, SAYS, MEANS = "steps", "after", "says", "means"
SEVERAL = 2


def sheet_node(
    name: str, verdict: Verdict, faults: list[Fault], path: Path | None = None
) -> Node | None:
    """Return a sheet with a row for each part of a job's arrangement; None where there is none.

    Args:
        name: Its id, which is its file's name.
        verdict: The job, judged; its books tell which parts there are.
        faults: Where what is wrong with a row goes.
        path: Its file; for None those of `sheets/` beside the books, put together.

    Raises:
        RulesetError: A file cannot be read.
    """
    files = sheet_files(verdict.library, name) if path is None else (path,)
    node: Node | None = None
    for file in files:
        more = read_shipped(file)
        node = more if node is None else put_together(node, more, faults)
    return node and written_out(node, verdict.library, faults, hand_of(verdict))


def sheet_files(library: Library, name: str) -> tuple[Path, ...]:
    """Return the files of a sheet beside the books, the shipped one first."""
    beside = (Path(book.place.file).parent for book in library.books.values())
    shipped = shipped_rules()
    folders = dict.fromkeys(shipped if shipped in one.parents else one for one in beside)
    files = (folder / "sheets" / f"{name}.yaml" for folder in folders)
    return tuple(file for file in files if file.is_file())


def put_together(one: Node, other: Node, faults: list[Fault]) -> Node:
    """Return a sheet with what another one adds: further rows, tables, steps, levers.

    Args:
        one: The sheet.
        other: What is added; what both give has to be the same.
        faults: Where what differs goes.
    """
    if isinstance(one, Rows) and isinstance(other, Rows):
        return one._replace(items=(*one.items, *other.items))
    if isinstance(one, Table) and isinstance(other, Table):
        both = {
            key: put_together(one.entries[key], node, faults) if key in one.entries else node
            for key, node in other.entries.items()
        }
        return one._replace(entries={**one.entries, **both}, keys={**other.keys, **one.keys})
    if plain(one) != plain(other):
        faults.append(Fault(other.place, f"This is given otherwise already, at {one.place}."))
    return one


def read_once(
    name: str, verdict: Verdict, kind: type[T], read: Callable[[Node | None, Library, Faults], T]
) -> T:
    """Return what is read from a sheet; read once for the books of a job and its hand.

    Args:
        name: The sheet's id.
        verdict: The job, judged.
        kind: What is read.
        read: Reads it from the sheet's node, and keeps the faults.

    Raises:
        RulesetError: The file cannot be read, or names what there is not; all faults at once.
    """

    def made() -> T:
        faults = Faults()
        found = read(sheet_node(name, verdict, faults.found), verdict.library, faults)
        if faults.found:
            raise ShapeError(faults.found)
        return found

    return verdict.library.kept.get(kind, (name, hand_of(verdict)), made)


def hand_of(verdict: Verdict) -> str:
    """Return the word of a job's hand, "" where it has none or does not say."""
    given = verdict.job.values.get(HAND)
    return given.text if given is not None and given.text in verdict.library.hands else ""


def written_out(node: Node, library: Library, faults: list[Fault], hand: str = "") -> Node:
    """Return a sheet with each `for: each SORT` written out.

    A row of a list is followed by the next part's. What stands under a key keeps it where it is of
    one part; where it is of several the part's name follows: `split.left_panel`.

    Args:
        node: The sheet.
        library: The books, their parts bound.
        faults: Where what is wrong with a row goes.
        hand: The word of the arrangement's hand; "" where there is none or it is not known.
    """
    return _Writing(RowWriter(library, faults, hand, PROSE, WORDS)).node(node, "")


class _Writing:
    def __init__(self, writer: RowWriter) -> None:
        self.writer = writer

    def node(self, node: Node, key: str) -> Node:
        if isinstance(node, Rows):
            items = [one for item in node.items for one in self._row(item, key)]
            return Rows(place=node.place, items=tuple(items))
        if isinstance(node, Table):
            return self._table(node, key)
        if key in PROSE and braces(node.text):
            says = f"{{{braces(node.text)[0]}}} stands in nothing that is `for: each SORT`."
            self.writer.faults.append(Fault(node.place, says))
        return node

    def _row(self, item: Node, key: str) -> Iterator[Node]:
        if not _is_by_sort(item):
            yield self.node(item, key)
            return
        said: set[str] = set()
        for row in self.writer.written(item):
            only = row.node.entries if isinstance(row.node, Table) else {}
            text = only.get(SAYS) if len(only) == 1 else None
            if not isinstance(text, Text):
                yield row.node
            elif text.text not in said:  # a sentence that names no part is said once
                said.add(text.text)
                yield text

    def _rows(self, node: Node) -> tuple[Row, ...]:
        """Return the rows of each part; what names none of several gets its part's name."""
        rows = tuple(self.writer.written(node))
        means = node.entries.get(MEANS) if isinstance(node, Table) else None
        if len(rows) < SEVERAL or not isinstance(means, Text) or braces(means.text):
            return rows
        return tuple(self._of_part(row, means) for row in rows)

    def _of_part(self, row: Row, means: Text) -> Row:
        if not isinstance(row.node, Table):
            return row
        text = f"{means.text} of {self.writer.library.parts[row.part].means}"
        entries = {**row.node.entries, MEANS: means._replace(text=text)}
        return replace(row, node=row.node._replace(entries=entries))

    def _table(self, node: Table, key: str) -> Table:
        entries: dict[str, Node] = {}
        keys: dict[str, Place] = {}
        named: dict[str, tuple[str, ...]] = {}
        for name, one in node.entries.items():
            if key != TABLES and _is_by_sort(one):
                rows = self._rows(one)
                several = len(rows) >= SEVERAL
                made = {f"{name}.{row.part}" if several else name: row.node for row in rows}
            else:
                made = {name: self.node(one, name)}
            named[name] = tuple(made)
            entries |= made
            keys |= dict.fromkeys(made, node.keys[name])
        if key == STEPS:
            entries = _in_order(entries, node, named)
        return Table(place=node.place, entries=entries, keys=keys)


def _is_by_sort(node: Node) -> bool:
    return isinstance(node, Table) and FOR in node.entries


def _in_order(
    steps: dict[str, Node], said: Table, named: dict[str, tuple[str, ...]]
) -> dict[str, Node]:
    """Return steps after those that are there; where one is left out, after what that is after."""
    stands_for: dict[str, tuple[str, ...]] = {}
    for name, step in said.entries.items():
        before = [one for text in _after(step) for one in stands_for.get(text.text, ())]
        stands_for[name] = named[name] or tuple(before)
    found: dict[str, Node] = {}
    for name, step in steps.items():
        found[name] = step
        if isinstance(step, Table) and _after(step):
            items = {
                one: text._replace(text=one)
                for text in _after(step)
                for one in stands_for.get(text.text, (text.text,))
            }
            after = Rows(place=step.entries[AFTER].place, items=tuple(items.values()))
            found[name] = step._replace(entries={**step.entries, AFTER: after})
    return found


def _after(step: Node) -> tuple[Text, ...]:
    """Return the names of the steps that one is after; () where its list holds anything else."""
    before = step.entries.get(AFTER) if isinstance(step, Table) else None
    items = before.items if isinstance(before, Rows) else ()
    texts = tuple(item for item in items if isinstance(item, Text))
    return texts if len(texts) == len(items) else ()
