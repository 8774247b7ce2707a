"""Hinged jobs drawn by chance: every clause of the book can fail, and hold, in jobs that may be."""

import math
import random
from collections import defaultdict
from pathlib import Path

import pytest

from ruleset.book import Fact
from ruleset.program import FAILS, HOLDS, SOFTER
from validator import Verdict, judge, load_job, load_rules

JOBS = Path(__file__).parent.parent / "fixtures" / "jobs"
NAMES = ("holds-hinged-walls", "holds-hinged-panel-wall", "holds-hinged-panel-glass")
RULES = load_rules(installed=False)
BY_CHANCE = 1000
ONLY_ASKED = {"hinged.hand-chosen"}
"""Clauses that are there to ask for a fact; any word of it will do."""
NEAR = {"length": 1.6, "mass": 1.0, "force": 2.5, "angle": 0.8}
"""How far a value is moved at most, as the logarithm of a factor; lengths by an inch as well."""


def moved(verdict: Verdict, rng: random.Random) -> list[float]:
    """Return the facts of a job, each moved by chance within what its file may say."""
    words = verdict.library.words
    found = []
    for name in verdict.program.facts:
        value = verdict.answer(name).value
        leaf = verdict.plan.leaves.get(name)
        fact = leaf.fact if leaf is not None else None
        kind = leaf.kind.name if leaf is not None and leaf.kind is not None else ""
        if value != value and kind == "length":  # not asked of the fixture
            found.append(rng.uniform(0, rng.choice((1, 20, 1800))))
        elif not isinstance(fact, Fact) or rng.random() < 0.8:
            found.append(value)
        elif kind == "word" and fact.words:
            found.append(words[rng.choice(fact.words)])
        elif kind == "yes/no":
            found.append(float(rng.random() < 0.5))
        elif kind == "count":
            found.append(float(rng.choice((2, 3))))
        elif kind in NEAR and value == value:
            if kind == "length" and rng.random() < 0.15:
                found.append(rng.choice((0.0, -value / 4)))
                continue
            off = rng.uniform(-1, 1)
            more = 25.4 * rng.uniform(-1, 1) ** 3 if kind == "length" else 0.0
            found.append(value * math.exp(NEAR[kind] * off**3) + more)
        else:
            found.append(value)
    return found


@pytest.fixture(scope="module")
def outcomes() -> dict[str, set[int]]:
    found: dict[str, set[int]] = defaultdict(set)
    for name in NAMES:
        verdict = judge(load_job(JOBS / f"{name}.yaml", RULES), RULES)
        program = verdict.program
        limits = [verdict.library.limits[one].value for one in program.limits]
        rng = random.Random(name)  # noqa: S311  # not for secrets
        for _ in range(BY_CHANCE):
            run = program.run(moved(verdict, rng), limits)
            for case, code in zip(verdict.plan.cases, run.outcomes, strict=True):
                found[case.clause.name].add(code)
    return found


def test_every_clause_of_the_book_fails_and_holds_somewhere(outcomes: dict[str, set[int]]) -> None:
    asked = {name for name in RULES.library.clauses if name.startswith("hinged.")}
    assert len(asked) > 40
    never = {one for one in asked - ONLY_ASKED if not outcomes[one] & {FAILS, SOFTER}}
    assert never == set()
    assert {one for one in asked if HOLDS not in outcomes[one]} == set()


def test_clauses_of_every_door_and_panel_are_asked_of_hinged_ones(
    outcomes: dict[str, set[int]],
) -> None:
    # Of every arrangement: the glass, the opening, the stall, the papers, the way in, the handover.
    for name in (
        "glass.safety-glass",
        "glass.mark",
        "glass.least-thickness",
        "doors.handle-in-reach",
        "doors.second-hole",
        "fixed.bite",
        "fixed.setting-blocks",
        "opening.head-width-agrees",
        "opening.curb-falls-inward",
        "readings.datum",
        "compartment.accessible-entry",
        "compartment.clear-in-front",
        "papers.order",
        "papers.second-check",
        "handling.crew",
        "handover.cure",
    ):
        assert outcomes[name], name
    assert not outcomes["sliding.overlap-least"]
    assert not outcomes["bar.stress"]
