"""Plugins: one that is really installed and discovered, and those that are refused."""

import json
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest

from ruleset import Function, PluginError
from validator import Finding, hook, load_job, load_rules, review
from validator.hooks import HOOKS
from validator.plugins import load_plugins, register

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


def test_a_plugin_that_fails_on_a_job_becomes_a_sentence() -> None:
    rules = load_rules(installed=False)

    def failing(verdict: object) -> tuple[()]:
        raise RuntimeError(f"no {type(verdict).__name__} for me")

    register(rules.plugins, _hooked("paneproof_findings", failing), "failing")
    said = review(load_job(ORDINARY, rules), rules)
    assert said.exit_code == 2
    assert "The plugin failing failed on this job" in said.broken[0]
    assert said.counts["holds"] > 100


def test_a_plugin_that_yields_and_then_fails_loses_no_job() -> None:
    rules = load_rules(installed=False)

    def failing(verdict: object) -> Iterator[Finding]:
        yield from ()
        raise RuntimeError(f"no {type(verdict).__name__} for me")

    register(rules.plugins, _hooked("paneproof_findings", failing), "failing")
    said = review(load_job(ORDINARY, rules), rules)
    assert said.exit_code == 2
    assert "The plugin failing failed on this job" in said.broken[0]
    assert said.counts["holds"] > 100


def test_every_hook_has_a_heading_for_authors() -> None:
    guide = HERE.parent / "DEVELOPERS.md"
    if not guide.exists():
        pytest.skip("no checkout: DEVELOPERS.md is not shipped")
    text = guide.read_text(encoding="utf-8")
    for name in HOOKS:
        assert f"`{name}`" in text, name


def test_functions_are_checked() -> None:
    assert all(isinstance(f, Function) for f in load_rules().library.functions.values())
