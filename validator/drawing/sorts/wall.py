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
_FALL = 0.1  # how far from a wall its fall is drawn, as a share of the opening
_FALL_AT_PANEL = 0.14


def elevation(pen: Pen, wall: Part, found: Found) -> None:
    """Draw a wall's face from its foot up, hatched behind, and the plumb line that touches it."""
    past = wall.need(wall.means, "foot_past", "middle_past", "head_past")
    if past is None or not _is_placed(wall, wall.means):
        return
    floor = -(wall.length("run.base.survey.above_floor") or 0.0)
    top, out = pen.high + pen.real(_OVER), -pen.real(WALL)
    face = _face(wall, past, top)
    face.insert(0, (face[0][0], floor))
    pen.line(face, VISIBLE)
    for one, other in itertools.pairwise(face):
        if one[1] != other[1]:
            pen.hatch((one, other, (other[0] + out, other[1]), (one[0] + out, one[1])), 1.4)
    found.spots["face"] = pen.at(face[-1][0] + out / 2, top * 0.8)
    pen.centre_line((0.0, floor), (0.0, top + pen.real(2.5)))


def plan(pen: Pen, wall: Part, found: Found) -> None:
    """Draw a wall cut through at its foot, and which way the curb falls there."""
    face = wall.length("foot_past")
    if face is None or not _is_placed(wall, f"{wall.means} in plan"):
        return
    behind = face - pen.real(WALL)
    ground = edges(wall.to("run.base")) or (pen.low, pen.high)  # no further than the glass stands
    low, high = ground[0] - pen.real(_PAST), ground[1] + pen.real(_PAST)
    pen.line(((face, low), (face, high)), VISIBLE)
    pen.hatch(((face, low), (face, high), (behind, high), (behind, low)), 1.2)
    _fall(pen, wall, found)


def _is_placed(wall: Part, what: str) -> bool:
    """Return whether it is known where a wall stands: without a width, only where panels begin."""
    return any(wall.named_by("beside")) or wall.need(what, "run.plumb_width") is not None


def _face(wall: Part, past: tuple[float, ...], top: float) -> list[Measure]:
    """Return how far the wall stands past its plumb line at its foot, middle, head and top."""
    foot, middle, head = past
    height = wall.length("run.survey.head_height") or top
    line = [(foot, 0.0), (middle, height / 2), (head, height)]
    return line if top <= height else [*line, (head, top)]


def _fall(pen: Pen, wall: Part, found: Found) -> None:
    """Draw an arrow the way the curb's top falls near a wall, with how much."""
    ground, width = edges(wall.to("run.base")), wall.length("run.plumb_width")
    if ground is None or width is None:
        return
    along = (_FALL_AT_PANEL if any(wall.named_by("beside")) else _FALL) * width
    found.spots["fall"] = pen.at(along, sum(ground) / 2)
    fall = wall.length("survey.fall")
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
