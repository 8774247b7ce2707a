"""Remedies beside the findings they cure, a line each."""

from dataclasses import dataclass, replace

from ..finding import Finding, Review
from ..job import Job
from ..phrases import listed
from .patch import json_patch
from .result import AT_SIZE, Remedies, Remedy


@dataclass(frozen=True, slots=True, kw_only=True)
class Cure:
    """A remedy as a finding carries it.

    Attributes:
        title: What to change, in a sentence.
        reached: "within tolerance", "within the likely tolerance", "at size", or "at size,
            tolerances left out".
        tight: Clauses that tolerances can then eat, one a part.
        proved: Whether no smaller change within reach does so.
        settled: Whether it is settled that no change reaches further.
        operations: The changes to the job as JSON Patch (RFC 6902) operations.
    """

    title: str
    reached: str
    tight: tuple[str, ...]
    proved: bool
    settled: bool
    operations: tuple[dict[str, object], ...]

    def __str__(self) -> str:
        """Return the title, what is then tight, and whether a smaller change may do."""
        said = self.title
        if self.tight:
            verb = "is" if len(self.tight) == 1 else "are"
            how = "At size only" if self.reached == AT_SIZE else "Within the usual tolerance"
            said += f" {how}: {listed(self.tight)} {verb} then tight."
        if self.proved and self.settled:
            return said
        return f"{said} This is what was found beside a review; `paneproof remedy` looks longer."


def with_remedies(review: Review, remedies: Remedies, job: Job) -> Review:
    """Return a review whose findings carry the remedies found for them.

    Args:
        review: The review of a job.
        remedies: The remedies of the same job.
        job: The job.
    """
    found = {(one.clause, one.subject): one.remedy for one in remedies.singles if one.remedy}

    def cured(finding: Finding) -> Finding:
        remedy = found.get((finding.clause, finding.subject))
        if remedy is None or finding.outcome not in ("fails", "tight"):
            return finding
        return replace(finding, remedies=(_cure(remedy, job),))

    return replace(review, findings=tuple(cured(finding) for finding in review.findings))


def _cure(remedy: Remedy, job: Job) -> Cure:
    return Cure(
        title=remedy.title,
        reached=remedy.reached,
        tight=tuple(dict.fromkeys(one.clause for one in remedy.tight)),
        proved=remedy.proved,
        settled=remedy.settled,
        operations=tuple(dict(one) for one in json_patch(remedy.changes, job)),
    )
