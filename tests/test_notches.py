"""Notches: where they are, and that what a job gives of them reaches every paper."""

import itertools
import math
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Point, Polygon, box

from ruleset.kinds import TEXT
from ruleset.program import FAILS
from validator import Rules, Verdict, judge, load_job_text, load_rules, review
from validator.drawing import draw
from validator.drawing.sorts.notch import EDGES, Notch, edge_lines, notch_lines
from validator.filled_tables import Cell, FilledTable
from validator.settingout import setting_out
from validator.sheet_reader import DeclaredTable, load_sheet
from validator.take_off import takeoff

JOBS = Path(__file__).parent.parent / "fixtures" / "jobs"
BASE = (JOBS / "holds-ordinary.yaml").read_text(encoding="utf-8")
CORNER = "{x: 0, y: 0, width: 2, height: 3, radius: 1/2}"
WIDTH, HEIGHT = 29.875, 77.8125  # in, of the fixed panel
NEAR_CORNER = ("glass.hole-to-notch-corner",)
TALL, LOW = "height: 7 5/8, radius: 1/2}", "height: 3, radius: 1/2}"
RULES = load_rules(installed=False)


def job_with(fixed: str, door: str = "", *, holes: str = "", rules: Rules = RULES) -> Verdict:
    panel = "    first_hole: 9\n"
    leaf = "  door:\n    overlap: 1 1/2\n"
    assert panel in BASE
    assert leaf in BASE
    more = f"    notches: [{fixed}]\n    holes: [{holes}]\n"
    text = BASE.replace(panel, panel + more).replace(leaf, f"{leaf}    notches: [{door}]\n")
    return judge(load_job_text(text, "job.yaml", rules, beside=JOBS), rules)


def failing(verdict: Verdict) -> set[str]:
    cases = zip(verdict.plan.cases, verdict.run.outcomes, strict=True)
    return {case.clause.name for case, code in cases if code == FAILS}


# Each named fault by itself; the sums are in inches of a panel of 29 7/8 by 77 13/16.
@pytest.mark.parametrize(
    ("fixed", "door", "clauses"),
    [
        (CORNER, "", set()),
        ("{x: 40, y: 90, width: 2, height: 3, radius: 1/2}", "", {"glass.notch-on-pane"}),
        ("{x: 27 7/8, y: 40, width: 2, height: 3, radius: 1/2}", "", set()),
        ("{x: 3, y: 40, width: 2, height: 3, radius: 1/2}", "", {"glass.notch-from-edge"}),
        ("{x: 0, y: 1/2, width: 2, height: 3, radius: 1/2}", "", {"glass.notch-to-edge"}),
        ("{x: 0, y: 40, width: 3/8, height: 0, radius: 3/8}", "", {"glass.notch-cuts"}),
        (
            f"{CORNER}, {{x: 2 1/2, y: 0, width: 2, height: 3, radius: 1/2}}",
            "",
            {"glass.notch-to-notch"},
        ),
        (
            "{x: 0, y: 70, width: 9 1/4, height: 7 13/16, radius: 1/2}",
            "",
            {"glass.hole-to-notch", "fixed.notch-at-fitting"},
        ),
        ("{x: 0, y: 0, width: 7, height: 3, radius: 1/2}", "", {"fixed.notch-at-block"}),
        ("", "{x: 0, y: 0, width: 2, height: 3, radius: 1/2}", {"sliding.notch-at-foot"}),
        (
            "",
            f"{{x: 27 7/8, y: 70, width: 3 5/16, {TALL}",
            {*NEAR_CORNER, "sliding.notch-at-hanger"},
        ),
        ("", f"{{x: 28, y: 36 3/4, width: 3 3/16, {LOW}", {*NEAR_CORNER, "glass.hole-to-notch"}),
        (
            "",
            f"{{x: 28, y: 36 3/8, width: 3 3/16, {LOW}",
            {*NEAR_CORNER, "glass.hole-to-notch", "doors.notch-at-handle"},
        ),
    ],
)
def test_each_fault_of_a_notch_is_found(fixed: str, door: str, clauses: set[str]) -> None:
    found = {name for name in failing(job_with(fixed, door)) if "notch" in name}
    assert found - OPEN == clauses - OPEN


