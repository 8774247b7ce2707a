"""Ranges of levers made narrower: what a sum leaves of each, the others doing their best for it."""

import math
from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence

from ruleset.formula.slopes import Growing, best_of
from ruleset.formula.sums import Sum, Within

Places = Mapping[str, tuple[int, Sequence[float]]]
"""Where the lever of a fact stands in a node, and its values, which rise with its options."""
Ranges = list[tuple[int, int]]


class Empty(Exception):
    """Nothing in the ranges does."""


def narrow(one: Sum, bound: float, ranges: Ranges, places: Places, within: Within) -> None:
    """Leave out of ranges what surely keeps a sum under a bound.

    Args:
        one: The sum.
        bound: The bound.
        ranges: First and last option of each lever; changed in place.
        places: Where the levers stand whose values rise.
        within: The bounds of what is made of them, in these ranges or in wider ones.

    Raises:
        Empty: Nothing is left.
    """
    if one.box(within)[0] >= bound:
        return
    slopes = Growing(within).of_sum(one)
    slack = best_of(one, slopes, within) - bound
    if slack < 0:
        raise Empty
    if math.isinf(slack):
        return
    for name, (least, most) in slopes.items():
        place = places.get(name)
        if place is None or least <= 0.0 <= most:
            continue
        which, column = place
        first, last = ranges[which]
        ends = within.fact(name)
        if least > 0.0:  # each step down from the upper end takes so much at least
            first = max(first, bisect_left(column, ends[1] - slack / least, first, last + 1))
        else:
            last = min(last, bisect_right(column, ends[0] - slack / most, first, last + 1) - 1)
        if first > last:
            raise Empty
        ranges[which] = (first, last)
