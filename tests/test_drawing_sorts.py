"""Views by sort: which one a part has, what it asks, and the rows of the drawing's sheet."""

import ast
import re
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from ruleset.fields import Faults
from ruleset.reader import read_text
from validator import Rules, Verdict, judge, load_job_text, load_rules, review
from validator.drawing import draw
from validator.drawing.drafting import PAGE_SIZES
from validator.drawing.geometry import Point
from validator.drawing.part import Part
from validator.drawing.pen import Count, Frame, Pen
from validator.drawing.rows import names_above, read_rows, rows_of
from validator.drawing.scene import Scene
from validator.drawing.sizes import Sizes
from validator.drawing.sorts import VIEWS
from validator.drawing.svg import blank
from validator.sheet_rows import sheet_files, written_out

JOBS = Path(__file__).parent.parent / "fixtures" / "jobs"
ORDINARY = (JOBS / "holds-ordinary.yaml").read_text(encoding="utf-8")
CODE = Path(__file__).parent.parent / "validator" / "drawing"
SVG = "{http://www.w3.org/2000/svg}"
IN = 25.4
RULES = load_rules(installed=False)


def judged(text: str = ORDINARY, rules: Rules = RULES) -> Verdict:
    return judge(load_job_text(text, "job.yaml", rules, beside=JOBS), rules)


def drawn(verdict: Verdict) -> ET.Element:
    return ET.fromstring(draw(verdict, review(verdict.job, RULES)))  # noqa: S314  # our own


def texts(root: ET.Element) -> list[str]:
    return [one.text or "" for one in root.iter(f"{SVG}text")]


DOOR_CUTS = "    notches: [{x: 20, y: 0, width: 2 1/4, height: 4, radius: 3/8}]\n"
PANEL_CUTS = """
    holes: [{x: 12, y: 30, across: 3/4}]
    notches: [{x: 0, y: 0, width: 2, height: 3, radius: 1/2}]
"""


def with_own_cuts() -> str:
    """Return the ordinary job with a notch in its door, and a hole and a notch in its panel."""
    one = "    category: II\n"
    before, door, panel = ORDINARY.split(one)
    return f"{before}{one}{DOOR_CUTS}{door}{one}{PANEL_CUTS.lstrip(chr(10))}{panel}"


@pytest.mark.parametrize("hand", ["left", "right"])
def test_what_a_job_cuts_into_its_panes_is_drawn_with_its_sizes(hand: str) -> None:
    text = with_own_cuts().replace("hand: left", f"hand: {hand}")
    before, root = (
        drawn(judged(ORDINARY.replace("hand: left", f"hand: {hand}"))),
        drawn(judged(text)),
    )
    said = texts(root)
    for label in ("hole 3/4", "hole 1/2", "notch 2 x 3, radius 1/2", "notch 2 1/4 x 4, radius 3/8"):
        assert label in said
    scale = next(int(one.rpartition(":")[2]) for one in said if one.startswith("Elevation"))
    assert len(circles(root)) == len(circles(before)) + 1
    # The panel's plumb line stands where its glass begins, less the gap of 1/8 in to it; the hole
    # is 12 in along the glass and 30 in above its foot, 3/16 in over the datum.
    plumb, datum = corner(root, hand)
    side = 1 if hand == "left" else -1
    hole = (
        plumb + side * (12 + 1 / 8) * IN / scale,
        datum - (30 + 3 / 16) * IN / scale,
        3 / 8 * IN / scale,
    )
    assert [one for one in circles(root) if one == pytest.approx(hole, abs=0.01)]


def circles(root: ET.Element) -> set[tuple[float, float, float]]:
    found = root.iterfind(f"{SVG}g[@id='elevation']/{SVG}circle")
    return {tuple(float(one.get(key, "")) for key in ("cx", "cy", "r")) for one in found}  # type: ignore[misc]


