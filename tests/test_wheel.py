"""What is built from the checkout: a wheel with two packages, an sdist with everything."""

import tarfile
import zipfile
from collections.abc import Iterator
from contextlib import chdir
from email import message_from_bytes
from pathlib import Path, PurePosixPath

import pytest

from validator.ready import sources_hash

MOST_BYTES = 3_000_000
ROOT = Path(__file__).resolve().parent.parent

pytestmark = pytest.mark.skipif(
    not (ROOT / "pyproject.toml").is_file() or not (ROOT / "ruleset").is_dir(),
    reason="these tests stand away from a checkout, so there is nothing to build",
)


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Iterator[zipfile.ZipFile]:
    hatchling = pytest.importorskip("hatchling.build", reason="hatchling is not installed")
    into = tmp_path_factory.mktemp("wheel")
    with chdir(ROOT):
        name = hatchling.build_wheel(str(into))
    with zipfile.ZipFile(into / name) as opened:
        yield opened


@pytest.fixture(scope="module")
def sdist(tmp_path_factory: pytest.TempPathFactory) -> frozenset[str]:
    hatchling = pytest.importorskip("hatchling.build", reason="hatchling is not installed")
    into = tmp_path_factory.mktemp("sdist")
    with chdir(ROOT):
        name = hatchling.build_sdist(str(into))
    with tarfile.open(into / name) as opened:
        return frozenset(
            str(PurePosixPath(*PurePosixPath(member).parts[1:])) for member in opened.getnames()
        )


def files_under(folder: str, pattern: str = "*") -> list[str]:
    """Return the checkout's files under a folder, less what running Python leaves behind."""
    return sorted(
        path.relative_to(ROOT).as_posix()
        for path in (ROOT / folder).rglob(pattern)
        if path.is_file() and "__pycache__" not in path.parts
    )


def test_only_two_packages_are_at_the_top(wheel: zipfile.ZipFile) -> None:
    tops = {name.split("/")[0] for name in wheel.namelist()}
    (info,) = (top for top in tops if top.endswith(".dist-info"))
    assert tops == {"ruleset", "validator", info}
    assert info.startswith("paneproof-")


def test_built_in_books_are_inside(wheel: zipfile.ZipFile) -> None:
    books = files_under("rules")
    assert books
    for book in books:
        inside = f"ruleset/builtin/{PurePosixPath(book).relative_to('rules')}"
        assert wheel.read(inside) == (ROOT / book).read_bytes()


@pytest.mark.parametrize("package", ["ruleset", "validator"])
def test_every_module_and_the_types_marker_are_inside(wheel: zipfile.ZipFile, package: str) -> None:
    expected = {*files_under(package, "*.py"), f"{package}/py.typed"}
    assert expected <= set(wheel.namelist())


def test_the_books_are_made_ready_inside(wheel: zipfile.ZipFile) -> None:
    made: dict[str, object] = {}
    exec(wheel.read("validator/made.py"), made)  # noqa: S102  # as an import would
    assert made["SOURCES"] == sources_hash()
    assert Path(str(wheel.filename)).stat().st_size <= MOST_BYTES


def test_command_is_the_only_entry_point(wheel: zipfile.ZipFile) -> None:
    (name,) = (name for name in wheel.namelist() if name.endswith("entry_points.txt"))
    lines = wheel.read(name).decode().split("\n")
    assert [line for line in lines if line] == [
        "[console_scripts]",
        "paneproof = validator.command:main",
    ]


def test_metadata_names_what_is_needed(wheel: zipfile.ZipFile) -> None:
    (name,) = (name for name in wheel.namelist() if name.endswith("METADATA"))
    metadata = message_from_bytes(wheel.read(name))
    assert metadata["Name"] == "paneproof"
    assert metadata["Requires-Python"] == ">=3.11"
    plain = [need for need in metadata.get_all("Requires-Dist", []) if "extra ==" not in need]
    assert {need.lower().split(">")[0].split("<")[0] for need in plain} == {
        "jsonschema",
        "pluggy",
        "pyyaml",
        "typer",
    }
    assert any(name.endswith("/LICENSE") for name in wheel.namelist())


@pytest.mark.parametrize("folder", ["ruleset", "validator", "rules", "tests", "fixtures"])
def test_sdist_holds_the_whole_project(sdist: frozenset[str], folder: str) -> None:
    assert set(files_under(folder)) <= sdist
