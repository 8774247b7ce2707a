"""Slips on papers: the whole sentence, its place, and what looks like one and is none."""

import datetime as dt
from collections.abc import Callable
from pathlib import Path

import pytest

from validator import Finding, Rules, judge, load_job_text
from validator.day import on_day
from validator.ordercheck import check_order

JOBS = Path(__file__).resolve().parent.parent / "fixtures" / "jobs"
BASE = (JOBS / "holds-ordinary.yaml").read_text(encoding="utf-8")
DOOR = "door: {width: 31 3/16, height: 77 5/8}"
FIXED = "fixed: {width: 29 7/8, height: 77 13/16}"
AS_FIXED, AS_DOOR = FIXED.replace("fixed", "door"), DOOR.replace("door", "fixed")
Check = Callable[..., tuple[Finding, ...]]


@pytest.fixture
def check(rules: Rules) -> Check:
    def found(*changes: tuple[str, str], more: str = "") -> tuple[Finding, ...]:
        text = BASE
        for old, new in changes:
            assert text.count(old) == 1
            text = text.replace(old, new)
        job = load_job_text(text + more, "job.yaml", rules, beside=JOBS)
        return check_order(judge(on_day(job, dt.date(2026, 3, 20)), rules))

    return found


def only(found: tuple[Finding, ...]) -> Finding:
    (one,) = found
    return one


def test_exchanged_panes_are_told_whole(check: Check) -> None:
    one = only(check((DOOR, AS_FIXED), (FIXED, AS_DOOR)))
    assert one.says == (
        "The order has the fixed panel at the size of the sliding door, and the other way round: "
        "the two are exchanged."
    )
    assert (one.subject, one.place.pointer) == ("fixed", "/order/fixed/width")
    assert one.instead_of == (("papers.order", "fixed"), ("papers.order", "door"))
    assert one.do == "Correct the order before it is placed."


def test_two_panes_at_one_size_are_not_exchanged(check: Check) -> None:
    for change in ((DOOR, AS_FIXED), (FIXED, AS_DOOR)):
        assert "order-check.exchanged" not in {one.clause for one in check(change)}
    half = (DOOR, "door: {width: 29 7/8}"), (FIXED, AS_DOOR)
    assert "order-check.exchanged" not in {one.clause for one in check(*half)}
    # Drawn alike, each pane has the other's size and its own.
    alike = ("split: 30", "split: 30 11/16"), ("overlap: 1 1/2", "overlap: 1 9/16")
    lift = ("sill_lift: 3/16", "sill_lift: 3/8")
    size = "{width: 30 9/16, height: 77 5/8}"
    assert check(*alike, lift, (DOOR, f"door: {size}"), (FIXED, f"fixed: {size}")) == ()


def test_the_other_hand_is_told_at_the_papers_hand(check: Check) -> None:
    one = only(check((DOOR, f"hand: right\n  {DOOR}")))
    assert one.says == (
        "The order is written for a fixed panel on the right; the drawing has a "
        "fixed panel on the left, seen from outside. "
        "Plain glass with through holes can be turned round."
    )
    assert (one.clause, one.level, one.subject) == ("order-check.mirrored", "warning", "fixed")
    assert (one.place.pointer, one.do) == ("/order/hand", "Correct the order before it is placed.")
    assert check((DOOR, f"hand: left\n  {DOOR}")) == ()


def test_swapped_and_wrong_unit_are_told_at_the_size(check: Check) -> None:
    one = only(check((FIXED, "fixed: {width: 77 13/16, height: 29 7/8}")))
    assert one.says == (
        "The order has the fixed panel at 77 13/16 in by 29 7/8 in; the take-off says 29 7/8 in by "
        "77 13/16 in: width and height are swapped."
    )
    assert one.place.pointer == "/order/fixed/width"
    one = only(check((FIXED, "fixed: {width: 29 7/8, height: 1976.4375}")))
    assert one.says == (
        "The order has the height of the fixed panel at 1976 7/16 in; the take-off says "
        "77 13/16 in: a number of millimetres was written as inches."
    )
    assert (one.clause, one.place.pointer) == ("order-check.unit", "/order/fixed/height")
    assert one.instead_of == (("papers.order", "fixed"),)


def test_each_wrong_side_is_told_by_itself(check: Check) -> None:
    found = check((DOOR, "door: {width: 792.1625, height: 1971.675}"))
    assert [one.place.pointer for one in found] == ["/order/door/width", "/order/door/height"]
    assert {one.clause for one in found} == {"order-check.unit"}


def test_what_was_made_is_told_as_a_note(check: Check) -> None:
    one = only(check((DOOR, "door: {width: 31 1/4, height: 77 5/8}")))
    assert one.says == (
        "The order has the sliding door at 31 1/4 in by 77 5/8 in. Made so, everything else still "
        "holds at size: whether to take it is a decision, and it need not be made again."
    )
    assert (one.clause, one.level, one.subject) == ("order-check.as-made", "note", "door")
    assert one.place.pointer == "/order/door/width"
    ack = only(check((DOOR, f"{DOOR[:-1]}, acknowledged: {{width: 31 3/16, height: 77 11/16}}}}")))
    assert ack.says.startswith("The acknowledgement has the sliding door at 31 3/16 in by")
    assert ack.place.pointer == "/order/door/acknowledged/height"


