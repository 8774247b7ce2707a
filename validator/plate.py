"""A pane that is held along three edges, pushed square to its face: thin plates, Levy's series."""

import math
from collections.abc import Iterator

from .peak import greatest

TERMS = 60  # the terms fall with the fourth power of their number
STEPS = 16  # of the free edge, which moves most in one place
WIDE = 20.0  # past this width, in waves of a term, the held side edge no longer matters


def edge_push(  # noqa: PLR0913, PLR0917  # what bends a plate
    width: float, height: float, at: float, load: float, rigidity: float, poisson: float
) -> float:
    """Return how far the free side edge of a pane moves under a level line load.

    Foot, head and the other side edge are held in place and may turn, as in a channel.

    Args:
        width: From the held side edge to the free one, mm; more than 0.
        height: From foot to head, mm; more than 0.
        at: Height of the load, which runs over the whole width, mm; between foot and head.
        load: Push for each length of that line, N/mm.
        rigidity: Bending rigidity for each unit of width, E I / (1 - poisson^2), N mm; more than 0.
        poisson: How much glass narrows as it is drawn out; 0 to less than 1.

    Returns:
        The most that any point of the free edge moves, mm.

    Raises:
        ValueError: A size is not more than 0, or the load is not between foot and head.

    Source:
        Kirchhoff's thin plate, Levy's single series for two opposite edges hinged: Timoshenko and
        Woinowsky-Krieger, Theory of Plates and Shells, chapter 6 (from memory).

    Example:
        >>> round(edge_push(762.0, 1981.2, 990.6, 0.7297, 1.06e7, 0.22), 2)
        4.03
    """
    if min(width, height, rigidity) <= 0 or not 0 <= at <= height:
        raise ValueError("a pane has sizes, and is pushed somewhere between its foot and its head")
    terms = list(waves(width, height, at, poisson))

    def moved(up: float) -> tuple[float]:
        return (abs(sum(share * math.sin(wave * up) for wave, share in terms)),)

    return load / rigidity * greatest(moved, [height * step / STEPS for step in range(STEPS + 1)])


def waves(width: float, height: float, at: float, poisson: float) -> Iterator[tuple[float, float]]:
    """Yield the sine waves that the free edge takes under a line load of 1 and a rigidity of 1.

    Args:
        width: From the held side edge to the free one, mm.
        height: From foot to head, mm.
        at: Height of the load, mm.
        poisson: How much glass narrows as it is drawn out.

    Yields:
        Radians for each mm of height, and how far the wave stands out, mm.
    """
    for term in range(1, TERMS + 1):
        wave = term * math.pi / height
        share = math.sin(wave * at) / wave**4 * _free_edge(wave * width, poisson)
        yield wave, 2 / height * share


def _free_edge(wide: float, poisson: float) -> float:
    """Return what the free edge moves, against a strip that bends one way only.

    Args:
        wide: Width of the pane in waves of the term.
        poisson: How much glass narrows as it is drawn out.
    """
    less = 1 - poisson
    if wide > WIDE:
        return 1 + poisson * (1 + poisson) / (less * (3 + poisson))
    # 1 - cosh + wide sinh / 2 + c sinh + e wide cosh; no bending and no shear at the free edge
    # give c and e. All of it over cosh, which grows without end.
    tan, sec = math.tanh(wide), 1 / math.cosh(wide)
    bend_c, bend_e = less * tan, 2 * tan + less * wide
    bend = poisson * sec + less - (2 + less * wide * tan) / 2
    shear_c, shear_e = -less, 1 + poisson - less * wide * tan
    shear = -less * tan - ((1 + poisson) * tan - less * wide) / 2
    ground = bend_c * shear_e - bend_e * shear_c
    own = (bend * shear_e - bend_e * shear) / ground
    turned = (bend_c * shear - bend * shear_c) / ground
    return 1 + (wide * tan / 2 - 1 + own * tan + turned * wide) / sec
