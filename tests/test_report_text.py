"""Reviews as text: groups, numbers, marks, width, and what may reach a terminal."""

import re
from dataclasses import replace
from typing import Any

import pytest

from ruleset.book import Basis
from ruleset.explain import Amount
from ruleset.kinds import KINDS
from ruleset.place import Place
from ruleset.show import Style
from validator.cautions import CAUTIONS
from validator.finding import Asked, Assumed, Finding, Release, Review, Waiver
from validator.report.groups import numbers
from validator.report.layout import Look, cells, look_for
from validator.report.summary import NAMED, head_lines, row_line, row_of, tallied, tally_text
from validator.report.text import review_text

PLACE = Place(file="jobs/hall.yaml", line=31, column=10, pointer="/design/split")
PUBLISHED = Basis(document="A Code", edition="2021", clause="7.1", standing="published")


def finding(**changed: Any) -> Finding:  # noqa: ANN401  # any field may be changed
    made = Finding(
        clause="sliding.clear-opening",
        subject="door",
        outcome="fails",
        level="error",
        stage="design",
        title="The open door leaves room to walk in",
        says="The open door leaves 19 7/8 in; at least 22 in is needed, 2 1/8 in more.",
        do="Move the split to 24 1/2 in.",
        why="A narrower way in traps a person who falls.",
        place=PLACE,
        actual=Amount(value=504.825, kind=KINDS["length"], text="19 7/8 in"),
        limit=Amount(value=558.8, kind=KINDS["length"], text="22 in"),
        margin=Amount(value=-53.975, kind=KINDS["length"], text="-2 1/8 in"),
        working=("Way in past the open door: 59 7/8 - 40 = 19 7/8 in",),
        basis=PUBLISHED,
        missing=(),
    )
    return replace(made, **changed)


def review(*findings: Finding, **changed: Any) -> Review:  # noqa: ANN401  # the same
    made = Review(
        job="24-117",
        title="Hall bath",
        file="jobs/hall.yaml",
        kit="ostrel-inch",
        codes=("irc-2021",),
        style=Style(),
        release=Release(stage="order", ready=False, because=("sliding.clear-opening",)),
        counts={"fails": 1, "tight": 0, "unknown": 2, "holds": 61, "exempt": 9},
        findings=findings,
        asked=(),
        assumed=(),
        cautions=CAUTIONS,
    )
    return replace(made, **changed)


def flat(text: str) -> str:
    """Return a text without its line breaks and hanging blanks."""
    return " ".join(text.split())


ASKED = (
    Asked(
        fact="survey.route",
        means="Longest pane that can be carried in",
        who="surveyor",
        stage="survey",
        place=PLACE,
        clauses=("handling.route", "handling.stand-up"),
    ),
    Asked(
        fact="kit.floor_gap",
        means="From the datum to the door's glass",
        who="the hardware maker's sheet",
        stage="design",
        place=PLACE,
        clauses=("sliding.sweep",),
    ),
)
WARNING = finding(clause="sliding.usual", level="warning", says="The lap is unusual.")
NOTE = finding(clause="sliding.comfort", level="note", says="23 in is comfortable.")
TIGHT = finding(clause="bar.sag", outcome="tight", level="warning", says="The bar nearly sags.")
WAIVED = finding(
    clause="glass.rim",
    outcome="exempt",
    says="The hole is near the edge.",
    waived=Waiver(
        clause="glass.rim",
        subject="",
        why="the furnace agreed",
        by="the office",
        until="2030-01-31",
        place=Place(file="jobs/hall.yaml", line=80, column=5),
    ),
)


def test_a_finding_tells_everything_it_knows() -> None:
    said = flat(review_text(review(finding(caution="Glass cuts.")), Look()))
    for part in (
        "1. The open door leaves 19 7/8 in; at least 22 in is needed, 2 1/8 in more.",
        "To do Move the split to 24 1/2 in.",
        "Danger Glass cuts.",
        "Why A narrower way in",
        "Sums Way in past the open door: 59 7/8 - 40 = 19 7/8 in",
        "Where jobs/hall.yaml:31:10",
        "Clause sliding.clear-opening, for door",
        "Basis A Code 2021, 7.1 (published text)",
    ):
        assert part in said


def test_the_head_names_job_file_kit_and_code_sets() -> None:
    said = flat(review_text(review(), Look()))
    for part in ("Job 24-117: Hall bath", "File jobs/hall.yaml", "Kit ostrel-inch", "irc-2021"):
        assert part in said


