"""Enlarged pieces of the plan: narrow ones side by side as they stand in it, over wide ones."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from .chains import lengths, spans
from .dimension import DimensionLine, Length, draw_chains, offsets
from .drafting import DETAIL_SCALES, DIMENSION, FAINT, LETTER
from .found import Anchors
from .geometry import Box, Point, apart
from .letters import width
from .marks import place_label
from .pen import Frame, Pen
from .rows import DrawingRows
from .scene import Scene
from .svg import Canvas
from .view import Detail

_TALLEST = 39.0  # of a window, mm on the page
_CAPTION = 5.2
_PAST = 5.0  # beyond the curb or the wall's face, mm on the page
_COLUMN = 18.5  # beside a window, for the sizes across the curb
_BETWEEN = 2.0  # two windows side by side
_LINE = 4.4  # from one of those sizes to the next
_LETTERS = "ABCDEFGHIJKLMNOPQRSTUVWXYZ"


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """What came of the details.

    Attributes:
        bottom: Where the next thing in the column may begin, mm.
        scale: n of 1 to n; 0 where nothing was drawn.
        anchors: Places in each block.
        blocks: The blocks, in the order of the anchors.
        unwritten: Sizes that found no place.
    """

    bottom: float
    scale: int
    anchors: tuple[Anchors, ...] = ()
    blocks: tuple[Box, ...] = ()
    unwritten: tuple[str, ...] = ()


def draw_details(canvas: Canvas, scene: Scene, rows: DrawingRows, column: Box) -> Drawn:
    """Draw the details that views of a job's parts ask for.

    Args:
        canvas: The page.
        scene: What can be drawn of the job.
        rows: What is dimensioned and written.
        column: Where they stand.
    """
    depth, details = scene.depth(), scene.details()
    if depth is None or not details:
        return Drawn(bottom=column.top, scale=0)
    deep = depth[1] - depth[0]
    scales = DETAIL_SCALES[scene.sizes.unit]
    scale = next((n for n in scales if deep / n + 2 * _PAST <= _TALLEST), scales[-1])
    half = (column.width - _BETWEEN) / 2
    halves = (replace(column, right=column.left + half), replace(column, left=column.right - half))
    drawn = _Details(canvas, scene, rows, scale, depth)
    lettered = tuple(zip(_LETTERS, details, strict=False))
    narrow = [one for one in lettered if not one[1].wide]
    narrow.sort(key=lambda one: scene.counts(one[1].part).along(one[1].focus))
    level = column.top
    for at in range(0, len(narrow), 2):
        pair = zip(narrow[at : at + 2], halves, strict=False)
        level = max(drawn.draw(*one, replace(room, top=level)) for one, room in pair)
    for one in lettered:
        if one[1].wide:
            level = drawn.draw(*one, replace(column, top=level))
    return Drawn(
        bottom=level,
        scale=scale,
        anchors=tuple(drawn.anchors),
        blocks=tuple(drawn.blocks),
        unwritten=tuple(drawn.unwritten),
    )


class _Details:
    """Details as they are drawn one after the other."""

    def __init__(
        self,
        canvas: Canvas,
        scene: Scene,
        rows: DrawingRows,
        scale: int,
        depth: tuple[float, float],
    ) -> None:
        self.canvas = canvas
        self.scene = scene
        self.rows = rows
        self.scale = scale
        self.depth = depth
        self.anchors: list[Anchors] = []
        self.blocks: list[Box] = []
        self.unwritten: list[str] = []

    def draw(self, letter: str, detail: Detail, room: Box) -> float:
        """Draw one detail at the top of a room; return where it ends, mm."""
        low, high = self.depth
        top = room.top + _CAPTION
        right = room.right - (_COLUMN if detail.wide else 0.0)
        window = Box(room.left, top, right, top + (high - low) / self.scale + 2 * _PAST)
        pen = self._pen(detail, window)
        caption = Point(room.left, room.top + 4.0)
        sizes = self.scene.sizes
        self.canvas.text(f"{letter} {detail.title}", caption, anchor="start", bold=True)
        with self.canvas.group(f"detail-{letter.lower()}"):
            anchors = self.scene.plan(pen).spots
            self.canvas.outline(window.corners, FAINT)
        bottom = self._dimensions(pen, detail, room, window)
        for label in self.rows.labels:
            to = anchors.get(sizes.plain(label.spot)) if label.where == detail.title else None
            if to is not None and window.grown(-0.5).holds(Box(to.x, to.y, to.x, to.y)):
                place_label(self.canvas, label.says, to, window.grown(-0.6))
        self.anchors.append(anchors)
        self.blocks.append(Box(window.left, room.top, window.right, window.bottom))
        return bottom + 2.0

    def _pen(self, detail: Detail, window: Box) -> Pen:
        low, high = self.depth
        count = self.scene.counts(detail.part)
        share = detail.share if count.toward > 0 else 1 - detail.share
        at = window.left + window.width * share + {0.0: _PAST, 1.0: -_PAST}.get(share, 0.0)
        origin = Point(
            at - count.along(detail.focus) / self.scale,
            window.bottom - _PAST + low / self.scale,
        )
        frame = Frame(origin=origin, direction=1.0, scale=1 / self.scale)
        return Pen(canvas=self.canvas, frame=frame, low=low, high=high, fine=True, window=window)

    def _chains(
        self, pen: Pen, detail: Detail, where: str, *, upright: bool
    ) -> Iterator[tuple[Length, ...]]:
        for chain in self.rows.of(where):
            if chain.part == detail.part:
                counted = pen.counted(self.scene.counts(chain.part))
                parts = spans(self.scene.sizes, chain)
                yield lengths(counted, self.scene.sizes, parts, upright=upright)

    def _dimensions(self, pen: Pen, detail: Detail, column: Box, window: Box) -> float:
        """Draw a detail's dimensions; return where they end, and keep what found no place."""
        if not detail.chained:
            return window.bottom + 2.0
        chains = [
            one
            for one in self._chains(pen, detail, detail.title, upright=False)
            if one and all(window.left <= part.low and part.high <= window.right for part in one)
        ]
        rows = offsets(chains, upright=False, texts_inward=True)
        placed: list[tuple[DimensionLine, tuple[Length, ...]]] = []
        for one, away in zip(chains, rows, strict=False):
            row = DimensionLine(
                across=window.bottom + away,
                upright=False,
                feet=window.bottom + 0.8,
                low=column.left - 2.0,
                high=column.right,
            )
            placed.append((row, one))
        self.unwritten += draw_chains(self.canvas, placed)
        for one in self._chains(pen, detail, f"{detail.title}, across", upright=True):
            self.unwritten += _beside(self.canvas, one, window)
        return window.bottom + rows[-1] + 1.0


