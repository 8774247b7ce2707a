"""One pane on one page: its outline, holes and notches measured from two edges, and its words."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from ..drawing.dimension import ROW, DimensionLine, Length, draw_chains
from ..drawing.drafting import FAINT, LETTER, MARGIN, PAGE_SIZES, VISIBLE, PageSize
from ..drawing.geometry import Box, Point
from ..drawing.key import LEADING
from ..drawing.letters import wrap
from ..drawing.pen import Frame, Measure, Pen
from ..drawing.sizes import Sizes
from ..drawing.svg import blank
from ..drawing.title_block import BLOCK, Facts, frame, title_block
from ..finding import Review
from ..verdict import Verdict
from .notes import told, words_of
from .outline import outline, points
from .shape import PaneShape

SCALES = {"mm": (2, 5, 10, 20, 25, 50), "in": (2, 4, 8, 12, 16, 24, 32, 48)}
"""Scales 1 to n by the job's unit.

Source:
    ISO 5455 for millimetres, from memory; for inches the usual ones from half size to 1/4 in to the
    foot: common practice, no source.
"""
_DATUM = 3.0  # size of the mark at the corner that everything is measured from, mm
_COLUMN = 64.0  # width of the words beside the figure, mm
_HEAD = 8.0  # over the pane, for the caption, mm
_EDGE = 4.0  # beside the outermost row of dimensions, mm
_SAME = 0.01  # mm: places that are nearer are measured once

Chain = tuple[DimensionLine, tuple[Length, ...]]


def draw_pane_page(
    verdict: Verdict, review: Review, shape: PaneShape, *, paper: str = "letter"
) -> str:
    """Return a drawing of one pane on one page, as SVG text in ASCII.

    Args:
        verdict: The job, judged.
        review: Its review: whether it is ready stands in the title block.
        shape: The pane.
        paper: letter or a4.

    Raises:
        PaneError: The notches make no one outline.
        ValueError: There is no such paper.
    """
    if paper not in PAGE_SIZES:
        raise ValueError(f"There is no paper {paper}; there are {', '.join(PAGE_SIZES)}.")
    return _PanePage(verdict, review, shape, PAGE_SIZES[paper]).written()


class _PanePage:
    """One page being composed."""

    def __init__(self, verdict: Verdict, review: Review, shape: PaneShape, paper: PageSize) -> None:
        self.shape = shape
        self.review = review
        self.sizes = Sizes(verdict)
        self.paper = paper
        self.seen = f"{shape.means[:1].upper()}{shape.means[1:]}, seen from {shape.seen}"
        self.words = [*words_of(verdict, shape)]
        self.cuts = [*_cuts(shape)]
        title = f"Pane {shape.part} of job {review.job}"
        said = ". ".join((self.seen, *self.words, *self.cuts))
        self.canvas = blank(paper, title, f"{said}.")

    def written(self) -> str:
        inner = frame(self.paper)
        room = Box(inner.left + 2.0, inner.top + 2.0, inner.right - 2.0, inner.bottom - BLOCK - 2.0)
        self._column(replace(room, left=room.right - _COLUMN))
        scale = self._figure(replace(room, right=room.right - _COLUMN - 2.0))
        facts = Facts(
            unit=self.sizes.unit,
            scale=f"Scale 1:{scale}",
            hand=f"Seen from {self.shape.seen}",
            paper=self.paper,
        )
        title_block(self.canvas, self.review, facts)
        return self.canvas.written()

    def _column(self, room: Box) -> None:
        """Write what the glass is and what is cut from it beside the figure."""
        from_ = f"Measured from the filled corner, the lower {self.shape.datum} one."
        at = room.top + 4.0
        for said in (self.words, [from_], self.cuts):
            for line in (line for one in said for line in wrap(one, room.width, LETTER, most=4)):
                self.canvas.text(line, Point(room.left, at), anchor="start")
                at += LEADING
            at += LEADING / 2

    def _figure(self, room: Box) -> int:
        """Draw the pane with its dimensions at the largest scale that fits; return that scale."""
        shape, left = self.shape, self.shape.datum == "left"
        level = self._measured(((o.x, o.x + o.width) for o in shape.notches), "x", shape.width)
        upright = self._measured(((o.y, o.y + o.height) for o in shape.notches), "y", shape.height)
        inner = replace(room, top=room.top + _HEAD)
        beside, under = ROW * len(upright) + _EDGE, ROW * len(level) + _EDGE
        scale = self._scale(inner.width - beside - _EDGE, inner.height - under)
        wide, tall = shape.width / scale, shape.height / scale
        spare_across = inner.width - wide - beside
        spare_up = inner.height - tall - under
        start = inner.left + spare_across / 2 + (beside if left else 0.0)
        foot = inner.top + spare_up / 2 + tall
        frame_ = Frame(origin=Point(start, foot), direction=1.0, scale=1 / scale)
        caption = Point(room.left, room.top + 4.0)
        self.canvas.text(f"{self.seen}   1:{scale}", caption, anchor="start", bold=True)
        pen = Pen(canvas=self.canvas, frame=frame_)
        with self.canvas.group("glass"):
            self._glass(pen)
        with self.canvas.group("dimensions"):
            draw_chains(self.canvas, [*self._level(pen, level), *self._upright(pen, upright)])
        return scale

    def _scale(self, wide: float, tall: float) -> int:
        scales = SCALES[self.sizes.unit]
        width, height = self.shape.width, self.shape.height
        fits = (one for one in scales if width / one <= wide and height / one <= tall)
        return next(fits, scales[-1])

    def _measured(
        self, spans: Iterable[tuple[float, float]], key: str, whole: float
    ) -> list[float]:
        """Return the places that are measured from one edge, each once, the whole side last."""
        centres = [hole.x if key == "x" else hole.y for hole in self.shape.holes]
        ends = [end for span in spans for end in span]
        inner = sorted(one for one in (*centres, *ends) if _SAME < one < whole - _SAME)
        printed = {self.sizes.shown(one): one for one in reversed(inner)}
        return [*sorted(printed.values()), whole]

    def _level(self, pen: Pen, places: Sequence[float]) -> Iterator[Chain]:
        edge, foot = self.shape.at(0.0), pen.at(0.0, 0.0).y
        for at, place in enumerate(places, start=1):
            row = DimensionLine(
                across=foot + ROW * at,
                upright=False,
                feet=foot + 0.6,
                low=MARGIN,
                high=self.paper.width - MARGIN,
            )
            ends = pen.at(edge, 0.0).x, pen.at(self.shape.at(place), 0.0).x
            text = self.sizes.shown(place)
            yield row, (Length(start=ends[0], end=ends[1], text=text),)

    def _upright(self, pen: Pen, places: Sequence[float]) -> Iterator[Chain]:
        edge = pen.at(self.shape.at(0.0), 0.0).x
        out = -1 if self.shape.datum == "left" else 1
        for at, place in enumerate(places, start=1):
            row = DimensionLine(
                across=edge + out * ROW * at,
                upright=True,
                feet=edge + out * 0.6,
                low=MARGIN,
                high=self.paper.height - MARGIN,
            )
            ends = pen.at(0.0, 0.0).y, pen.at(0.0, place).y
            text = self.sizes.shown(place)
            yield row, (Length(start=ends[0], end=ends[1], text=text),)

    def _glass(self, pen: Pen) -> None:
        cut = outline(self.shape)
        for loop in (cut.glass, *cut.cutouts):
            pen.outline(points(loop), VISIBLE)
        self._datum(pen)
        for number, hole in enumerate(self.shape.holes, start=1):
            middle = (self.shape.at(hole.x), hole.y)
            half = hole.across / 2
            pen.circle(middle, half, FAINT)
            pen.cross(middle, half * pen.frame.scale + 0.8)
            self._number(pen, str(number), middle, half)
        for at, notch in enumerate(self.shape.notches):
            middle = (self.shape.at(notch.x + notch.width / 2), notch.y + notch.height / 2)
            self._number(pen, _letter(at), middle, notch.width / 2)

    def _number(self, pen: Pen, text: str, middle: Measure, half: float) -> None:
        """Write a hole's number or a notch's letter beside it, toward the pane's middle."""
        at = pen.at(*middle)
        inward = 1 if middle[0] < self.shape.width / 2 else -1
        where = Point(at.x + inward * (half * pen.frame.scale + 1.4), at.y + 1.3)
        self.canvas.text(text, where, anchor="start" if inward > 0 else "end", bold=True)

    def _datum(self, pen: Pen) -> None:
        """Fill the corner that everything is measured from."""
        corner = pen.at(self.shape.at(0.0), 0.0)
        inward = _DATUM if self.shape.datum == "left" else -_DATUM
        others = (Point(corner.x + inward, corner.y), Point(corner.x, corner.y - _DATUM))
        self.canvas.solid((corner, *others), name="datum")


def _cuts(shape: PaneShape) -> Iterator[str]:
    """Yield what is drilled and cut out of a pane, by its number or letter on the drawing."""
    edge = f"from the {shape.datum} edge"
    if not shape.holes and not shape.notches:
        yield "No holes and no notches"
    for number, hole in enumerate(shape.holes, start=1):
        x, y, across = map(told, hole.cells)
        yield f"{number}: {hole.means}, {x} {edge}, {y} from the foot, {across} across"
    for at, notch in enumerate(shape.notches):
        x, y, wide, high, radius = map(told, notch.cells)
        where = f"{x} {edge}, {y} from the foot"
        yield f"{_letter(at)}: {notch.means}, {where}, {wide} wide, {high} high, radius {radius}"


def _letter(at: int) -> str:
    return chr(ord("A") + at)
