"""The header bar's statics, against published values, sympy, fine scans and laws."""

import math
import random
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sympy import Rational, Symbol, symbols
from sympy.physics.continuum_mechanics.beam import Beam

from validator.beam import Holds, Load, deepest, moments, point_moment, point_sag, slope_at
from validator.statics import (
    bar_moment,
    bar_moment_walls,
    bar_reaction,
    bar_sag,
    bar_sag_walls,
    bar_slope,
    bar_slope_walls,
)

Bar = tuple[float, float, float, float, float, float]
"""Span, two holds, first, travel and pitch, mm."""

ORDINARY: Bar = (1500.0, 300.0, 600.0, 100.0, 800.0, 500.0)
LOAD = 250.0
STIFFNESS = 3.0e9
NOISE = 1e-8  # mm, N, N mm or rad: what rounding leaves where both wheels stand on supports


def parked(bar: Bar, left: float) -> Bar:
    """Return the same bar with the door standing still."""
    span, hold_a, hold_b, _, _, pitch = bar
    return (span, hold_a, hold_b, left, 0.0, pitch)


def held_loads(bar: Bar, left: float) -> tuple[Load, ...]:
    span, hold_a, hold_b, _, _, pitch = bar
    return Holds.of(span, hold_a, hold_b).add(((left, LOAD), (left + pitch, LOAD)))


def random_bars(count: int) -> list[Bar]:
    draw = random.Random(20)  # noqa: S311  # a spread of bars, no secret
    bars = []
    for _ in range(count):
        span = draw.uniform(800.0, 2500.0)
        hold_a, hold_b = sorted(draw.uniform(0.03, 0.97) * span for _ in range(2))
        pitch = draw.uniform(0.0, 0.7) * span
        first = draw.uniform(0.0, 0.3) * (span - pitch)
        travel = draw.uniform(0.0, 1.0) * (span - pitch - first)
        bars.append((span, hold_a, hold_b + 10.0, first, travel, pitch))
    return bars


BARS = random_bars(10)


@st.composite
def bars(draw: st.DrawFn) -> Bar:
    span = draw(st.floats(500.0, 3000.0))
    near = draw(st.floats(0.05, 0.8))
    far = draw(st.floats(near + 0.1, 0.95))
    pitch = span * draw(st.floats(0.05, 0.7))
    first = (span - pitch) * draw(st.floats(0.0, 0.9))
    travel = (span - pitch - first) * draw(st.floats(0.0, 0.99))
    return (span, near * span, far * span, first, travel, pitch)


def test_two_loads_published_spreadsheet() -> None:
    # A spreadsheet published on a document site; AISC Manual (2005) Table 3-23 case 9. Inch, pound.
    loads = ((26.0, 500.0), (29.0, 500.0))
    rigidity = 28.0e6 * 67.0
    assert point_sag(55.0, loads, rigidity, 27.5) == pytest.approx(0.00183953, rel=1e-5)
    assert point_sag(55.0, loads, rigidity, 26.0) == pytest.approx(0.00183173, rel=1e-5)
    assert point_moment(55.0, loads, 27.5) == pytest.approx(13000.0)
    assert bar_sag_walls(55.0, 26.0, 0.0, 3.0, 500.0, rigidity) == pytest.approx(
        0.00183953, rel=1e-5
    )
    assert bar_moment_walls(55.0, 26.0, 0.0, 3.0, 500.0) == pytest.approx(13000.0)


def test_third_points_formula() -> None:
    # 23 P L^3 / (648 E I), from AISC Manual (2005) Table 3-23 case 9 with a = L / 3. Inch, pound.
    sag = bar_sag_walls(60.0, 20.0, 0.0, 20.0, 100.0, 28.0e6 * 0.1)
    assert sag == pytest.approx(23.0 * 100.0 * 60.0**3 / (648.0 * 28.0e6 * 0.1))
    assert sag == pytest.approx(0.273810, rel=1e-5)


def tube(outside: float, wall: float) -> tuple[float, float]:
    """Return inertia and section modulus of a round tube (textbook formula; standing: memory)."""
    inertia = math.pi * (outside**4 - (outside - 2.0 * wall) ** 4) / 64.0
    return inertia, 2.0 * inertia / outside


