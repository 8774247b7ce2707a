"""A leaf that turns about its pivot, seen from above, and the angle at which it meets something."""

import math
from collections.abc import Iterable, Iterator

TURN = 2 * math.pi
HAIR = 1e-9  # rad, and as a share of lengths: below it two places are one

Point = tuple[float, float]
Leaf = tuple[float, float, float, float]
"""Near, far, back and front: the outline's ends along the leaf and square to it, from the pivot."""
Edge = tuple[float, float, float, float]
"""An edge of the leaf: how far it is from the pivot, the bearing of the square to it, and its ends
to the left of that square."""


def first_contact(  # noqa: PLR0913, PLR0917  # an outline, a line and an angle
    near: float,
    far: float,
    back: float,
    front: float,
    x: float,
    y: float,
    to_x: float,
    to_y: float,
    rise: float,
    most: float,
) -> float:
    """Return the angle at which a turning leaf first meets a line or an arc on the floor plan.

    The pivot is the origin; the shut leaf lies along x and turns toward y.

    Args:
        near: Where the outline begins along the leaf, mm; below 0 behind the pivot.
        far: Where it ends, mm; more than `near`.
        back: Where it begins square to the leaf, mm.
        front: Where it ends, on the side that leads, mm; more than `back`.
        x: First end of the obstacle along the shut leaf, mm.
        y: The same square to it, mm.
        to_x: Its second end along the shut leaf, mm; a post has both ends in one place.
        to_y: The same square to it, mm.
        rise: How far its middle stands off the straight line between its ends, toward y where the
            second end lies toward x, mm; 0 for a straight one.
        most: Furthest the leaf turns, rad; 0 to a whole turn.

    Returns:
        The least angle at which they touch, rad; `most` where they do not before.

    Raises:
        ValueError: The outline has no size, or an arc's ends are in one place.

    Source:
        Plane geometry: a point on a turning edge, a turning corner on a line or a circle, a turning
        edge along a circle.

    Example:
        >>> leaf = (-20.0, 700.0, -5.0, 5.0)
        >>> wall = (-500.0, 400.0, 2000.0, 400.0, 0.0)
        >>> round(math.degrees(first_contact(*leaf, *wall, math.pi)), 2)
        34.44
    """
    if near >= far or back >= front:
        raise ValueError("a leaf has a length and a thickness")
    leaf = (near, far, back, front)
    ends = ((x, y), (to_x, to_y))
    arc = _Arc(ends, rise) if rise else None
    if _crossed(leaf, ends) if arc is None else arc.crosses(leaf):
        return 0.0
    on_line = _on_segment(leaf, ends) if arc is None else _on_arc(leaf, arc)
    angles = map(_turned, (*_on_points(leaf, ends), *on_line))
    return min([angle for angle in angles if angle < most], default=most)


def _turned(angle: float) -> float:
    """Return an angle as the leaf comes to it, from 0 to a whole turn."""
    turned = angle % TURN
    return 0.0 if turned > TURN - HAIR else turned


def _turns(share: float) -> tuple[float, ...]:
    """Return the angles of a cosine, none where there is no such cosine."""
    return (math.acos(share), -math.acos(share)) if abs(share) <= 1 else ()


def _within(value: float, low: float, high: float) -> bool:
    hair = HAIR * (abs(low) + abs(high) + 1)
    return low - hair <= value <= high + hair


def _polar(point: Point) -> tuple[float, float]:
    """Return how far a point is from the pivot, and its bearing."""
    return math.hypot(*point), math.atan2(point[1], point[0])


def _is_off(polar: tuple[float, float]) -> bool:
    """Return whether a point is not the pivot itself, which no turn moves."""
    return polar[0] > 0


def _edges(leaf: Leaf) -> tuple[Edge, ...]:
    near, far, back, front = leaf
    along, square = 0.0, math.pi / 2
    return (
        (near, along, back, front),
        (far, along, back, front),
        (back, square, -far, -near),
        (front, square, -far, -near),
    )


def _corners(leaf: Leaf) -> Iterator[tuple[float, float]]:
    """Yield how far each corner of the leaf is from the pivot, and its bearing from the leaf."""
    for along in leaf[:2]:
        yield from (_polar((along, square)) for square in leaf[2:])


def _covers(leaf: Leaf, point: Point) -> bool:
    """Return whether a point lies inside the shut leaf."""
    near, far, back, front = leaf
    return near < point[0] < far and back < point[1] < front


