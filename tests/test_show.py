"""Showing: how values are written, and that what is written reads back."""

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ruleset.kinds import KINDS, Kind
from ruleset.quantity import Shown, Style, read_quantity, show, show_bare
from ruleset.units import UNITS

LENGTH = KINDS["length"]
INCHES = Style()
METRIC = Style(units="mm", grid=Fraction(1))
STYLES = st.sampled_from(
    (INCHES, METRIC, Style(grid=Fraction(1, 32)), Style(units="mm", grid=Fraction(1, 2)))
)
COMPARED = tuple(
    kind for kind in KINDS.values() if kind.hair is not None and kind.name not in ("date", "count")
)


def value_of(text: str, kind: str = "length") -> float:
    """Return the value that a text states, in internal units."""
    return read_quantity(text, KINDS[kind]).value


@pytest.mark.parametrize(
    ("kind", "value", "inches", "metric"),
    [
        ("length", 1517.65, "59 3/4 in", "1518 mm"),
        ("length", -3.175, "-1/8 in", "-3 mm"),
        ("length", 0.0, "0 in", "0 mm"),
        ("length", -0.0, "0 in", "0 mm"),
        ("length", -0.1, "0 in", "0 mm"),
        ("length", 0.79375, "1/16 in", "1 mm"),
        ("length", -0.79375, "-1/16 in", "-1 mm"),
        ("length", 0.5, "0 in", "1 mm"),
        ("length", math.nan, "not known", "not known"),
        ("length", math.inf, "infinite", "infinite"),
        ("length", -math.inf, "minus infinite", "minus infinite"),
        ("area", 580644.0, "900 sq in", "0.581 m2"),
        ("mass", 45.359237, "100 lb", "45.4 kg"),
        ("areal mass", 25e-6, "5.12 lb/ft2", "25 kg/m2"),
        ("density", 2.5e-6, "156.1 lb/ft3", "2500 kg/m3"),
        ("force", 222.4, "50 lbf", "222 N"),
        ("line load", 0.7297, "50 lbf/ft", "730 N/m"),
        ("stress", 20.7, "3002 psi", "20.7 MPa"),
        ("moment", 542327.18, "400 lbf ft", "542.3 N m"),
        ("inertia", 50000.0, "0.1201 in4", "50000 mm4"),
        ("load per mass", 9.80665, "9.807 N/kg", "9.807 N/kg"),
        ("angle", math.pi / 4, "45 deg", "45 deg"),
        ("slope", 1 / 48, "2.1 %", "2.1 %"),
        ("duration", 1800.0, "30 min", "30 min"),
        ("duration", 86400.0, "24 h", "24 h"),
        ("duration", 259200.0, "3 days", "3 days"),
        ("duration", 0.0, "0 h", "0 h"),
        ("date", 1795564800.0, "2026-11-25", "2026-11-25"),
        ("date", 1e300, None, None),
        ("number", 2 / 3, "0.667", "0.667"),
        ("number", 1.5, "1.5", "1.5"),
        ("count", 3.0, "3", "3"),
        ("yes/no", 1.0, "yes", "yes"),
        ("yes/no", 0.0, "no", "no"),
    ],
)
def test_shown(kind: str, value: float, inches: str | None, metric: str | None) -> None:
    texts = (show(value, KINDS[kind], INCHES).text, show(value, KINDS[kind], METRIC).text)
    if inches is None:
        assert all(text.startswith("1970-01-01 and ") for text in texts)
    else:
        assert texts == (inches, metric)


def test_finer_inches() -> None:
    texts = [show(100.0, LENGTH, INCHES, finer=finer).text for finer in range(8)]
    assert texts == [
        "3 15/16 in",
        "3 15/16 in",
        "3 15/16 in",
        "3.937 in",
        "3.937 in",
        "3.937008 in",
        "3.93700787 in",
        "3.93700787 in",
    ]
    assert show(25.4 * 5 / 64, LENGTH, INCHES, finer=2) == Shown(text="5/64 in", rounded=False)
    assert show(25.4 * 5 / 128, LENGTH, INCHES, finer=3) == Shown(text="0.039 in", rounded=True)


