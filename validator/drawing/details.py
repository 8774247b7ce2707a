"""Enlarged pieces of the plan: at the wall of the fixed panel, at the lap, at the strike wall."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from .chains import Part, Parts, across_curb, lengths
from .dimension import Length, Row, draw_chains, offsets
from .drafting import DIMENSION, FAINT, LETTER, SCALES
from .elevation import Anchors
from .letters import width
from .marks import place_label
from .plan_view import depth, draw_plan
from .shapes import Box, Point, apart
from .sizes import Sizes
from .svg import Canvas
from .view import View

_TALLEST = 39.0  # of a window, mm on the page
_CAPTION = 5.2
_PAST = 5.0  # beyond the curb or the wall's face, mm on the page
_COLUMN = 18.5  # beside a window, for the sizes across the curb
_BETWEEN = 2.0  # two windows side by side
_LINE = 4.4  # from one of those sizes to the next


@dataclass(frozen=True, slots=True, kw_only=True)
class Detail:
    """One piece.

    Attributes:
        title: Its caption.
        focus: The point along the opening that is brought to `share` of the window, mm.
        share: From 0 at the fixed side to 1 at the strike side.
        chains: What is dimensioned under it.
        across: Whether the sizes across the curb stand beside it.
        labels: Texts, each with the place it tells of.
    """

    title: str
    focus: float
    share: float
    chains: tuple[Parts, ...]
    across: bool
    labels: tuple[tuple[str, str], ...]


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


def draw_details(canvas: Canvas, sizes: Sizes, column: Box, *, mirrored: bool) -> Drawn:
    """Draw the details: the two walls side by side, as they stand in the plan, over the lap.

    Args:
        canvas: The page.
        sizes: The job's values.
        column: Where they stand.
        mirrored: Whether the fixed side is on the right.
    """
    lines = depth(sizes)
    walls = (_wall(sizes), _strike(sizes))
    lap = _lap(sizes)
    if lines is None or not any((*walls, lap)):
        return Drawn(bottom=column.top, scale=0)
    deep = lines[1] - lines[0]
    scale = next((n for n in SCALES[1:] if deep / n + 2 * _PAST <= _TALLEST), SCALES[-1])
    half = (column.width - _BETWEEN) / 2
    halves = (replace(column, right=column.left + half), replace(column, left=column.right - half))
    drawn = _Details(canvas, sizes, scale, mirrored=mirrored)
    levels = [
        drawn.draw(one, room)
        for one, room in zip(walls[::-1] if mirrored else walls, halves, strict=True)
        if one is not None
    ]
    level = max(levels, default=column.top)
    if lap is not None:
        level = drawn.draw(lap, replace(column, top=level))
    return Drawn(
        bottom=level,
        scale=scale,
        anchors=tuple(drawn.anchors),
        blocks=tuple(drawn.blocks),
        unwritten=tuple(drawn.unwritten),
    )


class _Details:
    """Details as they are drawn one after the other."""

    def __init__(self, canvas: Canvas, sizes: Sizes, scale: int, *, mirrored: bool) -> None:
        self.canvas = canvas
        self.sizes = sizes
        self.scale = scale
        self.mirrored = mirrored
        self.anchors: list[Anchors] = []
        self.blocks: list[Box] = []
        self.unwritten: list[str] = []

    def draw(self, detail: Detail, room: Box) -> float:
        """Draw one detail at the top of a room; return where it ends, mm."""
        low, high = depth(self.sizes) or (0.0, 0.0)
        top = room.top + _CAPTION
        right = room.right - (_COLUMN if detail.across else 0.0)
        window = Box(room.left, top, right, top + (high - low) / self.scale + 2 * _PAST)
        view = self._view(detail, window, window.bottom - _PAST + low / self.scale)
        caption = Point(room.left, room.top + 4.0)
        self.canvas.text(detail.title, caption, anchor="start", bold=True)
        with self.canvas.group(f"detail-{detail.title[0].lower()}"):
            anchors = draw_plan(view, self.sizes, fine=True)
            self.canvas.outline(window.corners, FAINT)
        bottom, lost = _dimensions(view, self.sizes, detail, room, window)
        self.unwritten += lost
        for text, place in detail.labels:
            to = anchors.get(place)
            if to is not None and window.grown(-0.5).holds(Box(to.x, to.y, to.x, to.y)):
                place_label(self.canvas, text, to, window.grown(-0.6))
        self.anchors.append(anchors)
        self.blocks.append(Box(window.left, room.top, window.right, window.bottom))
        return bottom + 2.0

    def _view(self, detail: Detail, window: Box, level: float) -> View:
        share = 1 - detail.share if self.mirrored else detail.share
        at = window.left + window.width * share + {0.0: _PAST, 1.0: -_PAST}.get(share, 0.0)
        along = detail.focus / self.scale
        return View(
            canvas=self.canvas,
            origin=Point(at + along if self.mirrored else at - along, level),
            scale=1 / self.scale,
            mirrored=self.mirrored,
            window=window,
        )


def _dimensions(
    view: View, sizes: Sizes, detail: Detail, column: Box, window: Box
) -> tuple[float, tuple[str, ...]]:
    """Draw a detail's dimensions; return where they end and what found no place."""
    chains = [lengths(view, sizes, parts, upright=False) for parts in detail.chains]
    chains = [
        one
        for one in chains
        if one and all(window.left <= part.low and part.high <= window.right for part in one)
    ]
    rows = offsets(chains, upright=False, texts_inward=True)
    placed: list[tuple[Row, tuple[Length, ...]]] = []
    for one, away in zip(chains, rows, strict=False):
        row = Row(
            across=window.bottom + away,
            upright=False,
            feet=window.bottom + 0.8,
            low=column.left - 2.0,
            high=column.right,
        )
        placed.append((row, one))
    lost = draw_chains(view.canvas, placed)
    if detail.across:
        lost += _beside(view, sizes, window)
    return window.bottom + rows[-1] + 1.0, lost