def corner(root: ET.Element, hand: str) -> tuple[float, float]:
    """Return where the plumb line of the panel's wall meets the datum, read off the drawing.

    The plumb line is the outermost chain line of the elevation on that side. The datum is 4 in over
    the floor, where that line ends.
    """
    lines = root.iterfind(f"{SVG}g[@id='elevation']/{SVG}polyline[@class='centre']")
    ends = [
        [tuple(map(float, pair.split(","))) for pair in (one.get("points") or "").split()]
        for one in lines
    ]
    upright = [one for one in ends if one[0][0] == one[1][0]]
    pick = min if hand == "left" else max
    line = pick(upright, key=lambda one: one[0][0])
    scale = next(int(one.rpartition(":")[2]) for one in texts(root) if one.startswith("Elevation"))
    return line[0][0], max(end[1] for end in line) - 4 * IN / scale


@pytest.mark.parametrize(
    ("mark", "says"),
    [
        ("in sight", "mark in sight"),
        ("covered", "mark covered"),
        ("none", "no mark"),
    ],
)
def test_the_place_of_the_mark_is_told_of_each_pane(mark: str, says: str) -> None:
    said = texts(drawn(judged(ORDINARY.replace("mark: in sight", f"mark: {mark}"))))
    assert said.count(says) == 2


@pytest.mark.parametrize("split", ["26 11/16", "9"])
def test_what_has_no_room_in_its_pane_is_still_written(split: str) -> None:
    text = (JOBS / "holds-at-the-limit.yaml").read_text(encoding="utf-8")
    assert "split: 26 11/16" in text
    said = texts(drawn(judged(text.replace("split: 26 11/16", f"split: {split}"))))
    assert len([text for text in said if text.endswith("mark in sight")]) == 2
    assert any(text.endswith(": mark in sight") for text in said) == (split == "9")
    assert not [text for text in said if text.startswith("No room")]


def of_sorts(verdict: Verdict, name: str, *sorts: str) -> Verdict:
    """Return a verdict in whose books a part is of other sorts, the nearest first."""
    library = verdict.library
    part = replace(library.parts[name], sorts=sorts)
    return replace(verdict, library=replace(library, parts={**library.parts, name: part}))


def panel(verdict: Verdict) -> Part:
    scene = Scene(Sizes(verdict))
    return next(part for view, part in scene.parts if view.sort == "fixed panel")


def test_a_sort_without_a_view_draws_as_the_sort_that_it_extends() -> None:
    verdict = judged()
    part = panel(verdict)
    further = of_sorts(verdict, part.name, "etched panel", *part.sorts)
    assert draw(further, review(verdict.job, RULES)) == draw(verdict, review(verdict.job, RULES))


def test_of_several_views_the_one_counts_whose_sort_extends_the_others() -> None:
    verdict = judged()
    part = panel(verdict)
    # As where a part is of a sort without a view first: that of a pane, then that of a panel.
    mixed = of_sorts(verdict, part.name, "lined pane", "pane", *part.sorts)
    assert panel(mixed).name == part.name


def test_the_hand_of_an_arrangement_that_no_view_speaks_of_is_said_as_it_is() -> None:
    verdict = judged()
    bare = replace(verdict.library, parts={}, hands=("left", "right"))
    nothing = Scene(Sizes(replace(verdict, library=bare)))
    assert nothing.extent() is None
    known = nothing.hand()
    assert (known.says, known.note) == ("Hand left, seen from outside", "")
    values = {name: one for name, one in verdict.job.values.items() if name != "design.hand"}
    shape = (("design.hand", 0), *verdict.plan.shape)
    unsaid = replace(
        verdict,
        library=bare,
        job=replace(verdict.job, values=values),
        plan=replace(verdict.plan, shape=shape),
    )
    unknown = Scene(Sizes(unsaid)).hand()
    assert unknown.says == "Hand not known, seen from outside"
    assert unknown.note.endswith("drawn as for the hand left.")


