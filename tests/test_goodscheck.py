"""What an order lists besides glass, held against the take-off; lengths by hand.

The ordinary job: the bulb is the door's height less what the sweep covers, 77 5/8 - 3/4 in; the
wall channel reaches the top of the glass, 78 in; the bar's stock is the kit's, 84 in.
"""

import datetime as dt
from collections.abc import Callable
from pathlib import Path

import pytest

from validator import Finding, Rules, judge, load_job_text, review
from validator.day import on_day
from validator.ordercheck import check_order
from validator.remedy.find import QUICK, remedies

JOBS = Path(__file__).parent.parent / "fixtures" / "jobs"
BASE = (JOBS / "holds-ordinary.yaml").read_text(encoding="utf-8")
DAY = dt.date(2026, 3, 20)
ORDERED = {
    "door": "  door: {width: 31 3/16, height: 77 5/8}",
    "fixed": "  fixed: {width: 29 7/8, height: 77 13/16}",
}
SEALS = "bulb: 76 7/8, sweep: 31 7/16, dam: 29 3/16"
CHANNELS = "wall_channel: 78, sill_channel: 30 1/16"
Check = Callable[..., tuple[Finding, ...]]


def job_of(door: str = "", fixed: str = "", bar: str = "") -> str:
    text = BASE
    for part, goods in (("door", door), ("fixed", fixed)):
        assert text.count(ORDERED[part]) == 1
        row = f"{ORDERED[part][:-1]}, {goods}}}" if goods else ORDERED[part]
        text = text.replace(ORDERED[part], row)
    return f"{text}  bar: {{length: {bar}}}\n" if bar else text


@pytest.fixture
def check(rules: Rules) -> Check:
    def found(door: str = "", fixed: str = "", bar: str = "") -> tuple[Finding, ...]:
        text = job_of(door, fixed, bar)
        return check_order(
            judge(on_day(load_job_text(text, "job.yaml", rules, beside=JOBS), DAY), rules)
        )

    return found


def test_an_order_of_glass_alone_is_asked_for_nothing_else(rules: Rules, check: Check) -> None:
    assert check() == ()
    said = review(load_job_text(BASE, "job.yaml", rules, beside=JOBS), rules, today=DAY)
    assert said.release.ready
    assert not [one for one in said.asked if one.fact.startswith("order.bar")]


def test_all_as_the_take_off_has_it_is_right(check: Check) -> None:
    assert check(SEALS, CHANNELS, "84") == ()


@pytest.mark.parametrize(
    ("door", "level"),
    [
        ("bulb: 76 13/16", ""),  # exactly as far off as the limit lets through, 1/16 in
        ("bulb: 76 3/4", "warning"),
        ("bulb: 98", ""),  # cut where it stands
    ],
)
def test_a_seal_may_be_ordered_longer_and_no_shorter(check: Check, door: str, level: str) -> None:
    found = check(f"{door}, sweep: 31 7/16, dam: 29 3/16", CHANNELS, "84")
    assert [one.level for one in found] == ([level] if level else [])
    for one in found:
        assert one.says == (
            "The order has the bulb of the sliding door at 76 3/4 in; the take-off says 76 7/8 in, "
            "so that it is 1/8 in shorter."
        )
        assert (one.clause, one.subject, one.stage) == ("order-check.goods", "door", "order")
        assert one.place.pointer == "/order/door/bulb"


@pytest.mark.parametrize(("bar", "says"), [("96", "12 in longer"), ("72", "12 in shorter")])
def test_the_stock_of_the_bar_is_the_kits(check: Check, bar: str, says: str) -> None:
    (one,) = check(SEALS, CHANNELS, bar)
    assert one.says == (
        f"The order has the stock of the bar at {bar} in; the take-off says 84 in, so that it is "
        f"{says}."
    )


@pytest.mark.parametrize(
    ("written", "slip"),
    [
        ("1981.2", "a number of millimetres was written as inches"),
        ("78 mm", "a number of inches was written as millimetres"),
    ],
)
def test_a_slip_of_unit_is_named_though_it_is_longer(check: Check, written: str, slip: str) -> None:
    (one,) = check(SEALS, f"wall_channel: {written}, sill_channel: 30 1/16", "84")
    assert one.says.endswith(f"the take-off says 78 in: {slip}.")


def test_what_is_left_out_beside_what_is_listed_is_a_note(check: Check) -> None:
    (one,) = check("bulb: 76 7/8, sweep: 31 7/16")
    assert one.level == "note"
    assert one.says == (
        "The order lists the bulb of the sliding door and the sweep under the sliding door, and "
        "not the stock of the bar, the dam beside the sliding door, the wall channel of the fixed "
        "panel and the sill channel of the fixed panel."
    )


def test_a_length_that_is_not_known_yet_is_not_held_against_the_order(rules: Rules) -> None:
    text = job_of(SEALS, CHANNELS, "84").replace("split: 30", "split:")
    job = on_day(load_job_text(text, "job.yaml", rules, beside=JOBS), DAY)
    assert not [one for one in check_order(judge(job, rules)) if one.clause == "order-check.goods"]


def test_a_remedy_writes_what_the_order_lists_anew(rules: Rules) -> None:
    """The overlap grows by 1/4 in, and with it the door and its sweep."""
    text = (JOBS / "fails-too-little-lap.yaml").read_text(encoding="utf-8")
    row = "  door: {width: 30 7/16, height: 77 5/8}"
    assert text.count(row) == 1
    text = text.replace(row, f"{row[:-1]}, sweep: 30 11/16, bulb: 98}}")
    job = load_job_text(text, "job.yaml", rules, beside=JOBS)
    found = remedies(job, rules, tolerance=False, today=DAY, most=QUICK)
    assert found.joint is not None
    changed = {one.fact: (one.old, one.new) for one in found.joint.changes}
    assert changed["design.door.overlap"] == ("3/4", "1")
    assert changed["order.door.sweep"] == ("30 11/16", "30 15/16")
    assert "order.door.bulb" not in changed
