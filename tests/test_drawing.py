"""The drawing read back with another library: texts, sums of chains, marks, both hands."""

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cache
from itertools import combinations
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from validator import Job, Rules, Verdict, judge, load_job, load_job_text, load_rules, review
from validator.drawing import draw, png
from validator.drawing.chains import Spans, spans, sums
from validator.drawing.drafting import DETAIL_SCALES, LETTER, MARGIN, PAGE_SIZES, SCALES
from validator.drawing.letters import ABOVE, BELOW, is_measured, width
from validator.drawing.rows import rows_of
from validator.drawing.sizes import Sizes
from validator.report.groups import numbers
from validator.settingout import setting_out
from validator.signed import SIGNED

etree = pytest.importorskip("lxml.etree", reason="lxml reads the drawing back")

FIXTURES = Path(__file__).parent.parent / "fixtures"
JOBS = tuple(
    path for path in sorted((FIXTURES / "jobs").glob("*.*")) if ".findings." not in path.name
)
ORDINARY = FIXTURES / "jobs" / "holds-ordinary.yaml"
SVG = "{http://www.w3.org/2000/svg}"
TOUCH = 0.02  # mm: written coordinates are rounded to a thousandth
AIR = 1e-4  # mm
Box = tuple[float, float, float, float]


@cache
def shipped() -> Rules:
    return load_rules(installed=False)


def turned(job: Job, hand: str) -> Job:
    """Return a job without its checks, as a mirror shows it if its panel is not on that side.

    Its walls change sides too; it stays as it is where the side is not known.
    """
    given_hand = job.values.get("design.hand")
    if given_hand is None:
        return job
    other = {} if given_hand.text == hand else {"left": "right", "right": "left"}
    values = {}
    for name, one in job.values.items():
        source, _, rest = name.partition(".")
        part, _, field = rest.partition(".")
        swapped = source == "survey" and part in other
        if name not in SIGNED:
            values[f"survey.{other[part]}.{field}" if swapped else name] = one
    value = replace(given_hand, value=shipped().library.words[hand], text=hand)
    return replace(job, values={**values, "design.hand": value})


def drawn(job: Job, paper: str = "letter") -> Any:  # noqa: ANN401  # an element of lxml
    """Return the drawing's root, read by lxml."""
    svg = draw(judge(job, shipped()), review(job, shipped()), paper=paper)
    return etree.fromstring(svg.encode("ascii"))


@cache
def fixture(path: Path, paper: str = "letter") -> Any:  # noqa: ANN401  # an element of lxml
    return drawn(load_job(path, shipped()), paper)


def texts(root: Any) -> list[str]:  # noqa: ANN401  # an element of lxml
    return [one.text or "" for one in root.iter(f"{SVG}text")]


def box_of(text: Any) -> Box:  # noqa: ANN401  # an element of lxml
    """Return a text's box from its attributes alone: left, top, right, bottom in mm."""
    x, y, size = (float(text.get(name)) for name in ("x", "y", "font-size"))
    long = width(text.text, size, bold=text.get("font-weight") == "bold")
    back = {"start": 0.0, "middle": long / 2, "end": long}[text.get("text-anchor")]
    if text.get("transform"):
        return (x - ABOVE * size, y + back - long, x + BELOW * size, y + back)
    return (x - back, y - ABOVE * size, x - back + long, y + BELOW * size)


def meet(one: Box, other: Box) -> bool:
    return (
        one[0] + TOUCH < other[2]
        and other[0] + TOUCH < one[2]
        and one[1] + TOUCH < other[3]
        and other[1] + TOUCH < one[3]
    )


def bubbles(root: Any) -> Iterator[tuple[float, float, float]]:  # noqa: ANN401  # as above
    """Yield middle and radius of each circle that a number may stand in."""
    for circle in root.iter(f"{SVG}circle"):
        yield tuple(float(circle.get(name)) for name in ("cx", "cy", "r"))  # type: ignore[misc]


