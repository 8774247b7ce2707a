"""Many past jobs: none lost, none told twice, the same answer however it was come by."""

import csv
import datetime as dt
import io
import json
import os
import shutil
import signal
import subprocess
import sys
import time
import tracemalloc
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

from ruleset.errors import FormulaError, ReadError
from ruleset.node import plain
from ruleset.reader import read_file
from validator import Rules, load_job, load_rules, review
from validator.audit.answers import Tally
from validator.audit.baseline import Before
from validator.audit.judging import Judge
from validator.audit.kept import Kept
from validator.audit.question import Question
from validator.audit.row import BROKEN, NOT_MEANT, OPEN, READY, Row
from validator.audit.run import audit
from validator.audit.sources import Entry, entries
from validator.audit.table_csv import csv_lines
from validator.audit.where import Where
from validator.audit.working import judged

ROOT = Path(__file__).resolve().parent.parent
JOBS = ROOT / "fixtures" / "jobs"
DAY = dt.date(2026, 3, 1)
ASKED = Question(stage="order", today=DAY, installed=False)
QUICK = Question(stage="order", today=DAY, installed=False, tolerance=False)


@pytest.fixture(scope="module")
def rules() -> Rules:
    return load_rules(installed=False, proofs=False)


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """Return a small shop: some jobs, kits beside them, a stock that is no job, a broken file."""
    jobs = tmp_path / "jobs"
    jobs.mkdir()
    for name in ("holds-ordinary", "fails-curb-too-narrow", "holds-walls-only", "fails-no-mark"):
        shutil.copy(JOBS / f"{name}.yaml", jobs)
    shutil.copytree(ROOT / "fixtures" / "kits", tmp_path / "kits")
    shutil.copy(ROOT / "fixtures" / "stock.yaml", jobs)
    (jobs / "torn.yaml").write_text("job: [\n")
    return tmp_path


def _run(folder: Path, kept: Path, question: Question = QUICK, workers: int = 1) -> list[Row]:
    with Kept(kept) as file:
        audit([folder.as_posix()], question, file, version="1", workers=workers)
        return [row for _, row in file.rows() if row is not None]


def test_every_job_is_a_verdict_or_says_why(shop: Path) -> None:
    rows = _run(shop, shop / "kept.jsonl")
    assert Counter(row.verdict for row in rows) == {READY: 2, OPEN: 2, BROKEN: 1}
    assert next(row.why for row in rows if row.verdict == BROKEN).startswith(f"{shop}/jobs/torn")


def test_an_audit_says_what_a_review_says(rules: Rules) -> None:
    names = [p for p in sorted(JOBS.glob("*.yaml")) if not p.name.endswith(".findings.yaml")][::6]
    assert len(names) > 10
    judge = Judge(ASKED, "1")
    for path in names:
        [data] = json.loads(judge.line(Entry(file=path.as_posix())))["rows"]
        found = review(load_job(path, rules), rules, today=DAY)
        said = [
            [one.clause, one.subject, one.outcome, one.says]
            for one in found.findings
            if one.outcome in ("fails", "tight") and one.waived is None
        ]
        assert [[*one[:3], one[5]] for one in data["told"]] == said, path.name
        assert (data["verdict"] == READY) == found.release.ready


def test_a_second_audit_judges_only_what_changed(shop: Path) -> None:
    kept = shop / "kept.jsonl"
    first = _run(shop, kept)
    with (shop / "jobs" / "fails-no-mark.yaml").open("a") as opened:
        opened.write("notes: looked at again\n")
    (shop / "jobs" / "torn.yaml").unlink()
    with Kept(kept) as file:
        assert audit([shop.as_posix()], QUICK, file, version="1", workers=1) == 1
        again = [row for _, row in file.rows() if row is not None]
    assert len(again) == len(first) - 1
    assert len({row.name for row in again}) == len(again)


@pytest.mark.parametrize("what", ["day", "kit", "version"])
def test_what_a_verdict_stands_on_makes_it_old(shop: Path, what: str) -> None:
    kept = shop / "kept.jsonl"
    _run(shop, kept)
    question = QUICK
    if what == "day":
        question = Question(
            stage="order", today=dt.date(2026, 3, 2), installed=False, tolerance=False
        )
    elif what == "kit":
        # What is beside the jobs is read once a run, so that this one is of another process.
        kit = shop / "kits" / "ostrel-inch.yaml"
        kit.write_text(kit.read_text() + "\n# looked at\n")
    version = "2" if what == "version" else "1"
    said = (
        "import sys, datetime as dt; from pathlib import Path\n"
        "from validator.audit.kept import Kept; from validator.audit.question import Question\n"
        "from validator.audit.run import audit\n"
        f"q = Question(stage='order', today=dt.date.fromisoformat('{question.today}'), "
        "installed=False, tolerance=False)\n"
        f"with Kept(Path({kept.as_posix()!r})) as f: "
        f"print(audit([{shop.as_posix()!r}], q, f, version='{version}', workers=1))\n"
    )
    done = subprocess.run(  # noqa: S603  # our own program
        [sys.executable, "-c", said], capture_output=True, text=True, check=True, cwd=ROOT
    )
    assert int(done.stdout) >= 5


