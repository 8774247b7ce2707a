"""Outcomes and values of jobs are those that stand in `stored_values/`, a file for each fixture.

They were worked out by books that named every part, and held equal to those of books that speak of
sorts; so they hold whatever is said more simply, or faster. Where a rule is meant to change,

    .venv/bin/python tests/test_stored_values.py [FIXTURE.yaml ...]

writes them anew, and the difference of those files says what has changed. A clause or working that
is not stored yet is not looked at.
"""

import json
import math
import random
import sys
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from pathlib import Path

import pytest

from ruleset.plan import Plan, plan
from ruleset.program import Run
from ruleset.turns import HAND
from validator import Verdict, judge, load_job, load_rules
from validator.usual import value_of
from validator.verdict import program_for

HERE = Path(__file__).parent
FOLDER = HERE / "stored_values"
SCRIPT = "python tests/test_stored_values.py"
JOBS = sorted(
    path for path in (HERE.parent / "fixtures" / "jobs").iterdir() if ".findings." not in path.name
)
FURTHER = 3
"""Jobs drawn from each fixture: some facts moved, some missing, of either hand."""
NOT_ASKED = "-"
DIGITS = 7

Value = float | str | None
Told = tuple[dict[str, str], dict[str, Value]]


@cache
def _judged(name: str) -> Verdict:
    rules = load_rules(installed=False)
    (path,) = (path for path in JOBS if path.name == name)
    codes = ("irc-2021", "ada-2010")  # a standard of access, so that its clauses are asked too
    return judge(load_job(path, rules), rules, codes=codes)


def _told(verdict: Verdict, moved: Mapping[str, Value]) -> Told:
    """Return outcomes by clause and part, and values by name, with facts moved."""
    made, run = (verdict.plan, verdict.run) if not moved else _moved(verdict, moved)
    outcomes = {
        f"{case.clause.name} {case.subject}": str(outcome)
        for case, outcome in zip(made.cases, run.outcomes, strict=True)
    }
    words = {number: word for word, number in verdict.library.words.items()}
    values: dict[str, Value] = {}
    for step, value in zip(made.steps, run.values, strict=True):
        if math.isnan(value):
            values[step.name] = None
        else:
            values[step.name] = words[value] if step.kind.name == "word" else _short(value)
    return outcomes, values


def _moved(verdict: Verdict, moved: Mapping[str, Value]) -> tuple[Plan, Run]:
    library, given = verdict.library, verdict.job.values
    hand = library.hands.index(str(moved[HAND]))
    made = plan(library, tuple(sorted({**dict(verdict.plan.shape), HAND: hand}.items())))
    program = program_for(library, made)
    known = {one: value_of(library, one, given) for one in program.facts}
    known |= {**verdict.facts} | {
        name: _number(library.words, value) for name, value in moved.items()
    }
    limits = [library.limits[one].value for one in program.limits]
    return made, program.run([known[one] for one in program.facts], limits)


def _number(words: Mapping[str, float], value: Value) -> float:
    if value is None:
        return math.nan
    return words[value] if isinstance(value, str) else value


def _short(value: float) -> float:
    return float(f"{value:.{DIGITS}g}")


def _draw(verdict: Verdict, rng: random.Random) -> dict[str, Value]:
    """Draw facts to move: by a little, by much, to a bound, to another word, or to be missing."""
    library, plan_ = verdict.library, verdict.plan
    moved: dict[str, Value] = {}
    for name in rng.sample(sorted(plan_.leaves), rng.choice((1, 2, 3, 6))):
        fact, now = plan_.leaves[name].fact, verdict.facts.get(name, math.nan)
        if name == HAND or fact.kind is None:
            continue
        if fact.kind.name == "word":
            moved[name] = rng.choice(fact.words)
        elif fact.kind.name == "yes/no":
            moved[name] = float(rng.random() < 0.5)
        else:
            step = fact.kind.step or abs(now) / 16 or 1.0
            near = now + rng.choice((-1, 1)) * rng.choice((1, 4, 16, 64)) * step
            value = rng.choice((near, near, now * 0.8, now * 1.25, fact.low, fact.high))
            value = round(value) if fact.kind.name == "count" and not math.isnan(value) else value
            value = math.nan if rng.random() < 0.1 else min(max(value, fact.low), fact.high)
            moved[name] = None if math.isnan(value) else _short(value)
    moved[HAND] = rng.choice(library.hands)
    return moved


