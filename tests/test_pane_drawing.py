"""A pane by itself: its DXF read back by another library, its page, both sides, what is refused."""

import io
import math
import re
import sys
from pathlib import Path
from typing import Any
from xml.etree import ElementTree as ET

import ezdxf
import pytest
import trimesh
from shapely.geometry import Polygon, box

from ruleset.errors import RulesetError
from validator import Rules, Verdict, judge, load_job, load_job_text, load_rules, review
from validator.drawing.drafting import MARGIN, PAGE_SIZES
from validator.drawing.letters import ABOVE, BELOW, width
from validator.pane_drawing import (
    PaneError,
    PaneShape,
    draw_pane_page,
    notes_of,
    pane_dxf,
    panes,
    shape_of,
)
from validator.pane_drawing.outline import outline, points
from validator.take_off import takeoff

JOBS = Path(__file__).parent.parent / "fixtures" / "jobs"
ALL = tuple(path for path in sorted(JOBS.glob("*.*")) if ".findings." not in path.name)
ORDINARY = (JOBS / "holds-ordinary.yaml").read_text(encoding="utf-8")
SVG = "{http://www.w3.org/2000/svg}"
RULES = load_rules(installed=False)
INCH = 25.4
CORNER = "{x: 0, y: 0, width: 2, height: 3, radius: 1/2}"
FAR = "{x: 27 7/8, y: 40, width: 2, height: 4, radius: 3/8}"
MIDDLE = "{x: 12, y: 30, width: 3, height: 4, radius: 1/2}"


def judged(notches: str = "", hand: str = "left", rules: Rules = RULES) -> Verdict:
    panel = "    first_hole: 9\n"
    assert panel in ORDINARY
    assert "  hand: left\n" in ORDINARY
    text = ORDINARY.replace(panel, f"{panel}    notches: [{notches}]\n")
    text = text.replace("  hand: left\n", f"  hand: {hand}\n")
    return judge(load_job_text(text, "job.yaml", rules, beside=JOBS), rules)


def read_back(text: str) -> Any:  # noqa: ANN401  # the library is hardly typed
    return trimesh.load_path(io.BytesIO(text.encode()), file_type="dxf")


def glass(shape: PaneShape) -> Polygon:
    """Return a pane's glass by another way: boxes taken out of a box, their corners round."""
    left = box(0, 0, shape.width, shape.height)
    for one in shape.notches:
        x, y, far, top = one.x, one.y, one.x + one.width, one.y + one.height
        past = 4 * one.radius + 1  # past the edges that the notch reaches, where no corner is round
        sides = (x <= 0, y <= 0, far >= shape.width - 1e-6, top >= shape.height - 1e-6)
        grown = [past * on for on in sides]
        cut = box(x - grown[0], y - grown[1], far + grown[2], top + grown[3])
        left = left.difference(cut.buffer(-one.radius).buffer(one.radius, quad_segs=400))
    if shape.datum == "right":
        left = Polygon([(shape.width - px, py) for px, py in left.exterior.coords])
    return left


def known_shape(verdict: Verdict, part: str) -> PaneShape | None:
    """Return a pane, None where it was refused for what is missing."""
    try:
        return shape_of(verdict, part)
    except PaneError as error:
        told = str(error)
    assert re.search(r"cannot be drawn as it is cut; not known: .*\. Give what", told)
    return None


def test_every_pane_of_every_job_is_one_closed_outline_or_refused_with_what_is_missing() -> None:
    drawn = 0
    for path in ALL:
        try:
            job = load_job(path, RULES)
        except RulesetError:
            continue
        verdict = judge(job, RULES)
        for part in panes(verdict):
            shape = known_shape(verdict, part)
            if shape is None:
                continue
            cut = Polygon(points(outline(shape).glass))
            assert cut.is_valid, (path.name, part)
            assert cut.area == pytest.approx(glass(shape).area, rel=1e-5), (path.name, part)
            drawn += 1
    assert drawn > len(ALL)


def _area(one: Polygon) -> float:
    return float(one.area)


