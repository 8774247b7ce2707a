"""The shop's sheets as they are declared: which names stand in which row, and in which order."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from ruleset.book import Basis
from ruleset.book_reader import read_basis
from ruleset.errors import Fault, ShapeError
from ruleset.fields import Faults, Fields
from ruleset.library import Library
from ruleset.names import InFormula
from ruleset.nearest import did_you_mean
from ruleset.node import Node, Table, Text
from ruleset.place import Place
from ruleset.quoted import quoted

from .sheet_rows import sheet_node
from .verdict import Verdict

FORMS = ("grid", "block")


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """A column of a table.

    Attributes:
        title: What stands above it.
        name: The name it prints, with the variables of the table's `for`; "" where rows name it.
        only: A yes/no name without which the column says none; "" where it always counts.
    """

    title: str
    name: str
    only: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class DeclaredRow:
    """A row that stands in a sheet by itself.

    Attributes:
        item: What it is.
        part: The part it is of; "" for none.
        origin: What it is measured from; "" where the item says it.
        names: The name that each column prints, by the column's key.
    """

    item: str
    part: str
    origin: str
    names: Mapping[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class DeclaredTable:
    """A table of a sheet.

    Attributes:
        key: Its id.
        title: Its heading.
        form: "grid" for a line a row, "block" for a line a value.
        sorts: Sorts it has a row for each part of, the inner first; () where rows are declared.
        columns: Its columns by key.
        rows: Its declared rows.
        notes: Sentences under it.
    """

    key: str
    title: str
    form: str
    sorts: tuple[str, ...]
    columns: Mapping[str, Column]
    rows: tuple[DeclaredRow, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DeclaredStep:
    """One step of an order of work.

    Attributes:
        key: Its id.
        do: What to do.
        after: Ids of the steps that must be done before it.
        show: Names whose values it needs.
        cautions: What may hurt someone or spoil the work.
        holds: Clauses that must hold before the next step.
        part: The part whose hold points they are, of clauses that are asked of it; "" for all.
        basis: By whose word.
        place: Where it stands.
    """

    key: str
    do: str
    after: tuple[str, ...]
    show: tuple[str, ...]
    cautions: tuple[str, ...]
    holds: tuple[str, ...]
    part: str
    basis: Basis
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """One declared sheet."""

    title: str
    about: str
    tables: tuple[DeclaredTable, ...]
    steps: tuple[DeclaredStep, ...]


def load_sheet(name: str, verdict: Verdict, path: Path | None = None) -> Sheet:
    """Return a declared sheet for one job, every name in it known.

    Args:
        name: Its id, which is its file's name.
        verdict: The job, judged; its books tell which names, clauses and parts there are.
        path: Its file; for None those of `sheets/` beside the books, put together.

    Raises:
        RulesetError: The file cannot be read, has fields no sheet has, or names what no book has.
    """
    reading = _Reading(verdict.library)
    node = sheet_node(name, verdict, reading.faults.found, path)
    if node is None:
        says = f"There is no sheet {name} in a folder sheets/ beside the books."
        raise ShapeError(Fault(verdict.job.place, says))
    return reading.sheet(node, name)


class _Reading:
    """One sheet's nodes, read against a library."""

    def __init__(self, library: Library) -> None:
        self.library = library
        self.faults = Faults()

    def sheet(self, node: Node, name: str) -> Sheet:
        fields = Fields(node, self.faults, "a sheet")
        given = fields.text("sheet", need=True)
        if given not in ("", name):
            fields.wrong("sheet", f"sheet is {quoted(given)}; this file is to be {name}.")
        sheet = Sheet(
            title=fields.text("title", need=True),
            about=fields.text("about"),
            tables=tuple(self.table(one, key) for key, one in fields.table("tables").items()),
            steps=self.steps(fields.table("steps")),
        )
        fields.done()
        if self.faults.found:
            raise ShapeError(self.faults.found)
        return sheet

    def table(self, node: Node, key: str) -> DeclaredTable:
        fields = Fields(node, self.faults, f"the table {key}")
        sorts = self.sorts(fields)
        bound = {name: sort for sort in sorts for name in self.library.sorts[sort].variables}
        columns = {
            name: self.column(one, name, bound, loop=bool(sorts))
            for name, one in fields.table("columns").items()
        }
        rows = fields.rows("rows")
        if (fields.node("rows") is not None) == bool(sorts):
            says = f"The table {key} has either `for` and its columns' names, or rows."
            self.faults.add(fields.place, says)
        table = DeclaredTable(
            key=key,
            title=fields.text("title", need=True),
            form=fields.word("form", FORMS, default="grid"),
            sorts=sorts,
            columns=columns,
            rows=tuple(self.row(row, columns) for row in rows),
            notes=fields.texts("notes"),
        )
        fields.done()
        return table

    def sorts(self, fields: Fields) -> tuple[str, ...]:
        text = fields.text("for")
        if not text:
            return ()
        known = self.library.sorts
        sorts = tuple(text.removeprefix("each ").split(" of each "))
        for sort in sorts:
            if sort not in known or not text.startswith("each "):
                says = f"for is {quoted(text)}; it is `each SORT`, or `each SORT of each SORT`."
                fields.wrong("for", f"{says}{did_you_mean(sort, known)}")
                return ()
        return sorts

    def column(self, node: Node, key: str, bound: Mapping[str, str], *, loop: bool) -> Column:
        if not loop:
            if isinstance(node, Text):
                return Column(title=node.text, name="")
            self.faults.add(node.place, f"The column {key} is a title; its rows name the values.")
            return Column(title=key, name="")
        fields = Fields(node, self.faults, f"the column {key}")
        column = Column(
            title=fields.text("title", need=True),
            name=self.name(fields, "is", bound, need=True),
            only=self.name(fields, "only", bound),
        )
        fields.done()
        return column

    def row(self, node: Node, columns: Mapping[str, Column]) -> DeclaredRow:
        fields = Fields(node, self.faults, "a row")
        item, part = fields.text("item", need=True), self.part(fields)
        names: dict[str, str] = {}
        for key in columns:
            if name := self.name(fields, key, {}):
                names[key] = name
        row = DeclaredRow(item=item, part=part, origin=fields.text("from"), names=names)
        fields.done()
        return row

    def part(self, fields: Fields) -> str:
        """Return the part that a field names, a fault kept where there is none."""
        part = fields.text("part")
        if part and part not in self.library.parts:
            hint = did_you_mean(part, self.library.parts)
            fields.wrong("part", f"There is no part {quoted(part)}.{hint}")
        return part

    def name(
        self, fields: Fields, key: str, bound: Mapping[str, str], *, need: bool = False
    ) -> str:
        """Return the name that a field holds, a fault kept where no book has it."""
        name, at = fields.text(key, need=need), fields.node(key)
        if name and at is not None:
            self.check_name(name, at.place, bound)
        return name

    def check_name(self, name: str, place: Place, bound: Mapping[str, str]) -> None:
        """Keep a fault for a name that no book has."""
        library = self.library
        scope = InFormula(library.names, "", {}, bound)
        if name in library.limits or scope.type_of(name) is not None:
            return
        hint = did_you_mean(name, (*scope.names(), *library.limits))
        self.faults.add(place, f"No book has a name {quoted(name)}.{hint}")

    def steps(self, table: Mapping[str, Node]) -> tuple[DeclaredStep, ...]:
        done: list[str] = []
        found: list[DeclaredStep] = []
        for key, node in table.items():
            step = self.step(node, key)
            for before in step.after:
                if before in done:
                    continue
                later = before in table
                what = "comes later or is itself" if later else "is no step"
                hint = "" if later else did_you_mean(before, table)
                says = f"The step {key} is after {quoted(before)}, which {what}.{hint}"
                self.faults.add(step.place, says)
            done.append(key)
            found.append(step)
        return tuple(found)

    def step(self, node: Node, key: str) -> DeclaredStep:
        fields = Fields(node, self.faults, f"the step {key}")
        holds, show = fields.texts("holds"), fields.texts("show")
        for name in show:
            self.check_name(name, _row_place(node, "show", name), {})
        for clause in holds:
            if clause not in self.library.clauses:
                hint = did_you_mean(clause, self.library.clauses)
                place = _row_place(node, "holds", clause)
                self.faults.add(place, f"There is no clause {quoted(clause)}.{hint}")
        basis = read_basis(fields.node("basis"), self.faults)
        step = DeclaredStep(
            key=key,
            do=fields.text("do", need=True),
            after=fields.texts("after"),
            show=show,
            cautions=fields.texts("cautions"),
            holds=holds,
            part=self.part(fields),
            basis=basis or Basis(standing="common practice", note="no source"),
            place=fields.place,
        )
        fields.done()
        return step


def _row_place(node: Node, key: str, text: str) -> Place:
    """Return where a text stands in a list of a table, or the table."""
    rows = node.entries.get(key) if isinstance(node, Table) else None
    items = getattr(rows, "items", ())
    return next((i.place for i in items if isinstance(i, Text) and i.text == text), node.place)
