"""The elevation from outside: walls, curb, panes, bar, what rolls on it and where it stops."""

import itertools
from collections.abc import Mapping
from types import MappingProxyType

from .drafting import FAINT, OPEN, THIN, VISIBLE
from .pose import Pose, draw_cuts, draw_outline, pose_of_door
from .shapes import Point
from .sizes import Sizes
from .view import Measure, View

WALL = 3.0
"""How much of a wall is drawn, mm on the page."""
_STOP = 1.35  # a stop's height over the bar's diameter: a sign, since no sheet gives it
_ALONG = (
    "opening.plumb_width",
    "fixed.edge",
    "door.closed_at",
    "door.closed_trailing",
    "door.open_at",
    "door.trailing",
)
_UP = ("fixed.top", "door.top", "bar.height", "survey.head_height")

Anchors = dict[str, Point]


def extent(sizes: Sizes) -> tuple[Measure, Measure] | None:
    """Return the two corners of all that can be drawn, None where nothing can.

    Returns:
        Least and greatest (along, up), mm of the thing.
    """
    along = [0.0, *sizes.known(_ALONG)]
    up = [0.0, *sizes.known(_UP)]
    if max(along) - min(along) <= 0 or max(up) <= 0:
        return None
    floor = max([0.0, *sizes.known(f"survey.curb.drop.{end}" for end in ("fixed", "strike"))])
    floor = max([floor, *sizes.known(("survey.curb.above_floor",))])
    return (min(along), -floor), (max(along), max(up))


def draw_elevation(view: View, sizes: Sizes, top: float) -> Anchors:
    """Draw the elevation.

    Args:
        view: Where.
        sizes: The job's values.
        top: How far up walls are drawn, mm above the datum.

    Returns:
        Where on the page each thing is that a finding may concern.
    """
    found: Anchors = {}
    _walls(view, sizes, top, found)
    _curb(view, sizes, found)
    _channels(view, sizes, found)
    _fixed(view, sizes, found)
    _door(view, sizes, found)
    _bar(view, sizes, found)
    _rolling(view, sizes, found)
    _stops(view, sizes, found)
    _guide(view, sizes, found)
    _seals(view, sizes, found)
    return found


def wall_line(sizes: Sizes, wall: str, top: float) -> tuple[Measure, ...] | None:
    """Return the face of a wall from its foot up; along from the wall's own plumb line."""
    what = {"fixed_wall": "the fixed panel's wall", "strike_wall": "the strike wall"}[wall]
    got = sizes.need(what, f"{wall}.foot_past", f"{wall}.middle_past", f"{wall}.head_past")
    if got is None:
        return None
    foot, middle, head = got
    height = sizes.get("survey.head_height") or top
    line = ((foot, 0.0), (middle, height / 2), (head, height))
    return line if top <= height else (*line, (head, top))


def _walls(view: View, sizes: Sizes, top: float, found: Anchors) -> None:
    width = sizes.need("the strike wall", "opening.plumb_width")
    floor = -(sizes.get("survey.curb.above_floor") or 0.0)
    thick = WALL / view.scale
    for wall, out in (("fixed_wall", -thick), ("strike_wall", thick)):
        line = wall_line(sizes, wall, top)
        if line is None or (wall == "strike_wall" and width is None):
            continue
        if wall == "strike_wall" and width is not None:
            line = tuple((width[0] - past, up) for past, up in line)
        line = ((line[0][0], floor), *line)
        view.line(line, VISIBLE)
        for one, other in itertools.pairwise(line):
            if one[1] != other[1]:
                back = ((other[0] + out, other[1]), (one[0] + out, one[1]))
                view.hatch((one, other, *back), 1.4)
        found[wall] = view.at(line[-1][0] + out / 2, top * 0.8)
        along = 0.0 if wall == "fixed_wall" or width is None else width[0]
        view.centre_line((along, floor), (along, top + 2.5 / view.scale))
    if width is not None:
        found["opening"] = view.at(width[0] / 2, top)


def _curb(view: View, sizes: Sizes, found: Anchors) -> None:
    got = sizes.need(
        "the curb",
        "opening.plumb_width",
        "fixed_wall.foot_past",
        "strike_wall.foot_past",
        "survey.curb.drop.fixed",
        "survey.curb.drop.strike",
    )
    if got is None:
        return
    width, first, last, low_fixed, low_strike = got
    split = sizes.need("the curb under the split", "fixed.edge", "survey.curb.drop.split")
    middle = [(split[0], -split[1])] if split is not None and 0 < split[0] < width else []
    line = [(first, -low_fixed), *middle, (width - last, -low_strike)]
    view.line(line, VISIBLE)
    found["curb"] = view.at(width * 0.62, -low_strike)
    floor = sizes.get("survey.curb.above_floor")
    if floor is not None:
        view.line(((first, -floor), (width - last, -floor)), VISIBLE)