def marked(root: Any) -> list[int]:  # noqa: ANN401  # as above
    """Return the numbers in marks, of the views and of the key, in the order of the file."""
    rings = [(x, y) for x, y, r in bubbles(root) if r > 2]
    found = []
    for text in root.iter(f"{SVG}text"):
        at = (float(text.get("x")), float(text.get("y")) - 0.36 * LETTER)
        if text.text.isdigit() and any(near(at, ring) for ring in rings):
            found.append(int(text.text))
    return found


@pytest.mark.parametrize("paper", sorted(PAGE_SIZES))
@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
def test_no_text_meets_another_or_leaves_the_page(path: Path, paper: str) -> None:
    root = fixture(path, paper)
    sheet = PAGE_SIZES[paper]
    boxes = [(box_of(text), text.text) for text in root.iter(f"{SVG}text")]
    assert len(boxes) > 8
    assert [(a, b) for (one, a), (other, b) in combinations(boxes, 2) if meet(one, other)] == []
    for (left, top, right, bottom), text in boxes:
        assert left >= MARGIN, text
        assert top >= MARGIN, text
        assert right <= sheet.width - MARGIN, text
        assert bottom <= sheet.height - MARGIN, text
    assert root.get("viewBox") == f"0 0 {sheet.width:g} {sheet.height:g}"


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
def test_the_marks_bear_the_numbers_of_the_report(path: Path) -> None:
    told = [one.number for one in numbers(review(load_job(path, shipped()), shipped()))]
    root = fixture(path, "letter")
    found = marked(root)
    apart = next((line for line in texts(root) if line.startswith("Of no one place: ")), "")
    alone = [
        int(word) for word in apart.removeprefix("Of no one place: ").strip(".").split(", ") if word
    ]
    # Once in the key, and once at its place unless it has none.
    assert sorted(found) == sorted([*told, *(number for number in told if number not in alone)])
    assert not any(text.startswith("No room") for text in texts(root))


@pytest.mark.parametrize("name", ["holds-ordinary", "fails-several-faults", "holds-walls-only"])
def test_both_hands_mirror(name: str) -> None:
    job = load_job(FIXTURES / "jobs" / f"{name}.yaml", shipped())
    roots = [drawn(turned(job, hand)) for hand in ("left", "right")]
    left, right = (outline(root) for root in roots)
    middle = (left[0][0] + right[-1][0]) / 2
    mirrored = sorted((round(2 * middle - x, 2), y) for x, y in left)
    assert len(mirrored) == len(right)
    assert not [one for one in mirrored if not any(near(one, other) for other in right)]
    assert not [one for one in right if not any(near(one, other) for other in mirrored)]
    sides = [next(text for text in texts(root) if "seen from outside" in text) for root in roots]
    assert [side.split(",")[0] for side in sides] == ["Fixed panel left", "Fixed panel right"]


def near(one: tuple[float, float], other: tuple[float, float]) -> bool:
    return abs(one[0] - other[0]) < TOUCH and abs(one[1] - other[1]) < TOUCH


def outline(root: Any) -> list[tuple[float, float]]:  # noqa: ANN401  # as above
    """Return the corners of the elevation's heavy outlines, hatching and dots left out."""
    elevation = root.find(f"{SVG}g[@id='elevation']")
    found = []
    for shape in elevation.iter(f"{SVG}polygon", f"{SVG}polyline"):
        if shape.get("class") in ("visible", "hidden", "open", "centre"):
            for pair in shape.get("points").split():
                x, y = map(float, pair.split(","))
                found.append((round(x, 2), round(y, 2)))
    assert len(found) > 40
    return sorted(found)


