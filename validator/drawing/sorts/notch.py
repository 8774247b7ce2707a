"""A pane's outline with its notches taken out of it."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from ..pen import Measure

HAIR = 1e-6  # mm: sides that are nearer than this to an edge lie on it
STEPS = 6  # lines that an inside corner is drawn with
EDGES = ("foot", "far", "top", "near")
"""Edges of a pane, anticlockwise from its lower corner at the fixed panel's wall."""


@dataclass(frozen=True, slots=True)
class Notch:
    """A notch by its lower corner nearest the fixed panel's wall, mm.

    Attributes:
        x: From the pane's edge toward the fixed panel's wall.
        y: From the pane's foot.
        width: Along the pane.
        height: Up the pane.
        radius: Of its inside corners.
    """

    x: float
    y: float
    width: float
    height: float
    radius: float

    @property
    def corners(self) -> tuple[Measure, ...]:
        """Return its corners in the order of the edges: each side runs to the next one."""
        far, top = self.x + self.width, self.y + self.height
        return ((self.x, self.y), (far, self.y), (far, top), (self.x, top))


def on_edges(notch: Notch, width: float, height: float) -> tuple[bool, ...]:
    """Return of each side of a notch whether it lies on the pane's edge of that name, or past it.

    Args:
        notch: The notch.
        width: The pane's, mm.
        height: The pane's, mm.
    """
    near, foot = notch.x <= HAIR, notch.y <= HAIR
    far, top = notch.x + notch.width >= width - HAIR, notch.y + notch.height >= height - HAIR
    return (foot, far, top, near)


def edge_lines(
    edge: str, width: float, height: float, notches: Sequence[Notch]
) -> Iterator[tuple[Measure, Measure]]:
    """Yield what notches leave of one edge of a pane, from the pane's lower near corner.

    Args:
        edge: One of `EDGES`.
        width: The pane's, mm.
        height: The pane's, mm.
        notches: Its notches.

    Example:
        >>> list(edge_lines("foot", 900.0, 2000.0, [Notch(0.0, 0.0, 50.0, 75.0, 10.0)]))
        [((50.0, 0.0), (900.0, 0.0))]
    """
    level = edge in ("foot", "top")
    whole, across = (width, height) if level else (height, width)
    beside = across if edge in ("top", "far") else 0.0
    at = EDGES.index(edge)
    cut = [one for one in notches if on_edges(one, width, height)[at]]
    spans = sorted(
        (one.x, one.x + one.width) if level else (one.y, one.y + one.height) for one in cut
    )
    start = 0.0
    for first, last in (*spans, (whole, whole)):
        if min(first, whole) > start + HAIR:
            end = min(first, whole)
            yield ((start, beside), (end, beside)) if level else ((beside, start), (beside, end))
        start = max(start, last)


def notch_lines(notch: Notch, width: float, height: float) -> Iterator[tuple[Measure, ...]]:
    """Yield the sides of a notch that stand in the glass, its inside corners round.

    Args:
        notch: The notch.
        width: The pane's, mm.
        height: The pane's, mm.

    Example:
        >>> (line,) = notch_lines(Notch(0.0, 0.0, 50.0, 75.0, 10.0), 900.0, 2000.0)
        >>> line[0], line[-1]
        ((50.0, 0.0), (0.0, 75.0))
    """
    edges, corners = on_edges(notch, width, height), notch.corners
    starts = [at for at in range(4) if not edges[at] and edges[at - 1]]
    if not any(edges):
        starts = [0]
    for start in starts:
        line = [corners[start]]
        at = start
        for _ in EDGES:
            follows = (at + 1) % 4
            if edges[follows] or follows == start:
                line.append(corners[follows])
                break
            line += _round(notch, at)
            at = follows
        yield tuple(line)


def _round(notch: Notch, side: int) -> Iterator[Measure]:
    """Yield points of the round corner after a side."""
    ways = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))
    corner, along, turned = notch.corners[(side + 1) % 4], ways[side], ways[(side + 1) % 4]
    radius = max(0.0, min(notch.radius, notch.width, notch.height))
    for step in range(STEPS + 1):
        angle = math.pi / 2 * step / STEPS
        back, on = radius * (math.sin(angle) - 1), radius * (1 - math.cos(angle))
        yield (
            corner[0] + back * along[0] + on * turned[0],
            corner[1] + back * along[1] + on * turned[1],
        )
