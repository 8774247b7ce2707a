"""The closed line that a pane is cut along, its notches part of it, with true arcs."""

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from ..drawing.sorts.notch import EDGES, Notch, edge_lines, on_edges
from .shape import NotchCut, PaneError, PaneShape

NEAR = 1e-6  # mm: ends that are nearer than this meet
QUARTER = math.tan(math.pi / 8)  # the bulge of a quarter of a circle
STEPS = 8  # lines that a quarter of a circle is drawn with where a page takes no arcs


class Vertex(NamedTuple):
    """A corner of a closed line.

    Attributes:
        x: From the pane's left edge as it is seen, mm.
        y: From its foot, mm.
        bulge: Of the side that begins here: the tangent of a quarter of its angle, 0 for straight,
            positive where it turns to the left.
    """

    x: float
    y: float
    bulge: float


Loop = tuple[Vertex, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Outline:
    """What is cut of a pane beside its holes.

    Attributes:
        glass: Its outer line, anticlockwise.
        cutouts: Closed lines inside it.
    """

    glass: Loop
    cutouts: tuple[Loop, ...]


def outline(shape: PaneShape) -> Outline:
    """Return the lines that a pane is cut along.

    Raises:
        PaneError: Its notches make no one outline.

    Source:
        DXF's definition of a bulge: the tangent of a quarter of the arc's angle.
    """
    notches = [_notch(one, shape) for one in shape.notches]
    if any(_meet(one, other) for one, other in itertools.combinations(notches, 2)):
        raise _no_outline(shape)
    pieces = [*_edges(shape, notches)]
    cutouts: list[Loop] = []
    for one in notches:
        sides = on_edges(one, shape.width, shape.height)
        if any(sides):
            pieces += _sides(one, sides)
        else:
            cutouts.append(_inside(one))
    loop = _joined(pieces, shape)
    return Outline(glass=_seen(loop, shape), cutouts=tuple(_seen(one, shape) for one in cutouts))


def points(loop: Loop) -> list[tuple[float, float]]:
    """Return a closed line as corners alone, its arcs in short lines."""
    found: list[tuple[float, float]] = []
    for one, other in zip(loop, (*loop[1:], loop[0]), strict=True):
        found.append((one.x, one.y))
        if one.bulge:
            found += _arc(one, other)
    return found


def _arc(one: Vertex, other: Vertex) -> Iterator[tuple[float, float]]:
    """Yield points between the ends of an arc."""
    angle = 4 * math.atan(one.bulge)
    half_x, half_y = (other.x - one.x) / 2, (other.y - one.y) / 2
    # The centre stands off the middle of the chord, to the left where the arc turns left.
    off = 1 / math.tan(angle / 2)
    x, y = one.x + half_x - off * half_y, one.y + half_y + off * half_x
    start = math.atan2(one.y - y, one.x - x)
    radius = math.hypot(one.x - x, one.y - y)
    for step in range(1, STEPS):
        at = start + angle * step / STEPS
        yield x + radius * math.cos(at), y + radius * math.sin(at)


def _notch(cut: NotchCut, shape: PaneShape) -> Notch:
    notch = Notch(cut.x, cut.y, cut.width, cut.height, cut.radius)
    sides = on_edges(notch, shape.width, shape.height)
    level = cut.width / (1 if sides[1] or sides[3] else 2)  # room that each round corner has
    upright = cut.height / (1 if sides[0] or sides[2] else 2)
    if cut.radius > min(level, upright) + NEAR:
        raise PaneError(
            f"{cut.means} of {shape.means} has inside corners of radius {cut.cells[-1].text}, and "
            "its sides are too short for them: give a smaller radius or a larger notch."
        )
    return notch


def _edges(shape: PaneShape, notches: Sequence[Notch]) -> Iterator[list[Vertex]]:
    """Yield what notches leave of each edge, the glass on the left."""
    for edge in EDGES:
        for line in edge_lines(edge, shape.width, shape.height, notches):
            ordered = line if edge in ("foot", "far") else reversed(line)
            yield [Vertex(x, y, 0.0) for x, y in ordered]


def _sides(notch: Notch, on: Sequence[bool]) -> Iterator[list[Vertex]]:
    """Yield the sides of a notch that stand in the glass, the glass on the left."""
    corners = notch.corners
    for start in range(4):
        if on[start] or not on[start - 1]:
            continue
        last = start
        while not on[(last + 1) % 4]:
            last += 1
        ends = [corners[at % 4] for at in range(start, last + 2)]
        yield _rounded(list(reversed(ends)), notch.radius)


def _rounded(corners: Sequence[tuple[float, float]], radius: float) -> list[Vertex]:
    """Return an open line with its inner corners round; they turn to the right."""
    found = [Vertex(*corners[0], 0.0)]
    for before, at, after in zip(corners, corners[1:], corners[2:], strict=False):
        if radius <= NEAR:
            found.append(Vertex(*at, 0.0))
            continue
        found.append(Vertex(*_toward(at, before, radius), -QUARTER))
        found.append(Vertex(*_toward(at, after, radius), 0.0))
    return [*found, Vertex(*corners[-1], 0.0)]


def _inside(notch: Notch) -> Loop:
    """Return a cut-out that reaches no edge, anticlockwise."""
    found: list[Vertex] = []
    corners = notch.corners
    for at, corner in enumerate(corners):
        if notch.radius <= NEAR:
            found.append(Vertex(*corner, 0.0))
            continue
        found.append(Vertex(*_toward(corner, corners[at - 1], notch.radius), QUARTER))
        found.append(Vertex(*_toward(corner, corners[(at + 1) % 4], notch.radius), 0.0))
    return tuple(found)


def _toward(start: tuple[float, float], end: tuple[float, float], by: float) -> tuple[float, float]:
    share = by / math.dist(start, end)
    return start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share


def _joined(pieces: Sequence[list[Vertex]], shape: PaneShape) -> Loop:
    """Return pieces as one closed line; each is used once."""
    left = [piece for piece in pieces if math.dist(piece[0][:2], piece[-1][:2]) > NEAR]
    loop = left.pop(0)
    while left:
        end = loop[-1]
        following = next((p for p in left if math.dist(p[0][:2], end[:2]) <= NEAR), None)
        if following is None:
            break
        left.remove(following)
        loop = [*loop[:-1], *following]
    if left or math.dist(loop[0][:2], loop[-1][:2]) > NEAR:
        raise _no_outline(shape)
    return _plain(loop[:-1])


def _meet(one: Notch, other: Notch) -> bool:
    """Return whether two notches have a point in common."""
    level = one.x <= other.x + other.width + NEAR and other.x <= one.x + one.width + NEAR
    upright = one.y <= other.y + other.height + NEAR and other.y <= one.y + one.height + NEAR
    return level and upright


def _no_outline(shape: PaneShape) -> PaneError:
    return PaneError(
        f"The notches of {shape.means} meet each other or leave the glass, so that they make no "
        "one outline: move or join them in the job."
    )


def _plain(loop: Sequence[Vertex]) -> Loop:
    """Return a closed line without corners at which nothing turns, and none twice."""
    found: list[Vertex] = []
    for at, one in enumerate(loop):
        before, after = loop[at - 1], loop[(at + 1) % len(loop)]
        if math.dist(one[:2], after[:2]) <= NEAR and not one.bulge:
            continue
        cross = (one.x - before.x) * (after.y - one.y) - (one.y - before.y) * (after.x - one.x)
        if abs(cross) <= NEAR and not one.bulge and not before.bulge:
            continue
        found.append(one)
    return tuple(found)


def _seen(loop: Loop, shape: PaneShape) -> Loop:
    """Return a line as it is seen, from its left edge on; still anticlockwise."""
    if shape.datum == "left":
        return loop
    # Turned over and walked the other way, each arc bulges as it did.
    bulges = [one.bulge for one in loop]
    turned = [Vertex(shape.width - one.x, one.y, bulges[at - 1]) for at, one in enumerate(loop)]
    return tuple(reversed(turned))