def _channels(view: View, sizes: Sizes, found: Anchors) -> None:
    got = sizes.need(
        "the channels",
        "kit.channel.depth",
        "fixed_wall.foot_past",
        "fixed_wall.head_past",
        "fixed.top",
        "fixed.edge",
        "survey.curb.drop.fixed",
        "survey.curb.drop.split",
    )
    if got is None:
        return
    depth, foot, head, top, edge, low_fixed, low_split = got
    view.line(((foot + depth, -low_fixed), (head + depth, top), (head, top)), FAINT)
    view.line(((foot, depth - low_fixed), (edge, depth - low_split), (edge, -low_split)), FAINT)
    found["wall channel"] = view.at((foot + head) / 2 + depth / 2, top * 0.55)
    found["sill channel"] = view.at(edge * 0.3, depth / 2)


def _fixed(view: View, sizes: Sizes, found: Anchors) -> None:
    names = ("design.wall_gap", "fixed.edge", "design.sill_lift", "fixed.top")
    got = sizes.need("the fixed panel", *names)
    if got is None:
        return
    gap, edge, foot, top = got
    door_is_before = (sizes.get("guide.line") or 0.0) < 0
    hidden = "far" if door_is_before else ""
    pose = Pose(corner=(edge, foot), width=edge - gap, height=top - foot, tilt=0.0)
    draw_outline(view, sizes, "fixed", pose, hidden)
    found["fixed"] = view.at((gap + edge) / 2, (foot + top) * 0.62)
    found["panel top"] = view.at(gap + (edge - gap) * 0.2, top)
    found["panel foot"] = view.at(gap + (edge - gap) * 0.6, foot)
    found["split"] = view.at(edge, top * 0.3)
    found |= draw_cuts(view, sizes, "fixed", pose)


def _door(view: View, sizes: Sizes, found: Anchors) -> None:
    pose = pose_of_door(sizes, "the closed door", "door.closed_at")
    if pose is not None:
        panel_is_before = (sizes.get("guide.line") or 0.0) > 0
        draw_outline(view, sizes, "door", pose, "near" if panel_is_before else "")
        width, height = pose.width, pose.height
        found["door"] = view.at(*pose.at(width / 2, height * 0.55))
        found["door top"] = view.at(*pose.at(width * 0.55, height))
        along, up = pose.at(width * 0.55, 0.0)
        found["floor gap"] = view.at(along, up / 2)
        found["door edge"] = view.at(*pose.at(width, height * 0.62))
        found |= draw_cuts(view, sizes, "door", pose)
        _handle(view, sizes, pose, found)
        edge, (trailing, up) = sizes.get("fixed.edge"), pose.at(0.0, height * 0.42)
        found["lap"] = view.at((trailing + (trailing if edge is None else edge)) / 2, up)
    pose = pose_of_door(sizes, "the open door", "door.open_at")
    if pose is not None:
        corners = pose.around((0.0, 0.0), (pose.width, pose.height))
        view.outline(corners, OPEN)
        found["open edge"] = view.at(*pose.at(pose.width, pose.height * 0.2))
        way_in = sizes.get("door.clear_opening")
        found["way in"] = view.at(pose.corner[0] + (way_in or 0.0) / 2, pose.height * 0.1)


def _handle(view: View, sizes: Sizes, pose: Pose, found: Anchors) -> None:
    got = sizes.need(
        "the handle",
        "design.handle.setback",
        "design.handle.half_width",
        "design.handle.height",
    )
    if got is None:
        return
    setback, half, height = got
    middle = pose.at(pose.width - setback, height)
    view.circle(middle, half, VISIBLE)
    view.busy((middle[0] - half, middle[1] - half), (middle[0] + half, middle[1] + half))
    far = sizes.get("door.far_hole") or 0.0
    if far > setback:
        start = (pose.width - far - half, height - half / 2)
        view.outline(pose.around(start, (pose.width - setback, height + half / 2)), VISIBLE)
    found["handle"] = view.at(*middle)


