"""Several jobs in one table, a line each."""

from collections.abc import Sequence
from dataclasses import dataclass

from ..finding import Review
from .groups import errors, warnings
from .layout import Look, cells, counted, shortened

_JOB = 16  # most columns of a job's id
_GAP = "  "
_HEADS = ("Job", "File", "Ready", "Errors", "Warnings", "To measure")


@dataclass(frozen=True, slots=True, kw_only=True)
class JobRow:
    """One file that was asked for, and its review; None where it could not be used."""

    file: str
    review: Review | None


def summary_text(rows: Sequence[JobRow], stage: str, look: Look) -> str:
    """Return the table of several jobs, and how many of them are ready.

    Args:
        rows: The files, in the order they were given.
        stage: The stage asked about.
        look: Width, colour and characters.
    """
    table = [_cells(row, look) for row in rows]
    fixed = [max(map(len, column)) for column in list(zip(_HEADS, *table, strict=True))[2:]]
    job = min(_JOB, max(cells(one[0]) for one in (_HEADS, *table)))
    room = look.width - job - sum(fixed) - len(_GAP) * (len(_HEADS) - 1)
    file = max(len(_HEADS[1]), min(room, max(cells(one[1]) for one in (_HEADS, *table))))
    widths = (job, file, *fixed)
    lines = look.heading(f"{counted(len(rows), 'file')} ({_READY_FOR.get(stage, stage)})")
    lines.append(look.paint(_line(_HEADS, widths), "bold"))
    lines += [_line(one, widths) for one in table]
    return "\n".join([*lines, "", *look.wrap(_total(rows))]) + "\n"


_READY_FOR = {
    "survey": "survey complete?",
    "design": "design settled?",
    "order": "ready to order?",
    "fabricate": "ready to fabricate?",
    "install": "ready to install?",
    "handover": "ready to hand over?",
}


def _cells(row: JobRow, look: Look) -> tuple[str, ...]:
    review = row.review
    file = look.clean(row.file)
    if review is None:
        return ("-", file, "broken", "-", "-", "-")
    return (
        look.clean(review.job),
        file,
        "yes" if review.release.ready else "no",
        str(errors(review)),
        str(warnings(review)),
        str(len(review.asked)),
    )


def _line(texts: Sequence[str], widths: Sequence[int]) -> str:
    """Return one line: words to the left, numbers to the right."""
    found = []
    for at, (text, width) in enumerate(zip(texts, widths, strict=True)):
        short = shortened(text, width)
        blank = " " * (width - cells(short))
        found.append(f"{short}{blank}" if at <= _LAST_WORD else f"{blank}{short}")
    return _GAP.join(found).rstrip()


_LAST_WORD = 2  # the column up to which texts stand at the left


def _total(rows: Sequence[JobRow]) -> str:
    ready = sum(row.review is not None and row.review.release.ready for row in rows)
    broken = sum(row.review is None for row in rows)
    said = [f"{ready} ready", f"{len(rows) - ready - broken} not ready"]
    if broken:
        said.append(f"{broken} could not be used (see the messages)")
    return f"{counted(len(rows), 'file')}: {', '.join(said)}."
