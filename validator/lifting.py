"""How much one person may lift by the revised NIOSH lifting equation.

The manual gives its constants twice, for pounds and inches and for kilograms and centimetres, and
the two are not exact conversions of each other; so there are two sets here and no mixing.

The equation is for one person lifting with both hands. A pane carried by two in a bathroom is
outside it: there the result is an indicator, never a verdict.

Source: Waters, Putz-Anderson, Garg: Applications Manual for the Revised NIOSH Lifting Equation,
DHHS (NIOSH) 94-110, revised September 2021, sections 1.1 to 1.4 and Tables 5 to 7.
"""

import math
from bisect import bisect_left
from dataclasses import dataclass

_HOUR = 3600.0  # s
_LONGEST = 8.0  # h; Table 5 ends there
_TWIST_FALL = 0.0032 * 180.0 / math.pi  # per rad; section 1.3.4 gives 0.0032 per degree
_MOST_TWIST = math.radians(135.0)
_LEAST_RATE = 0.2  # lifts a minute; rarer lifts count as this, section 1.3.5
_HAIR = 1e-9  # of the limit: a sum of lengths that meets a limit has met it

GOOD, FAIR, POOR = 1.0, 2.0, 3.0
"""Grades of the grip, Table 6: handles that fit the hand, less than that, none worth the name."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Constants:
    """The manual's constants in one system of units, sections 1.3 to 1.3.3."""

    load: float
    near: float
    far: float
    knuckle: float
    height_fall: float
    high: float
    rise: float
    most_rise: float


_MILLIMETRES = _Constants(
    load=23.0,
    near=250.0,
    far=630.0,
    knuckle=750.0,
    height_fall=0.0003,
    high=1750.0,
    rise=45.0,
    most_rise=1750.0,
)
_INCHES = _Constants(
    load=51.0,
    near=10.0,
    far=25.0,
    knuckle=30.0,
    height_fall=0.0075,
    high=70.0,
    rise=1.8,
    most_rise=70.0,
)

# Table 5. The rows for 7, 9, 11, 13 and 14 lifts a minute are from memory (standing: memory).
_RATES = (0.2, 0.5, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0, 10.0, 11.0, 12.0, 13.0, 14.0, 15.0)
_TO_8 = {
    1.0: (1.00, 0.97, 0.94, 0.91, 0.88, 0.84, 0.80, 0.75, 0.70, 0.60),
    2.0: (0.95, 0.92, 0.88, 0.84, 0.79, 0.72, 0.60, 0.50, 0.42, 0.35),
    8.0: (0.85, 0.81, 0.75, 0.65, 0.55, 0.45, 0.35, 0.27, 0.22, 0.18),
}
_FROM_9_LOW = {
    1.0: (0.52, 0.45, 0.41, 0.37, 0.0, 0.0, 0.0),
    2.0: (0.30, 0.26, 0.0, 0.0, 0.0, 0.0, 0.0),
    8.0: (0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 0.0),
}
_FROM_9_HIGH = {
    1.0: (0.52, 0.45, 0.41, 0.37, 0.34, 0.31, 0.28),
    2.0: (0.30, 0.26, 0.23, 0.21, 0.0, 0.0, 0.0),
    8.0: (0.15, 0.13, 0.0, 0.0, 0.0, 0.0, 0.0),
}


def recommended_load(
    reach: float,
    height: float,
    rise: float,
    twist: float,
    rate: float,
    coupling: float,
    duration: float = _HOUR,
) -> float:
    """Return the load that nearly all healthy workers could lift under these conditions.

    Where the load is placed with care, as glass is, ask for both ends of the lift and take the
    lower answer (section 2.1.1).

    Args:
        reach: Hands in front of the ankles, mm; 0 or more, nearer than 250 counts as 250.
        height: Hands above the floor, mm; 0 or more.
        rise: Distance the hands travel up or down, mm; 0 or more, less than 250 counts as 250.
        twist: Turn of the load to the side, rad; 0 or more.
        rate: Lifts a minute, a plain number; 0 or more, rarer than 0.2 counts as 0.2.
        coupling: Grip: 1 good, 2 fair, 3 poor.
        duration: Work at this rate in one go, s; more than 0, at most 8 hours.

    Returns:
        Recommended load, kg; 0 where a value is past what the equation allows.

    Raises:
        ValueError: A value is outside what is said above.

    Source:
        DHHS (NIOSH) 94-110 (2021), section 1.3, metric constants.

    Example:
        >>> round(recommended_load(250.0, 750.0, 250.0, 0.0, 0.2, 1.0), 3)
        23.0
        >>> round(recommended_load(400.0, 300.0, 300.0, 0.0, 0.2, 3.0), 2)
        10.86
    """
    return _load(_MILLIMETRES, reach, height, rise, twist, rate, coupling, duration)


