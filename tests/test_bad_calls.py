"""Bad files through the command: exit code 2, a line a fault on standard error, nothing else."""

import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import CliRunner

from validator import Rules
from validator.command import app, main
from validator.shipped import shipped_rules

ROOT = Path(__file__).resolve().parent.parent
GOOD = (ROOT / "fixtures/jobs/holds-ordinary.yaml").read_text(encoding="utf-8")
KIT_NAMES = sorted(path.stem for path in (ROOT / "fixtures/kits").iterdir())
CLAUSE = (
    "clauses: {{c: {{title: T, needs: {}, level: note, stage: survey, "
    "basis: {{standing: memory}}, why: x, says: x}}}}\n"
)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Return an empty folder with the kits in it, which is where the command runs."""
    shutil.copytree(ROOT / "fixtures/kits", tmp_path / "kits")
    monkeypatch.chdir(tmp_path)
    for name in ("COLUMNS", "NO_COLOR", "FORCE_COLOR"):
        monkeypatch.delenv(name, raising=False)
    return tmp_path


@pytest.fixture
def lines(
    folder: Path, rules: Rules, monkeypatch: pytest.MonkeyPatch
) -> Callable[[str | bytes], list[str]]:
    """Return what reviews a job's text by the shipped rules, and gives the lines it is told."""
    monkeypatch.setattr("validator.load_rules", lambda **_: rules)

    def told(text: str | bytes) -> list[str]:
        data = text if isinstance(text, bytes) else text.encode()
        (folder / "job.yaml").write_bytes(data)
        found = [
            CliRunner().invoke(app, ["review", "job.yaml", "--format", form])
            for form in ("text", "json")
        ]
        for one in found:
            assert (one.exit_code, one.stdout) == (2, "")
            assert "Traceback" not in one.stderr
        assert found[0].stderr == found[1].stderr
        return found[0].stderr.splitlines()

    return told


def changed(old: str, new: str) -> str:
    """Return the good job with one piece of text in place of another."""
    assert old in GOOD
    return GOOD.replace(old, new, 1)


def waived(text: str) -> str:
    """Return the good job with a waiver."""
    return f"{GOOD}waivers: [{{why: x, by: y, {text}}}]\n"


def at(name: str) -> int:
    """Return the line that a field stands in, in the good job."""
    (line,) = (n for n, one in enumerate(GOOD.splitlines(), 1) if one.strip().startswith(name))
    return line


HEIGHT, OVERLAP = at("front:"), at("overlap:")

