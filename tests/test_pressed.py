"""A pane under an even pressure, against finite elements and values that others have published."""

import numpy as np
import pytest
from skfem import BilinearForm, ElementTriMorley, LinearForm, MeshTri, asm, condense, solve
from skfem import InteriorBasis as Basis
from skfem.helpers import dd, ddot, trace

from validator.pressed import pane_moves, pane_stress

ASK, THICK = 1e-3, 10.0  # MPa, mm
UNIT = 1000.0  # mm, so that a coefficient is what is moved in millimetres over a rigidity of 1e9


def moves(wide: float, high: float, sides: int, ends: int, poisson: float) -> float:
    """Return the coefficient of q w^4 / D."""
    found = pane_moves(wide * UNIT, high * UNIT, sides, ends, 1e-3, 1e9, poisson)
    return found * 1e9 / (1e-3 * UNIT**4)


def bends(wide: float, high: float, sides: int, ends: int, poisson: float) -> float:
    """Return the coefficient of q w^2: the moment for each unit of width."""
    found = pane_stress(wide * UNIT, high * UNIT, sides, ends, ASK, THICK, poisson)
    return found * THICK**2 / 6 / (ASK * UNIT**2)


# Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells: even pressure, Poisson 0.3. Four
# edges hinged, square 0.00406 and 0.0479, one to two 0.01013 and 0.1017; three hinged and one free,
# 0.01286 and 0.112 (from memory). Two hinged and two free: 0.01501 at the middle of a free edge, by
# two methods that were run for this project's notes.
@pytest.mark.parametrize(
    ("high", "sides", "ends", "moved", "bent"),
    [
        (1, 2, 2, 0.00406, 0.0479),
        (2, 2, 2, 0.01013, 0.1017),
        (1, 1, 2, 0.01286, 0.112),
        (1, 0, 2, 0.01501, None),
    ],
)
def test_published_coefficients(
    high: float, sides: int, ends: int, moved: float, bent: float | None
) -> None:
    assert moves(1, high, sides, ends, 0.3) == pytest.approx(moved, rel=2e-3)
    if bent is not None:
        assert bends(1, high, sides, ends, 0.3) == pytest.approx(bent, rel=4e-3)


# A narrow strip between foot and head bends as a beam does: 5 q L^4 / 384 E I and q L^2 / 8.
def test_a_narrow_strip_is_a_beam() -> None:
    assert moves(0.02, 1, 0, 2, 0.3) * (1 - 0.3**2) == pytest.approx(5 / 384, rel=3e-3)
    assert bends(0.02, 1, 0, 2, 0.3) == pytest.approx(1 / 8, rel=3e-3)


# A pane that wall and foot hold is at rest under a push at its corner as c x y. By reciprocity an
# even pressure moves that corner q a^2 b^2 / (8 D (1 - poisson)).
def test_two_adjacent_edges_twist() -> None:
    assert moves(0.9, 2, 1, 1, 0.22) == pytest.approx(0.9**2 * 2**2 / 8 / 0.78, rel=1e-6)


@pytest.mark.parametrize(("sides", "ends"), [(1, 1), (0, 2), (1, 2), (2, 2)])
def test_finite_elements_agree(sides: int, ends: int) -> None:
    wide, high, poisson = 0.9, 2.0, 0.22
    grid = MeshTri.init_tensor(np.linspace(0, wide, 17), np.linspace(0, high, 33))
    basis = Basis(grid, ElementTriMorley())

    @BilinearForm
    def stiff(u, v, _):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN202  # scikit-fem's own form
        return (1 - poisson) * ddot(dd(u), dd(v)) + poisson * trace(dd(u)) * trace(dd(v))

    @LinearForm
    def pushed(v, _):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN202
        return v

    def held(at):  # type: ignore[no-untyped-def]  # noqa: ANN001, ANN202
        x, y = at
        none = x < -1
        side = (x < 1e-9) | ((x > wide - 1e-9) & (sides > 1)) if sides else none
        end = (y < 1e-9) | ((y > high - 1e-9) & (ends > 1)) if ends else none
        return side | end

    fixed = basis.get_dofs(held).all("u")
    moved = solve(*condense(asm(stiff, basis), asm(pushed, basis), D=fixed))
    most = float(np.max(np.abs(moved[basis.nodal_dofs[0]])))
    assert moves(wide, high, sides, ends, poisson) == pytest.approx(most, rel=0.02)


@pytest.mark.parametrize("held", [(0, 1), (1, 0), (0, 0), (3, 1)])
def test_what_falls_over_has_no_meaning(held: tuple[int, int]) -> None:
    with pytest.raises(ValueError, match="two edges or more"):
        pane_stress(1.0, 1.0, *held, ASK, THICK, 0.22)
