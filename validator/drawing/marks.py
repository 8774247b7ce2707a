"""Free labels and numbered marks: put near what they tell of, over no other text."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from ..finding import Finding
from ..report.groups import Group
from .drafting import FAINT, LETTER, LineStyle
from .geometry import Box, Point, cut_line
from .letters import width
from .svg import Canvas, text_box

BUBBLE = 2.7
"""Radius of a mark, mm."""
_RING = LineStyle(name="mark", width=0.7)
_AIR = 0.5
_REACH = 60.0  # how far from its place a label may stand, mm
_STEP = 2.5
_TURNS = 16
_OVER_BUSY = 14.0  # what it costs to cover a roller, a stop or the bar, in mm of distance
_OVER_WIRE = 20.0  # what it costs to stand on a leader, or to lead one through a text


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A finding's number, and how loud it is.

    Attributes:
        number: As in the text report.
        group: Title of its group there.
        title: What is wrong, in the finding's words.
        waived: Whether it is a departure that somebody answers for.
    """

    number: int
    group: str
    title: str
    waived: bool = False


def marks_of(groups: Iterable[Group]) -> tuple[Mark, ...]:
    """Return the marks of a review's groups, in the order of their numbers."""
    return tuple(
        Mark(
            number=one.number,
            group=group.title,
            title=_words(one.finding),
            waived=one.finding.waived is not None,
        )
        for group in groups
        for one in group.findings
    )


def _words(finding: Finding) -> str:
    """Return what is wrong, as the finding says it; of one that is tight what it asks."""
    if finding.waived is not None:
        return f"Waived: {finding.title}"
    if finding.outcome == "tight":
        return f"Tight: {finding.title}"
    return finding.says or finding.title


def radius_of(mark: Mark) -> float:
    """Return the radius of a mark, mm; numbers of three figures take a larger one."""
    return max(BUBBLE, width(str(mark.number), LETTER) / 2 + 0.4)


def bubble(canvas: Canvas, mark: Mark, at: Point) -> Box:
    """Draw a mark: black for what must change, a heavy ring to look at, a thin one for a note."""
    loud = mark.group == "Must change"
    line = FAINT if mark.group == "Notes" else _RING
    text = str(mark.number)
    radius = radius_of(mark)
    canvas.circle(at, radius, line, fill="black" if loud else "white")
    canvas.text(text, Point(at.x, at.y + 0.36 * LETTER), fill="white" if loud else "black")
    box = Box(at.x - radius, at.y - radius, at.x + radius, at.y + radius)
    canvas.labels[-1] = box
    if mark.waived:
        reach = radius * 0.9
        canvas.line((Point(at.x - reach, at.y + reach), Point(at.x + reach, at.y - reach)), FAINT)
    return box


def place_mark(canvas: Canvas, mark: Mark, to: Point, zone: Box) -> bool:
    """Draw a mark near a point with a leader to it; return whether there was room."""
    radius = radius_of(mark)
    around = Box(-radius, -radius, radius, radius).grown(0.4)
    middle = _free(canvas, around, to, zone)
    if middle is None:
        return False
    away = math.dist(middle, to)
    if away > radius:
        share = radius / away
        edge = Point(middle.x + (to.x - middle.x) * share, middle.y + (to.y - middle.y) * share)
        canvas.leader(edge, to)
    bubble(canvas, mark, middle)
    return True


def place_label(canvas: Canvas, text: str, to: Point, zone: Box, *, lead: bool = True) -> bool:
    """Write a short text near a point, with a leader to it; return whether there was room.

    Args:
        canvas: The page.
        text: The text.
        to: What it tells of.
        zone: Where it may stand.
        lead: Whether to draw the leader; without it the text may stand on the point itself.
    """
    around = text_box(text, Point(0, 0), anchor="middle", size=LETTER)
    down = -around.centre.y
    middle = _free(canvas, around.moved(0, down).grown(_AIR), to, zone, on_it=not lead)
    if middle is None:
        return False
    box = around.moved(middle.x, middle.y + down)
    if lead:
        canvas.leader(box.nearest(to), to)
    canvas.text(text, Point(middle.x, middle.y + down), plate=True)
    return True


def _free(
    canvas: Canvas, around: Box, to: Point, zone: Box, *, on_it: bool = False
) -> Point | None:
    """Return the best middle for a box, None where it fits nowhere.

    Args:
        canvas: The page, with what is already on it.
        around: The box about its middle.
        to: The point it is to be near.
        zone: Where it may stand.
        on_it: Whether it may stand on the point.
    """
    best: tuple[float, Point] | None = None
    for away, middle in _round(to, 0.0 if on_it else 5.0):
        if best is not None and away >= best[0]:
            break
        box = around.moved(middle.x, middle.y)
        if not zone.holds(box) or any(box.meets(label) for label in canvas.labels):
            continue
        cost = away + _cost(canvas, box, middle, to, on_it=on_it)
        if best is None or cost < best[0]:
            best = (cost, middle)
    return best[1] if best else None


def _cost(canvas: Canvas, box: Box, middle: Point, to: Point, *, on_it: bool) -> float:
    cost = _OVER_BUSY * sum(box.meets(busy) for busy in canvas.busy)
    cost += _OVER_WIRE * sum(cut_line(a, b, box) is not None for a, b in canvas.wires)
    if not on_it:
        cost += _OVER_WIRE * sum(cut_line(middle, to, label) is not None for label in canvas.labels)
        if box.holds(Box(to.x, to.y, to.x, to.y)):
            cost += _OVER_BUSY
    return cost


def _round(to: Point, start: float) -> Iterator[tuple[float, Point]]:
    """Yield points around a point, the nearest first, with their distances."""
    away = start
    while away <= _REACH:
        for turn in range(_TURNS if away else 1):
            angle = 2 * math.pi * (turn + 0.5) / _TURNS
            yield away, Point(to.x + away * math.cos(angle), to.y + away * math.sin(angle))
        away += _STEP
