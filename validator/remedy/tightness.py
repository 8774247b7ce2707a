"""Whether a change holds within tolerance: the job with it, judged and stacked up again."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from ruleset.program import FAILS

from ..finding import Stack
from ..stackup import Known, stack_of, stack_up
from ..toleranced import Work
from ..tolerances import Tolerances
from ..verdict import Verdict
from .corner import Corner, corner_of
from .search import HAIR
from .trial import Bench
from .wanted_change import Demand, Solution

WORST, LIKELY, ANYHOW = range(3)
"""How tight a clause may be: not even at the worst corner, there alone, or anyhow."""


def grade_of(stack: Stack) -> int:
    """Return how tight a stack-up is: WORST for not at all, LIKELY at the worst corner alone."""
    if not stack.fails:
        return WORST
    return ANYHOW if stack.fails_rss else LIKELY


@dataclass(slots=True, kw_only=True)
class Scales:
    """Weighs changes of one job.

    Attributes:
        bench: What changes are tried with.
        sheet: The sheet of tolerances.
        allowed: The outcomes that each case may have.
        known: Stack-ups made so far.
        before: What is tight as the job stands, by case.
        weighed: The work and what is tight in it, for each verdict so far, by its identity.
    """

    bench: Bench
    sheet: Tolerances
    allowed: Sequence[frozenset[int]]
    known: Known = field(default_factory=dict)
    before: dict[int, Stack] = field(default_factory=dict)
    weighed: dict[int, tuple[Work, tuple[Stack, ...]]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Weigh the job as it stands."""
        self.before = {one.at: one for one in self.stacks(self.bench.verdict)}

    def stacks(self, verdict: Verdict) -> tuple[Stack, ...]:
        """Return what is tight in a job of the same shape."""
        return self._weighed(verdict)[1]

    def stack(self, verdict: Verdict, at: int) -> Stack:
        """Return how the tolerances stack up against one case of such a job."""
        return stack_of(self._weighed(verdict)[0], at, self.known)

    def _weighed(self, verdict: Verdict) -> tuple[Work, tuple[Stack, ...]]:
        if id(verdict) not in self.weighed:  # the work keeps the verdict, and so its identity
            work = Work(verdict, self.sheet)
            self.weighed[id(verdict)] = (work, tuple(stack_up(work, self.known)))
        return self.weighed[id(verdict)]

    def most(self, at: int, demand: Demand) -> int:
        """Return how tight a case may be."""
        if at in demand.eased:
            return ANYHOW
        if at in demand.targets:
            return demand.grade
        if FAILS in self.allowed[at] or self._is_note(at):  # it may even fail, or tells no more
            return ANYHOW
        old = self.before.get(at)
        return demand.grade if old is None else max(demand.grade, grade_of(old))

    def _is_note(self, at: int) -> bool:
        verdict = self.bench.verdict
        return verdict.clause(verdict.plan.cases[at]).level == "note"

    def too_tight(self, verdict: Verdict, demand: Demand) -> Iterator[Stack]:
        """Yield what is tighter in a changed job than it may be."""
        for stack in self.stacks(verdict):
            if grade_of(stack) > self.most(stack.at, demand):
                yield stack

    def still_tight(self, verdict: Verdict) -> Iterator[int]:
        """Yield the cases that were tight before, and in a changed job are by another margin."""
        for stack in self.stacks(verdict):
            old = self.before.get(stack.at)
            if old is not None and abs(old.worst - stack.worst) > HAIR:
                yield stack.at

    def corners(self, solution: Solution, demand: Demand) -> Iterator[Corner]:
        """Yield the corners at which a change is tighter than it may be."""
        verdict = self.bench.trial(solution, demand.targets).verdict
        for stack in self.too_tight(verdict, demand):
            likely = self.most(stack.at, demand) == LIKELY
            yield corner_of(verdict, self.sheet, stack, likely=likely)

    def binds(self, corner: Corner, demand: Demand) -> bool:
        """Return whether a corner has to hold."""
        return self.most(corner.at, demand) == (LIKELY if corner.likely else WORST)
