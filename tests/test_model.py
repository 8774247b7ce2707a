"""Every working of the tool against a model of the slider that was made without its formulas."""

import importlib
import json
import math
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from ruleset.hands import shapes
from ruleset.library import Library
from ruleset.plan import Step, plan
from validator import Rules, judge, load_job
from validator.verdict import Verdict

JOBS = 1000
BY_FILE = 10
"""Each tenth job goes through its files; the others are handed to the program of their shape."""

LENGTH = 1e-6  # mm: the tool's own hair
PLAIN = 1e-8  # of the value
PLAIN_ZERO = 1e-12


@dataclass(frozen=True, slots=True, kw_only=True)
class Differs:
    """One working on which tool and model differ."""

    seed: int
    name: str
    tool: object
    model: object


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """What came of all the jobs.

    Attributes:
        times: How often each working was compared with a value on both sides.
        differ: Where they differ, by working.
        jobs: What is known of the jobs: which way each choice went.
    """

    times: Counter[str]
    differ: dict[str, list[Differs]]
    jobs: Counter[str]


@pytest.fixture(scope="module")
def model() -> Iterator[ModuleType]:
    with pytest.MonkeyPatch.context() as patch:
        patch.syspath_prepend(Path(__file__).parent)
        yield importlib.import_module("model")


def through_files(drawn: Any, rules: Rules, folder: Path) -> Verdict:  # noqa: ANN401  # the model's
    name = drawn.kit["kit"]
    (folder / "kits").mkdir(exist_ok=True)
    (folder / "kits" / f"{name}.json").write_text(json.dumps(drawn.kit), encoding="utf-8")
    path = folder / f"{name}.json"
    path.write_text(json.dumps(drawn.job), encoding="utf-8")
    return judge(load_job(path, rules), rules)


@pytest.fixture(scope="module")
def compared(model: ModuleType, rules: Rules, tmp_path_factory: pytest.TempPathFactory) -> Compared:
    folder = tmp_path_factory.mktemp("drawn")
    found = Compared(times=Counter(), differ={}, jobs=Counter())
    shapes: dict[tuple[object, ...], Verdict] = {}
    policies = {
        ours: rules.library.limits[name].value for name, ours in model.names.POLICIES.items()
    }
    words = {number: word for word, number in rules.library.words.items()}
    for seed in range(JOBS):
        drawn = model.draw(seed)
        drawn = replace(drawn, n={**drawn.n, **policies})
        facts = model.fact_values(drawn, rules.library.words)
        shape = (drawn.w["hand"], *(len(rows) for rows in drawn.rows.values()))
        if shape not in shapes or seed % BY_FILE == 0:
            verdict = shapes[shape] = through_files(drawn, rules, folder)
            values = verdict.run.values
            for name, value in facts.items():
                assert verdict.facts.get(name, value) == pytest.approx(value, rel=1e-12), name
            found.jobs["through files"] += 1
        else:
            verdict = shapes[shape]
            given = [facts.get(name, math.nan) for name in verdict.program.facts]
            limits = [verdict.library.limits[name].value for name in verdict.program.limits]
            values = verdict.program.run(given, limits).values
        told = model.work(drawn)
        for step, value in zip(verdict.plan.steps, values, strict=True):
            working = step.working.name if step.working else ""
            if working not in model.names.NO_MEANING:
                mine = model.model_of(step.name, working, told, drawn)
                theirs = _said(step, value, words)
                one = Differs(seed=seed, name=step.name, tool=theirs, model=mine)
                _note(found, step, one, model.names.COARSE)
        found.jobs.update((f"stopped by {told['door stopped by']}", *drawn.w.values()))
    return found


def _said(step: Step, value: float, words: Mapping[float, str]) -> object:
    if step.kind.name == "yes/no":
        return {1.0: "yes", 0.0: "no"}.get(value)
    return words.get(value) if step.kind.name == "word" else value


def _note(found: Compared, step: Step, one: Differs, coarse: Mapping[str, float]) -> None:
    name = step.working.name if step.working else step.name
    if not _alike(step, one.tool, one.model, coarse):
        found.differ.setdefault(name, []).append(one)
    elif not isinstance(one.model, float) or math.isfinite(one.model):
        found.times[name] += 1


def _alike(step: Step, theirs: object, mine: object, coarse: Mapping[str, float]) -> bool:
    if not isinstance(mine, float | int) or not isinstance(theirs, float):
        return theirs == mine
    if mine == math.inf:  # there is none of it in this job, whatever the tool says
        return True
    if math.isnan(mine) or math.isnan(theirs):
        return math.isnan(mine) and math.isnan(theirs)
    near = coarse.get(step.working.name if step.working else "", PLAIN)
    hair = LENGTH if step.kind.name == "length" else PLAIN_ZERO
    return math.isclose(theirs, mine, rel_tol=near, abs_tol=hair)


def asked(bound: Library) -> set[str]:
    """Return the workings that a job of the arrangement has, whichever its hand."""
    rows = tuple((fact.name, 2) for fact in bound.facts.values() if fact.rows)
    steps = (step for shape in shapes(bound, rows) for step in plan(bound, shape).steps)
    return {step.working.name for step in steps if step.working}


def test_every_working_is_in_the_models_table(bound: Library, model: ModuleType) -> None:
    names = model.names
    ours = {*names.OWN_WORKINGS, *names.SORT_WORKINGS, *names.FACTS_AGAIN, *names.NO_MEANING}
    theirs = asked(bound)
    assert theirs - ours == set(), "a working that the model does not have: model it"
    assert ours - theirs == set(), "a working that the tool no longer has"
    for hand in names.WALLS:
        assert {names.of_hand(name, hand) for name in names.FACTS} <= set(bound.facts)


def test_tool_and_model_agree(compared: Compared, model: ModuleType) -> None:
    known = model.names.DIFFERS
    new = [one for name, differ in compared.differ.items() if name not in known for one in differ]
    assert new[:12] == []
    assert set(known) - set(compared.differ) == set(), "no longer differs: take it off the table"


def test_every_working_was_compared_often(
    compared: Compared, bound: Library, model: ModuleType
) -> None:
    names = [name for name in sorted(asked(bound)) if name not in model.names.NO_MEANING]
    assert len(names) > 150
    seldom = {
        name: compared.times[name]
        for name in names
        if compared.times[name] < JOBS / 4 and name not in model.names.DIFFERS
    }
    assert seldom == {}


def test_the_jobs_go_every_way(compared: Compared) -> None:
    ways = (
        "stopped by its handle",
        "stopped by the guide",
        "stopped by its wall",
        "stopped by the open stop",
        "inside",
        "outside",
        "left",
        "right",
        "etched",
        "laminated",
    )
    assert {way: compared.jobs[way] for way in ways if compared.jobs[way] < JOBS / 50} == {}
    assert compared.jobs["through files"] >= JOBS / BY_FILE
