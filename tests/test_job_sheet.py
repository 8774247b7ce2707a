"""The job sheet: sound HTML of its own, every number and name where it belongs."""

from __future__ import annotations

import datetime as dt
import re
from collections import Counter
from dataclasses import dataclass, field, replace
from functools import cache
from html.parser import HTMLParser
from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from validator import Review, Rules, Verdict, judge, load_job, load_rules, review
from validator.job_sheet import sheet_html
from validator.job_sheet.look import SMALLEST
from validator.job_sheet.markup import Markup, css_string, el, job_text
from validator.remedy import remedies, with_remedies
from validator.report.groups import numbers
from validator.settingout import setting_out
from validator.walk import sections

if TYPE_CHECKING:
    from collections.abc import Iterator

JOBS = Path(__file__).parents[1] / "fixtures" / "jobs"
NAMES = (
    "holds-ordinary",
    "fails-several-faults",
    "unknown-half-surveyed",
    "waived-narrow-curb",
    "holds-millimetres",
)
DAY = dt.date(2026, 2, 3)
VOID = ("br", "meta", "col")
HOSTILE = (
    "</title></style><script>alert(1)</script>",
    "\"><img src=x onerror=alert(1)> ' & &amp; &#x27; {} } */",
    "\u05e9\u05dc\u05d5\u05dd \u202eevil\u2066 \u0645\u0631\u062d\u0628\u0627\u2069",
    "]]> <!-- <? x ?> \x00\x07\ud800 \\22 \\ \n\n line",
    "ten thousand " * 770,
    "W" * 10_000,
)


@dataclass
class Tag:
    """One element, with what stands in it."""

    name: str
    attributes: dict[str, str]
    parent: Tag | None = None
    inside: list[Tag | str] = field(default_factory=list)

    def all(self, *names: str) -> Iterator[Tag]:
        """Yield the elements in it, those of some names only where any are given."""
        for one in self.inside:
            if isinstance(one, Tag):
                if one.name in names or not names:
                    yield one
                yield from one.all(*names)

    @property
    def text(self) -> str:
        """Return what it says."""
        parts = (one if isinstance(one, str) else one.text for one in self.inside)
        return " ".join(" ".join(parts).split())


class Tree(HTMLParser):
    """The tree of a page; every element must be closed in turn."""

    def __init__(self, html: str) -> None:
        """Read a page."""
        super().__init__()
        self.root = self.here = Tag("", {})
        self.feed(html)
        self.close()
        assert self.here is self.root, f"<{self.here.name}> is not closed"

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        made = Tag(tag, {key: value or "" for key, value in attrs}, self.here)
        assert len(made.attributes) == len(attrs), f"<{tag}> has an attribute twice"
        self.here.inside.append(made)
        if tag not in VOID:
            self.here = made

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.here.inside.append(Tag(tag, {key: value or "" for key, value in attrs}, self.here))

    def handle_endtag(self, tag: str) -> None:
        assert tag == self.here.name
        assert self.here.parent is not None
        self.here = self.here.parent

    def handle_data(self, data: str) -> None:
        self.here.inside.append(data)


@cache
def rules_once() -> Rules:
    return load_rules(installed=False)


@cache
def reviewed(name: str) -> tuple[Verdict, Review]:
    job = load_job(JOBS / f"{name}.yaml", rules_once())
    return judge(job, rules_once()), review(job, rules_once(), today=DAY)


@cache
def printed(name: str, paper: str = "letter") -> str:
    return sheet_html(*reviewed(name), paper=paper)


@cache
def tree(name: str) -> Tag:
    return Tree(printed(name)).root


def section(name: str, start: str) -> Tag:
    for one in tree(name).all("section"):
        heads = list(one.all("h2"))
        if heads and heads[0].text.startswith(start):
            return one
    raise AssertionError(start)


