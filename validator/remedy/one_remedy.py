"""One cure: the least change that holds within tolerance, tried, judged again and told."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from ruleset.cases import margin_of
from ruleset.explain import Amount
from ruleset.program import EXEMPT, HOLDS, UNKNOWN
from ruleset.show import show

from ..stackup import FINE
from ..verdict import Verdict
from .effort import ENDED
from .law import Law
from .levers import Again, Levers
from .nothing import Why
from .result import (
    AT_SIZE,
    UNWEIGHED,
    WITHIN_LIKELY,
    WITHIN_TOLERANCE,
    Change,
    Cured,
    Nothing,
    Remedy,
    Tighter,
)
from .search import FAILED, HAIR
from .solve import Solver
from .tightness import ANYHOW, LIKELY, WORST, Tightness, grade_of
from .trial import Trial, Trying
from .wanted_change import Solution, Wanted


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What was found for some cases: a remedy and the job with it, or why there is none."""

    remedy: Remedy | None = None
    trial: Trial | None = None
    nothing: Nothing | None = None


@dataclass(slots=True, kw_only=True)
class Curing:
    """Cures cases of one job.

    Attributes:
        verdict: The verdict of the job as it stands.
        levers: The sheet of levers.
        solver: The search.
        trying: What changes are tried with.
        tightness: Weighs changes; None where tolerances are left out.
        why: Explains why there is no change.
        law: Holds a change against the job as it stands.
        places: Place of each case, by clause and part.
    """

    verdict: Verdict
    levers: Levers
    solver: Solver
    trying: Trying
    tightness: Tightness | None
    why: Why
    law: Law
    places: Mapping[tuple[str, str], int]

    def cure(self, targets: frozenset[int], do: str) -> Found:
        """Return the least change that cures some cases, or why there is none.

        Args:
            targets: Places of the cases.
            do: What to do where there is none.
        """
        if any(self.verdict.run.outcomes[at] == UNKNOWN for at in targets):
            return Found(nothing=self.why.nothing(targets, do, proved=False))
        solution = self.solver.best(targets)
        late = not self.solver.exact
        if solution is not None:
            found = self._tried(solution, UNWEIGHED, Wanted(targets=targets, grade=ANYHOW))
            if found is not None:
                return found if self.tightness is None else self._weighed(targets, solution, found)
        proved = solution is None and not late
        return Found(nothing=self.why.nothing(targets, do, proved=proved, late=late))

    def loosened(self, targets: frozenset[int], do: str) -> Found:
        """Return the least change with which cases that hold at size hold within tolerance.

        Args:
            targets: Places of the cases.
            do: What to do where there is none.
        """
        exact = True
        tightness = self.tightness
        grades = [(WORST, WITHIN_TOLERANCE)]
        if tightness and any(grade_of(tightness.before[at]) == ANYHOW for at in targets):
            grades.append((LIKELY, WITHIN_LIKELY))
        for grade, reached in grades:
            wanted = Wanted(targets=targets, grade=grade)
            solution = self.solver.best(targets, wanted)
            exact = exact and self.solver.exact
            found = None if solution is None else self._tried(solution, reached, wanted)
            if found is not None and found.remedy is not None:
                return replace(found, remedy=replace(found.remedy, settled=exact))
            exact = exact and solution is None
        return Found(nothing=self.why.too_tight(targets, do, proved=exact))

    def _weighed(self, targets: frozenset[int], least: Solution, found: Found) -> Found:
        """Return the least change that holds within tolerance; else the one that is least tight."""
        settled = True
        try:
            for grade, reached in ((WORST, WITHIN_TOLERANCE), (LIKELY, WITHIN_LIKELY)):
                wanted = Wanted(targets=targets, grade=grade)
                solution = self.solver.best(targets, wanted)
                if grade == WORST:  # whether anything holds within tolerance is what is settled
                    settled = self.solver.exact
                if solution is None:
                    continue
                further = self._further(solution, least, reached, wanted, found)
                if further is not None and further.remedy is not None:
                    remedy = replace(further.remedy, settled=settled)
                    return replace(further, remedy=remedy)
                settled = False  # the job judged again says otherwise
        except ENDED:
            self.solver.effort.ended = True
            return self._at_size(found, settled=False)
        return self._eased(targets, least, self._at_size(found, settled=settled))

    def _further(
        self,
        solution: Solution,
        least: Solution,
        reached: str,
        wanted: Wanted,
        found: Found,
    ) -> Found | None:
        """Return what reaches further than the least change, with that one told beside it."""
        if (solution.choice, solution.point) == (least.choice, least.point):
            solution = replace(solution, proved=solution.proved or least.proved)
        further = self._tried(solution, reached, wanted)
        if further is None or further.remedy is None:
            return None
        smaller = found.remedy if least.cost < solution.cost else None
        return replace(further, remedy=replace(further.remedy, smaller=smaller))

    def _eased(self, targets: frozenset[int], least: Solution, found: Found) -> Found:
        """Return the least change that leaves nothing tight but what cannot be helped.

        What the least change at size leaves tight is let off; then it is asked for again, a clause
        at a time, and let off only where nothing holds with it.
        """
        if self.tightness is None or found.trial is None or found.remedy is None:
            return found
        asked = Wanted(targets=targets, grade=WORST)
        tight = [one.at for one in self.tightness.too_tight(found.trial.verdict, asked)]
        wanted, best = replace(asked, eased=frozenset(tight)), least
        try:
            for at in tight:
                if len(wanted.eased) == 1:
                    break
                less = replace(asked, eased=wanted.eased - {at})
                solution = self.solver.best(targets, less)
                if solution is not None:
                    wanted, best = less, solution
        except ENDED:
            self.solver.effort.ended = True
        further = None if best is least else self._further(best, least, AT_SIZE, wanted, found)
        if further is None or further.remedy is None:
            return found
        return replace(further, remedy=replace(further.remedy, settled=found.remedy.settled))

    def _at_size(self, found: Found, *, settled: bool) -> Found:
        remedy = found.remedy
        return replace(found, remedy=remedy and replace(remedy, reached=AT_SIZE, settled=settled))

    def _tried(self, solution: Solution, reached: str, wanted: Wanted) -> Found | None:
        """Return a solution as a remedy, None where the job judged again says otherwise."""
        targets = wanted.targets
        trial = self.trying.trial(solution, targets)
        if not self._is_clean(trial, targets):
            return None
        levers = self.solver.levers
        moved, again = trial.moved, self._again(trial)
        tight = tuple(self._tight(trial, targets))
        remedy = Remedy(
            title=_title(moved),
            cures=tuple(self._at_worst(one, trial) for one in self.trying.cured(trial, targets)),
            changes=(*trial.changes, *(self._taken_back(one.fact) for one in again)),
            dearest=levers.classes[solution.cap] if solution.cap >= 0 else "",
            moved=solution.moved,
            steps=solution.steps,
            reached=reached,
            proved=solution.proved,
            again=(*trial.then, *_to_do(again, trial.verdict.sizes_code)),
            tight=tight,
            still=tuple(dict.fromkeys(self._still(trial, targets, tight))),
            worse=tuple(dict.fromkeys(self._worse(trial, targets))),
            held_by=self._held_by(solution, wanted),
        )
        return Found(remedy=remedy, trial=trial)

    def _held_by(self, solution: Solution, wanted: Wanted) -> tuple[str, ...]:
        held = self.solver.held_by(solution, wanted) - wanted.targets
        cases = self.verdict.plan.cases
        return tuple(dict.fromkeys(cases[at].clause.name for at in sorted(held)))

    def _at_worst(self, cured: Cured, trial: Trial) -> Cured:
        """Return what is cured with the margin that tolerances leave it."""
        at = self.places[cured.clause, cured.subject]
        case = trial.verdict.plan.cases[at]
        if (
            self.tightness is None
            or cured.margin is None
            or self.tightness.tolerances.spares(case.clause)
        ):
            return cured
        stack = self.tightness.stack(trial.verdict, at)
        if stack.worst != stack.worst:  # nan
            return cured
        kind = cured.margin.kind
        text = show(stack.worst, kind, self.verdict.job.style, finer=FINE).text
        return replace(cured, worst=Amount(value=stack.worst, kind=kind, text=text))

    def _tight(self, trial: Trial, targets: frozenset[int]) -> Iterator[Tighter]:
        if self.tightness is None:
            return
        for stack in self.tightness.too_tight(trial.verdict, Wanted(targets=targets, grade=WORST)):
            case = trial.verdict.plan.cases[stack.at]
            clause = trial.verdict.clause(case)
            yield Tighter(
                clause=clause.name,
                subject=case.subject,
                title=clause.title,
                likely=grade_of(stack) == ANYHOW,
            )

    def _still(
        self, trial: Trial, targets: frozenset[int], tight: tuple[Tighter, ...]
    ) -> Iterator[str]:
        """Yield the clauses that stay tight by another margin, and are not told as tight."""
        new = {(one.clause, one.subject) for one in tight}
        still = () if self.tightness is None else self.tightness.still_tight(trial.verdict)
        for at in still:
            case = trial.verdict.plan.cases[at]
            if at not in targets and (case.clause.name, case.subject) not in new:
                yield case.clause.name

    def _worse(self, trial: Trial, targets: frozenset[int]) -> Iterator[str]:
        """Yield the clauses that failed before and fail by more now."""
        before, after = self.verdict, trial.verdict
        for at, case in enumerate(before.plan.cases):
            margin = margin_of(case)
            fails = before.run.outcomes[at] in FAILED and after.run.outcomes[at] in FAILED
            if fails and margin is not None and at not in targets:
                old, new = (one.answering.answer(margin).value for one in (before, after))
                if new < old - HAIR:
                    yield case.clause.name

    def _is_clean(self, trial: Trial, targets: Iterable[int]) -> bool:
        outcomes = trial.verdict.run.outcomes
        if any(outcomes[at] not in (HOLDS, EXEMPT) for at in targets):
            return False
        if not all(
            code in allowed for code, allowed in zip(outcomes, self.solver.allowed, strict=True)
        ):
            return False
        return _has_sizes(trial.verdict) and self.law.allows(trial.verdict)

    def _again(self, trial: Trial) -> tuple[Again, ...]:
        """Return what was done for the drawing as it was and has to be done again."""
        return tuple(
            one
            for one in self.levers.again
            if self.verdict.facts.get(one.fact) == 1.0 and (trial.moved or one.papers)
        )

    def _taken_back(self, fact: str) -> Change:
        change, _ = self.trying.change(fact, 0.0, "no", follows=True)
        return replace(change, again=True)


def _has_sizes(verdict: Verdict) -> bool:
    """Return whether every pane is more than nothing, as far as it is known."""
    sizes = (verdict.answer(step.name) for step in verdict.plan.steps if step.frozen)
    return not any(size.known and size.value <= 0.0 for size in sizes)


def _title(moved: Sequence[str]) -> str:
    """Return what to do, in the imperative.

    Example:
        >>> _title(("the split from 33 in to 31 in", "the overlap from 1 in to 1 1/2 in"))
        'Change the split from 33 in to 31 in and the overlap from 1 in to 1 1/2 in.'
    """
    if not moved:
        return "Write the order anew from the take-off."
    *some, last = moved
    return f"Change {', '.join(some)} and {last}." if some else f"Change {last}."


def _to_do(again: Iterable[Again], code: str) -> Iterator[str]:
    """Yield what is to be done again, and the code of the sizes that it is then given for."""
    named = [one.do for one in again]
    yield from named
    if named and code:
        yield f"The sizes then have the code {code}; it is written once they are checked."
