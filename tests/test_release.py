"""What a stage waits for, on whole jobs: errors that are due, and what could be one."""

from collections.abc import Callable
from pathlib import Path

import pytest

from ruleset.book import STAGES
from validator import Review, Rules, load_job_text, review
from validator.release import BUILT_SO

JOBS = Path(__file__).parent.parent / "fixtures" / "jobs"
ORDINARY = "holds-ordinary.yaml"
HUNG = "fails-used-before-cure.yaml"
FINISHED = ("cured: 14 h", "cured: 30 h\n  guide_capture: 40")

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
                "fixed: {backing: yes, pipes_known: yes",
                f"fixed: {{backing: yes, pipes_known: {value}",
            ),
        )
        assert told(found)["opening.pipes-known"] == (outcome, "warning")
        assert found.release.ready
    assert [one.fact for one in found.asked] == ["survey.wall.fixed.pipes_known"]


def test_what_could_be_an_error_holds_it_up_when_it_is_missing(reviewed: Reviewed) -> None:
    found = reviewed(ORDINARY, ("strike: {backing: yes", "strike: {backing: "))
    assert told(found)["opening.backing"] == ("unknown", "error")
    assert found.release.because == ("opening.backing",)


def test_a_survey_without_a_reading_of_the_design_is_not_complete(reviewed: Reviewed) -> None:
    # The room over the door is asked of the design; only the surveyor can read the ceiling.
    ceiling = ("inside: {fixed: 96, strike: 96}", "inside: {fixed: 96, strike: }")
    found = reviewed(ORDINARY, ceiling, stage="survey")
    assert found.release.because == ("opening.head-room",)
    assert [one.fact for one in found.asked] == ["survey.ceiling.inside.strike"]
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
    bare = ("strike: {backing: yes", "strike: {backing: no")
    found = reviewed(HUNG, FINISHED, bare, stage="handover")
    assert told(found)["opening.backing"] == ("fails", "error")
    assert found.release.because == ("opening.backing",)
    assert [one.do for one in found.findings] == [BUILT_SO]  # opening the wall came before
