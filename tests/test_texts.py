"""Facts that are text: on the papers as they were written, and read by no rule."""

import csv
import io
import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from ruleset.errors import RulesetError
from ruleset.library import Library
from validator import Rules, judge, load_job, load_job_text, review, style_in
from validator.facts import MOST_TEXT
from validator.job_sheet import sheet_html
from validator.report import takeoff_csv, takeoff_data, takeoff_text
from validator.take_off import takeoff

JOBS = Path(__file__).resolve().parent.parent / "fixtures" / "jobs"
ORDINARY = JOBS / "holds-ordinary.yaml"
BOOK = """
book: words
title: Words
about: A book of the tests' own.
facts:
  survey.who: {means: Who, kind: text}
  survey.yes: {means: Yes, kind: yes/no}
sorts: {yard: {}}
parts: {yard: {sorts: [yard], means: the yard}}
clauses:
  one:
    title: One
    for: yard
    needs: NEEDS
    level: error
    stage: survey
    why: It must be.
    says: "It is not."
    levers: [survey.yes]
    basis: {standing: shop policy, note: no source}
    proofs: {}
"""


def text_of(job: str, rules: Rules) -> str:
    verdict = judge(load_job_text(job, "job", rules, beside=JOBS), rules)
    return takeoff_text.write(takeoff(verdict))


def test_a_text_stands_on_the_papers_as_it_was_written(rules: Rules) -> None:
    job = load_job(ORDINARY, rules)
    verdict, found = judge(job, rules), review(job, rules)
    taken = takeoff(verdict, review=found)
    said = takeoff_text.write(taken)
    assert "Finish of the hardware  brushed nickel" in said
    assert said.count("low-iron") == 2
    assert said.splitlines()[1] == "Ready to order: yes."
    assert takeoff_data.takeoff_data(taken, "0")["release"] == {
        "ready": True,
        "errors": 0,
        "asked": 0,
    }
    rows = list(csv.reader(io.StringIO(takeoff_csv.write(taken))))
    assert rows[1][1:3] == ["Release", "Ready to order"]
    assert rows[1][7] == "Ready to order: yes."
    assert "brushed nickel" in sheet_html(verdict, found)


def test_a_text_that_is_not_given_says_so_and_holds_nothing_up(rules: Rules) -> None:
    job = ORDINARY.read_text(encoding="utf-8")
    assert "brushed nickel" in job
    for other in ("  finish:\n", "  finish: ?\n", ""):
        said = text_of(job.replace("  finish: brushed nickel\n", other), rules)
        assert "Finish of the hardware  not given" in said


@pytest.mark.parametrize(
    ("written", "says"),
    [
        ("x" * (MOST_TEXT + 1), f"may have {MOST_TEXT}"),
        ("{a: b}", "design.finish is one value; here is a table"),
        ("[a, b]", "design.finish is one value; here is a list"),
    ],
)
def test_what_is_no_text_is_refused(rules: Rules, written: str, says: str) -> None:
    job = ORDINARY.read_text(encoding="utf-8").replace("brushed nickel", written)
    with pytest.raises(RulesetError, match=says):
        load_job_text(job, "job", rules, beside=JOBS)


def test_what_would_steer_a_page_or_a_spreadsheet_does_not(rules: Rules) -> None:
    evil = "=1+1 <script>alert(1)</script> \u202e"
    job = ORDINARY.read_text(encoding="utf-8").replace("brushed nickel", json.dumps(evil))
    loaded = load_job_text(job, "job", rules, beside=JOBS)
    verdict, found = judge(loaded, rules), review(loaded, rules)
    assert "<script" not in sheet_html(verdict, found)
    rows = list(csv.reader(io.StringIO(takeoff_csv.write(takeoff(verdict)))))
    assert any(cell.startswith("'=1+1") for row in rows for cell in row)
    assert "\u202e" not in takeoff_text.write(takeoff(verdict))


@pytest.mark.parametrize("needs", ["survey.who == 'me'", "survey.who", "survey.who > survey.who"])
def test_no_formula_reads_a_text(library_of: Callable[..., Library], needs: str) -> None:
    with pytest.raises(RulesetError, match=r"survey.who is text that stands on papers; no formula"):
        library_of(BOOK.replace("NEEDS", needs))


@pytest.mark.parametrize(
    "more", ["absent: me", "range: [0 in, 1 in]", "words: [me]", "usual: [0 in, 1 in]"]
)
def test_a_text_has_no_default_no_range_and_no_words(
    library_of: Callable[..., Library], more: str
) -> None:
    with pytest.raises(RulesetError):
        library_of(BOOK.replace("NEEDS", "survey.yes").replace("kind: text", f"kind: text, {more}"))


def test_a_text_is_of_facts_alone(library_of: Callable[..., Library]) -> None:
    more = "workings: {a: {means: A, for: yard, kind: text, is: survey.yes, proofs: {}}}\n"
    with pytest.raises(RulesetError):
        library_of(BOOK.replace("NEEDS", "survey.yes") + more)


@pytest.mark.parametrize(("units", "other"), [("in", "mm"), ("mm", "in")])
def test_a_take_off_is_of_one_system_and_of_another_where_that_is_asked(
    rules: Rules, units: str, other: str, ran: Callable[[], None]
) -> None:
    name = "holds-ordinary" if units == "in" else "holds-millimetres"
    verdict = judge(load_job(JOBS / f"{name}.yaml", rules), rules)
    turned = replace(verdict, job=replace(verdict.job, style=style_in(other)))
    own = {"in": {"in", "sq ft", "lb"}, "mm": {"mm", "m2", "kg"}}
    for one, system in ((verdict, units), (turned, other)):
        rows = list(csv.DictReader(io.StringIO(takeoff_csv.write(takeoff(one)))))
        assert {row["unit"] for row in rows} - {"", "number"} <= own[system]
        assert own[system] <= {row["unit"] for row in rows}
    texts = (takeoff_csv.write(takeoff(one)) for one in (verdict, turned))
    both = [list(csv.DictReader(io.StringIO(text))) for text in texts]
    factor = {"in": 25.4, "mm": 1 / 25.4}[units]
    for here, there in zip(*both, strict=True):
        if here["unit"] == units and here["value"]:
            ran()
            assert float(there["value"]) == pytest.approx(float(here["value"]) * factor, abs=1e-4)
