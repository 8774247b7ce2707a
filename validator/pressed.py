"""A pane under an even pressure, held along two, three or four edges: thin plates, least energy."""

import math
from functools import cache

WAVES = 7  # polynomials each way; ten change the published values by less than one in a thousand
PLACES = 12  # each way, at which the pane is looked at
Table = list[list[float]]
"""A shape and its two derivatives, or numbers by row and column."""


def pane_moves(  # noqa: PLR0913, PLR0917  # what bends a plate
    width: float,
    height: float,
    sides: float,
    ends: float,
    pressure: float,
    rigidity: float,
    poisson: float,
) -> float:
    """Return how far a pane bends under an even pressure, its held edges free to turn.

    Args:
        width: From side to side, mm; more than 0.
        height: From foot to head, mm; more than 0.
        sides: How many of its two side edges are held: 0, 1 or 2.
        ends: How many of foot and head are held: 0, 1 or 2.
        pressure: On the whole face, MPa.
        rigidity: Bending rigidity for each unit of width, N mm; more than 0.
        poisson: How much glass narrows as it is drawn out; 0 to less than 1.

    Returns:
        The most that any point moves, mm.

    Raises:
        ValueError: A size is not more than 0, or so few edges are held that the pane falls over.

    Source:
        Kirchhoff's thin plate; the shape of least energy among polynomials (Ritz).

    Example:
        >>> round(pane_moves(1000.0, 1000.0, 2, 2, 0.001, 1.0e6, 0.3), 3)
        4.062
    """
    moved, _ = _bent(width, height, sides, ends, poisson)
    if rigidity <= 0:
        raise ValueError("a pane has sizes and a rigidity")
    return pressure / rigidity * moved


def pane_stress(  # noqa: PLR0913, PLR0917  # what bends a plate
    width: float,
    height: float,
    sides: float,
    ends: float,
    pressure: float,
    thickness: float,
    poisson: float,
) -> float:
    """Return the greatest stress on the face of a pane under an even pressure.

    Args:
        width: From side to side, mm; more than 0.
        height: From foot to head, mm; more than 0.
        sides: How many of its two side edges are held: 0, 1 or 2.
        ends: How many of foot and head are held: 0, 1 or 2.
        pressure: On the whole face, MPa.
        thickness: Of the glass, mm; more than 0.
        poisson: How much glass narrows as it is drawn out; 0 to less than 1.

    Returns:
        The greatest principal stress, MPa, of either sign.

    Raises:
        ValueError: A size is not more than 0, or so few edges are held that the pane falls over.

    Source:
        As of pane_moves; a face is stressed to 6 M / t^2.

    Example:
        >>> round(pane_stress(1000.0, 1000.0, 2, 2, 0.001, 10.0, 0.3), 2)
        2.87
    """
    if thickness <= 0:
        raise ValueError("a pane has sizes and a thickness")
    _, moment = _bent(width, height, sides, ends, poisson)
    return 6 * pressure * moment / thickness**2


@cache
def _bent(
    width: float, height: float, sides: float, ends: float, poisson: float
) -> tuple[float, float]:
    """Return the most that it moves under a pressure of 1 for its rigidity, and its moment."""
    if min(width, height) <= 0 or not 2 <= sides + ends <= 4 or max(sides, ends) > 2:  # noqa: PLR2004
        raise ValueError("a pane has sizes, and is held along two edges or more")
    across, up = _shapes(sides, width), _shapes(ends, height)
    x, y = _products(across, width), _products(up, height)
    pairs = [(one, other) for one in range(WAVES) for other in range(WAVES)]
    stiff = [
        [
            x[2][2][m][p] * y[0][0][n][q]
            + x[0][0][m][p] * y[2][2][n][q]
            + poisson * (x[2][0][m][p] * y[0][2][n][q] + x[0][2][m][p] * y[2][0][n][q])
            + 2 * (1 - poisson) * x[1][1][m][p] * y[1][1][n][q]
            for p, q in pairs
        ]
        for m, n in pairs
    ]
    pushed = [_area(across[m][0], width) * _area(up[n][0], height) for m, n in pairs]
    return _greatest((across, up), _solved(stiff, pushed), poisson)


