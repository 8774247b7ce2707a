"""What a value written by a person comes to, and how a value is written back."""

import datetime as dt
import re
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from .kinds import PLAIN, Kind
from .numeral import QuantityError, plain_text, read_numeral
from .show import Shown, Style, show, show_as_given, show_bare
from .units import UNITS, unit_for, wanted

__all__ = [
    "NoUnitError",
    "Quantity",
    "QuantityError",
    "Shown",
    "Style",
    "read_quantity",
    "show",
    "show_as_given",
    "show_bare",
]


class NoUnitError(QuantityError):
    """A length without a unit in a file that names none for its lengths."""


_PLUS_MINUS = re.compile(r" ?\+(?: ?/ ?)?- ?")
_FEET_AND_INCHES = re.compile(
    r"(?P<feet>[+-]?[0-9]+) ?(?:ft|foot|feet|')[ -]?"
    r"(?P<inches>[0-9.][-0-9./ ]*)(?:in|inch|inches|\")\.?"
)
_RATIO = re.compile(r"(?P<rise>[+-]?[0-9.]+) ?: ?(?P<run>[0-9.]+)")
_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_YES_NO = {"yes": 1.0, "true": 1.0, "no": 0.0, "false": 0.0}
_INCHES_A_FOOT = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """A value and how far it may be off.

    Attributes:
        value: The value, in internal units (mm, kg, N, MPa, rad, s).
        tolerance: How far the true value may lie to either side, same units; None where not given.
    """

    value: float
    tolerance: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Measure:
    """One number as it was written, in exact internal units."""

    size: Fraction
    bare: bool


def read_quantity(text: str, kind: Kind, *, units: str | None = None) -> Quantity:
    """Return the value that a text states, as the nearest floats.

    Args:
        text: The text, such as `59 3/4 in`, `4' 11 3/4"`, `1518 mm +- 1.5 mm`, `2 %` or `yes`.
        kind: What the value has to be.
        units: The unit of a length that is written without one, "in" or "mm"; None where there is
            no such unit, and only a 0 may go without.

    Returns:
        Value and tolerance, in internal units (mm, kg, N, MPa, rad, s; a date in seconds since
        1970-01-01; yes is 1, no is 0).

    Raises:
        QuantityError: The text is not a value of the kind.

    Example:
        >>> from .kinds import KINDS
        >>> read_quantity("59 3/4 in +- 1/16 in", KINDS["length"])
        Quantity(value=1517.65, tolerance=1.5875)
    """
    return _read(text, kind, units)


@lru_cache(maxsize=4096)  # books repeat a few bounds hundreds of times
def _read(text: str, kind: Kind, units: str | None) -> Quantity:
    need = wanted(kind)
    if units not in (None, "in", "mm"):
        msg = f"{units} is not a unit for lengths written without one; only in and mm are."
        raise QuantityError(msg)
    if kind.name == "word":
        msg = f"{text[:20]!a} is to be a word, and a word is not a quantity; keep it as text."
        raise QuantityError(msg)
    clean = plain_text(text, need)
    if kind.name in ("yes/no", "date"):
        return Quantity(value=_yes_no(clean) if kind.name == "yes/no" else _date(clean, need))
    stated, *margins = _PLUS_MINUS.split(clean)
    if not margins:
        return Quantity(value=float(_measure(stated, kind, units).size))
    if len(margins) > 1 or not stated or not margins[0]:
        msg = f"{clean} is not one value, +- and one tolerance; {need}."
        raise QuantityError(msg)
    value, margin = _measure(stated, kind, units), _measure(margins[0], kind, units)
    _refuse_tolerance(clean, value, margin, kind)
    return Quantity(value=float(value.size), tolerance=float(margin.size))


