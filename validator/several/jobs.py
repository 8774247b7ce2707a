"""What is taken of each job: whether it may be ordered, its panes, its pieces, and what is cut."""

from collections.abc import Iterator
from dataclasses import dataclass

from ..filled_tables import NOT_GIVEN, Cell, FilledRow, FilledTable, Filling
from ..finding import Review
from ..sheet_reader import load_sheet
from ..take_off import Standing, standing, takeoff
from ..verdict import Verdict
from .nest import Length, Piece

SHEET = "several"
QUANTITY = "quantity"
"""The column of a take-off that counts pieces."""
SITE, SUPPLIER = "survey.site", "order.supplier"


@dataclass(frozen=True, slots=True, kw_only=True)
class Pane:
    """A pane of the order list.

    Attributes:
        part: Its name in the job.
        means: What it is.
        alike: What panes of one batch have in common, in words.
        cells: What the list says of it.
    """

    part: str
    means: str
    alike: tuple[str, ...]
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """A piece to be cut from a length of stock.

    Attributes:
        kit: The kit whose stock it is of.
        of: What it is of: bar, channel.
        piece: The piece; None where its length is not known.
        stock: A new length; None where the kit's sheet gives none.
        text: Its length as a person reads it.
        kerf: What a cut takes where the shop does not say, mm.
        word: By whose word that is.
    """

    kit: str
    of: str
    piece: Piece | None
    stock: Length | None
    text: str
    kerf: float
    word: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Enclosure:
    """One job as the lists of several have it.

    Attributes:
        job: Its number.
        title: Its title.
        file: Its file.
        kit: Its kit.
        standing: Whether it may be ordered.
        site: Where it is built; "" where it is not said.
        supplier: Who supplies its glass; "" where it is not said.
        panes: Its panes.
        pieces: Tables of its take-off that count pieces.
        wanted: What is cut for it.
    """

    job: str
    title: str
    file: str
    kit: str
    standing: Standing
    site: str
    supplier: str
    panes: tuple[Pane, ...]
    pieces: tuple[FilledTable, ...]
    wanted: tuple[Wanted, ...]


def enclosure(verdict: Verdict, review: Review) -> Enclosure:
    """Return what the lists of several jobs take of one.

    Args:
        verdict: The job, judged.
        review: Its review for order.

    Raises:
        RulesetError: A sheet cannot be read or names what no book has.
    """
    filling = Filling(verdict)
    tables = {table.key: table for table in load_sheet(SHEET, verdict).tables}
    alike = {row.part: row for row in filling.table(tables["alike"]).rows}
    panes = tuple(
        Pane(
            part=row.part,
            means=row.item,
            alike=tuple(_in_words(cell) for cell in alike[row.part].cells),
            cells=row.cells,
        )
        for row in filling.table(tables["glass"]).rows
    )
    counted = tuple(_counted(table) for table in takeoff(verdict).tables)
    return Enclosure(
        job=verdict.job.name,
        title=verdict.job.title,
        file=verdict.job.file,
        kit=verdict.job.kit.name,
        standing=standing(review),
        site=verdict.job.texts.get(SITE, ""),
        supplier=verdict.job.texts.get(SUPPLIER, ""),
        panes=panes,
        pieces=tuple(table for table in counted if table is not None),
        wanted=tuple(_wanted(verdict, filling.table(tables["cuts"]))),
    )


def _in_words(cell: Cell) -> str:
    return f"{cell.title.lower()} not given" if cell.text == NOT_GIVEN else cell.text


def _counted(table: FilledTable) -> FilledTable | None:
    return table if any(_quantity(row) is not None for row in table.rows) else None


def _quantity(row: FilledRow) -> Cell | None:
    return next((cell for cell in row.cells if cell.key == QUANTITY), None)


def _wanted(verdict: Verdict, table: FilledTable) -> Iterator[Wanted]:
    for row in table.rows:
        cells = {cell.key: cell for cell in row.cells}
        length, lead = _value(cells["length"]), _value(cells["lead"])
        stock, hole = _value(cells["stock"]), _value(cells["hole"])
        tapped = bool(cells["lead"].name)
        known = length is not None and (lead is not None or not tapped)
        yield Wanted(
            kit=_kit_of(verdict, cells["stock"].name),
            of=row.item,
            piece=Piece(job=verdict.job.name, item=row.part, length=length or 0.0, lead=lead)
            if known
            else None,
            stock=None if stock is None else Length(name="new", length=stock, hole=hole, new=True),
            text=cells["length"].text,
            kerf=_value(cells["kerf"]) or 0.0,
            word=cells["kerf"].basis,
        )


def _value(cell: Cell) -> float | None:
    return None if cell.value is None else cell.value.value


def _kit_of(verdict: Verdict, fact: str) -> str:
    """Return the kit whose sheet gives a fact: of several that a job joins, the one of its kind."""
    kit, kind = verdict.job.kit, fact.split(".")[1]
    return next((one.name for one in kit.of if kind in one.kinds), kit.name)
