"""An audit as SARIF 2.1.0, piece by piece; each finding has a fingerprint of its own.

Source:
    OASIS, Static Analysis Results Interchange Format (SARIF) Version 2.1.0.
"""

from collections.abc import Iterable, Iterator
from hashlib import sha256

from ..report.sarif import SCHEMA, uri_of
from .answers import Tally
from .row import BROKEN, Row, Told, as_text

_LOWER = {"error": "warning", "warning": "note", "note": "note"}
"""Tight stands one level lower: a kind other than *fail* may have no level."""


def sarif_pieces(rows: Iterable[Row], tally: Tally, version: str, only: str = "") -> Iterator[str]:
    """Yield one run of SARIF."""
    rules: dict[str, str] = {}
    broken: list[Row] = []
    begins = {"$schema": SCHEMA, "version": "2.1.0"}
    yield as_text(begins)[:-1] + ',"runs":[{"columnKind":"unicodeCodePoints","results":['
    comma = "\n"
    for row in rows:
        if row.verdict == BROKEN:
            broken.append(row)
        for one in row.told:
            if only in ("", one.clause):
                rules.setdefault(one.clause, one.title)
                yield comma + as_text(_result(one, row, list(rules).index(one.clause)))
                comma = ",\n"
    told = [{"level": "error", "message": {"text": f"{row.name}: {row.why}"}} for row in broken]
    driver = {
        "name": "paneproof",
        "version": version,
        "rules": [{"id": n, "shortDescription": {"text": title}} for n, title in rules.items()],
    }
    ran: dict[str, object] = {"executionSuccessful": not told}
    if told:
        ran["toolExecutionNotifications"] = told
    ends = {
        "tool": {"driver": driver},
        "invocations": [ran],
        "properties": {"jobs": dict(tally.counted())},
    }
    yield "\n]," + as_text(ends)[1:] + "]}\n"


def _result(one: Told, row: Row, rule: int) -> dict[str, object]:
    file = row.name.split("#")[0] if "#" in row.name else row.name
    region = {"startLine": one.line or 1, "startColumn": one.column or 1}
    level = one.level if one.outcome == "fails" else _LOWER[one.level]
    print_ = sha256(
        f"{row.name}\n{row.job}\n{one.clause}\n{one.subject}".encode("utf-8", "surrogatepass")
    )
    return {
        "ruleId": one.clause,
        "ruleIndex": rule,
        "kind": "fail",
        "level": level,
        "message": {"text": one.says},
        "locations": [
            {
                "physicalLocation": {"artifactLocation": {"uri": uri_of(file)}, "region": region},
                "logicalLocations": [{"name": one.subject, "kind": "member"}],
            }
        ],
        "partialFingerprints": {"jobClauseSubject/v1": print_.hexdigest()},
        "properties": {"outcome": one.outcome, "job": row.job},
    }
