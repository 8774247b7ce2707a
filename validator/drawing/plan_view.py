"""The plan section just over the curb: walls and panes cut through, guide, channel and seals."""

from .drafting import FAINT, HIDDEN, OPEN, THIN, VISIBLE
from .elevation import Anchors
from .sizes import Sizes
from .view import View

WALL = 3.0
"""How much of a wall is drawn, mm on the page."""
_PAST = 4.0  # how far walls are drawn past the curb, mm on the page
_CURB = ("bar.from_curb_edge", "survey.curb.flat_width")


def depth(sizes: Sizes) -> tuple[float, float] | None:
    """Return the outermost and innermost line of the plan, mm inward of the bar's line.

    Returns:
        The two, or None where neither curb nor panes are known.
    """
    lines = [-one for one in sizes.known(("fixed.line",))]
    lines += sizes.known(("guide.line",))
    curb = curb_lines(sizes)
    if curb is not None:
        lines += curb
    if not lines:
        return None
    room = 0.0 if curb is not None else 25.0
    return min(lines) - room, max(lines) + room


def curb_lines(sizes: Sizes) -> tuple[float, float] | None:
    """Return the curb's outer and inner edge, mm inward of the bar's line; None where unknown."""
    known = [sizes.get(name) for name in _CURB]
    if known[0] is None or known[1] is None or sizes.word("survey.base") == "floor":
        return None
    return -known[0], known[1] - known[0]


def draw_plan(view: View, sizes: Sizes, *, fine: bool) -> Anchors:
    """Draw the plan.

    Args:
        view: Where.
        sizes: The job's values.
        fine: Whether it is large enough for hatched glass and the seals.

    Returns:
        Where on the page each thing is that a finding may concern.
    """
    found: Anchors = {}
    _curb(view, sizes, found)
    _walls(view, sizes)
    _channels(view, sizes, found)
    _dam(view, sizes, found)
    _guide(view, sizes, found)
    _panes(view, sizes, found, fine=fine)
    _handle(view, sizes, found)
    _strike(view, sizes, found)
    width = sizes.get("opening.plumb_width")
    if width is not None:
        view.centre_line((0.0, 0.0), (width, 0.0))
    return found


def _curb(view: View, sizes: Sizes, found: Anchors) -> None:
    edges = curb_lines(sizes)
    ends = sizes.need(
        "the curb in plan", "opening.plumb_width", "fixed_wall.foot_past", "strike_wall.foot_past"
    )
    if edges is None:
        if sizes.word("survey.base") != "floor":
            sizes.need("the curb in plan", *_CURB)
        return
    if ends is None:
        return
    width, first, last = ends
    for edge in edges:
        view.line(((first, edge), (width - last, edge)), VISIBLE)
    found["curb width"] = view.at(width * 0.8, edges[0])
    for name, along in (("curb fall fixed", width * 0.14), ("curb fall strike", width * 0.9)):
        found[name] = view.at(along, (edges[0] + edges[1]) / 2)


def _walls(view: View, sizes: Sizes) -> None:
    lines = depth(sizes)
    width = sizes.get("opening.plumb_width")
    if lines is None:
        return
    past, thick = _PAST / view.scale, WALL / view.scale
    low, high = lines[0] - past, lines[1] + past
    for wall, out in (("fixed_wall", -thick), ("strike_wall", thick)):
        foot = sizes.get(f"{wall}.foot_past")
        if foot is None or (wall == "strike_wall" and width is None):
            continue
        face = foot if wall == "fixed_wall" else (width or 0.0) - foot
        view.line(((face, low), (face, high)), VISIBLE)
        view.hatch(((face, low), (face, high), (face + out, high), (face + out, low)), 1.2)


def _channels(view: View, sizes: Sizes, found: Anchors) -> None:
    got = sizes.need(
        "the channels in plan",
        "fixed.line",
        "kit.channel.width",
        "kit.channel.depth",
        "fixed_wall.foot_past",
        "fixed.edge",
    )
    if got is not None:
        outward, width, deep, foot, edge = got
        view.box((foot, -outward - width / 2), (edge, -outward + width / 2), FAINT)
        view.line(((foot + deep, -outward - width / 2), (foot + deep, -outward + width / 2)), FAINT)
        found["channel"] = view.at(foot + deep / 2, -outward - width / 2)