def test_inch_tube_under_two_wheels() -> None:
    # Section values: textbook (standing: memory); sag and stress worked out by hand from case 9.
    inertia, modulus = tube(1.25, 0.120)
    assert inertia == pytest.approx(0.06876, rel=1e-4)
    assert modulus == pytest.approx(0.11002, rel=1e-4)
    sag = bar_sag_walls(60.0, 15.0, 0.0, 30.0, 50.0, 28.0e6 * inertia)
    assert sag == pytest.approx(0.16069, rel=1e-3)
    assert bar_moment_walls(60.0, 15.0, 0.0, 30.0, 50.0) / modulus == pytest.approx(
        6817.0, rel=1e-3
    )
    # L/360 for brittle finishes: a convention of light-gauge framing references.
    assert sag < 60.0 / 360.0


def test_metric_tube_under_two_wheels() -> None:
    # Worked out by hand from case 9 of AISC Manual (2005) Table 3-23.
    inertia, modulus = tube(30.0, 2.0)
    sag = bar_sag_walls(1500.0, 400.0, 0.0, 700.0, 250.0, 193.0e3 * inertia)
    assert sag == pytest.approx(7.61, rel=1e-3)
    moment = bar_moment_walls(1500.0, 400.0, 0.0, 700.0, 250.0)
    assert moment / modulus == pytest.approx(86.6, rel=1e-3)
    assert sag > 1500.0 / 360.0


def test_single_load_formulas() -> None:
    # AISC Manual (2005) Table 3-23: P a^2 b^2 / (3 E I L) at the load, and at most, for a > b,
    # P a b (a + 2b) sqrt(3a(a + 2b)) / (27 E I L).
    span, a, b = 1000.0, 700.0, 300.0
    loads = ((a, LOAD),)
    at_load = LOAD * a**2 * b**2 / (3.0 * STIFFNESS * span)
    most = LOAD * a * b * (a + 2.0 * b) * math.sqrt(3.0 * a * (a + 2.0 * b))
    assert point_sag(span, loads, STIFFNESS, a) == pytest.approx(at_load)
    assert deepest(span, loads) == pytest.approx(most / (27.0 * span))
    assert point_moment(span, loads, a) == pytest.approx(LOAD * a * b / span)


@pytest.mark.parametrize(
    ("span", "holds", "wheels"),
    [
        (1500, (300, 600), (250, 750)),
        (1500, (300, 600), (450, 950)),
        (1830, (95, 1700), (100, 1600)),
        (2000, (900, 1000), (930, 980)),
        (1200, (700, 1100), (1150, 1190)),
    ],
)
def test_held_bar_agrees_with_sympy(
    span: int, holds: tuple[int, int], wheels: tuple[int, int]
) -> None:
    # sympy.physics.continuum_mechanics.beam integrates the loading; here superposition does.
    reactions = symbols("r0:4")
    beam = Beam(span, Symbol("E"), Symbol("I"))
    supports = (0, *holds, span)
    for wheel in wheels:
        beam.apply_load(-Rational(LOAD), wheel, -1)
    for support, reaction in zip(supports, reactions, strict=True):
        beam.apply_load(reaction, support, -1)
    beam.bc_deflection = [(support, 0) for support in supports]
    beam.solve_for_reaction_loads(*reactions)
    solved = [float(beam.reaction_loads[reaction]) for reaction in reactions]
    rigid = {Symbol("E"): 1, Symbol("I"): 1}
    curve, slopes = beam.deflection().subs(rigid), beam.slope().subs(rigid)
    bending = -beam.bending_moment()  # sympy calls a sagging moment negative

    bar: Bar = (span, *holds, wheels[0], 0.0, wheels[1] - wheels[0])
    loads = held_loads(bar, wheels[0])
    pushes = Holds.of(span, *holds).forces(loads[:2])
    assert pushes == pytest.approx(solved[1:3], rel=1e-9)
    places = [Rational(span * i, 40) for i in range(1, 40)]
    sags = [-float(curve.subs(beam.variable, place)) for place in places]
    for place, sag in zip(places, sags, strict=True):
        scale = max(abs(value) for value in sags)
        at = float(place)
        assert point_sag(span, loads, 1.0, at) == pytest.approx(sag, abs=1e-7 * scale)
        expected = -float(slopes.subs(beam.variable, place))
        assert slope_at(span, loads, at) == pytest.approx(expected, rel=1e-6, abs=1e-7 * scale)
        moment = float(bending.subs(beam.variable, place))
        assert point_moment(span, loads, at) == pytest.approx(moment, rel=1e-6, abs=1e-3)
    assert max(sags) <= deepest(span, loads) * (1.0 + 1e-9)
    knees = [abs(float(bending.subs(beam.variable, place))) for place in (*holds, *wheels)]
    assert max(moments(span, loads)) == pytest.approx(max(knees), rel=1e-9)
    mean = abs(sum(float(slopes.subs(beam.variable, wheel)) for wheel in wheels)) / 2.0
    assert bar_slope(*bar, LOAD, 1.0) == pytest.approx(mean, rel=1e-9)


