"""What is printed for programs: JSON held against its schema, SARIF, JUnit, the stock's schema.

SARIF is read by a validator of its own maker where SARIF_MULTITOOL names it (the npm package
@microsoft/sarif-multitool), else by its main rules alone.
"""

import copy
import json
import os
import shutil
import subprocess
import sys
import xml.etree.ElementTree as ET
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest
import yaml
from jsonschema import Draft202012Validator

from ruleset.errors import Fault, ShapeError
from ruleset.place import Place
from validator import Rules, judge, load_job, load_job_text, review, review_kit
from validator.command import main
from validator.kit import load_kit
from validator.remedy import remedies, with_remedies
from validator.report import remedy_data
from validator.report.data import review_data, reviews_data
from validator.report.junit import junit_text
from validator.report.output_schemas import OUTPUTS, output_schema
from validator.report.sarif import sarif_text
from validator.report.takeoff_data import setting_out_data, takeoff_data
from validator.schemas import schema
from validator.settingout import setting_out
from validator.take_off import takeoff

ROOT = Path(__file__).resolve().parent.parent
JOBS, KITS = ROOT / "fixtures" / "jobs", ROOT / "fixtures" / "kits"
NAMES = sorted(
    path.stem for path in JOBS.glob("*.yaml") if not path.name.endswith(".findings.yaml")
)
MULTITOOL = os.environ.get("SARIF_MULTITOOL", "")


def valid(kind: str, data: object) -> None:
    made = output_schema(kind)
    Draft202012Validator.check_schema(made)
    said = json.loads(json.dumps(data))
    assert [one.message for one in Draft202012Validator(made).iter_errors(said)] == []


@pytest.mark.parametrize("name", NAMES)
def test_what_is_printed_keeps_to_its_schema(name: str, rules: Rules) -> None:
    job = load_job(JOBS / f"{name}.yaml", rules)
    verdict, found = judge(job, rules), review(job, rules, every=True)
    valid("review", review_data(found, "1"))
    taken = takeoff_data(takeoff(verdict, review=found), "1")
    valid("takeoff", {**taken, "setting_out": setting_out_data(setting_out(verdict), "1")})


@pytest.mark.parametrize("name", ["fails-too-little-lap", "fails-hinged-carrier-narrow"])
def test_remedies_keep_to_their_schema(name: str, rules: Rules) -> None:
    job = load_job(JOBS / f"{name}.yaml", rules)
    found = review(job, rules)
    cures = remedies(job, rules, reviewed=found)
    valid("remedy", remedy_data.data(cures, job, "1"))
    valid("review", review_data(with_remedies(found, cures, job), "1"))


def test_a_kit_and_several_jobs_keep_to_the_schema(rules: Rules) -> None:
    kit = review_kit(load_kit(KITS / "ostrel-inch.yaml", rules.library), rules)
    job = review(load_job(JOBS / "holds-ordinary.yaml", rules), rules)
    valid("review", review_data(kit, "1"))
    valid("review", reviews_data([job, kit], "1"))


@pytest.mark.parametrize("kind", OUTPUTS)
def test_the_schema_of_an_output_refuses_another_field(kind: str) -> None:
    made = output_schema(kind)
    assert made["$id"] == f"urn:paneproof:schema:{kind}:2"
    assert not Draft202012Validator(made).is_valid({"paneproof": "1", "format": 2, "odd": 1})
    with pytest.raises(ValueError, match="There is no output 'odd'"):
        output_schema("odd")


def test_a_limit_that_a_policy_amends_is_told_old_and_new(rules: Rules) -> None:
    job = (JOBS / "fails-hole-near-edge.yaml").read_text(encoding="utf-8")
    job = job.replace("code: irc-2021", "code: irc-2021\npolicy: careful-shop")
    loaded = load_job_text(job, "job", rules, beside=JOBS)
    found = [one for one in review(loaded, rules, every=True).findings if one.amended]
    assert found
    told = {one for finding in found for one in finding.amended if one.by == "careful-shop"}
    assert "glass.rim-to-corner" in {one.limit.rpartition(".")[0] for one in told}
    for one in told:
        assert one.was == rules.library.limits[one.limit].text != one.now


