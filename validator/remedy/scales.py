"""Whether a change holds within tolerance: the job with it, judged and stacked up again."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from ruleset.program import FAILS

from ..allowance import Tolerances
from ..finding import Stack
from ..stackup import Known, stack_up
from ..verdict import Verdict
from .corner import Corner, corner_of
from .solve import Solution
from .trial import Bench

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
        present: How tight each case is as the job stands, where it is.
        weighed: What is tight in each verdict so far, by its identity.
    """

    bench: Bench
    sheet: Tolerances
    allowed: Sequence[frozenset[int]]
    known: Known = field(default_factory=dict)
    present: dict[int, int] = field(default_factory=dict)
    weighed: dict[int, tuple[Verdict, tuple[Stack, ...]]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Weigh the job as it stands."""
        self.present = {one.at: grade_of(one) for one in self.stacks(self.bench.verdict)}

    def stacks(self, verdict: Verdict) -> tuple[Stack, ...]:
        """Return what is tight in a job of the same shape."""
        if id(verdict) not in self.weighed:
            found = tuple(stack_up(verdict, self.sheet, self.known))
            self.weighed[id(verdict)] = (verdict, found)  # kept, so that its identity stays its own
        return self.weighed[id(verdict)][1]

    def most(self, at: int, targets: frozenset[int], grade: int) -> int:
        """Return how tight a case may be.

        Args:
            at: The case.
            targets: The cases that are to be cured.
            grade: How tight those may be, and what is not tight yet.
        """
        if at in targets:
            return grade
        if FAILS in self.allowed[at]:  # it may even fail
            return ANYHOW
        return max(grade, self.present.get(at, WORST))

    def too_tight(self, verdict: Verdict, targets: frozenset[int], grade: int) -> Iterator[Stack]:
        """Yield what is tighter in a changed job than it may be."""
        for stack in self.stacks(verdict):
            if grade_of(stack) > self.most(stack.at, targets, grade):
                yield stack

    def corners(self, solution: Solution, targets: frozenset[int], grade: int) -> Iterator[Corner]:
        """Yield the corners at which a change is tighter than it may be."""
        verdict = self.bench.trial(solution, targets).verdict
        for stack in self.too_tight(verdict, targets, grade):
            likely = self.most(stack.at, targets, grade) == LIKELY
            yield corner_of(verdict, stack, likely=likely)

    def binds(self, corner: Corner, targets: frozenset[int], grade: int) -> bool:
        """Return whether what is to be cured, and how, asks a corner to hold."""
        return self.most(corner.at, targets, grade) == (LIKELY if corner.likely else WORST)
