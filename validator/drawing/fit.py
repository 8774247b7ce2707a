"""The largest scale at which elevation, plan and their dimensions fit the page."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from .chains import Spans, lengths, spans
from .dimension import Length, offsets
from .drafting import SCALES
from .geometry import Box, Point
from .pen import FROM_START, Count, Frame, Measure, Pen
from .rows import DrawingRows
from .scene import Scene
from .sizes import Sizes
from .sorts.wall import WALL
from .svg import Canvas

CAPTION = 5.5
PLAN = 8.0
"""Around the plan, above and below, for its texts and marks, mm."""
_SIDE = 14.0  # least room beside the elevation for short sizes of level chains
SIDES = ("above", "below", "before", "after")
"""Where rows of dimensions stand around the elevation; before it is left of it on the page."""
_WHERE = ("above", "below", "start", "end")  # as rows of chains say it


class Chained(NamedTuple):
    """A chain, where its lengths along the run count from, and the part it is of."""

    counted: Count
    spans: Spans
    part: str

    def lengths(self, pen: Pen, sizes: Sizes, *, upright: bool) -> tuple[Length, ...]:
        """Return it on the page."""
        return lengths(pen.counted(self.counted), sizes, self.spans, upright=upright)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitted:
    """The elevation's pen and the rows of dimensions around it.

    Attributes:
        pen: Draws the elevation.
        scale: n of 1 to n.
        low: Least (along, up) of what is drawn, mm of the thing.
        high: Greatest.
        bottom: Where the rows under the elevation end, mm.
        rows: The chains on each side, each with its distance from the figure.
    """

    pen: Pen
    scale: int
    low: Measure
    high: Measure
    bottom: float
    rows: dict[str, tuple[tuple[Chained, float], ...]]

    @property
    def box(self) -> Box:
        """Return the elevation's box on the page."""
        one, other = self.pen.at(*self.low), self.pen.at(*self.high)
        return Box(min(one.x, other.x), other.y, max(one.x, other.x), one.y)


class Fitting:
    """Tries scales for one job."""

    def __init__(
        self, canvas: Canvas, scene: Scene, rows: DrawingRows, corners: tuple[Measure, Measure]
    ) -> None:
        """Keep what is to fit.

        Args:
            canvas: The page.
            scene: What can be drawn of the job.
            rows: What is dimensioned.
            corners: Least and greatest (along, up) of the elevation, mm of the thing.
        """
        self.canvas = canvas
        self.scene = scene
        self.low, self.high = corners
        self.chains: dict[str, list[Chained]] = {side: [] for side in SIDES}
        for chain in rows.chains:
            count = scene.counts(chain.part)
            ends = SIDES[2:] if count.toward > 0 else SIDES[:1:-1]
            side = dict(zip(_WHERE, (*SIDES[:2], *ends), strict=True)).get(chain.where)
            if side is not None:
                self.chains[side].append(Chained(count, spans(scene.sizes, chain), chain.part))

    def fitted(self, room: Box) -> Fitted | None:
        """Return the largest that fits a room, None where nothing does."""
        tried = (self._at_scale(scale, room) for scale in SCALES[self.scene.sizes.unit])
        return next((one for one in tried if one is not None), None)

    def _at_scale(self, scale: int, room: Box) -> Fitted | None:
        low, high = self.low, self.high
        frame = Frame(origin=Point(0, 0), direction=1.0, scale=1 / scale)
        trial = Pen(canvas=self.canvas, frame=frame)
        rows = {side: self._rows(trial, chains, side) for side, chains in self.chains.items()}
        before, after = (max(_SIDE, rows[side][-1][1] + 1.0) + WALL for side in SIDES[2:])
        wide, tall = (high[0] - low[0]) / scale, (high[1] - low[1]) / scale
        over, under = rows["above"][-1][1] + CAPTION, rows["below"][-1][1]
        spare = room.width - before - wide - after
        if spare < 0 or over + tall + under + self._plan(scale) + 5.0 > room.height:
            return None
        first = room.left + before + spare / 2
        datum = room.top + over + 3.0 + high[1] / scale
        origin = Point(first - low[0] / scale, datum)
        pen = replace(trial, frame=replace(frame, origin=origin), low=low[1], high=high[1])
        bottom = datum - low[1] / scale + under
        return Fitted(pen=pen, scale=scale, low=low, high=high, bottom=bottom, rows=rows)

    def _plan(self, scale: int) -> float:
        depth = self.scene.depth()
        return 0.0 if depth is None else (depth[1] - depth[0]) / scale + 2 * PLAN + CAPTION

    def _rows(
        self, pen: Pen, chains: Sequence[Chained], side: str
    ) -> tuple[tuple[Chained, float], ...]:
        """Return each chain with its distance from the figure, and last an empty one past all."""
        upright, inward = side in SIDES[2:], side in ("below", "after")
        measured = [one.lengths(pen, self.scene.sizes, upright=upright) for one in chains]
        away = offsets(measured, upright=upright, texts_inward=inward)
        return tuple(zip((*chains, Chained(FROM_START, (), "")), away, strict=True))
