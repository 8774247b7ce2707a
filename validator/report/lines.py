"""A review as lines that editors and hooks read: `file:line:column: clause: message`."""

from collections.abc import Iterator

from ..finding import Finding, Review
from .groups import grouped
from .layout import visible

TO_MEASURE = "to-measure"
"""What stands in place of a clause where a fact is still to be supplied."""


def said_of(finding: Finding) -> str:
    """Return what a line says of a finding: its sentence; of one that is tight what it asks."""
    tight = finding.outcome == "tight"
    return f"Tight: {finding.title}." if tight else finding.says or finding.title


def review_lines(review: Review) -> Iterator[str]:
    """Yield a line for each finding that a person acts on, and for each fact that is asked for.

    A line begins with the place, as compilers write it; its level ends it in brackets.

    Args:
        review: The review.
    """
    for group in grouped(review):
        for one in group.findings:
            found = one.finding
            level = "waived" if found.waived is not None else found.level
            how = {"tight": f"tight {level}", "unknown": "not decided"}.get(found.outcome, level)
            yield visible(f"{found.place}: {found.clause}: {said_of(found)} [{how}]")
    for fact in review.asked:
        yield visible(f"{fact.place}: {TO_MEASURE}: {fact.fact}: {fact.means} [{fact.who}]")
