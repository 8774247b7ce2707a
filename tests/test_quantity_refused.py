"""Quantities that are refused: each with its sentence, and never with anything but a sentence."""

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ruleset.kinds import KINDS, Kind
from ruleset.quantity import Quantity, QuantityError, read_quantity
from ruleset.units import UNITS

NEED = "a length is needed, such as 59 3/4 in or 1518 mm."
NEED_SLOPE = "a slope is needed, such as 1/4 in per ft, 2 %, 1:48 or 20.8 mm/m."
NEED_NUMBER = "a plain number is needed, such as 1.5, 3/4 or 50 %."
NEED_STRESS = "a stress or pressure is needed, such as 3000 psi, 5 psf or 20.7 MPa."
ONLY = f"only plain letters, digits and signs are read; {NEED}"


@pytest.mark.parametrize(
    ("kind", "text", "says"),
    [
        ("length", "12 kg", f"12 kg is a mass; {NEED}"),
        ("length", "12", f"12 has no unit; {NEED}"),
        ("length", "", f"Nothing is written; {NEED}"),
        ("length", " \t\n", f"Nothing is written; {NEED}"),
        ("length", "59 3 in", f"59 3 in has two numbers with nothing to join them; {NEED}"),
        ("length", "59 in 3/4", f"59 in 3/4 has two numbers with nothing to join them; {NEED}"),
        ("length", "4' 11 3/4", f"4' 11 3/4 has two numbers with nothing to join them; {NEED}"),
        ("length", "1.2.3 in", f"1.2.3 in has two numbers with nothing to join them; {NEED}"),
        (
            "length",
            "59 - 3/4 in",
            f"59 - 3/4 in is arithmetic, and only its result is read; {NEED}",
        ),
        ("length", "1/2/3 in", f"1/2/3 in is arithmetic, and only its result is read; {NEED}"),
        ("length", "60 x 80 in", f"60 x 80 in is arithmetic, and only its result is read; {NEED}"),
        ("length", "1/0 in", f"1/0 in divides by zero; {NEED}"),
        ("length", "59 1/0 in", f"59 1/0 in divides by zero; {NEED}"),
        (
            "length",
            "59 5/4 in",
            f"59 5/4 in has a fraction of one or more after a whole number; {NEED}",
        ),
        ("length", "4' 13\"", f"4' 13\" has 12 in or more after the feet; {NEED}"),
        ("length", "1,518 mm", f"1,518 mm has a comma, and a decimal point is a full stop; {NEED}"),
        ("length", "nan", f"nan does not begin with a number; {NEED}"),
        ("length", "inf mm", f"inf mm does not begin with a number; {NEED}"),
        ("length", "in", f"in does not begin with a number; {NEED}"),
        ("length", "--5 in", f"--5 in does not begin with a number; {NEED}"),
        ("length", "1e999 mm", f"1e999 mm is out of range, powers of ten go to 99; {NEED}"),
        (
            "length",
            "1e3 mm",
            "1e3 mm has a power of ten; write the length out, such as 59 3/4 in or 1518 mm.",
        ),
        ("length", "5 inn", f"inn is not a known unit, the nearest known unit is in; {NEED}"),
        ("length", "5 MM", f"MM is not a known unit, the nearest known unit is mm; {NEED}"),
        ("length", "12-in", f"-in is not a known unit, the nearest known unit is in; {NEED}"),
        ("length", "5 in-", f"in- is not a known unit, the nearest known unit is in; {NEED}"),
        ("length", "5 furlongs", f"furlongs is not a known unit; {NEED}"),
        ("length", "5 in/ft", f"5 in/ft is a slope; {NEED}"),
        ("length", "1O mm", f"1O mm has a letter in place of a digit; {NEED}"),
        ("length", "l0 in", f"l0 in has a letter in place of a digit; {NEED}"),
        (
            "length",
            "٣ in",
            f"٣ in has the digit arabic-indic digit three, {ONLY}",
        ),
        (
            "length",
            "5 мm",
            f"5 мm has the letter cyrillic small letter em, {ONLY}",
        ),
        (
            "length",
            "10² mm",
            f"10² mm has the digit superscript two, {ONLY}",
        ),
        (
            "length",
            "59\N{EN DASH}3/4 in",
            f"59\N{EN DASH}3/4 in has the character en dash, {ONLY}",
        ),
        (
            "length",
            "5 \0in",
            f"5 \\x00in has the character u+0000, {ONLY}",
        ),
        ("length", "1" * 81, f"{'1' * 20}... has 81 characters, at most 80 are read; {NEED}"),
        (
            "length",
            "1" * 41 + " mm",
            f"{'1' * 20}... has too many digits, at most 40 are read; {NEED}",
        ),
        (
            "length",
            "60 in +- -1/16 in",
            (
                "60 in +- -1/16 in has a tolerance below zero; "
                "write how far off to either side it may be."
            ),
        ),
        ("length", "60 in +- ", f"60 in +- is not one value, +- and one tolerance; {NEED}"),
        ("length", "+- 1 in", f"+- 1 in is not one value, +- and one tolerance; {NEED}"),
        (
            "length",
            "6 in ± 1 in ± 1 in",
            f"6 in +- 1 in +- 1 in is not one value, +- and one tolerance; {NEED}",
        ),
        ("length", "60 in +- 1 kg", f"1 kg is a mass; {NEED}"),
        ("force", "12 lb", "12 lb is a mass; a force is needed, such as 50 lbf or 222 N."),
        ("mass", "12 lbf", "12 lbf is a force; a mass is needed, such as 100 lb or 45.4 kg."),
        (
            "line load",
            "50 lb/ft",
            (
                "lb/ft is not a known unit, the nearest known unit is lbf/ft; "
                "a line load is needed, such as 50 lbf/ft or 730 N/m."
            ),
        ),
        (
            "stress",
            "5 mpa",
            f"mpa is not a known unit, the nearest known unit is MPa; {NEED_STRESS}",
        ),
        ("stress", "0", f"0 has no unit; {NEED_STRESS}"),
        ("slope", "0.25", f"0.25 has no unit; {NEED_SLOPE}"),
        ("slope", "1/4", f"1/4 has no unit; {NEED_SLOPE}"),
        ("slope", "2 % +- 0.1", f"0.1 has no unit; {NEED_SLOPE}"),
        ("slope", "1:0", f"1:0 divides by zero; {NEED_SLOPE}"),
        ("slope", "1 in", f"1 in is a length; {NEED_SLOPE}"),
        ("number", "3 in", f"3 in is a length; {NEED_NUMBER}"),
        ("number", "2 mm/m", f"2 mm/m is a slope; {NEED_NUMBER}"),
        ("count", "2.5", "2.5 is not whole; a count is needed, such as 2."),
        ("count", "50 %", "50 % is a plain number; a count is needed, such as 2."),
        (
            "date",
            "2026-02-30",
            "2026-02-30 is not a day of the calendar; a date is needed, such as 2026-11-25.",
        ),
        (
            "date",
            "25/11/2026",
            "25/11/2026 is not written as year-month-day; a date is needed, such as 2026-11-25.",
        ),
        ("yes/no", "Yes", "Yes is neither yes nor no; write yes or no."),
        ("yes/no", "1", "1 is neither yes nor no; write yes or no."),
        ("word", "curb", "'curb' is to be a word, and a word is not a quantity; keep it as text."),
    ],
)
def test_bad_text_gets_its_sentence(kind: str, text: str, says: str) -> None:
    with pytest.raises(QuantityError) as caught:
        read_quantity(text, KINDS[kind])
    assert str(caught.value) == says