def _beside(canvas: Canvas, chain: Sequence[Length], window: Box) -> tuple[str, ...]:
    """Write sizes across in a column beside a window, level, each with a leader."""
    chained = sorted(chain, key=lambda one: one.low)
    if not chained:
        return ()
    rail = window.right + 2.2
    canvas.line((Point(rail, chained[0].low), Point(rail, chained[-1].high)), DIMENSION)
    for end in (chained[0].low, *(one.high for one in chained)):
        canvas.line((Point(window.right + 0.6, end), Point(rail + 0.8, end)), DIMENSION)
        canvas.dot(Point(rail, end), 0.3)
    return _column(canvas, chained, rail, window)


def _column(canvas: Canvas, chained: Sequence[Length], rail: float, window: Box) -> tuple[str, ...]:
    wanted = [((one.low + one.high) / 2, _LINE) for one in chained]
    middles = apart(wanted, window.top - _CAPTION, window.bottom + 2.0)
    if middles is None:
        return tuple(one.full for one in chained)
    for one, middle in zip(chained, middles, strict=True):
        start = Point(rail + 3.2, middle)
        canvas.line(
            (Point(rail, (one.low + one.high) / 2), Point(start.x - 0.4, middle)), DIMENSION
        )
        if start.x + width(one.text, LETTER) <= window.right + _COLUMN:
            canvas.text(one.text, Point(start.x, middle + 0.36 * LETTER), anchor="start")
        else:
            return (one.full,)
    return ()
