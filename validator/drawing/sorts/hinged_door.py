"""A hinged door: shut and open, its hinges, how it swings in plan and what stands in its way."""

import math
from dataclasses import replace

from ..drafting import FAINT, HIDDEN, OPEN, THIN, VISIBLE
from ..found import Found, Label
from ..geometry import Box, box_of
from ..part import Part
from ..pen import Count, Measure, Pen
from ..view import Hand, Reach
from .opening import count_from
from .pane import Pose, draw_pane, draw_section

_BESIDE = 12.0  # how far past the run what stands in the way is drawn, mm on the page
_STEPS = 24  # lines that an arc is drawn with
_HINGES = ("hinge_low", "hinge_high", "hinge_third")
_WAYS = {"outward": (-1.0,), "inward": (1.0,), "both": (-1.0, 1.0)}
"""Which way the free edge goes in a plan, where inward is counted."""
_ENDS = ("x", "y", "to_x", "to_y", "rise")


def hand(door: Part) -> Hand:
    """Return which side the door hangs on."""
    side = door.word("design.hand")
    if side:
        return Hand(says=f"Hinges {side}, seen from outside")
    note = "The hand is not known (design.hand): drawn with the hinges on the left."
    return Hand(says="Hand not known, seen from outside", note=note)


def counts(door: Part) -> Count:
    """Return the line that the door hangs on: a wall's plumb line, or a panel's free edge."""
    hung_on = door.to("hung_on")
    if "beside" not in hung_on.sizes.parts[hung_on.name].roles:
        return count_from(hung_on)
    count = count_from(hung_on.to("beside"))
    return count._replace(at=count.along(hung_on.length("reach") or 0.0))


def reach(door: Part) -> Reach:
    """Return as far as its free edge, as high as its top, and as far as it swings."""
    edge, past, pivot = (door.known(path) for path in ("width", "past_pivot", "pivot"))
    gap = door.known("design.hinge_gap")
    ways = _WAYS.get(door.word("design.opens"), (-1.0,))
    turns = [way * past[0] for way in ways] if past else []
    return Reach(
        along=tuple(one + gap[0] for one in edge if gap) or tuple(pivot),
        up=tuple(door.known("top")),
        across=(*turns, *door.known("line")),
    )


def elevation(pen: Pen, door: Part, found: Found) -> None:
    """Draw the shut door with its hinges, handle and seals, and dashed which edge it hangs on."""
    got = door.need(door.means, "design.hinge_gap", "width", "design.floor_gap", "height")
    if got is None:
        return
    gap, width, foot, height = got
    pose = Pose(corner=(gap + width, foot), width=width, height=height)
    draw_pane(pen, door, pose, found, name_at=0.62)
    # The dashed lines meet at the hinges, as doors are drawn in elevations.
    apex = pose.at(0.0, height / 2)
    pen.line((pose.at(width, height), apex, pose.at(width, 0.0)), HIDDEN)
    _hinges(pen, door, pose, found)
    _handle(pen, door, pose, found)
    found.spots["hinge gap"] = pen.at(gap / 2, foot + height * 0.45)
    found.spots["strike"] = pen.at(gap + width, foot + height * 0.4)
    found.spots["floor gap"] = pen.at(gap + width * 0.55, foot / 2)
    found.spots["top"] = pen.at(*pose.at(width * 0.6, height))
    found.spots["way in"] = pen.at(*pose.at(width * 0.5, height * 0.12))


def _hinges(pen: Pen, door: Part, pose: Pose, found: Found) -> None:
    got = door.need("the hinges", "kit.hinge.half_length", "kit.hinge.pin", *_HINGES)
    if got is None:
        return
    half, pin, *places = got
    for path, up in dict(zip(_HINGES, places, strict=True)).items():
        low, high = (-pose.corner[0] + pose.width, up - half), (max(pin, half / 2) * 2, up + half)
        outline = pose.around(low, high)
        pen.outline(outline, VISIBLE)
        pen.busy(outline[0], outline[2])
        found.spots[path.replace("_", " ")] = pen.at(*pose.at(0.0, up))