def _dam(view: View, sizes: Sizes, found: Anchors) -> None:
    got = sizes.need(
        "the dam",
        "fixed.line",
        "kit.channel.width",
        "opening.plumb_width",
        "strike_wall.foot_past",
        "door.dam",
    )
    if got is not None:
        outward, across, width, last, long = got
        end = width - last
        view.box((end - long, -outward - across / 4), (end, -outward + across / 4), FAINT)
        found["dam"] = view.at(end - long * 0.12, -outward)


def _guide(view: View, sizes: Sizes, found: Anchors) -> None:
    got = sizes.need(
        "the guide in plan",
        "guide.line",
        "kit.guide.half_width",
        "kit.guide.slot",
        "fixed_wall.foot_past",
        "guide.near_edge",
        "guide.far_edge",
    )
    if got is None:
        return
    inward, half, slot, foot, near, far = got
    for low, high in ((inward - half, inward - slot / 2), (inward + slot / 2, inward + half)):
        view.box((foot + near, low), (foot + far, high), VISIBLE)
    view.busy((foot + near, inward - half), (foot + far, inward + half))
    found["guide in plan"] = view.at(foot + (near + far) / 2, inward + half)


def _panes(view: View, sizes: Sizes, found: Anchors, *, fine: bool) -> None:
    got = sizes.need(
        "the fixed panel in plan",
        "fixed.line",
        "design.fixed.thickness",
        "design.wall_gap",
        "fixed.edge",
    )
    if got is not None:
        outward, thick, start, end = got
        _pane(view, (start, -outward - thick / 2), (end, -outward + thick / 2), fine=fine)
        found["panel in plan"] = view.at(start + (end - start) * 0.3, -outward)
    got = sizes.need(
        "the closed door in plan",
        "guide.line",
        "design.door.thickness",
        "door.closed_trailing",
        "door.closed_at",
    )
    if got is not None:
        inward, thick, start, end = got
        _pane(view, (start, inward - thick / 2), (end, inward + thick / 2), fine=fine)
        found["door in plan"] = view.at(start + (end - start) * 0.6, inward)
    got = sizes.need(
        "the open door in plan",
        "guide.line",
        "design.door.thickness",
        "door.trailing",
        "door.open_at",
    )
    if got is not None:
        inward, thick, start, end = got
        view.box((start, inward - thick / 2), (end, inward + thick / 2), OPEN)
    between = sizes.need(
        "the room between the panes",
        "fixed.line",
        "guide.line",
        "door.closed_trailing",
        "fixed.edge",
    )
    if between is not None:
        outward, inward, start, end = between
        found["faces"] = view.at((start + end) / 2, (inward - outward) / 2)


def _pane(view: View, one: tuple[float, float], other: tuple[float, float], *, fine: bool) -> None:
    """Draw a pane cut through: hatched where it is large enough, filled where it is not."""
    if not fine:
        view.solid(one, other)
        return
    view.solid(one, other, fill="white")
    view.hatch((one, (other[0], one[1]), other, (one[0], other[1])), 0.7)
    view.box(one, other, VISIBLE)
    view.busy(one, other)


def _handle(view: View, sizes: Sizes, found: Anchors) -> None:
    """Draw what stands above the section, dashed: the handle's part on the side of the panel."""
    got = sizes.need(
        "the handle in plan",
        "guide.line",
        "design.door.thickness",
        "door.closed_at",
        "design.handle.setback",
        "design.handle.half_width",
        "design.handle.panel_side",
    )
    if got is None:
        return
    inward, thick, edge, setback, half, reach = got
    toward = -1.0 if inward > 0 else 1.0
    face = inward + toward * thick / 2
    open_at = sizes.get("door.open_at")
    for leading, line in ((edge, HIDDEN), (open_at, OPEN)):
        if leading is not None and reach > 0:
            middle = leading - setback
            view.box((middle - half, face), (middle + half, face + toward * reach), line)
    found["handle in plan"] = view.at(edge - setback, face + toward * reach)


def _strike(view: View, sizes: Sizes, found: Anchors) -> None:
    got = sizes.need(
        "the bulb", "guide.line", "design.door.thickness", "door.closed_at", "opening.plumb_width"
    )
    if got is None:
        return
    inward, thick, edge, width = got
    half = thick / 2
    view.line(
        (
            (edge, inward - half * 0.7),
            ((edge + width) / 2, inward - half),
            (width, inward - half * 0.5),
            (width, inward + half * 0.5),
            ((edge + width) / 2, inward + half),
            (edge, inward + half * 0.7),
        ),
        THIN,
    )
    found["bulb"] = view.at((edge + width) / 2, inward)
