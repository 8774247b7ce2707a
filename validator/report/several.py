"""The lists of several jobs as text, as JSON for programs, and as CSV for spreadsheets."""

import csv
import io
from collections.abc import Mapping
from dataclasses import asdict

from ..several.jobs import Enclosure
from ..several.lists import Together
from .data import FORMAT, as_json
from .layout import Look
from .takeoff_csv import HEAD, guarded, table_rows
from .takeoff_data import table_data
from .takeoff_text import cautions_of, table_lines

NOTHING = "No job is ready to order: these lists are empty."


def several_text(found: Together, look: Look) -> str:
    """Return the lists as text that ends with a line break."""
    jobs = f"{len(found.jobs)} job{'' if len(found.jobs) == 1 else 's'}"
    (head,) = look.wrap(f"One order, one delivery: {jobs}")
    lines = [look.paint(head, "head")]
    if found.held_back:
        says = f"LEFT OUT, since they are not ready to order: {len(found.held_back)}"
        lines += [look.paint(line, "red") for line in look.wrap(says)]
    for one in found.held_back:
        why = f"{one.standing.errors} error{'' if one.standing.errors == 1 else 's'}"
        says = f"{one.job}: {why}, {one.standing.asked} to measure; {one.file}"
        lines += look.wrap(says, first="  ", rest="    ")
    lines += look.wrap("In these lists:" if found.jobs else NOTHING)
    for one in found.jobs:
        title = f", {one.title}" if one.title else ""
        lines += look.wrap(f"{one.job}{title}; kit {one.kit}", first="  ", rest="    ")
    for table in found.tables:
        lines += table_lines(table, look, {})
    if found.notes:
        lines += look.heading("To know")
    for note in found.notes:
        lines += look.wrap(note, first="- ")
    return "\n".join([*lines, *cautions_of(found.cautions, look)]) + "\n"


def several_json(found: Together, version: str) -> str:
    """Return the lists as JSON, values in internal units.

    Args:
        found: The lists.
        version: Version of the program that made them.
    """
    return as_json(
        {
            "paneproof": version,
            "format": FORMAT,
            "jobs": [_job(one) for one in found.jobs],
            "left_out": [_job(one) for one in found.held_back],
            "tables": [table_data(table) for table in found.tables],
            "notes": list(found.notes),
            "cautions": list(found.cautions),
        }
    )


def _job(one: Enclosure) -> Mapping[str, object]:
    return {
        "job": one.job,
        "title": one.title,
        "file": one.file,
        "kit": one.kit,
        "site": one.site,
        "supplier": one.supplier,
        "release": asdict(one.standing),
    }


def several_csv(found: Together) -> str:
    """Return the lists as CSV, a line a value, with the columns of a take-off.

    Source:
        RFC 4180, section 2.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(HEAD)
    for one in (*found.held_back, *found.jobs):
        blank = ("",) * (len(HEAD) - 8)
        said = ("Release", "Ready to order", "", "Verdict", "", "", str(one.standing))
        writer.writerow((guarded(one.job), *said, *blank))
    writer.writerows(table_rows("", found.tables, found.style))
    return out.getvalue()
