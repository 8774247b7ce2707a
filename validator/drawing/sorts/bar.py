"""A bar between two walls: its end fittings, those of the panel that bears it, and its stops."""

from ..drafting import FAINT, VISIBLE
from ..found import Found
from ..part import Part
from ..pen import Count, Pen
from ..view import Reach
from . import fixed_panel

_STOP = 1.35  # a stop's height over the bar's diameter: a sign, since no sheet gives it


def counts(bar: Part) -> Count:
    """Return the plumb line that the panel which bears it counts from."""
    return fixed_panel.counts(bar.to("borne_by"))


def reach(bar: Part) -> Reach:
    """Return as high as its middle."""
    return Reach(up=tuple(bar.known("height")))


def elevation(pen: Pen, bar: Part, found: Found) -> None:
    """Draw the tube with all that is fitted to it."""
    got = bar.need(bar.means, "first_end", "last_end", "height", "kit.bar.diameter")
    if got is not None:
        first, last, height, across = got
        pen.box((first, height - across / 2), (last, height + across / 2), VISIBLE)
        past = pen.real(2.0)
        pen.centre_line((first - past, height), (last + past, height))
        pen.busy((first, height - across), (last, height + across))
        found.spots["middle"] = pen.at((first + last) / 2, height - across / 2)
        found.under = found.spots["middle"].y
        _ends(pen, bar, height, across, found)
        _fittings(pen, bar, height, found)
    _stops(pen, bar, found)


def _ends(pen: Pen, bar: Part, height: float, across: float, found: Found) -> None:
    radius = bar.length("kit.end.radius") or across / 2
    ends = bar.need("the end fittings", "fixed_end", "strike_end", "kit.end.fit_reach")
    if ends is not None:
        start, end, long = ends
        pen.box((start, height - radius), (start + long, height + radius), VISIBLE)
        pen.box((end - long, height - radius), (end, height + radius), VISIBLE)
        found.spots["first end"] = pen.at(start + long / 2, height)
        found.spots["last end"] = pen.at(end - long / 2, height)


def _fittings(pen: Pen, bar: Part, height: float, found: Found) -> None:
    names = ("borne_by.hole_a", "borne_by.hole_b", "kit.panel.fitting_half")
    got = bar.need("the panel's fittings", *names)
    if got is not None:
        first, second, half = got
        for spot, middle in (("first fitting", first), ("second fitting", second)):
            pen.box((middle - half, height - half), (middle + half, height + half), FAINT)
            found.spots[spot] = pen.at(middle, height)


def _stops(pen: Pen, bar: Part, found: Found) -> None:
    got = bar.need("the stops", "height", "kit.bar.diameter", "kit.stop.length")
    if got is None:
        return
    height, across, long = got
    half = across / 2 * _STOP
    for spot, face, back in (
        ("open stop", "carries.open_stop_at", -long),
        ("closed stop", "carries.closed_stop_at", long),
    ):
        at = bar.length(face)
        if at is not None:
            pen.solid((at, height - half), (at + back, height + half))
            found.spots[spot] = pen.at(at + back / 2, height - half)
