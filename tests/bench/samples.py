"""Jobs to measure with: the fixtures' values, moved at random, sorted by what becomes of them."""

import math
import random
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from ruleset.library import Library
from ruleset.plan import sliced
from ruleset.program import Program, compile_plan
from ruleset.turns import HAND
from validator import Job, Rules, Verdict, judge, load_job, load_rules

from .by_hand_inputs import FACTS, LIMITS

ROOT = Path(__file__).resolve().parent.parent.parent
FIXTURES = tuple(
    ROOT / "fixtures" / "jobs" / f"holds-{name}.yaml"
    for name in ("millimetres", "ordinary", "walls-only")
)
BOOKS = ("bar", "opening", "sliding", "doors")
OF_ROWS = ("doors.second-hole", "doors.stray-hole")
"""Clauses that count the rows of a list; the first fixture has none."""
AS_BUILT = {
    "as_built.bar.level": 0.0,  # mm
    "as_built.door.retainers_set": 1.0,
    "as_built.bar.stops_fitted": 2.0,
    "as_built.door.handle_clearance": 60.0,  # mm
    "as_built.door.floor_gap.leading": 10.0,  # mm
    "as_built.door.floor_gap.trailing": 10.0,  # mm
    "as_built.door.floor_gap.open": 10.0,  # mm
}
STEP = 1.5875  # mm, 1/16 in
DAY = 86400.0  # s


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """The clauses of three books, compiled, and the jobs they are asked of.

    Attributes:
        base: A fixture's verdict, for the library and the kinds of names.
        program: The program of the three books and the workings they need.
        starts: The fixtures and the values they begin with.
    """

    base: Verdict
    program: Program
    starts: tuple[tuple[Job, Mapping[str, float]], ...]

    @property
    def library(self) -> Library:
        return self.base.library

    @property
    def limits(self) -> list[float]:
        """Return the limits in the program's order, internal units."""
        return [self.library.limits[name].value for name in self.program.limits]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """One job, in the form that each contestant takes it in.

    Attributes:
        job: The fixture it was made from.
        named: Value of each fact, nan where it is missing.
        facts: The same in the program's order.
        by_hand: The same for the hand-written version: words as text, yes/no as bool, both None
            where they are missing.
    """

    job: Job
    named: Mapping[str, float]
    facts: list[float]
    by_hand: tuple[tuple[Any, ...], ...]


def ground() -> Ground:
    """Return the three books compiled, and the fixtures' values."""
    rules = load_rules(installed=False)
    verdicts = [judge(_left(load_job(path, rules), rules), rules) for path in FIXTURES]
    base = verdicts[0]
    # What is asked of the rows of a list is left out: by hand there are none.
    asked = (
        case
        for case in base.plan.cases
        if case.clause.book in BOOKS and "[" not in case.subject and case.clause.name not in OF_ROWS
    )
    cases = tuple(sorted(asked, key=lambda case: BOOKS.index(case.clause.book)))
    program = compile_plan(base.library, sliced(base.plan, cases, told=True))
    starts = tuple(
        (one.job, {name: one.facts[name] for name in program.facts} | AS_BUILT) for one in verdicts
    )
    return Ground(base=base, program=program, starts=starts)


def _left(job: Job, rules: Rules) -> Job:
    """Return a job with its panel on the left, as the clauses written by hand have it."""
    hand = replace(job.values[HAND], text="left", value=rules.library.words["left"])
    return replace(job, values={**job.values, HAND: hand})


def sample(on: Ground, job: Job, named: Mapping[str, float]) -> Sample:
    """Return a job in every contestant's form."""
    return Sample(
        job=job,
        named=named,
        facts=[named[name] for name in on.program.facts],
        by_hand=tuple(tuple(natural(on, name, named[name]) for name in part) for part in FACTS),
    )


def natural(on: Ground, name: str, value: float) -> float | str | bool | None:
    """Return a value as plain Python would have it."""
    kind = on.base.kind(name)
    if kind is None or kind.name not in ("word", "yes/no"):
        return value
    if math.isnan(value):
        return None
    words = {number: word for word, number in on.library.words.items()}
    return words[value] if kind.name == "word" else bool(value)


def limits_by_hand(on: Ground) -> tuple[tuple[float, ...], ...]:
    """Return the limits in the hand-written version's order, internal units."""
    return tuple(tuple(on.library.limits[name].value for name in part) for part in LIMITS)


def drawn(on: Ground, rng: random.Random, *, most: int, steps: int) -> Iterator[Sample]:
    """Yield jobs without end, some facts of each moved from a fixture's.

    Args:
        on: Where to begin.
        rng: The dice.
        most: How many facts are moved at most.
        steps: How many sixteenths of an inch a length is moved at most.
    """
    names = list(on.program.facts)
    while True:
        job, start = rng.choice(on.starts)
        named = dict(start)
        for name in rng.sample(names, rng.randint(1, most)):
            named[name] = moved(on, rng, name, named[name], steps)
        yield sample(on, job, named)


def moved(on: Ground, rng: random.Random, name: str, value: float, steps: int) -> float:
    """Return another value of a fact within its range, internal units."""
    kind, fact = on.base.kind(name), on.base.plan.leaves[name].fact
    match kind.name if kind else "":
        case "yes/no":
            return 1.0 - value
        case "word":
            return on.library.words[rng.choice(fact.words)]
        case "count":
            return float(rng.randint(0, 3))
        case "length":
            value += STEP * rng.randint(-steps, steps)
        case "date":
            value += DAY * rng.randint(-steps * 3, steps * 3)
        case _:
            value *= 1.0 + rng.uniform(-0.02, 0.02) * steps
    return min(max(value, fact.low), fact.high)


def with_gaps(on: Ground, rng: random.Random, whole: Sample, *, most: int) -> Sample:
    """Return a job with some facts not known yet."""
    lost = rng.sample(list(on.program.facts), rng.randint(1, most))
    return sample(on, whole.job, {**whole.named, **dict.fromkeys(lost, math.nan)})
