"""Reviews as SARIF, which code hosts and editors show beside the lines of a file.

Source:
    OASIS, Static Analysis Results Interchange Format (SARIF) Version 2.1.0.
"""

from collections.abc import Iterable
from pathlib import Path
from urllib.parse import quote

from ruleset.errors import Fault, RulesetError

from ..finding import Finding, Review
from .data import as_json
from .groups import grouped
from .lines import said_of

_KINDS = {"fails": "fail", "tight": "review", "unknown": "open"}
_LEVELS = {"error": "error", "warning": "warning", "note": "note"}
SCHEMA = "https://json.schemastore.org/sarif-2.1.0.json"


def sarif_text(reviews: Iterable[Review | RulesetError], version: str) -> str:
    """Return reviews as one run of SARIF 2.1.0.

    Args:
        reviews: The reviews; of a file that could not be used why not.
        version: Version of the program.
    """
    rules: dict[str, dict[str, object]] = {}
    results: list[dict[str, object]] = []
    told: list[dict[str, object]] = []
    for review in reviews:
        if isinstance(review, RulesetError):
            told += [_refused(fault) for fault in review.faults]
            continue
        told += [{"level": "error", "message": {"text": says}} for says in review.broken]
        for group in grouped(review):
            results += [_result(one.finding, rules) for one in group.findings]
    driver = {"name": "paneproof", "version": version, "rules": list(rules.values())}
    invocation: dict[str, object] = {"executionSuccessful": not told}
    if told:
        invocation["toolExecutionNotifications"] = told
    run = {
        "tool": {"driver": driver},
        "invocations": [invocation],
        "columnKind": "unicodeCodePoints",
        "results": results,
    }
    return as_json({"$schema": SCHEMA, "version": "2.1.0", "runs": [run]})


def _refused(fault: Fault) -> dict[str, object]:
    place = fault.place
    where = {
        "artifactLocation": {"uri": uri_of(place.file)},
        "region": {"startLine": place.line or 1, "startColumn": place.column or 1},
    }
    told: dict[str, object] = {"level": "error", "message": {"text": str(fault)}}
    return {**told, "locations": [{"physicalLocation": where}]}


def _result(finding: Finding, rules: dict[str, dict[str, object]]) -> dict[str, object]:
    rules.setdefault(finding.clause, _rule(finding))
    kind = _KINDS.get(finding.outcome, "informational")
    place = finding.place
    region = {"startLine": place.line or 1, "startColumn": place.column or 1}
    where: dict[str, object] = {
        "physicalLocation": {"artifactLocation": {"uri": uri_of(place.file)}, "region": region},
        "logicalLocations": [{"name": finding.subject, "kind": "member"}],
    }
    made: dict[str, object] = {
        "ruleId": finding.clause,
        "ruleIndex": list(rules).index(finding.clause),
        "kind": kind,
        "level": _LEVELS[finding.level] if kind == "fail" else "none",
        "message": {"text": said_of(finding)},
        "locations": [where],
    }
    if finding.waived is not None:
        why = f"{finding.waived.why} (by {finding.waived.by})"
        made |= {"suppressions": [{"kind": "inSource", "justification": why}]}
    return made


def uri_of(file: str) -> str:
    """Return a file's name as a URI: absolute with its scheme, else relative to where one is."""
    path = Path(file)
    return path.as_uri() if path.is_absolute() else quote(path.as_posix())


def _rule(finding: Finding) -> dict[str, object]:
    made: dict[str, object] = {
        "id": finding.clause,
        "shortDescription": {"text": finding.title},
        "fullDescription": {"text": finding.why or finding.title},
        "defaultConfiguration": {"level": _LEVELS[finding.level]},
    }
    if finding.do:
        made["help"] = {"text": finding.do}
    return made
