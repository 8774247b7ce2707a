"""What no remedy may do: make a finding worse than it was, told by clause, part and outcome."""

from collections import Counter
from collections.abc import Iterable, Iterator

from ..books import Rules
from ..finding import Finding, Review
from ..reviewing import review_verdict
from ..verdict import Verdict

Key = tuple[str, str]
"""A clause and its part."""
LEVELS = ("error", "warning", "note")


def named(finding: Finding) -> Key:
    """Return what tells a finding from others: its clause and its part."""
    return finding.clause, finding.subject


def made_worse(before: Iterable[Finding], after: Iterable[Finding]) -> tuple[Key, ...]:
    """Return what fails more often or at a higher level than before, or is no longer known.

    What comes to fail as a note, and was not asked before, is left to the clauses themselves.

    Args:
        before: The findings of the job as it stands.
        after: Those of the job with a change.
    """
    old, new = _counted(before), _counted(after)
    worse = (key for (key, what), many in new.items() if many > old[key, what])
    return tuple(dict.fromkeys(worse))


def _counted(findings: Iterable[Finding]) -> Counter[tuple[Key, str]]:
    return Counter((named(one), what) for one in findings for what in _is(one))


def _is(finding: Finding) -> Iterator[str]:
    """Yield what a finding is: an error is as bad as a warning, and worse."""
    if finding.outcome == "unknown":
        yield "unknown"
    elif finding.outcome == "fails" and finding.level != "note":
        yield from LEVELS[LEVELS.index(finding.level) : LEVELS.index("note")]


class Law:
    """A job as it stands, that changes of it are held against."""

    def __init__(self, first: Review, rules: Rules, stage: str) -> None:
        """Take the job's review.

        Args:
            first: The review of the job as it stands.
            rules: The rules.
            stage: The stage that it was reviewed for.
        """
        self.first = first
        self._rules = rules
        self._stage = stage
        self._after: dict[int, tuple[Verdict, Review]] = {}

    def after(self, verdict: Verdict) -> Review:
        """Return the review of the job with a change."""
        if id(verdict) not in self._after:  # the verdict is kept, and so its identity
            again = review_verdict(
                verdict, self._rules, stage=self._stage, tolerance=False, explained=False
            )
            self._after[id(verdict)] = verdict, again
        return self._after[id(verdict)][1]

    def allows(self, verdict: Verdict) -> bool:
        """Return whether a change makes nothing worse, in the papers and by plugins as well."""
        after = self.after(verdict)
        broken = set(after.broken) <= set(self.first.broken)
        return broken and not made_worse(self.first.findings, after.findings)

    def cures(self, verdict: Verdict, finding: Finding) -> bool:
        """Return whether nothing of a finding is left with a change."""
        return not any(
            named(one) == named(finding) and one.outcome in ("fails", "unknown")
            for one in self.after(verdict).findings
        )