def recommended_load_us(
    reach: float,
    height: float,
    rise: float,
    twist: float,
    rate: float,
    coupling: float,
    duration: float = _HOUR,
) -> float:
    """Return the recommended load in pounds, from lengths in inches.

    Args, Returns and Raises are those of `recommended_load`, with in for mm, lb for kg, 10 in for
    250 mm; the twist stays in rad and the duration in s.

    Source:
        DHHS (NIOSH) 94-110 (2021), section 1.3, US constants.

    Example:
        >>> round(recommended_load_us(20.0, 59.0, 37.0, 0.0, 2.0, 2.0), 2)
        15.77
    """
    return _load(_INCHES, reach, height, rise, twist, rate, coupling, duration)


def _load(
    units: _Constants,
    reach: float,
    height: float,
    rise: float,
    twist: float,
    rate: float,
    coupling: float,
    duration: float,
) -> float:
    low = _past(units.knuckle, height)
    return (
        units.load
        * _reach_share(units, _need("reach", reach))
        * _height_share(units, _need("height of the hands", height))
        * _rise_share(units, _need("rise", rise))
        * _twist_share(_need("twist", twist))
        * _rate_share(_need("rate", rate), duration, low=low)
        * _grip_share(coupling, low=low)
    )


def _need(name: str, value: float) -> float:
    if not 0.0 <= value < math.inf:
        raise ValueError(f"The {name} is {value:g}; it must be 0 or more.")
    return value


def _past(value: float, limit: float) -> bool:
    return value > limit * (1.0 + _HAIR)


def _reach_share(units: _Constants, reach: float) -> float:
    return units.near / max(reach, units.near) if not _past(reach, units.far) else 0.0


def _height_share(units: _Constants, height: float) -> float:
    if _past(height, units.high):
        return 0.0
    return 1.0 - units.height_fall * abs(height - units.knuckle)


def _rise_share(units: _Constants, rise: float) -> float:
    if _past(rise, units.most_rise):
        return 0.0
    return 0.82 + units.rise / max(rise, units.near)


def _twist_share(twist: float) -> float:
    return 1.0 - _TWIST_FALL * twist if not _past(twist, _MOST_TWIST) else 0.0


def _rate_share(rate: float, duration: float, *, low: bool) -> float:
    """Return Table 5's factor, between its rows in proportion."""
    hours = duration / _HOUR
    if not hours > 0.0 or _past(hours, _LONGEST):
        raise ValueError(f"The work lasts {hours:g} hours; more than 0 and at most 8 are covered.")
    column = next(limit for limit in _TO_8 if not _past(hours, limit))
    shares = _TO_8[column] + (_FROM_9_LOW if low else _FROM_9_HIGH)[column]
    if rate <= _LEAST_RATE:
        return shares[0]
    if _past(rate, _RATES[-1]):
        return 0.0
    rate = min(rate, _RATES[-1])
    above = bisect_left(_RATES, rate)
    part = (rate - _RATES[above - 1]) / (_RATES[above] - _RATES[above - 1])
    return shares[above - 1] + part * (shares[above] - shares[above - 1])


def _grip_share(coupling: float, *, low: bool) -> float:
    """Return Table 7's factor of the grip, which for a fair one depends on the height."""
    shares = {GOOD: 1.0, FAIR: 0.95 if low else 1.0, POOR: 0.90}
    if coupling not in shares:
        raise ValueError(f"The coupling is {coupling:g}; it must be 1 good, 2 fair or 3 poor.")
    return shares[coupling]
