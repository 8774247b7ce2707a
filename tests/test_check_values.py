"""Check values of the trade, which are common practice and have no source, come out of the books.

They are worked by hand for a test kit whose hardware is made to give them (kits/check-kit.yaml).
"""

from fractions import Fraction
from pathlib import Path

import pytest

from validator import Rules, Verdict, judge, load_job_text, load_rules, review

HERE = Path(__file__).parent
INCH = 25.4  # mm
TRUE_WALLS = """\
job: check
format: 2
arrangement: in-line slider
units: in
kit: check-kit
code: irc-2021
survey:
  base: curb
  front: {head_height: 76, width: {sill: 60, middle: 60, head: 60}}
  left: {lean: 0, bow: 0}
  right: {lean: 0, bow: 0}
  curb: {flat_width: CURB}
design:
  height: 76
  door:
    {overlap: 1 1/2, thickness: 3/8, handle: {setback: 2 1/2, half_width: 1/2, panel_side: 1 3/4}}
  fixed: {split: 30, wall_gap: 1/8, sill_lift: 3/16, first_hole: 11, thickness: 3/8}
as_built:
  door: {handle_clearance: CLEAR}
  cured: CURED
"""


@pytest.fixture(scope="module")
def rules() -> Rules:
    return load_rules(installed=False)


def check_job(curb: str = "2 15/16", clear: str = "2", cured: str = "24 h") -> str:
    return TRUE_WALLS.replace("CURB", curb).replace("CLEAR", clear).replace("CURED", cured)


def judged(rules: Rules) -> Verdict:
    return judge(load_job_text(check_job(), "check.yaml", rules, beside=HERE), rules)


def failing(rules: Rules, text: str, stage: str) -> set[str]:
    job = load_job_text(text, "check.yaml", rules, beside=HERE)
    found = review(job, rules, stage=stage).findings
    return {one.clause for one in found if one.outcome == "fails"}


@pytest.mark.parametrize(
    ("name", "inches"),
    [
        # One thickness, 3/8 in taken as 3/8: the panel's middle 15/16 in outward of the bar's,
        # 9/32 in of half channel and 1/4 in of margin past it; the door's side is made equal.
        pytest.param("curb.panel_room", Fraction(47, 32), id="15/16 and 17/32 outward of the bar"),
        pytest.param("curb.width_needed", Fraction(47, 16), id="least curb 2 15/16"),
        pytest.param("bar.height", Fraction(72), id="76 in glass, wall holes at 72"),
        pytest.param("bar.wall_to_wall", Fraction(60), id="60 in at the bar"),
        pytest.param("bar.cut", Fraction(233, 4), id="bar 58 1/4"),
        pytest.param("door.width", Fraction(125, 4), id="door 31 1/4"),
        pytest.param("door.sweep", Fraction(253, 8), id="sweep 31 5/8"),
        # First hole 11 1/8 in from the wall, less 7/8; the stock reaches 14 in past its hole.
        pytest.param("bar.to_first_hole", Fraction(41, 4), id="first cut 10 1/4 from the hole"),
        pytest.param("bar.first_cut", Fraction(15, 4), id="3 3/4 comes off"),
        pytest.param("bar.second_cut", Fraction(22), id="and 22 off the other end"),
        pytest.param("door.retainer_gap", Fraction(1, 16), id="retainer 1/16 below the bar"),
        # 30 in to the panel's edge, 2 in of clearance and 3 in from handle to the door's edge.
        pytest.param("door.open_at", Fraction(35), id="2 in between handle and panel"),
    ],
)
def test_the_books_give_the_check_value(rules: Rules, name: str, inches: Fraction) -> None:
    assert judged(rules).answer(name).value == pytest.approx(float(inches) * INCH, abs=1e-6)


@pytest.mark.parametrize(
    ("clause", "enough", "short", "stage"),
    [
        ("opening.curb-width", {"curb": "2 15/16"}, {"curb": "2 7/8"}, "design"),
        ("sliding.handle-stops-clear", {"clear": "2"}, {"clear": "1 15/16"}, "install"),
        ("handover.cure", {"cured": "24 h"}, {"cured": "23 h"}, "handover"),
    ],
)
def test_the_clause_turns_at_the_check_value(
    rules: Rules, clause: str, enough: dict[str, str], short: dict[str, str], stage: str
) -> None:
    assert clause not in failing(rules, check_job(**enough), stage)
    assert clause in failing(rules, check_job(**short), stage)


def test_the_test_kit_is_as_the_values_ask(rules: Rules) -> None:
    verdict = judged(rules)
    kit = {name: verdict.facts[name] / INCH for name in ("kit.drop", "kit.sweep.overhang")}
    assert kit == pytest.approx({"kit.drop": 4.0, "kit.sweep.overhang": 0.375})


def test_nothing_drawn_on_the_test_kit_fails(rules: Rules) -> None:
    failed = failing(rules, check_job(), "handover")
    assert not {name for name in failed if name.startswith(("bar.", "fixed.", "sliding."))}