@pytest.mark.parametrize("bar", BARS)
def test_deepest_point_is_the_top_of_the_curve(bar: Bar) -> None:
    span = bar[0]
    loads = held_loads(bar, bar[3])
    grid = [point_sag(span, loads, 1.0, span * i / 2000.0) for i in range(2001)]
    assert deepest(span, loads) == pytest.approx(max(grid), rel=1e-4)
    assert deepest(span, loads) >= max(grid) * (1.0 - 1e-9)


@pytest.mark.parametrize("bar", BARS)
def test_search_over_the_travel_finds_the_worst(bar: Bar) -> None:
    first, travel = bar[3:5]
    stops = [parked(bar, first + travel * i / 500.0) for i in range(501)]
    sag = max(bar_sag(*stop, LOAD, STIFFNESS) for stop in stops)
    assert bar_sag(*bar, LOAD, STIFFNESS) == pytest.approx(sag, rel=1e-5)
    moment = max(bar_moment(*stop, LOAD) for stop in stops)
    assert bar_moment(*bar, LOAD) == pytest.approx(moment, rel=1e-4)
    push = max(bar_reaction(*stop, LOAD) for stop in stops)
    assert bar_reaction(*bar, LOAD) == pytest.approx(push, rel=1e-4)


def test_panel_can_take_a_little_more_than_both_wheels() -> None:
    assert 2.0 * LOAD < bar_reaction(*ORDINARY, LOAD) < 2.2 * LOAD


def test_slope_at_rest_is_the_worse_end_of_the_travel() -> None:
    ends = (bar_slope(*parked(ORDINARY, left), LOAD, STIFFNESS) for left in (100.0, 900.0))
    assert bar_slope(*ORDINARY, LOAD, STIFFNESS) == max(ends)


def test_slope_at_rest_is_the_mean_of_the_signed_slopes_under_the_wheels() -> None:
    # On third points both wheels stand on slopes as steep, one toward the other: it stays.
    assert bar_slope_walls(1500.0, 500.0, 0.0, 500.0, LOAD, STIFFNESS) == pytest.approx(0.0)
    # Both wheels in one place a third along, 2 P there: 2 P a b (b - a) / (3 E I L), by hand.
    slope = bar_slope_walls(1500.0, 500.0, 0.0, 0.0, LOAD, STIFFNESS)
    assert slope == pytest.approx(2 * LOAD * 500.0 * 1000.0 * 500.0 / (3 * STIFFNESS * 1500.0))


@given(bars())
@settings(max_examples=40, deadline=None)
def test_mirrored_bar_does_the_same(bar: Bar) -> None:
    span, hold_a, hold_b, first, travel, pitch = bar
    start = max(0.0, span - pitch - travel - first)
    # The last bit of a sum may lie past the bar's end.
    mirror: Bar = (
        span,
        span - hold_b,
        span - hold_a,
        start,
        max(0.0, min(travel, (span - pitch - start) * (1 - 1e-15))),
        pitch,
    )
    for one in (bar_moment, bar_reaction):
        assert one(*bar, LOAD) == pytest.approx(one(*mirror, LOAD), rel=1e-5, abs=NOISE)
    for two in (bar_sag, bar_slope):
        assert two(*bar, LOAD, 1e9) == pytest.approx(two(*mirror, LOAD, 1e9), rel=1e-5, abs=NOISE)


