"""Ranges of levers, and what a clause says over them."""

from collections.abc import Sequence
from dataclasses import dataclass

from ruleset.formula.boxes import WHOLE, Box, point

Range = tuple[int, int]
"""First and last option of a lever."""
Node = tuple[Range, ...]
"""A range for each narrow lever."""


@dataclass(frozen=True, slots=True)
class Said:
    """What a clause says over ranges.

    Attributes:
        code: Its outcome anywhere in them; UNKNOWN where they do not decide it.
        low: Least margin in them, internal units; nan where it compares nothing.
        high: Greatest margin in them.
    """

    code: int
    low: float
    high: float


def alone(options: Sequence[int]) -> Node:
    """Return a point as a node: each lever at one option."""
    return tuple([(option, option) for option in options])


def box_of(column: tuple[float, ...], ends: Range, *, rising: bool = False) -> Box:
    """Return where a column's values lie in a range of its options."""
    low, high = ends
    if low == high:
        return point(column[low])
    if rising:
        return (column[low], column[high])
    values = column[low : high + 1]
    if any(value != value for value in values):  # nan
        return WHOLE
    return (min(values), max(values))
