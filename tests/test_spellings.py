"""Columns and boxes say what the scalar program says."""

import math
import random
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest

from ruleset.formula.boxes import WHOLE, Box, point
from ruleset.program import EXEMPT, FAILS, HOLDS, SOFTER, UNKNOWN, compile_boxes, compile_columns
from validator import Rules, Verdict, judge, load_job
from validator.fails_already import already_no, range_of

JOBS = Path(__file__).parent.parent / "fixtures" / "jobs"
NAMES = sorted(
    path.stem for path in JOBS.glob("*.yaml") if not path.name.endswith(".findings.yaml")
)
ROWS = 300


@pytest.fixture(scope="module")
def ordinary(rules: Rules) -> Verdict:
    return judge(load_job(JOBS / "holds-ordinary.yaml", rules), rules)


def _facts(verdict: Verdict) -> list[float]:
    return [verdict.facts[name] for name in verdict.program.facts]


def _limits(verdict: Verdict) -> list[float]:
    return [verdict.library.limits[name].value for name in verdict.program.limits]


def _random_rows(verdict: Verdict, many: int, seed: int) -> Iterator[list[float]]:
    """Yield the job with a few facts moved, other words, and some missing."""
    rng = random.Random(seed)  # noqa: S311  # not for secrets
    names = verdict.program.facts
    for _ in range(many):
        row = _facts(verdict)
        for at in rng.sample(range(len(row)), 8):
            fact = verdict.library.facts.get(names[at])
            if fact is None or fact.kind is None:
                continue
            if rng.random() < 0.25:
                row[at] = math.nan
            elif fact.kind.name == "word":
                row[at] = verdict.library.words[rng.choice(fact.words)]
            elif fact.kind.name == "yes/no":
                row[at] = float(rng.random() < 0.5)
            elif rng.random() < 0.5 or math.isnan(row[at]):
                row[at] = rng.uniform(fact.low, fact.high)
            else:
                row[at] *= rng.uniform(0.8, 1.2)
        yield row


def test_columns_say_what_the_scalar_program_says(ordinary: Verdict) -> None:
    rows = list(_random_rows(ordinary, ROWS, 1))
    program = compile_columns(ordinary.library, ordinary.plan)
    assert program.facts == ordinary.program.facts
    columns = [np.array(column) for column in zip(*rows, strict=True)]
    with np.errstate(all="ignore"):
        outcomes, values = program.call(columns, _limits(ordinary))
    found = np.stack([np.broadcast_to(column, (ROWS,)) for column in outcomes], axis=1)
    sizes = np.stack([np.broadcast_to(column, (ROWS,)) for column in values], axis=1)
    for at, row in enumerate(rows):
        run = ordinary.program.run(row, _limits(ordinary))
        assert tuple(found[at]) == run.outcomes
        assert sizes[at] == pytest.approx(run.values, rel=1e-12, abs=1e-12, nan_ok=True)


@pytest.mark.parametrize("name", NAMES)
def test_columns_and_boxes_agree_on_each_fixture(rules: Rules, name: str) -> None:
    verdict = judge(load_job(JOBS / f"{name}.yaml", rules), rules)
    facts, limits = _facts(verdict), _limits(verdict)
    with np.errstate(all="ignore"):
        columns, _ = compile_columns(verdict.library, verdict.plan).call(
            [np.array([value, value]) for value in facts], limits
        )
    assert [int(np.broadcast_to(one, (2,))[1]) for one in columns] == list(verdict.run.outcomes)
    boxes, _ = compile_boxes(verdict.library, verdict.plan).call(
        [point(value) for value in facts], [point(value) for value in limits]
    )
    # Over the whole line a box may know more: a distance is one wherever the other hole lies.
    for said, is_ in zip(boxes, verdict.run.outcomes, strict=True):
        assert is_ in (said, UNKNOWN)


def _point_in(box: Box, name: str, verdict: Verdict, rng: random.Random) -> float:
    if box == WHOLE:
        return math.nan
    fact = verdict.library.facts.get(name)
    if fact is not None and fact.kind is not None and fact.kind.name in ("word", "yes/no"):
        return rng.choice(box)
    return rng.choice((*box, rng.uniform(*box)))


def test_a_box_is_never_contradicted_by_a_point_in_it(ordinary: Verdict) -> None:
    rng = random.Random(2)  # noqa: S311  # not for secrets
    program = compile_boxes(ordinary.library, ordinary.plan)
    limits = _limits(ordinary)
    base = _facts(ordinary)
    decided = 0
    for row in _random_rows(ordinary, 150, 3):
        boxes: list[Box] = []
        for at, name in enumerate(program.facts):
            low, high = sorted((row[at], base[at])) if row[at] == row[at] else (math.nan,) * 2
            fact = ordinary.library.facts.get(name)
            is_word = fact is not None and fact.kind is not None and fact.kind.name == "word"
            whole = low != low or high != high or (is_word and low != high)
            boxes.append(WHOLE if whole else (low, high))
        outcomes, _ = program.call(boxes, [point(value) for value in limits])
        for _ in range(4):
            facts = [
                _point_in(box, name, ordinary, rng)
                for box, name in zip(boxes, program.facts, strict=True)
            ]
            run = ordinary.program.run(facts, limits)
            for said, is_ in zip(outcomes, run.outcomes, strict=True):
                if UNKNOWN in (said, is_):
                    continue
                decided += 1
                # A clause that holds whether or not it applies is exempt where it does not.
                fine = {HOLDS, EXEMPT} if said == HOLDS else {said}
                fine |= {FAILS, SOFTER} if said in (FAILS, SOFTER) else set()
                assert is_ in fine
    assert decided > 10_000


def test_what_fails_already_fails_wherever_the_missing_facts_lie(rules: Rules) -> None:
    verdict = judge(load_job(JOBS / "fails-too-narrow-already.yaml", rules), rules)
    found = already_no(verdict)
    assert "sliding.clear-opening" in {verdict.plan.cases[at].clause.name for at in found}
    rng = random.Random(4)  # noqa: S311  # not for secrets
    names, limits = verdict.program.facts, _limits(verdict)
    for _ in range(200):
        facts = []
        for name, value in zip(names, _facts(verdict), strict=True):
            box = range_of(verdict, name)
            facts.append(value if value == value else _point_in(box, name, verdict, rng))
        run = verdict.program.run(facts, limits)
        for at, already in found.items():
            assert run.outcomes[at] in (already.outcome, UNKNOWN)


def test_nothing_fails_already_in_a_job_that_holds(ordinary: Verdict) -> None:
    assert already_no(ordinary) == {}
