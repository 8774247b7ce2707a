"""The take-off as text that fits a page 80 columns wide."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from ..filled_tables import Cell, FilledRow, FilledTable, Missing
from ..take_off import Takeoff
from .layout import USUAL_WIDTH, Look, cells
from .text import assumed_lines

GAP = 2  # columns between the columns of a grid
LEAST_ITEM = 22  # columns that a grid's first column keeps; a narrower one becomes blocks
MOST_LABEL = 36
NO_RELEASE = "A take-off releases nothing: the review says whether the job may be ordered."


def write(takeoff: Takeoff, *, width: int = USUAL_WIDTH, look: Look | None = None) -> str:
    """Return the take-off as text.

    Args:
        takeoff: The take-off.
        width: Columns.
        look: What the text may look like; plain and `width` wide for None.
    """
    look = look or Look(width=width)
    lines = sheet_head(takeoff.heading, takeoff.job, takeoff.title, look)
    if takeoff.standing is not None:
        paint = "green" if takeoff.standing.ready else "red"
        lines += [look.paint(line, paint) for line in look.wrap(str(takeoff.standing))]
    lines += look.wrap(f"Kit {takeoff.kit}; code {', '.join(takeoff.codes)}.")
    lines += look.wrap(takeoff.about)
    lines += look.wrap(NO_RELEASE) if takeoff.standing is None else []
    lines += look.wrap(code_words(takeoff.sizes_code))
    numbers = numbered(takeoff.missing)
    for table in takeoff.tables:
        lines += table_lines(table, look, numbers)
    lines += missing_lines(takeoff.missing, look)
    lines += assumed_lines(takeoff.assumed, look)
    lines += cautions_of(takeoff.cautions, look)
    return "\n".join(lines).strip("\n") + "\n"


def code_words(code: str) -> str:
    """Return what is said of the code of the sizes."""
    if not code:
        return "Code of the sizes: none yet, they are not all known."
    return f"Code of the sizes: {code}. A second check and the client's signature are given for it."


def sheet_head(heading: str, job: str, title: str, look: Look) -> list[str]:
    """Return the first lines of a sheet."""
    said = f"{heading}: {job}" + (f", {title}" if title else "")
    first, *rest = look.wrap(said)
    return [look.paint(first, "head"), *rest]


def numbered(missing: Iterable[Missing]) -> Mapping[str, int]:
    """Return the number that each missing fact has in the list at the end of a sheet."""
    return {one.fact: number for number, one in enumerate(missing, start=1)}


def table_lines(table: FilledTable, look: Look, numbers: Mapping[str, int]) -> list[str]:
    """Return a table with its heading and notes; nothing for one that has no row and lacks none.

    Args:
        table: The table.
        look: What the text may look like.
        numbers: Number of each missing fact.
    """
    if not table.rows and not table.missing:
        return []
    lines = look.heading(table.title)
    grid = _grid(table, look, numbers) if table.form == "grid" else None
    lines += _blocks(table, look, numbers) if grid is None else grid
    for name in table.missing:
        lines += look.wrap(f"{name} is not given yet, so that rows may be missing.")
    if table.rows:
        for note in (*table.notes, *_words_of(table)):
            lines += look.wrap(note, first="  ")
    return lines


def cell_text(cell: Cell, numbers: Mapping[str, int]) -> str:
    """Return a cell as it stands in a sheet.

    In brackets stands the exact value after one that is cut rounded; where only the printing
    rounded it, the exact one stands first. After what is not known stand the numbers of the facts
    it waits for.
    """
    if cell.missing:
        waits = ", ".join(str(numbers.get(name, name)) for name in cell.missing)
        return f"{cell.text} [{waits}]"
    if cell.exact is None:
        return cell.text
    first, second = cell.text, cell.exact.text
    if cell.value is not None and cell.exact.value == cell.value.value:
        first, second = second, first
    return f"{first} ({second})"


def _words_of(table: FilledTable) -> Iterable[str]:
    """Yield by whose word the limits of a table are, each once."""
    given = {cell.name: cell.basis for row in table.rows for cell in row.cells if cell.basis}
    if given:
        yield "By whose word: " + "; ".join(f"{name}: {basis}" for name, basis in given.items())


def _named(row: FilledRow, table: FilledTable) -> str:
    """Return what a row is; where rows are of several parts of one sort, with its part."""
    many = len({one.part for one in table.rows}) > 1
    said = f"{row.part}: {row.item}" if many and row.part else row.item
    return f"{said}, from {row.origin}" if row.origin else said


def _grid(table: FilledTable, look: Look, numbers: Mapping[str, int]) -> list[str] | None:
    """Return a table with a line a row, None where that is too wide."""
    rows = [[look.clean(cell_text(cell, numbers)) for cell in row.cells] for row in table.rows]
    titles = [look.clean(title) for title in table.columns]
    widths = [max(map(cells, column)) for column in zip(titles, *rows, strict=True)]
    left = look.width - sum(wide + GAP for wide in widths)
    if left < LEAST_ITEM:
        return None
    item = max([cells(_named(row, table)) for row in table.rows] or [LEAST_ITEM])
    item = min(left, max(item, LEAST_ITEM))
    lines = [_line("", item, titles, widths)] if any(titles) else []
    for row, texts in zip(table.rows, rows, strict=True):
        first, *more = replace(look, width=item).wrap(_named(row, table), rest="  ")
        lines += [_line(first, item, texts, widths), *more]
    return [line.rstrip() for line in lines]


def _line(first: str, item: int, texts: Sequence[str], widths: Sequence[int]) -> str:
    line = first + " " * (item - cells(first))
    for text, wide in zip(texts, widths, strict=True):
        line += " " * GAP + text + " " * (wide - cells(text))
    return line


def _blocks(table: FilledTable, look: Look, numbers: Mapping[str, int]) -> list[str]:
    """Return a table with a line a value under each row's name."""
    label = min(MOST_LABEL, max(map(cells, table.columns), default=0)) + GAP
    lines: list[str] = []
    for row in table.rows:
        lines += look.wrap(_named(row, table))
        for cell in row.cells:
            if cell.text:
                title = look.clean(cell.title or "Value")
                lead = "  " + title + " " * max(GAP, label - cells(title))
                lines += look.wrap(cell_text(cell, numbers), first=lead)
    return lines


def missing_lines(missing: Iterable[Missing], look: Look) -> list[str]:
    """Return what is still to be supplied, a line a fact; nothing where nothing is."""
    found = list(missing)
    if not found:
        return []
    lines = look.heading("Not known yet")
    for number, one in enumerate(found, start=1):
        who = f"; from {one.who}" if one.who else ""
        lines += look.wrap(f"{one.means} ({one.fact}{who})", first=f"[{number}] ")
    return lines


def cautions_of(cautions: Iterable[str], look: Look) -> list[str]:
    """Return the cautions that end every sheet."""
    lines = look.heading("Cautions")
    for caution in cautions:
        lines += look.wrap(caution, first="- ")
    return lines
