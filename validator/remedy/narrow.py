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
        made: list[tuple[Atom, float, float]] = []
        for atom, factor in one.terms.items():
            place = self._places.get(atom.lever)
            if place is not None:
                which, column = place
                best = column[self.ranges[which][1 if factor > 0 else 0]]
                levers.append((which, column, factor, best))
            else:
                best = atom.box(self._look)[1 if factor > 0 else 0]
                if atom.how:
                    made.append((atom, factor, best))
            high += factor * best
        slack = high - bound
        if slack < 0:
            raise Empty
        if not math.isfinite(slack):
            return
        for which, column, factor, best in levers:
            self._lever(which, column, best - slack / factor, rises=factor > 0)
        for atom, factor, best in made:
            self._parts(atom, best - slack / factor, rises=factor > 0)

    def _lever(self, which: int, column: Sequence[float], end: float, *, rises: bool) -> None:
        low, high = self.ranges[which]
        if rises:
            low = max(low, bisect_left(column, end, low, high + 1))
        else:
            high = min(high, bisect_right(column, end, low, high + 1) - 1)
        if low > high:
            raise Empty
        self.ranges[which] = (low, high)

    def _parts(self, atom: Atom, end: float, *, rises: bool) -> None:
        """Leave out what keeps an atom from being at least an end, or at most where none `rises`.

        Of a product and a quotient only what stays above nothing is told.
        """
        one, other = (part.box(self._look) for part in atom.parts)
        if atom.how == "choice":
            if one == (1.0, 1.0):
                self._past(atom, 1, end, rises=rises)
        elif min(one[0], other[0]) <= 0 or end <= 0:
            return
        elif atom.how == "product":
            self._past(atom, 0, end / other[1 if rises else 0], rises=rises)
            self._past(atom, 1, end / one[1 if rises else 0], rises=rises)
        else:
            self._past(atom, 0, end * other[0 if rises else 1], rises=rises)
            self._past(atom, 1, one[1 if rises else 0] / end, rises=not rises)

    def _past(self, atom: Atom, part: int, end: float, *, rises: bool) -> None:
        if rises:
            self.at_least(atom.parts[part], end)
        else:
            self.at_least(atom.negative[part], -end)
