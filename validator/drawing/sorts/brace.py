"""A brace from the head of a pane to a wall: where it grips the glass, and how it runs in plan."""

import math

from ..drafting import FAINT, VISIBLE
from ..found import Found
from ..part import Part
from ..pen import Count, Pen
from ..view import Reach
from .opening import count_from

_GRIP = 20.0  # half the width and height of what grips the glass, mm


def counts(brace: Part) -> Count:
    """Return the plumb line that its pane is counted from."""
    return count_from(brace.to("holds.beside"))


def reach(brace: Part) -> Reach:
    """Return how far inward it goes."""
    if brace.word("holds.design.head") != "brace":
        return Reach()
    span, angle = brace.known("span"), brace.known("design.angle")
    return Reach(across=tuple(one * math.cos(angle[0]) for one in span if angle))


def elevation(pen: Pen, brace: Part, found: Found) -> None:
    """Draw what grips the top edge of the glass."""
    if brace.word("holds.design.head") != "brace":
        return
    got = brace.need(brace.means, "place", "holds.top")
    if got is None:
        return
    at, top = got
    pen.box((at - _GRIP, top - _GRIP), (at + _GRIP, top + _GRIP), VISIBLE)
    found.spots["on the glass"] = pen.at(at, top)


def plan(pen: Pen, brace: Part, found: Found) -> None:
    """Draw it from the glass to its wall, as it is seen from above."""
    if brace.word("holds.design.head") != "brace":
        return
    got = brace.need(f"{brace.means} in plan", "place", "span", "design.angle", "holds.line")
    if got is None:
        return
    at, span, angle, line = got
    # Both walls are on the side of the pane's own wall or straight inward.
    end = (at - span * math.sin(angle), -line + span * math.cos(angle))
    pen.line(((at, -line), end), FAINT)
    found.spots["in plan"] = pen.at((at + end[0]) / 2, (-line + end[1]) / 2)
