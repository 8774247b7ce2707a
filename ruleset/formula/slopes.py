"""How fast a peak of sums grows with each lever, anywhere in a range: which end of it is worst."""

import math
from collections.abc import Mapping

from .boxes import WHOLE, Box, add, hull, multiply
from .sums import Atom, Peak, Sum, Within

NONE: Box = (0.0, 0.0)
Slopes = Mapping[str, Box]
"""Bounds of the slope for each lever; a lever that is not in it moves nothing."""


class Growing:
    """The slopes of all that was asked in one range; each is worked out once."""

    def __init__(self, within: Within) -> None:
        """Take the range."""
        self._within = within
        self._known = within.grown

    def of(self, peak: Peak) -> Slopes:
        """Return the slopes of a peak: of any sum that may be its greatest or least."""
        found: dict[str, Box] | None = None
        for one in self.active(peak):
            slopes = self.of_sum(one)
            if found is None:
                found = dict(slopes)
                continue
            for name in found.keys() | slopes.keys():
                found[name] = hull(found.get(name, NONE), slopes.get(name, NONE))
        return found or {}

    def active(self, peak: Peak) -> list[Sum]:
        """Return the sums of a peak that may be its greatest or least somewhere in the range."""
        if len(peak.of) == 1:
            return list(peak.of)
        boxes = [one.box(self._within) for one in peak.of]
        if peak.way > 0:
            least = max([low for low, _ in boxes])
            return [one for one, box in zip(peak.of, boxes, strict=True) if box[1] >= least]
        most = min([high for _, high in boxes])
        return [one for one, box in zip(peak.of, boxes, strict=True) if box[0] <= most]

    def of_sum(self, one: Sum) -> Slopes:
        """Return the slopes of a sum."""
        found: dict[str, Box] = {}
        for atom, factor in one.terms.items():
            if atom.lever:
                _add(found, atom.lever, (factor, factor))
                continue
            for name, slope in self._of_atom(atom).items():
                _add(found, name, multiply((factor, factor), slope))
        return found

    def _of_atom(self, atom: Atom) -> Slopes:
        if atom not in self._known:
            self._known[atom] = self._made(atom)
        return self._known[atom]

    def _made(self, atom: Atom) -> Slopes:
        low, high = self._within.box(atom)
        if low == high:
            return {}
        if atom.slopes is None:
            return dict.fromkeys(atom.levers, WHOLE)
        found: dict[str, Box] = {}
        for part, factor in zip(atom.parts, atom.slopes(self._within), strict=True):
            if factor == NONE:
                continue
            for name, slope in self.of(part).items():
                _add(found, name, multiply(factor, slope))
        return found


def most_of(one: Sum, within: Within) -> float:
    """Return what a sum does not exceed in a range."""
    return best_of(one, Growing(within).of_sum(one), within)


def best_of(one: Sum, slopes: Slopes, within: Within) -> float:
    """Return what a sum does not exceed in a range, by the end of each lever that is best for it.

    Where a slope may have either sign, the other end is better by no more than the slope tells.

    Args:
        one: The sum.
        slopes: How fast it grows with each lever there.
        within: The range.
    """
    ends: dict[str, Box] = {}
    better = 0.0
    if one.is_plain:
        return one.box(within)[1]
    for name, (least, most) in slopes.items():
        low, high = within.fact(name)
        at, slope = (high, -least) if most > -least else (low, most)
        if slope <= 0.0 or math.isfinite(slope):
            ends[name] = (at, at)
            better += max(0.0, slope) * (high - low)
    return one.box(Within(lambda name: ends.get(name) or within.fact(name)))[1] + better


def _add(found: dict[str, Box], name: str, slope: Box) -> None:
    found[name] = add(found[name], slope) if name in found else slope