def test_a_unit_on_one_side_of_a_tolerance_is_refused() -> None:
    with pytest.raises(
        QuantityError, match=r"has a unit on one side of \+- only; write it on both"
    ):
        read_quantity("59 3/4 +- 1/16 in", KINDS["length"], units="mm")


PIECES = st.lists(
    st.sampled_from(
        [
            *UNITS,
            *"0123456789+-/.:'\"eE ±½°²\N{FRACTION SLASH}\N{CYRILLIC CAPITAL LETTER O}",
            "+-",
            "1e99",
            "9" * 30,
            "1/2",
            "yes",
            "2026-11-25",
        ]
    ),
    max_size=30,
).map("".join)


def outcome(text: str, kind: Kind) -> Quantity | str:
    """Return what a text is read as, or the sentence that refuses it."""
    try:
        return read_quantity(text, kind, units="in")
    except QuantityError as error:
        return str(error)


@given(text=st.one_of(st.text(max_size=100), PIECES), kind=st.sampled_from(list(KINDS.values())))
def test_any_text_is_a_finite_value_or_one_sentence(text: str, kind: Kind) -> None:
    got = outcome(text, kind)
    if isinstance(got, str):
        assert got.endswith(".")
        assert got.isprintable()
        assert len(got) < 400
    else:
        assert math.isfinite(got.value)
        assert got.tolerance is None or 0.0 <= got.tolerance < math.inf


@given(text=PIECES.map(lambda piece: f"5 in {piece}"))
def test_nothing_after_a_unit_is_passed_over(text: str, ran: Callable[[], None]) -> None:
    got = outcome(text, KINDS["length"])
    if isinstance(got, Quantity) and got.tolerance is None:
        ran()
        assert text.rstrip() in ("5 in", "5 in.", "5 in .")