JOBS: dict[str, tuple[str | bytes, str]] = {
    "missing kit": (
        changed("kit: ostrel-inch", "kit: ostrel-inhc"),
        (f"/kits. There are: {', '.join(KIT_NAMES)}. Did you mean 'ostrel-inch'?"),
    ),
    "kit above": (
        changed("ostrel-inch", "../kits/ostrel-inch"),
        ":7:6: kit is '../kits/ostrel-inch'. A kit's id is small letters, digits and dashes.",
    ),
    "unknown code": (
        changed("irc-2021", "irc-2012"),
        ":8:7: There is no code set or policy irc-2012; there are: ",
    ),
    "misspelt fact": (
        changed("head_height", "head_hieght"),
        (
            f":{HEIGHT}:11: There is no fact survey.front.head_hieght. "
            "Did you mean 'survey.front.head_height'?"
        ),
    ),
    "look-alike letter": (
        changed("head_height", "he\u0430d_height"),
        (
            f":{HEIGHT}:11: There is no fact survey.front.he\u0430d_height. "
            "Did you mean 'survey.front.head_height'?"
        ),
    ),
    "look-alike digit": (
        changed("head_height: 78", "head_height: 7\uff18"),
        (
            f":{HEIGHT}:24: survey.front.head_height: 7\uff18 has the digit fullwidth digit eight, "
            "only plain letters, digits and signs are read; "
        ),
    ),
    "wrong unit": (
        changed("head_height: 78", "head_height: 78 kg"),
        f":{HEIGHT}:24: survey.front.head_height: 78 kg is a mass; a length is needed, such as ",
    ),
    "negative size": (
        changed("head_height: 78", "head_height: -78"),
        f":{HEIGHT}:24: survey.front.head_height is -78 in; it lies between ",
    ),
    "absurd size": (
        changed("head_height: 78", "head_height: 78000"),
        f":{HEIGHT}:24: survey.front.head_height is 78000 in; it lies between ",
    ),
    "not a number": (
        changed("head_height: 78", "head_height: .nan"),
        f":{HEIGHT}:24: survey.front.head_height: .nan does not begin with a number; ",
    ),
    "infinity": (
        changed("head_height: 78", "head_height: .inf"),
        f":{HEIGHT}:24: survey.front.head_height: .inf does not begin with a number; ",
    ),
    "beyond numbers": (
        changed("head_height: 78", "head_height: 1e999"),
        f":{HEIGHT}:24: survey.front.head_height: 1e999 is out of range, powers of ten go to 99; ",
    ),
    "unknown waived": (
        waived("clause: sliding.clear-openin"),
        "There is no clause sliding.clear-openin to waive. Did you mean 'sliding.clear-opening'?",
    ),
    "until some day": (
        waived("clause: sliding.clear-opening, until: 31/12/2026"),
        "until is '31/12/2026'. Write a day such as 2027-03-31.",
    ),
    "doubled field": (
        changed("title:", "job: 1\ntitle:"),
        ":4:1: The field 'job' stands twice in one table, first at line 2, column 1; ",
    ),
    "empty": (b"", ": The file is empty; write its fields into it."),
    "binary": (b"\x7fELF\x02\x00\x00", ": The file is not text (it holds a zero byte); "),
    "not UTF-8": (b"job: \xff\n", ":1:6: The byte 0xff here is not UTF-8; "),
    "10 MB": (GOOD + "#" * 10_000_000, ": The file is over 1,000 kB; split it."),
    "deep": ("[" * 100_000, ": Far too many brackets are open here; write the values flatter."),
    "a list": ("- job\n", ":1:1: A job is a table of fields; here is a list."),
    "Windows": (
        ("\ufeff" + changed("overlap:", "overlpa:")).replace("\n", "\r\n"),
        f":{OVERLAP}:5: There is no fact design.door.overlpa. Did you mean 'design.door.overlap'?",
    ),
}


@pytest.mark.parametrize(("text", "says"), JOBS.values(), ids=JOBS)
def test_a_job_that_cannot_be_used(
    lines: Callable[[str | bytes], list[str]], text: str | bytes, says: str
) -> None:
    (line,) = lines(text)
    assert line.startswith("job.yaml:")
    assert says in line
    assert " in kits" not in line  # a folder has its whole name
    assert line.endswith((".", "?"))


def test_a_line_a_fault(lines: Callable[[str | bytes], list[str]]) -> None:
    text = changed("overlap:", "overlpa:").replace("kit: ostrel-inch", "kit: no-kit")
    found = lines(text)
    assert [line.split(": ")[0] for line in found] == ["job.yaml:7:6", f"job.yaml:{OVERLAP}:5"]


BOOKS = {
    "empty": ("", "", "books/a.yaml: The file is empty; write its fields into it."),
    "misspelt fact": (
        "book: a\ntitle: A\n" + CLAUSE.format("survey.stand_up_hieght > 0"),
        "",
        (
            "books/a.yaml:3:32: There is no survey.stand_up_hieght here. "
            "Did you mean 'survey.stand_up_height'?"
        ),
    ),
    "attribute": (
        "book: a\ntitle: A\n" + CLAUSE.format("survey.stand_up_height.__class__ == 1"),
        "",
        (
            "books/a.yaml:3:32: The name survey.stand_up_height.__class__ may not start with an "
            "underscore nor hold two."
        ),
    ),
    "taken name": (
        "book: sliding\ntitle: A\n",
        "",
        (
            f"books/a.yaml:1:1: The book sliding is declared twice; first at "
            f"{shipped_rules().as_posix()}/panes/sliding.yaml:1:1."
        ),
    ),
    "division by zero": (
        "book: a\ntitle: A\n"
        + CLAUSE.format(
            "survey.stand_up_height / (survey.stand_up_height - survey.stand_up_height) > 1"
        ),
        "",
        (
            "job.yaml: a.c on job is undefined on this job though nothing is missing: "
            "survey.stand_up_height / (survey.stand_up_height - survey.stand_up_height) > 1. "
            "This is the book's fault, at books/a.yaml:3:14."
        ),
    ),
    "clause that is not there": (
        "book: a\ntitle: A\n",
        "code: here\ntitle: T\namends: {sliding.clear-openin: {off: yes, why: x}}\n",
        (
            "books/codes/c.yaml:3:32: here: There is no clause sliding.clear-openin. "
            "Did you mean 'sliding.clear-opening'?"
        ),
    ),
    "loosening": (
        "book: a\ntitle: A\n",
        "policy: here\ntitle: T\namends: {sliding.clear-opening: {off: yes, why: x}}\n",
        (
            "books/codes/c.yaml:3:33: here: A policy may only tighten; it may not drop "
            "sliding.clear-opening."
        ),
    ),
    "wrong unit": (
        "book: a\ntitle: A\n",
        (
            "code: here\ntitle: T\n"
            "amends: {sliding.clear-opening: {limits: {access: {is: 1 kg}}, why: x}}\n"
        ),
        (
            "books/codes/c.yaml:3:51: here: 1 kg is a mass; a length is needed, such as "
            "59 3/4 in or 1518 mm."
        ),
    ),
}


