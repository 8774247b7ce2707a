"""A pane as it stands, upright or turned as a door that follows its strike wall, and its cuts."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from ..drafting import FAINT, HIDDEN, VISIBLE, LineStyle
from ..found import Found, Label, Name
from ..geometry import Point
from ..part import Part
from ..pen import Measure, Pen
from ..view import Reach
from .notch import EDGES, Notch, edge_lines, notch_lines, on_edges

HOLES, NOTCHES = "holes", "notches"
"""The groups of what is cut out of it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pose:
    """A pane turned about its bottom corner furthest along the run.

    Attributes:
        corner: That corner, mm of the thing.
        width: Its foot, mm.
        height: Its edges, mm.
        tilt: How far it is turned, its head onward along the run; rad, 0 for upright.
    """

    corner: Measure
    width: float
    height: float
    tilt: float = 0.0

    def at(self, along: float, up: float) -> Measure:
        """Return where a point of the glass is.

        Args:
            along: From its edge nearest to where the run is counted from, mm.
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


def reach(pane: Part) -> Reach:
    """Return the size of a pane that no nearer sort places."""
    return Reach(along=tuple(pane.known("width")), up=tuple(pane.known("height")))


def elevation(pen: Pen, pane: Part, found: Found) -> None:
    """Draw a pane that no nearer sort places where the run is counted from, and say so."""
    got = pane.need(pane.means, "width", "height")
    if got is not None:
        pose = Pose(corner=(got[0], 0.0), width=got[0], height=got[1])
        draw_pane(pen, pane, pose, found, name_at=0.5)
        title = f"{pane.means[:1].upper()}{pane.means[1:]}"
        found.notes.append(f"{title} is drawn by its size alone: no view places it.")


def draw_pane(  # noqa: PLR0913  # what, how it stands and where to tell of it
    pen: Pen, pane: Part, pose: Pose, found: Found, *, name_at: float, hidden: str = ""
) -> None:
    """Draw a pane's outline and holes, and tell where it is and what is cut out of it.

    Args:
        pen: Draws it.
        pane: The pane.
        pose: How it stands.
        found: Takes what is told.
        name_at: How far up its name stands, as a share of its height.
        hidden: The edge that another pane hides, one of `EDGES`; "" for none.
    """
    _outline(pen, pane, pose, hidden)
    middle = pen.at(*pose.at(pose.width / 2, pose.height * name_at))
    found.spots["middle"] = middle
    found.names.append(_name(pane, middle))
    for name, notch in _notches(pane).items():
        pen.busy(pose.at(notch.x, notch.y), pose.at(notch.x + notch.width, notch.y + notch.height))
        at = pose.at(notch.x + notch.width / 2, notch.y + notch.height / 2)
        found.spots[name] = pen.at(*at)
    for child in pane.children(NOTCHES):
        if child.name in found.spots:
            wide, high, radius = (child.bare(key) for key in ("width", "height", "radius"))
            says = f"notch {wide} x {high}, radius {radius}"
            found.cuts.append(Label(says, found.spots[child.name]))
    _holes(pen, pane, pose, found)


def draw_section(pen: Pen, one: Measure, other: Measure) -> None:
    """Draw a pane cut through: hatched where it is large enough, filled where it is not."""
    if not pen.fine:
        pen.solid(one, other)
        return
    pen.solid(one, other, fill="white")
    pen.hatch((one, (other[0], one[1]), other, (one[0], other[1])), 0.7)
    pen.box(one, other, VISIBLE)
    pen.busy(one, other)


def _name(pane: Part, at: Point) -> Name:
    """Return what a pane is called, what glass it is, and where its mark is ordered."""
    glass, mark = "", pane.word("design.mark")
    if pane.length("design.thickness") is not None:
        glass = f"{pane.bare('design.thickness')} {pane.word('design.glass')}".strip()
    if mark:
        mark = "no mark" if mark == "none" else f"mark {mark}"
    return Name(at, pane.title, glass, mark)


def _holes(pen: Pen, pane: Part, pose: Pose, found: Found) -> None:
    for child in pane.children(HOLES):
        got = child.need(f"a hole of {pane.means}", "x", "y", "across")
        if got is None:
            continue
        x, y, across = got
        middle = pose.at(x, y)
        pen.circle(middle, across / 2, FAINT)
        pen.cross(middle, max(across / 2 * pen.frame.scale + 0.5, 1.0))
        found.spots[child.name] = pen.at(*middle)
        if child.listed:
            found.cuts.append(Label(f"hole {child.bare('across')}", found.spots[child.name]))


def _outline(pen: Pen, pane: Part, pose: Pose, hidden: str) -> None:
    """Draw a pane's edges, what notches take left out."""
    width, height = pose.width, pose.height
    notches = tuple(_notches(pane).values())
    lines: list[tuple[tuple[Measure, ...], LineStyle]] = []
    for edge in EDGES:
        how = HIDDEN if edge == hidden else VISIBLE
        lines += [(line, how) for line in edge_lines(edge, width, height, notches)]
    for one in notches:
        cut = dict(zip(EDGES, on_edges(one, width, height), strict=True))
        how = HIDDEN if cut.get(hidden) else VISIBLE
        lines += [(line, how) for line in notch_lines(one, width, height)]
    for line, how in lines:
        pen.line([pose.at(*point) for point in line], how)


def _notches(pane: Part) -> dict[str, Notch]:
    """Return a pane's notches that are known, by name."""
    found: dict[str, Notch] = {}
    for child in pane.children(NOTCHES):
        got = child.need(f"a notch of {pane.means}", "x", "y", "width", "height", "radius")
        if got is not None:
            found[child.name] = Notch(*got)
    return found
