"""A curb, or the floor: its top under the glass, and its edges."""

from ..drafting import VISIBLE
from ..found import Found
from ..part import Part
from ..pen import Measure, Pen
from ..view import Reach
from .opening import count_from, ends

_EDGES = ("line", "survey.flat_width")


def edges(curb: Part) -> tuple[float, float] | None:
    """Return the outer and inner edge, mm inward of the plan's line; None where unknown."""
    out, width = (curb.length(path) for path in _EDGES)
    if out is None or width is None or _is_floor(curb):
        return None
    return -out, width - out


def reach(curb: Part) -> Reach:
    """Return down to the floor outside, and from edge to edge."""
    walls = ends(curb.to("run"))
    drops = [one for wall in walls for one in wall.known("survey.drop")]
    down = (*drops, *curb.known("survey.above_floor"))
    return Reach(up=tuple(-one for one in down), ground=edges(curb) or ())


def elevation(pen: Pen, curb: Part, found: Found) -> None:
    """Draw its top as it falls along the run, and the floor outside."""
    feet = _feet(curb, "the curb")
    if feet is None:
        return
    first, last = feet
    pen.line([first, *_under_panel(curb, first[0], last[0]), last], VISIBLE)
    found.spots["top"] = pen.at(_clear(curb, 0.62), last[1])
    floor = curb.length("survey.above_floor")
    if floor is not None:
        pen.line(((first[0], -floor), (last[0], -floor)), VISIBLE)


def plan(pen: Pen, curb: Part, found: Found) -> None:
    """Draw its edges."""
    ground = edges(curb)
    if ground is None and not _is_floor(curb):
        curb.need("the curb in plan", *_EDGES)
    feet = _feet(curb, "the curb in plan")
    if ground is None or feet is None:
        return
    (first, _), (last, _) = feet
    for edge in ground:
        pen.line(((first, edge), (last, edge)), VISIBLE)
    found.spots["width in plan"] = pen.at(_clear(curb, 0.8), ground[0])


def _feet(curb: Part, what: str) -> tuple[Measure, Measure] | None:
    """Return where the curb's top meets the left wall and the right one."""
    width = curb.need(what, "run.plumb_width")
    got = [(wall, wall.need(what, "foot_past", "survey.drop")) for wall in ends(curb.to("run"))]
    met = [(count_from(wall).along(one[0]), -one[1]) for wall, one in got if one is not None]
    return None if width is None or len(met) < len(got) else (met[0], met[1])


def _under_panel(curb: Part, first: float, last: float) -> list[Measure]:
    """Return where the curb's top was read under the free edges of panels, in order."""
    found: list[Measure] = []
    for wall in ends(curb.to("run")):
        for panel in wall.named_by("beside"):
            got = panel.need("the curb under the split", "edge", "survey.drop")
            along = count_from(wall).along(got[0]) if got is not None else first
            if got is not None and first < along < last:
                found.append((along, -got[1]))
    return sorted(found)


def _clear(curb: Part, share: float) -> float:
    """Return a place along the run by its share of it, from a wall where a panel stands if any."""
    walls = ends(curb.to("run"))
    wall = next((one for one in walls if any(one.named_by("beside"))), walls[0])
    return count_from(wall).along(share * (curb.length("run.plumb_width") or 0.0))


def _is_floor(curb: Part) -> bool:
    return curb.word("survey.base") == "floor"