def _handle(pen: Pen, door: Part, pose: Pose, found: Found) -> None:
    names = ("design.handle.setback", "design.handle.half_width", "design.handle.height")
    got = door.need("the handle", *names)
    if got is None:
        return
    setback, half, height = got
    top = max(height, door.length("handle_top") or height)
    low, high = (
        (pose.width - setback - half, height - half),
        (pose.width - setback + half, top + half),
    )
    outline = pose.around(low, high)
    pen.outline(outline, VISIBLE)
    pen.busy(outline[0], outline[2])
    found.spots["handle"] = pen.at(*pose.at(pose.width - setback, height))


def plan(pen: Pen, door: Part, found: Found) -> None:
    """Draw the door cut through, shut and open, the way of its free edge, and what it may meet."""
    got = door.need(
        f"{door.means} in plan", "design.hinge_gap", "width", "design.thickness", "line", "pivot"
    )
    if got is None:
        return
    gap, width, thick, line, pivot = got
    draw_section(pen, (gap, line - thick / 2), (gap + width, line + thick / 2))
    found.spots["in plan"] = pen.at(gap + width * 0.6, line)
    found.spots["pins in plan"] = pen.at(pivot, line)
    pen.circle((pivot, line), thick / 2, FAINT)
    _swings(pen, door, (pivot, line), found)
    _obstacles(pen, door, line, found)


def _swings(pen: Pen, door: Part, pins: Measure, found: Found) -> None:
    for way in _WAYS.get(door.word("design.opens"), ()):
        angle = door.length("meets_outward" if way < 0 else "meets_inward")
        got = door.need("the swing in plan", "past_pivot", "kit.hinge.pin", "design.thickness")
        if got is None or angle is None:
            continue
        past, pin, thick = got

        def turned(along: float, off: float, by: float, way: float = way) -> Measure:
            x, y = pins
            across = along * math.sin(by) + off * math.cos(by)
            return x + along * math.cos(by) - off * math.sin(by), y + way * across

        arc = [turned(past, 0.0, angle * step / _STEPS) for step in range(_STEPS + 1)]
        pen.line(arc, THIN)
        half = thick / 2
        corners = ((-pin, -half), (past, -half), (past, half), (-pin, half))
        pen.outline([turned(*corner, angle) for corner in corners], OPEN)
        found.spots["open edge"] = pen.at(*turned(past, 0.0, angle))
        middle = turned(past, 0.0, angle * 0.55)
        says = f"opens {'outward' if way < 0 else 'inward'} to {math.degrees(angle):.0f} deg"
        found.moves.append(Label(says, pen.at(*middle)))


def _obstacles(pen: Pen, door: Part, line: float, found: Found) -> None:
    """Draw what the door may meet, as far as the plan goes.

    Outward of the glass lies outward of its line in the plan.
    """
    start, wide = -(door.length("hung_on.reach") or 0.0), door.length("run.plumb_width") or 0.0
    beside = pen.real(_BESIDE)
    ends = (pen.at(start - beside, pen.low), pen.at(start + wide + beside, pen.high))
    window = box_of(ends)
    pen = replace(pen, window=window if pen.window is None else window.cut(pen.window))
    for at, got in enumerate(door.rows("survey.obstacles", "an obstacle", *_ENDS), start=1):
        if got is None:
            continue
        x, y, to_x, to_y, rise = got
        pen.line([(px, line - py) for px, py in _curve((x, y), (to_x, to_y), rise)], VISIBLE)
        spot = pen.at(x, line - y)
        if window.holds(Box(*spot, *spot)):
            found.spots[f"obstacle {at}"] = spot


def _curve(start: Measure, end: Measure, rise: float) -> list[Measure]:
    """Return a straight line, or points of the arc whose middle stands off it by so much.

    Args:
        start: First end.
        end: Second end.
        rise: How far the middle stands off to the left of the way from the first to the second.
    """
    chord = math.dist(start, end)
    if not rise or not chord:
        return [start, end]
    angle = 4 * math.atan(2 * rise / chord)  # of the whole arc
    radius = chord / (2 * math.sin(angle / 2))
    along = ((end[0] - start[0]) / chord, (end[1] - start[1]) / chord)
    off = (-along[1], along[0])
    points = []
    for step in range(_STEPS + 1):
        turn = angle * (step / _STEPS - 0.5)
        by, up = radius * math.sin(turn), radius * (math.cos(turn) - math.cos(angle / 2))
        x = start[0] + along[0] * (chord / 2 + by) + off[0] * up
        y = start[1] + along[1] * (chord / 2 + by) + off[1] * up
        points.append((x, y))
    return points
