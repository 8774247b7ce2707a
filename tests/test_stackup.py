"""Tolerances stacked up, against every corner, against chance, and against error propagation."""

import itertools
import math
import random
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from uncertainties import ufloat

from ruleset.formula.cone import leaves
from ruleset.program import EXEMPT, FAILS, HOLDS, SOFTER, compile_plan
from validator import Job, Rules, Verdict, judge, load_job, load_job_text, load_rules, review
from validator.finding import Stack
from validator.likely import least_by_chance
from validator.stackup import Stacking, stack_up
from validator.toleranced import Toleranced
from validator.tolerances import Allowance, Tolerances, allowances, load_tolerances

JOBS = Path(__file__).parent.parent / "fixtures" / "jobs"
INCH = 25.4
Forms = list[tuple[float, list[float]]]


@pytest.fixture(scope="module")
def sheet(rules: Rules) -> Tolerances:
    return load_tolerances(judge(load_job(JOBS / "holds-ordinary.yaml", rules), rules))


def _with(job: Job, **changes: float) -> Job:
    values = dict(job.values)
    for name, inches in changes.items():
        key = name.replace("__", ".")
        values[key] = replace(values[key], value=inches * INCH)
    return replace(job, values=values)


def _ordinary(rules: Rules) -> Job:
    return load_job(JOBS / "holds-ordinary.yaml", rules)


def _stacks(job: Job, rules: Rules, sheet: Tolerances) -> dict[tuple[str, str], Stack]:
    verdict = judge(job, rules)
    cases = verdict.plan.cases
    return {
        (cases[one.at].clause.name, cases[one.at].subject): one
        for one in stack_up(Toleranced(verdict, sheet))
    }


def _built(verdict: Verdict, allowed: dict[str, Allowance]) -> Iterator[tuple[int, ...]]:
    """Yield the outcomes of the whole built program at every corner of some allowances."""
    program = compile_plan(verdict.library, verdict.plan, built=True)
    limits = [verdict.library.limits[name].value for name in program.limits]
    base = {name: verdict.answer(name).value for name in program.facts}
    for signs in itertools.product((-1, 1), repeat=len(allowed)):
        moved = dict(base)
        for sign, one in zip(signs, allowed.values(), strict=True):
            moved[one.name] += sign * one.amount
        yield program.run([moved[name] for name in program.facts], limits).outcomes


def test_the_worst_corner_is_what_trying_all_corners_finds(rules: Rules, sheet: Tolerances) -> None:
    # Outside check: every corner of the whole built program, with nothing left out.
    job = load_job(JOBS / "holds-at-the-limit.yaml", rules)
    verdict = judge(job, rules)
    allowed = dict(list(allowances(verdict, sheet).items())[:9])
    only = replace(sheet, adjusters=())
    chosen = replace(
        only,
        declared=tuple(
            replace(row, of=tuple(name for name in row.of if name in allowed))
            for row in only.declared
        ),
    )
    failing: set[int] = set()
    for outcomes in _built(verdict, allowed):
        failing |= {at for at, code in enumerate(outcomes) if code in (FAILS, SOFTER)}
    spared = set(sheet.not_for)
    expected = {
        at
        for at in failing
        if verdict.run.outcomes[at] == HOLDS
        and not {verdict.plan.cases[at].clause.name, verdict.plan.cases[at].clause.book} & spared
    }
    found = {one.at for one in stack_up(Toleranced(verdict, chosen))}
    assert found == expected
    assert found