# Outside check: the file read back by trimesh, its area, centre of area and holes against shapely
# and the take-off.
@pytest.mark.parametrize("hand", ["left", "right"])
@pytest.mark.parametrize("seen", ["outside", "inside"])
@pytest.mark.parametrize("notches", ["", CORNER, f"{CORNER}, {FAR}"])
def test_a_file_read_back_is_the_pane_of_the_take_off(hand: str, seen: str, notches: str) -> None:
    verdict = judged(notches, hand)
    shape = shape_of(verdict, "fixed", seen=seen)
    path = read_back(pane_dxf(shape))
    assert path.units == "millimeters"
    layers = {str(one.layer) for one in path.entities}
    assert layers <= {"OUTLINE", "HOLES", "None"}  # trimesh drops the layer of most lines
    rings = sorted((Polygon(one.exterior) for one in path.polygons_closed), key=_area, reverse=True)
    outer, *inner = rings
    by_hand = glass(shape)
    holes = [(shape.at(one.x), one.y, one.across) for one in shape.holes]
    area = by_hand.area - sum(math.pi / 4 * across**2 for *_, across in holes)
    assert outer.area - sum(map(_area, inner)) == pytest.approx(area, rel=2e-5)
    assert (outer.centroid.x, outer.centroid.y) == pytest.approx(
        (by_hand.centroid.x, by_hand.centroid.y), abs=0.05
    )
    centres = sorted((one.centroid.x, one.centroid.y) for one in inner)
    assert centres == [pytest.approx(one[:2], abs=1e-3) for one in sorted(holes)]
    cells = {
        cell.key: cell
        for table in takeoff(verdict).tables
        for row in table.rows
        if row.part == "fixed" and table.key == "holes"
        for cell in row.cells
    }
    last = shape.holes[-1]
    assert (cells["x"].text, cells["y"].text) == (last.cells[0].text, last.cells[1].text)
    if not notches:
        assert outer.area == pytest.approx(verdict.answer("fixed.area").value)


def test_what_is_cut_out_inside_stands_on_a_layer_of_its_own() -> None:
    shape = shape_of(judged(f"{CORNER}, {MIDDLE}"), "fixed")
    document = ezdxf.read(io.StringIO(pane_dxf(shape, ("a note",))))  # type: ignore[attr-defined]
    assert not document.audit().errors
    assert document.units == 4
    assert document.header["$INSUNITS"] == 4
    by_layer: dict[str, list[str]] = {}
    for one in document.modelspace():
        by_layer.setdefault(one.dxf.layer, []).append(one.dxftype())
    assert by_layer == {
        "OUTLINE": ["LWPOLYLINE"],
        "CUTOUTS": ["LWPOLYLINE"],
        "HOLES": ["CIRCLE", "CIRCLE"],
        "NOTES": ["TEXT"],
    }
    assert all(one.dxf.flags & 1 for one in document.modelspace().query("LWPOLYLINE"))  # closed
    cutout = Polygon(points(outline(shape).cutouts[0]))
    whole = 3 * 4 * INCH**2 - (4 - math.pi) * (INCH / 2) ** 2  # a box with round corners
    assert cutout.area == pytest.approx(whole, rel=1e-3)
    # The same in the file, arcs and all, by the area under a bulge: r^2/2 (angle - sin angle).
    vertices = document.modelspace().query('LWPOLYLINE[layer=="CUTOUTS"]').first.get_points("xyb")
    ends = zip(vertices, [*vertices[1:], vertices[0]], strict=True)
    area = sum(
        (x * v - u * y) / 2 + _segment(math.dist((x, y), (u, v)), bulge)
        for (x, y, bulge), (u, v, _) in ends
    )
    assert area == pytest.approx(whole, rel=1e-6)


def _segment(chord: float, bulge: float) -> float:
    angle = 4 * math.atan(bulge)
    if not angle:
        return 0.0
    radius = chord / 2 / math.sin(angle / 2)
    return radius**2 / 2 * (angle - math.sin(angle))


def test_a_file_is_the_same_each_time() -> None:
    verdict = judged(CORNER)
    shape = shape_of(verdict, "fixed")
    notes = notes_of(verdict, review(verdict.job, RULES), shape)
    assert pane_dxf(shape, notes) == pane_dxf(shape, notes)


# --- seen from the other side, and the other hand ------------------------------------------------


def test_seen_from_inside_holes_words_and_the_filled_corner_change_together() -> None:
    verdict = judged(CORNER)
    told = review(verdict.job, RULES)
    outside, inside = (shape_of(verdict, "fixed", seen=seen) for seen in ("outside", "inside"))
    assert (outside.datum, inside.datum) == ("left", "right")
    for one, other in zip(outside.holes, inside.holes, strict=True):
        assert (one.x, one.y) == (other.x, other.y)
        assert outside.at(one.x) + inside.at(other.x) == pytest.approx(outside.width)
    mirrored = Polygon([(outside.width - x, y) for x, y in points(outline(outside).glass)])
    assert mirrored.symmetric_difference(
        Polygon(points(outline(inside).glass))
    ).area == pytest.approx(0, abs=1e-6)
    for shape in (outside, inside):
        said = " ".join(texts(page(verdict, shape)))
        assert f"seen from {shape.seen}" in said
        assert f"the lower {shape.datum} one" in said
        assert f"from the {shape.datum} edge" in said
        root = page(verdict, shape)
        corner = next(one for one in root.iter(f"{SVG}polygon") if one.get("class") == "datum")
        xs = [float(pair.split(",")[0]) for pair in (corner.get("points") or "").split()]
        assert (xs[0] == min(xs)) == (shape.datum == "left")
        assert f"Seen from {shape.seen}; true size" in notes_of(verdict, told, shape)[1]


