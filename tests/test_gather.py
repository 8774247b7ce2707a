"""Several jobs at once: sites, folders, and the lists of what is ordered, driven and cut."""

import csv
import datetime as dt
import io
import json
import shutil
from pathlib import Path

import pint
import pytest
import yaml
from typer.testing import CliRunner

from ruleset.errors import RulesetError
from validator import Rules, gather, judge, load_job, several_csv, several_json, takeoff
from validator.command import app

ROOT = Path(__file__).resolve().parent.parent
JOBS = ROOT / "fixtures" / "jobs"
READY = ("holds-ordinary", "holds-walls-only", "holds-replacement", "holds-hinged-panel-glass")
UNREADY = ("fails-no-mark", "unknown-leans-missing")
TODAY = dt.date(2026, 3, 2)
SMALL = "holds-ordinary", "fails-open-door-too-narrow"


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """Return a folder of jobs, kits and a stock with offcuts."""
    shutil.copytree(ROOT / "fixtures" / "kits", tmp_path / "kits")
    (tmp_path / "jobs").mkdir()
    for name in (*READY, *UNREADY):
        shutil.copy(JOBS / f"{name}.yaml", tmp_path / "jobs")
    stock = (ROOT / "fixtures" / "stock.yaml").read_text(encoding="utf-8")
    offcuts = (
        "kerf: 1/16\noffcuts:\n  rack 3: {kit: ostrel-inch, of: bar, length: 72, first_hole: 9}\n"
    )
    (tmp_path / "stock.yaml").write_text(stock + offcuts, encoding="utf-8")
    kit = tmp_path / "kits" / "ostrel-inch.yaml"
    text = kit.read_text(encoding="utf-8").replace("channel:\n", "channel:\n  stock: 96\n")
    kit.write_text(text, encoding="utf-8")
    return tmp_path


def site_of(folder: Path, *names: str) -> Path:
    """Return a site's file of several fixtures, each as it stands in its own."""
    lines = ["site: lane", "format: 2", "jobs:"]
    for name in names:
        text = (JOBS / f"{name}.yaml").read_text(encoding="utf-8")
        for at, line in enumerate(one for one in text.splitlines() if one and one[0] != "#"):
            lines.append(("  - " if at == 0 else "    ") + line)
    path = folder / "jobs" / "lane.yaml"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return path


def run(*words: str) -> tuple[int, str, str]:
    found = CliRunner().invoke(app, [*words, "--today", "2026-03-02"])
    if isinstance(found.exception, RulesetError):  # `main` tells it and ends with 2
        return 2, found.stdout, str(found.exception)
    assert isinstance(found.exception, SystemExit | None)
    return found.exit_code, found.stdout, found.stderr


def test_what_is_not_ready_is_left_out_and_named_and_every_job_is_somewhere(
    shop: Path, rules: Rules
) -> None:
    found = gather([str(shop / "jobs")], rules, today=TODAY)
    assert not found.broken
    assert {one.job for one in found.together.held_back} == {"24-152", "24-180"}
    assert len(found.together.jobs) == len(READY)
    code, out, _ = run("gather", str(shop / "jobs"))
    assert code == 1
    assert out.splitlines()[1] == "LEFT OUT, since they are not ready to order: 2"
    assert "24-152: 1 error, 0 to measure" in out


def test_areas_and_weights_come_to_those_of_the_take_offs(shop: Path, rules: Rules) -> None:
    """The sums of the printed CSV, by pint, are those of the single jobs."""
    lists = gather([str(shop / "jobs")], rules, today=TODAY).together
    rows = list(csv.DictReader(io.StringIO(several_csv(lists), newline="")))
    units: pint.UnitRegistry[float] = pint.UnitRegistry()
    for what, unit, key in (("Area", "foot ** 2", "area"), ("Weight", "pound", "weight")):
        sums = [row for row in rows if row["what"] == what and row["item"].endswith("panes")]
        assert {row["unit"] for row in sums} == {"sq ft" if what == "Area" else "lb"}
        whole = sum(float(row["value"]) for row in sums) * units(unit)
        own = 0.0
        for name in READY:
            (glass,) = (
                table
                for table in takeoff(
                    judge(load_job(shop / "jobs" / f"{name}.yaml", rules), rules)
                ).tables
                if table.key == "glass"
            )
            cells = (cell for row in glass.rows for cell in row.cells if cell.key == key)
            own += sum(cell.value.value for cell in cells if cell.value is not None)
        metric = "mm ** 2" if what == "Area" else "kg"
        assert whole.to(metric).magnitude == pytest.approx(own, rel=1e-6)


