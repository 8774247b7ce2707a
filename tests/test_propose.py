"""Whole designs for a survey: each holds, a wish stays, and none is proved where there is none.

Judge from outside the search: the designs within reach are gone through one by one.
"""

import datetime as dt
import itertools
import json
import re
import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from typer.testing import CliRunner

from ruleset.errors import RulesetError
from validator import Rules, judge, load_job, load_job_text, on_day, propose, read_survey, review
from validator.command import app

ROOT = Path(__file__).resolve().parent.parent
SURVEY = ROOT / "fixtures" / "surveys" / "tiled-curb.yaml"
JOBS = ROOT / "fixtures" / "jobs"
TODAY = dt.date(2026, 3, 2)
WISHES = "wishes:\n  side: left\n  way_in: {least: 23 in}\n"


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """Return a folder with the shop's kits, and the survey in it."""
    shutil.copytree(ROOT / "fixtures" / "kits", tmp_path / "kits")
    (tmp_path / "surveys").mkdir()
    shutil.copy(SURVEY, tmp_path / "surveys")
    return tmp_path / "surveys" / SURVEY.name


def wished(file: Path, wishes: str) -> None:
    text = file.read_text(encoding="utf-8")
    assert WISHES in text
    file.write_text(text.replace(WISHES, wishes), encoding="utf-8")


def of_slider(wishes: str = "") -> str:
    return f"wishes:\n  arrangements: [in-line slider]\n  kits: [ostrel-inch]\n{wishes}"


def test_every_design_holds_when_it_is_reviewed_by_itself(shop: Path, rules: Rules) -> None:
    found = propose(read_survey(shop), rules, today=TODAY)
    assert not found.untried
    whole = [one for one in found.found if one.reached != "none"]
    assert {one.arrangement for one in whole} >= {
        "in-line slider",
        "hinged with panel hung on the wall",
        "hinged with panel hung on the glass",
    }
    for one in whole:
        job = on_day(load_job_text(one.text, "new.yaml", rules, beside=shop.parent), TODAY)
        again = review(job, rules, stage="design")
        assert again.release.ready or again.asked
        assert not [f for f in again.findings if f.outcome == "fails" and f.level == "error"]
        tight = [f for f in again.findings if f.outcome == "tight" and f.level == "warning"]
        assert bool(tight) == (one.reached == "at size")
        verdict = judge(job, rules)
        if "design.door.thickness" in job.values:
            assert not again.asked
            assert verdict.answer("door.clear_opening").value >= 23 * 25.4
        assert job.values["design.hand"].text == "left"
    ranks = [("within tolerance", "at size", "none").index(one.reached) for one in found.found]
    assert ranks == sorted(ranks)


def test_none_is_proved_where_no_design_that_is_gone_through_one_by_one_holds(
    shop: Path, rules: Rules
) -> None:
    """An opening of 44 in: every split and overlap on a coarser grid within reach, judged."""
    width = "{sill: 60, middle: 59 15/16, head: 59 7/8}"
    text = shop.read_text(encoding="utf-8")
    text = text.replace(WISHES, of_slider()).replace(width, "{sill: 44, middle: 44, head: 44}")
    text = text.replace("98 3/8", "89 9/16").replace("98 7/16", "89 9/16")
    shop.write_text(text, encoding="utf-8")
    (one,) = propose(read_survey(shop), rules, today=TODAY).found
    assert (one.reached, one.proved) == ("none", True)
    assert one.failing
    job = load_job_text(one.text, "new.yaml", rules, beside=shop.parent)
    for split, overlap in itertools.product(range(12, 40, 2), (0.5, 1.0, 1.5, 2.0)):
        values = dict(job.values)
        for fact, inches in (("design.fixed.split", split), ("design.door.overlap", overlap)):
            values[fact] = replace(values[fact], value=inches * 25.4)
        found = review(replace(job, values=values), rules, stage="design", tolerance=False)
        errors = [f for f in found.findings if f.outcome == "fails" and f.level == "error"]
        assert errors, (split, overlap)


def test_a_search_moves_what_does_not_hold_and_no_wish(shop: Path, rules: Rules) -> None:
    wished(shop, of_slider("  side: right\n  height: 80 in\n  way_in: {least: 28 in}\n"))
    (one,) = propose(read_survey(shop), rules, today=TODAY).found
    assert one.reached != "none"
    assert one.changes
    job = load_job_text(one.text, "new.yaml", rules, beside=shop.parent)
    assert judge(job, rules).answer("door.clear_opening").value >= 28 * 25.4
    assert job.values["design.hand"].text == "right"
    assert job.values["design.height"].text == "80 in"


def test_one_wish_after_another_is_searched_by_itself(shop: Path, rules: Rules) -> None:
    text = shop.read_text(encoding="utf-8")
    reached = []
    for least in ("26 in", "28 in", "31 in", "26 in"):
        new = text.replace(WISHES, of_slider(f"  way_in: {{least: {least}}}\n"))
        shop.write_text(new, encoding="utf-8")
        (one,) = propose(read_survey(shop), rules, today=TODAY).found
        reached.append((one.reached != "none", bool(one.changes)))
    assert reached == [(True, False), (True, True), (False, False), (True, False)]


