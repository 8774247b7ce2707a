"""The take-off says what the review judges, and names what it waits for."""

from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pytest

from ruleset.errors import RulesetError
from ruleset.kinds import TEXT
from validator import Rules, Verdict, judge, load_job, load_job_text
from validator.filled_tables import NOT_GIVEN, Cell, FilledRow, FilledTable
from validator.take_off import Takeoff, takeoff

HERE = Path(__file__).parent
JOBS = HERE.parent / "fixtures" / "jobs"
NAMES = (
    "fails-notch-radius.yaml",
    "holds-millimetres.yaml",
    "holds-ordinary.yaml",
    "holds-walls-only.yaml",
    "unknown-half-surveyed.yaml",
)
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
  left: {lean: 0, bow: 0, drop: 0}
  right: {lean: 0, bow: 0, drop: 0}
  fixed: {drop: 0}
  curb: {flat_width: 5, above_floor: 4}
design:
  hand: right
  height: 76
  door: {overlap: 1 1/2,
    handle: {setback: 2 1/2, half_width: 1/2, panel_side: 1 3/4, height: 36, hole: 1/2},
    thickness: 3/8, glass: toughened, surface: clear}
  fixed: {split: 30, wall_gap: 1/8, sill_lift: 3/16, first_hole: 11,
    thickness: 3/8, glass: toughened, surface: etched, treated_face: inside}
"""


def check_verdict(rules: Rules, *changes: tuple[str, str]) -> Verdict:
    text = CHECK
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    return judge(load_job_text(text, "check.yaml", rules, beside=HERE), rules)


def taken(rules: Rules, name: str) -> tuple[Verdict, Takeoff]:
    verdict = judge(load_job(JOBS / name, rules), rules)
    return verdict, takeoff(verdict)


def table(found: Takeoff, key: str) -> FilledTable:
    return next(one for one in found.tables if one.key == key)


def row(found: Takeoff, key: str, item: str, part: str = "") -> FilledRow:
    rows = [r for r in table(found, key).rows if r.item == item and part in ("", r.part)]
    assert len(rows) == 1
    return rows[0]


def cell(of: FilledRow, key: str) -> Cell:
    return next(one for one in of.cells if one.key == key)


# Common practice, no source: worked by hand for the test kit.
@pytest.mark.parametrize(
    ("key", "item", "column", "inches"),
    [
        ("bar", "Second cut: length of the bar, tight at its height", "length", Fraction(233, 4)),
        ("bar", "First cut: from the first tapped hole to the cut", "length", Fraction(41, 4)),
        ("bar", "First waste, off the end at the panel", "length", Fraction(15, 4)),
        ("bar", "Second waste, off the strike end", "length", Fraction(22)),
        ("lengths", "Sweep under the door", "length", Fraction(253, 8)),
        ("glass", "the sliding door", "width", Fraction(125, 4)),
        ("glass", "the fixed panel", "width", Fraction(239, 8)),
    ],
)
def test_check_values(rules: Rules, key: str, item: str, column: str, inches: Fraction) -> None:
    value = cell(row(takeoff(check_verdict(rules)), key, item), column).value
    assert value is not None
    assert value.value == pytest.approx(float(inches) * INCH, abs=1e-6)


@pytest.mark.parametrize("name", NAMES)
def test_every_value_is_the_one_that_the_review_judges(rules: Rules, name: str) -> None:
    verdict, found = taken(rules, name)
    cells = [c for t in found.tables for r in t.rows for c in r.cells if c.name]
    texts = [one for one in cells if verdict.kind(one.name) == TEXT]
    assert {one.text for one in texts} <= {*verdict.job.texts.values(), NOT_GIVEN}
    assert len(texts) < len(cells)
    for one in cells:
        if one in texts:
            continue
        answer = verdict.answer(one.name)
        assert answer.known == (not one.missing)
        assert set(answer.missing) == set(one.missing)
        if one.value is not None:
            assert one.value.value == answer.value


def test_a_cut_size_stands_rounded_beside_its_exact_value(rules: Rules) -> None:
    found = takeoff(check_verdict(rules, ("split: 30", "split: 30.04")))
    width = cell(row(found, "glass", "the fixed panel"), "width")
    assert width.text == "29 15/16 in"
    assert width.value is not None
    assert width.value.value == pytest.approx(29.9375 * INCH)
    assert width.exact is not None
    assert width.exact.value == pytest.approx((30.04 - 0.125) * INCH)
    assert width.exact.text == "29.915 in"


def test_a_size_that_is_exact_has_no_second_value(rules: Rules) -> None:
    assert (
        cell(row(takeoff(check_verdict(rules)), "glass", "the fixed panel"), "width").exact is None
    )


def test_a_tolerance_is_never_rounded_to_the_grid(rules: Rules) -> None:
    item = "First cut: from the first tapped hole to the cut"
    _, inches = taken(rules, "holds-ordinary.yaml")
    _, metric = taken(rules, "holds-millimetres.yaml")
    assert cell(row(inches, "bar", item), "within").text == "1/32 in"
    assert cell(row(metric, "bar", item), "within").text == "about 0.794 mm"
    assert "shop policy" in cell(row(inches, "bar", item), "within").basis


def test_only_a_treated_pane_names_its_face(rules: Rules) -> None:
    found = takeoff(check_verdict(rules))
    assert cell(row(found, "glass", "the fixed panel"), "face").text == "inside"
    assert cell(row(found, "glass", "the sliding door"), "face").text == "none"
    bare = takeoff(check_verdict(rules, (", treated_face: inside", "")))
    assert cell(row(bare, "glass", "the fixed panel"), "face").missing == (
        "design.fixed.treated_face",
    )


@pytest.mark.parametrize("hand", ["left", "right"])
def test_holes_are_measured_from_the_edge_on_the_hand(rules: Rules, hand: str) -> None:
    found = takeoff(check_verdict(rules, ("hand: right", f"hand: {hand}")))
    hole = row(found, "holes", "first bar hole")
    assert (cell(hole, "x").text, cell(hole, "side").text) == ("11 in", hand)


def test_the_jobs_own_holes_and_notches_are_rows(rules: Rules) -> None:
    glass = "thickness: 3/8, glass: toughened, surface: clear}\n  fixed"
    extra = (
        "thickness: 3/8, glass: toughened, surface: clear, holes: [{x: 28, y: 42, across: 3/4}], "
        "notches: [{x: 0, y: 0, width: 2, height: 3, radius: 1/2}]}\n  fixed"
    )
    verdict = check_verdict(rules, (glass, extra))
    found = takeoff(verdict)
    hole = row(found, "holes", "hole 6", "door")
    assert [cell(hole, key).text for key in ("x", "y", "across")] == ["28 in", "42 in", "3/4 in"]
    notch = row(found, "notches", "notch 1", "door")
    assert [cell(notch, key).text for key in ("width", "height", "radius")] == [
        "2 in",
        "3 in",
        "1/2 in",
    ]
    assert cell(row(found, "glass", "the sliding door"), "holes").text == "6"


def test_what_is_missing_is_named_and_the_rest_stands(rules: Rules) -> None:
    found = takeoff(check_verdict(rules, (" first_hole: 11,", ""), (", height: 36", "")))
    hole = row(found, "holes", "first bar hole")
    assert cell(hole, "x").missing == ("design.fixed.first_hole",)
    assert cell(hole, "y").value is not None
    assert cell(row(found, "lengths", "Sweep under the door"), "length").text == "31 5/8 in"
    waits = {one.fact for one in found.missing}
    assert {"design.fixed.first_hole", "design.door.handle.height"} <= waits
    (told,) = (one for one in found.missing if one.fact == "design.fixed.first_hole")
    assert told.who == "designer"
    assert told.means.startswith("From the fixed panel's wall edge")


SHEET = """\
sheet: takeoff
title: T
tables:
  one:
    title: One
    columns: {size: Size}
    rows:
      - {item: Width, part: door, size: door.width}
