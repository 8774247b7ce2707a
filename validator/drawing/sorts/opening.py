"""An opening: which way its run is drawn, and how wide it is."""

from ..found import Found
from ..part import Part
from ..pen import Pen
from ..view import Facing, Reach
from .wall import top


def facing(opening: Part) -> Facing:
    """Return how a slider's run is drawn: it counts from the wall that the panel stands beside."""
    panel, hand = opening.to("panel"), opening.word("design.hand")
    title = f"{panel.title[:1].upper()}{panel.title[1:]}"
    if not hand:
        note = f"The hand is not known (design.hand): drawn with {panel.means} on the left."
        return Facing(direction=1.0, says="Hand not known, seen from outside", note=note)
    direction = -1.0 if opening.length("panel.on_right") else 1.0
    return Facing(direction=direction, says=f"{title} {hand}, seen from outside")


def reach(opening: Part) -> Reach:
    """Return from plumb line to plumb line, and as high as was read."""
    along, up = opening.known("plumb_width"), opening.known("survey.head_height")
    return Reach(along=tuple(along), up=tuple(up))


def elevation(pen: Pen, opening: Part, found: Found) -> None:
    """Mark its width."""
    width = opening.length("plumb_width")
    if width is not None:
        found.spots["width"] = pen.at(width / 2, top(pen))


def plan(pen: Pen, opening: Part, _: Found) -> None:
    """Draw the line that lengths across are counted from."""
    width = opening.length("plumb_width")
    if width is not None:
        pen.centre_line((0.0, 0.0), (width, 0.0))