OPEN = {"fixed.notch-at-channel", "sliding.notch-at-side"}
"""Told of any notch that opens an edge at its side, whatever else is wrong with it."""


@pytest.mark.parametrize(
    ("fixed", "door", "clauses"),
    [
        ("{x: 0, y: 40, width: 2, height: 3, radius: 1/2}", "", {"fixed.notch-at-channel"}),
        ("{x: 0, y: 0, width: 2, height: 3, radius: 1/2}", "", set()),
        ("", "{x: 29 3/16, y: 60, width: 2, height: 3, radius: 1/2}", {"sliding.notch-at-side"}),
        ("", "{x: 0, y: 60, width: 2, height: 3, radius: 1/2}", {"sliding.notch-at-side"}),
        ("", "{x: 14, y: 74 5/8, width: 2, height: 3, radius: 1/2}", set()),
    ],
)
def test_an_edge_that_a_notch_opens_is_told(fixed: str, door: str, clauses: set[str]) -> None:
    assert OPEN & failing(job_with(fixed, door)) == clauses


@pytest.mark.parametrize("up", ["0", "40", "74 13/16"])
def test_a_notch_across_the_whole_pane_is_an_error(up: str) -> None:
    found = failing(job_with(f"{{x: 0, y: {up}, width: 29 7/8, height: 3, radius: 1/2}}", ""))
    assert "glass.notch-leaves-one-pane" in found


def inches(least: float, most: float) -> st.SearchStrategy[float]:
    """Return sizes on a grid of 1/64 in, which are exact as text and as numbers."""
    return st.integers(round(64 * least), round(64 * most)).map(lambda many: many / 64)


@st.composite
def notches(draw: st.DrawFn) -> tuple[float, float, float, float, float]:
    """Draw a notch in a corner or in the middle of an edge, with a radius that fits it."""
    width, height = draw(inches(1, 9)), draw(inches(1, 9))
    radius = draw(inches(0, 31 / 64)) * min(width, height)
    x = draw(st.sampled_from((0.0, 12.0, WIDTH - width)))
    y = draw(st.sampled_from((0.0, HEIGHT - height) if x == 12.0 else (0.0, 40.0, HEIGHT - height)))
    return x, y, width, height, radius


# Outside check: shapely cuts the notch out of the pane, and measures from the hole's middle.
@settings(max_examples=50)
@given(notches(), inches(1, 29), inches(1, 77))
def test_rim_to_notch_is_what_shapely_measures(
    notch: tuple[float, float, float, float, float], x: float, y: float
) -> None:
    left, low, wide, high, radius = notch
    names = zip(("x", "y", "width", "height", "radius"), notch, strict=True)
    row = ", ".join(f"{key}: {value!r}" for key, value in names)
    verdict = job_with(f"{{{row}}}", holes=f"{{x: {x!r}, y: {y!r}, across: 1/2}}")
    pane = box(0, 0, WIDTH, HEIGHT)
    # The notch goes on past the edges that it is cut from, so that only inside corners are round.
    past = box(
        left - wide * (left == 0),
        low - high * (low == 0),
        left + wide * (1 + (left + wide == WIDTH)),
        low + high * (1 + (low + high == HEIGHT)),
    )
    cut = past.buffer(-radius).buffer(radius, quad_segs=64)
    holes = [(x, y, 0.5)]
    holes += [(at, HEIGHT - 3.5, 0.625) for at in (9.0, 22.0)]
    nearest = min(
        (Point(at, up).distance(cut) or -Point(at, up).distance(cut.exterior)) - across / 2
        for at, up, across in holes
        if pane.contains(Point(at, up))
    )
    sharp = pane.difference(box(left, low, left + wide, low + high))
    edge = pane.exterior
    corners = {one for one in sharp.exterior.coords if edge.distance(Point(one)) == 0}
    corners -= set(edge.coords)
    to_corner = min(
        math.dist((at, up), one) - across / 2 for at, up, across in holes for one in corners
    )
    assert len(corners) == len(("one", "other"))
    found = verdict.answer("fixed.notches[1].corner_to_hole").value / 25.4
    assert found == pytest.approx(to_corner)
    assert verdict.answer("fixed.notches[1].to_hole").value / 25.4 == pytest.approx(
        nearest, abs=2e-3
    )


