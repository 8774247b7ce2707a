"""A walk-in screen worked out a second time: its brace by statics, its plan by polygons."""

import math
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, box
from sympy import Rational, cos, pi, symbols
from sympy import solve as solved

from validator import Verdict, judge, load_job, load_job_text, load_rules, review, setting_out

JOBS = Path(__file__).parents[1] / "fixtures" / "jobs"
RULES = load_rules(installed=False)
BASE = (JOBS / "holds-walk-in-screen.yaml").read_text(encoding="utf-8")
INCH, PUSH, AT = 25.4, 220, 1067  # mm, N, mm


def read(*changes: tuple[str, str]) -> Verdict:
    text = BASE
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    folders = (JOBS.parent / "kits",)
    return judge(load_job_text(text, "job.yaml", RULES, beside=JOBS, folders=folders), RULES)


def value(verdict: Verdict, name: str) -> float:
    return verdict.answer(name).value


# A pane held at wall and foot gives way by w = c x y, with no work but that of push and brace: what
# the brace holds follows from moments about both held edges, c being none. Virtual work by sympy.
@pytest.mark.parametrize(("place", "angle"), [("3", 0), ("3", 30), ("8", 45), ("0", 45)])
def test_the_brace_takes_what_virtual_work_gives(place: str, angle: int) -> None:
    verdict = read(("from_free: 3, angle: 0 deg", f"from_free: {place}, angle: {angle} deg"))
    wide = Rational(str(value(verdict, "screen.width"))).limit_denominator(10**6)
    high = Rational(str(value(verdict, "screen.height"))).limit_denominator(10**6)
    force, twist = symbols("force twist")
    pushed = twist * wide * AT
    braced = twist * (wide - Rational(place) * Rational(127, 5)) * high
    work = PUSH * pushed - force * cos(angle * pi / 180) * braced
    (found,) = solved(work, force)
    assert value(verdict, "head_brace.force") == pytest.approx(float(found), rel=1e-6)


@settings(max_examples=25, deadline=None)
@given(
    st.sampled_from(["left", "right"]),
    st.integers(20, 38),
    st.integers(1, 8),
    st.integers(5, 50),
    st.sampled_from(["back wall", "side wall"]),
)
def test_way_in_and_brace_are_those_of_the_plan(
    hand: str, split: int, place: int, angle: int, wall: str
) -> None:
    verdict = read(
        ("hand: left", f"hand: {hand}"),
        ("split: 36", f"split: {split}"),
        (
            "to: back wall, from_free: 3, angle: 0 deg",
            f"to: {wall}, from_free: {place}, angle: {angle} deg",
        ),
    )
    # The right wall leans in by 1/16 in, the left one is plumb: inside from the left plumb line.
    far = 60 - 1 / 16
    glass = box(1 / 8, 0, split, 3 / 8)
    way = box(0, -1, far, 1).difference(box(0, -2, split, 2))
    assert value(verdict, "screen.entry") / INCH == pytest.approx(way.bounds[2] - way.bounds[0])
    turn = math.radians(angle)
    start = (split - place, 3 / 8)
    assert glass.distance(LineString([start, (start[0], 2)])) == pytest.approx(0)
    ray = LineString([start, (start[0] - 900 * math.sin(turn), 3 / 8 + 900 * math.cos(turn))])
    met = {
        "back wall": LineString([(-900, 3 / 8 + 36), (900, 3 / 8 + 36)]),
        # Each wall is plumb at the head, or leans in so that its head is the plumb line.
        "side wall": LineString([(0, -1), (0, 2000)]),
    }[wall]
    end = ray.intersection(met)
    span = LineString([start, (end.x, end.y)]).length
    assert value(verdict, "head_brace.span") / INCH == pytest.approx(span, rel=1e-6)
    # The kit takes 1/2 in off at the glass and 3/4 in off at the wall.
    assert value(verdict, "head_brace.cut") / INCH == pytest.approx(span - 1.25, rel=1e-6)


def test_both_hands_are_alike() -> None:
    left = judge(load_job(JOBS / "holds-walk-in-screen.yaml", RULES), RULES)
    right = read(("hand: left", "hand: right"))
    for name in ("screen.entry", "head_brace.force", "head_brace.span"):
        assert value(left, name) == pytest.approx(value(right, name))


def test_the_brace_is_on_before_the_head_is_signed_for() -> None:
    steps = [step.key for step in setting_out(read()).steps]
    assert steps.index("panel") < steps.index("brace") < steps.index("head")


def test_nothing_is_asked_of_a_door_where_there_is_none() -> None:
    found = review(load_job(JOBS / "holds-walk-in-screen.yaml", RULES), RULES, stage="handover")
    assert not [one.means for one in found.asked if "door" in one.means.lower()]