def test_chance_stays_inside_the_worst_case(
    rules: Rules, sheet: Tolerances, ran: Callable[[], None]
) -> None:
    # Outside check: Monte Carlo over the built program, even within each tolerance.
    verdict = judge(load_job(JOBS / "holds-at-the-limit.yaml", rules), rules)
    allowed = allowances(verdict, sheet)
    stacks = {one.at: one for one in stack_up(Toleranced(verdict, replace(sheet, adjusters=())))}
    program = compile_plan(verdict.library, verdict.plan, built=True)
    limits = [verdict.library.limits[name].value for name in program.limits]
    base = {name: verdict.answer(name).value for name in program.facts}
    rng = random.Random(5)  # noqa: S311  # not for secrets
    seen: set[int] = set()
    for _ in range(300):
        moved = dict(base)
        for name, one in allowed.items():
            if name in moved:
                moved[name] += rng.uniform(-one.amount, one.amount)
        run = program.run([moved[name] for name in program.facts], limits)
        seen |= {at for at, code in enumerate(run.outcomes) if code in (FAILS, SOFTER)}
    spared = set(sheet.not_for)
    for at in seen:
        clause = verdict.plan.cases[at].clause
        if verdict.run.outcomes[at] == HOLDS and not {clause.name, clause.book} & spared:
            ran()
            assert at in stacks, clause.name


def test_root_sum_square_is_error_propagation(rules: Rules, sheet: Tolerances) -> None:
    # Outside check: the uncertainties library, on the built overlap worked out by hand:
    # wall gap + panel glass - (opening - strike gap - door glass), with both leans in the opening.
    job = _with(_ordinary(rules), design__door__overlap=2.0)
    verdict = judge(job, rules)
    allowed = allowances(verdict, sheet)

    def off(name: str) -> Any:  # noqa: ANN401  # the library is not typed
        return ufloat(0.0, allowed[name].amount)

    built = (
        off("fixed.width")
        - (off("survey.front.width.sill") - off("survey.left.lean") - off("survey.right.lean"))
        + off("door.width")
    )
    overlap = verdict.answer("door.overlap").value
    limit = next(iter(verdict.library.clauses["sliding.overlap-most"].clause.limits.values()))
    stack = _stacks(job, rules, sheet)["sliding.overlap-most", "door"]
    assert stack.margin == pytest.approx(limit.value - overlap)
    assert stack.margin - stack.rss == pytest.approx(built.std_dev, rel=1e-9)
    assert sum(one.share for one in stack.contributors) == pytest.approx(1.0)


def test_a_width_error_lands_in_the_overlap_one_for_one(rules: Rules, sheet: Tolerances) -> None:
    job = _with(_ordinary(rules), design__door__overlap=1.0)
    only = replace(
        sheet,
        declared=tuple(row for row in sheet.declared if row.of == ("survey.front.width.sill",)),
    )
    stack = _stacks(job, rules, only)["sliding.overlap-least", "door"]
    (one,) = stack.contributors
    assert one.loss == pytest.approx(INCH / 32)  # the tape's own: NIST Handbook 44, 5.52


def test_a_tolerance_written_in_the_job_goes_first(rules: Rules, sheet: Tolerances) -> None:
    text = (JOBS / "holds-ordinary.yaml").read_text(encoding="utf-8")
    wide = text.replace("sill: 60,", "sill: 60 in +- 1/4 in,")
    job = load_job_text(wide, "wide.yaml", rules, beside=JOBS)
    found = allowances(judge(job, rules), sheet)
    assert found["survey.front.width.sill"].amount == pytest.approx(INCH / 4)


def test_a_pane_that_was_measured_has_no_cutting_tolerance(rules: Rules, sheet: Tolerances) -> None:
    text = (JOBS / "holds-ordinary.yaml").read_text(encoding="utf-8")
    assert "as_built:" not in text
    goods = "as_built:\n  door: {goods: {width: 31 1/4, height: 77 5/8}}\n"
    job = load_job_text(f"{text}\n{goods}", "goods.yaml", rules, beside=JOBS)
    found = set(allowances(judge(job, rules), sheet))
    assert {"fixed.width", "fixed.height", "survey.front.width.sill"} <= found
    assert not {"door.width", "door.height"} & found


