"""What is asked of a change, and what is answered: outcomes that may be, how tight, which point."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol

from ruleset.program import EXEMPT, FAILS, HOLDS, SOFTER, UNKNOWN

from ..verdict import Verdict
from .corner import Corner

BUILT = ("install", "handover")
"""Stages whose clauses the finished work decides."""
CURED = frozenset((EXEMPT, HOLDS))
ANY = frozenset((EXEMPT, HOLDS, FAILS, SOFTER, UNKNOWN))


@dataclass(frozen=True, slots=True, kw_only=True)
class Solution:
    """A point that cures.

    Attributes:
        choice: Option of each wide lever.
        point: Option of each narrow lever.
        cap: Place of the dearest class touched; -1 for none.
        moved: How many levers it moves.
        steps: How many steps in all.
        proved: Whether nothing less is possible within reach.
    """

    choice: tuple[int, ...]
    point: tuple[int, ...]
    cap: int
    moved: int
    steps: int
    proved: bool = True

    @property
    def cost(self) -> tuple[int, int, int]:
        """Return what decides between two: the dearest class, how many levers, how many steps."""
        return self.cap, self.moved, self.steps


def masks(verdict: Verdict, waived: frozenset[int]) -> tuple[frozenset[int], ...]:
    """Return the outcomes that each case of a job may have after a remedy.

    A case that holds goes on holding, one that is not known may not come to fail, one that is
    decided stays decided, and one that fails may fail on. What did not apply before may come to
    fail as a note: that a way in is not comfortable is asked only of one that does at all. It may
    come to be unknown where only the finished work tells: a head that is held now is fastened
    later. A waived case may do as it likes.

    Args:
        verdict: The verdict of the job as it stands.
        waived: Places of the cases that are waived.
    """
    return tuple(
        ANY if at in waived else _mask(verdict, at, code)
        for at, code in enumerate(verdict.run.outcomes)
    )


def _mask(verdict: Verdict, at: int, code: int) -> frozenset[int]:
    clause = verdict.clause(verdict.plan.cases[at])
    found = set(CURED)
    if code == EXEMPT and clause.level == "note":
        found |= {FAILS, SOFTER}
    if code == EXEMPT and clause.softer is not None and clause.softer.level == "note":
        found.add(SOFTER)
    if code == EXEMPT and clause.stage in BUILT:
        found.add(UNKNOWN)
    if code == FAILS:
        found |= {FAILS, SOFTER}
    if code in (SOFTER, UNKNOWN):
        found.add(code)
    return frozenset(found)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """How tight a change may leave the job.

    Attributes:
        targets: The cases that are to be cured.
        grade: How tight those may be, and what is not tight yet.
        eased: Cases that may be as tight as they like.
    """

    targets: frozenset[int]
    grade: int
    eased: frozenset[int] = frozenset()


class Weighing(Protocol):
    """Tells whether a point is too tight, and at which corners of its tolerances."""

    def corners(self, solution: Solution, wanted: Wanted) -> Iterable[Corner]: ...
    def binds(self, corner: Corner, wanted: Wanted) -> bool: ...