def test_a_pane_is_always_drawn() -> None:
    verdict = judged()
    part = panel(verdict)
    odd = of_sorts(verdict, part.name, "odd pane", *part.sorts[part.sorts.index("pane") :])
    scene = Scene(Sizes(odd))
    canvas = blank(PAGE_SIZES["letter"], "", "")
    found = scene.elevation(
        Pen(canvas=canvas, frame=Frame(origin=Point(0, 100), direction=1.0, scale=0.1))
    )
    assert f"{part.name}.middle" in found.spots
    assert found.notes == ["The fixed panel is drawn by its size alone: no view places it."]
    assert any("no view places it" in text for text in texts(drawn(odd)))


def test_a_part_of_no_drawn_sort_is_left_out() -> None:
    verdict = judged()
    part = panel(verdict)
    gone = Scene(Sizes(of_sorts(verdict, part.name, "lamp")))
    assert part.name not in [one.name for _, one in gone.parts]
    drawn_sorts = {view.sort for view in VIEWS}
    for name in {*verdict.library.parts} - {one.name for _, one in Scene(Sizes(verdict)).parts}:
        assert not drawn_sorts & {*verdict.library.parts[name].sorts}


def test_a_view_asks_for_what_its_part_has_or_the_job() -> None:
    part = panel(judged())
    assert part.length("design.thickness") == pytest.approx(3 / 8 * IN)
    assert part.length("kit.bar.pitch") == pytest.approx(13 * IN)
    assert part.length("beside.into") == pytest.approx(1 / 16 * IN)
    assert next(part.named_by("laps")).title == "sliding door"
    with pytest.raises(LookupError, match="has no breadth, and no job has it either"):
        part.length("breadth")
    with pytest.raises(LookupError, match="has no role behind"):
        part.to("behind")


def test_lengths_count_from_either_end_of_a_run() -> None:
    run = Frame(origin=Point(100.0, 50.0), direction=1.0, scale=0.1)
    right = Count(at=500.0, toward=-1.0)
    assert run.at(200.0, 30.0) == (120.0, 47.0)
    assert run.counted(right).at(200.0, 30.0) == (130.0, 47.0) == run.at(right.along(200.0), 30.0)
    assert run.counted(right).counted(right).at(200.0, 30.0) == run.at(200.0, 30.0)


@pytest.mark.parametrize("hand", ["left", "right"])
def test_a_slider_counts_from_the_wall_of_its_panel_and_its_walls_from_themselves(
    hand: str,
) -> None:
    scene = Scene(Sizes(judged(ORDINARY.replace("hand: left", f"hand: {hand}"))))
    # Plumb line to plumb line: 60 in, less what each wall leans in, 1/16 in.
    ends = {1.0: 0.0, -1.0: (60 - 2 / 16) * IN}
    walls = [part.name for view, part in scene.parts if view.sort == "wall"]
    panes = [part.name for view, part in scene.parts if view.sort in ("fixed panel", "bar")]
    assert {scene.counts(name).toward for name in walls} == {1.0, -1.0}
    toward = 1.0 if hand == "left" else -1.0
    assert {scene.counts(name).toward for name in panes} == {toward}
    for name in (*walls, *panes):
        assert scene.counts(name).at == pytest.approx(ends[scene.counts(name).toward])


def literals(file: Path) -> Iterator[tuple[str, int]]:
    """Yield the texts of a file of code, without docstrings, captions and the sorts of views."""
    tree = ast.parse(file.read_text(encoding="utf-8"))
    kept = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            kept.add(id(node.value))
        if isinstance(node, ast.Call):
            told = {"View": "sort", "Detail": "title"}.get(getattr(node.func, "id", ""))
            kept |= {id(one.value) for one in node.keywords if one.arg == told}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in kept:
            yield node.value, node.lineno


