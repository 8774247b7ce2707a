"""Setting-out: where things go, in which order, and what must show before the next step."""

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest

from ruleset.errors import RulesetError
from validator import Rules, judge, load_job, load_job_text
from validator.as_built import built_verdict, frozen_steps
from validator.report import settingout_text
from validator.report.takeoff_data import setting_out_data
from validator.settingout import HELD, HoldPoint, SettingOut, WorkStep, setting_out

HERE = Path(__file__).parent
JOBS = HERE.parent / "fixtures" / "jobs"
ORDINARY = (JOBS / "holds-ordinary.yaml").read_text(encoding="utf-8")
INCH = 25.4  # mm
CHECK = """\
job: check
format: 2
arrangement: in-line slider
units: in
kit: check-kit
code: irc-2021
survey:
  base: curb
  front: {head_height: 76, width: {sill: 60, middle: 60, head: 60}}
  left: {lean: 0, bow: 0, drop: 1/8}
  right: {lean: 0, bow: 0, drop: 0}
  fixed: {drop: 0}
  curb: {flat_width: 5, above_floor: 4}
design: {hand: left, height: 76,
  fixed: {split: 30, wall_gap: 1/8, sill_lift: 3/16, first_hole: 11, thickness: 3/8},
  door: {overlap: 1 1/2, thickness: 3/8,
    handle: {setback: 2 1/2, half_width: 1/2, panel_side: 1 3/4}}}
"""
Out = Callable[..., SettingOut]


@pytest.fixture
def out(rules: Rules) -> Out:
    def made(text: str = ORDINARY, more: str = "", beside: Path = JOBS) -> SettingOut:
        return setting_out(
            judge(load_job_text(text + more, "job.yaml", rules, beside=beside), rules)
        )

    return made


def as_read(**readings: str) -> str:
    rows = "".join(f"  {name}: {value}\n" for name, value in readings.items())
    return f"\nas_built:\n{rows}"


def value(found: SettingOut, name: str) -> float:
    cells = [c for t in found.tables for r in t.rows for c in r.cells if c.name == name]
    amount = cells[0].value
    assert amount is not None
    return amount.value / INCH


def hold(found: SettingOut, clause: str, subject: str = "") -> HoldPoint:
    points = (one for one in found.hold_points if one.clause == clause)
    (point,) = (one for one in points if subject in ("", one.subject))
    return point


def step(found: SettingOut, key: str) -> WorkStep:
    (one,) = (s for s in found.steps if s.key == key)
    return one


# Common practice, no source: worked by hand for the test kit, whose bar hangs 4 in below the top.
@pytest.mark.parametrize(
    ("name", "inches"),
    [
        ("bar.height", Fraction(72)),
        ("bar.above_curb_fixed", Fraction(577, 8)),
        ("fixed.top", Fraction(76)),
        # 2 1/2 in to the middle of the curb, less 3/4 in and half of 3/8 in to the panel.
        ("bar.from_curb_edge", Fraction(5, 2)),
        ("fixed.from_curb_edge", Fraction(25, 16)),
        ("guide.from_curb_edge", Fraction(55, 16)),
        ("guide.near_edge", Fraction(59, 2)),
        ("guide.far_edge", Fraction(123, 4)),
        # Open at 35 in, less 31 1/4 of door, 5 in to its wheel less 1 1/2, less 7/8 at the wall.
        ("bar.open_stop", Fraction(51, 8)),
        # 60 in, less 59 3/4 of closed door's edge, 5 in to its wheel less 1 1/2.
        ("door.closed_room", Fraction(15, 4)),
    ],
)
def test_check_values(out: Out, name: str, inches: Fraction) -> None:
    assert value(out(CHECK, beside=HERE), name) == pytest.approx(float(inches), abs=1e-6)


def test_every_height_and_line_says_what_it_is_from(out: Out) -> None:
    rows = [row for table in out().tables for row in table.rows]
    assert [row.item for row in rows if not row.origin] == ["Way in past the open door"]


ORDER = [
    # before, after: common practice, no source
    ("goods", "datum"),
    ("panel", "first-cut"),  # the bar is matched to a panel that stands
    ("first-cut", "second-cut"),  # from the hole first, then tight at the bar's height
    ("second-cut", "dress-bar"),
    ("dress-bar", "fix-bar"),  # stops and end fittings go on before the bar is fixed
    ("panel", "guide"),
    ("dress-door", "hang"),  # eccentrics start in their middle
    ("hang", "retainers"),
    ("retainers", "stops"),
    ("guide", "dam"),
    ("dam", "seal"),
    ("seal", "handover"),
]