@settings(max_examples=25)
@given(
    st.integers(48 * 16, 72 * 16),
    st.integers(-4, 4),
    st.integers(22 * 16, 34 * 16),
    st.integers(0, 40),
)
def test_printed_chains_add_up_or_say_where_the_rest_went(
    wide: int, lean: int, split: int, lap: int
) -> None:
    source = ORDINARY.read_text(encoding="utf-8")
    head = wide / 16 - (1 + lean) / 16
    for was, now in (
        ("sill: 60,", f"sill: {wide / 16:.4f},"),
        ("middle: 59 15/16", f"middle: {(wide / 16 + head) / 2:.5f}"),
        ("head: 59 7/8", f"head: {head:.4f}"),
        ("right: {lean: 1/16", f"right: {{lean: {lean / 16 + 1 / 64:.6f}"),
        ("split: 30", f"split: {split / 16 + 1 / 48:.5f}"),
        ("overlap: 1 1/2", f"overlap: {lap / 16:.4f}"),
    ):
        assert source.count(was) == 1, was
        source = source.replace(was, now)
    verdict = judge(
        load_job_text(source, str(ORDINARY), shipped(), beside=ORDINARY.parent), shipped()
    )
    sizes, chains = Sizes(verdict), titled(verdict)
    said = " ".join(sums(sizes, rows_of(verdict)))
    whole = sizes.printed("front.plumb_width")
    for what in ("Panel shut", "Door shut", "Door open"):
        parts = chains[what]
        assert parts, what
        over = sum(sizes.printed(part.name) for part in parts) - whole
        assert (abs(over) > AIR) == (f"{what}: " in said)
        ends = [parts[0].start, *(part.end for part in parts)]
        assert ends[-1] - ends[0] == pytest.approx(sizes.get("front.plumb_width"), abs=1e-6)


def titled(verdict: Verdict) -> dict[str, Spans]:
    """Return the chains that make up something, by their titles."""
    chains = rows_of(verdict).chains
    return {chain.title: spans(Sizes(verdict), chain) for chain in chains if chain.title}


def test_the_ordinary_chains_sum_to_the_opening_as_printed() -> None:
    root = drawn(load_job(ORDINARY, shipped()))
    shown = texts(root)
    # 1/8 + 29 7/8 + 29 7/8 = 28 1/2 + 31 3/16 + 3/16 = 59 7/8
    for text in ("gap 1/8", "fixed glass 29 7/8", "29 7/8", "28 1/2", "door glass 31 3/16"):
        assert text in shown
    assert "opening, plumb line to plumb line 59 7/8" in shown
    assert not any("as rounded" in text for text in shown)


def test_a_chain_whose_rounding_leaves_a_rest_says_where_it_went() -> None:
    source = ORDINARY.read_text(encoding="utf-8").replace("split: 30\n", "split: 30 1/32\n")
    verdict = judge(
        load_job_text(source, str(ORDINARY), shipped(), beside=ORDINARY.parent), shipped()
    )
    sizes, chains = Sizes(verdict), titled(verdict)
    parts = [sizes.printed(part.name) for part in chains["Panel shut"]]
    told = list(sums(sizes, rows_of(verdict)))
    assert (abs(sum(parts) - sizes.printed("front.plumb_width")) > AIR) == any(
        line.startswith("Panel shut: ") for line in told
    )
    assert chains["Across the curb"]


def test_a_title_that_is_cut_short_keeps_the_shape_of_its_letters() -> None:
    said = review(load_job(ORDINARY, shipped()), shipped())
    job = load_job(ORDINARY, shipped())
    titled = replace(said, title="A slider of which there is far too much to say " * 9)
    root = etree.fromstring(draw(judge(job, shipped()), titled, paper="letter").encode("ascii"))
    cut = [one for one in root.iter(f"{SVG}text") if (one.text or "").endswith("\u2026")]
    assert cut
    assert not any(one.get("textLength") for one in cut)  # only letters of unknown width are forced


def test_the_open_door_is_dashed_and_letters_are_large_enough() -> None:
    root = drawn(load_job(ORDINARY, shipped()))
    dashed = [one for one in root.iter() if one.get("class") == "open"]
    assert dashed
    assert all(one.get("stroke-dasharray") for one in dashed)
    assert any(text.startswith("opens, travel ") for text in texts(root))
    # Capitals are 0.72 of the font size in common faces; 2.5 mm is the least.
    assert min(float(one.get("font-size")) for one in root.iter(f"{SVG}text")) * 0.72 >= 2.5
    inks = {one.get(name) for one in root.iter() for name in ("stroke", "fill")}
    assert inks <= {"black", "white", "none", None}


