"""One job's verdict, compiled from books against written by hand, without and with sentences."""

import itertools
import random
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from ruleset import program, quantity
from ruleset.program import FAILS, HOLDS, SOFTER, UNKNOWN, Program, Run, compile_plan
from validator import Verdict

from .by_hand import Beams, verdict
from .by_hand_inputs import BEAMS
from .by_hand_says_bar import bar_sentences
from .by_hand_says_opening import opening_sentences
from .by_hand_says_sliding import sliding_sentences
from .races import race
from .samples import Ground, Sample, drawn, limits_by_hand, with_gaps

Sentences = list[tuple[str, str]]

CONSTANT: Mapping[str, float] = {
    "bar_sag": 1.0,
    "bar_sag_walls": 3.0,
    "bar_slope": 0.003,
    "bar_slope_walls": 0.004,
    "bar_moment": 20000.0,
    "bar_moment_walls": 90000.0,
    "bar_reaction": 300.0,
}
"""What stands in for the beam functions: mm, rad, N mm and N; of the usual size."""

CHECKED = 2000
"""Jobs that both must agree on before anything is timed, with constants for the beams."""
CHECKED_WHOLE = 150
"""The same with the beams worked out, which takes a thousand times as long."""
CANNOT_FAIL = ("sliding.guide-open", "sliding.faces-apart")
"""The books work the open door's place out so that these hold."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Result:
    """What one race gave.

    Attributes:
        what: What was timed.
        ours: Seconds a job.
        by_hand: Seconds a job.
    """

    what: str
    ours: float
    by_hand: float


def _forgotten() -> None:
    """Empty what is kept from one run to the next: every run works everything out."""
    quantity._read.cache_clear()
    program._called.cache_clear()


class Pair:
    """The two contestants over the same beam functions."""

    def __init__(self, on: Ground, *, constant: bool) -> None:
        """Compile the one and bind the other.

        Args:
            on: The books.
            constant: Whether constants stand in for the beam functions.
        """
        functions = dict(on.library.functions)
        if constant:
            for name, value in CONSTANT.items():
                functions[name] = replace(functions[name], call=_always(value))
        library = replace(on.library, functions=functions)
        self.on = on
        self.program: Program = compile_plan(library, on.program.plan)
        self.limits = on.limits
        self.hand_limits = limits_by_hand(on)
        self.beams: Beams = tuple(functions[name].call for name in BEAMS)

    def ours(self, job: Sample) -> Run:
        return self.program.run(job.facts, self.limits)

    def by_hand(self, job: Sample) -> object:
        return verdict(job.by_hand, self.hand_limits, self.beams)

    def ours_told(self, job: Sample) -> Sentences:
        """Return the sentences of all clauses that fail, from the books."""
        run = self.ours(job)
        if FAILS not in run.outcomes and SOFTER not in run.outcomes:
            return []
        failing = [
            case
            for case, code in zip(self.program.plan.cases, run.outcomes, strict=True)
            if code in (FAILS, SOFTER)
        ]
        base = self.on.base
        teller = Verdict(
            job=job.job,
            layers=base.layers,
            library=base.library,
            plan=self.program.plan,
            program=self.program,
            run=run,
            facts=job.named,
            assumed=(),
        ).teller()
        told = [teller.tell(case) for case in failing]
        return [(one.says, one.do) for one in told]

    def by_hand_told(self, job: Sample) -> Sentences:
        """Return the sentences of all clauses that fail, from the hand-written code."""
        found, worked = verdict(job.by_hand, self.hand_limits, self.beams)
        said: Sentences = []
        for outcomes, values, tell in zip(found, worked, _TELLERS, strict=True):
            if FAILS in outcomes or SOFTER in outcomes:
                said += tell(outcomes, values, job.by_hand, self.hand_limits, job.job.style)
        return said

    def disagreement(self, job: Sample) -> str:
        """Return where the two differ on a job, "" for nowhere."""
        ours = self.ours(job).outcomes
        found, _ = verdict(job.by_hand, self.hand_limits, self.beams)
        by_hand = tuple(itertools.chain.from_iterable(found))
        for case, one, other in zip(self.program.plan.cases, ours, by_hand, strict=True):
            if one != other:
                return f"{case.clause.name} on {case.subject}: {one} compiled, {other} by hand"
        for one_text, other_text in zip(self.ours_told(job), self.by_hand_told(job), strict=True):
            if one_text != other_text:
                return f"compiled: {one_text}; by hand: {other_text}"
        return ""


_TELLERS = (bar_sentences, opening_sentences, sliding_sentences)


def _always(value: float) -> Callable[..., float]:
    def constant(*values: float) -> float:
        total = sum(values)
        return value if total == total else total  # nan, as the real one

    return constant


def check(on: Ground) -> str:
    """Return how many jobs both agree on.

    Raises:
        AssertionError: They differ on a job, or some clause never failed or never held.
    """
    rng = random.Random(20)  # noqa: S311  # dice for a measurement
    seen: list[set[int]] = [set() for _ in on.program.plan.cases]
    for pair, count in (
        (Pair(on, constant=True), CHECKED),
        (Pair(on, constant=False), CHECKED_WHOLE),
    ):
        near, far = drawn(on, rng, most=12, steps=24), drawn(on, rng, most=40, steps=500)
        for at in range(count):
            whole = next(far if at % 2 else near)
            job = with_gaps(on, rng, whole, most=6) if at % 3 == 0 else whole
            differs = pair.disagreement(job)
            if differs:
                raise AssertionError(differs)
            for outcomes, code in zip(seen, pair.ours(job).outcomes, strict=True):
                outcomes.add(code)
    never = [
        f"{case.clause.name} on {case.subject}"
        for case, codes in zip(on.program.plan.cases, seen, strict=True)
        if not (codes >= {HOLDS, UNKNOWN} and codes & {FAILS, SOFTER})
        and case.clause.name not in CANNOT_FAIL
    ]
    if never:
        raise AssertionError(f"No job among them decides {', '.join(never)} each way.")
    return f"{len(seen)} clauses on their subjects, {CHECKED + CHECKED_WHOLE:,} jobs: all alike"


def sorted_jobs(on: Ground, pair: Pair, count: int) -> dict[str, list[Sample]]:
    """Return jobs that hold, that fail, and that have facts missing; none of two sorts.

    Args:
        on: The books.
        pair: What judges them.
        count: How many of each.
    """
    rng = random.Random(21)  # noqa: S311  # dice for a measurement
    found: dict[str, list[Sample]] = {"hold": [], "fail": [], "lack facts": []}
    for job in drawn(on, rng, most=2, steps=1):
        outcomes = pair.ours(job).outcomes
        if not {FAILS, SOFTER, UNKNOWN} & set(outcomes):
            found["hold"].append(job)
            if len(found["hold"]) == count:
                break
    for job in drawn(on, rng, most=6, steps=12):
        if {FAILS, SOFTER} & set(pair.ours(job).outcomes):
            found["fail"].append(job)
            if len(found["fail"]) == count:
                break
    found["lack facts"] = [with_gaps(on, rng, job, most=6) for job in found["hold"]]
    return found


def failing(pair: Pair, jobs: Sequence[Sample]) -> float:
    """Return how many clauses fail on a job, on average."""
    return sum(len(pair.ours_told(job)) for job in jobs) / len(jobs)


def results(pair: Pair, jobs: Mapping[str, Sequence[Sample]], rounds: int) -> list[Result]:
    """Return the races of one pair.

    Args:
        pair: The contestants.
        jobs: Jobs by what becomes of them.
        rounds: How often each race is run.
    """
    found = []
    for sort, some in jobs.items():
        plain = {"ours": pair.ours, "hand": pair.by_hand}
        took = race(plain, some, rounds=rounds, before=_forgotten)
        found.append(Result(what=f"jobs that {sort}", ours=took["ours"], by_hand=took["hand"]))
    for sort in ("hold", "fail"):
        both: dict[str, Callable[[Sample], object]] = {
            "ours": pair.ours_told,
            "hand": pair.by_hand_told,
        }
        took = race(both, jobs[sort], rounds=rounds, before=_forgotten)
        what = f"jobs that {sort}, with sentences"
        found.append(Result(what=what, ours=took["ours"], by_hand=took["hand"]))
    return found
