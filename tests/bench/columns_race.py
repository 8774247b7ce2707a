"""Columns against the same clauses written by hand in numpy, over many variants of one job."""

import math
import time
from collections.abc import Callable, Mapping
from typing import Any

import numpy as np

from ruleset.plan import sliced
from ruleset.program import Spelled, compile_columns, compile_plan

from .samples import Ground

BLOCK = 8_000
SIZES = (20_000, 200_000)
ROUNDS = 5
VARIED = (
    *("survey.front.width.sill", "survey.left.lean", "survey.right.lean", "design.fixed.split"),
    *(
        "design.door.overlap",
        "design.height",
        "design.fixed.first_hole",
        "design.door.handle.setback",
    ),
)
CLAUSES = (
    *("sliding.overlap-least", "sliding.overlap-most", "sliding.clear-opening"),
    *("sliding.can-close", "sliding.open-stop", "sliding.guide-closed", "sliding.door-to-bar"),
    *("sliding.door-to-fitting", "sliding.height-to-width", "sliding.knuckle-room"),
)
Columns = Mapping[str, Any]
HOLDS, FAILS, UNKNOWN = np.int8(1), np.int8(2), np.int8(3)
HAIR, SMALL = 1e-6, 1e-9


def _told(so: Any, not_so: Any) -> Any:  # noqa: ANN401  # arrays or plain values
    return np.where(so, HOLDS, np.where(not_so, FAILS, UNKNOWN))


def _at_least(have: Any, need: Any, hair: float = HAIR) -> Any:  # noqa: ANN401  # as above
    low = need - hair
    return _told(have >= low, have < low)


def _at_most(have: Any, need: Any, hair: float = HAIR) -> Any:  # noqa: ANN401  # as above
    high = need + hair
    return _told(have <= high, have > high)


def _on_grid(value: Any, grid: Any) -> Any:  # noqa: ANN401  # as above
    return np.floor(value / grid + 0.5 + SMALL) * grid


def by_hand(f: Columns, limit: Mapping[str, float]) -> tuple[Any, ...]:
    """Return the outcomes of `CLAUSES`, straight from the geometry, for an upright door.

    Args:
        f: Each fact, an array or a plain float, internal units.
        limit: Each limit by full name, internal units.
    """
    f_lean, s_lean = f["survey.left.lean"], f["survey.right.lean"]
    f_mid = f_lean / 2 + f["survey.left.bow"]
    s_mid = s_lean / 2 + f["survey.right.bow"]
    f_into = np.maximum(np.maximum(0.0, f_lean), f_mid)
    s_into = np.maximum(np.maximum(0.0, s_lean), s_mid)
    plumb = f["survey.front.width.sill"] - f_into - s_into
    grid, gap = f["job.grid"], f["design.fixed.wall_gap"]
    edge = gap + _on_grid(f["design.fixed.split"] - gap, grid)
    lift = f["design.fixed.sill_lift"]
    top = lift + _on_grid(f["design.height"] - lift, grid)
    bar = top - f["kit.drop"]
    part = bar / f["survey.front.head_height"]
    bowed = part * (1 - part) * 4
    start = f_lean * part + f["survey.left.bow"] * bowed - f_into
    finish = plumb + s_into - s_lean * part - f["survey.right.bow"] * bowed
    closed = plumb - f["kit.strike_gap"]
    width = _on_grid(closed - edge + f["design.door.overlap"], grid)
    door_top = bar + f["kit.bar.diameter"] / 2 + f["kit.wheel.tread"] + f["kit.wheel.axle_to_top"]
    height = _on_grid(door_top - f["design.door.floor_gap"], grid)
    overlap = edge - (closed - width)
    apart = f["kit.panel.face"] + f["kit.door.face"]
    passes = f["design.door.handle.panel_side"] <= apart - f["kit.pass_margin"] + HAIR
    reach = f["design.door.handle.setback"] + f["design.door.handle.half_width"]
    by_handle = np.where(passes, 0.0, edge + f["kit.handle_clear"] + reach)
    by_guide = edge + f["kit.guide.front"] + f["kit.guide.capture"]
    by_wall = width + f["kit.edge_room"]
    inset, flange, stop = f["kit.wheel.inset"], f["kit.wheel.flange"], f["kit.stop.length"]
    fit = f["kit.end.fit_reach"]
    by_stop = width - inset + flange + stop + fit + start
    open_at = np.maximum(np.maximum(np.maximum(by_handle, by_guide), by_wall), by_stop)
    clear = plumb - f["kit.bulb.free"] - open_at
    stop_at = open_at - width + inset - flange
    hole = gap + f["design.fixed.first_hole"] - f["kit.panel.fitting_half"]
    at_stop = _at_most(stop_at, hole)
    return (
        _at_least(overlap, limit["sliding.overlap-least.lap"]),
        _at_most(overlap, limit["sliding.overlap-most.lap"]),
        _at_least(clear, limit["sliding.clear-opening.access"]),
        _at_least(finish - (closed - inset + flange), stop + fit),
        np.where(f["kit.stop.captive"] == 0.0, np.int8(0), at_stop),
        _at_least(overlap - f["kit.guide.rear"], f["kit.guide.capture"]),
        _at_least(
            f["kit.door.face"] - f["kit.bar.diameter"] / 2, limit["sliding.door-to-bar.clear"]
        ),
        _at_least(f["kit.door.face"] - f["kit.end.radius"], limit["sliding.door-to-fitting.clear"]),
        _at_most(height / width, limit["sliding.height-to-width.ratio"], SMALL),
        _at_least(
            f["kit.strike_gap"]
            + f["design.door.handle.setback"]
            - f["design.door.handle.half_width"],
            limit["sliding.knuckle-room.knuckles"],
        ),
    )


