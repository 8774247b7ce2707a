"""A pen in a frame: from a run's own measures to the page."""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import NamedTuple

from .drafting import CENTRE, FAINT, HATCH, LineStyle
from .geometry import Box, Point, box_of, cut_line, hatching
from .svg import Canvas

Measure = tuple[float, float]
"""Along the run from where it is counted, and up or inward; real mm."""


class Count(NamedTuple):
    """Where on a run, counted from its left end, a part's own lengths begin, and which way they go.

    Attributes:
        at: The place, mm.
        toward: 1 to the right, -1 to the left, seen from outside.
    """

    at: float
    toward: float

    def along(self, own: float) -> float:
        """Return where along the run, from its left end, an own length of the part ends."""
        return self.at + self.toward * own


FROM_START = Count(at=0.0, toward=1.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """Where on the page a run stands, which way its lengths count there, and how large.

    Attributes:
        origin: Where the point (0, 0) of the run's measures comes to stand.
        direction: 1 where lengths along the run count to the right, -1 to the left.
        scale: How long a millimetre of the thing is on the page, mm.
    """

    origin: Point
    direction: float
    scale: float

    def at(self, along: float, up: float) -> Point:
        """Return where a point of the thing is on the page.

        Args:
            along: Along the run, mm.
            up: Up in an elevation, inward in a plan, mm.

        Example:
            >>> Frame(origin=Point(100, 50), direction=-1, scale=0.1).at(200, 30)
            Point(x=80.0, y=47.0)
        """
        x, y = self.origin
        return Point(x + self.direction * along * self.scale, y - up * self.scale)

    def counted(self, count: "Count") -> "Frame":
        """Return the frame in which lengths along the run count from another place on."""
        origin = self.at(count.at, 0.0)
        return replace(self, origin=origin, direction=self.direction * count.toward)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pen:
    """Draws things by their own measures.

    Attributes:
        canvas: The page.
        frame: Where things come to stand on it.
        low: How far down or outward the view reaches, mm of the thing.
        high: How far up or inward, mm of the thing.
        fine: Whether the view is large enough for hatched glass.
        window: Outside of it nothing is drawn; None for no limit.
    """

    canvas: Canvas
    frame: Frame
    low: float = 0.0
    high: float = 0.0
    fine: bool = False
    window: Box | None = None

    def at(self, along: float, up: float) -> Point:
        """Return where a point of the thing is on the page."""
        return self.frame.at(along, up)

    def counted(self, count: Count) -> "Pen":
        """Return the pen for lengths that count from another place of the run on."""
        return replace(self, frame=self.frame.counted(count))

    def real(self, on_page: float) -> float:
        """Return how long a thing is whose length on the page is given, mm."""
        return on_page / self.frame.scale

    def points(self, measures: Sequence[Measure]) -> list[Point]:
        """Return where several points are on the page."""
        return [self.at(along, up) for along, up in measures]

    def line(self, measures: Sequence[Measure], line: LineStyle) -> None:
        """Draw a line through points of the thing."""
        self._draw(self.points(measures), line)

    def box(self, one: Measure, other: Measure, line: LineStyle) -> None:
        """Draw the outline of an upright box between two opposite corners."""
        self.outline(_corners(one, other), line)

    def outline(self, measures: Sequence[Measure], line: LineStyle) -> None:
        """Draw a closed line through points of the thing."""
        points = self.points(measures)
        if self.window is None:
            self.canvas.outline(points, line)
        else:
            self._draw([*points, points[0]], line)

    def solid(self, one: Measure, other: Measure, *, fill: str = "black") -> None:
        """Fill an upright box."""
        box = self._seen(one, other)
        if box is not None:
            self.canvas.solid(box.corners, fill=fill)

    def hatch(self, measures: Sequence[Measure], apart: float) -> None:
        """Hatch a convex polygon of the thing, lines `apart` mm from each other on the page."""
        pairs = list(hatching(self.points(measures), apart))
        if self.window is not None:
            window = self.window
            cut = (cut_line(one, other, window) for one, other in pairs)
            pairs = [pair for pair in cut if pair is not None]
        self.canvas.lines(pairs, HATCH)

    def circle(
        self, middle: Measure, radius: float, line: LineStyle, *, fill: str = "none"
    ) -> None:
        """Draw a circle, its radius in mm of the thing."""
        at = self.at(*middle)
        if self.window is None or self.window.holds(Box(at.x, at.y, at.x, at.y)):
            self.canvas.circle(at, abs(radius) * self.frame.scale, line, fill=fill)

    def cross(self, middle: Measure, reach: float) -> None:
        """Draw the centre lines of a hole, each reaching `reach` mm on the page past its middle."""
        at = self.at(*middle)
        self.canvas.line((Point(at.x - reach, at.y), Point(at.x + reach, at.y)), FAINT)
        self.canvas.line((Point(at.x, at.y - reach), Point(at.x, at.y + reach)), FAINT)

    def centre_line(self, one: Measure, other: Measure) -> None:
        """Draw a chain-dotted line."""
        self.line((one, other), CENTRE)

    def busy(self, one: Measure, other: Measure) -> None:
        """Ask labels to leave a box of the thing free."""
        box = self._seen(one, other)
        if box is not None:
            self.canvas.busy.append(box)

    def _seen(self, one: Measure, other: Measure) -> Box | None:
        """Return the part of an upright box that is in the window, on the page."""
        box = box_of(self.points((one, other)))
        return box if self.window is None else box.cut(self.window)

    def _draw(self, points: Sequence[Point], line: LineStyle) -> None:
        if self.window is None:
            self.canvas.line(points, line)
            return
        for one, other in itertools.pairwise(points):
            part = cut_line(one, other, self.window)
            if part is not None:
                self.canvas.line(part, line)


def _corners(one: Measure, other: Measure) -> tuple[Measure, Measure, Measure, Measure]:
    return (one, (other[0], one[1]), other, (one[0], other[1]))
