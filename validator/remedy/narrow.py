"""Ranges of levers made narrower: what a sum leaves of each, the others doing their best for it."""

import math
from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence

from ruleset.formula.sums import Atom, Look, Peak, Sum

Places = Mapping[str, tuple[int, Sequence[float]]]
"""Where the lever of a fact stands in a node, and its values, which rise with its options."""
Ranges = list[tuple[int, int]]


class Empty(Exception):
    """Nothing in the ranges does."""


class Narrowing:
    """The ranges of one node while they are made narrower."""

    def __init__(self, ranges: Ranges, places: Places, look: Look) -> None:
        """Take the ranges; they are changed in place.

        Args:
            ranges: First and last option of each lever.
            places: Where the levers stand.
            look: Gives the box of a fact that is in no range, or whose values do not rise; may
                raise KeyError.
        """
        self.ranges = ranges
        self._places = places
        self._look = look

    def at_least(self, peak: Peak, bound: float) -> None:
        """Leave out what surely keeps a peak under a bound.

        Raises:
            Empty: Nothing is left.
        """
        if peak.way <= 0:
            for one in peak.of:
                try:
                    self._sum_at_least(one, bound)
                except KeyError:  # a step that is no sum
                    continue

    def _sum_at_least(self, one: Sum, bound: float) -> None:
        high = one.constant
        levers: list[tuple[int, Sequence[float], float, float]] = []
        products: list[tuple[Atom, float, float]] = []
        for atom, factor in one.terms.items():
            place = self._places.get(atom.lever)
            if place is not None:
                which, column = place
                best = column[self.ranges[which][1 if factor > 0 else 0]]
                levers.append((which, column, factor, best))
            else:
                best = atom.box(self._look)[1 if factor > 0 else 0]
                if atom.product is not None:
                    products.append((atom, factor, best))
            high += factor * best
        slack = high - bound
        if slack < 0:
            raise Empty
        if not math.isfinite(slack):
            return
        for which, column, factor, best in levers:
            self._lever(which, column, best - slack / factor, rises=factor > 0)
        for atom, factor, best in products:
            self._product(atom, best - slack / factor, rises=factor > 0)

    def _lever(self, which: int, column: Sequence[float], end: float, *, rises: bool) -> None:
        low, high = self.ranges[which]
        if rises:
            low = max(low, bisect_left(column, end, low, high + 1))
        else:
            high = min(high, bisect_right(column, end, low, high + 1) - 1)
        if low > high:
            raise Empty
        self.ranges[which] = (low, high)

    def _product(self, atom: Atom, end: float, *, rises: bool) -> None:
        """Leave out what keeps a product of two sums, neither below nothing, past an end."""
        if atom.product is None:
            return
        boxes = [one.box(self._look) for one in atom.product]
        if min(boxes[0][0], boxes[1][0]) <= 0 or end <= 0:
            return
        for one, other in ((0, 1), (1, 0)):
            if rises:
                self.at_least(atom.product[one], end / boxes[other][1])
            else:
                self.at_least(atom.negative[one], -end / boxes[other][0])
