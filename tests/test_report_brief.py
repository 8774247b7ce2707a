"""One screen of a review: short enough, danger first, numbers as in the whole report."""

import datetime as dt
import re
from functools import cache
from pathlib import Path

import pytest

from validator import Review, load_job, load_rules, review
from validator.report.brief import CAUTION, brief_text
from validator.report.groups import grouped
from validator.report.layout import Look
from validator.report.text import finding_text, review_text

JOBS = Path(__file__).parent.parent / "fixtures" / "jobs"
FILES = sorted(path for path in JOBS.iterdir() if ".findings." not in path.name)
RULES = load_rules(installed=False)
MOST = {"holds": 12, "waived": 14, "unknown": 30, "fails": 36}
"""Lines of a screen, by what a fixture's name begins with."""
EVERYTHING = "fails-several-faults"


@cache
def told(path: Path) -> Review:
    return review(load_job(path, RULES), RULES, today=dt.date(2026, 3, 20))


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_review_fits_one_screen(path: Path) -> None:
    found = told(path)
    text = brief_text(found, Look())
    lines = text.splitlines()
    look_at = sum(len(g.findings) + 2 for g in grouped(found) if g.title == "To look at")
    most = 60 if path.stem == EVERYTHING else MOST[path.stem.partition("-")[0]]
    if path.stem.startswith("holds"):
        most += look_at
    assert len(lines) <= most
    assert max(map(len, lines)) <= 80
    assert CAUTION in text
    ready = "yes" if found.release.ready else "no"
    assert f"\nReady: {ready}; " in text
    coloured = brief_text(found, Look(colour=True))
    assert re.sub(r"\x1b\[\d+(;\d+)*m", "", coloured) == text


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_each_error_is_told_with_its_number_clause_and_change(path: Path) -> None:
    found = told(path)
    text = " ".join(brief_text(found, Look()).split())
    errors = [g.findings for g in grouped(found) if g.title == "Must change"]
    for one in errors[0] if errors else ():
        assert f"{one.number}. " in text
        assert f"[{one.finding.clause}]" in text
    assert text.count(" -> ") == sum(
        bool(o.finding.do or o.finding.remedies) for g in errors for o in g
    )


def test_what_can_hurt_someone_comes_first_everywhere() -> None:
    found = told(JOBS / f"{EVERYTHING}.yaml")
    (must, *_) = grouped(found)
    cautions = [bool(one.finding.caution) for one in must.findings]
    assert cautions == sorted(cautions, reverse=True)
    assert cautions[0]
    assert not cautions[-1]
    first = must.findings[0].finding
    text = brief_text(found, Look())
    assert f"  1. Danger. {first.says[:30]}" in text
    assert f"  1. {first.says[:30]}" in review_text(found, Look())


def test_one_finding_is_told_whole_by_its_number() -> None:
    found = told(JOBS / f"{EVERYTHING}.yaml")
    (must, *_) = grouped(found)
    third = must.findings[2].finding
    text = finding_text(found, 3, Look())
    assert f"Clause   {third.clause}, for {third.subject}" in text
    assert must.findings[1].finding.clause not in text
    assert "has no finding 99; the last is " in finding_text(found, 99, Look())


def test_what_is_to_be_measured_is_counted_by_who_has_it() -> None:
    text = brief_text(told(JOBS / "unknown-half-surveyed.yaml"), Look())
    assert re.search(r"Still to measure \(\d+\)\n  surveyor: \d+ \(survey\.", text)
    assert re.search(r" and \d+ more\)", text)
