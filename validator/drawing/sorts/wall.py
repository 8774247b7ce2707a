"""A wall that a run ends at: its face as it leans and bows, and how the curb falls at its foot."""

import itertools

from ..drafting import FAINT, VISIBLE
from ..found import Found, Label
from ..part import Part
from ..pen import Measure, Pen
from .curb import edges

WALL = 3.0
"""How much of a wall is drawn, mm on the page."""
_OVER = 1.0  # how far walls are drawn past all else in an elevation, mm on the page
_PAST = 4.0  # how far walls are drawn past the curb in a plan, mm on the page
_FALL = {1.0: (0.14, "survey.curb.fall.fixed"), -1.0: (0.1, "survey.curb.fall.strike")}
"""How far a fall is drawn from the wall, as a share of the opening, and where it is read."""


def top(pen: Pen) -> float:
    """Return how far up walls are drawn in an elevation, mm."""
    return pen.high + pen.real(_OVER)


def elevation(pen: Pen, wall: Part, found: Found) -> None:
    """Draw a wall's face from its foot up, hatched behind, and the plumb line that touches it."""
    side = _side(wall, wall.means)
    past = wall.need(wall.means, "foot_past", "middle_past", "head_past")
    if side is None or past is None:
        return
    at, toward = side
    floor = -(wall.length("run.base.survey.above_floor") or 0.0)
    out = -toward * pen.real(WALL)
    face = [(at + toward * into, up) for into, up in _heights(wall, past, top(pen))]
    face.insert(0, (face[0][0], floor))
    pen.line(face, VISIBLE)
    for one, other in itertools.pairwise(face):
        if one[1] != other[1]:
            pen.hatch((one, other, (other[0] + out, other[1]), (one[0] + out, one[1])), 1.4)
    found.spots["face"] = pen.at(face[-1][0] + out / 2, top(pen) * 0.8)
    pen.centre_line((at, floor), (at, top(pen) + pen.real(2.5)))


def plan(pen: Pen, wall: Part, found: Found) -> None:
    """Draw a wall cut through at its foot, and which way the curb falls there."""
    side, foot = _side(wall, f"{wall.means} in plan"), wall.length("foot_past")
    if side is None or foot is None:
        return
    at, toward = side
    face, out = at + toward * foot, -toward * pen.real(WALL)
    low, high = pen.low - pen.real(_PAST), pen.high + pen.real(_PAST)
    pen.line(((face, low), (face, high)), VISIBLE)
    pen.hatch(((face, low), (face, high), (face + out, high), (face + out, low)), 1.2)
    _fall(pen, wall, side, found)


def _side(wall: Part, what: str) -> tuple[float, float] | None:
    """Return where a wall's plumb line is along the run, and which way the run leads from it."""
    if wall == wall.to("run.panel.beside"):
        return 0.0, 1.0
    width = wall.need(what, "run.plumb_width")
    return None if width is None else (width[0], -1.0)


def _heights(wall: Part, past: tuple[float, ...], last: float) -> list[Measure]:
    """Return how far the wall stands past its plumb line at its foot, middle, head and top."""
    foot, middle, head = past
    height = wall.length("survey.head_height") or last
    line = [(foot, 0.0), (middle, height / 2), (head, height)]
    return line if last <= height else [*line, (head, last)]


def _fall(pen: Pen, wall: Part, side: tuple[float, float], found: Found) -> None:
    """Draw an arrow the way the curb's top falls near a wall, with how much."""
    ground, width = edges(wall.to("run.base")), wall.length("run.plumb_width")
    if ground is None or width is None:
        return
    at, toward = side
    share, path = _FALL[toward]
    along = at + toward * share * width
    found.spots["fall"] = pen.at(along, sum(ground) / 2)
    fall = wall.length(path)
    if fall is None or pen.fine:
        return
    outer, inner = (pen.at(along, edge) for edge in ground)
    if fall:
        tail, tip = (outer, inner) if fall > 0 else (inner, outer)
        pen.canvas.line((tail, tip), FAINT)
        pen.canvas.arrow(tail, tip, 1.6, 0.6)
    way = " inward" if fall > 0 else " outward"
    text = f"fall {wall.sizes.shown(abs(fall))}{way}" if fall else "level"
    found.moves.append(Label(text, outer))
