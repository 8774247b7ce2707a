"""Points, boxes and polygons on the page; mm, x to the right and y down."""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple


class Point(NamedTuple):
    """A point on the page, mm."""

    x: float
    y: float


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle on the page, mm."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def centre(self) -> Point:
        """Return its middle."""
        return Point((self.left + self.right) / 2, (self.top + self.bottom) / 2)

    @property
    def width(self) -> float:
        """Return its width, mm."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """Return its height, mm."""
        return self.bottom - self.top

    @property
    def corners(self) -> tuple[Point, Point, Point, Point]:
        """Return its corners, clockwise."""
        return (
            Point(self.left, self.top),
            Point(self.right, self.top),
            Point(self.right, self.bottom),
            Point(self.left, self.bottom),
        )

    def meets(self, other: "Box") -> bool:
        """Return whether two boxes have area in common."""
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )

    def holds(self, other: "Box") -> bool:
        """Return whether another box lies wholly inside."""
        return (
            self.left <= other.left
            and other.right <= self.right
            and self.top <= other.top
            and other.bottom <= self.bottom
        )

    def grown(self, by: float) -> "Box":
        """Return the box with each side moved outward by `by` mm."""
        return Box(self.left - by, self.top - by, self.right + by, self.bottom + by)

    def cut(self, window: "Box") -> "Box | None":
        """Return the part of the box that lies in a window, None for none."""
        if not self.meets(window):
            return None
        return Box(
            max(self.left, window.left),
            max(self.top, window.top),
            min(self.right, window.right),
            min(self.bottom, window.bottom),
        )

    def moved(self, right: float, down: float) -> "Box":
        """Return the box moved."""
        return Box(self.left + right, self.top + down, self.right + right, self.bottom + down)

    def nearest(self, to: Point) -> Point:
        """Return the point of the box that is nearest to a point."""
        return Point(min(max(to.x, self.left), self.right), min(max(to.y, self.top), self.bottom))


def box_of(points: Iterable[Point]) -> Box:
    """Return the least box around some points."""
    listed = tuple(points)
    xs, ys = [p.x for p in listed], [p.y for p in listed]
    return Box(min(xs), min(ys), max(xs), max(ys))


def cut_line(one: Point, other: Point, window: Box) -> tuple[Point, Point] | None:
    """Return the part of a line that lies in a window, None for none.

    Source:
        Liang and Barsky's way of cutting a line, from memory.

    Example:
        >>> cut_line(Point(-5, 1), Point(5, 1), Box(0, 0, 2, 2))
        (Point(x=0.0, y=1.0), Point(x=2.0, y=1.0))
    """
    low, high = 0.0, 1.0
    across, down = other.x - one.x, other.y - one.y
    for step, room in (
        (-across, one.x - window.left),
        (across, window.right - one.x),
        (-down, one.y - window.top),
        (down, window.bottom - one.y),
    ):
        if step == 0:
            if room < 0:
                return None
        elif step < 0:
            low = max(low, room / step)
        else:
            high = min(high, room / step)
    if low >= high:
        return None
    return (
        Point(one.x + low * across, one.y + low * down),
        Point(one.x + high * across, one.y + high * down),
    )


def hatching(corners: Sequence[Point], apart: float) -> Iterator[tuple[Point, Point]]:
    """Yield lines at 45 degrees across a convex polygon.

    Args:
        corners: Its corners in turn.
        apart: From line to line, mm.

    Source:
        ISO 128-3, hatching at 45 degrees; from memory.
    """
    sums = [p.x + p.y for p in corners]
    step = apart * math.sqrt(2)
    for number in range(math.ceil(min(sums) / step), math.floor(max(sums) / step) + 1):
        met = sorted(_crossings(corners, number * step))
        if len(met) > 1 and met[-1].x - met[0].x > apart / 10:
            yield met[0], met[-1]


def _crossings(corners: Sequence[Point], level: float) -> Iterator[Point]:
    """Yield where the line x + y = level meets the sides."""
    for one, other in zip(corners, (*corners[1:], corners[0]), strict=True):
        before, after = one.x + one.y - level, other.x + other.y - level
        if before != after and before * after <= 0:
            share = before / (before - after)
            yield Point(one.x + share * (other.x - one.x), one.y + share * (other.y - one.y))


def apart(wanted: Sequence[tuple[float, float]], low: float, high: float) -> list[float] | None:
    """Return middles near the wanted ones so that nothing overlaps; None where there is no room.

    Args:
        wanted: Wanted middle and length of each, in order, mm.
        low: Where the first may begin, mm.
        high: Where the last may end, mm.

    Example:
        >>> apart([(5, 4), (6, 4), (20, 4)], 0, 30)
        [3.5, 7.5, 20.0]
    """
    if sum(length for _, length in wanted) > high - low + 1e-9:
        return None
    # Runs of touching labels, each at the mean of what its members want.
    runs: list[list[tuple[float, float]]] = []
    for one in wanted:
        runs.append([one])
        while len(runs) > 1 and _start(runs[-2], low, high) + _length(runs[-2]) > _start(
            runs[-1], low, high
        ):
            last = runs.pop()
            runs[-1] += last
    middles: list[float] = []
    for run in runs:
        at = _start(run, low, high)
        for _, length in run:
            middles.append(at + length / 2)
            at += length
    return middles


def _length(run: Sequence[tuple[float, float]]) -> float:
    return sum(length for _, length in run)


def _start(run: Sequence[tuple[float, float]], low: float, high: float) -> float:
    before, starts = 0.0, []
    for middle, length in run:
        starts.append(middle - length / 2 - before)
        before += length
    return max(low, min(sum(starts) / len(starts), high - before))