@pytest.mark.parametrize("file", sorted(CODE.rglob("*.py")), ids=lambda file: file.stem)
def test_no_part_and_no_sort_is_named_but_where_its_view_is_registered(file: Path) -> None:
    library = judged().library
    assert {"glass", "door", "fixed panel"} & {*library.parts, *library.sorts}
    named = []
    for text, line in literals(file):
        first, _, rest = text.partition(".")
        of_part = first in library.parts or (
            first in ("survey", "design", "order", "as_built")
            and rest.partition(".")[0] in library.parts
            and text not in library.facts
        )
        if text in library.sorts or (of_part and re.fullmatch(r"[\w.]+", text)):
            named.append(f"{file.name}:{line}: {text}")
    assert named == []


def test_every_spot_that_a_row_names_is_one_that_a_view_marks() -> None:
    verdict = judged()
    scene, rows = Scene(Sizes(verdict)), rows_of(verdict)
    pen = Pen(
        canvas=blank(PAGE_SIZES["letter"], "", ""),
        frame=Frame(origin=Point(0, 0), direction=1.0, scale=0.05),
        high=2000.0,
    )
    spots = {*scene.elevation(pen).spots, *scene.plan(pen).spots}
    named = {one.spot for one in rows.labels} | {s for many in rows.places.values() for s in many}
    unplaced = {f"{name}.middle" for name in verdict.library.parts}
    assert {spot for spot in named - spots if spot not in unplaced} == set()
    details = {one.title for one in scene.details()}
    known = {"above", "below", "start", "end", *details, *(f"{one}, across" for one in details)}
    assert {chain.where for chain in rows.chains} <= known
    assert {one.where for one in rows.labels} <= {"", *details}


def faults_of(sheet: str) -> list[str]:
    verdict = judged()
    faults = Faults()
    head = "sheet: drawing\ntitle: Drawing\nabout: A sheet.\n"
    node = written_out(read_text(head + sheet, "sheet"), verdict.library, faults.found, "")
    read_rows(node, verdict.library, faults)
    return [f"{fault.place}: {fault.says}" for fault in faults.found]


def test_the_shipped_sheet_has_no_faults() -> None:
    (file,) = sheet_files(judged().library, "drawing")
    text = file.read_text(encoding="utf-8").partition("chains:")
    assert faults_of(text[1] + text[2]) == []


@pytest.mark.parametrize(
    ("sheet", "place", "says"),
    [
        (
            "chains: [{for: each pane, of: pane, in: end, means: a, lengths: [{is: pane.widht}]}]",
            ":4:71",
            "No pane has a name pane.widht. Did you mean 'pane.width'?",
        ),
        (
            "chains: [{of: door, in: above, means: it, lengths: [{is: kit.bar.pich}]}]",
            ":4:58",
            "No book has a name 'kit.bar.pich'. Did you mean 'kit.bar.pitch'?",
        ),
        (
            "chains: [{of: door, in: above, means: it, title: Sum, lengths: [{is: kit.drop}]}]",
            ":4:10",
            "A chain has lengths, and a title where they add up to a whole.",
        ),
        (
            "places: [{of: door, at: [lap], names: [survey.showr]}]",
            ":4:39",
            "No name is or begins with 'survey.showr'.",
        ),
        ("labels: [{of: door, at: lap}]", ":4:10", "A label has no says; it needs one."),
        ("told: [{says: it, value: kit.drop, for: each yacht}]", ":4:41", "for is 'each yacht'"),
        ("colours: [black]", ":4:1", "A sheet has no field 'colours'."),
    ],
)
def test_what_is_wrong_with_a_row_is_told_at_its_place(sheet: str, place: str, says: str) -> None:
    (told,) = faults_of(sheet)
    assert told.startswith(f"sheet{place}")
    assert says in told


def test_a_name_is_marked_by_its_longest_beginning_and_at_last_by_its_part() -> None:
    parts = {"door": 0}
    assert list(names_above("kit.bulb.least", parts)) == ["kit.bulb.least", "kit.bulb", "kit"]
    assert list(names_above("as_built.door.gap", parts))[-1] == "door"
