"""A pane as it stands, upright or turned as a door that follows its strike wall, and its cuts."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from .drafting import FAINT, HIDDEN, VISIBLE, Line
from .panes import EDGES, Notch, edge_lines, notch_lines, on_edges
from .shapes import Point
from .sizes import Sizes
from .view import Measure, View


@dataclass(frozen=True, slots=True, kw_only=True)
class Pose:
    """A pane turned about its bottom corner on the side of the strike wall.

    Attributes:
        corner: That corner, mm of the thing.
        width: Its foot, mm.
        height: Its edges, mm.
        tilt: How far it is turned, its head toward the strike wall; rad, 0 for upright.
    """

    corner: Measure
    width: float
    height: float
    tilt: float

    def at(self, along: float, up: float) -> Measure:
        """Return where a point of the glass is.

        Args:
            along: From its edge toward the fixed panel's wall, mm.
            up: From its foot, mm.

        Example:
            >>> Pose(corner=(60.0, 1.0), width=30.0, height=70.0, tilt=0.0).at(2.0, 70.0)
            (32.0, 71.0)
        """
        back, turned, level = self.width - along, math.sin(self.tilt), math.cos(self.tilt)
        x, z = self.corner
        return x - back * level + up * turned, z + back * turned + up * level

    def around(self, low: Measure, high: Measure) -> Sequence[Measure]:
        """Return the corners of a box in the glass, one after the other."""
        (start, foot), (end, top) = low, high
        return [self.at(*one) for one in ((start, foot), (end, foot), (end, top), (start, top))]


def pose_of_door(sizes: Sizes, what: str, leading: str) -> Pose | None:
    """Return how the door hangs, None where it is not known.

    Args:
        sizes: The job's values.
        what: What is drawn, for what is left out.
        leading: The working that gives its leading bottom corner.
    """
    names = (leading, "door.foot", "door.width", "door.height", "door.tilt")
    got = sizes.need(what, *names)
    if got is None:
        return None
    along, foot, width, height, tilt = got
    return Pose(corner=(along, foot), width=width, height=height, tilt=tilt)


def draw_cuts(view: View, sizes: Sizes, part: str, pose: Pose) -> dict[str, Point]:
    """Draw the holes of a pane, and return where its holes and notches are on the page."""
    found: dict[str, Point] = {}
    for hole, fields in sizes.cuts(part, "hole"):
        got = sizes.need(f"a hole of the {part}", *(fields[key] for key in ("x", "y", "across")))
        if got is None:
            continue
        middle = pose.at(got[0], got[1])
        view.circle(middle, got[2] / 2, FAINT)
        view.cross(middle, max(got[2] / 2 * view.scale + 0.5, 1.0))
        found[hole] = view.at(*middle)
    for notch, at in _notches(sizes, part).items():
        view.busy(pose.at(at.x, at.y), pose.at(at.x + at.width, at.y + at.height))
        found[notch] = view.at(*pose.at(at.x + at.width / 2, at.y + at.height / 2))
    return found


def draw_outline(view: View, sizes: Sizes, part: str, pose: Pose, hidden: str) -> None:
    """Draw a pane, what notches take left out.

    Args:
        view: Where.
        sizes: The job's values.
        part: Which pane.
        pose: How it stands.
        hidden: The edge that the other pane hides, one of `EDGES`; "" for none.
    """
    width, height = pose.width, pose.height
    notches = _notches(sizes, part)
    lines: list[tuple[tuple[Measure, ...], Line]] = []
    for edge in EDGES:
        how = HIDDEN if edge == hidden else VISIBLE
        lines += [(line, how) for line in edge_lines(edge, width, height, [*notches.values()])]
    for one in notches.values():
        cut = dict(zip(EDGES, on_edges(one, width, height), strict=True))
        how = HIDDEN if cut.get(hidden) else VISIBLE
        lines += [(line, how) for line in notch_lines(one, width, height)]
    for line, how in lines:
        view.line([pose.at(*point) for point in line], how)


def _notches(sizes: Sizes, part: str) -> dict[str, Notch]:
    """Return a pane's notches that are known, by name."""
    found: dict[str, Notch] = {}
    for notch, fields in sizes.cuts(part, "notch"):
        keys = ("x", "y", "width", "height", "radius")
        got = sizes.need(f"a notch of the {part}", *(fields[key] for key in keys))
        if got is not None:
            found[notch] = Notch(*got)
    return found
