"""The lifting equation, against the manual's printed examples, and laws."""

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from validator import Rules
from validator.lifting import recommended_load, recommended_load_us

GOOD, FAIR, POOR = 1.0, 2.0, 3.0
RARE = 0.2


def test_ideal_lift_is_the_load_constant() -> None:
    # DHHS (NIOSH) 94-110 (2021), section 1.3: 51 lb or 23 kg.
    assert recommended_load_us(10.0, 30.0, 10.0, 0.0, RARE, GOOD) == pytest.approx(51.0)
    assert recommended_load(250.0, 750.0, 250.0, 0.0, RARE, GOOD) == pytest.approx(23.0)


EXAMPLES = [
    # DHHS (NIOSH) 94-110 (2021), section 3, example problems; inputs of 1 to 3 (standing: memory).
    # The manual rounds each multiplier to two places, so what it prints differs a little.
    ("1 origin", (23.0, 15.0, 49.0, 0.0, RARE, FAIR), 16.3, 16.02),
    ("1 destination", (23.0, 64.0, 49.0, 0.0, RARE, FAIR), 14.5, 14.15),
    ("2 origin", (15.0, 27.0, 17.0, 0.0, RARE, POOR), 28.0, 27.69),
    ("2 destination", (20.0, 10.0, 17.0, 0.0, RARE, POOR), 18.1, 18.06),
    ("3", (18.0, 15.0, 21.0, math.radians(45.0), RARE, FAIR), 18.9, 18.52),
    ("4 origin", (10.0, 22.0, 37.0, 0.0, 3.0, FAIR), 34.9, 34.81),
    ("4 destination", (20.0, 59.0, 37.0, 0.0, 3.0, FAIR), 15.2, 15.25),
]


@pytest.mark.parametrize(
    ("lift", "printed", "exact"), [row[1:] for row in EXAMPLES], ids=[row[0] for row in EXAMPLES]
)
def test_worked_examples(
    lift: tuple[float, float, float, float, float, float], printed: float, exact: float
) -> None:
    load = recommended_load_us(*lift)
    assert load == pytest.approx(printed, rel=0.03)
    assert load == pytest.approx(exact, abs=0.006)


def test_index_of_the_first_example() -> None:
    # Example 1 destination: a 44 lb load has lifting index 3.0 (standing: memory).
    assert 44.0 / recommended_load_us(23.0, 64.0, 49.0, 0.0, RARE, FAIR) == pytest.approx(
        3.0, rel=0.05
    )


# Table 5 of DHHS (NIOSH) 94-110 (2021), hands low; hours of work, then lifts a minute and factor.
TABLE_5 = [
    (1.0, ((0.2, 1.00), (0.5, 0.97), (1, 0.94), (4, 0.84), (8, 0.60), (12, 0.37), (15, 0.0))),
    (2.0, ((0.2, 0.95), (0.5, 0.92), (1, 0.88), (4, 0.72), (8, 0.35), (10, 0.26), (12, 0.0))),
    (8.0, ((0.2, 0.85), (0.5, 0.81), (1, 0.75), (4, 0.45), (8, 0.18), (10, 0.0), (15, 0.0))),
]
# The same with the hands at 30 in or higher, where it differs.
TABLE_5_HIGH = [(1.0, ((15, 0.28),)), (2.0, ((12, 0.21),)), (8.0, ((10, 0.13),))]


@pytest.mark.parametrize("hours", [1.0, 2.0, 8.0])
@pytest.mark.parametrize(("table", "height"), [(TABLE_5, 15.0), (TABLE_5_HIGH, 30.0)])
def test_frequency_table(
    table: list[tuple[float, tuple[tuple[float, float], ...]]],
    height: float,
    hours: float,
    ran: Callable[[], None],
) -> None:
    one = recommended_load_us(10.0, height, 10.0, 0.0, 0.0, GOOD, 3600.0)
    for rate, factor in dict(table)[hours]:
        ran()
        load = recommended_load_us(10.0, height, 10.0, 0.0, rate, GOOD, hours * 3600.0)
        assert load / one == pytest.approx(factor)


def test_frequency_between_rows_is_in_proportion() -> None:
    # Section 1.3.5; 8 minutes at 10 a minute in 15 is 5.33 a minute, the manual's special rule.
    load = recommended_load(250.0, 750.0, 250.0, 0.0, 10.0 * 8.0 / 15.0, GOOD)
    assert load / 23.0 == pytest.approx(0.80 - (0.80 - 0.75) / 3.0)


