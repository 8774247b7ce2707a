"""A view: from the job's own measures to the page, mirrored where the job is."""

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

from .drafting import CENTRE, FAINT, HATCH, Line
from .shapes import Box, Point, box_of, cut_line, hatching
from .svg import Canvas

Measure = tuple[float, float]
"""From the plumb line at the fixed side toward the strike wall, and up or inward; real mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """Where on the page a thing is drawn, and how large.

    Attributes:
        canvas: The page.
        origin: Where the point (0, 0) of the job's measures comes to stand.
        scale: How long a millimetre of the thing is on the page, mm.
        mirrored: Whether the fixed side is drawn on the right.
        window: Outside of it nothing is drawn; None for no limit.
    """

    canvas: Canvas
    origin: Point
    scale: float
    mirrored: bool
    window: Box | None = None

    def at(self, along: float, up: float) -> Point:
        """Return where a point of the thing is on the page.

        Args:
            along: From the fixed side's plumb line toward the strike wall, mm.
            up: Up in an elevation, inward in a plan, mm.
        """
        side = -1.0 if self.mirrored else 1.0
        return Point(self.origin.x + side * along * self.scale, self.origin.y - up * self.scale)

    def points(self, measures: Sequence[Measure]) -> list[Point]:
        """Return where several points are on the page."""
        return [self.at(along, up) for along, up in measures]

    def line(self, measures: Sequence[Measure], line: Line) -> None:
        """Draw a line through points of the thing."""
        self._draw(self.points(measures), line)

    def box(self, one: Measure, other: Measure, line: Line) -> None:
        """Draw the outline of an upright box between two opposite corners."""
        self.outline(_corners(one, other), line)

    def outline(self, measures: Sequence[Measure], line: Line) -> None:
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

    def circle(self, middle: Measure, radius: float, line: Line, *, fill: str = "none") -> None:
        """Draw a circle, its radius in mm of the thing."""
        at = self.at(*middle)
        if self.window is None or self.window.holds(Box(at.x, at.y, at.x, at.y)):
            self.canvas.circle(at, abs(radius) * self.scale, line, fill=fill)

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

    def _draw(self, points: Sequence[Point], line: Line) -> None:
        if self.window is None:
            self.canvas.line(points, line)
            return
        for one, other in itertools.pairwise(points):
            part = cut_line(one, other, self.window)
            if part is not None:
                self.canvas.line(part, line)


def _corners(one: Measure, other: Measure) -> tuple[Measure, Measure, Measure, Measure]:
    return (one, (other[0], one[1]), other, (one[0], other[1]))