def test_groups_stand_in_the_order_of_work_and_numbers_run_on() -> None:
    job = review(NOTE, WAIVED, TIGHT, WARNING, finding())
    text = review_text(job, Look())
    heads = [text.index(f"{title} (") for title in ("Must change", "To look at", "Notes")]
    assert heads == sorted(heads)
    assert re.findall(r"^ +(\d+)\. ", text, re.MULTILINE) == ["1", "2", "3", "4", "5"]
    order = [one.finding.clause for one in numbers(job)]
    assert order == [
        "sliding.clear-opening",
        "glass.rim",
        "bar.sag",
        "sliding.usual",
        "sliding.comfort",
    ]
    assert [one.number for one in numbers(job)] == [1, 2, 3, 4, 5]


def test_a_waived_finding_shows_who_and_until_when() -> None:
    said = flat(review_text(review(WAIVED), Look()))
    assert "1. Waived: The hole is near the edge." in said
    assert "by the office, until 2030-01-31: the furnace agreed (jobs/hall.yaml:80:5)" in said
    assert "Must change" not in said


def test_a_tight_finding_says_what_tight_means() -> None:
    said = flat(review_text(review(TIGHT), Look()))
    assert "Tight (holds as drawn, not over its tolerances): The bar nearly sags." in said


@pytest.mark.parametrize(
    ("standing", "marked"),
    [
        ("memory", "[from memory: check it]"),
        ("common practice", "[common practice, no source: check it]"),
        ("corroborated", "(as others quote it)"),
        ("kit", "(from the hardware maker's sheet)"),
    ],
)
def test_unsure_words_are_marked_where_they_are_used(standing: str, marked: str) -> None:
    basis = replace(PUBLISHED, standing=standing)
    assert marked in flat(review_text(review(finding(basis=basis)), Look()))


def test_facts_to_measure_are_told_once_by_who_supplies_them() -> None:
    waits = finding(outcome="unknown", missing=("survey.route",), says="Not known yet.")
    text = review_text(review(waits, asked=ASKED[::-1]), Look())
    said = flat(text)
    assert "Not known yet." not in said
    assert (
        "From the surveyor: - survey.route: Longest pane that can be carried in; 2 clauses" in said
    )
    assert "From the hardware maker's sheet: - kit.floor_gap:" in said
    assert said.count("survey.route") == 1
    assert said.index("From the surveyor") < said.index("From the hardware")
    assert "1 clause waits" in said


def test_an_undecided_clause_is_listed_where_none_of_its_facts_is_asked_for() -> None:
    waits = finding(outcome="unknown", missing=("as_built.gap",), says="Not known yet: the gap.")
    assert "Not decided: Not known yet: the gap." in flat(review_text(review(waits), Look()))


def test_an_undefined_clause_is_listed() -> None:
    undefined = finding(outcome="unknown", says="Undefined: the gap.")
    assert "1. Undefined: the gap." in flat(review_text(review(undefined), Look()))


def test_values_taken_are_told() -> None:
    taken = Assumed(fact="survey.steam", means="The stall has a steam generator", text="no")
    said = flat(review_text(review(assumed=(taken,)), Look()))
    assert "- survey.steam = no: The stall has a steam generator" in said


@pytest.mark.parametrize(
    ("stage", "asked"),
    [
        ("survey", "Survey complete"),
        ("design", "Design settled"),
        ("order", "Ready to order"),
        ("fabricate", "Ready to fabricate"),
        ("install", "Ready to install"),
        ("handover", "Ready to hand over"),
    ],
)
def test_every_stage_is_asked_in_words(stage: str, asked: str) -> None:
    ready = review(release=Release(stage=stage, ready=True, because=()))
    assert f"{asked}: YES. No error of that stage or" in flat(review_text(ready, Look()))


def test_the_verdict_says_what_fails_and_what_waits() -> None:
    release = Release(
        stage="order", ready=False, because=("sliding.clear-opening", "handling.route")
    )
    said = flat(review_text(review(finding(), release=release, asked=ASKED), Look()))
    assert (
        "Ready to order: NO, because 1 clause fails (sliding.clear-opening) and 1 clause cannot "
        "be decided until 1 fact is known."
    ) in said
    assert "survey.route: Longest pane that can be carried in; 2 clauses wait" in said
    assert "glass; 1 clause waits, the release does not" in said


