"""Walls, curb and door as lines and a rectangle that is set up, turned and slid.

Seen from outside, the fixed panel on the left; x from the foot of the fixed panel's wall to the
right, z up from the datum, mm. A wall is known where it was read, at foot, middle and head: there
it is held against the glass; between them it is taken as the smooth curve through all three.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .draw import Drawn

Array = NDArray[np.float64]
Point = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """A line through points, straight between them and on past the last ones.

    Attributes:
        at: Where the points are, rising.
        size: How far they stand off there.
    """

    at: tuple[float, ...]
    size: tuple[float, ...]

    def off(self, at: float) -> float:
        """Return how far the line stands off at a place."""
        piece = min(max(sum(one <= at for one in self.at) - 1, 0), len(self.at) - 2)
        a, b = self.at[piece : piece + 2]
        u, v = self.size[piece : piece + 2]
        return u + (v - u) * (at - a) / (b - a)

    def within(self, low: float, high: float) -> list[Point]:
        """Return the line's ends and corners between two places."""
        places = [low, *(one for one in self.at if low < one < high), high]
        return [(one, self.off(one)) for one in places]


@dataclass(frozen=True, slots=True, kw_only=True)
class Wall:
    """A wall as it was read.

    Attributes:
        at: Heights of the three readings.
        size: x there.
    """

    at: tuple[float, float, float]
    size: tuple[float, float, float]

    def off(self, height: float) -> float:
        """Return x at a height, on the curve through the readings (Lagrange's form)."""
        total = 0.0
        for one, x in zip(self.at, self.size, strict=True):
            for other in self.at:
                if other != one:
                    x *= (height - other) / (one - other)  # noqa: PLW2901  # a product, term by term
            total += x
        return total


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """The finished opening as it was read.

    Attributes:
        left: x of the fixed panel's wall by height.
        right: x of the strike wall by height.
        curb: How far the curb lies below the datum, by x.
        plumb_left: x of the plumb line that just touches the fixed panel's wall.
        plumb_right: The same of the strike wall.
    """

    left: Wall
    right: Wall
    curb: Line
    plumb_left: float
    plumb_right: float


