"""How a header bar takes a door that travels along it.

The bar rests on both walls and, where the panel holds it, on the panel's two fittings. The door
hangs on two wheels a fixed pitch apart. Each function here asks for the worst over all places of
the pair: exact for a given place, and over the travel by a scan of 20 steps whose hills are then
climbed by golden section.

The bar's own weight is left out: it is there before the door, and the bar is levelled with it on.
Holds and ends carry both ways; none lets the bar lift.
"""

import math
from collections.abc import Callable, Iterable

from .beam import Holds, Load, deepest, moments, need_bar, slope_at
from .peak import Measures, greatest

_STEPS = 20


def bar_sag(
    span: float,
    hold_a: float,
    hold_b: float,
    first: float,
    travel: float,
    pitch: float,
    load: float,
    stiffness: float,
) -> float:
    """Return how far a bar that the panel holds sags at worst.

    Args:
        span: Length of the bar between its ends, mm; more than 0.
        hold_a: First of the panel's fittings, mm from the bar's left end; more than 0.
        hold_b: Second of them, mm; more than `hold_a`, less than `span`.
        first: The left wheel with the door parked at the left, mm from the bar's left end.
        travel: How far the door travels to the right, mm; 0 or more.
        pitch: Distance between the two wheels, mm; 0 or more.
        load: Force on each wheel, N; 0 or more.
        stiffness: Bending stiffness E I, N mm2; more than 0.

    Returns:
        The greatest downward deflection anywhere on the bar over the whole travel, mm.

    Raises:
        ValueError: A value is outside what is said above, or a wheel would leave the bar.

    Source:
        Elementary beam theory: force method for the two holds, superposition for the loads.

    Example:
        >>> round(bar_sag(1500.0, 300.0, 600.0, 100.0, 800.0, 500.0, 250.0, 3.0e9), 3)
        0.832
    """
    holds = Holds.of(span, hold_a, hold_b)
    _need_pair(span, first, travel, pitch, load, stiffness)

    def sag(left: float) -> tuple[float]:
        return (deepest(span, holds.add(_pair(left, pitch, load))),)

    return _worst(sag, first, travel) / stiffness


def bar_sag_walls(
    span: float, first: float, travel: float, pitch: float, load: float, stiffness: float
) -> float:
    """Return how far a bar that only the walls hold sags at worst.

    Args, Returns and Raises are those of `bar_sag`, less the holds.

    Source:
        Elementary beam theory, superposition of single loads.

    Example:
        >>> round(bar_sag_walls(1500.0, 100.0, 800.0, 500.0, 250.0, 3.0e9), 3)
        9.983
    """
    _need_pair(span, first, travel, pitch, load, stiffness)

    def sag(left: float) -> tuple[float]:
        return (deepest(span, _pair(left, pitch, load)),)

    return _worst(sag, first, travel) / stiffness


def bar_moment(
    span: float,
    hold_a: float,
    hold_b: float,
    first: float,
    travel: float,
    pitch: float,
    load: float,
) -> float:
    """Return the greatest bending moment in a bar that the panel holds.

    Args and Raises are those of `bar_sag`, less the stiffness: it has no part in the moment.

    Returns:
        The greatest moment of either sign anywhere on the bar over the whole travel, N mm.

    Source:
        As `bar_sag`; the moment is greatest under a wheel or at a hold.

    Example:
        >>> round(bar_moment(1500.0, 300.0, 600.0, 100.0, 800.0, 500.0, 250.0))
        45171
    """
    holds = Holds.of(span, hold_a, hold_b)
    _need_pair(span, first, travel, pitch, load, 1.0)

    def moment(left: float) -> tuple[float, ...]:
        return moments(span, holds.add(_pair(left, pitch, load)))

    # Under a wheel that passes a hold the moment has an edge, and a hill on either side of it.
    passing = [hold - wheel for hold in (hold_a, hold_b) for wheel in (0.0, pitch)]
    return _worst(moment, first, travel, passing)


def bar_moment_walls(span: float, first: float, travel: float, pitch: float, load: float) -> float:
    """Return the greatest bending moment in a bar that only the walls hold.

    Args, Returns and Raises are those of `bar_moment`, less the holds.

    Source:
        Elementary statics; the moment is greatest under a wheel.

    Example:
        >>> round(bar_moment_walls(1500.0, 100.0, 800.0, 500.0, 250.0))
        130208
    """
    _need_pair(span, first, travel, pitch, load, 1.0)

    def moment(left: float) -> tuple[float, ...]:
        return moments(span, _pair(left, pitch, load))

    return _worst(moment, first, travel)