def _apart(base: Mapping[str, Value], now: Mapping[str, Value]) -> dict[str, Value]:
    """Return what has to be said of a job beside the one that it was drawn from."""
    return {
        name: now.get(name, NOT_ASKED)
        for name in sorted({*base, *now})
        if now.get(name, NOT_ASKED) != base.get(name, NOT_ASKED)
    }


def write(names: Sequence[str]) -> None:
    """Write fixtures anew, an entry on a line: facts that were moved before are moved again."""
    for name in names:
        verdict = _judged(name)
        rng = random.Random(name)  # noqa: S311  # seeded, so that a file can be had again
        kept = [moved for moved, _ in _read(name)] if _file(name).exists() else []
        outcomes, values = _told(verdict, {})
        drawn = []
        for moved in kept[1:] or [_draw(verdict, rng) for _ in range(FURTHER)]:
            told = _told(verdict, moved)
            apart = {"outcomes": _apart(outcomes, told[0]), "values": _apart(values, told[1])}
            drawn.append({"moved": moved, **apart})
        whole = {"outcomes": outcomes, "values": values, "drawn": drawn}
        text = json.dumps(whole, indent=0, sort_keys=True)
        _file(name).write_text(text + "\n", encoding="utf-8", newline="\n")


def _file(name: str) -> Path:
    return FOLDER / f"{Path(name).stem}.json"


def _read(name: str) -> Iterator[tuple[dict[str, Value], Told]]:
    stored = json.loads(_file(name).read_text(encoding="utf-8"))
    outcomes, values = stored["outcomes"], stored["values"]
    yield {}, (outcomes, values)
    for one in stored["drawn"]:
        yield one["moved"], (outcomes | one["outcomes"], values | one["values"])


def _is_same(stored: Value, value: Value) -> bool:
    if isinstance(stored, float | int) and isinstance(value, float):
        return math.isclose(stored, value, rel_tol=1e-6, abs_tol=1e-6)
    return stored == value


@pytest.mark.parametrize("name", [path.name for path in JOBS])
def test_a_job_has_the_outcomes_and_values_that_are_stored(name: str) -> None:
    assert _file(name).exists(), f"It is not stored yet: {SCRIPT} {name}"
    differ = []
    for moved, (outcomes, values) in _read(name):
        now, worked = _told(_judged(name), moved)
        differ += [
            f"{case}: {outcome} was stored, {now.get(case, NOT_ASKED)} is found; moved: {moved}"
            for case, outcome in outcomes.items()
            if now.get(case, NOT_ASKED) != outcome
        ]
        differ += [
            f"{step}: {value} was stored, {worked.get(step, NOT_ASKED)} is found; moved: {moved}"
            for step, value in values.items()
            if not _is_same(value, worked.get(step, NOT_ASKED))
        ]
    assert not differ, "\n".join(differ)


def test_each_outcome_is_stored_and_either_hand() -> None:
    every = [one for path in JOBS for one in _read(path.name)]
    assert {outcome for _, (outcomes, _) in every for outcome in outcomes.values()} >= {*"01234"}
    assert {moved[HAND] for moved, _ in every if moved} == {"left", "right"}


def test_no_file_is_left_of_a_fixture_that_is_gone() -> None:
    assert {path.name for path in FOLDER.iterdir()} == {_file(path.name).name for path in JOBS}


if __name__ == "__main__":
    write(sys.argv[1:] or [path.name for path in JOBS])
