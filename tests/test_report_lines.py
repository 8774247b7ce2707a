"""A review as lines for editors and hooks."""

import re
import shlex
import sys
from collections.abc import Callable
from pathlib import Path

import pytest
import yaml

from validator import Rules, load_job, review
from validator.command import main
from validator.report.groups import numbers
from validator.report.lines import TO_MEASURE, review_lines

ROOT = Path(__file__).resolve().parent.parent
JOBS = ROOT / "fixtures" / "jobs"
NAMES = sorted(
    path.stem for path in JOBS.glob("*.yaml") if not path.name.endswith(".findings.yaml")
)
LINE = re.compile(
    r"(?P<file>.+?):(?P<line>\d+):(?P<column>\d+): (?P<clause>[a-z.-]+): (?P<says>.+)"
)


@pytest.mark.parametrize("name", NAMES)
def test_a_line_a_finding_and_a_line_a_fact_that_is_asked(
    name: str, rules: Rules, ran: Callable[[], None]
) -> None:
    found = review(load_job(JOBS / f"{name}.yaml", rules), rules)
    lines = list(review_lines(found))
    ran()
    told = [LINE.fullmatch(line) for line in lines]
    assert None not in told
    clauses = [one["clause"] for one in told if one is not None]
    acted = [one.finding.clause for one in numbers(found)]
    assert clauses == [*acted, *[TO_MEASURE] * len(found.asked)]
    for one in told:
        assert one is not None
        written = Path(one["file"]).read_text(encoding="utf-8").splitlines()
        assert 0 < int(one["line"]) <= len(written)
        assert 0 < int(one["column"]) <= len(written[int(one["line"]) - 1]) + 1


def test_the_hook_calls_what_there_is(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    hooks = ROOT / ".pre-commit-hooks.yaml"
    if not hooks.is_file():
        pytest.skip("The hooks belong to the checkout; a wheel has none.")
    (hook,) = yaml.safe_load(hooks.read_text(encoding="utf-8"))
    job = JOBS / "fails-curb-falls.yaml"
    assert re.search(hook["files"], f"shop/jobs/{job.name}")
    _, *args = shlex.split(hook["entry"])
    files = [str(JOBS / f"{name}.yaml") for name in ("holds-ordinary", "fails-curb-falls")]
    monkeypatch.setattr(sys, "argv", ["paneproof", *args, *files])
    with pytest.raises(SystemExit) as ended:
        main()
    out = capsys.readouterr().out
    assert ended.value.code == 1
    assert re.search(r"(?m)^.*fails-curb-falls.yaml:\d+:\d+: opening.curb-falls-inward: ", out)
    assert all(LINE.fullmatch(line) for line in out.splitlines())