HOSTILE = (
    "</text></svg><script>alert(1)</script>",
    "\"'><image href='x' onload=alert(1)> & &amp; ]]> <!--",
    "\u05e9\u05dc\u05d5\u05dd \u202eevil\u2066 \u0645\u0631\u062d\u0628\u0627\u2069\x00\x1b[31m",
    "W" * 10_000,
    "long words " * 1_000,
    "\U0001f6bf e\u0301\u0301\u0301\u0301\u0301\u0301 \ud800",
    "",
)


@pytest.mark.parametrize("paper", sorted(PAGE_SIZES))
@pytest.mark.parametrize("title", HOSTILE, ids=range(len(HOSTILE)))
def test_no_title_does_harm(title: str, paper: str) -> None:
    job = load_job(ORDINARY, shipped())
    said = replace(review(job, shipped()), title=title, job=title or "1", codes=(title,))
    root = etree.fromstring(draw(judge(job, shipped()), said, paper=paper).encode("ascii"))
    known = {"svg", "g", "title", "desc", "text", "line", "path", "circle", "polygon", "polyline"}
    assert {etree.QName(one).localname for one in root.iter()} <= known
    assert not any(
        name.startswith("on") or "href" in name for one in root.iter() for name in one.attrib
    )
    boxes = [box_of(text) for text in root.iter(f"{SVG}text")]
    assert all(box[0] >= MARGIN and box[2] <= PAGE_SIZES[paper].width - MARGIN for box in boxes)
    assert not any(meet(one, other) for one, other in combinations(boxes, 2))
    told = "".join(root.itertext())
    assert not set(told) & set("\u202e\u2066\u2069\x1b\x00")


def without(job: Job, fits: Callable[[str], bool]) -> Job:
    return replace(job, values={k: v for k, v in job.values.items() if not fits(k)})


@pytest.mark.parametrize(
    ("start", "gone", "named"),
    [
        ("survey.front.width", "opening, plumb line", "survey.front.width.sill"),
        ("design.fixed.split", "fixed glass", "design.fixed.split"),
        ("design.door.overlap", "door glass 31", "design.door.overlap"),
        ("design.hand", "Fixed panel left,", "design.hand"),
    ],
)
def test_a_missing_fact_leaves_its_part_out_and_is_named(start: str, gone: str, named: str) -> None:
    whole = load_job(ORDINARY, shipped())
    assert any(text.startswith(gone) for text in texts(drawn(whole)))
    shown = texts(drawn(without(whole, lambda name: name.startswith(start))))
    assert not any(text.startswith(f"{gone} 2") or text == gone for text in shown)
    assert named in " ".join(shown)


def test_a_job_of_nothing_still_gives_a_page_that_says_so() -> None:
    job = without(load_job(ORDINARY, shipped()), lambda name: not name.startswith("kit."))
    shown = texts(drawn(job))
    assert any("Nothing is known yet" in text or "Not known" in text for text in shown)
    assert "No findings yet" in shown or "Findings" in shown


def test_there_are_two_papers() -> None:
    job = load_job(ORDINARY, shipped())
    with pytest.raises(ValueError, match=r"no paper a3; there are letter, a4"):
        draw(judge(job, shipped()), review(job, shipped()), paper="a3")


FACES = {
    False: ("LiberationSans-Regular.ttf", "Arial.ttf"),
    True: ("LiberationSans-Bold.ttf", "Arial Bold.ttf"),
}
"""Faces of one metrics, regular and bold; fontTools reads whichever the system has."""


def _font(names: tuple[str, ...]) -> Path | None:
    folders = ("/usr/share/fonts", "/Library/Fonts", "C:/Windows/Fonts")
    found = (one for folder in folders for name in names for one in Path(folder).rglob(name))
    return next(found, None)


