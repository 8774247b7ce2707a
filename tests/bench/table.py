"""The whole run, printed as it goes."""

import os
import platform
import sys
from collections.abc import Sequence
from importlib.metadata import version

from . import columns_race, library_race, start_race, verdict_race
from .samples import Ground, ground

GOAL = 1.25
JOBS = 60
ROUNDS, ROUNDS_WHOLE = 25, 9
WIDE = 80


def main() -> None:
    """Run every measurement and print it."""
    load = ", ".join(f"{part:.1f}" for part in os.getloadavg())
    _say(f"Python {platform.python_version()}, {os.cpu_count()} processors, load {load}.")
    on = ground()
    _verdicts(on)
    _columns(on)
    _libraries(on)
    _start()


def _say(text: str = "") -> None:
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()


def _title(text: str) -> None:
    _say()
    _say(text)
    _say("-" * min(len(text), WIDE))


def _row(name: str, values: Sequence[str]) -> None:
    _say(f"{name:<38}" + "".join(f"{value:>14}" for value in values))


def _verdicts(on: Ground) -> None:
    _title("1. One job's verdict: the books compiled against the same written by hand")
    _say(f"{verdict_race.check(on)}.")
    _say(f"Goal: {GOAL} times the hand-written or less. Best of each job's runs, mean of jobs.")
    constant = verdict_race.Pair(on, constant=True)
    whole = verdict_race.Pair(on, constant=False)
    jobs = verdict_race.sorted_jobs(on, whole, JOBS)
    failing = verdict_race.failing(whole, jobs["fail"])
    _say(f"{JOBS} jobs of each sort; on those that fail, {failing:.1f} clauses do on average.")
    worst = 0.0
    for what, pair, rounds in (
        ("Beams worked out", whole, ROUNDS_WHOLE),
        ("Constants in place of the beams", constant, ROUNDS),
    ):
        _say()
        _row(what, ("compiled, us", "by hand, us", "ratio"))
        for one in verdict_race.results(pair, jobs, rounds):
            ratio = one.ours / one.by_hand
            worst = max(worst, ratio)
            times = (f"{one.ours * 1e6:,.1f}", f"{one.by_hand * 1e6:,.1f}")
            _row(f"  {one.what}", (*times, f"{ratio:.2f}"))
    met = "met" if worst <= GOAL else "missed"
    _say(f"Worst ratio {worst:.2f}: the goal of {GOAL} is {met}.")


def _columns(on: Ground) -> None:
    _title("2. Many variants: columns against numpy written by hand, in blocks of 8,000")
    _say(f"{len(columns_race.CLAUSES)} clauses on the door and all they stand on; all alike.")
    _row("", ("columns, ms", "by hand, ms", "ratio"))
    for many, (ours, hand, alone) in columns_race.results(on).items():
        times = (f"{ours * 1e3:,.1f}", f"{hand * 1e3:,.1f}", f"{ours / hand:.2f}")
        _row(f"  {many:,} variants", times)
        _say(f"    one by one they would take {alone * 1e3:,.0f} ms: {alone / ours:.0f} times")


def _libraries(on: Ground) -> None:
    _title("3. Forty comparisons over worked-out values, against rule libraries")
    asked = library_race.questions(on)
    pair = verdict_race.Pair(on, constant=False)
    jobs = verdict_race.sorted_jobs(on, pair, JOBS)
    values = library_race.known_values(on, [*jobs["hold"], *jobs["fail"]])
    took = library_race.results(asked, values, ROUNDS)
    _say(f"{len(values)} jobs, the same values in a mapping for each; all alike.")
    _row("", ("us a job", "times ours"))
    for name, seconds in took.items():
        label = name if name == "compiled" else f"{name} {version(name)}"
        _row(f"  {label}", (f"{seconds * 1e6:,.1f}", f"{seconds / took['compiled']:.1f}"))


def _start() -> None:
    _title("4. Starting cold: a review of a job that holds against a bare typer program")
    took = start_race.starts()
    _row(f"median of {start_race.RUNS} runs, bytecode kept", ("wall, ms", "processor, ms"))
    for name, label in (
        ("python", "Python doing nothing"),
        ("bare", "a bare typer program"),
        ("review", "paneproof review"),
    ):
        _row(f"  {label}", (f"{took[name].wall:.0f}", f"{took[name].work:.0f}"))
    review, bare = took["review"], took["bare"]
    _row("  ratio", (f"{review.wall / bare.wall:.2f}", f"{review.work / bare.work:.2f}"))
    _row("  difference", (f"{review.wall - bare.wall:.0f}", f"{review.work - bare.work:.0f}"))
    _say(f"It imports none of {', '.join(start_race.NEVER)}. From outside, and standard modules")
    _say(f"that take {start_race.NOTABLE:.0f} ms or more, each with what it brings in, ms:")
    _wrapped([f"{name} {ms:.1f}" for name, ms in start_race.imported().items()])
    phases, read = start_race.phases()
    _title(f"5. Reading, checking and compiling the books ({read})")
    _row("median of five fresh processes", ("processor, ms",))
    for name, ms in phases.items():
        _row(f"  {name}", (f"{ms:.1f}",))


def _wrapped(items: Sequence[str]) -> None:
    line = " "
    for item in items:
        if len(line) + len(item) + 2 > WIDE:
            _say(line.rstrip())
            line = " "
        line += f" {item},"
    _say(line.rstrip().rstrip(",") + ".")