# Outside check: what is drawn, joined up, is the pane less the notch as shapely cuts it.
@given(notches())
def test_the_outline_is_the_pane_less_its_notch(
    notch: tuple[float, float, float, float, float],
) -> None:
    left, low, wide, high, _ = notch
    one = Notch(left, low, wide, high, 0.0)
    edges = [line for edge in EDGES for line in edge_lines(edge, WIDTH, HEIGHT, [one])]
    sides = list(notch_lines(one, WIDTH, HEIGHT))
    assert len(sides) == 1
    whole = box(0, 0, WIDTH, HEIGHT).difference(box(left, low, left + wide, low + high))
    assert isinstance(whole, Polygon)
    drawn = sum(_long(line) for line in (*edges, *sides))
    assert drawn == pytest.approx(whole.exterior.length)


def _long(line: tuple[tuple[float, float], ...]) -> float:
    return sum(math.dist(one, other) for one, other in itertools.pairwise(line))


def test_an_inside_corner_is_drawn_round() -> None:
    (line,) = notch_lines(Notch(0.0, 0.0, 50.0, 75.0, 10.0), 900.0, 2000.0)
    middle = line[len(line) // 2]
    assert Point(middle).distance(Point(40.0, 65.0)) == pytest.approx(10.0)


def cells(tables: tuple[FilledTable, ...]) -> Iterator[Cell]:
    for one in tables:
        for row in one.rows:
            yield from row.cells


ROWS = {
    "hole": {"x": "12", "y": "50", "across": "7/8"},
    "notch": {"x": "0", "y": "20", "width": "2", "height": "3", "radius": "1/2"},
}


def test_every_fact_that_a_job_gives_reaches_every_paper_with_a_row_for_it() -> None:
    def row(sort: str, nth: int) -> str:
        fields = ", ".join(f"{key}: {value} + {nth}/64" for key, value in ROWS[sort].items())
        return f"{{{fields}}}".replace(" + 0/64", "").replace(" + ", " ")

    notch, hole = row("notch", 0), row("hole", 0)
    verdict = job_with(notch, notch.replace("x: 0", "x: 1"), holes=hole)
    given = verdict.job.values
    assert all(verdict.answer(name).known for name in given)
    taken, laid = takeoff(verdict), setting_out(verdict)
    filled = {cell.name: cell for cell in (*cells(taken.tables), *cells(laid.tables))}
    for sheet in ("takeoff", "setting-out"):
        named = _names(load_sheet(sheet, verdict).tables)
        facts = {name for name in named if name in given}
        assert facts, sheet
        known = {name: verdict.library.facts.get(name) for name in named}
        assert facts == {name for name, fact in known.items() if fact and fact.kind != TEXT}
        assert all(name in filled for name in facts)
    own = [name for name in given if re.match(r"design\..*\[", name)]
    assert len(own) == sum(len(ROWS[sort]) for sort in ("hole", "hole", "notch", "notch"))
    for name in (*own, *(name for name in filled if name in given)):
        cell = filled[name]
        assert not cell.missing, name
        if cell.value is not None:
            assert cell.value.value == given[name].value, name


def _names(tables: tuple[DeclaredTable, ...]) -> set[str]:
    return {name for table in tables for row in table.rows for name in row.names.values()}


def test_holes_and_notches_of_the_job_are_drawn() -> None:
    plain, notched = (
        _drawn(job_with(one, holes=hole)) for one, hole in (("", ""), (CORNER, _HOLE))
    )
    assert "notch 2 x 3, radius 1/2" in notched
    assert "notch" not in plain
    assert notched.count("<circle") > plain.count("<circle")


_HOLE = "{x: 15, y: 60, across: 1}"


def _drawn(verdict: Verdict) -> str:
    return draw(verdict, review(verdict.job, RULES))


def test_a_missing_field_of_a_notch_is_told_as_its_own() -> None:
    told = review(job_with("{x: 0, y: 0, width: 2}").job, RULES)
    asked = {one.fact: one.means for one in told.asked}
    notch = "design.fixed.notches[1]"
    assert asked[f"{notch}.height"] == "The height of notch 1 of the fixed panel"
    assert asked[f"{notch}.radius"] == "The radius of notch 1 of the fixed panel"