def _bar(view: View, sizes: Sizes, found: Anchors) -> None:
    got = sizes.need("the bar", "bar.first_end", "bar.last_end", "bar.height", "kit.bar.diameter")
    if got is None:
        return
    first, last, height, across = got
    view.box((first, height - across / 2), (last, height + across / 2), VISIBLE)
    past = 2.0 / view.scale
    view.centre_line((first - past, height), (last + past, height))
    view.busy((first, height - across), (last, height + across))
    found["bar"] = view.at((first + last) / 2, height - across / 2)
    ends = sizes.need("the end fittings", "bar.fixed_end", "bar.strike_end", "kit.end.fit_reach")
    radius = sizes.get("kit.end.radius") or across / 2
    if ends is not None:
        start, end, reach = ends
        view.box((start, height - radius), (start + reach, height + radius), VISIBLE)
        view.box((end - reach, height - radius), (end, height + radius), VISIBLE)
        found["bar end fixed"] = view.at(start + reach / 2, height)
        found["bar end strike"] = view.at(end - reach / 2, height)
    _panel_fittings(view, sizes, height, found)


def _panel_fittings(view: View, sizes: Sizes, height: float, found: Anchors) -> None:
    got = sizes.need(
        "the panel's fittings", "fixed.hole_a", "fixed.hole_b", "kit.panel.fitting_half"
    )
    if got is not None:
        first, second, half = got
        for name, middle in (("first hole", first), ("second hole", second)):
            view.box((middle - half, height - half), (middle + half, height + half), FAINT)
            found[name] = view.at(middle, height)


def _rolling(view: View, sizes: Sizes, found: Anchors) -> None:
    got = sizes.need(
        "the rollers",
        "door.wheel_hole_y",
        "kit.wheel.inset",
        "kit.wheel.tread",
        "kit.wheel.flange",
    )
    if got is None:
        return
    hole, inset, tread, flange = got
    below = sizes.need("the retainers", "door.retainer_hole_y", "kit.retainer.radius")
    for edge, closed in (("door.closed_at", True), ("door.open_at", False)):
        pose = pose_of_door(sizes, "the rollers", edge)
        if pose is None:
            continue
        for at, along in (("trailing", inset), ("leading", pose.width - inset)):
            x, up = middle = pose.at(along, hole)
            view.circle(middle, flange, FAINT if closed else OPEN)
            if not closed:
                continue
            view.circle(middle, tread, THIN)
            view.busy((x - flange, up - flange), (x + flange, up + flange))
            found[f"{at} wheel"] = view.at(*middle)
            if below is not None:
                lower = pose.at(along, below[0])
                view.circle(lower, below[1], FAINT)
                found[f"{at} retainer"] = view.at(*lower)


def _stops(view: View, sizes: Sizes, found: Anchors) -> None:
    got = sizes.need("the stops", "bar.height", "kit.bar.diameter", "kit.stop.length")
    if got is None:
        return
    height, across, length = got
    half = across / 2 * _STOP
    ends = (
        ("open stop", "door.open_stop_at", -length),
        ("closed stop", "door.closed_stop_at", length),
    )
    for name, face, back in ends:
        at = sizes.get(face)
        if at is not None:
            view.solid((at, height - half), (at + back, height + half))
            found[name] = view.at(at + back / 2, height - half)


def _guide(view: View, sizes: Sizes, found: Anchors) -> None:
    got = sizes.need(
        "the guide",
        "fixed_wall.foot_past",
        "guide.near_edge",
        "guide.far_edge",
        "survey.curb.drop.split",
        "kit.guide.height",
    )
    if got is not None:
        foot, near, far, low, height = got
        view.box((foot + near, -low), (foot + far, height - low), VISIBLE)
        found["guide"] = view.at(foot + (near + far) / 2, height - low)


def _seals(view: View, sizes: Sizes, found: Anchors) -> None:
    got = sizes.need("the seals", "door.sweep", "door.bulb", "kit.sweep.cover", "kit.strike_gap")
    pose = pose_of_door(sizes, "the seals", "door.closed_at")
    if got is None or pose is None:
        return
    sweep, bulb, cover, gap = got
    end = pose.at(sweep, cover)
    view.line((pose.at(0.0, cover), end, (end[0], 0.0)), THIN)
    beside, top = pose.width + gap, pose.height
    view.line((pose.at(beside, top), pose.at(beside, top - bulb)), THIN)
    found["strike gap"] = view.at(*pose.at(pose.width + gap / 2, top * 0.5))
    found["sweep"] = view.at(*pose.at(pose.width * 0.8, cover / 2))


NAMES: Mapping[str, str] = MappingProxyType(
    {
        "first hole": "panel fitting",
        "bar end strike": "end fitting",
        "trailing wheel": "roller",
        "leading retainer": "retainer",
        "guide": "guide",
    }
)
"""What is written beside some places, by anchor."""
