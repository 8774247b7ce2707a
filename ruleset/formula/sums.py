"""Sums of levers with their factors, and the greatest and the least of such sums.

A box forgets that two values move together: a height less itself seems to lie anywhere. In a sum
what cancels does cancel, and a sum goes into the operands of a greatest or a least. What is no such
sum is an atom: it has bounds, knows what it is made of, and cancels with itself.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

from .boxes import Box, divide, multiply, negative

MOST_OPERANDS = 24
ONE: Box = (1.0, 1.0)
NOTHING: frozenset[str] = frozenset()


class NoSum(Exception):
    """A formula that has no bounds: something in it is missing."""


class Within:
    """A range of the levers, and the bounds of all that was asked in it; each is worked out once.

    Attributes:
        fact: Gives the box of a lever's fact.
        known: The bounds of the atoms asked so far.
        grown: How fast those asked so far grow with each lever, by its fact.
    """

    __slots__ = ("fact", "grown", "known")

    def __init__(self, fact: Callable[[str], Box]) -> None:
        """Take the range.

        Args:
            fact: Gives the box of a lever's fact.
        """
        self.fact = fact
        self.known: dict[Atom, Box] = {}
        self.grown: dict[Atom, Mapping[str, Box]] = {}

    def box(self, atom: "Atom") -> Box:
        """Return the bounds of an atom."""
        found = self.known.get(atom)
        if found is None:
            found = self.known[atom] = atom.box(self)
        return found


@dataclass(frozen=True, slots=True, eq=False)
class Atom:
    """Something that varies; told from others by what it is, not by its bounds.

    Attributes:
        box: Gives its bounds.
        levers: The facts of the levers that it depends on.
        lever: The fact of the lever that it is; "" for none.
        is_quotient: Whether it is its first part through its second.
        parts: What it is made of.
        slopes: Gives the bounds of how fast it grows with each part; None where it may jump.
    """

    box: Callable[[Within], Box]
    levers: frozenset[str]
    lever: str = ""
    is_quotient: bool = False
    parts: "tuple[Peak, ...]" = ()
    slopes: Callable[[Within], tuple[Box, ...]] | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Sum:
    """A constant and atoms with their factors."""

    constant: float
    terms: Mapping[Atom, float]

    @property
    def is_plain(self) -> bool:
        """Return whether it is of levers alone."""
        return all(atom.lever for atom in self.terms)

    def box(self, within: Within) -> Box:
        """Return its bounds."""
        low = high = self.constant
        known = within.known
        for atom, factor in self.terms.items():
            one = known.get(atom) or within.box(atom)  # one call less for most
            if factor > 0:
                low += factor * one[0]
                high += factor * one[1]
            else:
                low += factor * one[1]
                high += factor * one[0]
        return (low, high)

    def plus(self, other: "Sum", sign: float) -> "Sum":
        """Return the sum of two, the other one times a sign."""
        terms = dict(self.terms)
        for atom, factor in other.terms.items():
            # What rounding leaves of those that cancel stays: bounds are wider for it, never wrong.
            together = terms.get(atom, 0.0) + sign * factor
            if together:
                terms[atom] = together
            else:
                terms.pop(atom, None)
        return Sum(constant=self.constant + sign * other.constant, terms=terms)

    def times(self, factor: float) -> "Sum":
        """Return the sum times a number."""
        if not factor:
            return constant(0.0)
        terms = {atom: own * factor for atom, own in self.terms.items()}
        return Sum(constant=self.constant * factor, terms=terms)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Peak:
    """The greatest (`way` 1) or the least (`way` -1) of sums; of one, the sum itself (`way` 0)."""

    way: int
    of: tuple[Sum, ...]
    _whole: "list[Peak]" = field(default_factory=list, repr=False)

    @property
    def levers(self) -> frozenset[str]:
        """Return the facts of the levers that it depends on."""
        return NOTHING.union(*(atom.levers for one in self.of for atom in one.terms))

    @property
    def fixed(self) -> float | None:
        """Return the value of what does not vary, None for what does."""
        return self.of[0].constant if len(self.of) == 1 and not self.of[0].terms else None

    @property
    def whole(self) -> "Peak":
        """Return it as a sum: itself, or an atom that stands for the greatest or the least."""
        if len(self.of) == 1:
            return self
        # Made once: an atom cancels with itself only, not with another of the same bounds.
        if not self._whole:
            self._whole.append(atom_of(self.box, self, slopes=lambda _: (ONE,)))
        return self._whole[0]

    def box(self, within: Within) -> Box:
        """Return its bounds."""
        if len(self.of) == 1:
            return self.of[0].box(within)
        boxes = [one.box(within) for one in self.of]
        pick = min if self.way < 0 else max
        return (pick([one[0] for one in boxes]), pick([one[1] for one in boxes]))


def constant(value: float) -> Sum:
    """Return a sum that does not vary."""
    if not math.isfinite(value):
        raise NoSum
    return Sum(constant=value, terms={})


def lever_of(fact: str) -> Atom:
    """Return a lever by its fact."""
    return Atom(lambda within: within.fact(fact), frozenset((fact,)), fact)


def single(one: Sum) -> Peak:
    """Return a sum as a peak of one."""
    return Peak(way=0, of=(one,))


def added(left: Peak, right: Peak) -> Peak:
    """Return the sum of two peaks; where it is no peak of sums, one of them counts as an atom."""
    # max(a, b) + max(c, d) is the greatest of all four sums. A greatest and a least have no such
    # form: one of them becomes an atom, which no longer cancels with what is in the other.
    if left.way * right.way < 0 or len(left.of) * len(right.of) > MOST_OPERANDS:
        # What is the least of sums can be made narrower, so that it is kept; else the larger.
        if (left.way, -len(left.of)) <= (right.way, -len(right.of)):
            right = right.whole
        else:
            left = left.whole
    way = left.way or right.way
    return peak_of(way, [one.plus(two, 1.0) for one in left.of for two in right.of])


def scaled(peak: Peak, factor: float) -> Peak:
    """Return a peak times a number that is not 0."""
    way = peak.way if factor > 0 else -peak.way
    return Peak(way=way, of=tuple(one.times(factor) for one in peak.of))


def peak_of(way: int, sums: Sequence[Sum]) -> Peak:
    """Return a peak of sums; of those that differ by a constant only one counts."""
    if len(sums) == 1:
        return single(sums[0])
    # Without this the operands of nested peaks would multiply up to MOST_OPERANDS with copies.
    pick = min if way < 0 else max
    found: dict[frozenset[tuple[Atom, float]], Sum] = {}
    for one in sums:
        key = frozenset(one.terms.items())
        found[key] = pick(one, found.get(key, one), key=lambda other: other.constant)
    return Peak(way=way if len(found) > 1 else 0, of=tuple(found.values()))


def multiplied(left: Peak, right: Peak) -> Peak:
    """Return the product of two peaks."""
    for one, other in ((left, right), (right, left)):
        if one.fixed is not None:
            return scaled(other, one.fixed) if one.fixed else single(constant(0.0))
    for one, other in ((left, right), (right, left)):
        made = _reduced(one, other)
        if made is not None:
            return made
    return atom_of(
        lambda within: multiply(left.box(within), right.box(within)),
        left,
        right,
        slopes=lambda within: (right.box(within), left.box(within)),
    )


def _reduced(one: Peak, other: Peak) -> Peak | None:
    """Return a quotient times a sum that holds its divisor, without that; None for any other.

    With n / d times k d + r it is k n + r (n / d), in which the divisor stands once less.
    """
    if len(one.of) != 1 or len(other.of) != 1 or len(one.of[0].terms) != 1 or one.of[0].constant:
        return None
    ((quotient, factor),) = one.of[0].terms.items()
    if not quotient.is_quotient or any(len(part.of) != 1 for part in quotient.parts):
        return None
    above, below = (part.of[0] for part in quotient.parts)
    first, own = next(iter(below.terms.items()))
    times = other.of[0].terms.get(first, 0.0) / own
    rest = other.of[0].plus(below, -times)
    if not times or len(rest.terms) >= len(other.of[0].terms):
        return None
    return added(single(above.times(factor * times)), multiplied(one, single(rest)))


def divided(left: Peak, right: Peak) -> Peak:
    """Return the quotient of two peaks.

    Raises:
        NoSum: The divisor is 0.
    """
    if right.fixed is not None:
        if not right.fixed:
            raise NoSum
        return scaled(left, 1.0 / right.fixed)

    def slopes(within: Within) -> tuple[Box, ...]:
        under = divide(ONE, right.box(within))
        return under, multiply(multiply(left.box(within), negative(under)), under)

    return atom_of(
        lambda within: divide(left.box(within), right.box(within)),
        left,
        right,
        is_quotient=True,
        slopes=slopes,
    )


def atom_of(
    box: Callable[[Within], Box],
    *parts: Peak,
    is_quotient: bool = False,
    slopes: Callable[[Within], tuple[Box, ...]] | None = None,
) -> Peak:
    """Return an atom as a peak.

    Args:
        box: Gives its bounds.
        parts: What it is made of.
        is_quotient: Whether it is its first part through its second.
        slopes: Gives the bounds of how fast it grows with each part; None where it may jump.
    """
    levers = NOTHING.union(*(one.levers for one in parts))
    atom = Atom(box, levers, is_quotient=is_quotient, parts=parts, slopes=slopes)
    return single(Sum(constant=0.0, terms={atom: 1.0}))