def _refuse_tolerance(text: str, value: _Measure, margin: _Measure, kind: Kind) -> None:
    """Refuse a tolerance below zero, or one that may not be in the unit that it seems to be in."""
    # "59 3/4 +- 1/16 in" in a file of millimetres would be 59.75 mm with a tolerance in inches.
    if value.bare != margin.bare and (value if value.bare else margin).size and kind.dims != PLAIN:
        msg = f"{text} has a unit on one side of +- only; write it on both."
        raise QuantityError(msg)
    if margin.size < 0:
        msg = f"{text} has a tolerance below zero; write how far off to either side it may be."
        raise QuantityError(msg)


def _measure(text: str, kind: Kind, units: str | None) -> _Measure:
    """Return one number with its unit, exactly, in internal units."""
    need = wanted(kind)
    if kind.name == "length" and (both := _FEET_AND_INCHES.fullmatch(text)):
        return _Measure(size=_feet_and_inches(both, text, need), bare=False)
    if kind.name == "slope" and (ratio := _RATIO.fullmatch(text)):
        return _Measure(size=_ratio(ratio, text, need), bare=False)
    number = read_numeral(text, need)
    if kind.name == "length" and number.scientific:
        msg = f"{text} has a power of ten; write the length out, such as 59 3/4 in or 1518 mm."
        raise QuantityError(msg)
    if number.rest:
        factor = unit_for(number.rest, text, kind).factor
    else:
        factor = _factor_of_bare(text, number.value, kind, units)
    size = number.value * factor
    if kind.name == "count" and size.denominator != 1:
        msg = f"{text} is not whole; {need}."
        raise QuantityError(msg)
    return _Measure(size=size, bare=not number.rest)


def _factor_of_bare(text: str, value: Fraction, kind: Kind, units: str | None) -> Fraction:
    """Return the internal units in one of what a number without a unit counts."""
    if kind.name == "slope" and value:  # 0.25 is 1/4 in per ft to one reader and 25 % to another
        msg = f"{text} has no unit; {wanted(kind)}."
        raise QuantityError(msg)
    if kind.dims == PLAIN:
        return Fraction(1)
    if kind.name == "length" and units is not None:
        return UNITS[units].factor
    if kind.name == "length" and value == 0:
        return Fraction(1)
    says = f"{text} has no unit; {wanted(kind)}."
    raise NoUnitError(says) if kind.name == "length" else QuantityError(says)


def _feet_and_inches(both: re.Match[str], text: str, need: str) -> Fraction:
    """Return feet and inches, mm."""
    inches = read_numeral(both["inches"].strip(), need)
    if inches.rest:
        msg = f"{text} cannot be read as feet and inches; {need}."
        raise QuantityError(msg)
    if inches.value >= _INCHES_A_FOOT:
        msg = f"{text} has 12 in or more after the feet; {need}."
        raise QuantityError(msg)
    feet = abs(int(both["feet"]))
    size = (feet * _INCHES_A_FOOT + inches.value) * UNITS["in"].factor
    return -size if both["feet"].startswith("-") else size


def _ratio(ratio: re.Match[str], text: str, need: str) -> Fraction:
    """Return a slope written as rise : run."""
    rise, run = read_numeral(ratio["rise"], need), read_numeral(ratio["run"], need)
    if run.value == 0:
        msg = f"{text} divides by zero; {need}."
        raise QuantityError(msg)
    return rise.value / run.value


def _yes_no(text: str) -> float:
    """Return 1 for yes and 0 for no."""
    if text not in _YES_NO:
        msg = f"{text} is neither yes nor no; write yes or no."
        raise QuantityError(msg)
    return _YES_NO[text]


def _date(text: str, need: str) -> float:
    """Return a date as seconds since 1970-01-01."""
    if _DATE.fullmatch(text) is None:
        msg = f"{text} is not written as year-month-day; {need}."
        raise QuantityError(msg)
    try:
        day = dt.date.fromisoformat(text)
    except ValueError:
        msg = f"{text} is not a day of the calendar; {need}."
        raise QuantityError(msg) from None
    return (day - dt.date(1970, 1, 1)).total_seconds()
