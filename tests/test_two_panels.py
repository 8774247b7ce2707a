"""A door between two panels, of an arrangement that nobody shipped; sizes by sums on paper.

Sill 72 in, leans 1/16 and 1/8 in, panels to 24 and 20 in, gaps of 3/16 in: between the plumb lines
are 71 13/16 in, between the panels 27 13/16 in, and the door is 27 7/16 in wide, whichever panel it
hangs on.
"""

import re
from pathlib import Path

import pytest

from ruleset import read_arrangement, read_file
from validator import Review, Rules, Verdict, judge, load_job_text, load_rules, review
from validator.drawing import draw
from validator.pane_drawing import shape_of
from validator.remedy import remedies
from validator.settingout import setting_out
from validator.shipped import shipped_rules
from validator.take_off import takeoff

JOBS = Path(__file__).parents[1] / "fixtures" / "jobs"
KITS = JOBS.parent / "kits"
INCH = 25.4
PANES = ("door", "left_panel", "right_panel")
LEFT = "left: {lean: 1/16, bow: 0, diagonal: 104 11/16"
RIGHT = "right: {lean: 1/8, bow: 0, diagonal: 104 21/32"

ARRANGEMENT = """\
arrangement: door between two panels
title: Two fixed panels, and a hinged door between them
hand: [left, right]   # the panel that the door hangs on, seen from outside
parts:
  front: {is: panel opening, means: the opening, start: left, end: right, base: curb}
  curb: {is: panel curb, means: the curb, run: front}
  left: {is: wall, means: the left wall, run: front}
  right: {is: wall, means: the right wall, run: front}
  left_panel: {is: carrying panel, means: the left panel, run: front, beside: left,
    comes_by: route}
  right_panel: {is: carrying panel, means: the right panel, run: front, beside: right,
    comes_by: route}
  door: {is: glass hung door, means: the hinged door, run: front, comes_by: route,
    hung_on: [left_panel, right_panel], shuts_on: [right_panel, left_panel]}
  compartment: {is: compartment, means: the shower compartment, run: front}
  hinges: {is: hinge set, means: the hinges, hangs: door}
  papers: {is: papers, means: the papers, run: front}
  route: {is: route, means: the way in}
"""


@pytest.fixture(scope="module")
def rules() -> Rules:
    return load_rules(installed=False)


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("shop")
    folder = made / "arrangements"
    folder.mkdir()
    (folder / "door-between-two-panels.yaml").write_text(ARRANGEMENT, encoding="utf-8")
    return made


def job_text(
    hand: str = "left", splits: tuple[str, str] = ("24", "20"), head: str = "header"
) -> str:
    """Return a job made of the one with one panel: that panel stands twice."""
    text = (JOBS / "holds-hinged-panel-glass.yaml").read_text(encoding="utf-8")
    panel = text.partition("  fixed:\n    split: 32")[2].partition("\norder:")[0]
    panels = "".join(
        f"  {side}_panel:\n    split: {split}{panel.replace('head: header', f'head: {head}')}"
        for side, split in zip(("left", "right"), splits, strict=True)
    )
    for old, new in (
        ("hinged with panel hung on the glass", "door between two panels"),
        (
            "{sill: 60, middle: 59 31/32, head: 59 15/16}",
            "{sill: 72, middle: 71 29/32, head: 71 13/16}",
        ),
        (
            "left: {lean: 0, bow: 0, diagonal: 96 25/32,",
            "left: {lean: 1/16, bow: 0, diagonal: 104 11/16,",
        ),
        (
            "right: {lean: 1/16, bow: 0, diagonal: 96 7/8,",
            "right: {lean: 1/8, bow: 0, diagonal: 104 21/32,",
        ),
        ("  fixed: {drop: 1/16}", "  left_panel: {drop: 1/16}\n  right_panel: {drop: 1/16}"),
        ("strike_gap: 1/4", "strike_gap: 3/16"),
        ("compartment: {width: 60,", "compartment: {width: 72,"),
        ("length: 62", "length: 74"),
        ("  hand: left\n", f"  hand: {hand}\n" if hand else ""),
        (f"  fixed:\n    split: 32{panel}", panels),
    ):
        assert old in text
        text = text.replace(old, new)
    return text.partition("  second_check")[0]


def judged(text: str, rules: Rules, shop: Path) -> Verdict:
    job = load_job_text(text, "job.yaml", rules, beside=shop, folders=(KITS,))
    return judge(job, rules)


def reviewed(text: str, rules: Rules, shop: Path) -> Review:
    job = load_job_text(text, "job.yaml", rules, beside=shop, folders=(KITS,))
    return review(job, rules)


@pytest.mark.parametrize("hand", ["left", "right", ""])
def test_its_sizes_are_those_of_sums_on_paper(rules: Rules, shop: Path, hand: str) -> None:
    verdict = judged(job_text(hand), rules, shop)
    for name, inches in (
        ("front.plumb_width", 71 + 13 / 16),
        ("front.door_bay", 27 + 13 / 16),
        ("door.bay", 27 + 13 / 16),
        ("door.width", 27 + 7 / 16),
        ("left_panel.width", 23 + 7 / 8),
        ("right_panel.width", 19 + 7 / 8),
        ("left_panel.past_bay", 51 + 13 / 16),
    ):
        assert verdict.answer(name).value / INCH == pytest.approx(inches), name


