"""A curb, or the floor: its top under the glass, and its edges."""

from ..drafting import VISIBLE
from ..found import Found
from ..part import Part
from ..pen import Pen
from ..view import Reach

_EDGES = ("run.door.rolls_on.from_curb_edge", "survey.flat_width")
_FEET = ("run.panel.beside.foot_past", "run.door.shuts_on.foot_past")
_DROPS = ("survey.curb.drop.fixed", "survey.curb.drop.strike")


def edges(curb: Part) -> tuple[float, float] | None:
    """Return the outer and inner edge, mm inward of the bar's line; None where unknown."""
    out, width = (curb.length(path) for path in _EDGES)
    if out is None or width is None or _is_floor(curb):
        return None
    return -out, width - out


def reach(curb: Part) -> Reach:
    """Return down to the floor outside, and from edge to edge."""
    down = curb.known(*_DROPS, "survey.above_floor")
    return Reach(up=tuple(-one for one in down), ground=edges(curb) or ())


def elevation(pen: Pen, curb: Part, found: Found) -> None:
    """Draw its top as it falls along the run, and the floor outside."""
    got = curb.need("the curb", "run.plumb_width", *_FEET, *_DROPS)
    if got is None:
        return
    width, first, last, low_first, low_last = got
    split = curb.need("the curb under the split", "run.panel.edge", "survey.curb.drop.split")
    middle = [(split[0], -split[1])] if split is not None and 0 < split[0] < width else []
    pen.line([(first, -low_first), *middle, (width - last, -low_last)], VISIBLE)
    found.spots["top"] = pen.at(width * 0.62, -low_last)
    floor = curb.length("survey.above_floor")
    if floor is not None:
        pen.line(((first, -floor), (width - last, -floor)), VISIBLE)


def plan(pen: Pen, curb: Part, found: Found) -> None:
    """Draw its edges."""
    ground = edges(curb)
    ends = curb.need("the curb in plan", "run.plumb_width", *_FEET)
    if ground is None:
        if not _is_floor(curb):
            curb.need("the curb in plan", *_EDGES)
        return
    if ends is None:
        return
    width, first, last = ends
    for edge in ground:
        pen.line(((first, edge), (width - last, edge)), VISIBLE)
    found.spots["width in plan"] = pen.at(width * 0.8, ground[0])


def _is_floor(curb: Part) -> bool:
    return curb.word("survey.base") == "floor"
