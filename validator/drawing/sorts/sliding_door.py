"""A sliding door: closed, open, what it rolls on, and how it meets its strike wall."""

from collections.abc import Iterator

from ..drafting import FAINT, HIDDEN, OPEN, THIN, VISIBLE
from ..found import Found, Label
from ..geometry import Point, box_of
from ..part import Part
from ..pen import Count, Pen
from ..view import Detail, Reach
from . import fixed_panel
from .pane import Pose, draw_pane, draw_section

_ALONG = ("closed_at", "closed_trailing", "open_at", "trailing")


def counts(door: Part) -> Count:
    """Return the plumb line that the panel counts from."""
    return fixed_panel.counts(door.to("laps"))


def reach(door: Part) -> Reach:
    """Return as far as it goes, open and closed, as high as its top, and its line across."""
    return Reach(
        along=tuple(door.known(*_ALONG)),
        up=tuple(door.known("top")),
        across=tuple(door.known("line")),
    )


def elevation(pen: Pen, door: Part, found: Found) -> None:
    """Draw the closed door with its rollers and seals, and where it stands open."""
    closed = _pose(door, "the closed door", "closed_at")
    if closed is not None:
        _closed(pen, door, closed, found)
    stands_open = _pose(door, "the open door", "open_at")
    if stands_open is not None:
        width, height = stands_open.width, stands_open.height
        pen.outline(stands_open.around((0.0, 0.0), (width, height)), OPEN)
        found.spots["open edge"] = pen.at(*stands_open.at(width, height * 0.2))
        way_in = door.length("clear_opening") or 0.0
        found.spots["way in"] = pen.at(stands_open.corner[0] + way_in / 2, height * 0.1)
    _rolling(pen, door, closed, stands_open, found)
    _seals(pen, door, closed, found)
    _travel(pen, door, found)


def _pose(door: Part, what: str, leading: str) -> Pose | None:
    """Return how the door hangs, None where it is not known.

    Args:
        door: The door.
        what: What is drawn, for what is left out.
        leading: The working that gives its leading bottom corner.
    """
    got = door.need(what, leading, "foot", "width", "height", "tilt")
    if got is None:
        return None
    along, foot, width, height, tilt = got
    return Pose(corner=(along, foot), width=width, height=height, tilt=tilt)


def _closed(pen: Pen, door: Part, pose: Pose, found: Found) -> None:
    width, height = pose.width, pose.height
    before = (door.length("line") or 0.0) > 0
    draw_pane(pen, door, pose, found, name_at=0.55, hidden="near" if before else "")
    found.spots["top"] = pen.at(*pose.at(width * 0.55, height))
    along, up = pose.at(width * 0.55, 0.0)
    found.spots["floor gap"] = pen.at(along, up / 2)
    _handle(pen, door, pose, found)
    edge, (trailing, up) = door.length("laps.edge"), pose.at(0.0, height * 0.42)
    found.spots["lap"] = pen.at((trailing + (trailing if edge is None else edge)) / 2, up)


def _handle(pen: Pen, door: Part, pose: Pose, found: Found) -> None:
    names = ("design.handle.setback", "design.handle.half_width", "design.handle.height")
    got = door.need("the handle", *names)
    if got is None:
        return
    setback, half, height = got
    middle = pose.at(pose.width - setback, height)
    pen.circle(middle, half, VISIBLE)
    pen.busy((middle[0] - half, middle[1] - half), (middle[0] + half, middle[1] + half))
    far = door.length("far_hole") or 0.0
    if far > setback:
        start = (pose.width - far - half, height - half / 2)
        pen.outline(pose.around(start, (pose.width - setback, height + half / 2)), VISIBLE)
    found.spots["handle"] = pen.at(*middle)


def _rolling(
    pen: Pen, door: Part, closed: Pose | None, stands_open: Pose | None, found: Found
) -> None:
    got = door.need(
        "the rollers", "wheel_hole_y", "kit.wheel.inset", "kit.wheel.tread", "kit.wheel.flange"
    )
    if got is None:
        return
    hole, inset, tread, flange = got
    below = door.need("the retainers", "retainer_hole_y", "kit.retainer.radius")
    if closed is not None:
        for end, along in (("trailing", inset), ("leading", closed.width - inset)):
            x, up = middle = closed.at(along, hole)
            pen.circle(middle, flange, FAINT)
            pen.circle(middle, tread, THIN)
            pen.busy((x - flange, up - flange), (x + flange, up + flange))
            found.spots[f"{end} wheel"] = pen.at(*middle)
            if below is not None:
                lower = closed.at(along, below[0])
                pen.circle(lower, below[1], FAINT)
                found.spots[f"{end} retainer"] = pen.at(*lower)
    if stands_open is not None:
        for along in (inset, stands_open.width - inset):
            pen.circle(stands_open.at(along, hole), flange, OPEN)


