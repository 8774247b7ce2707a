"""The greatest value of what is measured along a way: sampled, then its hills climbed."""

import math
from collections.abc import Callable, Sequence

NEAR = 0.8  # a hill whose best sample is below this share of the best of all is not climbed
CLIMBS = 9  # leaves 1.3 % of two steps; what a hill's height lacks is of the order of its square
_GOLDEN = (math.sqrt(5.0) - 1.0) / 2.0

Measures = Callable[[float], tuple[float, ...]]
"""Several measures of one place, each with hills of its own; 0 or more."""


def greatest(measures: Measures, places: Sequence[float]) -> float:
    """Return the greatest of some measures over a stretch.

    Each measure is followed by itself, so that a hill of one never hides behind another's.

    Args:
        measures: What is measured at a place; always as many values, each 0 or more.
        places: The places that are sampled, rising: the stretch's ends, and between two of them
            no measure has more than one hill.

    Example:
        >>> round(greatest(lambda x: (x * (2 - x), 1 - abs(x - 1) / 9), [0.0, 0.7, 1.2, 2.0]), 4)
        1.0
    """
    samples = list(zip(*(measures(place) for place in places), strict=True))
    best: float = max(max(values) for values in samples)
    last = len(places) - 1
    for which, values in enumerate(samples):
        for at, value in enumerate(values):
            before, after = max(0, at - 1), min(last, at + 1)
            hill = values[before] <= value >= values[after] and value >= NEAR * best > 0.0
            if hill and before < after:
                best = max(best, _climb(measures, which, places[before], places[after]))
    return best


def _climb(measures: Measures, which: int, low: float, high: float) -> float:
    """Return the top of the one hill of a measure between two places, by golden section."""
    inner_low, inner_high = high - _GOLDEN * (high - low), low + _GOLDEN * (high - low)
    at_low, at_high = measures(inner_low)[which], measures(inner_high)[which]
    for _ in range(CLIMBS):
        if at_low < at_high:
            low, inner_low, at_low = inner_low, inner_high, at_high
            inner_high = low + _GOLDEN * (high - low)
            at_high = measures(inner_high)[which]
        else:
            high, inner_high, at_high = inner_high, inner_low, at_low
            inner_low = high - _GOLDEN * (high - low)
            at_low = measures(inner_low)[which]
    return max(at_low, at_high)