"""


@pytest.fixture
def refused(rules: Rules, tmp_path: Path) -> Callable[[str, str], str]:
    def told(old: str, new: str) -> str:
        assert old in SHEET
        path = tmp_path / "takeoff.yaml"
        path.write_text(SHEET.replace(old, new), encoding="utf-8")
        with pytest.raises(RulesetError) as error:
            takeoff(check_verdict(rules), sheet=path)
        return str(error.value).replace(f"{path}", "sheet")

    return told


def test_a_shops_own_sheet(rules: Rules, tmp_path: Path) -> None:
    path = tmp_path / "takeoff.yaml"
    path.write_text(SHEET, encoding="utf-8")
    found = takeoff(check_verdict(rules), sheet=path)
    assert cell(row(found, "one", "Width"), "size").text == "31 1/4 in"


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        (
            "size: door.width",
            "size: door.widht",
            "sheet:8:41: No book has a name 'door.widht'. Did you mean 'door.width'?",
        ),
        ("part: door", "part: doors", "There is no part 'doors'. Did you mean 'door'?"),
        ("item: Width, ", "", "A row has no item; it needs one."),
        ("item: Width", "items: Width", "A row has no field 'items'."),
        ("sheet: takeoff", "sheet: other", "sheet is 'other'; this file is to be takeoff."),
        (
            "    columns",
            "    for: each pane\n    columns",
            "either `for` and its columns' names, or",
        ),
        ("    columns", "    for: each pain\n    columns", "for is 'each pain'; it is `each SORT`"),
        ("size: door.width", "size: door.holes", "No book has a name 'door.holes'."),
    ],
)
def test_a_sheet_with_a_fault_is_refused_with_its_place(
    refused: Callable[[str, str], str], old: str, new: str, says: str
) -> None:
    told = refused(old, new)
    assert says in told
    assert told.startswith("sheet:")


def test_panes_and_holes_by_another_program(rules: Rules, ran: Callable[[], None]) -> None:
    """Areas, room at the rim and holes that do not meet, against a geometry library."""
    shapely = pytest.importorskip("shapely", reason="no second opinion without shapely")
    verdict, found = taken(rules, "holds-ordinary.yaml")
    for pane in table(found, "glass").rows:
        sizes = {c.key: c.value.value for c in pane.cells if c.value is not None}
        sheet = shapely.box(0, 0, sizes["width"], sizes["height"])
        assert sheet.area == pytest.approx(sizes["area"], rel=1e-12)
        corners = shapely.LineString([(0, 0), (sizes["width"], sizes["height"])])
        assert corners.length == pytest.approx(sizes["diagonal"], rel=1e-12)
        ran()
        net = sheet
        taken_out = 0.0
        holes = [r for r in table(found, "holes").rows if r.part == pane.part]
        for at, hole in enumerate(holes, start=1):
            spot = {c.key: c.value.value for c in hole.cells if c.value is not None}
            disc = shapely.Point(spot["x"], spot["y"]).buffer(spot["across"] / 2, quad_segs=256)
            rim = verdict.answer(f"{pane.part}.holes[{at}].rim_to_edge").value
            assert disc.distance(sheet.exterior) == pytest.approx(rim, abs=1e-6)
            net = net.difference(disc)
            taken_out += disc.area
        assert holes
        assert sheet.area - net.area == pytest.approx(taken_out, rel=1e-9)
        assert net.centroid.within(sheet)
