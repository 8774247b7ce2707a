"""The command line: what goes where, exit codes, and sentences for wrong calls."""

import io
import json
import os
import re
import shutil
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from validator import Rules, load_job, review
from validator.books import read_layers
from validator.command import jobs, main, options
from validator.report.data import as_json, reviews_data, reviews_json
from validator.report.layout import Look
from validator.report.page import CHECKS, clause_page

ROOT = Path(__file__).resolve().parent.parent
JOBS = ROOT / "fixtures" / "jobs"
GOOD = JOBS / "holds-ordinary.yaml"
METRIC = JOBS / "holds-millimetres.yaml"


@dataclass(frozen=True, slots=True)
class Ran:
    """What a call came to."""

    code: int
    out: str
    err: str


@pytest.fixture(autouse=True)
def _plain(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    for name in ("COLUMNS", "NO_COLOR", "FORCE_COLOR", "PYTHONIOENCODING"):
        monkeypatch.delenv(name, raising=False)
    before = signal.getsignal(signal.SIGINT)
    yield
    signal.signal(signal.SIGINT, before)


class Call:
    """Calls the command in this process."""

    def __init__(self, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
        """Keep what sets the arguments and what reads the output."""
        self._monkeypatch = monkeypatch
        self._capsys = capsys

    def __call__(self, *args: str | Path) -> Ran:
        self._monkeypatch.setattr(sys, "argv", ["paneproof", *map(str, args)])
        with pytest.raises(SystemExit) as ended:
            main()
        said = self._capsys.readouterr()
        return Ran(int(ended.value.code or 0), said.out, said.err)


@pytest.fixture
def call(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Call:
    return Call(monkeypatch, capsys)


def changed(folder: Path, name: str, *changes: tuple[str, str]) -> Path:
    """Write the good job with some texts replaced, beside its kits."""
    text = GOOD.read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    kits = folder / "kits"
    if not kits.exists():
        shutil.copytree(ROOT / "fixtures" / "kits", kits)
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


@pytest.fixture
def failing(tmp_path: Path) -> Path:
    """Return a job whose door opens too little."""
    return changed(tmp_path, "narrow.yaml", ("split: 30", "split: 40"))


@pytest.fixture
def unmeasured(tmp_path: Path) -> Path:
    """Return a job of which one reading was not taken."""
    return changed(tmp_path, "unmeasured.yaml", ("stand_up_height: 100", "stand_up_height:"))


def outside(*args: str | Path, **more: object) -> "subprocess.CompletedProcess[bytes]":
    """Run the command as another program would."""
    command = [sys.executable, "-m", "validator.command", *map(str, args)]
    return subprocess.run(command, capture_output=True, check=False, timeout=60, **more)  # type: ignore[call-overload,no-any-return]  # noqa: S603  # our own program


def test_a_job_that_holds_ends_with_0(call: Call) -> None:
    ran = call("review", GOOD)
    assert (ran.code, ran.err) == (0, "")
    assert "Ready to order: YES." in ran.out


def test_a_job_with_errors_ends_with_1(call: Call, failing: Path) -> None:
    ran = call("review", failing, "--explain")
    assert (ran.code, ran.err) == (1, "")
    assert "Ready to order: NO" in ran.out
    assert re.search(r"Clause +sliding\.clear-opening, for door", ran.out)
    assert max(map(len, ran.out.splitlines())) <= max(80, 14 + len(f"{failing}:99:99"))


def test_what_is_not_measured_is_asked_for_and_is_no_error(call: Call, unmeasured: Path) -> None:
    ran = call("review", unmeasured, "--explain")
    assert ran.code == 0
    assert "Ready to order: YES" in ran.out
    assert "- survey.stand_up_height: " in ran.out
    assert "1 clause waits, the release does not" in " ".join(ran.out.split())


def test_a_stage_is_asked_about(call: Call, unmeasured: Path) -> None:
    assert "Ready to hand over: NO" in call("review", unmeasured, "--release", "handover").out


def test_what_is_built_is_not_designed_again(call: Call) -> None:
    narrow = JOBS / "fails-open-door-too-narrow.yaml"
    assert "Cure     Change the split" in call("review", narrow, "--explain").out
    hung = call("review", narrow, "--release", "handover", "--explain").out
    assert "To do    It is built so:" in hung
    assert "Cure " not in hung


def test_all_tells_what_holds(call: Call) -> None:
    assert "sliding.clear-opening" not in call("review", GOOD).out
    assert "(sliding.clear-opening, for door)" in " ".join(
        call("review", GOOD, "--all").out.split()
    )


def test_a_code_set_takes_the_place_of_the_jobs_own(call: Call) -> None:
    out = call("review", GOOD, "--code", "upc-2024", "--code", "en-12150").out
    assert "codes upc-2024, en-12150" in out


def test_json_is_one_object(call: Call, failing: Path) -> None:
    ran = call("review", failing, "--format", "json")
    data = json.loads(ran.out)
    assert (ran.code, ran.err) == (1, "")
    assert data["file"] == failing.as_posix()
    assert data["release"]["ready"] is False
    found = next(one for one in data["findings"] if one["clause"] == "sliding.clear-opening")
    assert found["outcome"] == "fails"
    assert found["limit"] == {"value": 558.8, "unit": "mm", "text": "22 in"}


def test_several_jobs_are_told_in_a_line_each(call: Call, failing: Path) -> None:
    ran = call("review", GOOD, failing, METRIC)
    assert ran.code == 1
    assert ran.out.count("Glass can maim") == 1
    assert "3 files: 2 ready, 1 not ready." in ran.out
    lines = ran.out.splitlines()
    assert [line.split()[2] for line in lines[2:5]] == ["yes", "no", "yes"]
    assert "What fails as an error" in ran.out
    assert "[sliding.clear-opening]" in ran.out
    assert len(lines) < 40


def test_several_jobs_are_told_whole_where_that_is_asked(call: Call, failing: Path) -> None:
    ran = call("review", GOOD, failing, "--explain")
    assert ran.out.index("Job 24-117") < ran.out.index("2 files: 1 ready, 1 not ready.")
    assert ran.out.count("Before anyone relies on this") == 1
    assert "Why " in ran.out
    one = call("review", GOOD, failing, "--number", "1")
    assert "2 files: 1 ready, 1 not ready." in one.out


def test_a_job_is_told_before_the_next_is_read(
    call: Call, monkeypatch: pytest.MonkeyPatch, failing: Path
) -> None:
    told: list[str] = []
    monkeypatch.setattr(jobs, "put", told.append)
    seen: list[int] = []
    read = options.read_job_or_kit

    def reading(*args: Any, **kwargs: Any) -> Any:  # noqa: ANN401 - what stands in for it
        seen.append(len(told))
        return read(*args, **kwargs)

    monkeypatch.setattr(jobs, "read_job_or_kit", reading)
    call("review", GOOD, failing, METRIC)
    assert seen == [1, 2, 3]


class _Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(
    ("args", "says"),
    [
        (["review", str(GOOD), str(METRIC)], "1 of 2: "),
        (["prove", "--arrangement", "in-line slider"], "1 tried: "),
    ],
)
def test_long_work_tells_how_far_it_is_where_someone_looks(
    call: Call, monkeypatch: pytest.MonkeyPatch, args: list[str], says: str
) -> None:
    watched = _Terminal()
    monkeypatch.setattr(sys, "stderr", watched)
    call(*args)
    text = watched.getvalue()
    assert says in text
    assert text.endswith("\r")
    assert "\n" not in text


def test_the_json_of_several_jobs_is_one_text_in_pieces(rules: Rules) -> None:
    job = load_job(GOOD, rules)
    found = review(job, rules)
    for many in range(3):
        whole = as_json(reviews_data([found] * many, "0.1.0"))
        assert "".join(reviews_json(iter([found] * many), "0.1.0")) == whole


def test_several_jobs_in_json(call: Call, failing: Path) -> None:
    data = json.loads(call("review", GOOD, failing, "--format", "json").out)
    assert list(data) == ["paneproof", "format", "jobs"]
    assert [job["release"]["ready"] for job in data["jobs"]] == [True, False]


def test_a_broken_job_does_not_stop_the_others(call: Call, tmp_path: Path) -> None:
    broken = changed(tmp_path, "broken.yaml", ("overlap: 1 1/2", "overlpa: 1 1/2"))
    ran = call("review", broken, GOOD)
    assert ran.code == 2
    assert [line.split()[2] for line in ran.out.splitlines()[2:4]] == ["broken", "yes"]
    assert "1 could not be used" in ran.out
    before = broken.read_text(encoding="utf-8").partition("overlpa")[0]
    at = f"{broken.as_posix()}:{before.count(chr(10)) + 1}:"
    assert re.fullmatch(rf"{re.escape(at)}\d+: .*overlpa.*\n", ran.err)


@pytest.mark.parametrize("form", ["text", "json"])
def test_nothing_is_found_in_a_file_that_is_not_there(call: Call, form: str) -> None:
    ran = call("review", "no-such.yaml", "--format", form)
    assert ran == Ran(2, "", "no-such.yaml: There is no such file; check its name.\n")


def test_a_job_comes_from_standard_input(
    call: Call, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    text = changed(tmp_path, "job.yaml").read_bytes()
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(text)))
    ran = call("review", "-", "--explain")
    assert ran.code == 0
    assert "File     standard input" in ran.out


def test_kits_may_stand_elsewhere(call: Call, tmp_path: Path) -> None:
    job = tmp_path / "alone.yaml"
    job.write_bytes(GOOD.read_bytes())
    assert call("review", job).code == 2
    assert call("review", job, "--kits", ROOT / "fixtures" / "kits").code == 0


@pytest.mark.parametrize(
    ("args", "says"),
    [
        (["review", str(GOOD), "--release", "ordr"], "There is no stage 'ordr'. Did you mean 'or"),
        (["review", str(GOOD), "--format", "jsn"], "There is no format 'jsn'. Did you mean 'json'"),
        (["review", str(GOOD), "--code", "irc-2012"], "There is no code set or policy irc-2012"),
        (["cite", "sliding.clear-openin"], "Did you mean 'sliding.clear-opening'?"),
        (["schema", "boook"], "There is no kind of file 'boook'. Did you mean 'book'?"),
        (["review"], "Missing argument"),
        (["review", str(GOOD), "--no-such"], "No such option"),
        (["revue"], "No such command"),
        (["prove", "no-such-book.yaml"], "no-such-book.yaml: "),
    ],
)
def test_wrong_calls_end_with_2_and_a_sentence(call: Call, args: Sequence[str], says: str) -> None:
    ran = call(*args)
    assert (ran.code, ran.out) == (2, "")
    assert says in ran.err


def test_the_version_is_told(call: Call) -> None:
    ran = call("--version")
    assert ran.code == 0
    assert re.fullmatch(r"paneproof (\d+\.\d+\.\d+\S*|unknown)\n", ran.out)


def test_a_clause_has_a_page(call: Call) -> None:
    ran = call("cite", "compartment.area")
    said = " ".join(ran.out.split())
    assert (ran.code, ran.err) == (0, "")
    for part in (
        "Asks compartment.area >= limit.least",
        "For each compartment",
        "in-line slider",
        "limit.least: 900 in2, by International Residential Code 2021, P2708.1",
        "Change compartment.survey.width: ",
        "upc-2024 (Uniform Plumbing Code 2024",
        "1024 in2",
        "- exactly at the limit: holds compartment.area = 900 in2",
        '"The compartment has 899 sq in inside; at least 900 sq in is needed, 1 sq in more."',
    ):
        assert part in said


def test_every_clause_has_a_page_within_the_width(rules: Rules, ran: Callable[[], None]) -> None:
    for name, checked in rules.library.clauses.items():
        ran()
        page = clause_page(name, rules.library, rules.codes, {}, Look())
        assert page.startswith(f"{name}\n{checked.clause.title}\n")
        assert page.count("\n  - ") >= len(checked.clause.proofs) >= 2
        wide = [line for line in page.splitlines() if len(line) > 80]
        assert all(re.fullmatch(r" +(Where +)?\S+", line) for line in wide)


def test_the_list_has_a_line_a_clause_by_book(call: Call, rules: Rules) -> None:
    listed = call("cite").out
    assert max(map(len, listed.splitlines())) <= 80
    listed, _, checks = listed.partition("\norder-check: ")
    assert re.findall(r"(?m)^  ([a-z.-]+) {2,}\S", checks) == list(CHECKS)
    headed = re.findall(r"(?m)^([a-z-]+): \S", listed)
    assert headed == [name for name, book in rules.library.books.items() if book.clauses]
    assert re.findall(r"(?m)^  ([a-z-]+\.[a-z0-9-]+) {2,}\S", listed) == [
        clause.name for name in headed for clause in rules.library.books[name].clauses
    ]


def test_every_check_of_the_papers_has_a_page(call: Call, ran: Callable[[], None]) -> None:
    for name, title in CHECKS.items():
        ran()
        assert call("cite", name).out.startswith(f"{name}\n{title}\n\n  Looks at ")
    assert "Did you mean 'order-check.hole'?" in call("cite", "order-check.holes").err


def test_a_page_knows_the_code_sets_beside_a_job(call: Call, tmp_path: Path) -> None:
    (tmp_path / "policies").mkdir()
    policy = ROOT / "fixtures" / "policies" / "careful-shop.yaml"
    (tmp_path / "policies" / policy.name).write_bytes(policy.read_bytes())
    amended = next(iter(read_layers([policy.parent])["careful-shop"].amends))
    assert "careful-shop" not in call("cite", amended).out
    (tmp_path / "jobs").mkdir()
    assert "careful-shop (" in call("cite", amended, "--job", tmp_path / "jobs" / "any.yaml").out


def test_the_list_says_which_arrangements_ask_a_clause(call: Call, tmp_path: Path) -> None:
    (tmp_path / "arrangements").mkdir()
    (tmp_path / "arrangements" / "way-in.yaml").write_text(
        "arrangement: way in\ntitle: A way in, and nothing to carry through it\n"
        "parts: {route: {is: route, means: the way in}}\n",
        encoding="utf-8",
    )
    listed = call("cite", "--books", tmp_path).out
    assert re.search(
        r"adopted: The code that is adopted\n  Asked in: [^:]*in-line[^:]*way\s+in\n", listed
    )
    assert re.search(r"\n  adopted.accessible-by-choice .*\n +only in: [^:]*in-line", listed)
    own = call("cite", "--books", tmp_path, "--arrangement", "way in").out
    assert "adopted.covers-building" in own
    assert "adopted.accessible-by-choice" not in own
    assert "in-line slider" not in own
    page = call("cite", "adopted.covers-building", "--books", tmp_path).out
    assert re.search(r"  In       bath slider\n[^:]*in-line slider\n[^:]*           way in\n", page)
    assert call("prove", tmp_path).code == 0
    made = json.loads(call("schema", "job", "--books", tmp_path, "--arrangement", "way in").out)
    assert made["properties"]["arrangement"]["enum"] == ["way in"]
    told = call("schema", "job", "--books", tmp_path).err
    assert told.startswith("A job is of one arrangement; name it with --arrangement: bath ")
    assert told.endswith(", way in.\n")


def test_the_proofs_of_one_arrangement_are_run_by_themselves(call: Call, tmp_path: Path) -> None:
    (tmp_path / "arrangements").mkdir()
    (tmp_path / "arrangements" / "one-lamp.yaml").write_text(
        "arrangement: one lamp\ntitle: A lamp by itself\n"
        "parts: {lamp: {is: lamp, means: the lamp}}\n",
        encoding="utf-8",
    )
    (tmp_path / "lamps.yaml").write_text(LAMPS, encoding="utf-8")
    own = call("prove", tmp_path, "--arrangement", "one lamp")
    assert own.code == 1
    assert re.search(r"lamp.double, worked: It is 4 in, not 5 in", own.out), own.out
    assert "lamps.small" in own.out
    tried = re.search(r"([\d,]+) proofs, dropped facts and changes tried: 2 wrong", own.out)
    assert tried is not None, own.out
    assert int(tried[1].replace(",", "")) < 200  # thousands are of what no lamp is asked
    other = call("prove", tmp_path, "--arrangement", "in-line slider")
    assert (other.code, "lamp" in other.out) == (0, False)
    none = call("prove", "--arrangement", "two lamps")
    assert none.code == 2
    assert none.err.startswith("There is no arrangement 'two lamps'.")


LAMPS = """\
book: lamps
title: Lamps
about: A sort that no shipped book has, with two slips in its proofs.
sorts: {lamp: {}}
facts:
  lamp.design.size: {for: each lamp, means: Size, kind: length, range: [0 in, 9 in]}
workings:
  lamp.double:
    for: each lamp
    means: Twice the size
    is: lamp.design.size * 2
    kind: length
    proofs: {worked: {given: {lamp.design.size: 2 in}, is: 5 in}}
clauses:
  small:
    title: The lamp is small
    for: each lamp
    needs: lamp.double <= limit.most
    limits: {most: {is: 4 in, basis: {standing: shop policy, note: made up}}}
    level: error
    stage: design
    why: A large one is in the way.
    says: "The lamp is {actual}; at most {limit} is allowed."
    do: Make it smaller.
    levers: [lamp.design.size]
    proofs:
      holds: {at the limit: {given: {lamp.double: 4 in}}}
      fails: {under the limit: {given: {lamp.double: 3 in}}}
"""


BOOK = """\
book: tiny
title: A book of one clause
about: One size and its least value.
facts:
  design.tiny: {means: A size, kind: length, range: [0 in, 10 in]}
clauses:
  size:
    title: The size is large enough
    needs: design.tiny >= limit.least
    limits:
      least: {is: 1 in, basis: {standing: shop policy}}
    level: note
    stage: design
    basis: {standing: shop policy}
    why: A test needs it.
    says: "The size is {actual}; at least {limit} is needed, {short} more."
    levers: [design.tiny]
    proofs:
      holds: {exactly at the limit: {given: {design.tiny: 1 in}}}
      fails:
        one sixteenth under:
          given: {design.tiny: 15/16 in}
          says: "The size is 15/16 in; at least 1 in is needed, 1/16 in more."
"""


def test_books_that_prove_themselves_end_with_0(call: Call, tmp_path: Path) -> None:
    book = tmp_path / "tiny.yaml"
    book.write_text(BOOK, encoding="utf-8")
    ran = call("prove", book)
    assert (ran.code, ran.err) == (0, "")
    assert re.fullmatch(
        r"[\d,]+ proofs, dropped facts and changes tried: all are right.\n", ran.out
    )


def test_a_wrong_proof_is_told_with_its_place(call: Call, tmp_path: Path) -> None:
    book = tmp_path / "tiny.yaml"
    book.write_text(BOOK.replace("{design.tiny: 1 in}", "{design.tiny: 3/4 in}"), encoding="utf-8")
    ran = call("prove", tmp_path)
    *wrong, total = ran.out.splitlines()
    assert ran.code == 1
    assert wrong[0].startswith(f"{book.as_posix()}:19:")
    assert "tiny.size, exactly at the limit: " in wrong[0]
    assert total.endswith(f"{len(wrong)} wrong.")


def test_a_broken_book_ends_with_2(call: Call, tmp_path: Path) -> None:
    book = tmp_path / "tiny.yaml"
    book.write_text(BOOK.replace("design.tiny >=", "design.tinny >="), encoding="utf-8")
    calls: tuple[tuple[str | Path, ...], ...] = (
        ("prove", book),
        ("review", GOOD, "--books", book),
        ("cite", "--books", book),
    )
    for args in calls:
        ran = call(*args)
        assert (ran.code, ran.out) == (2, "")
        assert ran.err.startswith(f"{book.as_posix()}:9:")
        assert "design.tinny" in ran.err


@pytest.mark.parametrize("kind", ["book", "kit", "job", "code"])
def test_a_schema_is_printed(call: Call, kind: str) -> None:
    ran = call("schema", kind, *(["--arrangement", "in-line slider"] * (kind == "job")))
    assert (ran.code, ran.err) == (0, "")
    assert json.loads(ran.out)["$schema"] == "https://json-schema.org/draft/2020-12/schema"


def test_a_fault_of_our_own_is_a_sentence(call: Call, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_args: object, **_more: object) -> None:
        raise KeyError("door")

    monkeypatch.setattr("validator.load_rules", broken)
    ran = call("review", GOOD)
    assert (ran.code, ran.out) == (2, "")
    assert ran.err.startswith("paneproof itself failed: KeyError: 'door'. Nothing was decided.")


@pytest.mark.skipif(os.name != "posix", reason="pipes and names of bytes are POSIX's")
def test_a_reader_that_leaves_early_is_no_fault() -> None:
    command = [sys.executable, "-m", "validator.command", "review", str(GOOD)]
    with subprocess.Popen(  # noqa: S603  # our own program
        command, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as ran:
        assert ran.stdout is not None
        assert ran.stderr is not None
        ran.stdout.close()
        assert ran.stderr.read() == b""
    assert ran.returncode == 0


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="there is no /dev/full")
def test_a_full_disk_ends_with_2() -> None:
    with Path("/dev/full").open("wb") as full:
        ran = subprocess.run(  # noqa: S603  # our own program
            [sys.executable, "-m", "validator.command", "review", str(GOOD)],
            stdout=full,
            stderr=subprocess.PIPE,
            check=False,
            timeout=60,
        )
    assert ran.returncode == 2
    assert ran.stderr == b"standard output: No space left on device.\n"


@pytest.mark.parametrize("encoding", ["ascii", "cp1252", "utf-8"])
def test_any_encoding_can_carry_a_report(tmp_path: Path, encoding: str) -> None:
    title = "title: Bad \u2013 \u73bb\u7483 \u00bd"
    job = changed(tmp_path, "job.yaml", ("title: Slider over a tiled curb", title))
    ran = outside("review", job, env={**os.environ, "PYTHONIOENCODING": encoding})
    assert (ran.returncode, ran.stderr) == (0, b"")
    said = ran.stdout.decode(encoding)
    assert ("Bad - \\u73bb" in said) == (encoding != "utf-8")


@pytest.mark.skipif(os.name != "posix", reason="pipes and names of bytes are POSIX's")
def test_a_file_name_does_not_steer_the_terminal() -> None:
    ran = outside("review", b"no\x1b[31m\xff.yaml".decode(errors="surrogateescape"))
    assert ran.returncode == 2
    assert ran.stderr == b"no\\x1b[31m\\udcff.yaml: There is no such file; check its name.\n"


def test_colour_is_for_terminals() -> None:
    pty = pytest.importorskip("pty", reason="there are no pseudo-terminals here")
    terminal, inside = pty.openpty()
    ran = subprocess.run(  # noqa: S603  # our own program
        [sys.executable, "-m", "validator.command", "review", str(GOOD)],
        stdout=inside,
        stderr=subprocess.PIPE,
        env={**os.environ, "TERM": "xterm"},
        check=False,
        timeout=60,
    )
    os.close(inside)
    seen = os.read(terminal, 4096)
    os.close(terminal)
    assert ran.returncode == 0
    assert b"\x1b[1mJob 24-117" in seen
    assert b"\x1b[" not in outside("review", GOOD).stdout


def test_a_review_loads_nothing_heavy() -> None:
    code = (
        "import sys\n"
        "from validator.command import main\n"
        f"sys.argv = ['paneproof', 'review', {str(GOOD)!r}]\n"
        "try:\n    main()\nexcept SystemExit:\n    pass\n"
        "heavy = {'rich', 'numpy', 'jsonschema', 'pydantic', 'click'}\n"
        "print(sorted(heavy & set(sys.modules)), file=sys.stderr)\n"
    )
    ran = subprocess.run(  # noqa: S603  # our own program
        [sys.executable, "-c", code], capture_output=True, check=False, timeout=60, text=True
    )
    assert "Ready to order: YES" in ran.stdout
    assert ran.stderr == "[]\n"
