"""How contestants are timed: in turns, so that a busy moment of the machine strikes all alike."""

import gc
import math
import time
from collections.abc import Callable, Mapping, Sequence
from typing import TypeVar

T = TypeVar("T")


def race(
    contestants: Mapping[str, Callable[[T], object]],
    inputs: Sequence[T],
    *,
    rounds: int,
    before: Callable[[], object] = lambda: None,
) -> dict[str, float]:
    """Return each contestant's mean over the inputs of its best time for each, seconds.

    Args:
        contestants: What is timed, by name; all are called in turn with one input, then the next.
        inputs: Equal inputs for all.
        rounds: How often the whole is done; the order of turns is reversed each time.
        before: Done before each call, untimed.
    """
    best = {name: [math.inf] * len(inputs) for name in contestants}
    turns = list(contestants.items())
    gc.collect()
    gc.disable()
    try:
        for _ in range(rounds):
            turns.reverse()
            for at, one in enumerate(inputs):
                for name, contestant in turns:
                    before()
                    start = time.perf_counter()
                    contestant(one)
                    best[name][at] = min(best[name][at], time.perf_counter() - start)
    finally:
        gc.enable()
    return {name: sum(times) / len(times) for name, times in best.items()}
