"""Glass over a bath: the cut corner held against shapely, and what is asked of a stall only.

Outside check: shapely cuts the notch out of the pane and lays the cove, grown by its clearance,
over it.
"""

import random
from pathlib import Path

import pytest
from shapely.geometry import box

from validator import Finding, Rules, load_job_text, load_rules, review

JOBS = Path(__file__).parent.parent / "fixtures" / "jobs"
BASE = (JOBS / "holds-bath-slider.yaml").read_text(encoding="utf-8")
STALL = (JOBS / "holds-ordinary.yaml").read_text(encoding="utf-8")
COVE, CUT = "cove: {along: 5/8, up: 3/4}", "{x: 0, y: 0, width: 3/4, height: 3/4, radius: 7/16}"
STRIKE = "cove: {along: 0, up: 0}"
CLEAR = 3 / 25.4  # in
RULES = load_rules(installed=False)


def reviewed(*changes: tuple[str, str], text: str = BASE, rules: Rules = RULES) -> list[Finding]:
    for before, after in changes:
        assert text.count(before) == 1, before
        text = text.replace(before, after)
    job = load_job_text(text, "job.yaml", rules, beside=JOBS)
    return list(review(job, rules).findings)


def failing(*changes: tuple[str, str], text: str = BASE) -> set[str]:
    return {one.clause for one in reviewed(*changes, text=text) if one.outcome == "fails"}


def sixteenths(count: int) -> str:
    return f"{count}/16"


def test_a_corner_is_cut_where_glass_would_stand_in_the_cove() -> None:
    drawn = random.Random(20)  # noqa: S311 - jobs, not secrets
    outcomes = []
    for _ in range(60):
        along, up = drawn.randint(1, 24), drawn.randint(1, 24)
        wide, high = drawn.randint(7, 24), drawn.randint(7, 24)
        cove = f"cove: {{along: {sixteenths(along)}, up: {sixteenths(up)}}}"
        cut = f"{{x: 0, y: 0, width: {sixteenths(wide)}, height: {sixteenths(high)}, radius: 7/16}}"
        glass = box(1 / 8, 3 / 16, 30, 62)
        glass -= box(1 / 8, 3 / 16, 1 / 8 + wide / 16, 3 / 16 + high / 16)
        meets = glass.intersection(box(0, 0, along / 16 + CLEAR, up / 16 + CLEAR)).area > 0
        outcomes.append(meets)
        assert ("tub.corner-cut" in failing((COVE, cove), (CUT, cut))) is meets, (cove, cut)
    assert 10 < sum(outcomes) < 50


def test_a_door_meets_the_cove_at_its_strike() -> None:
    drawn = random.Random(21)  # noqa: S311 - jobs, not secrets
    outcomes = []
    for _ in range(30):
        along, up = drawn.randint(0, 4), drawn.randint(1, 8)
        cove = f"cove: {{along: {along}/32, up: {up}/16}}"
        # 3/16 in from its wall's plumb line; 3/8 in over the datum is 7/16 in over the rim there.
        corner = box(0.1875, 0.4375, 30, 62)
        meets = corner.intersection(box(0, 0, along / 32 + CLEAR, up / 16 + CLEAR)).area > 0
        outcomes.append(meets)
        assert ("tub.door-over-cove" in failing((STRIKE, cove))) is meets, cove
    assert 3 < sum(outcomes) < 27


def test_what_is_asked_of_a_stall_is_not_asked_of_a_bath() -> None:
    narrow = ("split: 30", "split: 34")
    found = failing(narrow)
    assert "sliding.clear-opening" not in found
    assert "tub.way-in" in found
    assert "sliding.clear-opening" in failing(narrow, text=STALL)


@pytest.mark.parametrize(
    ("text", "change", "clause"),
    [
        (BASE, ("base: rim", "base: curb"), "tub.rim-named"),
        (STALL, ("base: curb", "base: rim"), "compartment.stall-base"),
        (BASE, ("fixing: bonded", "fixing: screwed"), "tub.bonded"),
        (BASE, ("accessible: no", "accessible: yes"), "tub.rim-track"),
        (BASE, ("flat_width: 4 3/8", "flat_width: 4"), "opening.curb-width"),
    ],
)
def test_each_fault_is_told(text: str, change: tuple[str, str], clause: str) -> None:
    assert clause not in failing(text=text)
    assert clause in failing(change, text=text)


def test_a_track_on_an_accessible_rim_is_an_error_where_the_standard_is_adopted() -> None:
    """2010 ADA Standards 607.7, as a program quotes it: no tracks mounted on bathtub rims."""
    adopted = ("code: irc-2021", "code: [irc-2021, ada-2010]")
    found = reviewed(("accessible: no", "accessible: yes"), adopted)
    (track,) = (one for one in found if one.clause == "tub.rim-track")
    assert (track.outcome, track.level) == ("fails", "error")