def test_pieces_of_a_kind_are_counted_once_with_the_jobs_that_want_them(
    shop: Path, rules: Rules
) -> None:
    data = json.loads(several_json(gather([str(shop / "jobs")], rules, today=TODAY).together, "0"))
    hardware = next(one for one in data["tables"] if one["table"] == "hardware")
    hangers = {row["item"]: row["cells"] for row in hardware["rows"] if "Hanger" in row["item"]}
    cells = hangers["Hanger with its roller (ostrel-inch)"]
    assert (cells["quantity"]["text"], cells["jobs"]["text"]) == ("4", "24-117, 24-119")
    assert hangers["Hanger with its roller (tarrow-walls)"]["quantity"]["text"] == "2"


def test_a_bar_is_cut_from_an_offcut_whose_holes_meet_it(shop: Path, rules: Rules) -> None:
    """60 - 2 x 3/4 in less the leans leaves 58 3/8 in; 9 in before the hole are more than 8 3/8."""
    lists = gather([str(shop / "jobs")], rules, today=TODAY).together
    cuts = next(one for one in lists.tables if one.key == "cuts.ostrel-inch.bar")
    first, second = cuts.rows
    assert first.item == "1: offcut rack 3, 72 in"
    assert "58 3/8 in" in first.cells[1].text
    assert "new length, 84 in" in second.item
    assert cuts.notes == ("1 new length: no fewer would do.",)
    channel = next(one for one in lists.tables if one.key == "cuts.ostrel-inch.channel")
    assert channel.notes == (
        "3 new lengths: no fewer would do.",
    )  # 2 of 78 in; 2 of 30 1/16 in one
    assert any("tarrow-walls does not say how long its channel" in one for one in lists.notes)
    (shop / "stock.yaml").unlink()
    assert any(
        "1/8 in: common practice" in one
        for one in gather([str(shop / "jobs")], rules, today=TODAY).together.notes
    )


def test_a_site_gives_what_its_jobs_give_in_files_of_their_own(shop: Path, rules: Rules) -> None:
    site = site_of(shop, *READY)
    alone = gather(
        [str(shop / "jobs" / f"{name}.yaml") for name in READY], rules, today=TODAY
    ).together
    assert gather([str(site)], rules, today=TODAY).together.tables == alone.tables
    one = gather([f"{site}#24-117"], rules, today=TODAY).together
    assert [job.job for job in one.jobs] == ["24-117"]


def test_a_job_of_a_site_is_named_behind_its_mark(shop: Path) -> None:
    site = site_of(shop, *SMALL)
    code, out, _ = run("review", str(site))
    assert code == 1
    assert f"{site.name}#24-117" in out
    assert "2 files: 1 ready, 1 not ready." in out
    code, out, _ = run("review", f"{site}#24-117")
    assert (code, out.splitlines()[0]) == (
        0,
        "Job 24-117: Slider over a tiled curb, Alder Lane (invented)",
    )
    code, out, _ = run("review", f"{site}#24-140", "--format", "lines")
    assert f"{site.name}:" in out
    code, _, err = run("takeoff", str(site))
    assert code == 2
    assert err.strip().endswith(f"Name one of them, such as {site.as_posix()}#24-117.")
    code, _, err = run("draw", f"{site}#24-141")
    assert (code, err.strip().endswith("It has no job 24-141. Did you mean '24-140'?")) == (2, True)
    code, _, err = run("draw", f"{JOBS / 'holds-ordinary.yaml'}#24-117")
    assert (code, "is no site" in err) == (2, True)


