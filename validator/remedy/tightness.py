"""Whether a change holds within tolerance: the job with it, judged and stacked up again."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from ruleset.program import FAILS

from ..finding import Stack
from ..stackup import Known, stack_of, stack_up
from ..toleranced import Toleranced
from ..tolerances import Tolerances
from ..verdict import Verdict
from .corner import Corner, corner_of
from .search import HAIR
from .trial import Trying
from .wanted_change import Solution, Wanted

WORST, LIKELY, ANYHOW = range(3)
"""How tight a clause may be: not even at the worst corner, there alone, or anyhow."""


def grade_of(stack: Stack) -> int:
    """Return how tight a stack-up is: WORST for not at all, LIKELY at the worst corner alone."""
    if not stack.fails:
        return WORST
    return ANYHOW if stack.fails_rss else LIKELY


@dataclass(slots=True, kw_only=True)
class Tightness:
    """Weighs changes of one job.

    Attributes:
        trying: What changes are tried with.
        tolerances: The sheet of tolerances.
        allowed: The outcomes that each case may have.
        known: Stack-ups made so far.
        before: What is tight as the job stands, by case.
        weighed: The work and what is tight in it, for each verdict so far, by its identity.
    """

    trying: Trying
    tolerances: Tolerances
    allowed: Sequence[frozenset[int]]
    known: Known = field(default_factory=dict)
    before: dict[int, Stack] = field(default_factory=dict)
    weighed: dict[int, tuple[Toleranced, tuple[Stack, ...]]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Weigh the job as it stands."""
        self.before = {one.at: one for one in self.stacks(self.trying.verdict)}

    def stacks(self, verdict: Verdict) -> tuple[Stack, ...]:
        """Return what is tight in a job of the same shape."""
        return self._weighed(verdict)[1]

    def stack(self, verdict: Verdict, at: int) -> Stack:
        """Return how the tolerances stack up against one case of such a job."""
        return stack_of(self._weighed(verdict)[0], at, self.known)

    def _weighed(self, verdict: Verdict) -> tuple[Toleranced, tuple[Stack, ...]]:
        if id(verdict) not in self.weighed:  # the work keeps the verdict, and so its identity
            toleranced = Toleranced(verdict, self.tolerances)
            self.weighed[id(verdict)] = (toleranced, tuple(stack_up(toleranced, self.known)))
        return self.weighed[id(verdict)]

    def most(self, at: int, wanted: Wanted) -> int:
        """Return how tight a case may be."""
        if at in wanted.eased:
            return ANYHOW
        if at in wanted.targets:
            return wanted.grade
        if FAILS in self.allowed[at] or self._is_note(at):  # it may even fail, or tells no more
            return ANYHOW
        old = self.before.get(at)
        return wanted.grade if old is None else max(wanted.grade, grade_of(old))

    def _is_note(self, at: int) -> bool:
        verdict = self.trying.verdict
        return verdict.clause(verdict.plan.cases[at]).level == "note"

    def too_tight(self, verdict: Verdict, wanted: Wanted) -> Iterator[Stack]:
        """Yield what is tighter in a changed job than it may be."""
        for stack in self.stacks(verdict):
            if grade_of(stack) > self.most(stack.at, wanted):
                yield stack

    def still_tight(self, verdict: Verdict) -> Iterator[int]:
        """Yield the cases that were tight before, and in a changed job are by another margin."""
        for stack in self.stacks(verdict):
            old = self.before.get(stack.at)
            if old is not None and abs(old.worst - stack.worst) > HAIR:
                yield stack.at

    def corners(self, solution: Solution, wanted: Wanted) -> Iterator[Corner]:
        """Yield the corners at which a change is tighter than it may be."""
        verdict = self.trying.trial(solution, wanted.targets).verdict
        for stack in self.too_tight(verdict, wanted):
            likely = self.most(stack.at, wanted) == LIKELY
            yield corner_of(verdict, self.tolerances, stack, likely=likely)

    def binds(self, corner: Corner, wanted: Wanted) -> bool:
        """Return whether a corner has to hold."""
        return self.most(corner.at, wanted) == (LIKELY if corner.likely else WORST)