@pytest.mark.parametrize("name", NAMES)
def test_nothing_runs_and_nothing_is_asked_for(name: str) -> None:
    page, html = tree(name), printed(name)
    assert not list(page.all("script", "link", "img", "iframe", "object", "base", "form"))
    for one in page.all():
        kept = {key for key in one.attributes if key.startswith("on") or key in ("src", "href")}
        assert not kept
    assert "url(" not in html
    assert "@import" not in html
    policy = [m for m in page.all("meta") if m.attributes.get("http-equiv")]
    assert policy[0].attributes["content"].startswith("default-src 'none'")


@pytest.mark.parametrize("name", NAMES)
def test_the_page_can_be_read_without_seeing_it(name: str) -> None:
    page = tree(name)
    assert next(page.all("html")).attributes["lang"] == "en"
    assert next(page.all("title")).text
    levels = [int(one.name[1]) for one in page.all("h1", "h2", "h3", "h4")]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(later - earlier <= 1 for earlier, later in pairwise(levels))
    for table in page.all("table"):
        first = table.inside[0]
        assert isinstance(first, Tag)
        assert first.name == "caption"
        assert first.text
        assert len(list(table.all("thead"))) == 1
        assert all(
            th.attributes.get("scope") in ("row", "col") and th.text for th in table.all("th")
        )
        widths = {len(list(row.all("th", "td"))) for row in table.all("tr")}
        assert len(widths) == 1, "rows of one table have as many cells"
    ids = Counter(one.attributes["id"] for one in page.all() if "id" in one.attributes)
    assert all(many == 1 for many in ids.values())
    for svg in page.all("svg"):
        assert svg.attributes["role"] == "img"
        named = svg.attributes.get("aria-label") or svg.attributes["aria-labelledby"]
        assert named == "drawing-title drawing-desc" or re.match(r"(Finding|Step) \d+", named)


@pytest.mark.parametrize("name", NAMES)
def test_findings_have_the_numbers_of_text_and_drawing(name: str) -> None:
    expected = numbers(reviewed(name)[1])
    items = [one for one in section(name, "Findings").all("li") if any(one.all("svg"))]
    found = [next(item.all("svg")).attributes["aria-label"] for item in items]
    assert found == [f"Finding {one.number}" for one in expected]
    for one, item in zip(expected, items, strict=True):
        said = item.text.replace("\xa0", " ")
        for text in (one.finding.says, one.finding.do, one.finding.clause, one.finding.caution):
            assert " ".join(text.split()) in said


def test_a_weak_word_is_marked() -> None:
    weak = list(section("fails-several-faults", "Findings").all("strong"))
    assert weak
    assert all("check it" in one.text for one in weak)


@pytest.mark.parametrize("name", NAMES)
def test_each_fact_asked_for_has_a_box_and_its_number_is_used(name: str) -> None:
    asked = reviewed(name)[1].asked
    rows: dict[str, str] = {}
    for row in section(name, "Still to be").all("tr"):
        cells = list(row.all("td"))
        if cells:
            assert cells[-1].text == "", "the reading is left to be written"
            rows[cells[0].text.rpartition(" ")[2]] = next(row.all("th")).text
    assert {one.fact for one in asked} <= set(rows)
    assert list(rows.values()) == [f"M{at}" for at in range(1, len(rows) + 1)]
    used = re.findall(r"\[((?:M\d+(?:, )?)+)\]", tree(name).text)
    assert {mark for one in used for mark in one.split(", ")} <= set(rows.values())
    assert bool(used) == ("not known" in section(name, "Take-off").text)


def test_what_is_missing_is_said_in_its_row() -> None:
    glass = next(
        table
        for table in section("unknown-half-surveyed", "Take-off").all("table")
        if next(table.all("caption")).text == "Glass"
    )
    widths = next(row for row in glass.all("tr") if row.text.startswith("Finished width"))
    assert all(re.fullmatch(r"not known \[M.*\]", cell.text) for cell in widths.all("td"))


