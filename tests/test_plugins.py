"""Plugins: one that is really installed and discovered, and those that are refused."""

import json
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from typer.testing import CliRunner

from ruleset import KINDS, Function, PluginError
from ruleset.book import Basis
from ruleset.errors import Stopped
from ruleset.explain import Amount
from ruleset.place import Place
from validator import Finding, Review, books, hook, load_job, load_rules, review
from validator.command import app
from validator.hooks import HOOKS
from validator.plugins import load_plugins, register
from validator.report.data import review_data
from validator.report.layout import Look
from validator.report.text import review_text

HERE = Path(__file__).parent
ORDINARY = HERE.parent / "fixtures" / "jobs" / "holds-ordinary.yaml"
SCRIPT = """
import json, sys
from pathlib import Path
from validator import load_job, load_rules, review
rules = load_rules()
job = load_job(Path(sys.argv[1]), rules)
said = review(job, rules)
print(json.dumps({
    "plugins": [name for name, _ in rules.plugins.list_name_plugin()],
    "findings": [[f.clause, f.subject, f.says] for f in said.findings],
}))
"""


@pytest.fixture(scope="module")
def installed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return a folder that the sample plugin was installed into by pip."""
    target = tmp_path_factory.mktemp("site")
    source = tmp_path_factory.mktemp("source")
    for file in (HERE / "sample_plugin").rglob("*"):
        if file.is_file() and "__pycache__" not in file.parts:
            copy = source / file.relative_to(HERE / "sample_plugin")
            copy.parent.mkdir(parents=True, exist_ok=True)
            copy.write_bytes(file.read_bytes())
    command = [sys.executable, "-m", "pip", "install", "--quiet", "--no-deps", "--target"]
    command += [str(target), "--no-build-isolation", str(source)]
    subprocess.run(command, check=True, capture_output=True)  # noqa: S603  # our own words
    return target


def _run(installed: Path, job: Path) -> dict[str, Any]:
    # pip puts a --target folder on no path; PYTHONPATH makes it one that entry points are found on.
    env = {**os.environ, "PYTHONPATH": str(installed)}
    command = [sys.executable, "-c", SCRIPT, str(job)]
    done = subprocess.run(  # noqa: S603  # our own words
        command, check=True, capture_output=True, text=True, env=env, cwd=installed
    )
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def test_an_installed_plugin_gives_a_book_and_a_function(installed: Path) -> None:
    told = _run(installed, ORDINARY)
    assert list(told["plugins"]) == ["built-in", "sample"]
    sizes = [says for clause, _, says in told["findings"] if clause == "sample.crate"]
    assert len(sizes) == 2
    assert all("the crate takes 100 in" in says for says in sizes)


def test_an_installed_plugin_gives_a_finding(installed: Path, tmp_path: Path) -> None:
    text = ORDINARY.read_text(encoding="utf-8").replace(
        "title: Slider over a tiled curb, Alder Lane (invented)", "title: SLIDER"
    )
    (tmp_path / "kits").symlink_to(ORDINARY.parent.parent / "kits")
    job = tmp_path / "loud.yaml"
    job.write_text(text, encoding="utf-8")
    clauses = [clause for clause, _, _ in _run(installed, job)["findings"]]
    assert "sample.quiet-title" in clauses


def test_without_it_nothing_of_it_is_there() -> None:
    rules = load_rules(installed=False)
    assert not [name for name in rules.library.clauses if name.startswith("sample.")]


def _hooked(name: str, function: object) -> SimpleNamespace:
    return SimpleNamespace(**{name: hook(function)})  # type: ignore[call-overload]  # any function


def _other_arguments(colour: str) -> tuple[str, ...]:
    return (colour,)


@pytest.mark.parametrize(
    ("plugin", "says"),
    [
        (SimpleNamespace(), "has no hook"),
        (SimpleNamespace(paneproof_bocks=lambda: ()), "paneproof_bocks, which is no hook"),
        (_hooked("paneproof_books", _other_arguments), "does not fit the hooks"),
    ],
)
def test_a_bad_plugin_is_refused_by_name(plugin: object, says: str) -> None:
    manager = load_plugins(installed=False)
    with pytest.raises(PluginError, match=says) as refused:
        register(manager, plugin, "bad")
    assert "The plugin bad" in str(refused.value)
    assert not manager.has_plugin("bad")


def test_two_plugins_of_one_name_are_refused() -> None:
    manager = load_plugins(installed=False)
    with pytest.raises(PluginError, match="the name of another plugin"):
        register(manager, _hooked("paneproof_books", lambda: ()), "built-in")


AMOUNT = Amount(value=1.0, kind=KINDS["length"], text="1 mm")
UNSURE = replace(AMOUNT)
object.__setattr__(UNSURE, "value", "1")
GOOD = Finding(
    clause="loud.title",
    subject="job",
    outcome="fails",
    level="note",
    stage="survey",
    title="The title is written in small letters",
    says="The title is all capitals; write it as a sentence.",
    do="",
    why="Shouting is hard to read.",
    place=Place(file="job.yaml"),
    actual=None,
    limit=None,
    margin=None,
    working=(),
    basis=Basis(standing="shop policy"),
    missing=(),
)


def _reviewed(function: object) -> Review:
    """Return what is said of the ordinary job, which is ready, with a plugin beside the books."""
    rules = load_rules(installed=False)
    register(rules.plugins, _hooked("paneproof_findings", function), "loud")
    return review(load_job(ORDINARY, rules), rules)


def _told(said: Review) -> str:
    """Return the one sentence about the plugin of a job that is not released for it."""
    assert said.exit_code == 2
    assert not said.release.ready
    assert said.counts["holds"] > 100  # what the books say is not lost
    (sentence,) = said.broken
    assert review_text(said, Look(width=100)).count("a book or a plugin failed on it") == 1
    assert review_data(said, "1")["broken"] == [sentence]
    return sentence


def test_a_plugins_finding_is_told_with_the_others() -> None:
    def gives(verdict: object) -> tuple[Finding, ...]:
        assert verdict
        return (GOOD,)

    said = _reviewed(gives)
    assert (said.broken, said.release.ready) == ((), True)
    assert GOOD in said.findings


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"outcome": "wrong"}, "whose outcome is 'wrong'; it is one of fails, tight, unknown, "),
        ({"outcome": ["fails"]}, "in which outcome is of type list, not str."),
        ({"level": "fatal"}, "whose level is 'fatal'; it is one of note, warning, error."),
        ({"stage": "some day"}, "whose stage is 'some day'; it is one of survey, design, "),
        ({"clause": None}, "in which clause is of type NoneType, not str."),
        ({"clause": " "}, "whose clause is empty; write it."),
        ({"subject": ""}, "whose subject is empty; write it."),
        ({"says": ""}, "whose says is empty; write it."),
        ({"place": "job.yaml:1"}, "in which place is of type str, not Place."),
        ({"place": ("job.yaml", 1, 2, "")}, "in which place is of type tuple, not Place."),
        (
            {"place": Place._make(("a", "1", 0, ""))},
            "in which place.line is of type str, not int.",
        ),
        (
            {"place": Place(file="a", line=True)},
            "in which place.line is of type bool, not int.",
        ),
        ({"place": Place(file="a", line=-1)}, "whose place is line -1, column 0; both are from 0."),
        ({"margin": UNSURE}, "in which margin.value is of type str, not float."),
        ({"actual": 3.0}, "in which actual is of type float, not Amount."),
        ({"working": "a = b"}, "in which working is of type str, not tuple."),
        ({"working": (1,)}, "in which working[1] is of type int, not str."),
        ({"missing": ["survey.front.width.sill"]}, "in which missing is of type list, not tuple."),
        ({"basis": None}, "in which basis is of type NoneType, not Basis."),
        ({"basis": Basis(standing="sure")}, "whose basis stands on 'sure'; it is one of "),
        ({"marked": (("x", "y"),)}, "in which marked[1][2] is of type str, not Basis."),
        ({"marked": (("x",),)}, "in which marked[1] has 1 values; it has 2."),
        ({"waived": True}, "in which waived is of type bool, not Waiver."),
    ],
    ids=str,
)
def test_a_bad_finding_is_the_plugins_fault(wrong: dict[str, Any], says: str) -> None:
    first, last = replace(GOOD, clause="loud.first"), replace(GOOD, clause="loud.last")

    def gives(verdict: object) -> list[Finding]:
        assert verdict
        return [first, replace(GOOD, **wrong), last]

    said = _reviewed(gives)
    sentence = _told(said)
    assert sentence.startswith("The plugin loud gave ")
    assert says in sentence
    assert sentence.endswith(".")
    assert {first, last} <= {one for one in said.findings if one.clause.startswith("loud.")}


@pytest.mark.parametrize("given", [7, "ab", None, b"x"])
def test_findings_that_are_no_list(given: object) -> None:
    said = _told(_reviewed(lambda verdict: given if verdict else ()))
    assert said == "The plugin loud gave findings that are no list."


@pytest.mark.parametrize("given", ["ab", 7, GOOD.place])
def test_what_is_no_finding(given: object) -> None:
    said = _told(_reviewed(lambda verdict: (given,) if verdict else ()))
    assert said.startswith("The plugin loud gave an object of type ")
    assert said.endswith(" as a finding; give a Finding.")


class Mute(Exception):
    """What will not say what it is."""

    def __str__(self) -> str:
        """Fail."""
        raise ValueError


class Strange(BaseException):
    """What no `except Exception` sees."""


RAISED = [
    (RuntimeError("no\nverdict"), "RuntimeError: no verdict"),
    (SystemExit(0), "SystemExit: 0"),
    (SystemExit(), "SystemExit"),
    (Mute(), "Mute"),
    (Strange("why"), "Strange: why"),
]


@pytest.mark.parametrize(("error", "words"), RAISED, ids=[words for _, words in RAISED])
def test_a_plugin_that_fails_on_a_job_becomes_a_sentence(error: BaseException, words: str) -> None:
    def failing(verdict: object) -> tuple[()]:
        assert verdict
        raise error

    assert _told(_reviewed(failing)) == f"The plugin loud failed on this job: {words}."


@pytest.mark.parametrize(("error", "words"), RAISED, ids=[words for _, words in RAISED])
def test_what_a_plugin_gave_before_it_failed_is_kept(error: BaseException, words: str) -> None:
    def failing(verdict: object) -> Iterator[Finding]:
        assert verdict
        yield GOOD
        raise error

    said = _reviewed(failing)
    assert _told(said) == f"The plugin loud failed on this job: {words}."
    assert GOOD in said.findings


@pytest.mark.parametrize("error", [KeyboardInterrupt(), Stopped(130)], ids=str)
def test_a_person_who_stops_the_run_is_no_plugins_fault(error: BaseException) -> None:
    def stopped(verdict: object) -> tuple[()]:
        assert verdict
        raise error

    with pytest.raises(type(error)):
        _reviewed(stopped)


@pytest.mark.parametrize(("error", "words"), RAISED, ids=[words for _, words in RAISED])
def test_a_function_that_raises_is_its_plugins_fault(
    tmp_path: Path, error: BaseException, words: str
) -> None:
    def failing(_height: float) -> float:
        raise error

    function = Function(
        name="moody",
        takes=(KINDS["length"],),
        gives=KINDS["length"],
        call=failing,
        means="a mood",
        source="invented",
    )
    (tmp_path / "moods.yaml").write_text(
        "book: moods\ntitle: Moods\nclauses:\n  mood: {title: T, level: note, stage: handover, "
        "for: each opening, needs: moody(opening.survey.head_height) > 0, "
        "basis: {standing: memory}, why: x, says: x}\n",
        encoding="utf-8",
    )
    manager = load_plugins(installed=False)
    register(manager, _hooked("paneproof_functions", lambda: (function,)), "moody")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(books, "load_plugins", lambda **_: manager)
        rules = load_rules(books=(tmp_path,))
        for command in ("takeoff", "draw", "sheet"):
            ran = CliRunner().invoke(app, [command, str(ORDINARY), "--books", str(tmp_path)])
            assert (ran.exit_code, bool(ran.stdout)) == (2, True)
            assert f"holds-ordinary.yaml: The function moody failed: {words}.\n" in ran.stderr
    said = review(load_job(ORDINARY, rules), rules)
    assert (said.exit_code, said.release.ready) == (2, False)
    assert f"The function moody failed: {words}." in said.broken


@pytest.mark.parametrize(("error", "words"), RAISED, ids=[words for _, words in RAISED])
@pytest.mark.parametrize("name", ["paneproof_books", "paneproof_codes", "paneproof_functions"])
def test_a_plugin_that_fails_while_rules_are_loaded(
    name: str, error: BaseException, words: str
) -> None:
    def failing() -> Iterator[Path]:
        yield from ()
        raise error

    manager = load_plugins(installed=False)
    register(manager, _hooked(name, failing), "moody")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(books, "load_plugins", lambda **_: manager)
        with pytest.raises(PluginError, match=re.escape(f"The plugin moody failed: {words}.")):
            load_rules()


def test_every_hook_has_a_heading_for_authors() -> None:
    guide = HERE.parent / "DEVELOPERS.md"
    if not guide.exists():
        pytest.skip("no checkout: DEVELOPERS.md is not shipped")
    text = guide.read_text(encoding="utf-8")
    assert [name for name in HOOKS if f"`{name}`" not in text] == []
    assert HOOKS


def test_functions_are_checked() -> None:
    assert all(isinstance(f, Function) for f in load_rules().library.functions.values())