@pytest.mark.parametrize("bold", FACES)
def test_letters_are_as_wide_as_a_font_s_own(bold: bool, ran: Callable[[], None]) -> None:
    path = _font(FACES[bold])
    if path is None:
        pytest.skip("The system has no font of the metrics of Arial.")
    font = pytest.importorskip("fontTools.ttLib").TTFont(path)
    glyphs, units = font.getBestCmap(), font["head"].unitsPerEm
    letters = [chr(code) for code in (*range(32, 127), *range(0xC0, 0x180))]
    for letter in letters:
        if ord(letter) in glyphs and is_measured(letter):
            ran()
            own = font["hmtx"][glyphs[ord(letter)]][0] / units
            assert width(letter, 1.0, bold=bold) == pytest.approx(own, abs=0.001), letter
    assert width("e\u0301", 1.0) == width("e", 1.0)


def test_a_picture_says_how_many_dots_an_inch_it_has() -> None:
    pytest.importorskip("cairosvg")
    job = load_job(FIXTURES / "jobs" / "holds-ordinary.yaml", shipped())
    made = png(draw(judge(job, shipped()), review(job, shipped())))
    at = made.index(b"pHYs") + 4
    dots = int.from_bytes(made[at : at + 4], "big")
    assert (dots, made[at + 8]) == (11811, 1)  # 300 an inch, in metres
    wide = int.from_bytes(made[16:20], "big")
    assert wide == pytest.approx(215.9 / 25.4 * 300, abs=1)


@pytest.mark.parametrize("path", JOBS, ids=lambda one: one.stem)
def test_scales_are_those_that_a_rule_has(path: Path) -> None:
    job = load_job(path, shipped())
    said = " ".join(texts(fixture(path, "letter")))
    units = job.style.units
    main = {int(one) for one in re.findall(r"outside 1:(\d+)", said)}
    details = {int(one) for one in re.findall(r"details 1:(\d+)", said)}
    assert main <= set(SCALES[units])
    assert details <= set(DETAIL_SCALES[units])


def test_the_key_says_what_is_wrong_and_what_the_marks_mean() -> None:
    said = " ".join(texts(fixture(FIXTURES / "jobs" / "fails-curb-falls.yaml", "letter")))
    assert "black: must change" in said
    assert "must lie below it" in said or "stands 1/16 in above" in said
    waived = " ".join(texts(fixture(FIXTURES / "jobs" / "waived-narrow-curb.yaml", "letter")))
    assert "struck: waived" in waived
    assert "Waived: The flat of" in waived


def test_a_stop_is_written_from_the_datum_of_the_setting_out() -> None:
    job = load_job(ORDINARY, shipped())
    said = texts(fixture(ORDINARY))
    rows = {r.item: r for t in setting_out(judge(job, shipped())).tables for r in t.rows}
    for stop, origin in (("Open stop", "off the bar's end"), ("Closed stop", "off the wall")):
        (row,) = (one for item, one in rows.items() if item.startswith(stop))
        (cell,) = (one for one in row.cells if one.value is not None)
        (label,) = (text for text in said if text.startswith(f"{stop.lower()}, {origin}"))
        assert label.endswith(cell.text.removesuffix(" in"))


@pytest.mark.parametrize(
    ("name", "drawn_", "left_out"),
    [
        ("unknown-split-not-chosen", ["middle of bar 74 1/2"], ["door glass", "fixed glass"]),
        ("unknown-leans-missing", ["fixed glass 77 13/16"], ["door glass", "middle of bar"]),
        ("unknown-hinged-readings", ["fixed glass 75 13/16"], ["door glass", "hinge 9"]),
        ("holds-ordinary", ["middle of bar 74 1/2", "door glass 77 5/8"], []),
    ],
)
def test_what_is_not_drawn_is_not_dimensioned(
    name: str, drawn_: list[str], left_out: list[str]
) -> None:
    said = texts(fixture(FIXTURES / "jobs" / f"{name}.yaml"))
    assert set(drawn_) <= set(said)
    assert [text for text in said if text.startswith(tuple(left_out))] == [] or not left_out