def bar_slope(
    span: float,
    hold_a: float,
    hold_b: float,
    first: float,
    travel: float,
    pitch: float,
    load: float,
    stiffness: float,
) -> float:
    """Return the slope down which a parked door creeps, on a bar that the panel holds.

    The door rolls as one body on two wheels with one load: what moves it is the mean of the signed
    slopes under them. It is parked at either end of its travel.

    Args and Raises are those of `bar_sag`.

    Returns:
        The greater of the two means, either way, rad.

    Source:
        As `bar_sag`; exact.

    Example:
        >>> round(bar_slope(1500.0, 300.0, 600.0, 100.0, 800.0, 500.0, 250.0, 3.0e9), 6)
        0.000561
    """
    holds = Holds.of(span, hold_a, hold_b)
    _need_pair(span, first, travel, pitch, load, stiffness)

    def slope(wheels: tuple[Load, ...]) -> float:
        return _mean_slope(span, wheels, holds.add(wheels))

    return _parked(slope, first, travel, pitch, load) / stiffness


def bar_slope_walls(
    span: float, first: float, travel: float, pitch: float, load: float, stiffness: float
) -> float:
    """Return the slope down which a parked door creeps, on a bar that only the walls hold.

    Args, Returns and Raises are those of `bar_slope`, less the holds.

    Source:
        Elementary beam theory; exact.

    Example:
        >>> round(bar_slope_walls(1500.0, 100.0, 800.0, 500.0, 250.0, 3.0e9), 6)
        0.009148
    """
    _need_pair(span, first, travel, pitch, load, stiffness)

    def slope(wheels: tuple[Load, ...]) -> float:
        return _mean_slope(span, wheels, wheels)

    return _parked(slope, first, travel, pitch, load) / stiffness


def bar_reaction(
    span: float,
    hold_a: float,
    hold_b: float,
    first: float,
    travel: float,
    pitch: float,
    load: float,
) -> float:
    """Return the greatest push of the bar down on one of the panel's fittings.

    Args and Raises are those of `bar_moment`.

    Returns:
        The greater push of the two holds at worst over the whole travel, N; it can be a little
        more than both wheels together. Never less than 0: pulls upward are left out.

    Source:
        As `bar_sag`.

    Example:
        >>> round(bar_reaction(1500.0, 300.0, 600.0, 100.0, 800.0, 500.0, 250.0), 1)
        532.0
    """
    holds = Holds.of(span, hold_a, hold_b)
    _need_pair(span, first, travel, pitch, load, 1.0)

    def push(left: float) -> tuple[float, ...]:
        return tuple(max(0.0, force) for force in holds.forces(_pair(left, pitch, load)))

    return _worst(push, first, travel)


def _need_pair(
    span: float, first: float, travel: float, pitch: float, load: float, stiffness: float
) -> None:
    need_bar(span, stiffness)
    for name, value in (("travel", travel), ("wheel pitch", pitch), ("load on a wheel", load)):
        if not 0.0 <= value < math.inf:
            raise ValueError(f"The {name} is {value:g}; it must be 0 or more.")
    need_bar(span, stiffness, first, first + travel + pitch)


def _pair(left: float, pitch: float, load: float) -> tuple[Load, ...]:
    return ((left, load), (left + pitch, load))


def _mean_slope(span: float, wheels: tuple[Load, ...], loads: tuple[Load, ...]) -> float:
    return abs(sum(slope_at(span, loads, place) for place, _ in wheels)) / len(wheels)


def _parked(
    measure: Callable[[tuple[Load, ...]], float],
    first: float,
    travel: float,
    pitch: float,
    load: float,
) -> float:
    """Return the greater measure of the door parked at either end of its travel."""
    return max(measure(_pair(left, pitch, load)) for left in (first, first + travel))


def _worst(measures: Measures, first: float, travel: float, passing: Iterable[float] = ()) -> float:
    """Return the greatest of some measures over all places of the left wheel.

    Args:
        measures: What is measured with the left wheel at a place.
        first: The left wheel with the door parked at the left, mm.
        travel: How far the door travels to the right, mm.
        passing: Places of the left wheel at which a measure may have an edge, mm.
    """
    if travel == 0.0:
        return max(measures(first))
    steps = [first + travel * i / _STEPS for i in range(_STEPS + 1)]
    edges = [place for place in passing if first < place < first + travel]
    return greatest(measures, sorted({*steps, *edges}))
