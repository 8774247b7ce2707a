"""Which units there are, how they are spelled, and what is said when one does not fit."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

from .kinds import KINDS, PLAIN, Kind
from .numeral import QuantityError


@dataclass(frozen=True, slots=True, kw_only=True)
class Unit:
    """A unit of measure.

    Attributes:
        symbol: How the unit is written in output.
        kind: Name of the kind it measures.
        factor: Internal units (mm, kg, N, MPa, rad, s) in one of it, exactly.
    """

    symbol: str
    kind: str
    factor: Fraction


# Exact by definition: NIST SP 811 (2008), appendix B.8: inch, foot, pound, pound-force, ounce
# (section from memory; tests/test_units.py compares every unit with pint).
_INCH = Fraction("25.4")
_FOOT = 12 * _INCH
_POUND = Fraction("0.45359237")
_POUND_FORCE = Fraction("4.4482216152605")
# pi to 40 places (memory; tests/test_units.py compares it with math.pi), far past any float
_PI = Fraction("3.1415926535897932384626433832795028841971")

# kind: (symbol and other spellings, internal units in one of it)
_TABLE: tuple[tuple[str, str, Fraction | int], ...] = (
    ("length", "in, inch, inches", _INCH),
    ("length", "ft, foot, feet", _FOOT),
    ("length", "mm, millimetre, millimetres, millimeter, millimeters", 1),
    ("length", "cm, centimetre, centimetres, centimeter, centimeters", 10),
    ("length", "m, metre, metres, meter, meters", 1000),
    ("area", "sq in, in2, square inch, square inches", _INCH**2),
    ("area", "sq ft, ft2, square foot, square feet", _FOOT**2),
    ("area", "mm2, sq mm", 1),
    ("area", "cm2, sq cm", 100),
    ("area", "m2, sq m", 10**6),
    ("volume", "in3, cu in", _INCH**3),
    ("volume", "ft3, cu ft", _FOOT**3),
    ("volume", "mm3", 1),
    ("volume", "cm3", 1000),
    ("volume", "m3", 10**9),
    ("inertia", "in4", _INCH**4),
    ("inertia", "mm4", 1),
    ("inertia", "cm4", 10**4),
    ("mass", "lb, lbs, lbm, pound, pounds", _POUND),
    ("mass", "oz, ounce, ounces", _POUND / 16),
    ("mass", "kg, kilogram, kilograms", 1),
    ("mass", "g, gram, grams", Fraction(1, 1000)),
    ("areal mass", "lb/ft2, lb/sq ft", _POUND / _FOOT**2),
    ("areal mass", "kg/m2", Fraction(1, 10**6)),
    ("density", "lb/ft3, lb/cu ft", _POUND / _FOOT**3),
    ("density", "kg/m3", Fraction(1, 10**9)),
    ("force", "lbf", _POUND_FORCE),
    ("force", "N", 1),
    ("force", "kN", 1000),
    ("line load", "lbf/ft", _POUND_FORCE / _FOOT),
    ("line load", "lbf/in", _POUND_FORCE / _INCH),
    ("line load", "N/m", Fraction(1, 1000)),
    ("line load", "N/mm", 1),
    ("line load", "kN/m", 1),
    ("stress", "psi, lbf/in2, lbf/sq in", _POUND_FORCE / _INCH**2),
    ("stress", "ksi", 1000 * _POUND_FORCE / _INCH**2),
    ("stress", "psf, lbf/ft2, lbf/sq ft", _POUND_FORCE / _FOOT**2),
    ("stress", "MPa, N/mm2", 1),
    ("stress", "GPa", 1000),
    ("stress", "kPa, kN/m2", Fraction(1, 1000)),
    ("stress", "Pa, N/m2", Fraction(1, 10**6)),
    ("moment", "lbf ft, ft lbf", _POUND_FORCE * _FOOT),
    ("moment", "lbf in, in lbf", _POUND_FORCE * _INCH),
    ("moment", "N mm, Nmm", 1),
    ("moment", "N m, Nm", 1000),
    ("moment", "kN m, kNm", 10**6),
    ("stiffness", "lbf in2", _POUND_FORCE * _INCH**2),
    ("stiffness", "N mm2", 1),
    ("stiffness", "N m2", 10**6),
    ("load per mass", "N/kg", 1),
    ("load per mass", "lbf/lb", _POUND_FORCE / _POUND),
    ("angle", "deg, degree, degrees", _PI / 180),
    ("angle", "rad, radian, radians", 1),
    ("duration", "s, second, seconds", 1),
    ("duration", "min, minute, minutes", 60),
    ("duration", "h, hr, hour, hours", 3600),
    ("duration", "days, day, d", 86400),
    ("duration", "weeks, week", 604800),
    ("number", "%, percent", Fraction(1, 100)),
    ("slope", "in/ft", Fraction(1, 12)),
    ("slope", "mm/m", Fraction(1, 1000)),
)

UNITS: Mapping[str, Unit] = MappingProxyType(
    {
        spelling: Unit(symbol=spellings.split(", ")[0], kind=kind, factor=Fraction(factor))
        for kind, spellings, factor in _TABLE
        for spelling in spellings.split(", ")
    }
)
"""Every unit by each of its spellings."""

_WANTED: Mapping[str, tuple[str, str]] = MappingProxyType(
    {
        "length": ("a length", "59 3/4 in or 1518 mm"),
        "area": ("an area", "1300 sq in or 0.84 m2"),
        "volume": ("a volume", "12 in3 or 200 cm3"),
        "section modulus": ("a section modulus", "0.21 in3 or 3400 mm3"),
        "inertia": ("a second moment of area", "0.12 in4 or 50000 mm4"),
        "mass": ("a mass", "100 lb or 45.4 kg"),
        "areal mass": ("a mass per area", "5.12 lb/ft2 or 25 kg/m2"),
        "density": ("a density", "157 lb/ft3 or 2500 kg/m3"),
        "force": ("a force", "50 lbf or 222 N"),
        "line load": ("a line load", "50 lbf/ft or 730 N/m"),
        "stress": ("a stress or pressure", "3000 psi, 5 psf or 20.7 MPa"),
        "moment": ("a moment", "400 lbf ft or 542 N m"),
        "stiffness": ("a bending stiffness", "1.2e9 N mm2"),
        "load per mass": ("a load per mass", "9.80665 N/kg"),
        "angle": ("an angle", "45 deg or 0.785 rad"),
        "slope": ("a slope", "1/4 in per ft, 2 %, 1:48 or 20.8 mm/m"),
        "duration": ("a duration", "24 h or 3 days"),
        "date": ("a date", "2026-11-25"),
        "number": ("a plain number", "1.5, 3/4 or 50 %"),
        "count": ("a count", "2"),
        "word": ("a word", "floor"),
        "yes/no": ("a yes or a no", "yes"),
    }
)

_JOINED = re.compile(r"(?<=[A-Za-z]) ?[-*.] ?(?=[A-Za-z])")
_PLAIN_UNITS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {"number": ("number",), "slope": ("number", "slope")}
)


def wanted(kind: Kind) -> str:
    """Return what a value of the kind looks like, as the second half of a sentence.

    Example:
        >>> wanted(KINDS["length"])
        'a length is needed, such as 59 3/4 in or 1518 mm'
    """
    name, examples = _WANTED[kind.name]
    return f"{name} is needed, such as {examples}"


def examples(kind: Kind) -> tuple[str, ...]:
    """Return what values of the kind may look like.

    Example:
        >>> examples(KINDS["length"])
        ('59 3/4 in', '1518 mm')
    """
    return tuple(re.split(r", | or ", _WANTED[kind.name][1]))


def unit_for(written: str, text: str, kind: Kind) -> Unit:
    """Return the unit of the kind that is spelled so.

    Args:
        written: The unit as it was written, in plain ASCII.
        text: The whole value, for the sentence.
        kind: What the unit has to measure.

    Raises:
        QuantityError: There is no such unit, or it measures something else.

    Example:
        >>> unit_for("N per mm^2", "", KINDS["stress"]).symbol
        'MPa'
    """
    spelling = written if written in UNITS else _plain_spelling(written)
    unit = UNITS.get(spelling)
    if unit is None:
        raise QuantityError(_unknown(written, spelling, kind))
    if not _fits(unit, kind):
        msg = f"{text} is {_WANTED[unit.kind][0]}; {wanted(kind)}."
        raise QuantityError(msg)
    return unit


def _plain_spelling(written: str) -> str:
    """Return a unit's spelling with one way to write powers, products and quotients."""
    spelled = written.replace('"', "in").replace("'", "ft").replace("^", "").replace(" per ", "/")
    spelled = _JOINED.sub(" ", spelled.removesuffix("."))
    return "/".join(" ".join(side.split()) for side in spelled.split("/"))


def _fits(unit: Unit, kind: Kind) -> bool:
    """Return whether values of the kind may be written in the unit."""
    if kind.dims == PLAIN:
        return unit.kind in _PLAIN_UNITS.get(kind.name, ())
    return KINDS[unit.kind].dims == kind.dims


def _unknown(written: str, spelling: str, kind: Kind) -> str:
    """Return the sentence for a unit that is not known, with the nearest one that is."""
    import difflib  # noqa: PLC0415  (of use only to say what is wrong)

    fitting = [name for name, unit in UNITS.items() if _fits(unit, kind)]
    near = difflib.get_close_matches(spelling, fitting, n=1, cutoff=0.6)
    near = near or [name for name in fitting if name.lower() == spelling.lower()][:1]
    hint = f", the nearest known unit is {near[0]}" if near else ""
    return f"{written} is not a known unit{hint}; {wanted(kind)}."