def _shapes(held: float, length: float) -> list[Table]:
    """Return each shape and its two derivatives, as coefficients of powers of x over the length.

    Args:
        held: How many of the two ends are held: the first, or both.
        length: From end to end, mm.
    """
    # Legendre's polynomials keep the sums well apart; each is held to 0 where an edge is.
    rim = {0: [1.0], 1: [0.0, 1.0], 2: [0.0, 1.0, -1.0]}[round(held)]
    before, now = [0.0], [1.0]
    found = []
    for order in range(WAVES):
        shape = _times(rim, now)
        slope = [one / length for one in _slope(shape)]
        found.append([shape, slope, [one / length for one in _slope(slope)]])
        grown = _times([-1.0, 2.0], now)
        padded = before + [0.0] * (len(grown) - len(before))
        after = [
            ((2 * order + 1) * new - order * old) / (order + 1)
            for new, old in zip(grown, padded, strict=True)
        ]
        before, now = now, after
    return found


def _times(one: list[float], other: list[float]) -> list[float]:
    found = [0.0] * (len(one) + len(other) - 1)
    for at, share in enumerate(one):
        for further, by in enumerate(other):
            found[at + further] += share * by
    return found


def _slope(powers: list[float]) -> list[float]:
    return [power * share for power, share in enumerate(powers)][1:] or [0.0]


def _area(powers: list[float], length: float) -> float:
    return length * sum(share / (power + 1) for power, share in enumerate(powers))


def _products(shapes: list[Table], length: float) -> list[list[Table]]:
    """Return the area under the product of any two shapes, by how often each is derived."""
    return [
        [
            [[_area(_times(one[first], two[second]), length) for two in shapes] for one in shapes]
            for second in range(3)
        ]
        for first in range(3)
    ]


def _solved(stiff: Table, pushed: list[float]) -> list[float]:
    """Return what balances the push, by elimination; a stiffness has no zero on its diagonal."""
    rows = [[*row, right] for row, right in zip(stiff, pushed, strict=True)]
    for at, row in enumerate(rows):
        for below in rows[at + 1 :]:
            share = below[at] / row[at]
            if share:
                below[at:] = [
                    low - share * top for low, top in zip(below[at:], row[at:], strict=True)
                ]
    found = [0.0] * len(rows)
    for at in reversed(range(len(rows))):
        row = rows[at]
        known = sum(row[further] * found[further] for further in range(at + 1, len(rows)))
        found[at] = (row[-1] - known) / row[at]
    return found


def _greatest(
    shapes: tuple[list[Table], list[Table]], shares: list[float], poisson: float
) -> tuple[float, float]:
    """Return the most that a pane moves and its greatest principal moment, looked at in places."""
    x, y = (_seen(one) for one in shapes)
    moved, bent = 0.0, 0.0
    for here in x:
        for there in y:

            def total(first: int, second: int, here: Table = here, there: Table = there) -> float:
                return sum(
                    shares[m * WAVES + n] * here[first][m] * there[second][n]
                    for m in range(WAVES)
                    for n in range(WAVES)
                )

            moved = max(moved, abs(total(0, 0)))
            along, up = total(2, 0), total(0, 2)
            one, other = along + poisson * up, up + poisson * along
            twist = (1 - poisson) * total(1, 1)
            bent = max(bent, abs(one + other) / 2 + math.hypot((one - other) / 2, twist))
    return moved, bent


def _seen(shapes: list[Table]) -> list[Table]:
    """Return, at each place, every shape by how often it is derived."""
    return [
        [
            [
                sum(share * (at / PLACES) ** power for power, share in enumerate(one[by]))
                for one in shapes
            ]
            for by in range(3)
        ]
        for at in range(PLACES + 1)
    ]