@pytest.mark.parametrize(("book", "code", "says"), BOOKS.values(), ids=BOOKS)
def test_a_book_or_code_set_that_cannot_be_used(
    folder: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    book: str,
    code: str,
    says: str,
) -> None:
    (folder / "books/codes").mkdir(parents=True)
    (folder / "books/a.yaml").write_text(book, encoding="utf-8")
    if code:
        (folder / "books/codes/c.yaml").write_text(code, encoding="utf-8")
    (folder / "job.yaml").write_text(GOOD, encoding="utf-8")
    asked = ["review", "job.yaml", "--books", "books", *(["--code", "here"] if code else [])]
    monkeypatch.setattr(sys, "argv", ["paneproof", *asked])
    with pytest.raises(SystemExit) as ended:
        main()
    said = capsys.readouterr()
    assert ended.value.code == 2
    assert said.err == f"{says}\n"
    # A book at fault on this job does not hide what the other books find.
    assert bool(said.out) == ("undefined" in says)


def outside(folder: Path, *args: str) -> tuple[int, str, str]:
    """Return exit code, standard output and standard error of the command as a program."""
    call = [sys.executable, "-m", "validator.command", *args]
    done = subprocess.run(call, cwd=folder, capture_output=True, check=False, timeout=60)  # noqa: S603  # our own program
    return (done.returncode, done.stdout.decode(), done.stderr.decode())


def test_a_list_ends_with_2_and_no_traceback(folder: Path) -> None:
    (folder / "job.yaml").write_text("- job\n", encoding="utf-8")
    says = "job.yaml:1:1: A job is a table of fields; here is a list.\n"
    assert outside(folder, "review", "job.yaml") == (2, "", says)


def test_names_of_files_that_are_none(folder: Path) -> None:
    os.mkfifo(folder / "pipe.yaml")
    (folder / "loop.yaml").symlink_to("loop.yaml")
    names = ("kits", "no\nsuch.yaml", "pipe.yaml", "loop.yaml", "a" * 300)
    code, out, err = outside(folder, "takeoff", names[0])
    assert (code, out) == (2, "")
    assert err == "kits: This is a folder; give the name of a YAML or JSON file.\n"
    code, out, err = outside(folder, "review", *names)
    found = err.splitlines()
    assert code == 2
    assert len(found) == len(names)
    assert found[1] == "no such.yaml: There is no such file; check its name."
    assert found[2].startswith("pipe.yaml: This is not an ordinary file; ")
    assert found[3].startswith("loop.yaml: The file cannot be opened (")
    assert found[4].startswith("a" * 300 + ": The file cannot be opened (")


def test_a_folder_to_write_into_that_is_not_there(folder: Path) -> None:
    (folder / "job.yaml").write_text(GOOD, encoding="utf-8")
    says = "no/sheet.txt: Its folder is not there; make that first, or choose another.\n"
    assert outside(folder, "takeoff", "job.yaml", "--out", "no/sheet.txt") == (2, "", says)