def _seals(pen: Pen, door: Part, pose: Pose | None, found: Found) -> None:
    got = door.need("the seals", "sweep", "bulb", "kit.sweep.cover", "kit.strike_gap")
    if got is None or pose is None:
        return
    sweep, bulb, cover, gap = got
    end = pose.at(sweep, cover)
    pen.line((pose.at(0.0, cover), end, (end[0], 0.0)), THIN)
    beside, top = pose.width + gap, pose.height
    pen.line((pose.at(beside, top), pose.at(beside, top - bulb)), THIN)
    found.spots["strike gap"] = pen.at(*pose.at(pose.width + gap / 2, top * 0.5))
    found.spots["sweep"] = pen.at(*pose.at(pose.width * 0.8, cover / 2))


def _travel(pen: Pen, door: Part, found: Found) -> None:
    """Draw which way the door rolls, and how far."""
    ends = door.need("the travel", "closed_at", "open_at", "travel")
    if ends is None:
        return
    start, end = (pen.at(along, pen.high * 0.28) for along in ends[:2])
    pen.canvas.line((start, end), FAINT)
    pen.canvas.arrow(start, end, 3.0, 0.8)
    pen.canvas.labels.append(box_of((start, end)).grown(1.0))
    over = Point((start.x + end.x) / 2, start.y - 3.5)
    found.moves.append(Label(f"opens, travel {door.bare('travel')}", over))


def plan(pen: Pen, door: Part, found: Found) -> None:
    """Draw the door cut through, closed and open, with its dam, handle and bulb."""
    _dam(pen, door, found)
    across = door.need(f"{door.means} in plan", "line", "design.thickness")
    if across is None:
        return
    inward, thick = across
    near, far = inward - thick / 2, inward + thick / 2
    ends = door.need("the closed door in plan", "closed_trailing", "closed_at")
    if ends is not None:
        start, end = ends
        draw_section(pen, (start, near), (end, far))
        found.spots["in plan"] = pen.at(start + (end - start) * 0.6, inward)
    ends = door.need("the open door in plan", "trailing", "open_at")
    if ends is not None:
        pen.box((ends[0], near), (ends[1], far), OPEN)
    names = ("laps.line", "closed_trailing", "laps.edge")
    between = door.need("the room between the panes", *names)
    if between is not None:
        outward, start, end = between
        found.spots["faces"] = pen.at((start + end) / 2, (inward - outward) / 2)
    _handle_over(pen, door, (near, far), found)
    _bulb(pen, door, inward, thick, found)


def _dam(pen: Pen, door: Part, found: Found) -> None:
    names = ("laps.line", "kit.channel.width", "run.plumb_width", "shuts_on.foot_past", "dam")
    got = door.need("the dam", *names)
    if got is not None:
        outward, across, width, last, long = got
        end = width - last
        pen.box((end - long, -outward - across / 4), (end, -outward + across / 4), FAINT)
        found.spots["dam in plan"] = pen.at(end - long * 0.12, -outward)


def _handle_over(pen: Pen, door: Part, faces: tuple[float, float], found: Found) -> None:
    """Draw what stands above the section, dashed: the handle's part on the side of the panel."""
    got = door.need(
        "the handle in plan",
        "closed_at",
        "design.handle.setback",
        "design.handle.half_width",
        "design.handle.panel_side",
    )
    if got is None:
        return
    edge, setback, half, stands_off = got
    toward = -1.0 if sum(faces) > 0 else 1.0
    face = faces[0] if toward < 0 else faces[1]
    for leading, line in ((edge, HIDDEN), (door.length("open_at"), OPEN)):
        if leading is not None and stands_off > 0:
            middle = leading - setback
            pen.box((middle - half, face), (middle + half, face + toward * stands_off), line)
    found.spots["handle in plan"] = pen.at(edge - setback, face + toward * stands_off)


def _bulb(pen: Pen, door: Part, inward: float, thick: float, found: Found) -> None:
    got = door.need("the bulb", "closed_at", "run.plumb_width")
    if got is None:
        return
    edge, width = got
    middle, half = (edge + width) / 2, thick / 2
    pen.line(
        (
            (edge, inward - half * 0.7),
            (middle, inward - half),
            (width, inward - half * 0.5),
            (width, inward + half * 0.5),
            (middle, inward + half),
            (edge, inward + half * 0.7),
        ),
        THIN,
    )
    found.spots["bulb in plan"] = pen.at(middle, inward)


def details(door: Part) -> Iterator[Detail]:
    """Yield the pieces at its lap and at its strike wall."""
    start, edge, closed = (door.length(p) for p in ("closed_trailing", "laps.edge", "closed_at"))
    if start is not None and edge is not None:
        yield Detail(
            part=door.name,
            title="lap and guide",
            focus=(start + edge) / 2,
            share=0.5,
            wide=True,
        )
    width, past = door.length("run.plumb_width"), door.length("shuts_on.foot_past")
    if width is not None and past is not None and closed is not None:
        yield Detail(
            part=door.name,
            title="strike",
            focus=width - past,
            share=1.0,
            chained=door.length("design.thickness") is not None,
        )
