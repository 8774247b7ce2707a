"""The open stop stands on free bar: stop and fittings as intervals along it, by hand."""

import random
from pathlib import Path

from validator import Finding, Rules, load_job_text, review

JOBS = Path(__file__).parent.parent / "fixtures" / "jobs"
WALLS_ONLY = JOBS / "holds-walls-only.yaml"  # its kit's stop is not captive
LENGTH, HALF, PITCH, WALL_GAP = 1.5, 0.625, 14.0, 0.125  # in; stop, fitting, holes, gap
FACE = 0.5 + 5.5 - 1.625  # the door stops 1/2 in from its wall; its wheel's inset less the flange


def told(rules: Rules, first_hole: float) -> dict[str, Finding]:
    text = WALLS_ONLY.read_text().replace("first_hole: 10", f"first_hole: {first_hole}")
    job = load_job_text(text, "stop.yaml", rules, beside=JOBS)
    return {one.clause: one for one in review(job, rules).findings}


def test_a_free_stop_may_not_stand_on_the_panels_fitting(rules: Rules) -> None:
    found = told(rules, 3.5)
    one = found["sliding.stop-beside-fitting"]
    assert (one.outcome, one.level) == ("fails", "error")
    assert "sliding.open-stop" not in found


def test_it_holds_just_where_the_intervals_do_not_overlap(rules: Rules) -> None:
    rng = random.Random(3)  # noqa: S311  # seeded, so that a run can be had again
    outcomes = []
    for _ in range(40):
        first = round(rng.uniform(2.0, 8.0) * 16) / 16
        middles = (WALL_GAP + first, WALL_GAP + first + PITCH)
        free = all(at - HALF >= FACE or at + HALF <= FACE - LENGTH for at in middles)
        one = told(rules, first).get("sliding.stop-beside-fitting")
        assert (one is None or one.outcome == "tight") == free, first
        outcomes.append(free)
    assert set(outcomes) == {True, False}
