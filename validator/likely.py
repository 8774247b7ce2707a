"""What tolerances take by chance: the root-sum-square, of each branch of a margin by itself.

What each tolerance takes alone adds up by squares where a margin is a sum. Where it is the least of
several, as the way in is with a door that its handle or its wall stops, each branch has its own
root-sum-square, and the greatest of them counts: tolerances of one branch take nothing of another.
"""

import math
from collections.abc import Callable, Iterable, Sequence

Ways = tuple[float, ...]
"""What each tolerance is off by, as a share of its most; squares add up to 1."""
STEP = 0.5  # of a tolerance: for how much a margin changes with it
ROUNDS = 3  # times the best way is made steeper


def least_by_chance(
    margin: Callable[[Sequence[float]], float], starts: Iterable[Sequence[float]]
) -> tuple[Ways, float]:
    """Return the ways in which chance takes most of a margin, and the margin there.

    Of a sum that is exact, and of the least of several sums where each is the least at a start.

    Args:
        margin: The margin where each tolerance is off by a share of its most.
        starts: Where to begin, one or more; each is scaled to what chance allows.

    Example:
        >>> ways, left = least_by_chance(lambda t: 9 - 3 * t[0] - 4 * t[1], [(1, 1)])
        >>> [round(one, 3) for one in ways], round(left, 3)
        ([0.6, 0.8], 4.0)
        >>> least_by_chance(lambda t: min(9 - 3 * t[0], 9 - 4 * t[1]), [(1, 0), (0, 1)])
        ((0.0, 1.0), 5.0)
    """
    tried = [_scaled(start) for start in starts]
    left, ways = min(((margin(one), one) for one in tried), key=lambda one: one[0])
    for _ in range(ROUNDS):
        steeper = _scaled(_slope(margin, ways))
        here = margin(steeper)
        if not here < left:
            break
        left, ways = here, steeper
    return ways, left


def _scaled(ways: Sequence[float]) -> Ways:
    size = math.sqrt(sum(one * one for one in ways))
    return tuple(one / size for one in ways) if size else tuple(ways)


def _slope(margin: Callable[[Sequence[float]], float], ways: Ways) -> Ways:
    """Return how much the margin falls with each tolerance around a point."""
    found = []
    for at, one in enumerate(ways):
        less, more = (margin([*ways[:at], one + step, *ways[at + 1 :]]) for step in (-STEP, STEP))
        found.append(less - more)
    return tuple(found)
