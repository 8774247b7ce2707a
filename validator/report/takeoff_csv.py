"""The take-off as comma-separated values: one line a value, for spreadsheets and cut lists."""

import csv
import io
from collections.abc import Iterable, Iterator, Mapping

from ruleset.explain import Amount
from ruleset.show import Style
from ruleset.units import UNITS

from ..filled_tables import Cell, FilledRow, FilledTable
from ..take_off import Takeoff
from .data import rounded, unit_of

HEAD = (
    "job",
    "table",
    "item",
    "part",
    "what",
    "value",
    "unit",
    "text",
    "exact",
    "name",
    "waits for",
)
# What a spreadsheet takes for the start of a formula; the wide forms too, which some fold.
RISKY = ("=", "+", "-", "@", "\t", "\r", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")
GUARD = "'"
_OF_SYSTEM: Mapping[str, Mapping[str, str]] = {
    "in": {"length": "in", "area": "sq ft", "mass": "lb"},
    "mm": {"length": "mm", "area": "m2", "mass": "kg"},
}


def write(takeoff: Takeoff) -> str:
    """Return the take-off as CSV with a head line; lines end with CR and LF.

    Values and exact values are plain numbers in `unit`, all of one system: in, sq ft and lb in a
    job of inches, else mm, m2 and kg. What is no length, area or mass is as in the JSON form.

    Source:
        RFC 4180, section 2.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(HEAD)
    if takeoff.standing is not None:
        told = (
            "Release",
            "Ready to order",
            "",
            "Verdict",
            "",
            "",
            str(takeoff.standing),
            "",
            "",
            "",
        )
        writer.writerow((guarded(takeoff.job), *told))
    if takeoff.sizes_code:
        said = ("Sizes", "Code of the sizes", "", "Code", "", "", takeoff.sizes_code, "", "", "")
        writer.writerow((guarded(takeoff.job), *said))
    writer.writerows(table_rows(takeoff.job, takeoff.tables, takeoff.style))
    return out.getvalue()


def table_rows(job: str, tables: Iterable[FilledTable], style: Style) -> Iterator[Iterable[object]]:
    """Yield a line for each value of tables.

    Args:
        job: The job they are of; "" for several.
        tables: The tables.
        style: The system of units that numbers are in.
    """
    for table in tables:
        for row in table.rows:
            for cell in row.cells:
                if cell.text:
                    yield _line(job, table, row, cell, style)


def _line(
    job: str, table: FilledTable, row: FilledRow, cell: Cell, style: Style
) -> Iterable[object]:
    return (
        guarded(job),
        guarded(table.title),
        guarded(row.item),
        guarded(row.part),
        guarded(cell.title),
        _number(cell.value, style),
        _unit(cell.value, style),
        guarded(cell.text),
        _number(cell.exact, style),
        guarded(cell.name),
        guarded(" ".join(cell.missing)),
    )


def guarded(text: str) -> str:
    """Return a text that no spreadsheet takes for a formula.

    Example:
        >>> guarded("=1+1"), guarded("-1/16 in"), guarded("door")
        ("'=1+1", "'-1/16 in", 'door')
    """
    return f"{GUARD}{text}" if text.startswith(RISKY) else text


def _number(amount: Amount | None, style: Style) -> float | str:
    """Return an amount as a number, "" where there is none or it is not finite."""
    if amount is None:
        return ""
    unit = _OF_SYSTEM[style.units].get(amount.kind.name)
    number = rounded(amount.value / (float(UNITS[unit].factor) if unit else 1.0))
    return "" if number is None else number


def _unit(amount: Amount | None, style: Style) -> str:
    if amount is None:
        return ""
    return _OF_SYSTEM[style.units].get(amount.kind.name) or unit_of(amount.kind)
