"""What a pane's papers say beside its sizes: what glass it is, whose, and whether it may be cut."""

from collections.abc import Iterator

from ..filled_tables import Cell
from ..finding import Review
from ..take_off import takeoff
from ..verdict import Verdict
from .shape import PaneShape


def notes_of(verdict: Verdict, review: Review, shape: PaneShape) -> tuple[str, ...]:
    """Return the lines that stand under a pane in a file for a machine.

    Args:
        verdict: The job, judged.
        review: Its review.
        shape: The pane.
    """
    stage = review.release.stage
    ready = f"{'Ready' if review.release.ready else 'NOT ready'} for the stage {stage}"
    return (
        f"Job {review.job}, pane {shape.part}: {shape.means}",
        f"Seen from {shape.seen}; true size in millimetres",
        f"{ready}; code of the sizes {review.sizes_code or 'none, not all are known'}",
        *words_of(verdict, shape),
    )


def words_of(verdict: Verdict, shape: PaneShape) -> Iterator[str]:
    """Yield what the take-off says of a pane by itself, a line each."""
    for table in takeoff(verdict).tables:
        for row in table.rows if table.form == "block" else ():
            if row.part == shape.part:
                yield from (f"{cell.title}: {told(cell)}" for cell in row.cells if cell.name)


def told(cell: Cell) -> str:
    """Return a value as it prints, with the exact one where that differs."""
    return f"{cell.text} ({cell.exact.text})" if cell.exact else cell.text
