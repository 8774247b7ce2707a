"""The header bar by slope and deflection, with the door walked along it in small steps.

Each stretch between supports is taken as held fast at both ends, and then the ends turn until the
moments at every support agree: the displacement method of any textbook of structural analysis, with
the handbook's fixed beam under a load. Down is positive, and so are moments that make the bar sag.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .shape import Array

STEPS = 161
FINER = 17
PASSES = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """A bar on rigid supports, with two equal wheels that stay a pitch apart.

    Attributes:
        span: From end to end, mm; it is pinned at both.
        holds: Places of the fittings that hold it, from the left end, mm.
        pitch: From wheel to wheel, mm.
        load: Force of one wheel, N.
        stiffness: E I, N mm2.
    """

    span: float
    holds: tuple[float, ...]
    pitch: float
    load: float
    stiffness: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Bent:
    """What a bar does, for each place of the trailing wheel.

    Attributes:
        sag: Deepest place of the bar, mm.
        moment: Greatest bending moment either way, N mm.
        push: Greatest force down on one fitting, N; 0 without fittings.
        slope: Mean of the slopes under both wheels, rad; both carry the same.
    """

    sag: Array
    moment: Array
    push: Array
    slope: Array


def fast(x: Array, d: Array, long: Array) -> tuple[Array, Array]:
    """Return move and slope at `x` of a beam held fast at both ends; load 1 at `d`, E I 1."""
    past = x > d
    x, d = np.where(past, long - x, x), np.where(past, long - d, d)
    c = long - d
    y = c**2 * x**2 * (3 * d * long - (3 * d + c) * x) / (6 * long**3)
    slope = c**2 * x * (2 * d * long - (3 * d + c) * x) / (2 * long**3)
    return y, np.where(past, -slope, slope)


def bend(bar: Bar, firsts: Sequence[float] | Array) -> Bent:
    """Return what the bar does with its trailing wheel at each of some places, mm from its left."""
    first = np.asarray(firsts, dtype=float)
    supports = np.array([0.0, *sorted(bar.holds), bar.span])
    long = np.diff(supports)
    wheels = np.stack([first, first + bar.pitch], axis=1)
    in_ = np.clip(np.searchsorted(supports, wheels, side="right") - 1, 0, len(long) - 1)
    here = in_[:, :, None] == np.arange(len(long))  # place, wheel, stretch
    d = np.where(here, wheels[:, :, None] - supports[:-1], 0.0)
    c = np.where(here, long - d, 0.0)
    start = -(d * c**2 / long**2).sum(axis=1)  # moments of the stretches held fast
    end = -(d**2 * c / long**2).sum(axis=1)
    count = len(supports)
    stiff = np.zeros((count, count))
    uneven = np.zeros((len(first), count))
    for at, one in enumerate(long):
        stiff[at : at + 2, at : at + 2] += np.array([[4, 2], [2, 4]]) / one
        uneven[:, at] -= start[:, at]
        uneven[:, at + 1] += end[:, at]
    turn: Array = np.linalg.solve(stiff, uneven.T).T.astype(np.float64)
    start = start + (4 * turn[:, :-1] + 2 * turn[:, 1:]) / long
    end = end - (2 * turn[:, :-1] + 4 * turn[:, 1:]) / long
    carries = (end - start) / long
    push = np.zeros((len(first), count))
    push[:, :-1] += (c / long).sum(axis=1) + carries
    push[:, 1:] += (d / long).sum(axis=1) - carries
    at, own = wheels - supports[in_], np.take(long, in_)
    under, y, slope = _under(here, at, own, turn, in_, start, end)
    scale = bar.load / bar.stiffness
    places = np.concatenate([np.broadcast_to(supports, (len(first), count)), wheels], axis=1)
    order = np.argsort(places, axis=1)
    level = np.concatenate([np.zeros_like(turn), y], axis=1)
    steep = np.concatenate([turn, slope], axis=1)
    sag = _deepest(*(np.take_along_axis(one, order, axis=1) for one in (places, level, steep)))
    inner = push[:, 1:-1] if bar.holds else np.zeros((len(first), 1))
    return Bent(
        sag=sag * scale,
        moment=np.abs(np.concatenate([start, end, under], axis=1)).max(axis=1) * bar.load,
        push=inner.max(axis=1) * bar.load,
        slope=slope.mean(axis=1) * scale,
    )


def _under(
    here: NDArray[np.bool_],
    at: Array,
    long: Array,
    turn: Array,
    stretch: NDArray[np.int64],
    start: Array,
    end: Array,
) -> tuple[Array, Array, Array]:
    """Return moment, move and slope under each wheel."""
    left, right = (np.take_along_axis(turn, stretch + k, axis=1) for k in (0, 1))
    s = at / long
    y = left * at * (1 - s) ** 2 - right * at * s * (1 - s)
    slope = left * (1 - s) * (1 - 3 * s) + right * s * (3 * s - 2)
    a, b = (np.take_along_axis(one, stretch, axis=1) for one in (start, end))
    moment = a * (1 - s) + b * s
    together = (here[:, :1] == here[:, 1:]).all(axis=2)
    for other in (at, at[:, ::-1]):
        counts = 1.0 if other is at else together
        more, steeper = fast(at, other, long)
        y, slope = y + counts * more, slope + counts * steeper
        moment = moment + counts * np.minimum(at, other) * (long - np.maximum(at, other)) / long
    return moment, y, slope


def _deepest(place: Array, y: Array, steep: Array) -> Array:
    """Return the lowest place of the cubics between places, looked for where each is level."""
    size = np.diff(place, axis=1)
    y1, y2 = y[:, :-1], y[:, 1:]
    t1, t2 = steep[:, :-1] * size, steep[:, 1:] * size
    cube, square = 2 * y1 + t1 - 2 * y2 + t2, -3 * y1 - 2 * t1 + 3 * y2 - t2
    root = np.sqrt(np.maximum(square**2 - 3 * cube * t1, 0.0))
    best = np.maximum(y1, y2)
    for sign in (-1.0, 1.0):
        below = square + sign * root
        s = np.clip(np.divide(-t1, below, out=np.zeros_like(t1), where=below != 0), 0.0, 1.0)
        best = np.maximum(best, y1 + s * (t1 + s * (square + s * cube)))
    return np.asarray(best.max(axis=1))


def greatest(bar: Bar, first: float, travel: float) -> tuple[float, float, float]:
    """Return the greatest sag, moment and push over the travel of the door.

    Args:
        bar: The bar.
        first: Trailing wheel of the open door from the bar's left end, mm.
        travel: How far the door rolls to the right from there, mm.
    """
    supports = np.array([0.0, *bar.holds, bar.span])
    meets = np.concatenate([supports, supports - bar.pitch])
    inside = meets[(meets > first) & (meets < first + travel)]
    places = np.sort(np.concatenate([np.linspace(first, first + travel, STEPS), inside]))
    walks = [places] * 3
    best = (0.0, 0.0, 0.0)
    for _ in range(PASSES):
        every, back = np.unique(np.concatenate(walks), return_inverse=True)
        bent = bend(bar, every)
        parts = np.split(back, np.cumsum([len(walk) for walk in walks])[:-1])
        tops = [
            (read[part], walk)
            for read, part, walk in zip(
                (bent.sag, bent.moment, bent.push), parts, walks, strict=True
            )
        ]
        best = tuple(float(values.max()) for values, _ in tops)  # type: ignore[assignment]  # three
        walks = [_closer(walk, int(values.argmax())) for values, walk in tops]
    return best


def _closer(walk: Array, at: int) -> Array:
    """Return places about one of a walk, its neighbours the ends."""
    low, high = walk[max(at - 1, 0)], walk[min(at + 1, len(walk) - 1)]
    return np.sort(np.append(np.linspace(low, high, FINER), walk[at]))