@given(bars(), st.floats(0.1, 10.0))
@settings(max_examples=25, deadline=None)
def test_all_grow_with_the_load_in_proportion(bar: Bar, times: float) -> None:
    for one in (bar_moment, bar_reaction):
        assert one(*bar, times * LOAD) == pytest.approx(times * one(*bar, LOAD), abs=NOISE)
    for two in (bar_sag, bar_slope):
        once = two(*bar, LOAD, 1e9)
        assert two(*bar, times * LOAD, 1e9) == pytest.approx(times * once, abs=NOISE)
        assert two(*bar, LOAD, times * 1e9) == pytest.approx(once / times, abs=NOISE)


@given(bars())
@settings(max_examples=40, deadline=None)
def test_panel_only_helps(bar: Bar) -> None:
    walls = (bar[0], *bar[3:])
    assert bar_sag(*bar, LOAD, 1e9) <= bar_sag_walls(*walls, LOAD, 1e9) * (1.0 + 1e-9)
    assert bar_moment(*bar, LOAD) <= bar_moment_walls(*walls, LOAD) * (1.0 + 1e-9)


@given(bars())
@settings(max_examples=25, deadline=None)
def test_shorter_travel_is_never_worse(bar: Bar) -> None:
    span, hold_a, hold_b, first, travel, pitch = bar
    less: Bar = (span, hold_a, hold_b, first, travel / 2.0, pitch)
    assert bar_sag(*less, LOAD, 1e9) <= bar_sag(*bar, LOAD, 1e9) * (1.0 + 1e-5)


def test_no_load_no_sag() -> None:
    assert bar_sag(*ORDINARY, 0.0, STIFFNESS) == 0.0
    assert bar_reaction(*ORDINARY, 0.0) == 0.0


WRONG: list[tuple[str, Callable[[], float]]] = [
    ("must be more than 0", lambda: bar_sag_walls(0.0, 0.0, 0.0, 0.0, 1.0, 1.0)),
    ("must be more than 0", lambda: bar_sag_walls(math.nan, 0.0, 0.0, 0.0, 1.0, 1.0)),
    ("stiffness is 0", lambda: bar_sag(*ORDINARY, 1.0, 0.0)),
    ("travel is -1", lambda: bar_moment_walls(1500.0, 100.0, -1.0, 500.0, 1.0)),
    ("wheel pitch is -1", lambda: bar_moment_walls(1500.0, 100.0, 0.0, -1.0, 1.0)),
    ("load on a wheel is -1", lambda: bar_reaction(*ORDINARY, -1.0)),
    ("load on a wheel is inf", lambda: bar_reaction(*ORDINARY, math.inf)),
    (
        "1501 mm is off a bar of 1500 mm",
        lambda: bar_sag_walls(1500.0, 1.0, 1000.0, 500.0, 1.0, 1.0),
    ),
    ("-1 mm is off", lambda: bar_slope_walls(1500.0, -1.0, 0.0, 500.0, 1.0, 1.0)),
    ("between its ends", lambda: bar_reaction(1500.0, 0.0, 600.0, 100.0, 0.0, 500.0, 1.0)),
    ("between its ends", lambda: bar_moment(1500.0, 300.0, 1500.0, 100.0, 0.0, 500.0, 1.0)),
    ("between its ends", lambda: bar_slope(1500.0, 600.0, 300.0, 100.0, 0.0, 500.0, 1.0, 1.0)),
    ("too near each other", lambda: bar_reaction(1500.0, 300.0, 300.0 + 1e-12, 1.0, 0.0, 1.0, 1.0)),
    ("is off a bar", lambda: point_sag(1500.0, ((1.0, 1.0),), 1.0, 1600.0)),
    ("is off a bar", lambda: point_moment(1500.0, ((1600.0, 1.0),), 1.0)),
]


@pytest.mark.parametrize(("says", "call"), WRONG, ids=[says for says, _ in WRONG])
def test_values_without_meaning_are_refused(says: str, call: Callable[[], float]) -> None:
    with pytest.raises(ValueError, match=says):
        call()
