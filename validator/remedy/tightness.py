"""Whether a change holds within tolerance: the job with it, judged and stacked up again."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from ruleset.program import FAILS

from ..finding import Stack
from ..stackup import Known, is_costly, stack_of, tight_at
from ..toleranced import Toleranced, not_cleared
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
        weighed: Each verdict so far that was looked into, by its identity.
    """

    trying: Trying
    tolerances: Tolerances
    allowed: Sequence[frozenset[int]]
    known: Known = field(default_factory=dict)
    before: dict[int, Stack] = field(default_factory=dict)
    weighed: dict[int, "_Weighed"] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Weigh the job as it stands."""
        self.before = {one.at: one for one in self.stacks(self.trying.verdict)}

    def stacks(self, verdict: Verdict) -> tuple[Stack, ...]:
        """Return what is tight in a job of the same shape."""
        weighed = self._weighed(verdict)
        every = (weighed.tight(at, self.known) for at in weighed.places)
        return tuple(one for one in every if one is not None)

    def stack(self, verdict: Verdict, at: int) -> Stack:
        """Return how the tolerances stack up against one case of such a job."""
        return stack_of(self._weighed(verdict).toleranced, at, self.known)

    def _weighed(self, verdict: Verdict) -> "_Weighed":
        if id(verdict) not in self.weighed:  # the work keeps the verdict, and so its identity
            toleranced = Toleranced(verdict, self.tolerances)
            places = tuple(not_cleared(toleranced))
            self.weighed[id(verdict)] = _Weighed(toleranced=toleranced, places=places)
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
        weighed = self._weighed(verdict)
        for at in weighed.places:
            stack = self._too_tight(weighed, at, wanted)
            if stack is not None:
                yield stack

    def _too_tight(self, weighed: "_Weighed", at: int, wanted: Wanted) -> Stack | None:
        most = self.most(at, wanted)
        stack = None if most == ANYHOW else weighed.tight(at, self.known)
        return stack if stack is not None and grade_of(stack) > most else None

    def still_tight(self, verdict: Verdict) -> Iterator[int]:
        """Yield the cases that were tight before, and in a changed job are by another margin."""
        for stack in self.stacks(verdict):
            old = self.before.get(stack.at)
            if old is not None and abs(old.worst - stack.worst) > HAIR:
                yield stack.at

    def corners(self, solution: Solution, wanted: Wanted) -> Iterator[Corner]:
        """Yield corners at which a change is tighter than it may be; none where it is nowhere.

        Of the cases that take long to ask they are yielded only where no other case has one.
        """
        verdict = self.trying.trial(solution, wanted.targets).verdict
        weighed = self._weighed(verdict)
        found = False
        for at in sorted(weighed.places, key=lambda at: is_costly(weighed.toleranced, at)):
            if found and is_costly(weighed.toleranced, at):
                break
            stack = self._too_tight(weighed, at, wanted)
            if stack is not None:
                found = True
                likely = self.most(stack.at, wanted) == LIKELY
                yield corner_of(verdict, self.tolerances, stack, likely=likely)

    def binds(self, corner: Corner, wanted: Wanted) -> bool:
        """Return whether a corner has to hold."""
        return self.most(corner.at, wanted) == (LIKELY if corner.likely else WORST)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Weighed:
    """One verdict, looked into as far as was asked.

    Attributes:
        toleranced: The work as it is built.
        places: The cases that may be tight.
        found: What was found of them so far.
    """

    toleranced: Toleranced
    places: tuple[int, ...]
    found: dict[int, Stack | None] = field(default_factory=dict)

    def tight(self, at: int, known: Known) -> Stack | None:
        """Return how the tolerances stack up against a case; None where it holds at worst."""
        if at not in self.found:
            self.found[at] = tight_at(self.toleranced, at, known)
        return self.found[at]
