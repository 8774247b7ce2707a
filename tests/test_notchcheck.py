"""Notches, hinges and clamps of an order against the take-off."""

import datetime as dt
from pathlib import Path

import pytest
from shapely.geometry import box

from validator import Finding, Rules, judge, load_job_text, remedies, setting_out, takeoff
from validator.day import on_day
from validator.ordercheck import check_order
from validator.report import takeoff_text

JOBS = Path(__file__).resolve().parent.parent / "fixtures" / "jobs"
BASE = (JOBS / "holds-hinged-panel-wall.yaml").read_text(encoding="utf-8")
DOOR = "door: {width: 28 1/2, height: 75 5/8}"
FIXED = "fixed: {width: 30 7/8, height: 75 13/16}"
Cut = tuple[float, float, float, float, float]
BOTTOM: Cut = (0, 7.75, 1.75, 2.5, 0.5)
TOP: Cut = (0, 65.375, 1.75, 2.5, 0.5)
"""By hand: hinges 9 in from foot and top of 75 5/8 in, the notch as tall to both sides of them."""
DAY = dt.date(2026, 3, 20)


def listed(*cuts: Cut) -> str:
    keys = ("x", "y", "width", "height", "radius")
    rows = (", ".join(f"{k}: {v}" for k, v in zip(keys, cut, strict=True)) for cut in cuts)
    return f"{DOOR[:-1]}, notches: [{', '.join(f'{{{row}}}' for row in rows)}]}}"


def told(rules: Rules, *changes: tuple[str, str]) -> tuple[Finding, ...]:
    text = BASE
    for old, new in changes:
        assert text.count(old) == 1
        text = text.replace(old, new)
    return check_order(judge(on_day(load_job_text(text, "job", rules, beside=JOBS), DAY), rules))


def test_the_notches_of_the_take_off_are_told_nothing_of(rules: Rules) -> None:
    assert told(rules, (DOOR, listed(BOTTOM, TOP))) == ()
    assert told(rules, (DOOR, listed(TOP, BOTTOM))) == ()
    near = (0, 7.75 + 1 / 64, 1.75, 2.5, 0.5)
    assert told(rules, (DOOR, listed(near, TOP))) == ()


@pytest.mark.parametrize(
    ("at", "value", "says"),
    [
        (0, 0.25, "its distance from the left edge as 1/4 in, which is 0 in"),
        (1, 8.75, "its distance from the foot as 8 3/4 in, which is 7 3/4 in"),
        (2, 2.0, "its width as 2 in, which is 1 3/4 in"),
        (3, 3.0, "its height as 3 in, which is 2 1/2 in"),
        (4, 0.25, "its radius as 1/4 in, which is 1/2 in"),
    ],
)
def test_a_notch_that_is_off_is_told_with_its_size(
    rules: Rules, at: int, value: float, says: str
) -> None:
    sizes = [*BOTTOM]
    sizes[at] = value
    x, y, wide, high, radius = sizes
    cut = (x, y, wide, high, radius)
    (one,) = told(rules, (DOOR, listed(cut, TOP)))
    assert one.says == (
        f"The order has the notch of the bottom hinge of the hinged door with {says} on the "
        "take-off."
    )
    assert (one.clause, one.subject, one.level) == ("order-check.notch", "door", "error")


def test_a_notch_that_lacks_and_one_too_many_are_told(rules: Rules) -> None:
    (one,) = told(rules, (DOOR, listed(BOTTOM)))
    assert one.says.startswith("The order lacks the notch of the top hinge of the hinged door;")
    (one,) = told(rules, (DOOR, listed(BOTTOM, TOP, (26, 0, 2.5, 3, 0.5))))
    assert one.says.endswith("that the take-off has not.")
    assert one.place.pointer.startswith("/order/door/notches/2")
    row = "{x: 0, y: 0, width: 2, height: 3, radius: 1/2}"
    (one,) = told(rules, (FIXED, f"{FIXED[:-1]}, notches: [{row}]}}"))
    assert "in the fixed panel" in one.says


