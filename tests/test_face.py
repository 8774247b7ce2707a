"""The names of the package: one table, loaded on first use, and what the command line imports."""

import ast
import json
import subprocess
import sys
from importlib import import_module
from pathlib import Path

import pytest

import validator
from ruleset.errors import RulesetError
from validator import Rules, load_job_data, review

ROOT = Path(__file__).resolve().parent.parent
JOBS = ROOT / "fixtures" / "jobs"
PACKAGE = Path(validator.__file__).parent


def imports(path: Path, level: int) -> list[tuple[str, str]]:
    tree = ast.parse(path.read_text(encoding="utf-8"))
    return [
        (one.module or "", name.name)
        for one in ast.walk(tree)
        if isinstance(one, ast.ImportFrom) and one.level == level
        for name in one.names
    ]


def test_the_table_and_what_types_are_checked_by_are_one() -> None:
    typed = {(module, name) for module, name in imports(PACKAGE / "__init__.py", 1)}
    table = {(module, name) for module, names in validator._FROM.items() for name in names}
    assert typed == table
    assert len(validator.__all__) == len(set(validator.__all__)) == len(table) > 50


@pytest.mark.parametrize("name", validator.__all__)
def test_every_name_is_there_and_says_what_it_is(name: str) -> None:
    found = getattr(validator, name)
    module = import_module(f"validator.{validator._WHERE[name]}")
    assert found is getattr(module, name)
    assert found.__doc__


def test_no_name_is_a_module_s_too() -> None:
    modules = {path.stem for path in PACKAGE.iterdir()}
    assert not modules & set(validator.__all__)
    with pytest.raises(AttributeError, match="no attribute 'revue'"):
        _ = validator.revue


def test_the_command_line_takes_from_the_face_what_the_face_has() -> None:
    own, taken = [], set()
    for path in sorted((PACKAGE / "command").glob("*.py")):
        for module, name in imports(path, 2):
            if not module:
                taken.add(name)
            elif name in validator._WHERE and validator._WHERE[name] == module:
                own.append(f"{path.name}: {module}.{name}")
    assert own == []
    assert {
        "load_rules",
        "review",
        "remedies",
        "takeoff",
        "setting_out",
        "draw",
        "sheet_html",
    } <= taken
    assert {"sheet_html", "prove_rules", "clause_page", "schema", "since"} <= taken


def test_the_import_itself_loads_next_to_nothing() -> None:
    code = "import sys, validator, json; print(json.dumps(sorted(sys.modules)))"
    ran = subprocess.run(  # noqa: S603 - this very Python
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    )
    loaded = json.loads(ran.stdout)
    assert [one for one in loaded if one.startswith(("validator.", "ruleset", "yaml"))] == []
    assert not {"jsonschema", "typer", "pluggy", "decimal", "numpy", "rich"} & set(loaded)


def test_a_job_may_be_data(rules: Rules) -> None:
    text = (JOBS / "holds-ordinary.yaml").read_text(encoding="utf-8")
    data = {"format": 2, "job": "1", "arrangement": "in-line slider", "kit": "ostrel-inch"}
    data |= {"code": "irc-2021", "units": "in", "survey": {"steam": False, "clear_in_front": 24}}
    found = review(load_job_data(data, rules, beside=JOBS), rules)
    assert "survey.steam" not in {one.fact for one in found.asked}
    assert "survey.front.width.sill" in {one.fact for one in found.asked}
    assert "steam: no" in text
    with pytest.raises(RulesetError, match=r"data:1:\d+: .*survey.steem"):
        load_job_data({**data, "survey": {"steem": False}}, rules, beside=JOBS)