def test_a_pane_that_was_measured_is_stacked_up_as_it_was_measured(
    rules: Rules, sheet: Tolerances
) -> None:
    # Both panes came 2.3 mm narrow, within what they are cut to: 4.6 mm of the lap are gone, and of
    # the 6.35 mm that it has over the least the readings of the opening take the rest.
    text = (JOBS / "holds-ordinary.yaml").read_text(encoding="utf-8")
    text = text.replace("overlap: 1 1/2", "overlap: 1 1/4")
    drawn = judge(load_job_text(text, "lap.yaml", rules, beside=JOBS), rules)
    door, fixed = (drawn.answer(f"{name}.width").value - 2.3 for name in ("door", "fixed"))
    text += f"as_built:\n  door: {{goods: {{width: {door!r} mm}}}}\n"
    text += f"  fixed: {{goods: {{width: {fixed!r} mm}}}}\n"
    stacks = _stacks(load_job_text(text, "goods.yaml", rules, beside=JOBS), rules, sheet)
    lap = stacks["sliding.overlap-least", "door"]
    assert lap.margin == pytest.approx(6.35 - 4.6)
    assert not {"door.width", "fixed.width"} & {one.name for one in lap.corner}


SIZES = {
    "survey.front.width.sill": (48.0, 66.0),
    "survey.front.width.head": (48.0, 66.0),
    "survey.left.lean": (-0.375, 0.375),
    "survey.right.lean": (-0.375, 0.375),
    "survey.right.bow": (-0.25, 0.25),
    "survey.curb.flat_width": (3.5, 5.5),
    "design.fixed.split": (20.0, 38.0),
    "design.door.overlap": (0.25, 2.5),
    "design.door.handle.setback": (1.0, 6.0),
    "design.fixed.first_hole": (5.0, 14.0),
    "design.height": (74.0, 80.0),
    "design.fixed.wall_gap": (0.0, 0.375),
}


@st.composite
def designs(draw: st.DrawFn) -> dict[str, float]:
    """Draw a few other sizes of the ordinary job, in inches on the grid."""
    names = draw(st.lists(st.sampled_from(sorted(SIZES)), max_size=5, unique=True))
    return {
        name: draw(st.integers(int(SIZES[name][0] * 16), int(SIZES[name][1] * 16))) / 16
        for name in names
    }


@cache
def _shared() -> tuple[Rules, Job, Tolerances]:
    rules = load_rules(installed=False, proofs=False)
    job = load_job(JOBS / "holds-ordinary.yaml", rules)
    return rules, job, load_tolerances(judge(job, rules))


@settings(max_examples=60)
@given(designs(), st.data())
def test_a_wider_tolerance_never_turns_tight_into_holds(
    ran: Callable[[], None], sizes: dict[str, float], data: st.DataObject
) -> None:
    rules, base, sheet = _shared()
    verdict = judge(_with(base, **sizes), rules)
    narrow = allowances(verdict, sheet)
    factors = {
        name: data.draw(st.sampled_from((1.0, 1.0, 1.25, 2.0, 4.0)), name) for name in narrow
    }
    wide = {name: replace(one, amount=one.amount * factors[name]) for name, one in narrow.items()}
    close, loose = (Toleranced(verdict, sheet, allowed) for allowed in (narrow, wide))
    for at, (case, code) in enumerate(zip(verdict.plan.cases, verdict.run.outcomes, strict=True)):
        if code != HOLDS or sheet.spares(case.clause):
            continue
        before = Stacking(close, at).stack()
        if not before.fails or "alone" in before.tried:  # a bar's corner is told, not searched for
            continue
        after = Stacking(loose, at).stack()
        ran()
        assert after.fails, case.clause.name
        assert math.isnan(after.worst) or after.worst <= before.worst + 1e-9, case.clause.name
        assert after.fails_rss or not before.fails_rss, case.clause.name


BENT = {"sliding.can-close"}
"""Clauses that are worst between two corners by a little: the bar's end goes in steps."""