def test_advice_that_is_not_told_any_more_is_counted() -> None:
    said = flat(review_text(review(past=1), Look()))
    assert "1 warning or note on survey, design and order is not told" in said
    assert "not told" not in flat(review_text(review(), Look()))


def test_the_verdict_names_three_failing_clauses_and_counts_the_rest() -> None:
    names = tuple(f"book.clause-{at}" for at in range(5))
    job = review(
        *(finding(clause=name) for name in names),
        release=Release(stage="order", ready=False, because=names),
    )
    said = flat(review_text(job, Look()))
    assert "5 clauses fail (book.clause-0, book.clause-1, book.clause-2 and 2 more)." in said


def test_counts_are_told() -> None:
    said = flat(review_text(review(finding()), Look()))
    assert "1 error, 0 warnings. Of 73 checks" in said
    assert "61 hold, 1 fails, 2 unknown, 9 exempt." in said


def test_every_report_ends_with_the_cautions() -> None:
    text = flat(review_text(review(), Look()))
    assert text.endswith(CAUTIONS[-1])
    for word in ("Glass can maim", "authority having jurisdiction", "maker's sheet", "licensed"):
        assert word in text


def test_all_adds_what_holds_without_changing_numbers() -> None:
    holds = finding(clause="a.holds", outcome="holds")
    exempt = finding(clause="a.exempt", outcome="exempt")
    job = review(exempt, holds, finding())
    short, full = review_text(job, Look()), review_text(job, Look(), every=True)
    assert "a.holds" not in short
    assert "  1. The open door leaves" in short
    assert "  1. The open door leaves" in full
    assert "2. The open door leaves room to walk in: 19 7/8 in against 22 in (a.holds" in flat(full)
    assert "Does not apply (1)" in full


def test_a_step_is_worked_out_once() -> None:
    shared = ("one: 1 + 1 = 2", "two: 2 + 2 = 4")
    job = review(finding(working=shared), finding(clause="b.c", working=("zero: 0", *shared)))
    said = flat(review_text(job, Look()))
    assert said.count("two: 2 + 2 = 4") == 1
    assert "Sums zero: 0 (further steps stand under 1)" in said


@pytest.mark.parametrize("width", [40, 60, 80, 100])
def test_no_line_is_wider_than_asked(width: int) -> None:
    job = review(finding(), WARNING, NOTE, TIGHT, WAIVED, asked=ASKED)
    text = review_text(job, Look(width=width))
    assert max(map(cells, text.splitlines())) <= width


def test_only_a_word_that_cannot_be_broken_is_wider() -> None:
    path = "/".join(["folder"] * 20)
    text = review_text(review(finding(place=Place(file=path, line=1, column=1))), Look())
    wide = [line for line in text.splitlines() if cells(line) > 80]
    assert wide == [f"     Where    {path}:1:1"]


def test_numbers_stay_with_their_fraction_and_unit() -> None:
    says = "x " * 33 + "19 7/8 in and 22 mm " * 6
    for width in range(40, 101):
        text = review_text(review(finding(says=says)), Look(width=width))
        assert not re.search(r"\d\n *(\d+/\d|in\b|mm\b)", text)


def test_wide_characters_count_twice() -> None:
    text = review_text(review(title="\u73bb\u7483 " * 40), Look(width=60))
    assert max(map(cells, text.splitlines())) <= 60


HOSTILE = "bath\x1b[31m\x07\u202egpj\u2066 \x9b2J\r\nRoom \udc80 \u00bd"


@pytest.mark.parametrize("look", [Look(), Look(ascii_only=True)])
def test_nothing_from_a_file_steers_the_terminal(look: Look) -> None:
    evil = PLACE._replace(file=f"jobs/{HOSTILE}")
    job = review(
        finding(says=HOSTILE, do=HOSTILE, why=HOSTILE, working=(HOSTILE,), place=evil),
        title=HOSTILE,
        job=HOSTILE,
        file=HOSTILE,
        kit=HOSTILE,
        codes=(HOSTILE,),
        asked=(replace(ASKED[0], means=HOSTILE, who=HOSTILE, fact=HOSTILE),),
        assumed=(Assumed(fact=HOSTILE, means=HOSTILE, text=HOSTILE),),
    )
    row = row_of(HOSTILE, job)
    text = review_text(job, look) + row_line(row, look) + tally_text(tallied([row]), look)
    assert all(one.isprintable() or one == "\n" for one in text)
    assert "\\x1b[31m" in text
    assert "\\u202e" in text
    text.encode()
    assert text.isascii() == look.ascii_only