def test_fair_grip_counts_only_below_the_knuckles() -> None:
    # Table 7: 0.95 below 30 in (75 cm), 1.00 from there.
    def ratio(height: float) -> float:
        fair = recommended_load(250.0, height, 250.0, 0.0, RARE, FAIR)
        return fair / recommended_load(250.0, height, 250.0, 0.0, RARE, GOOD)

    assert ratio(749.0) == pytest.approx(0.95)
    assert ratio(750.0) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("at", "past"),
    [
        # Sections 1.3.1 to 1.3.5: past these the equation allows nothing.
        ((630.0, 750.0, 250.0, 0.0, RARE, GOOD), (631.0, 750.0, 250.0, 0.0, RARE, GOOD)),
        ((250.0, 1750.0, 250.0, 0.0, RARE, GOOD), (250.0, 1751.0, 250.0, 0.0, RARE, GOOD)),
        ((250.0, 750.0, 1750.0, 0.0, RARE, GOOD), (250.0, 750.0, 1751.0, 0.0, RARE, GOOD)),
        (
            (250.0, 750.0, 250.0, math.radians(135.0), RARE, GOOD),
            (250.0, 750.0, 250.0, math.radians(135.1), RARE, GOOD),
        ),
        ((250.0, 750.0, 250.0, 0.0, 15.0, GOOD), (250.0, 750.0, 250.0, 0.0, 15.1, GOOD)),
    ],
    ids=["reach", "height", "rise", "twist", "rate"],
)
def test_past_its_range_nothing_may_be_lifted(
    at: tuple[float, float, float, float, float, float],
    past: tuple[float, float, float, float, float, float],
) -> None:
    assert recommended_load(*at) > 0.0
    assert recommended_load(*past) == 0.0


@given(
    st.floats(0.0, 700.0),
    st.floats(0.0, 1900.0),
    st.floats(0.0, 1900.0),
    st.floats(0.0, 2.5),
    st.floats(0.0, 16.0),
    st.sampled_from([GOOD, FAIR, POOR]),
)
def test_nothing_beats_the_ideal_and_more_is_never_easier(
    reach: float, height: float, rise: float, twist: float, rate: float, grip: float
) -> None:
    load = recommended_load(reach, height, rise, twist, rate, grip)
    assert 0.0 <= load <= 23.0 + 1e-9
    harder = recommended_load(reach + 20.0, height, rise + 20.0, twist + 0.1, rate + 0.5, grip)
    assert harder <= load + 1e-9
    assert recommended_load(reach, height, rise, twist, rate, grip, 7200.0) <= load + 1e-9


def test_team_shares(rules: Rules) -> None:
    # HSE L23: two thirds of the sum for two, half for three; its 20 kg example gives about 26.6 kg.
    shares = {
        n: rules.library.limits[f"handling.limit.share_of_{n}"].value for n in ("two", "three")
    }
    assert 2 * 20.0 * shares["two"] == pytest.approx(26.7, rel=0.005)
    assert 3 * 20.0 * shares["three"] == pytest.approx(30.0)


WRONG: list[tuple[str, Callable[[], float]]] = [
    ("reach is -1", lambda: recommended_load(-1.0, 750.0, 250.0, 0.0, RARE, GOOD)),
    ("height of the hands is nan", lambda: recommended_load(1.0, math.nan, 250.0, 0.0, RARE, GOOD)),
    ("rise is -1", lambda: recommended_load(250.0, 750.0, -1.0, 0.0, RARE, GOOD)),
    ("twist is -1", lambda: recommended_load(250.0, 750.0, 250.0, -1.0, RARE, GOOD)),
    ("rate is -1", lambda: recommended_load(250.0, 750.0, 250.0, 0.0, -1.0, GOOD)),
    ("coupling is 4", lambda: recommended_load(250.0, 750.0, 250.0, 0.0, RARE, 4.0)),
    ("lasts 9 hours", lambda: recommended_load(1.0, 1.0, 1.0, 0.0, RARE, GOOD, 32400.0)),
    ("lasts 0 hours", lambda: recommended_load_us(1.0, 1.0, 1.0, 0.0, RARE, GOOD, 0.0)),
]


@pytest.mark.parametrize(("says", "call"), WRONG, ids=[says for says, _ in WRONG])
def test_values_without_meaning_are_refused(says: str, call: Callable[[], float]) -> None:
    with pytest.raises(ValueError, match=says):
        call()
