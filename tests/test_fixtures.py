"""Every job under fixtures/jobs is reviewed and says exactly what stands beside it.

The expectations are worked out by hand from the readings; the sums stand at their head.
"""

import datetime as dt
import json
from functools import cache
from pathlib import Path

import pytest

from ruleset.library import Library
from ruleset.node import Node, Rows, Table, Text
from ruleset.reader import read_file
from validator import (
    Finding,
    Review,
    Rules,
    Verdict,
    judge,
    load_job,
    load_job_text,
    load_rules,
    review,
)

JOBS = Path(__file__).parents[1] / "fixtures" / "jobs"
BESIDE = ".findings.yaml"
AT_THE_LIMIT = "holds-at-the-limit.yaml"
TODAY = dt.date(2026, 3, 20)  # waivers are held against a day
FILES = sorted(path for path in JOBS.iterdir() if not path.name.endswith(BESIDE))
NAMES = [path.stem for path in FILES]
INCH_JOBS = [path for path in FILES if "\nunits: in" in path.read_text(encoding="utf-8")]
ONCE = ("named_for", "stage", "ready", "because", "counts", "findings", "not_known", "asked")


@cache
def _rules() -> Rules:
    return load_rules(installed=False)


@cache
def _expected(path: Path) -> dict[str, Node]:
    root = read_file(path.with_name(f"{path.stem}{BESIDE}"))
    assert isinstance(root, Table)
    assert set(root.entries) <= set(ONCE)
    return dict(root.entries)


@cache
def _reviewed(path: Path) -> Review:
    stage = _word(_expected(path)["stage"])
    return review(load_job(path, _rules()), _rules(), stage=stage, today=TODAY)


def _word(node: Node) -> str:
    assert isinstance(node, Text)
    return node.text


def _words(node: Node | None) -> list[str]:
    if node is None:
        return []
    assert isinstance(node, Rows)
    return [_word(item) for item in node.items]


def _table(node: Node) -> dict[str, str]:
    assert isinstance(node, Table)
    return {name: _word(one) for name, one in node.entries.items()}


def _row(finding: Finding) -> dict[str, str]:
    return {
        "clause": finding.clause,
        "subject": finding.subject,
        "outcome": finding.outcome,
        "level": finding.level,
        "says": finding.says,
    }


def _told(found: Review) -> list[Finding]:
    return [finding for finding in found.findings if finding.outcome != "unknown"]


def _not_known(found: Review) -> list[Finding]:
    return [finding for finding in found.findings if finding.outcome == "unknown"]


def test_every_job_has_its_findings_and_every_findings_file_its_job() -> None:
    beside = {path.name.removesuffix(BESIDE) for path in JOBS.glob(f"*{BESIDE}")}
    assert beside == set(NAMES)
    assert len(NAMES) == len(set(NAMES))


def test_there_are_enough_of_each() -> None:
    kinds = [name.partition("-")[0] for name in NAMES]
    assert set(kinds) == {"holds", "fails", "unknown", "waived"}
    assert kinds.count("holds") >= 5
    assert kinds.count("fails") >= 16
    assert {path.suffix for path in FILES} == {".yaml", ".json"}


@pytest.mark.parametrize("path", FILES, ids=NAMES)
def test_findings_are_exactly_those_expected_and_in_their_order(path: Path) -> None:
    expected, found = _expected(path), _reviewed(path)
    rows = expected["findings"]
    assert isinstance(rows, Rows)
    assert [_row(one) for one in _told(found)] == [_table(row) for row in rows.items]
    waiting = [f"{one.clause} of {one.subject}" for one in _not_known(found)]
    assert waiting == _words(expected.get("not_known"))
    assert found.broken == ()


@pytest.mark.parametrize("path", FILES, ids=NAMES)
def test_release_counts_and_what_is_asked_are_those_expected(path: Path) -> None:
    expected, found = _expected(path), _reviewed(path)
    assert ("yes" if found.release.ready else "no") == _word(expected["ready"])
    assert list(found.release.because) == _words(expected["because"])
    assert _table(expected["counts"]) == {
        "fails": str(found.counts["fails"]),
        "unknown": str(len(_not_known(found))),
    }
    assert [asked.fact for asked in found.asked] == _words(expected["asked"])