@settings(max_examples=40)
@given(designs(), st.integers(0, 2**32))
def test_nothing_within_the_tolerances_is_worse_than_the_worst_found(
    ran: Callable[[], None], sizes: dict[str, float], seed: int
) -> None:
    # Outside check: chance, over every clause that the stack-up looks at, curved ones included. The
    # bar is cut to the grid from the true width, so that its ends are worst between two corners, by
    # a quarter of the grid at most from a point that is tried.
    chance = random.Random(seed)  # noqa: S311  # not for secrets
    rules, base, sheet = _shared()
    verdict = judge(_with(base, **sizes), rules)
    toleranced = Toleranced(verdict, sheet)
    for at, (case, code) in enumerate(zip(verdict.plan.cases, verdict.run.outcomes, strict=True)):
        if code != HOLDS or sheet.spares(case.clause):
            continue
        stacking = Stacking(toleranced, at)
        if not stacking.has_margin or not stacking.moves:
            continue
        found = stacking.stack()
        if math.isnan(found.worst):
            continue
        worst = min(found.worst - found.taken_up, found.margin)
        slack = 1e-9
        if "between" in found.tried:  # tried at quarters of each tolerance, one after another
            slack = INCH / 64
        if stacking.costly and not found.fails:  # far off it is not looked at closer
            worst = 0.0
        for _ in range(6):
            ran()
            ways = [chance.choice((-1.0, 1.0, chance.uniform(-1.0, 1.0))) for _ in stacking.moves]
            outcome, margin = stacking._run(ways)
            assert outcome == EXEMPT or margin != margin or margin >= worst - slack, (
                case.clause.name,
                found.tried,
            )


def test_adjusters_take_up_loss_at_most_to_nothing(rules: Rules, sheet: Tolerances) -> None:
    job = load_job(JOBS / "holds-at-the-limit.yaml", rules)
    free = _stacks(job, rules, replace(sheet, adjusters=()))
    held = _stacks(job, rules, sheet)
    assert set(held) <= set(free)
    for key, one in held.items():
        assert one.worst >= free[key].worst or math.isnan(one.worst)
        assert not one.worst > one.margin


def test_tight_speaks_one_level_lower_and_can_be_left_out(rules: Rules) -> None:
    job = load_job(JOBS / "holds-at-the-limit.yaml", rules)
    told = review(job, rules)
    tight = [one for one in told.findings if one.outcome == "tight"]
    assert tight
    assert told.release.ready
    for one in tight:
        level = rules.library.clauses[one.clause].clause.level
        assert one.stack is not None
        lower = {"error": "warning", "warning": "note", "note": "note"}[level]
        assert one.level == (lower if one.stack.fails_rss else "note")
    assert not [f for f in review(job, rules, tolerance=False).findings if f.outcome == "tight"]


# By chance, where a margin is the least of several.


@pytest.mark.parametrize("many", [1, 2, 3, 5])
def test_chance_takes_the_root_sum_square_of_one_branch(many: int) -> None:
    # Outside check: the least of a linear form over a ball is its value less its gradient's length
    # (Cauchy and Schwarz), and the least of several forms is the least of their leasts.
    draw = random.Random(many)  # noqa: S311  # a seeded draw
    for _ in range(100):
        size = draw.randint(1, 7)
        branches = [
            (draw.uniform(0, 3), [draw.choice((0.0, draw.uniform(-2, 2))) for _ in range(size)])
            for _ in range(many)
        ]

        def margin(ways: Sequence[float], forms: Forms = branches) -> float:
            return min(
                at - sum(a * t for a, t in zip(slope, ways, strict=True)) for at, slope in forms
            )

        ways, left = least_by_chance(margin, [slope for _, slope in branches])
        exact = min(at - math.hypot(*slope) for at, slope in branches)
        assert left == pytest.approx(exact)
        assert margin(ways) == pytest.approx(left)


