"""Papers of hinged doors against the take-off: hand, panes, holes of hinges and clamp, goods."""

import datetime as dt
from pathlib import Path

import pytest

from validator import Finding, Rules, judge, load_job_text
from validator.day import on_day
from validator.ordercheck import check_order

JOBS = Path(__file__).resolve().parent.parent / "fixtures" / "jobs"
BASE = (JOBS / "holds-hinged-panel-glass.yaml").read_text(encoding="utf-8")
DOOR = "door: {width: 27 1/2, height: 75 5/8}"
FIXED = "fixed: {width: 31 7/8, height: 75 13/16}"
HINGES: list[tuple[float, float, float]] = [
    (1.125, 8, 0.625),
    (1.125, 10, 0.625),
    (1.125, 65.625, 0.625),
    (1.125, 67.625, 0.625),
]
"""The door's, by hand: 9 in from foot and top of 75 5/8 in, as far apart as the kit has them."""
HANDLE: list[tuple[float, float, float]] = [(24.9375, 36, 0.5), (24.875, 42, 0.5)]


def told(rules: Rules, *changes: tuple[str, str]) -> tuple[Finding, ...]:
    text = BASE
    for old, new in changes:
        assert text.count(old) == 1
        text = text.replace(old, new)
    job = load_job_text(text, "job.yaml", rules, beside=JOBS)
    return check_order(judge(on_day(job, dt.date(2026, 3, 20)), rules))


def with_holes(holes: list[tuple[float, float, float]]) -> tuple[str, str]:
    rows = ", ".join(f"{{x: {x}, y: {y}, across: {wide}}}" for x, y, wide in holes)
    return DOOR, DOOR.replace("}", f", holes: [{rows}]}}")


def test_what_is_as_the_take_off_is_told_nothing_of(rules: Rules) -> None:
    assert told(rules, (DOOR, f"hand: left\n  {DOOR}")) == ()
    assert told(rules, with_holes(HINGES + HANDLE)) == ()


def test_the_other_hand_is_told_by_its_hinges(rules: Rules) -> None:
    (one,) = told(rules, (DOOR, f"hand: right\n  {DOOR}"))
    assert one.says.startswith("The order is written for hinges on the right;")
    assert (one.clause, one.place.pointer) == ("order-check.mirrored", "/order/hand")


def test_panes_that_are_exchanged_are_told_whole(rules: Rules) -> None:
    as_door, as_fixed = DOOR.replace("door", "fixed"), FIXED.replace("fixed", "door")
    (one,) = told(rules, (DOOR, as_fixed), (FIXED, as_door))
    assert one.clause == "order-check.exchanged"


def test_a_hinge_hole_that_is_off_is_told_with_its_amount(rules: Rules) -> None:
    (one,) = told(rules, with_holes([(1.125, 8.5, 0.625), *HINGES[1:], *HANDLE]))
    assert (one.clause, one.subject) == ("order-check.hole", "door")
    assert "the lower hole of the bottom hinge of the hinged door" in one.says
    assert "1/2 in too high" in one.says


def test_a_panel_beside_a_door_on_the_wall_counts_from_its_own_wall(rules: Rules) -> None:
    text = (JOBS / "holds-hinged-panel-wall.yaml").read_text(encoding="utf-8")
    assert "hand: left" in text
    order = "fixed: {width: 30 7/8, height: 75 13/16"
    assert text.count(order) == 1
    text = text.replace(order, f"{order}, holes: [{{x: 20, y: 20, across: 1/2}}]")
    job = load_job_text(text, "job.yaml", rules, beside=JOBS)
    (one,) = check_order(judge(on_day(job, dt.date(2026, 3, 20)), rules))
    assert "at 20 in from the right edge and 20 in from the foot" in one.says


def test_a_hole_without_all_its_sizes_is_told_and_not_passed_over(rules: Rules) -> None:
    rows = f"{DOOR[:-1]}, holes: [{{x: 3, y: 5}}]}}"
    (one,) = told(rules, (DOOR, rows))
    assert one.says == (
        "The order has hole 1 of the hinged door without across, so that no hole of the hinged "
        "door is held against the take-off."
    )
    assert (one.level, one.clause) == ("warning", "order-check.hole")


@pytest.mark.parametrize(
    ("pane", "goods", "item"),
    [
        (DOOR, "bulb: 74, sweep: 27 1/2", "the bulb of the hinged door"),
        (DOOR, "bulb: 75, sweep: 26", "the sweep under the hinged door"),
        (FIXED, "wall_channel: 75, sill_channel: 32", "the wall channel of the fixed panel"),
        (FIXED, "wall_channel: 76, sill_channel: 31", "the sill channel of the fixed panel"),
    ],
)
def test_goods_that_are_too_short_are_told(rules: Rules, pane: str, goods: str, item: str) -> None:
    ordered = pane, pane.replace("}", f", {goods}}}")
    (one,) = [one for one in told(rules, ordered) if one.level == "warning"]
    assert one.clause == "order-check.goods"
    assert item in one.says
