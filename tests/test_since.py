"""What changed since an older state of a job, for the one who signed that."""

import datetime as dt
import json
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from validator import Review, Rules, Verdict, judge, load_job_text, review
from validator.changes import Since, since
from validator.report.layout import Look
from validator.report.output_schemas import output_schema
from validator.report.since_text import since_data, since_text

JOBS = Path(__file__).resolve().parent.parent / "fixtures" / "jobs"
ORDINARY = (JOBS / "holds-ordinary.yaml").read_text(encoding="utf-8")
DAY = dt.date(2026, 2, 20)
INCH = 25.4


def state(text: str, rules: Rules, file: str = "job.yaml") -> tuple[Verdict, Review]:
    job = load_job_text(text, file, rules, beside=JOBS)
    return judge(job, rules), review(job, rules, today=DAY)


def changed(rules: Rules, *pairs: tuple[str, str]) -> tuple[Since, Review]:
    text = ORDINARY
    for old, new in pairs:
        assert old in text
        text = text.replace(old, new)
    now = state(text, rules)
    return since(*state(ORDINARY, rules, "old.yaml"), *now), now[1]


def test_what_is_the_same_is_told_as_the_same(rules: Rules) -> None:
    found, now = changed(rules, ("job: 24-117", "job: 24-117  # a remark alone"))
    assert found.nothing
    said = since_text(found, now, Look())
    assert "Nothing that is given, cut or found differs." in said
    assert "Ready to order: yes, as before." in said


def test_a_moved_split_tells_the_fact_the_sizes_and_the_findings(rules: Rules) -> None:
    found, now = changed(rules, ("    split: 30\n", "    split: 29 3/4\n"))
    assert [(one.name, one.was, one.now) for one in found.facts] == [
        ("design.fixed.split", "30", "29 3/4")
    ]
    cut = {one.name: (one.was, one.now) for one in found.cut}
    # By hand: the panel is 1/4 in narrower, the door laps it as before and is 1/4 in wider.
    assert cut["glass/fixed/the fixed panel/width"] == ("29 7/8 in", "29 5/8 in")
    assert cut["glass/door/the sliding door/width"] == ("31 3/16 in", "31 7/16 in")
    assert "glass/fixed/the fixed panel/height" not in cut
    came = {(one.clause, one.subject) for one in found.came}
    assert {("papers.order", "door"), ("papers.order", "fixed")} <= came
    assert (found.was_ready, found.ready) == (True, False)
    said = since_text(found, now, Look())
    assert "Ready to order: NO; it was yes before." in said
    assert f"Code of the sizes: {found.codes[0]} before, {found.codes[1]} now" in said
    assert max(map(len, said.splitlines())) <= 80
    assert said.index("error: ") < said.index("note: ")


def test_what_is_taken_away_or_given_anew_is_told(rules: Rules) -> None:
    found, now = changed(
        rules,
        ("  finish: brushed nickel\n", ""),
        ("  supplier: The glass works (invented)\n", "  supplier: Another (invented)\n"),
        ("  hand: left\n", "  hand: left\n  bar: {offset: 1/16}\n"),
    )
    said = " ".join(since_text(found, now, Look()).split())
    assert "(design.finish): not given any more; it was brushed nickel" in said
    assert "(design.bar.offset): 1/16; it was not given" in said
    assert "The glass works (invented) becomes Another (invented)" in said


def test_a_cure_of_a_fault_is_told_as_gone_and_a_worse_one_as_changed(rules: Rules) -> None:
    low = state(ORDINARY.replace("overlap: 1 1/2", "overlap: 1/2"), rules, "low.yaml")
    lower = state(ORDINARY.replace("overlap: 1 1/2", "overlap: 1/4"), rules)
    fixed = since(*low, *state(ORDINARY, rules))
    assert ("sliding.overlap-least", "door") in {(one.clause, one.subject) for one in fixed.went}
    worse = since(*low, *lower)
    assert "sliding.overlap-least" in {now.clause for _, now in worse.changed}
    said = since_text(worse, lower[1], Look())
    assert "before: the closed door laps the panel by 1/2 in" in " ".join(said.split())


@pytest.mark.parametrize("split", ["29 3/4", "?"])
def test_the_json_keeps_to_its_schema(rules: Rules, split: str) -> None:
    found, now = changed(rules, ("    split: 30\n", f"    split: {split}\n"))
    data = json.loads(json.dumps(since_data(found, now, "1")))
    errors = Draft202012Validator(output_schema("since")).iter_errors(data)
    assert [one.message for one in errors] == []
