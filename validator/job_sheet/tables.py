"""The tables of take-off and setting-out, with what is missing in each row that lacks it."""

from collections.abc import Iterable, Iterator, Mapping, Sequence

from ..cautions import UNSURE
from ..filled_tables import Cell, FilledRow, FilledTable
from .markup import Markup, el, joined
from .waiting import Waiting, marks

_SIDE_BY_SIDE = 4  # parts of a block that fit beside each other on an upright page

_SHORT = 10
"""Lines of a table that had better stay on one page."""


def table_section(table: FilledTable, found: Mapping[str, Waiting]) -> Markup | None:
    """Return a table with its notes; None for one that has no row and lacks none.

    Args:
        table: The table.
        found: Number of each fact that is missing.
    """
    if not table.rows and not table.missing:
        return None
    made: list[Markup] = []
    if table.rows:
        made += _blocks(table, found) if table.form == "block" else [_grid(table, found)]
    else:
        made.append(el("h3", table.title))
    made += [
        el(
            "p",
            f"The list {name} is not given yet, so that rows may be missing ",
            f"[{marks((name,), found)}].",
            class_="lacks",
        )
        for name in table.missing
    ]
    if table.rows:
        made += [el("p", note, class_="note") for note in (*table.notes, *whose_word(table))]
    short = len(table.rows) <= _SHORT and (table.form != "block" or len(table.columns) <= _SHORT)
    return el("div", *made, class_="keep" if short else None)


def cell_pieces(cell: Cell, found: Mapping[str, Waiting]) -> Markup:
    """Return what stands in a cell: the value, the exact one under it, or what it waits for."""
    if cell.missing:
        lacks = el("b", cell.text)
        return joined((lacks, f" [{marks(cell.missing, found)}]"))
    if cell.exact is not None and cell.value is not None and cell.exact.value == cell.value.value:
        said = el("span", f" or {cell.text}", class_="fine")  # the printing alone rounded it
        return joined((cell.exact.text, el("br"), said))
    if cell.exact is None:
        return joined((cell.text,))
    return joined(
        (cell.text, el("br"), el("span", f" rounded from {cell.exact.text}", class_="fine"))
    )


def whose_word(table: FilledTable) -> Iterator[str]:
    """Yield by whose word the limits of a table are, each word once."""
    by_column: dict[str, dict[str, dict[str, None]]] = {}
    for row in table.rows:
        for cell in row.cells:
            if cell.basis:
                words = by_column.setdefault(cell.title, {})
                words.setdefault(checked(cell.basis), {}).setdefault(row.item)
    for title, words in by_column.items():
        named = f"{title}, by whose word" if title else "By whose word"
        if len(words) == 1:
            yield f"{named}: {', '.join(words)}."
        else:
            said = (f"{basis} for {', '.join(items)}" for basis, items in words.items())
            yield f"{named}: {'; '.join(said)}."


def checked(basis: str) -> str:
    """Return a basis on one line, marked where a reader must check it first.

    Example:
        >>> checked("A handbook 2019 (memory)"), checked("shop policy")
        ('A handbook 2019 (memory: check it)', 'shop policy')
    """
    for word in UNSURE:
        if basis.endswith(f"({word})"):
            return f"{basis[:-1]}: check it)"
    return basis


def _grid(table: FilledTable, found: Mapping[str, Waiting]) -> Markup:
    parts = _with_parts(table.rows)
    heads = [el("th", title or "Value", scope="col") for title in table.columns]
    first = [el("th", "Part", scope="col", class_="part")] if parts else []
    head = el("tr", *first, el("th", "What", scope="col"), *heads)
    rows = []
    for row in table.rows:
        lead = [el("td", row.part, class_="part")] if parts else []
        cells = (_cell(cell, found) for cell in row.cells)
        rows.append(el("tr", *lead, el("th", *_named(row), scope="row"), *cells))
    caption = el("caption", el("h3", table.title))
    many = "few" if len(table.columns) == 1 else "grid"
    return el("table", caption, el("thead", head), el("tbody", *rows), class_=many)


def _blocks(table: FilledTable, found: Mapping[str, Waiting]) -> list[Markup]:
    """Return rows that hold many values as columns beside each other."""
    made = []
    for start in range(0, len(table.rows), _SIDE_BY_SIDE):
        rows = table.rows[start : start + _SIDE_BY_SIDE]
        heads = (el("th", *_named(row), scope="col") for row in rows)
        lines = (
            el(
                "tr",
                el("th", title or "Value", scope="row"),
                *(_cell(row.cells[at], found) for row in rows),
            )
            for at, title in enumerate(table.columns)
        )
        title = el("h3", table.title) if start == 0 else f"{table.title}, continued"
        head = el("thead", el("tr", el("th", "What", scope="col"), *heads))
        made.append(el("table", el("caption", title), head, el("tbody", *lines), class_="block"))
    return made


def _cell(cell: Cell, found: Mapping[str, Waiting]) -> Markup:
    return el("td", cell_pieces(cell, found), class_="lacks" if cell.missing else None)


def _with_parts(rows: Sequence[FilledRow]) -> bool:
    return len({row.part for row in rows}) > 1


def _named(row: FilledRow) -> Iterable[str]:
    yield row.item[:1].upper() + row.item[1:]
    if row.origin:
        yield f", from {row.origin}"