@settings(max_examples=25)
@given(designs(), st.integers(0, 2**32))
def test_chance_takes_no_more_than_what_is_told(
    ran: Callable[[], None], sizes: dict[str, float], seed: int
) -> None:
    # Outside check: ways drawn by chance, each made steeper by the test's own differences. Of a bar
    # the root of what each takes alone is told, and its ends go in steps.
    chance = random.Random(seed)  # noqa: S311  # not for secrets
    rules, base, sheet = _shared()
    toleranced = Toleranced(judge(_with(base, **sizes), rules), sheet)
    for stack in stack_up(toleranced):
        stacking = Stacking(toleranced, stack.at)
        name = stacking.case.clause.name
        if not stacking.has_margin or name in BENT or name.startswith("bar."):
            continue
        left = stack.margin - max(0.0, stack.margin - stack.rss) - stack.taken_up
        for _ in range(8):
            ways = _unit([chance.gauss(0, 1) for _ in stacking.moves])
            here = stacking._run(ways)[1]
            nudged = ([*ways[:at], one + 0.1, *ways[at + 1 :]] for at, one in enumerate(ways))
            steeper = _unit([here - stacking._run(other)[1] for other in nudged])
            ran()
            for tried in (ways, steeper):
                assert stacking._run(tried)[1] >= left - 0.02, (name, stack.tried)


def _unit(ways: Sequence[float]) -> list[float]:
    size = math.hypot(*ways) or 1.0
    return [one / size for one in ways]


def test_two_stops_of_the_open_door_do_not_add_up(rules: Rules, sheet: Tolerances) -> None:
    # Handle and wall stop the door at the same place: 28 3/8 + 2 + 2 7/16 + 1/2 = 33 5/16 in, and
    # 32 13/16 + 1/2 in. By hand, in 1/32 in: tape and both leans 1 each, on both ways; the handle's
    # way the fixed glass 3 and the handle's hole 2, so 4; the wall's way the door glass 3.
    changes = {"design__fixed__split": 28 + 3 / 8, "design__door__handle__setback": 2 + 7 / 16}
    job = _with(_ordinary(rules), **changes)
    verdict = judge(job, rules)
    assert verdict.answer("door.open_by_handle").value == pytest.approx(33.3125 * INCH)
    assert verdict.answer("door.open_by_wall").value == pytest.approx(33.3125 * INCH)
    at = next(
        at
        for at, case in enumerate(verdict.plan.cases)
        if case.clause.name == "sliding.clear-opening"
    )
    stack = Stacking(Toleranced(verdict, sheet), at).stack()
    assert stack.margin - stack.rss == pytest.approx(4 / 32 * INCH)
    assert stack.margin - stack.worst == pytest.approx((3 + 2 + 3) / 32 * INCH)
    assert {one.means for one in stack.contributors} == {
        "the fixed panel as cut",
        "the handle's holes as drilled",
        "the lean of the left wall",
        "the lean of the right wall",
        "the tape across the opening",
    }


def test_every_hole_of_a_pane_carries_the_tolerance_of_holes(
    rules: Rules, sheet: Tolerances
) -> None:
    # ASTM C1048, 1/16 in from edge to centre: no hole of the take-off is drilled truer than that.
    job = load_job(JOBS / "holds-at-the-limit.yaml", rules)
    verdict = judge(job, rules)
    allowed = allowances(verdict, sheet)
    hole = verdict.answer("tolerance.limit.hole").value
    assert hole == pytest.approx(INCH / 16)
    holes = [
        step.name
        for step in verdict.plan.steps
        if re.fullmatch(r"(door|fixed)\.holes\[\d+\]\.[xy]", step.name)
    ]
    assert len(holes) > 12
    for name in holes:
        reached = _leaves(verdict, name) & set(allowed)
        assert max(allowed[one].amount for one in reached if one not in CUT) == hole, name


CUT = ("door.width", "door.height", "fixed.width", "fixed.height")


def _leaves(verdict: Verdict, name: str) -> set[str]:
    steps = {step.name: step for step in verdict.plan.steps}
    if name in CUT or name not in steps:
        return {name}
    return {one for leaf in leaves(steps[name].drawn) for one in _leaves(verdict, leaf)}
