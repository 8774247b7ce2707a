"""How a value is written for a person to read."""

import datetime as dt
import math
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

from .kinds import Kind
from .units import UNITS, Unit

_SMALLEST_FRACTION = Fraction(1, 64)  # in; finer than a rule reads is written in decimals
_INCH_DECIMALS = tuple(Fraction(1, 10**places) for places in (3, 4, 6, 8))
_MM_DECIMALS = tuple(Fraction(1, 10**places) for places in range(8))
_MOST_PLACES = 12
_AS_GIVEN = 4  # steps finer that a written value may take: 1/32 in, 1/64 in, thousandths
_AS_SMALL = 5  # steps finer that tell a small value from none
_SECONDS_A_DAY = 86400
_HALF = Fraction(1, 2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Style:
    """What output looks like.

    Attributes:
        units: "in" for inches, pounds and psi; "mm" for metric units.
        grid: What lengths are rounded to, in inches or mm as `units` says; more than 0.

    Raises:
        ValueError: The units are neither, or the grid cannot be written in them.
    """

    units: str = "in"
    grid: Fraction = Fraction(1, 16)

    def __post_init__(self) -> None:
        """Refuse a style that cannot be written."""
        if self.units not in ("in", "mm"):
            msg = f"Units are {self.units}; only in and mm are shown."
            raise ValueError(msg)
        if self.grid <= 0:
            msg = f"The grid is {self.grid} {self.units}; it must be more than 0."
            raise ValueError(msg)
        if self.units == "mm" and 10**_MOST_PLACES % self.grid.denominator:
            msg = f"The grid is {self.grid} mm, which has no decimal form; choose one such as 1/2."
            raise ValueError(msg)


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """A value in words.

    Attributes:
        text: What to print.
        rounded: Whether the text, read back, differs from the value by more than the kind's hair.
    """

    text: str
    rounded: bool


_OTHER: Mapping[str, Style] = MappingProxyType(
    {"in": Style(units="mm", grid=Fraction(1)), "mm": Style(units="in", grid=_SMALLEST_FRACTION)}
)
# kind: (unit, decimal places) in the inch style, then in the metric style. This project's choice:
# about as fine as the kind's proof step.
_UNIT_OF: Mapping[str, tuple[tuple[str, int], tuple[str, int]]] = MappingProxyType(
    {
        "area": (("sq in", 0), ("m2", 3)),
        "volume": (("in3", 1), ("mm3", 0)),
        "section modulus": (("in3", 4), ("mm3", 0)),
        "inertia": (("in4", 4), ("mm4", 0)),
        "mass": (("lb", 1), ("kg", 1)),
        "areal mass": (("lb/ft2", 2), ("kg/m2", 1)),
        "density": (("lb/ft3", 1), ("kg/m3", 0)),
        "force": (("lbf", 1), ("N", 0)),
        "line load": (("lbf/ft", 1), ("N/m", 0)),
        "stress": (("psi", 0), ("MPa", 1)),
        "moment": (("lbf ft", 1), ("N m", 1)),
        "stiffness": (("lbf in2", 0), ("N mm2", 0)),
        "load per mass": (("N/kg", 3), ("N/kg", 3)),
        "angle": (("deg", 1), ("deg", 1)),
        "slope": (("%", 1), ("%", 1)),
    }
)
_PLACES_OF_PLAIN: Mapping[str, int] = MappingProxyType({"number": 3, "count": 0, "word": 0})
_KEEP_THEIR_UNIT = ("slope", "duration")
_NO_NUMBER: Mapping[float, str] = MappingProxyType(
    {math.inf: "infinite", -math.inf: "minus infinite"}
)
_ONE = Unit(symbol="", kind="number", factor=Fraction(1))


def show(value: float, kind: Kind, style: Style, *, finer: int = 0) -> Shown:
    """Return a value as text with its unit.

    Halves round away from zero; a value within the kind's hair of a half counts as one.

    Args:
        value: The value, in internal units (mm, kg, N, MPa, rad, s).
        kind: What the value is.
        style: Units, and the grid that lengths are rounded to.
        finer: How many steps finer than usual. Lengths in inches: half the grid at each step down
            to 1/64 in, then 3, 4, 6 and 8 decimals; in mm and all else: a decimal more each step.

    Example:
        >>> from .kinds import KINDS
        >>> show(1517.65, KINDS["length"], Style())
        Shown(text='59 3/4 in', rounded=False)
        >>> show(1517.65, KINDS["length"], Style(units="mm", grid=Fraction(1)))
        Shown(text='1518 mm', rounded=True)
    """
    return _show(value, kind, style, finer=finer, bare=False)


def show_some(value: float, kind: Kind, style: Style, *, finer: int = 0) -> Shown:
    """Return a value as text, just so much finer that what is something never prints as nothing.

    Args:
        value: The value, in internal units.
        kind: What the value is.
        style: Units, and the grid that lengths are rounded to.
        finer: How many steps finer than usual at least.

    Example:
        >>> from .kinds import KINDS
        >>> show_some(0.0044 * 25.4**3, KINDS["volume"], Style()).text
        '0.004 in3'
        >>> show_some(25.4 / 100, KINDS["length"], Style()).text
        '1/64 in'
        >>> show_some(0.0, KINDS["length"], Style()).text
        '0 in'
    """
    shown = show(value, kind, style, finer=finer)
    for more in range(1, _AS_SMALL):
        if not shown.rounded or shown.text.removeprefix("-").partition(" ")[0] != "0":
            break
        shown = show(value, kind, style, finer=finer + more)
    return shown


def show_as_given(value: float, kind: Kind, style: Style) -> Shown:
    """Return a value that a person wrote, printed as finely as it takes to be right.

    Args:
        value: The value, in internal units.
        kind: What the value is.
        style: Units, and the grid that lengths are rounded to.

    Example:
        >>> from .kinds import KINDS
        >>> show_as_given(25.4 / 32, KINDS["length"], Style()).text
        '1/32 in'
        >>> show_as_given(10.0, KINDS["length"], Style())
        Shown(text='0.394 in', rounded=True)
    """
    usual = shown = show(value, kind, style)
    for finer in range(1, _AS_GIVEN):
        if not shown.rounded:
            return shown
        shown = show(value, kind, style, finer=finer)
    return shown if kind.name == "length" or not shown.rounded else usual


def said_as_given(value: float, kind: Kind, style: Style) -> str:
    """Return a value that a person wrote as a sentence says it: "about" where it is not exact.

    A length that only the other units write in whole steps is said in those, the shop's beside it:
    a limit of 600 mm is known by that number, and 23.622 in stands in no document.

    Args:
        value: The value, in internal units.
        kind: What the value is.
        style: Units, and the grid that lengths are rounded to.

    Example:
        >>> from .kinds import KINDS
        >>> said_as_given(600.0, KINDS["length"], Style())
        '600 mm (about 23 5/8 in)'
        >>> said_as_given(25.4 / 3, KINDS["length"], Style())
        'about 0.333 in'
    """
    shown = show_as_given(value, kind, style)
    if shown.rounded and kind.name == "length":
        other = show(value, kind, _OTHER[style.units])
        if not other.rounded:
            return f"{other.text} (about {show(value, kind, style).text})"
    return f"about {shown.text}" if shown.rounded else shown.text


def show_bare(value: float, kind: Kind, style: Style, *, finer: int = 0) -> Shown:
    """Return a value as text without its unit, for the terms of a sum.

    Slopes and durations keep theirs: 2 % without it is another number, and a duration is shown in
    minutes, hours or days as its size asks.

    Args:
        value: The value, in internal units (mm, kg, N, MPa, rad, s).
        kind: What the value is.
        style: Units, and the grid that lengths are rounded to.
        finer: How many steps finer than usual, as in `show`.

    Example:
        >>> from .kinds import KINDS
        >>> show_bare(6.35, KINDS["length"], Style()).text
        '1/4'
    """
    return _show(value, kind, style, finer=finer, bare=True)


def _show(value: float, kind: Kind, style: Style, *, finer: int, bare: bool) -> Shown:
    """Return a value as text, by the form that its kind takes."""
    if not math.isfinite(value):
        return Shown(text=_NO_NUMBER.get(value, "not known"), rounded=False)
    if kind.name == "yes/no":
        return Shown(text="yes" if value else "no", rounded=False)
    if kind.name == "date":
        return _date(value, kind)
    if kind.name == "length":
        step = _step(style, max(finer, 0))
        in_decimals = style.units == "mm" or step in _INCH_DECIMALS
        size = _on_grid(value, kind, UNITS[style.units], step)
        text = _decimals(size) if in_decimals else _mixed(size)
        return _shown(text, size, UNITS[style.units], value=value, kind=kind, bare=bare)
    unit, places = _unit_and_places(value, kind, style)
    step = Fraction(1, 10 ** min(places + max(finer, 0), _MOST_PLACES))
    size = _on_grid(value, kind, unit, step)
    kept = kind.name in _KEEP_THEIR_UNIT
    return _shown(_decimals(size), size, unit, value=value, kind=kind, bare=bare and not kept)


def _step(style: Style, finer: int) -> Fraction:
    """Return what a length is rounded to, in the style's unit."""
    ladder = [style.grid]
    if style.units == "in":
        while ladder[-1] / 2 >= _SMALLEST_FRACTION:
            ladder.append(ladder[-1] / 2)
    decimals = _INCH_DECIMALS if style.units == "in" else _MM_DECIMALS
    ladder.extend(step for step in decimals if step < ladder[-1])
    return ladder[min(finer, len(ladder) - 1)]


def _unit_and_places(value: float, kind: Kind, style: Style) -> tuple[Unit, int]:
    """Return the unit that a value is shown in, and how many decimals it usually has."""
    if kind.name in _PLACES_OF_PLAIN:
        return _ONE, _PLACES_OF_PLAIN[kind.name]
    if kind.name == "duration":
        return _unit_of_duration(value), 1
    symbol, places = _UNIT_OF[kind.name][style.units == "mm"]
    return UNITS[symbol], places


def _unit_of_duration(value: float) -> Unit:
    """Return minutes below an hour, days from two days on, and hours between.

    Args:
        value: The duration, s.
    """
    if abs(value) >= 2 * _SECONDS_A_DAY:
        return UNITS["days"]
    return UNITS["min"] if 0 < abs(value) < UNITS["h"].factor else UNITS["h"]


def _on_grid(value: float, kind: Kind, unit: Unit, step: Fraction) -> Fraction:
    """Return a value in a unit, rounded to a whole number of steps.

    Args:
        value: The value, internal units.
        kind: What it is, for the hair.
        unit: The unit to return it in.
        step: The step, in that unit.
    """
    # Floats of halves fall a little to either side; the hair puts them all on the same one.
    nudge = min(Fraction(kind.hair or 0) / unit.factor, step / 1000)
    size = (abs(Fraction(value)) / unit.factor + nudge) / step
    steps = math.floor(size + _HALF)
    return steps * step if value >= 0 else -steps * step


def _shown(  # noqa: PLR0913  (what is said, and what was to be said)
    text: str, size: Fraction, unit: Unit, *, value: float, kind: Kind, bare: bool
) -> Shown:
    """Return a text with its unit, and whether it differs from the value.

    Args:
        text: The number.
        size: What the text says, in the unit.
        unit: The unit.
        value: What it was to say, internal units.
        kind: What it is, for the hair.
        bare: Whether to leave the unit out.
    """
    hair = 1e-9 * abs(value) if kind.hair is None else kind.hair
    rounded = abs(float(size * unit.factor) - value) > hair
    return Shown(text=text if bare else f"{text} {unit.symbol}".rstrip(), rounded=rounded)


def _mixed(size: Fraction) -> str:
    """Return a number as a whole and a fraction in lowest terms.

    Example:
        >>> _mixed(Fraction(-239, 4)), _mixed(Fraction(1, 8)), _mixed(Fraction(0))
        ('-59 3/4', '1/8', '0')
    """
    whole, part = divmod(abs(size), 1)
    words = [str(whole)] if whole or not part else []
    if part:
        words.append(str(part))
    return ("-" if size < 0 else "") + " ".join(words)


def _decimals(size: Fraction) -> str:
    """Return a number that has a decimal form in it, without zeros at the end.

    Example:
        >>> _decimals(Fraction(-3, 2)), _decimals(Fraction(100)), _decimals(Fraction(0))
        ('-1.5', '100', '0')
    """
    whole, part = divmod(abs(size), 1)
    figures = f"{int(part * 10**_MOST_PLACES):0{_MOST_PLACES}d}".rstrip("0")
    return ("-" if size < 0 else "") + str(whole) + (f".{figures}" if figures else "")


def _date(value: float, kind: Kind) -> Shown:
    """Return a date as year-month-day.

    Args:
        value: Seconds since 1970-01-01.
        kind: The kind, for the hair.
    """
    days = math.floor((value + (kind.hair or 0.0)) / _SECONDS_A_DAY)
    ordinal = dt.date(1970, 1, 1).toordinal() + days
    if not 1 <= ordinal <= dt.date.max.toordinal():
        return Shown(text=f"1970-01-01 and {days} days", rounded=False)
    text = dt.date.fromordinal(ordinal).isoformat()
    return _shown(text, Fraction(days), UNITS["days"], value=value, kind=kind, bare=True)
