"""The corner of a range at which a margin is least, told from how it grows with each lever.

Where a margin never grows with a lever, or never falls, it is least at one end of it, wherever the
others are. With that end taken less is open of the others, and so on; what may still do either is
tried at both ends, each followed by itself.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

from .boxes import Box
from .slopes import Growing
from .sums import Peak, Within, single

Ends = Mapping[str, int]
"""-1 for the lower end of a lever's range, 1 for the upper one; a lever left out moves nothing."""
MOST = 100
"""Ranges that are looked into for one margin."""


class TooMany(Exception):
    """More ranges would have to be looked into."""


@dataclass(slots=True)
class Corners:
    """The corners of which one is surely the worst, of those that are worse than a margin known.

    Attributes:
        least: What the margin surely comes down to: what is no worse is not looked into.
        hair: How much worse does not count.
        found: The corners, and those from which a way inward may lead to what is worse.
        counts: The levers that the margin depends on.
        bent: Levers that were tried at both ends: a point between them may be worse still.
        left: Ranges that may still be looked into.
    """

    least: float
    hair: float
    found: list[Ends] = field(default_factory=list)
    counts: frozenset[str] = frozenset()
    bent: set[str] = field(default_factory=set)
    left: int = MOST

    def look(self, peak: Peak, ranges: Mapping[str, Box]) -> None:
        """Look for the worst corners of a margin.

        Raises:
            TooMany: It takes too many looks.
        """
        self.counts = peak.levers
        for one in peak.of if peak.way < 0 else ():
            self._look(single(one), ranges, {})
        if peak.way >= 0:
            self._look(peak, ranges, {})

    def _look(self, peak: Peak, ranges: Mapping[str, Box], ends: Ends) -> None:
        while True:
            if not self.left:
                raise TooMany
            self.left -= 1
            within = Within(ranges.__getitem__)
            if peak.box(within)[0] >= self.least - self.hair:
                return
            slopes = {n: s for n, s in Growing(within).of(peak).items() if n not in ends}
            surely = {name: way for name, slope in slopes.items() if (way := _way(slope))}
            if not surely:
                break
            ends = {**ends, **surely}
            ranges = _narrowed(ranges, surely)
        open_ = {name: slope for name, slope in slopes.items() if slope[0] < 0.0 < slope[1]}
        # From the end that most points to, the others lead down no faster than they may at all.
        nearest = {name: -1 if -low <= high else 1 for name, (low, high) in open_.items()}
        drops = {n: min(-low, high) * _width(ranges[n]) for n, (low, high) in open_.items()}
        at = Within(_narrowed(ranges, nearest).__getitem__)
        low, high = peak.box(at)
        if low < self.least or open_:
            self.least = min(self.least, high)
            self.found.append({**ends, **nearest})
        if not open_ or low - sum(drops.values()) >= self.least - self.hair:
            return
        if math.isinf(max(drops.values())) and 2 ** len(open_) > self.left:
            raise TooMany  # what jumps is told at no corner but its own
        self.bent |= open_.keys()
        most = max(open_, key=drops.__getitem__)
        for way in (nearest[most], -nearest[most]):
            self._look(peak, _narrowed(ranges, {most: way}), {**ends, most: way})


def _narrowed(ranges: Mapping[str, Box], ends: Ends) -> Mapping[str, Box]:
    points = {name: ranges[name][0 if way < 0 else 1] for name, way in ends.items()}
    return {**ranges, **{name: (end, end) for name, end in points.items()}}


def _way(slope: Box) -> int:
    """Return the end at which what grows so is least; 0 where that is not told."""
    low, high = slope
    return -1 if low >= 0.0 < high else 1 if high <= 0.0 > low else 0


def _width(box: Box) -> float:
    return box[1] - box[0]
