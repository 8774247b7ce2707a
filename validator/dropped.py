"""Clauses that a code set drops: nothing is switched off without a word."""

from ruleset.library import Library

from .finding import Finding
from .verdict import Verdict


def dropped(verdict: Verdict, books: Library) -> tuple[Finding, ...]:
    """Return a finding that does not apply for each clause that an adopted code set drops.

    Args:
        verdict: One job's verdict, which tells what is adopted.
        books: The books before any code set.
    """
    return tuple(
        Finding(
            clause=checked.clause.name,
            subject="job",
            outcome="exempt",
            level=checked.clause.level,
            stage=checked.clause.stage,
            title=f"{checked.clause.title}; {layer.name} drops it: {amendment.why}",
            says=f"Does not apply: {checked.clause.title}. {layer.title} drops it: {amendment.why}",
            do="",
            why=checked.clause.why,
            place=amendment.place,
            actual=None,
            limit=None,
            margin=None,
            working=(),
            basis=amendment.basis or checked.clause.basis,
            missing=(),
        )
        for layer in verdict.layers
        for amendment in layer.amends.values()
        if amendment.off and (checked := books.clauses.get(amendment.of))
    )