@pytest.mark.parametrize(("before", "after"), ORDER)
def test_the_order_of_work(out: Out, before: str, after: str) -> None:
    found = out()
    needed, open_ = set(), {step(found, after).number}
    while open_:
        number = open_.pop()
        needed.add(number)
        open_ |= set(found.steps[number - 1].after) - needed
    assert step(found, before).number in needed - {step(found, after).number}


@pytest.mark.parametrize(
    ("key", "words"),
    [
        ("first-cut", "tube cutter, not a hand saw"),
        ("first-cut", "measured from the tapped hole"),
        ("dress-bar", "bumper up"),
        ("dress-bar", "set screws down"),
        ("dress-bar", "between the panel's first hole and its wall"),
        ("fix-bar", "set screws nearest the wall first"),
        ("guide", "over the end of its channel"),
        ("dress-door", "eccentrics of the rollers in the middle of their range"),
        ("stops", "against an upper roller"),
        ("dam", "in line with the fixed panel"),
    ],
)
def test_steps_say_what_the_trade_asks(out: Out, key: str, words: str) -> None:
    one = step(out(), key)
    assert words in " ".join((one.do, *one.cautions))
    assert one.basis == "common practice, no source: check it"


def test_the_open_stop_stands_between_hole_and_wall(out: Out) -> None:
    cells = {cell.name: cell.value for cell in step(out(), "dress-bar").values}
    stop, hole = cells["bar.open_stop"], cells["bar.to_first_hole"]
    assert stop is not None
    assert hole is not None
    assert 0 < stop.value < hole.value


@pytest.mark.parametrize(
    "name", ["ordinary", "hinged-walls", "hinged-panel-wall", "hinged-panel-glass"]
)
def test_every_clause_that_only_the_work_decides_is_a_hold_point(rules: Rules, name: str) -> None:
    verdict = judge(load_job(JOBS / f"holds-{name}.yaml", rules), rules)
    found = setting_out(verdict)
    cases = (case.clause for case in verdict.plan.cases)
    asked = {clause.name for clause in cases if clause.stage in HELD}
    assert {one.clause for one in found.hold_points} == asked
    assert found.others == ()
    assert all(one.readings and one.signs for one in found.hold_points)


@pytest.mark.parametrize(
    ("clause", "shows", "signs"),
    [
        ("fixed.plumb", "at most 1/16 in", "installer"),
        ("sliding.stops-fitted", "at least 2", "installer"),
        ("sliding.retainers-set", "yes", "installer"),
        ("handover.cure", "at least 24 h", "installer"),
        ("papers.goods door", "at most 1/8 in apart", "the shop"),
    ],
)
def test_a_hold_point_says_what_must_show(out: Out, clause: str, shows: str, signs: str) -> None:
    point = hold(out(), *clause.split())
    assert (point.shows, point.signs) == (shows, signs)


def test_a_limit_is_never_rounded_past_itself(rules: Rules) -> None:
    found = setting_out(judge(load_job(JOBS / "holds-millimetres.yaml", rules), rules))
    assert hold(found, "fixed.plumb").shows == "at most 1.5 mm (rounded down from about 1.588 mm)"


def test_goods_in_reads_against_the_drawn_size(out: Out) -> None:
    point = hold(out(), "papers.goods", "door")
    assert [one.expected for one in point.readings] == ["31 3/16 in", "77 5/8 in"]
    assert point.title == "The pane on the rack has the ordered size, the sliding door"


@pytest.mark.parametrize(
    ("reading", "outcome"), [("1/16", "holds"), ("1/8", "fails")], ids=["at the limit", "past it"]
)
def test_readings_typed_back_decide(out: Out, reading: str, outcome: str) -> None:
    point = hold(out(more=as_read(bar=f"{{level: {reading}}}")), "bar.level")
    assert point.outcome == outcome
    assert point.readings[0].given == f"{reading} in"
    assert bool(point.says) == (outcome == "fails")


def test_a_handle_that_passes_the_panel_is_not_held(out: Out) -> None:
    passing = ORDINARY.replace("panel_side: 1 3/4", "panel_side: 1")
    clauses = {one.clause for one in out(passing).hold_points}
    assert "sliding.handle-stops-clear" not in clauses


