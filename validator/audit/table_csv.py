"""An audit as CSV: a line for each clause that a job breaks, one for each job that breaks none."""

import csv
import io
from collections.abc import Iterable, Iterator

from .row import Row, Told

HEADS = (
    *("name", "job", "verdict", "why", "arrangement", "kit", "codes", "date", "to_measure"),
    *("clause", "subject", "outcome", "level", "margin", "kind", "says"),
)
_FORMULA = ("=", "+", "-", "@", "\t", "\r")
"""What a spreadsheet would take for a formula at the beginning of a text."""


def csv_lines(rows: Iterable[Row], only: str = "") -> Iterator[str]:
    """Yield the lines of a CSV file (RFC 4180), the heads first; margins in internal units."""
    yield _line(HEADS)
    for row in rows:
        head = (row.name, row.job, row.verdict, row.why, row.arrangement, row.kit)
        facts = (*head, " ".join(row.codes), row.date, row.asked)
        told = [one for one in row.told if only in ("", one.clause)]
        for one in told:
            yield _line((*facts, *_told(one, row)))
        if not told:
            yield _line((*facts, *[""] * 7))


def _told(one: Told, row: Row) -> tuple[object, ...]:
    kind = row.margins[one.clause].kind if one.clause in row.margins else ""
    margin = "" if one.margin is None else repr(one.margin)
    return (one.clause, one.subject, one.outcome, one.level, margin, kind, one.says)


def _line(cells: Iterable[object]) -> str:
    out = io.StringIO()
    csv.writer(out).writerow([_safe(one) for one in cells])
    return out.getvalue()


def _safe(cell: object) -> object:
    """Return a text that no spreadsheet runs; a number below 0 stays one."""
    if not isinstance(cell, str) or not cell.startswith(_FORMULA):
        return cell
    try:
        float(cell)
    except ValueError:
        return f"'{cell}"
    return cell