def test_a_remedy_is_written_into_its_job_of_the_site_alone(shop: Path) -> None:
    site, new = site_of(shop, *SMALL), shop / "jobs" / "new.yaml"
    code, _, _ = run("remedy", f"{site}#24-140", "--write", str(new))
    assert code == 0
    before, after = (yaml.safe_load(one.read_text(encoding="utf-8")) for one in (site, new))
    assert before["jobs"][0] == after["jobs"][0]
    assert before["jobs"][1] != after["jobs"][1]
    code, out, _ = run("review", f"{new}#24-140", "--format", "json")
    assert (
        not [
            one
            for one in json.loads(out)["findings"]
            if one["level"] == "error" and one["clause"] != "papers.second-check"
        ]
        or code == 1
    )


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("site: a\nformat: 2\n", "A site has `jobs:`"),
        ("site: a\nformat: 2\njobs: [{title: x}]\n", "begins with `job:`"),
        ("site: a\nformat: 2\njobs: [{job: x}, {job: x}]\n", "Job x stands twice"),
        ("site: a\nformat: 2\njobs: [{job: x}]\nunits: in\n", "no field 'units'"),
        ("site: a\njobs: [{job: x}]\n", "format"),
    ],
)
def test_a_site_that_is_none_is_refused_in_a_sentence(text: str, says: str, shop: Path) -> None:
    file = shop / "jobs" / "site.yaml"
    file.write_text(text, encoding="utf-8")
    for words in (("review", str(file)), ("gather", str(file)), ("takeoff", str(file))):
        code, _, err = run(*words)
        assert code == 2
        assert f"{file.as_posix()}:" in err
        assert says in err


@pytest.mark.parametrize(
    ("stock", "says"),
    [
        ("offcuts: {a: {kit: k, length: 3}}\n", "no of"),
        ("offcuts: {a: {kit: k, of: bar, length: soon}}\n", "length"),
        ("offcuts: {a: {kit: k, of: bar, length: 30, first_hole: 31}}\n", "stands past its end"),
        ("offcuts: {a: {kit: k, of: bar, length: 3000}}\n", "from 0 to 40 ft"),
        ("offcuts: {a: {kit: k, of: bar, length: 30, colour: red}}\n", "no field 'colour'"),
        ("kerf: wide\n", "kerf"),
    ],
)
def test_an_offcut_that_is_none_is_refused_in_a_sentence(
    stock: str, says: str, shop: Path, rules: Rules
) -> None:
    file = shop / "stock.yaml"
    file.write_text(f"stock: x\nunits: in\n{stock}", encoding="utf-8")
    found = gather([str(shop / "jobs")], rules, today=TODAY)
    assert any(says in one and "stock.yaml:3:" in one for one in found.broken)


def test_a_broken_file_and_a_job_that_stands_twice_are_told_and_the_rest_is_listed(
    shop: Path, rules: Rules
) -> None:
    (shop / "jobs" / "broken.yaml").write_text("job: [\n", encoding="utf-8")
    shutil.copy(shop / "jobs" / "holds-ordinary.yaml", shop / "jobs" / "twice.yaml")
    (shop / "jobs" / "notes.yaml").write_text("remember: the milk\n", encoding="utf-8")
    found = gather([str(shop / "jobs")], rules, today=TODAY)
    assert len(found.together.jobs) == len(READY)
    broken, notes, twice = sorted(found.broken)
    assert "broken.yaml:" in broken
    assert "This file is no job" in notes
    assert "job 24-117 is in" in twice
    assert run("gather", str(shop / "jobs"))[0] == 2


def test_lists_are_of_one_system_of_units(shop: Path, rules: Rules) -> None:
    shutil.copy(JOBS / "holds-millimetres.yaml", shop / "jobs")
    lists = gather([str(shop / "jobs")], rules, today=TODAY, units="mm").together
    text = several_csv(lists)
    assert {row["unit"] for row in csv.DictReader(io.StringIO(text))} <= {"", "mm", "m2", "kg", "1"}


def test_jobs_of_two_folders_bring_the_shelves_of_both(shop: Path, rules: Rules) -> None:
    other = shop / "other"
    other.mkdir()
    shutil.move(shop / "jobs" / "holds-replacement.yaml", other)
    shutil.copytree(shop / "kits", other / "kits")
    text = "stock: two\nunits: in\nkerf: 1/8\noffcuts:\n"
    row = "  rack 9: {kit: ostrel-inch, of: bar, length: 73, first_hole: 9}\n"
    (other / "stock.yaml").write_text(text + row, encoding="utf-8")
    lists = gather([str(shop / "jobs"), str(other)], rules, today=TODAY).together
    cuts = next(one for one in lists.tables if one.key == "cuts.ostrel-inch.bar")
    assert cuts.notes == ("0 new lengths: no fewer would do.",)
    assert {row.item.split(",")[0][3:] for row in cuts.rows} == {"offcut rack 3", "offcut rack 9"}