@pytest.mark.parametrize("path", FILES, ids=NAMES)
def test_a_name_means_what_it_says(path: Path) -> None:
    found = _reviewed(path)
    failing = [one for one in found.findings if one.outcome == "fails"]
    hard = [one for one in failing if one.level in ("error", "warning")]
    waived = [one for one in found.findings if one.waived is not None]
    match path.stem.partition("-")[0]:
        case "holds":
            assert found.release.ready
            assert (hard, waived, _not_known(found)) == ([], [], [])
        case "fails":
            assert hard
            errors = any(one.level == "error" for one in hard)
            assert found.release.ready is not errors
            assert found.exit_code == int(errors)
        case "unknown":
            assert failing == []
            assert not found.release.ready
            assert found.asked
        case other:
            assert other == "waived"
            assert found.release.ready
            assert waived
            assert hard == []


@pytest.mark.parametrize("path", [path for path in FILES if path.stem.startswith("fails")])
def test_what_fails_is_what_it_is_named_for(path: Path) -> None:
    named = _word(_expected(path)["named_for"])
    found = [one for one in _reviewed(path).findings if one.clause == named]
    assert [one.outcome for one in found] == ["fails"]
    (finding,) = found
    assert finding.level in ("error", "warning")
    kits = (path.parent.parent / "kits").as_posix()
    assert finding.place.file == path.as_posix() or finding.place.file.startswith(kits)
    assert finding.do


@pytest.mark.parametrize("path", FILES, ids=NAMES)
def test_what_is_not_known_names_what_it_waits_for(path: Path) -> None:
    found = _reviewed(path)
    assert bool(_not_known(found)) == bool(_words(_expected(path).get("not_known")))
    for one in _not_known(found):
        assert one.says.startswith(f"Not known yet: {one.title}. ")
        assert one.missing
    asked = {fact.fact: fact.clauses for fact in found.asked}
    for one in _not_known(found):
        assert any(one.clause in asked.get(fact, ()) for fact in one.missing)


@pytest.mark.parametrize("stem", ["holds-ordinary", "holds-millimetres"])
def test_an_ordinary_job_is_not_tight(stem: str) -> None:
    assert _reviewed(JOBS / f"{stem}.yaml").findings == ()


def test_a_job_with_nothing_to_spare_is_told_to_be_tight() -> None:
    outcomes = {one.clause: one.outcome for one in _reviewed(JOBS / AT_THE_LIMIT).findings}
    for name in ("clear-opening", "overlap-least", "guide-closed", "open-stop"):
        assert outcomes[f"sliding.{name}"] == "tight"


def test_the_file_with_other_line_ends_has_them() -> None:
    (path,) = [path for path in FILES if "crlf" in path.stem]
    text = path.read_bytes()
    assert text.count(b"\r\n") == text.count(b"\n") > 50


def test_a_waiver_stands_until_its_day_and_no_longer() -> None:
    job = load_job(JOBS / "waived-backing-not-known.yaml", _rules())
    last = review(job, _rules(), today=dt.date(2035, 12, 31))
    after = review(job, _rules(), today=dt.date(2036, 1, 1))
    assert last.release.ready
    assert after.release.because == ("opening.backing",)


@pytest.mark.parametrize("path", INCH_JOBS, ids=lambda path: path.stem)
def test_a_job_rewritten_in_millimetres_has_the_same_outcomes(path: Path) -> None:
    rules = _rules()
    job = load_job(path, rules)
    root = read_file(path)
    library = rules.bound(job.arrangement)
    written = _in_millimetres(root, "", library, {n: g.value for n, g in job.values.items()})
    assert isinstance(written, dict)
    written |= {"units": "mm", "grid": "1/16 in"}
    metric = load_job_text(json.dumps(written), "metric.json", rules, beside=JOBS)
    assert metric.style.units == "mm"
    assert _outcomes(judge(metric, rules)) == _outcomes(judge(job, rules))


def _outcomes(verdict: Verdict) -> dict[tuple[str, str], int]:
    pairs = zip(verdict.plan.cases, verdict.run.outcomes, strict=True)
    return {(case.clause.name, case.subject): outcome for case, outcome in pairs}


def _in_millimetres(node: Node, path: str, library: Library, values: dict[str, float]) -> object:
    """Return a node as JSON has it, each length as its millimetres."""
    if isinstance(node, Table):
        return {
            name: _in_millimetres(one, f"{path}.{name}".strip("."), library, values)
            for name, one in node.entries.items()
        }
    if isinstance(node, Rows):
        return [
            _in_millimetres(one, f"{path}[{at}]", library, values)
            for at, one in enumerate(node.items, start=1)
        ]
    return repr(values[path]) if path in values and _is_length(path, library) else node.text


def _is_length(path: str, library: Library) -> bool:
    name, row, field = path.partition("].")
    fact = library.facts[name.partition("[")[0]]
    kind = library.sorts[fact.rows].fields[field] if row else fact.kind
    return kind is not None and kind.name == "length"
