"""A fixed panel in its channels, at a wall."""

from collections.abc import Iterator

from ..drafting import FAINT
from ..found import Found
from ..part import Part
from ..pen import Count, Pen
from ..view import Detail, Reach
from .opening import count_from
from .pane import Pose, draw_pane, draw_section


def counts(panel: Part) -> Count:
    """Return the plumb line of the wall that it stands beside."""
    return count_from(panel.to("beside"))


def reach(panel: Part) -> Reach:
    """Return as far as its free edge, as high as its top, and its line across."""
    line = panel.known("line")
    return Reach(
        along=tuple(panel.known("edge")),
        up=tuple(panel.known("top")),
        across=tuple(-one for one in line),
    )


def elevation(pen: Pen, panel: Part, found: Found) -> None:
    """Draw a panel and the channels that hold it."""
    _channels(pen, panel, found)
    names = ("design.wall_gap", "edge", "design.sill_lift", "top")
    got = panel.need(panel.means, *names)
    if got is None:
        return
    gap, edge, foot, top = got
    before = any((door.length("line") or 0.0) < 0 for door in panel.named_by("laps"))
    pose = Pose(corner=(edge, foot), width=edge - gap, height=top - foot)
    # Its name stands well above the middle, where the handle of a door that is open would be.
    up = ((foot + top) * 0.62 - foot) / (top - foot)
    draw_pane(pen, panel, pose, found, name_at=up, hidden="far" if before else "")
    found.spots["foot"] = pen.at(gap + (edge - gap) * 0.6, foot)
    found.spots["free edge"] = pen.at(edge, top * 0.3)


def _channels(pen: Pen, panel: Part, found: Found) -> None:
    got = panel.need(
        "the channels",
        "kit.channel.depth",
        "beside.foot_past",
        "beside.head_past",
        "top",
        "edge",
        "beside.survey.drop",
        "survey.drop",
    )
    if got is None:
        return
    depth, foot, head, top, edge, low_wall, low_free = got
    pen.line(((foot + depth, -low_wall), (head + depth, top), (head, top)), FAINT)
    pen.line(((foot, depth - low_wall), (edge, depth - low_free), (edge, -low_free)), FAINT)
    found.spots["wall channel"] = pen.at((foot + head) / 2 + depth / 2, top * 0.55)
    found.spots["sill channel"] = pen.at(edge * 0.3, depth / 2)


def plan(pen: Pen, panel: Part, found: Found) -> None:
    """Draw a panel cut through in its sill channel."""
    what = "the channels in plan"
    channel = ("kit.channel.width", "kit.channel.depth")
    got = panel.need(what, "line", *channel, "beside.foot_past", "edge")
    if got is not None:
        outward, width, deep, foot, edge = got
        near, far = -outward - width / 2, -outward + width / 2
        pen.box((foot, near), (edge, far), FAINT)
        pen.line(((foot + deep, near), (foot + deep, far)), FAINT)
        found.spots["channel in plan"] = pen.at(foot + deep / 2, near)
    what = f"{panel.means} in plan"
    got = panel.need(what, "line", "design.thickness", "design.wall_gap", "edge")
    if got is not None:
        outward, thick, start, end = got
        draw_section(pen, (start, -outward - thick / 2), (end, -outward + thick / 2))
        found.spots["in plan"] = pen.at(start + (end - start) * 0.3, -outward)


def details(panel: Part) -> Iterator[Detail]:
    """Yield the piece at its wall."""
    foot = panel.length("beside.foot_past")
    if foot is not None:
        yield Detail(
            part=panel.name,
            title="wall",
            focus=foot,
            share=0.0,
            chained=panel.length("design.thickness") is not None,
        )