def test_the_other_hand_turns_the_pane() -> None:
    left, right = (shape_of(judged(hand=hand), "door") for hand in ("left", "right"))
    assert (left.datum, right.datum) == ("left", "right")
    assert [left.at(one.x) for one in left.holes] == pytest.approx(
        [right.width - right.at(one.x) for one in right.holes]
    )


# --- the page ------------------------------------------------------------------------------------


def page(verdict: Verdict, shape: PaneShape, paper: str = "letter") -> ET.Element:
    svg = draw_pane_page(verdict, review(verdict.job, RULES), shape, paper=paper)
    return ET.fromstring(svg)  # noqa: S314  # our own


def texts(root: ET.Element) -> list[str]:
    return [one.text or "" for one in root.iter(f"{SVG}text")]


def boxes(root: ET.Element) -> list[tuple[str, tuple[float, float, float, float]]]:
    found = []
    for one in root.iter(f"{SVG}text"):
        size, x, y = (float(one.get(key) or 0) for key in ("font-size", "x", "y"))
        text = one.text or ""
        long = width(text, size, bold=one.get("font-weight") == "bold")
        back = {"start": 0.0, "middle": long / 2, "end": long}[one.get("text-anchor") or "start"]
        up, down = ABOVE * size, BELOW * size
        at = (x - back, y - up, x - back + long, y + down)
        if "rotate" in (one.get("transform") or ""):
            at = (x - up, y + back - long, x + down, y + back)
        found.append((text, at))
    return found


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize("name", ["holds-ordinary", "holds-millimetres", "fails-notch-radius"])
def test_every_measure_stands_on_the_page_and_nothing_over_another(name: str, paper: str) -> None:
    verdict = judge(load_job(JOBS / f"{name}.yaml", RULES), RULES)
    assert len(panes(verdict)) == 2
    for part in panes(verdict):
        shape = shape_of(verdict, part)
        root = page(verdict, shape, paper)
        said = texts(root)
        cells = [*(one.cells for one in shape.holes), *(one.cells for one in shape.notches)]
        for cell in (cell for own in cells for cell in own):
            assert cell.text in " ".join(said), cell
        sizes = PAGE_SIZES[paper]
        placed = boxes(root)
        for text, (left, top, right, bottom) in placed:
            assert left >= MARGIN, text
            assert top >= MARGIN, text
            assert right <= sizes.width - MARGIN, text
            assert bottom <= sizes.height - MARGIN, text
        for at, (one, a) in enumerate(placed):
            for other, b in placed[at + 1 :]:
                over = (min(a[2], b[2]) - max(a[0], b[0]), min(a[3], b[3]) - max(a[1], b[1]))
                assert min(over) < 0.3, (one, other)
        assert len(placed) > len(shape.holes)
        circles = [one for one in root.iter(f"{SVG}circle") if one.get("fill") == "none"]
        assert len(circles) == len(shape.holes)


def test_a_page_says_whether_the_pane_may_be_cut() -> None:
    verdict = judge(load_job(JOBS / "fails-notch-radius.yaml", RULES), RULES)
    shape = shape_of(verdict, "fixed")
    assert "By the review: NOT ready for the stage order" in texts(page(verdict, shape))
    notes = notes_of(verdict, review(verdict.job, RULES), shape)
    assert any(note.startswith("NOT ready for the stage order") for note in notes)
    assert "Thickness: 3/8 in" in notes


# --- refused -------------------------------------------------------------------------------------


def test_a_pane_that_is_not_there_is_refused() -> None:
    with pytest.raises(PaneError, match=r"no pane 'dor' .*mean 'door'.* There are: fixed, door\."):
        shape_of(judged(), "dor")


def test_what_is_not_known_is_told_and_nothing_is_drawn() -> None:
    verdict = judge(load_job(JOBS / "unknown-split-not-chosen.yaml", RULES), RULES)
    with pytest.raises(PaneError, match=r"not known: .*design\.fixed\.split.*\. Give what"):
        shape_of(verdict, "fixed")


@pytest.mark.parametrize(
    ("notches", "says"),
    [
        ("{x: 0, y: 0, width: 1/4, height: 3, radius: 1/2}", "too short for them"),
        (f"{MIDDLE}, {{x: 0, y: 32, width: 13, height: 1, radius: 1/4}}", "meet each other"),
        (f"{CORNER}, {{x: 1, y: 0, width: 2, height: 1, radius: 1/4}}", "meet each other"),
    ],
)
def test_notches_that_make_no_one_outline_are_refused(notches: str, says: str) -> None:
    shape = shape_of(judged(notches), "fixed")
    with pytest.raises(PaneError, match=says):
        outline(shape)


def test_without_the_library_the_sentence_says_what_to_install(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setitem(sys.modules, "ezdxf", None)
    with pytest.raises(PaneError, match=r"paneproof\[dxf\]"):
        pane_dxf(shape_of(judged(), "fixed"))
