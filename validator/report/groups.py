"""Findings in the order a person works through them, each with its number."""

from collections.abc import Callable
from dataclasses import dataclass

from ..finding import Finding, Review


@dataclass(frozen=True, slots=True, kw_only=True)
class Numbered:
    """A finding and the number that it has in the text and in the drawing."""

    number: int
    finding: Finding


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Findings that call for the same thing.

    Attributes:
        title: What that is.
        brief: Whether a line is enough for each.
        findings: The findings, numbered on from the group before.
    """

    title: str
    brief: bool
    findings: tuple[Numbered, ...]


def _group_of(finding: Finding, review: Review) -> str:
    """Return the title of the group that a finding belongs to."""
    if finding.waived is not None:
        return "To look at"
    match finding.outcome:
        case "holds":
            return "Holds"
        case "exempt":
            return "Does not apply"
        case "unknown":
            return "Not decided" if _is_told_below(finding, review) else "To look at"
    if finding.level == "error" and finding.outcome == "tight":
        return "To look at"
    return _BY_LEVEL[finding.level]


def _is_told_below(finding: Finding, review: Review) -> bool:
    """Return whether a finding is told with a fact it waits for, or need not be decided yet."""
    asked = {one.fact for one in review.asked}
    if finding.clause not in review.release.because:
        return bool(finding.missing)
    return any(name in asked for name in finding.missing)


_BY_LEVEL = {"error": "Must change", "warning": "To look at", "note": "Notes"}
_FULL = ("Must change", "To look at", "Notes")
_BRIEF = ("Not decided", "Holds", "Does not apply")


def grouped(review: Review, *, every: bool = False) -> tuple[Group, ...]:
    """Return the groups that are not empty; numbers run on from 1 over all of them.

    Errors that can hurt someone come first, all else as it stands in the review.

    Args:
        review: The review.
        every: Whether to add, at the end, what waits, holds or does not apply. The numbers of the
            first groups do not depend on it.
    """
    titles = (*_FULL, *_BRIEF) if every else _FULL
    found: dict[str, list[Finding]] = {title: [] for title in titles}
    for finding in review.findings:
        if (title := _group_of(finding, review)) in found:
            found[title].append(finding)
    groups: list[Group] = []
    start = 1
    found["Must change"].sort(key=lambda one: not one.caution)  # what can hurt someone comes first
    for title, findings in found.items():
        numbered = tuple(
            Numbered(number=number, finding=finding)
            for number, finding in enumerate(findings, start=start)
        )
        start += len(numbered)
        if numbered:
            groups.append(Group(title=title, brief=title in _BRIEF, findings=numbered))
    return tuple(groups)


def numbers(review: Review) -> tuple[Numbered, ...]:
    """Return the findings that the text numbers, in its order, for the marks of a drawing."""
    return tuple(one for group in grouped(review) for one in group.findings)


def count(review: Review, wanted: Callable[[Finding], bool]) -> int:
    """Return how many findings are as wanted and not waived."""
    return sum(wanted(finding) for finding in review.findings if finding.waived is None)


def errors(review: Review) -> int:
    """Return how many findings fail at error level."""
    return count(review, lambda f: f.outcome == "fails" and f.level == "error")


def warnings(review: Review) -> int:
    """Return how many findings fail or are tight at warning level."""
    return count(review, lambda f: f.outcome in ("fails", "tight") and f.level == "warning")
