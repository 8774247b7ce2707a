"""Reviews as JUnit XML, which build servers read: a suite a job, a case a finding."""

from collections.abc import Iterable
from xml.sax.saxutils import escape, quoteattr

from ruleset.errors import RulesetError

from ..finding import Finding, Review
from .groups import grouped
from .layout import visible
from .lines import said_of


def junit_text(reviews: Iterable[tuple[str, Review | RulesetError]]) -> str:
    """Return reviews as JUnit XML: errors fail, what is not decided is skipped, all else passes.

    Args:
        reviews: Each file with its review, or why it could not be used.
    """
    suites = [_suite(file, review) for file, review in reviews]
    return "\n".join(['<?xml version="1.0" encoding="UTF-8"?>', "<testsuites>", *suites]) + (
        "\n</testsuites>\n"
    )


def _suite(file: str, review: Review | RulesetError) -> str:
    if isinstance(review, RulesetError):
        cases = [_error(file, str(fault)) for fault in review.faults]
        return _around(file, cases, failures=0, skipped=0, errors=len(cases))
    found = [one.finding for group in grouped(review) for one in group.findings]
    cases = [_case(one) for one in found]
    cases += [_error(file, says) for says in review.broken]
    cases += [
        f'    <testcase classname="to-measure" name={_attribute(one.fact)}>\n'
        f"      <skipped message={_attribute(one.means)}/>\n    </testcase>"
        for one in review.asked
    ]
    failures = sum(_fails(one) for one in found)
    skipped = sum(_is_open(one) for one in found) + len(review.asked)
    name, errors = f"{review.job} ({file})", len(review.broken)
    return _around(name, cases, failures=failures, skipped=skipped, errors=errors)


def _error(file: str, says: str) -> str:
    head = f'    <testcase classname="file" name={_attribute(file)}>'
    return f"{head}\n      <error message={_attribute(says)}/>\n    </testcase>"


def _around(name: str, cases: list[str], *, failures: int, skipped: int, errors: int) -> str:
    counts = f'tests="{len(cases)}" failures="{failures}" skipped="{skipped}" errors="{errors}"'
    inside = "\n".join(cases)
    return f"  <testsuite name={_attribute(name)} {counts}>\n{inside}\n  </testsuite>"


def _case(finding: Finding) -> str:
    name = _attribute(f"{finding.clause} of {finding.subject}")
    says = _attribute(said_of(finding))
    head = f"    <testcase classname={_attribute(finding.level)} name={name}"
    if _fails(finding):
        kind = _attribute(finding.clause)
        return f"{head}>\n      <failure type={kind} message={says}/>\n    </testcase>"
    if _is_open(finding):
        return f"{head}>\n      <skipped message={says}/>\n    </testcase>"
    return f"{head}>\n      <system-out>{_text(said_of(finding))}</system-out>\n    </testcase>"


def _fails(finding: Finding) -> bool:
    waived = finding.waived is not None
    return finding.outcome == "fails" and finding.level == "error" and not waived


def _is_open(finding: Finding) -> bool:
    return finding.outcome == "unknown" and finding.waived is None


def _attribute(text: str) -> str:
    return quoteattr(visible(text)).encode("ascii", "xmlcharrefreplace").decode()


def _text(text: str) -> str:
    return escape(visible(text)).encode("ascii", "xmlcharrefreplace").decode()