def test_what_was_torn_as_it_was_written_is_judged_again(shop: Path) -> None:
    kept = shop / "kept.jsonl"
    first = _run(shop, kept)
    kept.write_bytes(kept.read_bytes()[:-40])
    assert sorted(row.name for row in _run(shop, kept)) == sorted(row.name for row in first)


def test_a_file_that_is_no_audits_stays_as_it_is(tmp_path: Path) -> None:
    other = tmp_path / "notes.txt"
    other.write_text("Call the mason.\n")
    with pytest.raises(ReadError, match="not kept by an audit"):
        Kept(other)
    assert other.read_text() == "Call the mason.\n"


def test_two_audits_do_not_write_one_file(tmp_path: Path) -> None:
    with Kept(tmp_path / "kept.jsonl"), pytest.raises(ReadError, match="Another audit"):
        Kept(tmp_path / "kept.jsonl")


def _many(shop: Path, count: int) -> Path:
    """Return a file with a job a line, some that hold and some that do not."""
    names = ("holds-ordinary", "fails-curb-too-narrow", "holds-walls-only")
    texts = [json.dumps(plain(read_file(JOBS / f"{name}.yaml"))) for name in names]
    path = shop / "jobs.jsonl"
    lines = (texts[at % 3].replace("24-1", f"{at}-1", 1) for at in range(count))
    path.write_text("\n".join(lines) + "\n")
    return path


def test_the_same_lines_whatever_the_number_of_workers(shop: Path) -> None:
    path = _many(shop, 90)
    found = [list(judged(entries([path.as_posix()]), QUICK, "1", many)) for many in (1, 2)]
    assert found[0] == found[1]
    assert len(found[0]) == 90


def test_a_worker_that_dies_loses_nothing(shop: Path) -> None:
    path = _many(shop, 150)
    found = judged(entries([path.as_posix()]), QUICK, "1", 2)
    names = [json.loads(next(found))["entry"]]
    os.kill(_children(os.getpid())[-1], signal.SIGKILL)
    names += [json.loads(line)["entry"] for line in found]
    assert names == [f"{path.as_posix()}#{at}" for at in range(1, 151)]


def _children(of: int) -> list[int]:
    """Return the processes that were spawned to work."""
    said = Path(f"/proc/{of}/task/{of}/children").read_text().split()
    return [int(one) for one in said if b"spawn_main" in Path(f"/proc/{one}/cmdline").read_bytes()]


def test_killed_at_any_moment_it_goes_on(shop: Path) -> None:
    path, out = _many(shop, 300), shop / "answer.csv"
    kept = shop / "answer.csv.kept.jsonl"
    call = [sys.executable, "-m", "validator.command", "audit", path.as_posix(), "--no-tolerance"]
    call += ["--format", "csv", "--out", out.as_posix(), "--today", "2026-03-01"]
    running = subprocess.Popen(call, cwd=ROOT, stderr=subprocess.DEVNULL)  # noqa: S603  # our own program
    until = time.monotonic() + 60
    while time.monotonic() < until and (not kept.exists() or kept.stat().st_size < 50_000):
        time.sleep(0.02)
    running.kill()
    running.wait()
    assert not out.exists()
    done = subprocess.run(call, cwd=ROOT, capture_output=True, text=True, check=False)  # noqa: S603  # our own program
    assert done.returncode == 1
    names = [row["name"] for row in csv.DictReader(io.StringIO(out.read_text()))]
    assert set(names) == {f"{path.as_posix()}#{at}" for at in range(1, 301)}
    lines = kept.read_text().splitlines()[1:]
    assert len({json.loads(line)["entry"] for line in lines}) == len(lines) == 300


def test_a_recall_query_names_the_jobs_it_means(shop: Path, rules: Rules) -> None:
    kit = "kit == 'ostrel-inch' and door.hung_mass > 20 kg"
    question = Question(stage="order", today=DAY, installed=False, tolerance=False, where=kit)
    rows = {Path(r.name).stem: r.verdict for r in _run(shop, shop / "kept.jsonl", question)}
    assert rows["holds-ordinary"] == READY
    assert rows["holds-walls-only"] == NOT_MEANT
    heavy = Question(
        stage="order", today=DAY, installed=False, tolerance=False, where="door.hung_mass > 540 kg"
    )
    verdicts = {row.verdict for row in _run(shop, shop / "other.jsonl", heavy)}
    assert verdicts == {NOT_MEANT, BROKEN}
    with pytest.raises(FormulaError, match="hung_mass"):
        Where("door.hung_mas > 54 kg", rules)
    with pytest.raises(FormulaError):
        Where("door.hung_mass > 54 in", rules)


