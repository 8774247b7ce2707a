"""What a stage waits for, on whole jobs: errors that are due, and what could be one."""

import datetime as dt
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from ruleset.book import STAGES, Fact
from ruleset.library import Library
from validator import Review, Rules, judge, load_job, load_job_text, review
from validator.day import on_day
from validator.facts import Given, as_checked
from validator.release import BUILT_SO
from validator.signed import SIGNED

JOBS = Path(__file__).parent.parent / "fixtures" / "jobs"
ORDINARY = "holds-ordinary.yaml"
HUNG = "fails-used-before-cure.yaml"
BUILT = "retainers_set: yes, goods: {width: 753, height: 1993}}"
BAR = "  bar: {height: 1905, level: 1, stops_fitted: 2}"
FINISHED = (
    f"{BUILT}\n{BAR}\n  cured: 14 h",
    f"{BUILT[:-1]}, guide_capture: 40}}\n{BAR}\n  cured: 30 h",
)

Reviewed = Callable[..., Review]


@pytest.fixture
def reviewed(rules: Rules) -> Reviewed:
    def made(
        file: str, *changes: tuple[str, str], stage: str = "order", every: bool = False
    ) -> Review:
        text = (JOBS / file).read_text(encoding="utf-8")
        for old, new in changes:
            assert text.count(old) == 1, old
            text = text.replace(old, new)
        job = load_job_text(text, file, rules, beside=JOBS)
        return review(job, rules, stage=stage, every=every, tolerance=False)

    return made


def told(found: Review) -> dict[str, tuple[str, str]]:
    """Return outcome and level of each clause that is told."""
    return {one.clause: (one.outcome, one.level) for one in found.findings}


def test_an_error_of_the_design_leaves_the_survey_complete(reviewed: Reviewed) -> None:
    narrow = ("split: 30\n", "split: 36\n")
    found = reviewed(ORDINARY, narrow, stage="survey")
    assert told(found)["sliding.clear-opening"] == ("fails", "error")
    assert (found.release.ready, found.release.because) == (True, ())
    assert found.exit_code == 1
    for stage in STAGES[1:]:
        assert "sliding.clear-opening" in reviewed(ORDINARY, narrow, stage=stage).release.because


def test_what_only_warns_holds_nothing_up_when_it_is_missing(reviewed: Reviewed) -> None:
    for value, outcome in (("no", "fails"), ("", "unknown")):
        found = reviewed(
            ORDINARY,
            (
                "pipes_known: yes, hollow: no, tile_outward: 6,",
                f"pipes_known: {value}, hollow: no, tile_outward: 6,",
            ),
        )
        assert told(found)["opening.pipes-known"] == (outcome, "warning")
        assert found.release.ready
    assert [one.fact for one in found.asked] == ["survey.left.pipes_known"]


def test_what_could_be_an_error_holds_it_up_when_it_is_missing(reviewed: Reviewed) -> None:
    found = reviewed(ORDINARY, ("shower: yes,\n    backing: yes", "shower: yes,\n    backing: "))
    assert told(found)["opening.backing"] == ("unknown", "error")
    assert found.release.because == ("opening.backing",)


def test_a_survey_without_a_reading_of_the_design_is_not_complete(reviewed: Reviewed) -> None:
    # The room over the door is asked of the design; only the surveyor can read the ceiling.
    ceiling = ("drop: 1/16, ceiling: {inside: 96", "drop: 1/16, ceiling: {inside: ")
    found = reviewed(ORDINARY, ceiling, stage="survey")
    assert found.release.because == ("opening.head-room",)
    assert [one.fact for one in found.asked] == ["survey.right.ceiling.inside"]
    assert reviewed(ORDINARY, ("first_hole: 9", "first_hole: "), stage="survey").release.ready


def test_a_fault_of_the_stall_that_stands_holds_nothing_up(reviewed: Reviewed) -> None:
    old = ("work: new", "work: replacement")
    for value, outcome in (("1", "fails"), ("", "unknown")):
        drain = ("above_drain: 5", f"above_drain: {value}")
        found = reviewed(ORDINARY, old, drain)
        assert told(found)["compartment.curb-height"] == (outcome, "note")
        assert found.release.ready
        again = reviewed(ORDINARY, drain)
        assert told(again)["compartment.curb-height"] == (outcome, "error")
        assert again.release.because == ("compartment.curb-height",)


def test_advice_on_what_is_built_is_silent_at_handover(reviewed: Reviewed) -> None:
    joint = ("joint_under_glass: no", "joint_under_glass: yes")
    assert told(reviewed(HUNG, FINISHED, joint))["opening.joint-under-glass"] == (
        "fails",
        "warning",
    )
    found = reviewed(HUNG, FINISHED, joint, stage="handover")
    assert (told(found), found.past, found.release.ready) == ({}, 1, True)
    every = reviewed(HUNG, FINISHED, joint, stage="handover", every=True)
    assert told(every)["opening.joint-under-glass"] == ("fails", "warning")
    assert every.past == 0


def test_an_error_of_the_survey_is_told_at_handover(reviewed: Reviewed) -> None:
    bare = ("shower: yes,\n    backing: yes", "shower: yes,\n    backing: no")
    found = reviewed(HUNG, FINISHED, bare, stage="handover")
    assert told(found)["opening.backing"] == ("fails", "error")
    assert found.release.because == ("opening.backing",)
    assert [one.do for one in found.findings] == [BUILT_SO]  # opening the wall came before


def test_a_missing_reading_weighs_what_a_bad_one_may(rules: Rules, bound: Library) -> None:
    # A law: what is left out holds the job up exactly where some value of it would.
    job = judge(on_day(load_job(JOBS / ORDINARY, rules), dt.date(2026, 3, 20)), rules).job
    job = replace(job, values=as_checked(job.values))  # whatever the sizes, they were checked
    tried, apart = 0, []
    for name, given in job.values.items():
        fact = bound.facts.get(name)
        if fact is None or fact.source not in ("survey", "order"):
            continue
        left_out = {one: value for one, value in job.values.items() if one != name}
        missing = review(replace(job, values=left_out), rules, tolerance=False)
        held_up = any(
            not review(
                replace(job, values={**left_out, name: other(given, name, value)}),
                rules,
                tolerance=False,
            ).release.ready
            for value in values_of(fact, given.value, rules)
        )
        if held_up is missing.release.ready:
            apart.append(name)
        tried += 1
    assert tried > 50
    assert apart == []


def other(given: Given, name: str, value: float) -> Given:
    """Return a fact with another value; what is said of a check is its text."""
    text = "no" if name in SIGNED and not value else given.text
    return replace(given, value=value, text=text)


def values_of(fact: Fact, now: float, rules: Rules) -> list[float]:
    """Return values of a fact: its words, yes and no, or its ends and some between."""
    if fact.kind is None or fact.kind.name == "yes/no":
        return [0.0, 1.0]
    if fact.kind.name == "word":
        return [rules.library.words[word] for word in fact.words]
    shares = (0.5, 0.8, 0.9, 0.95, 0.99, 1.01, 1.05, 1.1, 1.25, 2.0)
    near = [now * share for share in shares] + [now + step for step in (-25, -6, -2, 2, 6, 25)]
    return [fact.low, fact.high, *(one for one in near if fact.low <= one <= fact.high)]
