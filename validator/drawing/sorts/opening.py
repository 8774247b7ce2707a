"""An opening: which way its run is drawn, and how wide it is."""

from ..found import Found
from ..part import Part
from ..pen import FROM_START, Count, Pen
from ..view import Hand, Reach


def ends(opening: Part) -> tuple[Part, Part]:
    """Return the walls at the left and right end of the run, seen from outside."""
    return opening.to("start"), opening.to("end")


def count_from(wall: Part) -> Count:
    """Return the count of what is measured from a wall's plumb line."""
    opening = wall.to("run")
    if wall == ends(opening)[0]:
        return FROM_START
    return Count(at=opening.length("plumb_width") or 0.0, toward=-1.0)


def hand(opening: Part) -> Hand:
    """Return which side the panel stands on."""
    panel, side = opening.to("panel"), opening.word("design.hand")
    title = f"{panel.title[:1].upper()}{panel.title[1:]}"
    if not side:
        note = f"The hand is not known (design.hand): drawn with {panel.means} on the left."
        return Hand(says="Hand not known, seen from outside", note=note)
    return Hand(says=f"{title} {side}, seen from outside")


def reach(opening: Part) -> Reach:
    """Return from plumb line to plumb line, and as high as was read."""
    along, up = opening.known("plumb_width"), opening.known("survey.head_height")
    return Reach(along=tuple(along), up=tuple(up))


def elevation(pen: Pen, opening: Part, found: Found) -> None:
    """Mark its width."""
    width = opening.length("plumb_width")
    if width is not None:
        found.spots["width"] = pen.at(width / 2, pen.high + pen.real(1.0))


def plan(pen: Pen, opening: Part, _: Found) -> None:
    """Draw the line that lengths across are counted from."""
    width = opening.length("plumb_width")
    if width is not None:
        pen.centre_line((0.0, 0.0), (width, 0.0))
