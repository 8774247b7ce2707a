"""The developers' page: its example of the engine runs, and its table of files is true."""

import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest

from ruleset.hands import shapes
from ruleset.library import Library
from ruleset.plan import plan
from validator import Rules

ROOT = Path(__file__).parent.parent
GUIDE = ROOT / "DEVELOPERS.md"


@pytest.fixture
def text() -> str:
    if not GUIDE.exists():
        pytest.skip("no checkout: DEVELOPERS.md is not beside the tests")
    return GUIDE.read_text(encoding="utf-8")


def test_the_example_of_the_engine_runs(
    text: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    found = re.search(r"```python\n(import math\n.*?)```", text, re.DOTALL)
    assert found is not None
    monkeypatch.chdir(ROOT)
    exec(compile(found[1], "DEVELOPERS.md", "exec"), {})  # noqa: S102  # our own text
    # By hand, in inches: from 1 + 20 to 100 - 2 - 30, less a gap of 1/4 on either side.
    assert capsys.readouterr().out == "left 46.5\nright 46.5\n"


def _rows(text: str) -> list[list[str]]:
    """Return the paths of each row of the table of files, short names by the folder before them."""
    table = text.partition("| step | file |")[2].partition("\n\n")[0]
    return [list(_paths(row)) for row in table.splitlines()[2:]]


def _paths(row: str) -> Iterator[str]:
    folder = ""
    for path in re.findall(r"`([a-z0-9_/-]+(?:/|\.py|\.yaml))`", row):
        whole = path if path.startswith(("ruleset/", "validator/", "rules/")) else folder + path
        folder = whole if path == whole and whole.endswith("/") else folder
        yield whole


def test_the_table_names_files_that_are_there_and_none_twice(text: str) -> None:
    every = [path for row in _rows(text) for path in row]
    assert len(every) > 100
    assert [path for path in every if not (ROOT / path).exists()] == []
    assert [path for path, count in Counter(every).items() if count > 1] == []


def test_every_file_of_the_packages_has_a_row(text: str) -> None:
    named = {path for row in _rows(text) for path in row}
    files = [
        file.relative_to(ROOT).as_posix()
        for package in ("ruleset", "validator")
        for file in sorted((ROOT / package).rglob("*.py"))
    ]
    assert len(files) > 200
    folders = tuple(path for path in named if path.endswith("/"))
    assert [one for one in files if one not in named and not one.startswith(folders)] == []


def test_the_tree_of_sorts_is_that_of_the_books(text: str, rules: Rules) -> None:
    tree = re.search(r"each below the one it `is`.*?```text\n(.*?)```", text, re.DOTALL)
    assert tree is not None
    drawn: list[tuple[str, str]] = []
    above: list[str] = []
    for line in tree[1].splitlines():
        name = line.strip()
        depth = (len(line) - len(name)) // 2
        drawn.append((above[depth - 1] if depth else "", name))
        above[depth:] = [name]
    sorts = rules.library.sorts
    extends = {(up, one.name) for one in sorts.values() for up in one.extends}
    assert {pair for pair in drawn if pair[0]} == extends
    tops = {up for up, _ in extends} - {name for _, name in extends}
    assert {name for up, name in drawn if not up} == tops


def test_the_picture_of_a_reading_is_true(text: str, rules: Rules, bound: Library) -> None:
    picture = re.search(r"from book to finding:\n\n```text\n(.*?)```", text, re.DOTALL)
    assert picture is not None
    sorts = rules.library.sorts
    assert sorts["wall"].extends == ("side",)
    assert sorts["fixed panel"].extends == ("pane", "side")
    assert sorts["fixed panel"].roles["beside"].sorts == ("wall",)
    assert bound.parts["left"].sorts[0] == "bar wall"
    assert bound.parts["fixed"].sorts[0] == "slider panel"
    for shape, place in zip(shapes(bound, ()), ("left", "right"), strict=True):
        name = plan(bound, shape).plain("fixed.beside.survey.lean")
        assert name == f"survey.{place}.lean"
        assert name in bound.facts
        assert name in picture[1]