def _compiled(on: Ground) -> Spelled:
    cases = {case.clause.name: case for case in on.base.plan.cases}
    plan = sliced(on.base.plan, (cases[name] for name in CLAUSES))
    return compile_columns(on.base.library, plan)


def _blocks(run: Callable[[Columns], tuple[Any, ...]], facts: Columns, many: int) -> list[Any]:
    found = []
    with np.errstate(all="ignore"):
        for at in range(0, many, BLOCK):
            part = {
                name: value[at : at + BLOCK] if isinstance(value, np.ndarray) else value
                for name, value in facts.items()
            }
            found.append(run(part))
    return found


def _facts(on: Ground, many: int) -> Columns:
    rng = np.random.default_rng(20)
    verdict = on.base
    facts: dict[str, Any] = {name: verdict.answer(name).value for name in verdict.plan.leaves}
    for name in VARIED:
        facts[name] = facts[name] * rng.uniform(0.8, 1.2, many)
    return facts


def results(on: Ground) -> Mapping[int, tuple[float, float, float]]:
    """Return, for each size, seconds of columns, of numpy by hand, and of the scalar program.

    The scalar program is timed over a hundredth of the variants and told for all of them.

    Raises:
        AssertionError: The contestants differ on some variant.
    """
    spelled = _compiled(on)
    limits = {name: limit.value for name, limit in on.base.library.limits.items()}
    ordered = [limits[name] for name in spelled.limits]
    scalar = compile_plan(on.base.library, spelled.plan)

    def ours(part: Columns) -> tuple[Any, ...]:
        outcomes, _ = spelled.call([part[name] for name in spelled.facts], ordered)
        return tuple(outcomes)

    def hand(part: Columns) -> tuple[Any, ...]:
        return by_hand(part, limits)

    found = {}
    for many in SIZES:
        facts = _facts(on, many)
        for one, other in zip(_blocks(ours, facts, many), _blocks(hand, facts, many), strict=True):
            for name, a, b in zip(CLAUSES, one, other, strict=True):
                if not (np.asarray(a) == b).all():
                    raise AssertionError(name)
        best = {"ours": math.inf, "hand": math.inf}
        for _ in range(ROUNDS):
            for key, run in (("ours", ours), ("hand", hand)):
                start = time.perf_counter()
                _blocks(run, facts, many)
                best[key] = min(best[key], time.perf_counter() - start)
        rows = [
            [
                float(v[at]) if isinstance(v, np.ndarray) else v
                for v in (facts[name] for name in scalar.facts)
            ]
            for at in range(0, many, 100)
        ]
        start = time.perf_counter()
        for row in rows:
            scalar.call(row, ordered)
        alone = (time.perf_counter() - start) * 100
        found[many] = (best["ours"], best["hand"], alone)
    return found
