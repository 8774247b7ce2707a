"""One page for one job: elevation and plan, details, marks, key and notes."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from ..finding import Review
from ..report.groups import grouped, numbers
from ..verdict import Verdict
from .chains import sums
from .details import Drawn, draw_details
from .drafting import PAGE_SIZES, PageSize
from .figure import Figure
from .fit import Fitted, Fitting
from .found import Anchors
from .geometry import Box, Point
from .key import LEADING, divide, draw_key
from .marks import Mark, marks_of, place_mark
from .places import places
from .rows import rows_of
from .scene import Scene
from .sizes import Sizes
from .svg import blank
from .title_block import BLOCK, Facts, frame, note_lines, notes, title_block

_COLUMN = 48.0  # width of the details and the key
_BETWEEN = 3.0
_MOST_NOTES = 12
_NO_DETAILS = Drawn(bottom=0.0, scale=0)
_NOTHING = "Nothing is known yet that could be drawn."


def draw(
    verdict: Verdict,
    review: Review,
    *,
    paper: str = "letter",
    size: PageSize | None = None,
    marked: bool = True,
) -> str:
    """Return a drawing of a job on one page, as SVG text in ASCII.

    Args:
        verdict: What the rules found; every place and size is a value of it.
        review: The review of the same job; its findings are marked with the numbers that the text
            report gives them.
        paper: letter or a4.
        size: A sheet of another size, such as a part of a page.
        marked: Whether findings are marked and told; not for a client.

    Raises:
        ValueError: There is no such paper.
    """
    if paper not in PAGE_SIZES:
        raise ValueError(f"There is no paper {paper}; there are {', '.join(PAGE_SIZES)}.")
    sheet = size or PAGE_SIZES[paper]
    shown = review if marked else replace(review, findings=(), asked=())
    page = _Page(verdict, shown, sheet, marked=marked)
    said = note_lines(page.compose(0), page.room.width)
    if not said:
        return page.canvas.written()
    # What must be said is known only once everything is drawn, and it takes room of its own.
    page = _Page(verdict, shown, sheet, marked=marked)
    page.compose(min(len(said), _MOST_NOTES))
    return page.canvas.written()


class _Page:
    """One page being composed."""

    def __init__(self, verdict: Verdict, review: Review, paper: PageSize, *, marked: bool) -> None:
        self.marked = marked
        self.sizes = Sizes(verdict)
        self.scene = Scene(self.sizes)
        self.rows = rows_of(verdict)
        self.hand = self.scene.hand()
        self.verdict = verdict
        self.review = review
        self.paper = paper
        inner = frame(paper) if marked else Box(0.0, 0.0, paper.width, paper.height)
        bottom = inner.bottom - (BLOCK if marked else 0.0) - 1.5
        split = inner.right - _COLUMN - 1.5 if marked else inner.right - 1.5 + _BETWEEN
        self.room = Box(inner.left + 1.5, inner.top + 1.0, split - _BETWEEN, bottom)
        self.column = Box(split, inner.top + 1.0, inner.right - 1.5, bottom)
        self.canvas = blank(paper, self._title(), self._description())
        self.notes: list[str] = []

    def compose(self, reserved: int) -> list[str]:
        """Draw everything, with room for some lines of notes; return the notes."""
        details = _NO_DETAILS
        if self.marked:
            details = draw_details(self.canvas, self.scene, self.rows, self.column)
        listed = replace(self.column, top=details.bottom + (2.0 if details.scale else 0.0))
        marks = marks_of(grouped(self.review))
        key = divide(marks, listed, self.room.width)
        foot = replace(self.room, top=self.room.bottom - reserved * LEADING)
        band = replace(self.room, top=foot.top - key.tall, bottom=foot.top)
        room = replace(self.room, bottom=band.top - 1.0)
        fitted = self._fitted(room)
        found: Anchors = {}
        if fitted is not None:
            figure = Figure(self.canvas, self.scene, self.rows, fitted, room)
            found = figure.draw()
            self.notes += figure.notes
        elif details.scale == 0:
            where = Point(self.room.left, self.room.top + 12.0)
            self.canvas.text(_NOTHING, where, anchor="start", bold=True)
        unplaced = self._marks(found, details, room)
        waiting = self._waiting()
        none = "No findings yet" if waiting else "No findings"
        if self.marked:
            draw_key(self.canvas, key, "Findings" if marks else none, listed, band)
        self.notes = [*self._notes(details, unplaced, waiting), *self.notes]
        notes(self.canvas, self.notes, foot)
        if self.marked:
            title_block(self.canvas, self.review, self._facts(fitted, details))
        return self.notes

    def _fitted(self, room: Box) -> Fitted | None:
        corners = self.scene.extent()
        if corners is None:
            return None
        fitted = Fitting(self.canvas, self.scene, self.rows, corners).fitted(room)
        if fitted is None:
            self.notes.append("The opening is too large for a drawing of this size.")
        return fitted

    def _marks(self, found: Anchors, details: Drawn, room: Box) -> list[Mark]:
        """Draw the marks; return those of no one place, or with no room at it."""
        unplaced: list[Mark] = []
        groups = grouped(self.review)
        findings = [one.finding for group in groups for one in group.findings]
        for mark, finding in zip(marks_of(groups), findings, strict=True):
            done = False
            for place in places(self.verdict, self.sizes, self.rows, finding):
                spots = list(_spots(place, found, details, room))
                done = any(place_mark(self.canvas, mark, at, zone) for at, zone in spots)
                if done:
                    break
            if not done:
                unplaced.append(mark)
        return unplaced

    def _waiting(self) -> int:
        """Return how many findings wait for facts and are told elsewhere than in the list."""
        listed = numbers(self.review)
        unknown = sum(one.outcome == "unknown" for one in self.review.findings)
        return unknown - sum(one.finding.outcome == "unknown" for one in listed)

    def _notes(self, details: Drawn, unplaced: Sequence[Mark], waiting: int) -> Iterator[str]:
        if self.hand.note:
            yield self.hand.note
        if unplaced:
            yield f"Of no one place: {', '.join(str(mark.number) for mark in unplaced)}."
        if waiting:
            yield f"{waiting} {'clause waits' if waiting == 1 else 'clauses wait'} for facts."
        if details.unwritten:
            yield f"No room to write: {', '.join(details.unwritten)}."
        if self.sizes.left_out:
            missing = sorted(frozenset().union(*self.sizes.left_out.values()))
            yield f"Not known: {', '.join(missing)}."
            yield f"Left out for want of them: {', '.join(self.sizes.left_out)}."
        yield from sums(self.sizes, self.rows)

    def _facts(self, fitted: Fitted | None, details: Drawn) -> Facts:
        scales = [f"1:{fitted.scale}"] if fitted is not None else []
        scales += [f"details 1:{details.scale}"] if details.scale else []
        return Facts(
            unit=self.sizes.unit,
            scale=f"Scale {', '.join(scales)}" if scales else "Not to scale",
            hand=self.hand.says,
            paper=self.paper,
        )

    def _title(self) -> str:
        return f"Drawing of job {self.review.job}: {self.review.title}".removesuffix(": ")

    def _description(self) -> str:
        """Return what one who cannot see the picture is told of it."""
        told = [f"Elevation from outside and plan section, {self.verdict.job.arrangement.name}"]
        told.append(self.hand.says)
        known = (one for one in self.rows.told if self.sizes.get(one.value) is not None)
        told += [f"{one.says}: {self.sizes.text(one.value)}" for one in known]
        many = sum(len(group.findings) for group in grouped(self.review))
        if self.marked:
            told.append(f"{many} {'finding' if many == 1 else 'findings'} marked by number")
        return f"{'. '.join(told)}."


def _spots(place: str, found: Anchors, details: Drawn, room: Box) -> Iterator[tuple[Point, Box]]:
    """Yield where a place is drawn, with where its mark may stand; large views last."""
    for anchors, block in zip(details.anchors, details.blocks, strict=True):
        at = anchors.get(place)
        if at is not None and block.holds(Box(at.x, at.y, at.x, at.y)):
            yield at, block
    if place in found:
        yield found[place], room
