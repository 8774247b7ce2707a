"""Where the command is called from, and where its output goes."""

import os
import shutil
import subprocess
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
FIXTURES = ROOT / "fixtures"
ORDINARY = FIXTURES / "jobs" / "holds-ordinary.yaml"
CURED = "fails-too-little-lap.yaml"

full = pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device is always full here")


def call(
    *args: str | Path,
    folder: Path = ROOT,
    given: bytes = b"",
    more: Mapping[str, str] | None = None,
    out: int | None = subprocess.PIPE,
    err: int | None = subprocess.PIPE,
) -> subprocess.CompletedProcess[bytes]:
    """Run the command as a program of its own."""
    return subprocess.run(  # noqa: S603  # our own program
        [sys.executable, "-m", "validator.command", *map(str, args)],
        cwd=folder,
        env={**os.environ, **(more or {})},
        input=given,
        stdout=out,
        stderr=err,
        check=False,
        timeout=60,
    )


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """Return a shop's folder: jobs, and beside their folder kits, a policy, a code set, stock."""
    jobs = tmp_path / "shop" / "jobs"
    jobs.mkdir(parents=True)
    shutil.copytree(FIXTURES / "kits", jobs.parent / "kits")
    shutil.copytree(FIXTURES / "policies", jobs.parent / "policies")
    (jobs.parent / "codes").mkdir()
    (jobs.parent / "codes" / "here.yaml").write_text(
        "code: here\ntitle: The local code\nunder: [irc-2021]\namends: {}\n", encoding="utf-8"
    )
    (jobs.parent / "stock.yaml").write_text(
        "stock: ours\nthicknesses: [3/8 in]\nkits: [ostrel-inch]\n", encoding="utf-8"
    )
    text = ORDINARY.read_text(encoding="utf-8")
    assert "code: irc-2021\n" in text
    text = text.replace("code: irc-2021\n", "code: here\npolicy: careful-shop\n")
    (jobs / "job.yaml").write_text(text, encoding="utf-8")
    shutil.copy(FIXTURES / "jobs" / CURED, jobs)
    return jobs.parent


@pytest.mark.parametrize(
    ("place", "name"),
    [
        (".", "jobs/job.yaml"),
        (".", "./jobs/job.yaml"),
        ("jobs", "job.yaml"),
        ("jobs", "./job.yaml"),
        ("jobs", "-"),
        ("kits", "../jobs/job.yaml"),
        ("..", "shop/jobs/job.yaml"),
    ],
)
def test_what_is_beside_a_job_is_found_from_anywhere(shop: Path, place: str, name: str) -> None:
    given = (shop / "jobs" / "job.yaml").read_bytes() if name == "-" else b""
    ran = call("review", name, "--all", folder=shop / place, given=given)
    assert (ran.returncode, ran.stderr) == (0, b"")
    said = ran.stdout.decode()
    assert "careful-shop" in said
    assert "here" in said


@pytest.mark.parametrize(
    ("place", "name"), [(".", f"jobs/{CURED}"), ("jobs", CURED), ("jobs", "-")]
)
def test_the_stock_beside_a_job_is_found_from_anywhere(shop: Path, place: str, name: str) -> None:
    (shop / "stock.yaml").write_text("stock: ours\nkits: [no-such-kit]\n", encoding="utf-8")
    given = (shop / "jobs" / CURED).read_bytes() if name == "-" else b""
    ran = call("remedy", name, folder=shop / place, given=given)
    assert ran.returncode == 2
    assert b"stock.yaml:2:7: There is no kit no-such-kit beside the jobs" in ran.stderr


@pytest.mark.parametrize("command", ["review", "takeoff"])
@pytest.mark.parametrize(
    ("option", "folder", "says"),
    [
        ("--kits", "nowhere", "nowhere: There is no such folder of kits; check its name.\n"),
        (
            "--kits",
            "README.md",
            "README.md: This is a file; name the folder that holds the kits.\n",
        ),
        ("--books", "nowhere", "nowhere: There is no such file; check its name.\n"),
        (
            "--books",
            "EMPTY",
            (
                "EMPTY: There is no book in this folder, no code set in its codes/ or policies/ "
                "and nothing in its arrangements/.\n"
            ),
        ),
    ],
)
def test_a_folder_that_is_not_there_is_no_folder_without_kits(
    tmp_path: Path, command: str, option: str, folder: str, says: str
) -> None:
    (tmp_path / "EMPTY").mkdir()
    (tmp_path / "README.md").write_text("no kits", encoding="utf-8")
    ran = call(command, ORDINARY, option, folder, folder=tmp_path)
    assert (ran.returncode, ran.stdout, ran.stderr.decode()) == (2, b"", says)