def test_a_pane_with_a_slip_is_not_judged_besides(check: Check) -> None:
    holes = "[{x: 15, y: 40, across: 1/2}]"
    slip = f"door: {{width: 77 5/8, height: 31 3/16, holes: {holes}}}"
    found = check((DOOR, slip))
    assert {one.clause for one in found} == {"order-check.swapped", "order-check.hole"}
    assert next(one.clause for one in found) == "order-check.swapped"


WHEELS = ("4 1/2", "26 11/16")
PULL = ("28 11/16", "42", "1/2")
HANDLE = ("28 11/16", "36", "1/2")


def with_holes(
    trailing: str = "4 1/2", leading: str = "26 11/16", handle: tuple[str, str, str] = HANDLE
) -> tuple[str, str]:
    wheels = [(x, y, "5/8") for y in ("75 13/16", "73 1/16") for x in (trailing, leading)]
    rows = (f"{{x: {x}, y: {y}, across: {wide}}}" for x, y, wide in (*wheels, handle, PULL))
    return DOOR, f"{DOOR[:-1]}, holes: [{', '.join(rows)}]}}"


@pytest.mark.parametrize(
    ("handle", "off"),
    [
        (("28 11/16", "36 3/8", "1/2"), "3/8 in too high"),
        (("28 11/16", "35 5/8", "1/2"), "3/8 in too low"),
        (("29 1/16", "36", "1/2"), "3/8 in too far from the left edge"),
        (("28 5/16", "36", "1/2"), "3/8 in too near the left edge"),
        (("28 11/16", "36", "5/8"), "1/8 in too wide"),
        (("28 11/16", "36", "3/8"), "1/8 in too small"),
        (("29 1/16", "36 3/8", "1/2"), "3/8 in too far from the left edge and 3/8 in too high"),
    ],
)
def test_how_a_hole_is_off(check: Check, handle: tuple[str, str, str], off: str) -> None:
    one = only(check(with_holes(handle=handle)))
    x, y, across = handle
    assert one.says.startswith(
        f"The order has the handle hole of the sliding door at {x} in from the left edge and {y} "
        f"in from the foot, {across} in across; the take-off says 28 11/16 in from the left edge "
        f"and 36 in from the foot, 1/2 in across: {off}. "
    )
    assert one.place.pointer == "/order/door/holes/4/x"


def test_holes_that_are_off_alike_from_their_own_edges(check: Check) -> None:
    one = only(check(with_holes("4 7/8", "26 5/16")))
    assert "wrong in one way, each 3/8 in too far from its own side edge: trailing" in one.says


def test_without_a_hand_the_edge_is_the_one_at_the_fixed_panels_wall(check: Check) -> None:
    handle = ("28 11/16", "36 3/8", "1/2")
    one = only(check(("  hand: left\n", ""), with_holes(handle=handle)))
    assert "28 11/16 in from the edge on the side of the hand and 36 3/8 in from the" in one.says


def test_holes_from_the_top_are_told_whole(check: Check) -> None:
    rows = ", ".join(
        f"{{x: {x}, y: {y}, across: {across}}}"
        for x, y, across in (
            *((x, y, "5/8") for y in ("1 13/16", "4 9/16") for x in WHEELS),
            ("28 11/16", "41 5/8", "1/2"),
            ("28 11/16", "35 5/8", "1/2"),
        )
    )
    one = only(check((DOOR, f"{DOOR[:-1]}, holes: [{rows}]}}")))
    assert one.says == (
        "The order has every hole of the sliding door measured from the top; the take-off measures "
        "from the foot."
    )


def test_a_clause_that_what_was_ordered_fails_is_told_with_all_it_has(
    check: Check, rules: Rules
) -> None:
    # Drawn with 1 in of lap, the least; ordered 1/32 in narrower, which papers may be.
    found = check(
        ("overlap: 1 1/2", "overlap: 1"), (DOOR, "door: {width: 30 21/32, height: 77 5/8}")
    )
    (lap,) = (one for one in found if one.clause == "sliding.overlap-least")
    clause = rules.library.clauses["sliding.overlap-least"].clause
    assert (lap.outcome, lap.level, lap.subject, lap.missing) == ("fails", clause.level, "door", ())
    assert (lap.stage, lap.title, lap.why) == (clause.stage, clause.title, clause.why)
    assert (lap.basis, lap.caution, bool(lap.do)) == (clause.basis, clause.caution, bool(clause.do))
    assert lap.limit
    assert lap.margin
    inch = 25.4
    assert (lap.limit.value, lap.margin.value) == pytest.approx((inch, -inch / 32))
    assert lap.place.pointer == "/order/door/width"