def _beside(view: View, sizes: Sizes, window: Box) -> tuple[str, ...]:
    """Write the sizes across the curb in a column beside a window, level, each with a leader."""
    chained = sorted(
        lengths(view, sizes, across_curb(sizes), upright=True), key=lambda one: one.low
    )
    if not chained:
        return ()
    canvas, rail = view.canvas, window.right + 2.2
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


def _wall(sizes: Sizes) -> Detail | None:
    foot = sizes.get("fixed_wall.foot_past")
    gap, channel = sizes.get("design.wall_gap"), sizes.get("kit.channel.depth")
    if foot is None:
        return None
    if sizes.get("design.fixed.thickness") is None:
        gap = channel = None
    return Detail(
        title="A wall",
        focus=foot,
        share=0.0,
        chains=(
            () if gap is None else (Part(start=0.0, end=gap, name="design.wall_gap", word="gap"),),
            ()
            if channel is None
            else (Part(start=foot, end=foot + channel, name="kit.channel.depth", word="channel"),),
        ),
        across=False,
        labels=(("channel", "channel"),),
    )


def _lap(sizes: Sizes) -> Detail | None:
    start, edge = sizes.get("door.closed_trailing"), sizes.get("fixed.edge")
    if start is None or edge is None:
        return None
    front, rear = sizes.get("kit.guide.front"), sizes.get("kit.guide.rear")
    guide: Parts = ()
    if front is not None and rear is not None:
        guide = (
            Part(start=edge - rear, end=edge, name="kit.guide.rear"),
            Part(start=edge, end=edge + front, name="kit.guide.front"),
        )
    return Detail(
        title="B lap and guide",
        focus=(start + edge) / 2,
        share=0.5,
        chains=((Part(start=start, end=edge, name="door.overlap", word="lap"),), guide),
        across=True,
        labels=(("guide", "guide in plan"),),
    )


def _strike(sizes: Sizes) -> Detail | None:
    width_, past = sizes.get("opening.plumb_width"), sizes.get("strike_wall.foot_past")
    closed, bulb = sizes.get("door.closed_at"), sizes.get("kit.bulb.free")
    if width_ is None or past is None or closed is None:
        return None
    free: Parts = ()
    drawn = sizes.get("design.door.thickness") is not None
    if bulb is not None:
        free = (Part(start=closed, end=closed + bulb, name="kit.bulb.free", word="bulb free"),)
    return Detail(
        title="C strike",
        focus=width_ - past,
        share=1.0,
        chains=((Part(start=closed, end=width_, name="kit.strike_gap", word="gap"),), free)
        if drawn
        else (),
        across=False,
        labels=(("bulb", "bulb"), ("dam", "dam"), ("handle", "handle in plan")),
    )
