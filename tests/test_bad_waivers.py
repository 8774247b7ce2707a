"""Waivers that would waive nothing, faults past counting, and values past writing."""

import re
from pathlib import Path

import pytest

from ruleset import BookError, ShapeError
from ruleset.assembly import assemble
from ruleset.book_reader import read_book
from ruleset.reader import read_text
from validator import Rules, load_job_text, load_rules, review

JOBS = Path(__file__).parent.parent / "fixtures" / "jobs"
WAIVED = (JOBS / "waived-narrow-curb.yaml").read_text(encoding="utf-8")


def test_a_waiver_for_a_part_that_is_not_there_is_refused(rules: Rules) -> None:
    text = re.sub(r"subject: curb", "subject: crub", WAIVED, count=1)
    assert text != WAIVED
    job = load_job_text(text, "job.yaml", rules, beside=JOBS)
    with pytest.raises(ShapeError, match="is not asked of crub; it is asked of curb") as refused:
        review(job, rules)
    assert refused.value.faults[0].place.line > 1


def test_a_book_of_misspelt_names_is_given_up_after_a_hundred() -> None:
    clauses = "".join(
        f"  c{at}: {{title: t, needs: survey.widht.c{at} > 0, level: note, stage: survey, why: w,"
        " says: s, basis: {standing: shop policy}}\n"
        for at in range(400)
    )
    book = read_book(read_text(f"book: many\ntitle: Many\nclauses:\n{clauses}", "many.yaml"))
    with pytest.raises(BookError) as refused:
        assemble([book])
    assert len(refused.value.faults) == 101
    assert "first 100 faults" in str(refused.value)


def test_a_value_past_what_anyone_writes_is_told_and_does_not_raise(tmp_path: Path) -> None:
    (tmp_path / "far.yaml").write_text(
        "book: far\ntitle: Far\nclauses:\n  off:\n    title: t\n    for: each opening\n"
        "    needs: 1e300 * opening.survey.width.sill <= opening.survey.width.sill\n"
        "    level: note\n    stage: survey\n    why: w\n    says: It is {actual}, not {limit}.\n"
        "    basis: {standing: shop policy}\n",
        encoding="utf-8",
    )
    rules = load_rules(books=[tmp_path], installed=False)
    text = (JOBS / "holds-ordinary.yaml").read_text(encoding="utf-8")
    said = review(load_job_text(text, "job.yaml", rules, beside=JOBS), rules)
    (found,) = (one for one in said.findings if one.clause == "far.off")
    assert found.outcome == "fails"
    assert "not 60 in" in found.says
