"""What a stage waits for: which findings are due, which hold it up, which no longer help.

A stage is released when nothing that is due fails at error level, and nothing that is due could.
What only warns holds nothing up, unknown or failed: a reading that is missing weighs no more than a
bad one.
"""

from collections.abc import Mapping, Sequence

from ruleset.book import STAGES

from .finding import Asked, Finding, Review

READY = (
    "No error of that stage or an earlier one stands, and nothing that could be one is undecided."
)
"""Why a job is ready, in a sentence."""
BUILT_SO = "It is built so: have it changed, or stated as a departure by whoever answers for it."
"""What to do about an error that no change of the design cures any more."""
_BUILT = STAGES.index("install")
_LAST = STAGES[-1]


def is_due(of: str, stage: str) -> bool:
    """Return whether what belongs to a stage is asked for at another."""
    return STAGES.index(of) <= STAGES.index(stage)


def in_the_way(
    findings: Sequence[Finding], stage: str, needed: Mapping[str, str]
) -> tuple[Finding, ...]:
    """Return the findings that stand in the way of a stage's release.

    A survey that lacks a reading is not complete, although the clause that needs it is one of the
    design: such a clause stands in the way where no clause that is due waits for the same fact.

    Args:
        findings: The findings, those that are still unknown with them.
        stage: The stage asked about.
        needed: The stage at which each fact must be known.
    """
    due = [one for one in findings if _holds_up(one) and is_due(one.stage, stage)]
    waited = {name for one in due if one.outcome == "unknown" for name in one.missing}
    lacking = {name for name, of in needed.items() if is_due(of, stage)} - waited
    early = [
        one
        for one in findings
        if one.outcome == "unknown" and _holds_up(one) and not is_due(one.stage, stage)
    ]
    return (*due, *(one for one in early if not lacking.isdisjoint(one.missing)))


def _holds_up(finding: Finding) -> bool:
    """Return whether a finding stands in the way of its own stage."""
    if finding.waived is not None or finding.outcome not in ("fails", "unknown"):
        return False
    broken = finding.outcome == "unknown" and not finding.missing  # its book is at fault
    return broken or finding.level == "error"


def is_built(of: str, stage: str) -> bool:
    """Return whether what was decided at a stage stands in glass and metal at another: handover."""
    return stage == _LAST and STAGES.index(of) < _BUILT


def no_longer_helps(finding: Finding, stage: str) -> bool:
    """Return whether a finding is advice on what is built by now."""
    advice = finding.level != "error" and finding.waived is None
    return advice and is_built(finding.stage, stage)


def waited_for(review: Review) -> tuple[Asked, ...]:
    """Return the facts without which the stage asked about is not released."""
    because = frozenset(review.release.because)
    return tuple(one for one in review.asked if not because.isdisjoint(one.clauses))


def may_be_cured(review: Review) -> bool:
    """Return whether an error stands or something is tight as a warning, and is not built yet."""
    return any(
        not is_built(one.stage, review.release.stage)
        and (one.outcome, one.level) in (("fails", "error"), ("tight", "warning"))
        for one in review.findings
    )