def test_lines_follow_the_glass_on_the_rack_and_not_readings_of_the_work(out: Out) -> None:
    goods = as_read(fixed="{goods: {width: 29 13/16}}", bar="{height: 74 3/4}")
    found = out(more=goods)
    assert value(found, "fixed.edge") == pytest.approx(29.9375)
    assert value(found, "bar.height") == pytest.approx(74.5)


def test_built_equals_drawn_where_nothing_is_off(rules: Rules) -> None:
    verdict = judge(load_job(JOBS / "holds-ordinary.yaml", rules), rules)
    built = built_verdict(verdict, {})
    assert built.run.outcomes == verdict.run.outcomes
    for one, other in zip(built.run.values, verdict.run.values, strict=True):
        assert one == other or (one != one and other != other)  # nan
    assert {one.name for one in frozen_steps(verdict)} == {
        "door.width",
        "door.height",
        "fixed.width",
        "fixed.height",
    }


def test_a_bar_set_high_lifts_the_built_door(rules: Rules) -> None:
    text = ORDINARY + as_read(bar="{height: 74 5/8}")
    verdict = judge(load_job_text(text, "job.yaml", rules, beside=JOBS), rules)
    built = built_verdict(verdict, {})
    raised = built.answer("door.floor_gap").value - verdict.answer("door.floor_gap").value
    assert raised == pytest.approx(INCH / 8)
    assert built.answer("door.height").value == verdict.answer("door.height").value


def test_what_is_missing_is_named(rules: Rules) -> None:
    found = setting_out(judge(load_job(JOBS / "unknown-half-surveyed.yaml", rules), rules))
    assert "design.height" in {one.fact for one in found.missing}


@pytest.mark.parametrize("name", ["holds-ordinary.yaml", "unknown-half-surveyed.yaml"])
@pytest.mark.parametrize("width", [60, 80])
def test_text_keeps_its_width_and_has_a_box_for_each_reading(
    rules: Rules, name: str, width: int
) -> None:
    found = setting_out(judge(load_job(JOBS / name, rules), rules))
    text = settingout_text.write(found, width=width)
    assert max(map(len, text.splitlines())) <= width
    readings = [r for point in found.hold_points for r in point.readings if not r.given]
    assert text.count(settingout_text.BOX) == len(readings)
    assert text.count("Signed") == len(found.hold_points)


def test_data_holds_every_step_and_hold_point(out: Out) -> None:
    found = out()
    data = setting_out_data(found, "1")
    steps, points = data["steps"], data["hold_points"]
    assert isinstance(steps, list)
    assert isinstance(points, list)
    assert [one["step"] for one in steps] == [one.key for one in found.steps]
    assert [one["shows"] for one in points] == [one.shows for one in found.hold_points]


STEPS = """\
sheet: setting-out
title: S
steps:
  one: {do: First, show: [bar.height]}
  two: {do: Second, after: [one], holds: [bar.level]}
"""


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("after: [one]", "after: [tow]", "after 'tow', which is no step."),
        ("do: First,", "do: First, after: [two],", "after 'two', which comes later or is itself."),
        ("after: [one]", "after: [two]", "after 'two', which comes later or is itself."),
        (
            "bar.level",
            "bar.levle",
            "5:43: There is no clause 'bar.levle'. Did you mean 'bar.level'?",
        ),
        (
            "bar.height",
            "bar.hieght",
            "4:27: No book has a name 'bar.hieght'. Did you mean 'bar.height'?",
        ),
        ("do: Second, ", "", "has no do; it needs one."),
    ],
)
def test_a_sheet_with_a_fault_is_refused(
    rules: Rules, tmp_path: Path, old: str, new: str, says: str
) -> None:
    assert old in STEPS
    path = tmp_path / "setting-out.yaml"
    path.write_text(STEPS.replace(old, new), encoding="utf-8")
    verdict = judge(load_job(JOBS / "holds-ordinary.yaml", rules), rules)
    with pytest.raises(RulesetError) as error:
        setting_out(verdict, sheet=path)
    assert says in str(error.value)


def test_a_clause_that_no_step_names_is_still_held(rules: Rules, tmp_path: Path) -> None:
    path = tmp_path / "setting-out.yaml"
    path.write_text(STEPS, encoding="utf-8")
    verdict = judge(load_job(JOBS / "holds-ordinary.yaml", rules), rules)
    found = setting_out(verdict, sheet=path)
    assert [one.clause for one in found.steps[1].holds] == ["bar.level"]
    assert "fixed.plumb" in {one.clause for one in found.others}
    assert "Hold points of no step" in settingout_text.write(found)
