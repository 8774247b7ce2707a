"""Slips of the pen, told from numbers: what a size on a paper was mistaken for."""

from collections.abc import Sequence
from dataclasses import dataclass

INCH = 25.4  # mm
HALF = 2.0


@dataclass(frozen=True, slots=True)
class Spot:
    """A hole by its centre and its diameter, mm.

    Attributes:
        x: From the edge toward the fixed panel's wall.
        y: From the foot.
        across: Diameter.
    """

    x: float
    y: float
    across: float


@dataclass(frozen=True, slots=True)
class Glass:
    """Width and height of a pane, mm."""

    width: float
    height: float


def is_near(one: float, other: float, within: float) -> bool:
    """Return whether two sizes agree; what lies exactly at the tolerance does.

    Args:
        one: A size, mm.
        other: Another, mm.
        within: How far they may be apart, mm.
    """
    return abs(one - other) <= within + 1e-6


def unit_slip(meant: float, written: float, within: float) -> str:
    """Return how a size was written in the wrong unit, "" where it was not.

    Args:
        meant: The size, mm.
        written: What the paper has, mm.
        within: How far both may be apart, mm.

    Example:
        >>> unit_slip(787.4, 787.4 * 25.4, 1.0)
        'a number of millimetres was written as inches'
        >>> unit_slip(787.4, 31.0, 1.0)
        'a number of inches was written as millimetres'
    """
    if is_near(meant, written / INCH, within):
        return "a number of millimetres was written as inches"
    if is_near(meant, written * INCH, within):
        return "a number of inches was written as millimetres"
    return ""


def swapped(meant: Glass, written: Glass, within: float) -> bool:
    """Return whether width and height were exchanged, and are not right as they stand."""
    right = is_near(meant.width, written.width, within) and is_near(
        meant.height, written.height, within
    )
    return (
        not right
        and is_near(meant.width, written.height, within)
        and is_near(meant.height, written.width, within)
    )


def is_same(meant: Spot, written: Spot, within: float) -> bool:
    """Return whether two holes are one."""
    return (
        is_near(meant.x, written.x, within)
        and is_near(meant.y, written.y, within)
        and is_near(meant.across, written.across, within)
    )


def turned(spots: Sequence[Spot], pane: Glass) -> tuple[Spot, ...]:
    """Return holes as they lie in the pane's mirror image."""
    return tuple(Spot(pane.width - spot.x, spot.y, spot.across) for spot in spots)


def upended(spots: Sequence[Spot], pane: Glass) -> tuple[Spot, ...]:
    """Return holes as they lie when measured from the top."""
    return tuple(Spot(spot.x, pane.height - spot.y, spot.across) for spot in spots)


def all_same(meant: Sequence[Spot], written: Sequence[Spot], within: float) -> bool:
    """Return whether two lists hold the same holes, in any order."""
    left, right = unmatched(meant, written, within)
    return not left and not right


def unmatched(
    meant: Sequence[Spot], written: Sequence[Spot], within: float
) -> tuple[list[int], list[int]]:
    """Return the indices of the holes of either list that the other has not.

    Args:
        meant: Holes of the take-off.
        written: Holes of the paper.
        within: How far two may be apart and be one, mm.
    """
    left, right = [], list(range(len(written)))
    for at, spot in enumerate(meant):
        found = next((one for one in right if is_same(spot, written[one], within)), None)
        if found is None:
            left.append(at)
        else:
            right.remove(found)
    return left, right


def hole_slip(meant: Spot, written: Spot, pane: Glass, within: float) -> str:
    """Return what went wrong with a hole, "" where it is right or cannot be told.

    Args:
        meant: The hole of the take-off.
        written: The hole of the paper.
        pane: The pane.
        within: How far both may be apart, mm.

    Example:
        >>> hole_slip(Spot(100, 50, 16), Spot(92, 50, 16), Glass(700, 2000), 1.0)
        'measured to its rim across the width'
        >>> hole_slip(Spot(100, 50, 16), Spot(600, 50, 16), Glass(700, 2000), 1.0)
        'measured from the wrong side'
    """
    x = _axis(meant.x, written.x, pane.width, meant.across, within)
    y = _axis(meant.y, written.y, pane.height, meant.across, within)
    across = _across(meant.across, written.across, within)
    if x is None or y is None:
        turn = is_near(meant.x, written.y, within) and is_near(meant.y, written.x, within)
        return "its two distances are swapped" if turn and across == "" else ""
    if across is None:
        return ""
    told = [_SIDEWAYS[x], _UPWARD[y], across]
    if x == y == "rim":
        told = ["measured to its rim both ways", "", across]
    return " and ".join(dict.fromkeys(one for one in told if one))


def apart(meant: Spot, written: Spot) -> Spot:
    """Return how far a hole is from where it is meant: right, up and wider, mm."""
    return Spot(written.x - meant.x, written.y - meant.y, written.across - meant.across)


def inward(meant: Spot, written: Spot, pane: Glass) -> Spot:
    """Return how far a hole is from where it is meant, its x away from its own side edge, mm."""
    off = apart(meant, written)
    return off if meant.x <= pane.width / HALF else Spot(-off.x, off.y, off.across)


def alike(offs: Sequence[Spot], within: float) -> list[list[int]]:
    """Return indices of what is off by the same, together.

    Args:
        offs: What each is off by, mm.
        within: How far two may be apart and be the same, mm.
    """
    groups: list[list[int]] = []
    for at, off in enumerate(offs):
        own = next((one for one in groups if is_same(offs[one[0]], off, within)), None)
        if own is None:
            groups.append([at])
        else:
            own.append(at)
    return groups


_SIDEWAYS = {
    "": "",
    "edge": "measured from the wrong side",
    "rim": "measured to its rim across the width",
    "unit": "its place is in the wrong unit",
}
_UPWARD = {
    "": "",
    "edge": "measured from the top and not from the foot",
    "rim": "measured to its rim up the height",
    "unit": "its place is in the wrong unit",
}


def _axis(meant: float, written: float, whole: float, across: float, within: float) -> str | None:
    """Return "" for right, "edge", "rim" or "unit" for a slip, None where it cannot be told."""
    if is_near(meant, written, within):
        return ""
    if is_near(whole - meant, written, within):
        return "edge"
    if is_near(abs(meant - written), across / HALF, within):
        return "rim"
    return "unit" if unit_slip(meant, written, within) else None


def _across(meant: float, written: float, within: float) -> str | None:
    if is_near(meant, written, within):
        return ""
    if is_near(meant / HALF, written, within):
        return "its radius is written for its diameter"
    if unit_slip(meant, written, within):
        return "its diameter is in the wrong unit"
    return None
