"""The guide of a sliding door's foot."""

from ..drafting import VISIBLE
from ..found import Found
from ..part import Part
from ..pen import Count, Pen
from . import sliding_door

_ALONG = ("guides.laps.beside.foot_past", "near_edge", "far_edge")


def counts(guide: Part) -> Count:
    """Return the plumb line that the door counts from."""
    return sliding_door.counts(guide.to("guides"))


def elevation(pen: Pen, guide: Part, found: Found) -> None:
    """Draw its cheek on the curb."""
    got = guide.need(guide.means, *_ALONG, "guides.laps.survey.drop", "kit.guide.height")
    if got is not None:
        foot, near, far, low, height = got
        pen.box((foot + near, -low), (foot + far, height - low), VISIBLE)
        found.spots["top"] = pen.at(foot + (near + far) / 2, height - low)


def plan(pen: Pen, guide: Part, found: Found) -> None:
    """Draw its two cheeks, the slot between them."""
    what = f"{guide.means} in plan"
    got = guide.need(what, *_ALONG, "line", "kit.guide.half_width", "kit.guide.slot")
    if got is None:
        return
    foot, near, far, inward, half, slot = got
    for low, high in ((inward - half, inward - slot / 2), (inward + slot / 2, inward + half)):
        pen.box((foot + near, low), (foot + far, high), VISIBLE)
    pen.busy((foot + near, inward - half), (foot + far, inward + half))
    found.spots["in plan"] = pen.at(foot + (near + far) / 2, inward + half)