def test_colour_changes_nothing_but_colour() -> None:
    job = review(finding(), WARNING, NOTE, TIGHT, WAIVED, asked=ASKED)
    coloured = review_text(job, Look(colour=True))
    assert "\x1b[" in coloured
    assert re.sub(r"\x1b\[[0-9;]*m", "", coloured) == review_text(job, Look())


@pytest.mark.parametrize(
    ("environ", "terminal", "coloured"),
    [
        ({}, True, True),
        ({}, False, False),
        ({"NO_COLOR": "1"}, True, False),
        ({"NO_COLOR": ""}, True, True),
        ({"FORCE_COLOR": "1"}, False, True),
        ({"FORCE_COLOR": "0"}, False, False),
        ({"FORCE_COLOR": "1", "NO_COLOR": "1"}, True, False),
        ({"TERM": "dumb"}, True, False),
    ],
)
def test_when_there_is_colour(environ: dict[str, str], terminal: bool, coloured: bool) -> None:
    assert look_for(environ, terminal=terminal).colour == coloured


@pytest.mark.parametrize(
    ("columns", "terminal", "width"),
    [
        ("", 0, 80),
        ("", 120, 100),
        ("", 64, 64),
        ("90", 64, 90),
        ("300", 0, 100),
        ("5", 0, 40),
        ("wide", 0, 80),
        ("0", 0, 80),
    ],
)
def test_how_wide_it_is(columns: str, terminal: int, width: int) -> None:
    look = look_for({"COLUMNS": columns}, terminal=bool(terminal), columns=terminal)
    assert look.width == width


@pytest.mark.parametrize(
    ("encoding", "ascii_only"),
    [("utf-8", False), ("UTF8", False), (None, False), ("cp1252", True), ("ascii", True)],
)
def test_other_encodings_get_ascii(encoding: str | None, ascii_only: bool) -> None:
    assert look_for({}, terminal=False, encoding=encoding).ascii_only == ascii_only


def test_several_jobs_have_a_line_each_within_the_width() -> None:
    ready = review(job="24-118", release=Release(stage="order", ready=True, because=()))
    rows = [
        row_of("jobs/" + "deep/" * 20 + "hall.yaml", review(finding(), WARNING)),
        row_of("jobs/attic.yaml", ready),
        row_of("jobs/broken.yaml", None),
    ]
    lines = [*head_lines("order", Look()), *(row_line(row, Look()) for row in rows)]
    assert max(map(len, lines)) <= 80
    assert [line.split() for line in lines] == [
        ["Ready", "to", "order?"],
        ["Job", "File", "Ready", "Errors", "Warnings", "To", "measure"],
        ["24-117", lines[2].split()[1], "no", "1", "1", "0"],
        ["24-118", "jobs/attic.yaml", "yes", "0", "0", "0"],
        ["-", "jobs/broken.yaml", "broken", "-", "-", "-"],
    ]
    assert lines[2].split()[1].startswith("...")
    assert lines[2].split()[1].endswith("hall.yaml")
    text = tally_text(tallied(rows), Look())
    assert "3 files: 1 ready, 1 not ready, 1 could not be used" in flat(text)


def test_what_fails_in_several_jobs_is_told_by_clause_errors_first() -> None:
    faulty = review(finding(title="What is asked " * 9), finding(subject="other"), WARNING)
    rows = [row_of(f"jobs/{at:03}.yaml", faulty) for at in range(1200)]
    rows += [row_of("jobs/last.yaml", review(WARNING))] * 2
    lines = tally_text(tallied(rows), Look()).splitlines()
    assert max(map(len, lines)) <= 80
    assert lines[1] == "What fails as an error (1 clause)"
    assert re.fullmatch(rf"1,200  .* \[{finding().clause}\]", lines[4])
    assert lines[5] == "       jobs/000.yaml, jobs/001.yaml, jobs/002.yaml and 1,197 more"
    assert lines[7] == "What fails as a warning (1 clause)"
    assert lines[10].startswith("1,202  ")
    assert len(tallied(rows).clauses()[0].files) == NAMED