def test_a_wish_that_asks_less_than_the_books_changes_nothing(shop: Path, rules: Rules) -> None:
    wished(shop, of_slider())
    (plain,) = propose(read_survey(shop), rules, today=TODAY).found
    text = shop.read_text(encoding="utf-8")
    shop.write_text(text + "  way_in: {least: 10 in}\n", encoding="utf-8")
    (one,) = propose(read_survey(shop), rules, today=TODAY).found
    assert one.text == plain.text


def test_readings_stay_as_they_were_written_and_what_has_no_place_is_told(
    shop: Path, rules: Rules
) -> None:
    wished(shop, of_slider())
    (one,) = propose(read_survey(shop), rules, today=TODAY).found
    assert one.left_out == ("survey.door",)
    before = shop.read_text(encoding="utf-8").partition("wishes:")[0]
    kept = [line for line in before.splitlines() if line and not line.lstrip().startswith("door:")]
    assert [line for line in one.text.splitlines() if line][: len(kept)] == kept
    assert "wishes:" not in one.text


@pytest.mark.parametrize(
    ("wishes", "says"),
    [
        ("wishes: {heigth: 80 in}\n", "There is no wish heigth. Did you mean 'height'?"),
        ("wishes: {way_in: 24 in}\n", "The wish way_in is `least:`"),
        ("wishes: {side: {least: 3 in}}\n", "The wish side is one value."),
        ("wishes: {way_in: {least: wide}}\n", "least:"),
        ("wishes: {way_in: {most: 3 in}}\n", "no field 'most'"),
        ("wishes: {arrangements: [in-line slyder]}\n", "Did you mean 'in-line slider'?"),
        ("wishes: {kits: [ostrel]}\n", "Did you mean 'ostrel-inch'?"),
        ("wishes: {kits: [{a: b}]}\n", "A row of kits is the id of a kit"),
        ("wishes: []\n", "Wishes is a table"),
        ("wishes: {side: up}\n", "up"),
        ("design: {height: 78}\n", "This file has a design"),
    ],
)
def test_a_wish_that_is_none_is_told_at_its_place(
    wishes: str, says: str, shop: Path, rules: Rules
) -> None:
    wished(shop, wishes)
    with pytest.raises(RulesetError) as caught:
        propose(read_survey(shop), rules, today=TODAY)
    assert says in str(caught.value)
    assert re.match(rf"{re.escape(shop.as_posix())}:\d+:\d+: ", str(caught.value))


def test_the_command_tells_them_best_first_and_saves_one_as_a_job(shop: Path, rules: Rules) -> None:
    wished(shop, of_slider())
    new = shop.parent / "new.yaml"
    words = ["propose", str(shop), "--today", "2026-03-02"]
    found = CliRunner().invoke(app, [*words, "--write", str(new)], catch_exceptions=False)
    assert found.exit_code == 0
    assert found.stdout.splitlines()[0].startswith("1 of 1 arrangements with their kits hold")
    assert max(map(len, found.stdout.replace(str(shop), "").splitlines())) <= 80
    assert review(on_day(load_job(new, rules), TODAY), rules, stage="design").release.ready
    data = json.loads(
        CliRunner().invoke(app, [*words, "--format", "json"], catch_exceptions=False).stdout
    )
    assert data["proposals"][0]["job"] == new.read_text(encoding="utf-8")
    again = CliRunner().invoke(app, [*words, "--number", "2", "--write", str(new)])
    assert again.exit_code == 2
    assert "There is no design 2 to save; 1 hold." in again.stderr


@pytest.mark.parametrize(
    "job",
    [
        "holds-ordinary",
        "holds-hinged-walls",
        "holds-hinged-panel-wall",
        "holds-hinged-panel-glass",
        "holds-walk-in-screen",
    ],
)
def test_the_usual_design_says_all_that_an_arrangement_asks(
    job: str, tmp_path: Path, rules: Rules
) -> None:
    """Of each ordinary job the survey alone: a design is found, and none of its facts is asked."""
    shutil.copytree(ROOT / "fixtures" / "kits", tmp_path / "kits")
    text = (JOBS / f"{job}.yaml").read_text(encoding="utf-8").partition("\ndesign:")[0]
    name = next(line for line in text.splitlines() if line.startswith("arrangement:"))
    text = text.replace(name, "")
    file = tmp_path / "survey.yaml"
    file.write_text(f"{text}\nwishes: {{arrangements: [{name[13:].strip()}]}}\n", encoding="utf-8")
    found = propose(read_survey(file), rules, today=TODAY).found
    assert not [a.fact for one in found for a in one.review.asked if a.fact.startswith("design.")]
    assert found[0].reached != "none"