def opening(job: Drawn, split: float) -> Opening:
    """Return the opening of a job, the panel's free edge `split` past its wall's plumb line."""
    n = job.n
    heights = (0.0, n["read_height"] / 2, n["read_height"])

    def into(wall: str, foot: float, way: int) -> Wall:
        lean, bow = n[f"lean_{wall}"], n[f"bow_{wall}"]
        return Wall(at=heights, size=(foot, foot + way * (lean / 2 + bow), foot + way * lean))

    wide = n["width_sill"]
    left, right = into("fixed", 0.0, 1), into("strike", wide, -1)
    plumb = max(left.size)
    drops = (n["drop_fixed"], n["drop_split"], n["drop_strike"])
    return Opening(
        left=left,
        right=right,
        curb=Line(at=(0.0, plumb + split, wide), size=drops),
        plumb_left=plumb,
        plumb_right=min(right.size),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Door:
    """A door hung on a level bar, turned about its wheels.

    Attributes:
        wide: Glass width, mm.
        high: Glass height, mm.
        turn: How far its head goes toward the strike wall, rad.
        foot: Height of its leading bottom corner above the datum, mm.
    """

    wide: float
    high: float
    turn: float
    foot: float

    def place(self, lead: float, u: float, v: float) -> Point:
        """Return where a point of the door is.

        Args:
            lead: x of the leading bottom corner, mm.
            u: From the trailing edge along the foot, mm.
            v: From the foot upward, mm.
        """
        back = complex(u - self.wide, v) * complex(math.cos(self.turn), -math.sin(self.turn))
        return lead + back.real, self.foot + back.imag

    @property
    def top(self) -> float:
        """Height of its highest corner."""
        return max(z for _, z in self.corners(0.0))

    def under(self, lead: float, x: float) -> float:
        """Return the height of the foot's line at an x."""
        (x0, z0), (x1, z1) = self.place(lead, 0.0, 0.0), self.place(lead, self.wide, 0.0)
        return z0 + (z1 - z0) * (x - x0) / (x1 - x0)

    def corners(self, lead: float) -> list[Point]:
        return [self.place(lead, u, v) for u in (0.0, self.wide) for v in (0.0, self.high)]

    def slid(self, u: float, v: float, x: float) -> float:
        """Return the leading corner's x that brings a point of the door to an x."""
        return x - self.place(0.0, u, v)[0]


def hung(wide: float, high: float, turn: float, wheel: tuple[float, float], axle: float) -> Door:
    """Return a door whose two wheels stand, in the mean, on a height.

    Args:
        wide: Glass width, mm.
        high: Glass height, mm.
        turn: Turn, rad.
        wheel: Inset and height of the wheels' holes on the glass, mm.
        axle: Mean height of the axles above the datum, mm.
    """
    inset, hole = wheel
    flat = Door(wide=wide, high=high, turn=turn, foot=0.0)
    both = [flat.place(0.0, u, hole)[1] for u in (inset, wide - inset)]
    return Door(wide=wide, high=high, turn=turn, foot=axle - sum(both) / 2)


def against(door: Door, wall: Wall, gap: float) -> float:
    """Return the leading corner's x of a door slid up to a gap from a wall at the nearest."""
    return min(_faced(door, wall)) - gap


def widest(door: Door, wall: Wall, lead: float) -> float:
    """Return the widest level gap between a door's leading edge and a wall."""
    return max(_faced(door, wall)) - lead


def narrowest(door: Door, wall: Wall, lead: float) -> float:
    """Return the narrowest level gap between them."""
    return min(_faced(door, wall)) - lead


def _faced(door: Door, wall: Wall) -> list[float]:
    """Return the wall as the leading edge sees it: with the edge's slope taken off."""
    x, z = door.place(0.0, door.wide, door.high)
    slope = x / (z - door.foot)
    return [at - slope * (z - door.foot) for z, at in zip(wall.at, wall.size, strict=True)]


def under(door: Door, curb: Line, leads: Sequence[float]) -> list[float]:
    """Return the gaps between a door's foot and the curb, at ends and corners, for each place."""
    gaps = []
    for lead in leads:
        ends = (door.place(lead, u, 0.0)[0] for u in (0.0, door.wide))
        gaps += [door.under(lead, x) + drop for x, drop in curb.within(*ends)]
    return gaps


def least_on_travel(door: Door, curb: Line, open_at: float, shut_at: float) -> float:
    """Return the narrowest gap under a door anywhere on its way.

    The door stops where a foot's corner meets a corner of the curb, and at both ends.
    """
    stops = {open_at, shut_at}
    for u in (0.0, door.wide):
        stops |= {door.slid(u, 0.0, x) for x in curb.at}
    low, high = sorted((open_at, shut_at))
    return min(under(door, curb, [lead for lead in stops if low <= lead <= high]))


def best(of: Callable[[float], float], low: float, high: float) -> float:
    """Return where a function with one hill is highest, found by narrowing down."""
    ratio = (math.sqrt(5) - 1) / 2
    a, b = high - ratio * (high - low), low + ratio * (high - low)
    at_a, at_b = of(a), of(b)
    while high - low > 1e-7:
        if at_a < at_b:
            low, a, at_a = a, b, at_b
            b = low + ratio * (high - low)
            at_b = of(b)
        else:
            high, b, at_b = b, a, at_a
            a = high - ratio * (high - low)
            at_a = of(a)
    return (low + high) / 2


def integral(of: Callable[[Array], Array], low: float, high: float) -> float:
    """Return the area under a curve by Simpson's rule, over 400 strips."""
    x = np.linspace(low, high, 401)
    y = of(x)
    return float((y[0] + 4 * y[1::2].sum() + 2 * y[2:-1:2].sum() + y[-1]) * (high - low) / 1200)