@pytest.mark.parametrize("command", ["cite", "prove", "schema"])
def test_books_that_are_not_there(command: str) -> None:
    given = {"cite": ["--books"], "prove": [], "schema": ["job", "--books"]}[command]
    ran = call(command, *given, "nowhere")
    assert (ran.returncode, ran.stdout) == (2, b"")
    assert ran.stderr == b"nowhere: There is no such file; check its name.\n"


@full
@pytest.mark.parametrize(
    ("args", "code"),
    [
        (("review", "nowhere.yaml"), 2),
        (("review", str(ORDINARY), "--no-such-option"), 2),
        (("review", str(ORDINARY), "--release", "nowhen"), 2),
        (("remedy", str(ORDINARY), "--write", "nowhere/x.yaml"), 0),
        (("no-such-command",), 2),
        ((), 2),
    ],
)
def test_where_standard_error_is_full_the_exit_code_still_says_it(
    args: Sequence[str], code: int
) -> None:
    with Path("/dev/full").open("wb") as device:
        assert call(*args, err=device.fileno()).returncode == code


@full
@pytest.mark.parametrize("args", [("review", str(ORDINARY)), ("sheet", str(ORDINARY)), ("--help",)])
def test_where_both_are_full_the_call_has_failed(args: Sequence[str]) -> None:
    with Path("/dev/full").open("wb") as device:
        assert call(*args, out=device.fileno(), err=device.fileno()).returncode == 2
        ran = call(*args, out=device.fileno())
    assert ran.returncode == 2
    assert ran.stderr.endswith(b"No space left on device.\n")
    assert b"Traceback" not in ran.stderr


@pytest.mark.skipif(os.name != "posix", reason="pipes that break are POSIX's")
@pytest.mark.parametrize(
    ("args", "code"),
    [
        (("--help",), 0),
        (("review", "--help"), 0),
        (("--version",), 0),
        (("review", str(ORDINARY)), 0),
        (("sheet", str(ORDINARY)), 0),
        (("schema", "job", "--arrangement", "in-line slider"), 0),
        ((), 2),
    ],
)
def test_a_reader_that_has_gone_away(args: Sequence[str], code: int) -> None:
    ends = os.pipe()
    os.close(ends[0])
    try:
        ran = call(*args, out=ends[1])
        assert (ran.returncode, ran.stderr if args else b"") == (code, b"")
        assert call("no-such-command", err=ends[1]).returncode == 2
        assert call("review", "nowhere.yaml", err=ends[1]).returncode == 2
    finally:
        os.close(ends[1])


@pytest.mark.parametrize(
    "args",
    [
        ("sheet",),
        ("draw",),
        ("takeoff",),
        ("takeoff", "--format=csv"),
        ("takeoff", "--format=json"),
    ],
)
def test_a_file_on_standard_output_is_the_file_of_out(tmp_path: Path, args: Sequence[str]) -> None:
    title = "title: Dusche \u2013 \u73bb\u7483 \u00bd"
    text = ORDINARY.read_text(encoding="utf-8").replace("title: Slider over a tiled curb", title)
    (tmp_path / "job.yaml").write_text(text, encoding="utf-8")
    shutil.copytree(FIXTURES / "kits", tmp_path / "kits")
    plain = {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"}
    assert call(*args, "job.yaml", "--out", "made", folder=tmp_path).returncode == 0
    made = (tmp_path / "made").read_bytes()
    assert args[0] != "sheet" or "\u73bb".encode() in made or b"\\u73bb" in made
    for more in ({}, plain, {"PYTHONIOENCODING": "utf-16"}, {"FORCE_COLOR": "1"}):
        ran = call(*args, "job.yaml", folder=tmp_path, more=more)
        assert (ran.returncode, ran.stderr) == (0, b"")
        assert ran.stdout == made


@pytest.mark.skipif(sys.platform != "linux", reason="other systems take no such name")
@pytest.mark.parametrize("command", ["sheet", "takeoff", "draw", "review"])
def test_a_job_whose_name_is_no_text(tmp_path: Path, command: str) -> None:
    name = b"j\xff.yaml".decode(errors="surrogateescape")
    (tmp_path / name).write_bytes(ORDINARY.read_bytes())
    shutil.copytree(FIXTURES / "kits", tmp_path / "kits")
    ran = call(command, name, folder=tmp_path)
    assert (ran.returncode, ran.stderr) == (0, b"")
    ran.stdout.decode("utf-8")