def test_a_baseline_tells_only_what_is_new(shop: Path) -> None:
    kept = shop / "kept.jsonl"
    _run(shop, kept)
    before = Before(kept)
    job = shop / "jobs" / "holds-ordinary.yaml"
    job.write_text("# a line more\n" + job.read_text().replace("mark: in sight", "mark: none", 1))
    rows = [before.new_in(row) for row in _run(shop, shop / "now.jsonl")]
    new = [(Path(row.name).stem, one.clause) for row in rows for one in row.told]
    assert new
    assert {name for name, _ in new} == {"holds-ordinary"}


def test_totals_are_those_of_the_rows(shop: Path) -> None:
    rows = _run(shop, shop / "kept.jsonl")
    tally = Tally()
    for row in rows:
        tally.add(row)
    assert tally.jobs == len(rows) == sum(tally.verdicts.values())
    for one in tally.clauses():
        having = [r for r in rows if one.clause in {t.clause for t in r.failing(one.level)}]
        assert one.jobs == len(having)
        assert sum(one.by["year"].values()) == one.jobs


def test_another_librarys_table_agrees(shop: Path) -> None:
    polars = pytest.importorskip("polars")
    rows = _run(shop, shop / "kept.jsonl")
    tally = Tally()
    for row in rows:
        tally.add(row)
    table = polars.read_csv(io.StringIO("".join(csv_lines(rows))), infer_schema=False)
    assert table["name"].n_unique() == len(rows)
    failing = table.filter((polars.col("outcome") == "fails") & (polars.col("level") == "error"))
    by_clause = failing.group_by("clause").agg(polars.col("name").n_unique())
    ours = {one.clause: one.jobs for one in tally.clauses() if one.level == "error"}
    assert dict(by_clause.iter_rows()) == ours
    by_kit = failing.group_by("clause", "kit").agg(polars.col("name").n_unique())
    assert {(c, k): n for c, k, n in by_kit.iter_rows()} == {
        (one.clause, kit): many
        for one in tally.clauses()
        if one.level == "error"
        for kit, many in one.by["kit"].items()
    }
    verdicts = table.unique("name").group_by("verdict").agg(polars.len())
    assert dict(verdicts.iter_rows()) == tally.verdicts


def test_a_cell_is_no_formula_for_a_spreadsheet() -> None:
    [_, line] = csv_lines([Row(name="=1+1", verdict=BROKEN, why="@x")])
    assert next(csv.reader([line]))[:4] == ["'=1+1", "", BROKEN, "'@x"]


def test_room_does_not_grow_with_the_jobs(shop: Path) -> None:
    """Rows are told one by one: between 1,000 and 4,000 of them only short digests are more."""
    most = []
    for many in (1_000, 4_000):
        kept = shop / f"{many}.jsonl"
        line = Judge(QUICK, "1").line(Entry(file=(JOBS / "holds-ordinary.yaml").as_posix()))
        with Kept(kept) as file:
            tracemalloc.start()
            for at in range(many):
                name = f"job{at}.yaml"
                file.is_new(name)
                file.add(line.replace(_named(line), name))
            assert sum(1 for _ in file.rows()) == many
            most.append(tracemalloc.get_traced_memory()[1])
            tracemalloc.stop()
    assert (most[1] - most[0]) / 3_000 < 400  # bytes a job


def _named(line: str) -> str:
    found: str = json.loads(line)["entry"]
    return found


def test_odd_and_unreadable_files_are_rows(tmp_path: Path) -> None:
    odd = os.fsdecode(b"caf\xe9 \n.yaml")
    (tmp_path / odd).write_text("job: x\n")
    (tmp_path / "a pipe.yaml").symlink_to("/nowhere/at/all.yaml")
    os.mkfifo(tmp_path / "b.yaml")
    os.mkfifo(tmp_path / "c.jsonl")
    rows = _run(tmp_path, tmp_path / "kept.txt")
    assert len(rows) == 4
    assert {row.verdict for row in rows} == {BROKEN}
    assert all(row.why for row in rows)


def test_a_file_that_grows_is_read_as_it_was(shop: Path) -> None:
    path = _many(shop, 3)

    def growing() -> Iterator[Entry]:
        for entry in entries([path.as_posix()]):
            with path.open("a") as opened:
                opened.write('{"job": "late"}\n')
            yield entry

    assert len(list(growing())) == 3


def test_an_empty_folder_and_a_misspelt_clause_are_told(tmp_path: Path) -> None:
    call = [sys.executable, "-m", "validator.command", "audit", tmp_path.as_posix()]
    done = subprocess.run(call, cwd=ROOT, capture_output=True, text=True, check=False)  # noqa: S603  # our own program
    assert (done.returncode, done.stderr) == (2, "There is no job at these paths.\n")
    done = subprocess.run(  # noqa: S603  # our own program
        [*call, "--only", "glass.mrak"], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 2
    assert "glass.mark" in done.stderr
