"""What a straight bar does under loads that stand still: sag, slope, moment and reactions.

The bar rests on both its ends. A hold in between is one more load, upward, of the size that keeps
the bar at rest there, so one set of formulas serves the free and the held bar.
"""

import math
from dataclasses import dataclass
from typing import Self

Load = tuple[float, float]
"""Where a load stands, mm from the bar's left end, and how large it is, N; down is positive."""


_APART = 1e-10  # two holds nearer than about 1e-5 of the span leave rounding noise as their forces


@dataclass(frozen=True, slots=True, kw_only=True)
class Holds:
    """Two points between the ends where the bar is held at the level of its ends.

    Attributes:
        span: Length between the ends, mm.
        at: The two points, mm from the left end, the nearer one first.
        give: How far the bar would move at the first, across, and at the second point under one
            newton (E I = 1), from which the holds' forces follow.
    """

    span: float
    at: tuple[float, float]
    give: tuple[float, float, float]

    @classmethod
    def of(cls, span: float, hold_a: float, hold_b: float) -> Self:
        """Return the holds of a bar.

        Args:
            span: Length between the ends, mm; more than 0.
            hold_a: First hold, mm from the left end.
            hold_b: Second hold, mm from the left end.

        Raises:
            ValueError: Not 0 < hold_a < hold_b < span.
        """
        if not 0.0 < hold_a < hold_b < span < math.inf:
            raise ValueError(
                f"The holds stand at {hold_a:g} and {hold_b:g} mm on a bar of {span:g} mm; "
                "they must lie between its ends, the first before the second."
            )
        own_a, across, own_b = (
            _give(span, hold_a, hold_a),
            _give(span, hold_a, hold_b),
            _give(span, hold_b, hold_b),
        )
        if own_a * own_b - across * across < _APART * own_a * own_b:
            raise ValueError("The two holds are too near each other to be told apart.")
        return cls(span=span, at=(hold_a, hold_b), give=(own_a, across, own_b))

    def forces(self, loads: tuple[Load, ...]) -> tuple[float, float]:
        """Return how hard each hold pushes up, N, under these loads."""
        own_a, across, own_b = self.give
        moved_a = moved_b = 0.0
        for place, force in loads:
            moved_a += force * _give(self.span, self.at[0], place)
            moved_b += force * _give(self.span, self.at[1], place)
        scale = own_a * own_b - across * across
        return (
            (moved_a * own_b - moved_b * across) / scale,
            (moved_b * own_a - moved_a * across) / scale,
        )

    def add(self, loads: tuple[Load, ...]) -> tuple[Load, ...]:
        """Return the loads together with the holds' own pushes."""
        push_a, push_b = self.forces(loads)
        return (*loads, (self.at[0], -push_a), (self.at[1], -push_b))


def point_sag(span: float, loads: tuple[Load, ...], stiffness: float, at: float) -> float:
    """Return how far a bar that rests on its ends sags at one place.

    Args:
        span: Length between the ends, mm; more than 0.
        loads: Places, mm, and forces, N.
        stiffness: Bending stiffness E I, N mm2; more than 0.
        at: Where the sag is asked, mm from the left end.

    Returns:
        Sag, mm; down is positive.

    Raises:
        ValueError: A length or the stiffness has no meaning, or a place is off the bar.

    Source:
        Elementary beam theory; the case of one load, AISC Manual (2005) Table 3-23, superposed.

    Example:
        >>> round(point_sag(1000.0, ((500.0, 100.0),), 2.0e9, 500.0), 6)
        1.041667
    """
    need_bar(span, stiffness, at, *(place for place, _ in loads))
    return sum(force * _give(span, at, place) for place, force in loads) / stiffness


def point_moment(span: float, loads: tuple[Load, ...], at: float) -> float:
    """Return the bending moment at one place of a bar that rests on its ends.

    Args:
        span: Length between the ends, mm; more than 0.
        loads: Places, mm, and forces, N.
        at: Where the moment is asked, mm from the left end.

    Returns:
        Moment, N mm; positive where the underside is in tension.

    Raises:
        ValueError: The span has no meaning, or a place is off the bar.

    Source:
        Elementary statics, P a b / L under one load.

    Example:
        >>> point_moment(1000.0, ((500.0, 100.0),), 500.0)
        25000.0
    """
    need_bar(span, 1.0, at, *(place for place, _ in loads))
    return sum(force * min(at, place) * (span - max(at, place)) for place, force in loads) / span


def need_bar(span: float, stiffness: float, *places: float) -> None:
    """Raise ValueError unless the bar has a length, a stiffness, and every place is on it."""
    if not 0.0 < span < math.inf:
        raise ValueError(f"The bar is {span:g} mm long; its length must be more than 0.")
    if not 0.0 < stiffness < math.inf:
        raise ValueError(f"The bar's stiffness is {stiffness:g} N mm2; it must be more than 0.")
    for place in places:
        if not 0.0 <= place <= span:
            raise ValueError(f"{place:g} mm is off a bar of {span:g} mm; it must lie on the bar.")


def moments(span: float, loads: tuple[Load, ...]) -> tuple[float, ...]:
    """Return the size of the moment under each load, N mm; the greatest of them is the bar's."""
    shear = sum([force * (span - place) for place, force in loads]) / span
    found = [0.0] * len(loads)
    moment = start = 0.0
    for place, force, at in sorted([(*load, at) for at, load in enumerate(loads)]):
        moment += (place - start) * shear
        shear -= force
        start = place
        found[at] = abs(moment)
    return tuple(found)


def slope_at(span: float, loads: tuple[Load, ...], at: float) -> float:
    """Return the slope times E I, N mm2, at a place on the bar; positive where it runs down."""
    slope = 0.0
    for place, force in loads:
        rest = span - place
        slope += force * rest * (span * span - rest * rest - 3.0 * at * at) / (6.0 * span)
        if at > place:
            slope += force * (at - place) * (at - place) / 2.0
    return slope


def deepest(span: float, loads: tuple[Load, ...]) -> float:
    """Return the greatest downward deflection times E I, N mm3, anywhere on the bar; at least 0.

    Exact: between two loads the deflection is a cubic, and where its slope turns from down to up
    follows from a quadratic.
    """
    shear = sum([force * (span - place) for place, force in loads]) / span
    slope = slope_at(span, loads, 0.0)
    depth = moment = start = most = 0.0
    for place, force in (*sorted(loads), (span, 0.0)):
        run = place - start
        top = _crest(slope, moment, shear, run)
        here = depth + top * (slope - top * (moment / 2.0 + top * shear / 6.0))
        most = max(most, here)
        depth += run * (slope - run * (moment / 2.0 + run * shear / 6.0))
        slope -= run * (moment + run * shear / 2.0)
        moment += run * shear
        shear -= force
        start = place
    return most


def _crest(slope: float, moment: float, shear: float, run: float) -> float:
    """Return how far along a stretch its slope turns from down to up; its end where it does not."""
    square = moment * moment + 2.0 * shear * slope
    if square < 0.0:
        return run
    # Of two equal spellings of the root, the one that does not subtract like numbers.
    if moment > 0.0:
        top = 2.0 * slope / (moment + math.sqrt(square))
    else:
        top = (math.sqrt(square) - moment) / shear if shear else run
    return top if 0.0 < top < run else run


def _give(span: float, at: float, place: float) -> float:
    """Return the deflection, E I = 1, at one place under one newton at another."""
    near, rest = (at, span - place) if at < place else (place, span - at)
    return near * rest * (span * span - rest * rest - near * near) / (6.0 * span)