def test_a_mirrored_and_an_upended_list_are_told_whole(rules: Rules) -> None:
    """Which is which by shapely: the glass turned over holds the same cut-outs."""
    glass = box(0, 0, 28.5, 75.625)
    for cuts, clause in (
        (tuple((28.5 - c[0] - c[2], *c[1:]) for c in (BOTTOM, TOP)), "order-check.mirrored"),
        (
            tuple((c[0], 75.625 - c[1] - c[3], *c[2:]) for c in ((0, 20, 1.75, 2.5, 0.5), TOP)),
            "order-check.notch",
        ),
    ):
        (found,) = {one.clause for one in told(rules, (DOOR, listed(*cuts)))}
        assert found == clause
        cut = glass
        for x, y, wide, high, _ in cuts:
            cut = cut.difference(box(x, y, x + wide, y + high))
        assert cut.area == pytest.approx(glass.area - 2 * 1.75 * 2.5)


def test_a_notch_without_all_its_sizes_is_told_and_not_passed_over(rules: Rules) -> None:
    rows = f"{DOOR[:-1]}, notches: [{{x: 0, y: 7 3/4, width: 1 3/4, height: 2 1/2}}]}}"
    (one,) = told(rules, (DOOR, rows))
    assert one.level == "warning"
    assert "without radius, so that no notch of the hinged door is held" in one.says


@pytest.mark.parametrize(
    ("pane", "goods", "says"),
    [
        (
            DOOR,
            "hinge: {count: 1}",
            "hinges of the hinged door as 1; the take-off says 2: 1 is missing.",
        ),
        (DOOR, "hinge: {count: 4}", "as 4; the take-off says 2: 2 are too many."),
        (DOOR, "hinge: {count: 2, mounts: pane}", "are made for as pane; the take-off says wall."),
        (DOOR, "hinge: {count: 2, fixing: holes}", "as holes; the take-off says notch."),
        (
            FIXED,
            "head: clamp",
            "the head of the fixed panel as clamp; the take-off says header.",
        ),
        (FIXED, "clamps: 2", "the clamps at the head of the fixed panel as 2; the take-off says 0"),
    ],
)
def test_hinges_and_clamps_of_an_order_are_held_against_the_take_off(
    rules: Rules, pane: str, goods: str, says: str
) -> None:
    found = told(rules, (pane, f"{pane[:-1]}, {goods}}}"))
    wrong = [one for one in found if one.level != "note"]
    assert len(wrong) == 1
    assert says in wrong[0].says
    assert wrong[0].clause == "order-check.goods"


def test_right_hinges_are_told_nothing_of_but_what_else_is_not_listed(rules: Rules) -> None:
    found = told(rules, (DOOR, f"{DOOR[:-1]}, hinge: {{count: 2, mounts: wall, fixing: notch}}}}"))
    assert {one.level for one in found} <= {"note"}
    assert told(rules, (FIXED, f"{FIXED[:-1]}, head: header}}")) == ()


def test_the_take_off_says_what_the_hinges_are(rules: Rules) -> None:
    verdict = judge(load_job_text(BASE, "job", rules, beside=JOBS), rules)
    text = takeoff_text.write(takeoff(verdict))
    assert "Its hinges hold it to" in text
    assert setting_out(verdict).steps


def test_a_remedy_writes_an_order_s_notches_and_hinges_anew(rules: Rules) -> None:
    """The door too heavy for two hinges: a third one follows into the count that is ordered."""
    text = (JOBS / "fails-hinged-too-heavy.yaml").read_text(encoding="utf-8")
    job = load_job_text(text, "job", rules, beside=JOBS)
    assert not any(name.startswith("order.door.hinge") for name in job.values)
    door = next(line for line in text.splitlines() if line.strip().startswith("door: {width"))
    text = text.replace(door, f"{door.rstrip()[:-1]}, hinge: {{count: 2}}}}")
    found = remedies(load_job_text(text, "job", rules, beside=JOBS), rules)
    assert found.joint is not None
    news = {one.fact: one.new for one in found.joint.changes}
    assert news["design.door.hinge.count"] == news["order.door.hinge.count"] == "3"