@pytest.mark.parametrize("name", ["holds-ordinary", "unknown-half-surveyed"])
def test_hold_points_are_all_there_with_a_box(name: str) -> None:
    holds = setting_out(reviewed(name)[0]).hold_points
    part = section(name, "Hold points")
    rows = [row for row in part.all("tr") if any(row.all("td"))]
    assert len(rows) == len(holds) > 10
    for hold, row in zip(holds, rows, strict=True):
        _, shows, reading, signs = row.all("td")
        said = shows.text.replace("\xa0", " ").lower()
        assert said.startswith(hold.shows.lower())
        assert re.fullmatch(r"(\([a-z]\) ?)*", reading.text)
        assert signs.text.lower() == hold.signs.lower()


def test_each_step_has_a_box_to_tick_and_its_hold_points() -> None:
    steps = setting_out(reviewed("holds-ordinary")[0]).steps
    rows = list(section("holds-ordinary", "Order of work").all("li"))
    assert len(rows) == len(steps) > 10
    for step, row in zip(steps, rows, strict=True):
        assert next(row.all("svg")).attributes["aria-label"] == f"Step {step.number} done"
        assert len(re.findall(r"\bH\d+", row.text)) == len(step.holds)


def test_the_release_is_said_in_words_on_every_page() -> None:
    for name, answer in (("holds-ordinary", "YES"), ("fails-several-faults", "NO")):
        said = f"Ready to order: {answer}"
        assert section(name, said).text.startswith(said)
        assert f"content: {css_string(said)}" in printed(name)
    assert "12 clauses fail: findings 1 to 12." in section("fails-several-faults", "Ready").text


def test_a_broken_book_is_said_first() -> None:
    verdict, found = reviewed("holds-ordinary")
    html = sheet_html(verdict, replace(found, broken=("A plugin failed.",)))
    page = Tree(html).root
    assert "Not to be relied on: A plugin failed." in next(page.all("header")).text


def _skeleton(page: Tag) -> list[str]:
    return [one.name for one in page.all() if not _in_drawing(one)]


def _in_drawing(one: Tag) -> bool:
    above: Tag | None = one
    while above is not None:
        if above.attributes.get("class") == "drawing":
            return True
        above = above.parent
    return False


@pytest.mark.parametrize("title", HOSTILE)
def test_a_title_harms_nothing(title: str) -> None:
    verdict, found = reviewed("waived-narrow-curb")
    waived = tuple(
        replace(one, waived=one.waived and replace(one.waived, why=title, by=title))
        for one in found.findings
    )
    changed = replace(found, title=title, job=title, file=title, findings=waived)
    html = sheet_html(verdict, changed)
    page = Tree(html).root
    assert _skeleton(page) == _skeleton(tree("waived-narrow-curb"))
    html.encode("utf-8")
    assert not re.search("[\x00-\x08\u202a-\u202e\u2066-\u2069\ud800-\udfff]", html)
    style = next(page.all("style")).text
    plain = re.sub(r'"[^"]*"', "", style)
    assert plain.count("{") == plain.count("}")
    assert plain == re.sub(r'"[^"]*"', "", next(tree("waived-narrow-curb").all("style")).text)
    assert len(html) < len(printed("waived-narrow-curb")) + 20_000
    for one in page.all("bdi"):
        assert len(one.text) <= 400


def test_no_letter_is_too_small() -> None:
    style = next(tree("fails-several-faults").all("style")).text
    sizes = [float(size) for size in re.findall(r"(?:font-size|font): ([\d.]+)pt", style)]
    assert len(sizes) > 5
    assert min(sizes) >= SMALLEST == 9.0
    drawing = next(one for one in tree("fails-several-faults").all("svg"))
    letters = [float(one.attributes["font-size"]) for one in drawing.all("text")]
    assert min(letters) * 72 / 25.4 >= SMALLEST


def test_only_black_and_white_are_used() -> None:
    html = printed("fails-several-faults")
    assert set(re.findall(r"(?<!&)#[0-9a-f]{3,6}\b", html)) == {"#000", "#fff"}
    assert set(re.findall(r'(?:fill|stroke)="([a-z]+)"', html)) <= {"black", "white", "none"}


