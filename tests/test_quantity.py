"""Quantities: the many ways to write one, and the float that each comes to."""

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ruleset.kinds import KINDS
from ruleset.quantity import Quantity, QuantityError, read_quantity

LENGTH = KINDS["length"]


def value_of(text: str, kind: str = "length") -> float:
    """Return the value that a text states, in internal units."""
    return read_quantity(text, KINDS[kind]).value


@pytest.mark.parametrize(
    "text",
    [
        "59 3/4 in",
        '59-3/4"',
        '59 3/4"',
        "59.75 in",
        "59.75in.",
        "59¾ in",
        "59 3\N{FRACTION SLASH}4\N{DOUBLE PRIME}",
        "59 3/4''",
        "59 3/4\N{RIGHT DOUBLE QUOTATION MARK}",
        "4' 11 3/4\"",
        "4'-11 3/4\"",
        "4\N{PRIME} 11¾\N{DOUBLE PRIME}",
        "4 ft 11 3/4 in",
        "4 feet 11.75 inches",
        "1517.65 mm",
        "151.765 cm",
        "1.51765 m",
        " +59  3/4\tin\n",
        "59\N{NO-BREAK SPACE}3/4 in",
    ],
)
def test_one_length_in_many_spellings_is_one_float(text: str) -> None:
    assert value_of(text) == 1517.65


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("1/16 in", 1.5875),
        ("-1/8 in", -3.175),
        ("\N{MINUS SIGN}1/8 in", -3.175),
        ("-4' 3\"", -1295.4),
        ("-59 3/4 in", -1517.65),
        (".5 in", 12.7),
        ("5. mm", 5.0),
        ("0", 0.0),
        ("-0 in", 0.0),
    ],
)
def test_length(text: str, mm: float) -> None:
    assert value_of(text) == mm
    assert math.copysign(1.0, value_of(text)) == math.copysign(1.0, mm)


def test_bare_length_takes_the_units_it_is_read_in() -> None:
    assert read_quantity("59-3/4", LENGTH, units="in") == Quantity(value=1517.65)
    assert read_quantity("1518", LENGTH, units="mm") == Quantity(value=1518.0)
    assert read_quantity("1 in", LENGTH, units="mm") == Quantity(value=25.4)


def test_only_lengths_take_the_units() -> None:
    with pytest.raises(QuantityError, match="12 has no unit; a mass is needed"):
        read_quantity("12", KINDS["mass"], units="in")


def test_units_are_inches_or_millimetres() -> None:
    with pytest.raises(QuantityError, match="only in and mm are"):
        read_quantity("1 in", LENGTH, units="cm")


@pytest.mark.parametrize(
    ("text", "tolerance"),
    [
        ("59 3/4 in +- 1/16 in", 1.5875),
        ("59 3/4 in +/- 1/16 in", 1.5875),
        ('59 3/4"±1/16"', 1.5875),
        ("59 3/4 in ± 1.5 mm", 1.5),
        ("59 3/4 in ± 0", 0.0),
        ("59 3/4 in", None),
    ],
)
def test_tolerance(text: str, tolerance: float | None) -> None:
    assert read_quantity(text, LENGTH) == Quantity(value=1517.65, tolerance=tolerance)


def test_tolerance_of_bare_numbers() -> None:
    assert read_quantity("60 +- 1/4", LENGTH, units="in") == Quantity(value=1524.0, tolerance=6.35)
    assert read_quantity("0.5 +- 5 %", KINDS["number"]) == Quantity(value=0.5, tolerance=0.05)


@pytest.mark.parametrize(
    ("kind", "text", "value"),
    [
        ("slope", "1/4 in per ft", 1 / 48),
        ("slope", '1/4"/ft', 1 / 48),
        ("slope", "1:48", 1 / 48),
        ("slope", "-1 : 48", -1 / 48),
        ("slope", "2 %", 0.02),
        ("slope", "20.8 mm/m", 0.0208),
        ("slope", "0", 0.0),
        ("number", "3/4", 0.75),
        ("number", "50 %", 0.5),
        ("number", "1.25e-3", 0.00125),
        ("count", "3", 3.0),
        ("count", "6/2", 3.0),
        ("angle", "90 deg", math.pi / 2),
        ("angle", "45°", math.pi / 4),
        ("angle", "1 rad", 1.0),
        ("stress", "70000 N/mm2", 70000.0),
        ("stress", "5 N per mm^2", 5.0),
        ("area", "9 sq ft", 1296 * 25.4**2),
        ("area", "1 m²", 1e6),
        ("area", "9 sq. ft.", 1296 * 25.4**2),
        ("moment", "400 ft-lbf", 400 * 1355.8179483314004),
        ("moment", "1 N·m", 1000.0),
        ("moment", "1 N*m", 1000.0),
        ("duration", "3 days", 259200.0),
        ("duration", "1 1/2 h", 5400.0),
        ("date", "1970-01-02", 86400.0),
        ("date", "2000-01-01", 946684800.0),
        ("date", "1969-12-31", -86400.0),
        ("yes/no", "yes", 1.0),
        ("yes/no", "true", 1.0),
        ("yes/no", "no", 0.0),
        ("yes/no", "false", 0.0),
    ],
)
def test_other_kinds(kind: str, text: str, value: float) -> None:
    assert value_of(text, kind) == pytest.approx(value, rel=1e-15)


@given(steps=st.integers(-(10**6), 10**6))
def test_a_length_is_the_same_float_in_either_system(steps: int) -> None:
    inches = Fraction(steps, 128)
    # 25.4 / 128 ends after nine decimals, so that the text in mm is exact.
    nano = round(inches * Fraction("25.4") * 10**9)
    sign, (whole, part) = ("-" if steps < 0 else ""), divmod(abs(nano), 10**9)
    millimetres = f"{sign}{whole}.{part:09d} mm"
    feet, rest = divmod(abs(inches), 12)
    assert value_of(millimetres) == value_of(f"{inches} in")
    assert value_of(millimetres) == value_of(f"{sign}{feet}' {rest}\"")
    assert value_of(millimetres) == float(Fraction(millimetres.removesuffix(" mm")))