def _crossed(leaf: Leaf, ends: tuple[Point, Point]) -> bool:
    """Return whether a straight line has a point inside the shut leaf."""
    (x, y), (to_x, to_y) = ends
    begins, stops = 0.0, 1.0  # as shares of the line's length
    for at, way, low, high in ((x, to_x - x, *leaf[:2]), (y, to_y - y, *leaf[2:])):
        if way:
            one, other = sorted(((low - at) / way, (high - at) / way))
            begins, stops = max(begins, one), min(stops, other)
        elif not low < at < high:
            return False
    return begins < stops


def _on_points(leaf: Leaf, points: Iterable[Point]) -> Iterator[float]:
    """Yield the angles at which an edge of the leaf comes to a point."""
    for distance, bearing in filter(_is_off, map(_polar, points)):
        for edge, square, low, high in _edges(leaf):
            for turn in _turns(edge / distance):
                if _within(distance * math.sin(turn), low, high):
                    yield bearing - square - turn


def _on_segment(leaf: Leaf, ends: tuple[Point, Point]) -> Iterator[float]:
    """Yield the angles at which a corner of the leaf comes to a straight line."""
    (x, y), (to_x, to_y) = ends
    length = math.hypot(to_x - x, to_y - y)
    if not length:
        return
    along, up = (to_x - x) / length, (to_y - y) / length
    off, start = along * y - up * x, along * x + up * y  # from the pivot, to the left and along
    square = math.atan2(along, -up)
    for radius, bearing in filter(_is_off, _corners(leaf)):
        for turn in _turns(off / radius):
            if _within(-radius * math.sin(turn), start, start + length):
                yield square + turn - bearing


class _Arc:
    """An arc by its ends and how far its middle stands off the straight line between them."""

    def __init__(self, ends: tuple[Point, Point], rise: float) -> None:
        (x, y), (to_x, to_y) = ends
        chord = math.hypot(to_x - x, to_y - y)
        if not chord:
            raise ValueError("an arc has two ends; a round obstacle is two halves")
        out = (-(to_y - y) / chord, (to_x - x) / chord)
        self.middle = ((x + to_x) / 2 + rise * out[0], (y + to_y) / 2 + rise * out[1])
        self.radius = (chord**2 / 4 + rise**2) / (2 * abs(rise))
        back = math.copysign(self.radius, rise)
        self.centre = (self.middle[0] - back * out[0], self.middle[1] - back * out[1])
        self.half = 2 * math.atan2(2 * abs(rise), chord)
        self.bearing = self.to(self.middle)

    def to(self, point: Point) -> float:
        """Return the bearing of a point from the centre, rad."""
        return math.atan2(point[1] - self.centre[1], point[0] - self.centre[0])

    def has(self, bearing: float) -> bool:
        """Return whether the drawn part of the circle lies at a bearing from the centre."""
        off = (bearing - self.bearing + math.pi) % TURN - math.pi
        return abs(off) <= self.half + HAIR

    def crosses(self, leaf: Leaf) -> bool:
        """Return whether the arc has a point inside the shut leaf."""
        distance, bearing = _polar(self.centre)
        for edge, square, low, high in _edges(leaf):
            off = edge - distance * math.cos(bearing - square)
            for turn in _turns(off / self.radius):
                left = distance * math.sin(bearing - square) + self.radius * math.sin(turn)
                if low < left < high and self.has(square + turn):
                    return True
        return _covers(leaf, self.middle)


def _on_arc(leaf: Leaf, arc: _Arc) -> Iterator[float]:
    """Yield the angles at which a corner or an edge of the leaf comes to an arc."""
    distance, bearing = _polar(arc.centre)
    for radius, own in filter(_is_off, _corners(leaf)) if distance else ():
        part = (radius**2 + distance**2 - arc.radius**2) / (2 * radius * distance)
        for at in (bearing + turn for turn in _turns(part)):
            if arc.has(arc.to((radius * math.cos(at), radius * math.sin(at)))):
                yield at - own
    for edge, square, low, high in _edges(leaf) if distance else ():
        for side, back in ((arc.radius, math.pi), (-arc.radius, 0.0)):
            for turn in _turns((edge + side) / distance):
                at = bearing - square - turn
                if _within(distance * math.sin(turn), low, high) and arc.has(at + square + back):
                    yield at
