"""What is cut from which bar and channel, kit by kit, new lengths and offcuts."""

from collections.abc import Iterable, Iterator

from ruleset.explain import Amount
from ruleset.kinds import KINDS
from ruleset.show import Style, show

from ..filled_tables import Cell, FilledRow, FilledTable, exact_text
from ..offcuts import Shelf
from .jobs import Enclosure, Wanted
from .nest import Cut, Length, Nest, Piece, nest

LENGTH = KINDS["length"]

Nested = tuple[str, str, Nest]
"""A kit, what of it is cut, and how."""


def nests_of(jobs: Iterable[Enclosure], shelf: Shelf, kerf: float) -> Iterator[Nested]:
    """Yield how each kit's bars and channels are cut, where its sheet says how long they come."""
    of: dict[tuple[str, str], list[Wanted]] = {}
    for job in jobs:
        for one in job.wanted:
            of.setdefault((one.kit, one.of), []).append(one)
    for (kit, what), wanted in of.items():
        pieces = [one.piece for one in wanted if one.piece is not None]
        new = next((one.stock for one in wanted if one.stock is not None), None)
        left = [
            Length(name=one.name, length=one.length, hole=one.hole)
            for one in shelf.offcuts
            if (one.kit, one.of) == (kit, what)
        ]
        if new is not None or left:
            yield kit, what, nest(pieces, [*left, *([] if new is None else [new])], kerf=kerf)


def cut_table(kit: str, what: str, found: Nest, style: Style) -> FilledTable:
    """Return what is cut from each length of a kit's stock, in the order of the cuts."""
    rows = [_cut_row(number, cut, style) for number, cut in enumerate(found.cuts, start=1)]
    new = f"{found.new} new length{'' if found.new == 1 else 's'}"
    proof = "no fewer would do" if found.proved else "the best found; fewer may do"
    notes = [f"{new}: {proof}."]
    notes += [
        f"Nothing is long enough, or has its holes, for {_said(piece, style)}."
        for piece in found.without
    ]
    return FilledTable(
        key=f"cuts.{kit}.{what}",
        title=f"Cut list: {what} of {kit}",
        form="block",
        columns=tuple(dict.fromkeys(cell.title for row in rows for cell in row.cells)),
        rows=tuple(rows),
        notes=tuple(notes),
        missing=(),
    )


def _cut_row(number: int, cut: Cut, style: Style) -> FilledRow:
    one = cut.length
    name = "new length" if one.new else f"offcut {one.name}"
    cells = [_length_cell("first", "Off its first end", cut.first, style)] if cut.first else []
    cells += [
        Cell(key=f"piece{at}", title=f"Piece {at}", name="", text=_said(piece, style))
        for at, piece in enumerate(cut.pieces, start=1)
    ]
    cells.append(_length_cell("left", "Left over", cut.left, style))
    item = f"{number}: {name}, {length_text(one.length, style)}"
    return FilledRow(item=item, part="", origin="", cells=tuple(cells))


def _said(piece: Piece, style: Style) -> str:
    hole = "" if piece.lead is None else f", first tapped hole at {length_text(piece.lead, style)}"
    return f"{piece.job} {piece.item}, {length_text(piece.length, style)}{hole}"


def length_text(length: float, style: Style) -> str:
    """Return a length as a tape has it, with the exact one behind it where that is another."""
    shown = show(length, LENGTH, style)
    return f"{shown.text} ({exact_text(length, LENGTH, style)})" if shown.rounded else shown.text


def _length_cell(key: str, title: str, length: float, style: Style) -> Cell:
    text = length_text(length, style)
    amount = Amount(value=length, kind=LENGTH, text=text)
    return Cell(key=key, title=title, name="", text=text, value=amount)
