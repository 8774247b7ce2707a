"""A pane held along three edges and pushed, against values that others have worked out."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from validator.plate import edge_push, waves

HIGH, LOAD = 2000.0, 0.73  # mm, N/mm
STRIPS = 400


# Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, the table of plates with three
# edges hinged and one free under a uniform load, Poisson 0.3: the most is in the middle of the free
# edge, w D / (q a^4) with a the free edge. From memory. The uniform load is laid on as many lines.
@pytest.mark.parametrize(
    ("share", "published"),
    [(0.5, 0.00710), (2 / 3, 0.00968), (1, 0.01286), (1.5, 0.01462), (2, 0.01507), (3, 0.01520)],
)
def test_many_lines_make_the_published_uniform_load(share: float, published: float) -> None:
    total = 0.0
    for strip in range(STRIPS):
        at = HIGH * (strip + 0.5) / STRIPS
        total += middle_of_edge(share * HIGH, at)
    found = total * (HIGH / STRIPS) / HIGH**4
    assert found == pytest.approx(published, rel=2e-3)


def middle_of_edge(width: float, at: float) -> float:
    """Return what the middle of the free edge moves under a line load of 1 N/mm, rigidity 1."""
    found = waves(width, HIGH, at, 0.3)
    return sum(share * math.sin(wave * HIGH / 2) for wave, share in found)


# A very wide pane is a strip, of which a book of beams gives the most that it moves under a load
# off its middle: P a (L^2 - a^2)^1.5 / (9 sqrt(3) E I L). At its free edge a plate moves more, by
# the share that follows from no bending and no shear there: 1.0533 for a Poisson ratio of 0.22.
@given(st.floats(0.2, 0.5), st.floats(0.1, 0.35))
def test_a_wide_pane_moves_as_a_strip(at: float, poisson: float) -> None:
    rigidity, low = 1e7, at * HIGH
    stiff = rigidity * (1 - poisson**2)
    strip = LOAD * low * (HIGH**2 - low**2) ** 1.5 / (9 * math.sqrt(3) * stiff * HIGH)
    free = (1 - poisson**2) * (1 + poisson * (1 + poisson) / ((1 - poisson) * (3 + poisson)))
    found = edge_push(50 * HIGH, HIGH, low, LOAD, rigidity, poisson)
    assert found == pytest.approx(strip * free, rel=3e-3)
    assert edge_push(50 * HIGH, HIGH, HIGH / 2, LOAD, 1e7, 0.22) == pytest.approx(
        LOAD * HIGH**3 / 48 / (1e7 * (1 - 0.22**2)) * 1.0533, rel=1e-3
    )


@given(st.floats(100.0, 3000.0), st.floats(100.0, 1900.0))
def test_laws_of_the_push(width: float, at: float) -> None:
    def push(wide: float, load: float = LOAD, rigidity: float = 1e7) -> float:
        return edge_push(wide, HIGH, at, load, rigidity, 0.22)

    moved = push(width)
    assert moved > 0
    assert push(width * 1.1) > moved * (1 - 1e-9)  # the held side is further away
    assert push(width, load=2 * LOAD) == pytest.approx(2 * moved)
    assert push(width, rigidity=2e7) == pytest.approx(moved / 2)
    assert edge_push(width, HIGH, HIGH - at, LOAD, 1e7, 0.22) == pytest.approx(moved)


@pytest.mark.parametrize("sizes", [(0, 1, 1), (1, 0, 0), (1, 1, 2), (1, 1, -1)])
def test_what_is_no_pane_has_no_meaning(sizes: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match="a pane has sizes"):
        edge_push(*sizes, LOAD, 1e7, 0.22)