@pytest.mark.parametrize("hand", ["left", "right", ""])
def test_an_ordinary_job_of_it_has_no_error_and_no_warning(
    rules: Rules, shop: Path, hand: str
) -> None:
    told = reviewed(job_text(hand), rules, shop)
    assert [one.says for one in told.findings if one.outcome == "fails"] == []
    assert [one.says for one in told.findings if one.level == "warning"] == []
    asked = {one.fact for one in told.asked}
    assert asked - {"design.hand"} == {
        "order.drawing_signed",
        "order.second_check",
        *(f"order.{pane}.{size}" for pane in PANES for size in ("width", "height")),
    }
    assert ("design.hand" in asked) == (not hand)


@pytest.mark.parametrize(("hand", "bears"), [("left", "left_panel"), ("right", "right_panel")])
def test_the_panel_that_the_hand_says_has_the_hinges(
    rules: Rules, shop: Path, hand: str, bears: str
) -> None:
    verdict = judged(job_text(hand), rules, shop)
    holes = {pane: len(shape_of(verdict, pane).holes) for pane in PANES}
    assert holes == {"door": 6, "left_panel": 0, "right_panel": 0, bears: 4}
    assert {pane: shape_of(verdict, pane).datum for pane in PANES} == {
        "door": hand,
        "left_panel": "left",
        "right_panel": "right",
    }
    said = draw(verdict, reviewed(job_text(hand), rules, shop))
    assert "left panel" in said
    assert "right panel" in said
    assert f"Hinges {hand}, seen from outside" in said
    assert "difference lies in the rounding" not in said
    rows = [row for table in takeoff(verdict).tables for row in table.rows]
    assert {row.part for row in rows} >= set(PANES)
    steps = " ".join(step.do for step in setting_out(verdict).steps)
    assert "left panel" in steps
    assert "right panel" in steps


def test_only_the_panel_that_the_door_hangs_on_has_to_be_held(rules: Rules, shop: Path) -> None:
    told = reviewed(job_text("right", head="free"), rules, shop)
    held = [one for one in told.findings if one.clause == "hinged.carrier-held"]
    assert [(one.subject, one.outcome) for one in held] == [("right_panel", "fails")]
    assert held[0].says == (
        "The door hangs on the right panel, whose head is free; it must be held at wall, foot and "
        "head."
    )


def test_a_door_too_heavy_is_cured_by_the_split_of_a_panel(rules: Rules, shop: Path) -> None:
    job = load_job_text(
        job_text(splits=("22", "20")), "j.yaml", rules, beside=shop, folders=(KITS,)
    )
    found = remedies(job, rules)
    (single,) = [one for one in found.singles if one.clause == "hinged.rating"]
    assert single.remedy is not None
    moved = [one.fact for one in single.remedy.changes if not one.follows]
    assert moved in (["design.left_panel.split"], ["design.right_panel.split"])


def test_panels_that_leave_no_room_for_a_door_are_told(rules: Rules, shop: Path) -> None:
    told = reviewed(job_text(splits=("30", "24")), rules, shop)
    (room,) = [one for one in told.findings if one.clause == "opening.panel-inside"]
    assert room.outcome == "fails"
    # 71 13/16 in less 54 in is 17 13/16 in.
    assert room.says == (
        "Beside the fixed glass 17 13/16 in is left between the plumb lines; at least 20 in is "
        "needed, 2 3/16 in more."
    )


def test_one_survey_serves_every_arrangement_that_has_its_places(rules: Rules, shop: Path) -> None:
    """What was read of walls, curb and opening is under the same names in each of them."""
    survey = re.search(r"^survey:\n.*?(?=^design:)", job_text(), re.DOTALL | re.MULTILINE)
    assert survey is not None
    places = re.sub(r"  (door|left_panel|right_panel|# A basin).*\n", "", survey[0])
    kits = {"in-line slider": "ostrel-inch"}
    read = [
        read_arrangement(read_file(one))
        for one in sorted(shipped_rules().glob("arrangements/*.yaml"))
    ]
    over_a_curb = [one for one in read if any(part.name == "curb" for part in one.parts)]
    shipped = [one.name for one in over_a_curb]
    assert len(shipped) >= 5
    for name in ("door between two panels", *shipped):
        kit = kits.get(name, "[marden-glass, brill-seals]")
        head = f"job: one\nformat: 2\nunits: in\narrangement: {name}\nkit: {kit}\ncode: irc-2021\n"
        verdict = judged(f"{head}{places}design: {{hand: left}}\n", rules, shop)
        assert verdict.answer("front.plumb_width").value / INCH == pytest.approx(71 + 13 / 16)
        assert verdict.answer("left.into").value / INCH == pytest.approx(1 / 16)
        assert (verdict.answer("left.end").value, verdict.answer("right.end").value) == (
            verdict.library.words["left"],
            verdict.library.words["right"],
        )