def test_finer_millimetres() -> None:
    texts = [show(100 / 3, LENGTH, METRIC, finer=finer).text for finer in (0, 1, 2, 3, -1)]
    assert texts == ["33 mm", "33.3 mm", "33.33 mm", "33.333 mm", "33 mm"]
    half = Style(units="mm", grid=Fraction(1, 2))
    assert show(100 / 3, LENGTH, half).text == "33.5 mm"
    assert show(100 / 3, LENGTH, half, finer=1).text == "33.3 mm"


def test_rounding_is_owned_up_to() -> None:
    assert show(1517.65, LENGTH, INCHES) == Shown(text="59 3/4 in", rounded=False)
    assert show(1517.65, LENGTH, METRIC) == Shown(text="1518 mm", rounded=True)
    assert show(1517.65 + 5e-7, LENGTH, INCHES).rounded is False
    assert show(1517.65 + 2e-6, LENGTH, INCHES).rounded is True


def test_bare() -> None:
    terms = [show_bare(value, LENGTH, INCHES).text for value in (1524.0, 6.35, 787.4)]
    assert (
        f"{' - '.join(terms)} = {show(730.25, LENGTH, INCHES).text}" == "60 - 1/4 - 31 = 28 3/4 in"
    )
    assert show_bare(45.359237, KINDS["mass"], INCHES).text == "100"
    assert show_bare(0.02, KINDS["slope"], INCHES).text == "2 %"
    assert show_bare(1800.0, KINDS["duration"], INCHES).text == "30 min"


@pytest.mark.parametrize(
    ("units", "grid", "says"),
    [
        ("cm", Fraction(1), "Units are cm; only in and mm are shown"),
        ("in", Fraction(0), "must be more than 0"),
        ("mm", Fraction(1, 3), "no decimal form"),
    ],
)
def test_style_that_cannot_be_written(units: str, grid: Fraction, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        Style(units=units, grid=grid)


@given(steps=st.integers(-(10**6), 10**6), style=STYLES)
def test_a_length_on_the_grid_reads_back_as_the_same_float(steps: int, style: Style) -> None:
    value = float(steps * style.grid * UNITS[style.units].factor)
    shown = show(value, LENGTH, style)
    assert not shown.rounded
    assert value_of(shown.text) == value


@given(
    value=st.floats(-1e6, 1e6),
    kind=st.sampled_from(COMPARED),
    style=STYLES,
)
def test_any_value_shown_fine_enough_reads_back_within_a_hair(
    value: float, kind: Kind, style: Style
) -> None:
    shown = show(value, kind, style, finer=12)
    assert kind.hair is not None
    assert not shown.rounded
    assert abs(read_quantity(shown.text, kind).value - value) <= kind.hair


@given(
    value=st.floats(-1e6, 1e6),
    kind=st.sampled_from(COMPARED),
    style=STYLES,
    finer=st.integers(0, 12),
)
def test_rounded_says_whether_the_text_reads_back(
    value: float, kind: Kind, style: Style, finer: int
) -> None:
    shown = show(value, kind, style, finer=finer)
    assert kind.hair is not None
    assert shown.rounded == (abs(read_quantity(shown.text, kind).value - value) > kind.hair)


@given(value=st.floats(0, 1e6), style=STYLES, finer=st.integers(0, 12))
def test_a_length_below_zero_is_its_mirror_image(value: float, style: Style, finer: int) -> None:
    above = show(value, LENGTH, style, finer=finer).text
    below = show(-value, LENGTH, style, finer=finer).text
    assert below == (above if above.startswith("0 ") else f"-{above}")


@given(value=st.floats(-1e6, 1e6), style=STYLES)
def test_a_length_moves_by_at_most_half_the_grid(value: float, style: Style) -> None:
    half = float(style.grid * UNITS[style.units].factor) / 2
    assert abs(value_of(show(value, LENGTH, style).text) - value) <= half + 1e-6


@given(value=st.floats(), kind=st.sampled_from(list(KINDS.values())), finer=st.integers(-2, 40))
def test_anything_can_be_shown(value: float, kind: Kind, finer: int) -> None:
    for style in (INCHES, METRIC):
        text = show(value, kind, style, finer=finer).text
        assert text
        assert not text.startswith("-0 ")
        assert show_bare(value, kind, style, finer=finer).text