@pytest.fixture
def printed(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Callable[..., str]:
    """Return what a call prints."""

    def ran(*args: str) -> str:
        monkeypatch.setattr(sys, "argv", ["paneproof", *args])
        with pytest.raises(SystemExit):
            main()
        return capsys.readouterr().out

    return ran


def test_a_review_says_by_which_file_and_books_it_was_made(printed: Callable[..., str]) -> None:
    from hashlib import sha256  # noqa: PLC0415 - of this test alone

    job = JOBS / "holds-ordinary.yaml"
    told = json.loads(printed("review", str(job), "--format", "json"))
    assert told["sha256"]["job"] == sha256(job.read_bytes()).hexdigest()
    assert len(told["sha256"]["books"]) == 64
    both = json.loads(
        printed("review", str(job), str(KITS / "ostrel-inch.yaml"), "--format", "json")
    )
    assert {one["sha256"]["books"] for one in both["jobs"]} == {told["sha256"]["books"]}
    valid("review", both)


@pytest.mark.parametrize("kind", [*OUTPUTS, "stock"])
def test_a_schema_is_printed(kind: str, printed: Callable[..., str]) -> None:
    made = json.loads(printed("schema", kind))
    Draft202012Validator.check_schema(made)
    assert made["$id"].startswith(f"urn:paneproof:schema:{kind}")


def test_the_stock_has_a_schema(rules: Rules) -> None:
    made = schema("stock", rules)
    text = (ROOT / "fixtures" / "stock.yaml").read_text(encoding="utf-8")
    stock: Any = yaml.load(text, Loader=yaml.BaseLoader)  # noqa: S506 - every scalar stays text
    checks = Draft202012Validator(made)
    assert checks.is_valid(stock)
    changes: list[dict[str, Any]] = [
        {"odd": "1"},
        {"kits": "ostrel-inch"},
        {"units": "furlong"},
        {"handles": []},
    ]
    for change in changes:
        assert not checks.is_valid({**copy.deepcopy(stock), **change})
    assert checks.is_valid({**stock, "levers": {"split": {"reach": ["1 in", "2 in"]}}})


REFUSED = ShapeError(
    Fault(Place(file="odd & <file>.yaml", line=3, column=5), "A value may not stand here.")
)


@pytest.fixture
def several(rules: Rules) -> list[Any]:
    names = ("fails-several-faults", "unknown-half-surveyed", "waived-narrow-curb")
    return [review(load_job(JOBS / f"{name}.yaml", rules), rules) for name in names]


def test_sarif_is_what_its_own_maker_s_validator_takes(several: list[Any], tmp_path: Path) -> None:
    text = sarif_text([*several, REFUSED], "1.2.3")
    (run,) = json.loads(text)["runs"]
    rules = run["tool"]["driver"]["rules"]
    for one in run["results"]:
        assert rules[one["ruleIndex"]]["id"] == one["ruleId"]
        assert one["kind"] == "fail" or one["level"] == "none"
    assert any("suppressions" in one for one in run["results"])
    (invocation,) = run["invocations"]
    assert invocation["executionSuccessful"] is False
    (refused,) = invocation["toolExecutionNotifications"]
    assert refused["message"]["text"] == "odd & <file>.yaml:3:5: A value may not stand here."
    where = refused["locations"][0]["physicalLocation"]
    assert where["region"] == {"startLine": 3, "startColumn": 5}
    assert json.loads(sarif_text(several, "1"))["runs"][0]["invocations"] == [
        {"executionSuccessful": True}
    ]
    if not Path(MULTITOOL).is_file():
        if os.environ.get("CI"):
            pytest.fail("SARIF_MULTITOOL names no program; .ci/run installs it.")
        pytest.skip("SARIF_MULTITOOL does not name the program of the npm package.")
    file = tmp_path / "found.sarif"
    file.write_text(text, encoding="utf-8")
    ran = subprocess.run(  # noqa: S603 - a program that the tester names
        [MULTITOOL, "validate", str(file)], capture_output=True, text=True, check=False
    )
    assert "Analysis completed successfully" in ran.stdout
    assert "error" not in ran.stdout.replace("0 error", "")


def test_junit_has_a_suite_a_job_and_a_case_a_finding(several: list[Any]) -> None:
    told = [(one.file, one) for one in several]
    root = ET.fromstring(junit_text([*told, ("odd & <file>.yaml", REFUSED)]))  # noqa: S314 - our own
    suites = list(root)
    assert [suite.get("failures") for suite in suites] == ["12", "0", "0", "0"]
    assert [suite.get("errors") for suite in suites] == ["0", "0", "0", "1"]
    for suite in suites:
        assert int(suite.get("tests", "")) == len(suite.findall("testcase"))
        assert int(suite.get("failures", "")) == len(suite.findall("testcase/failure"))
        assert int(suite.get("skipped", "")) == len(suite.findall("testcase/skipped"))
    assert suites[-1].get("name") == "odd & <file>.yaml"
    (error,) = suites[-1].findall("testcase/error")
    assert error.get("message") == "odd & <file>.yaml:3:5: A value may not stand here."


@pytest.mark.parametrize("form", ["sarif", "junit"])
def test_both_are_printed(form: str, printed: Callable[..., str]) -> None:
    files = [str(JOBS / f"{name}.yaml") for name in ("holds-ordinary", "fails-curb-falls")]
    one, two = (
        printed("review", files[1], "--format", form),
        printed("review", *files, "--format", form),
    )
    assert "opening.curb-falls-inward" in one
    assert "opening.curb-falls-inward" in two


@pytest.mark.parametrize("form", ["sarif", "junit"])
def test_one_file_that_cannot_be_used_is_told_in_them(
    form: str, printed: Callable[..., str], tmp_path: Path
) -> None:
    file = tmp_path / "b & <c>.yaml"
    file.write_text("job: [\n", encoding="utf-8")
    out = printed("review", str(file), "--format", form)
    if form == "sarif":
        (told,) = json.loads(out)["runs"][0]["invocations"]
        assert told["executionSuccessful"] is False
    else:
        (suite,) = ET.fromstring(out)  # noqa: S314 - our own
        assert (suite.get("errors"), suite.get("name")) == ("1", str(file))


def test_a_book_that_failed_is_told_and_text_is_kept(several: list[Any]) -> None:
    says = "The function reach failed: &#38; <a> \u00e9."
    broken = replace(several[0], broken=(says,))
    suite = ET.fromstring(junit_text([(broken.file, broken)]))[0]  # noqa: S314 - our own
    assert suite.get("errors") == "1"
    assert [one.get("message") for one in suite.findall("testcase/error")] == [says]
    (told,) = json.loads(sarif_text([broken], "1"))["runs"][0]["invocations"]
    assert told["executionSuccessful"] is False
    assert told["toolExecutionNotifications"][0]["message"]["text"] == says


def test_a_changed_policy_changes_the_hash_of_the_books(
    printed: Callable[..., str], tmp_path: Path
) -> None:
    shutil.copytree(KITS, tmp_path / "kits")
    shutil.copytree(ROOT / "fixtures" / "policies", tmp_path / "policies")
    job = (JOBS / "holds-ordinary.yaml").read_text(encoding="utf-8")
    file = tmp_path / "job.yaml"
    file.write_text(job.replace("code: irc-2021", "code: irc-2021\npolicy: careful-shop"))
    policy = tmp_path / "policies" / "careful-shop.yaml"
    hashes = []
    for _ in range(2):
        told = json.loads(printed("review", str(file), "--format", "json"))
        hashes.append(told["sha256"]["books"])
        policy.write_text(policy.read_text(encoding="utf-8") + "\n# later\n", encoding="utf-8")
    assert hashes[0] != hashes[1]