def test_the_paper_is_asked_for() -> None:
    assert "size: 215.9mm 279.4mm" in printed("holds-ordinary")
    assert "size: 210.0mm 297.0mm" in printed("holds-ordinary", "a4")
    with pytest.raises(ValueError, match="There is no paper a0"):
        sheet_html(*reviewed("holds-ordinary"), paper="a0")


def test_the_same_job_prints_the_same_sheet() -> None:
    verdict, found = reviewed("holds-millimetres")
    assert sheet_html(verdict, found) == printed("holds-millimetres")
    assert "3 February 2026" in printed("holds-millimetres")


def test_whatever_is_no_markup_is_escaped() -> None:
    assert (
        el("p", "<i>", el("b", "&"), title='"').html
        == '<p title="&quot;">&lt;i&gt;<b>&amp;</b></p>'
    )
    assert el("p", Markup("<hr>")).html == "<p><hr></p>"
    assert job_text("a\u202eb").html == "<bdi>ab</bdi>"


def pages(name: str, reader: str) -> str:
    return sheet_html(*reviewed(name), reader=reader, digest="0badcafe")


def test_the_client_s_page_has_no_findings_and_what_is_signed_for() -> None:
    html = pages("fails-several-faults", "client")
    assert "Must change" not in html
    assert "Finding" not in html
    said = ("brushed nickel", "Way in past the open door", "Signature", "revision", "low-iron")
    for one in said:
        assert one in html
    assert "not given yet" in pages("holds-at-the-limit", "client")


def test_the_glass_pages_have_each_pane_and_nothing_of_the_site() -> None:
    html = pages("fails-several-faults", "glass")
    assert html.count("<svg") == 2
    assert "Ready to order: NO; 12 errors, 0 to measure." in html
    assert "Holes: to the centre" in html
    assert "Hold points" not in html
    assert "Danger" not in html


def test_the_site_pages_have_room_for_each_reading() -> None:
    html = pages("holds-ordinary", "site")
    verdict = reviewed("holds-ordinary")[0]
    for hold in setting_out(verdict).hold_points:
        assert el("b", hold.title).html in html
    assert "Take-off" not in html
    assert "Order of work" in html


def test_a_cure_stands_on_the_sheet_where_one_was_looked_for(rules: Rules) -> None:
    job = load_job(JOBS / "fails-too-little-lap.yaml", rules)
    verdict, found = judge(job, rules), review(job, rules, today=DAY)
    assert "<dt>Cure</dt>" not in sheet_html(verdict, found)
    cured = with_remedies(found, remedies(job, rules, reviewed=found), job)
    assert "<dt>Cure</dt>" in sheet_html(verdict, cured)


@pytest.mark.parametrize(("name", "says"), [("reader", "clerk"), ("paper", "a5")])
def test_another_reader_or_paper_is_refused(name: str, says: str) -> None:
    verdict, found = reviewed("holds-ordinary")
    asked = {"reader": "office", "paper": "letter", name: says}
    with pytest.raises(ValueError, match=f"There is no {name} {says}"):
        sheet_html(verdict, found, reader=asked["reader"], paper=asked["paper"])


def test_the_survey_has_a_box_for_each_reading_that_is_not_given() -> None:
    library = reviewed("holds-ordinary")[0].library
    asked = [fact for one in sections(library) if one.source == "survey" for fact in one.facts]
    for name in ("holds-ordinary", "unknown-half-surveyed"):
        verdict = reviewed(name)[0]
        given = {*verdict.job.values, *verdict.job.texts}
        html = sheet_html(*reviewed(name), reader="survey")
        open_ = [fact for fact in asked if fact.name not in given]
        assert html.count('class="blank"') == len(open_)
        for fact in open_:
            assert f"({fact.path}: " in html
    assert len([f for f in asked if f.name not in reviewed("holds-ordinary")[0].job.values]) < 12
