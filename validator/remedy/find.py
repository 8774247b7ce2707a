"""The remedies of one job: for each fault the smallest cure, and one for all errors together."""

import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from ruleset.explain import Amount
from ruleset.program import EXEMPT, HOLDS, UNKNOWN
from ruleset.show import show

from ..allowance import load_tolerances
from ..books import Rules
from ..finding import Finding, Review
from ..job import Job
from ..ordercheck import check_order
from ..review import review, review_verdict
from ..stackup import FINE, stack_of
from ..verdict import Verdict, judge
from .follow import followers, with_followers
from .levers import Again, load_levers
from .nothing import Why
from .options import board_for
from .result import (
    AT_SIZE,
    UNWEIGHED,
    WITHIN_LIKELY,
    WITHIN_TOLERANCE,
    Change,
    Cured,
    Nothing,
    Remedies,
    Remedy,
    Single,
    Tighter,
)
from .scales import ANYHOW, LIKELY, WORST, Scales, grade_of
from .search import Clock, OutOfTime
from .solve import Demand, Solution, Solver, masks
from .space import space_for
from .stock import Stock, stock_for
from .trial import Bench, Trial

Progress = Callable[[str], None]
SECONDS = 8.0
"""How long a search may take: shop policy, no source."""
TELL_AFTER, TELL_EVERY = 1.0, 0.25  # s
LAST_LOOK = 0.5  # s, once time is up


def remedies(  # noqa: PLR0913  # each is a choice of the caller's
    job: Job,
    rules: Rules,
    *,
    stage: str = "order",
    codes: Sequence[str] = (),
    seconds: float = SECONDS,
    stop: Callable[[], bool] | None = None,
    progress: Progress | None = None,
    tolerance: bool = True,
    reviewed: Review | None = None,
) -> Remedies:
    """Return a remedy for each finding that fails as an error or a warning, and one for all errors.

    A change that holds within tolerance goes before a smaller one that holds at size only; that one
    is told with it. Every remedy shown was applied to a copy of the job, and the copy judged and
    its tolerances stacked up again; the joint one was reviewed again as well. An interrupt from the
    keyboard ends the search, and what was found by then is kept.

    Args:
        job: The job.
        rules: The rules.
        stage: The stage that the job is reviewed for.
        codes: Ids of code sets to use in place of those the job names.
        seconds: How long the search may take, s.
        stop: Asked now and then; the search ends when it says yes.
        progress: Told what is searched, once that takes more than a second.
        tolerance: Whether changes that hold within tolerance go before those that hold at size.
        reviewed: The review of the job, where it was made already.

    Raises:
        RulesetError: A code set, a stock.yaml or the sheet of levers cannot be used.
    """
    timer = _Timer(seconds=seconds, stop=stop, progress=progress)
    first = reviewed or review(job, rules, stage=stage, codes=codes, tolerance=False)
    verdict = judge(job, rules, codes=codes)
    asked = _Asked(rules=rules, codes=tuple(codes), stage=stage, tolerance=tolerance)
    return _Finder(verdict, first, asked, timer).remedies()


@dataclass(slots=True, kw_only=True)
class _Timer:
    """Keeps the time, asks whether to stop, and tells how it goes."""

    seconds: float
    stop: Callable[[], bool] | None
    progress: Progress | None
    begun: float = field(default_factory=time.monotonic)
    until: float = 0.0
    told: float = 0.0
    doing: str = ""
    stopped: bool = False

    def tick(self) -> None:
        now = time.monotonic()
        if self.stop is not None and self.stop():
            self.stopped = True
        if self.stopped or now > self.until:
            raise OutOfTime
        since = now - self.begun
        if self.progress is not None and since > TELL_AFTER and now - self.told > TELL_EVERY:
            self.told = now
            self.progress(f"{self.doing} ({since:.1f} s)")

    def begin(self, doing: str, tasks_left: int) -> None:
        """Give the next task its share of the time that is left."""
        now = time.monotonic()
        left = max(self.begun + self.seconds - now, 0.0)
        self.doing = doing
        self.until = now + left / max(tasks_left, 1)

    def last_look(self) -> None:
        self.until = time.monotonic() + LAST_LOOK


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """What the caller asked for."""

    rules: Rules
    codes: tuple[str, ...]
    stage: str
    tolerance: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class _Found:
    """What was found for some cases: a remedy and the job with it, or why there is none."""

    remedy: Remedy | None = None
    trial: Trial | None = None
    nothing: Nothing | None = None


class _Finder:
    """One job's search."""

    def __init__(self, verdict: Verdict, first: Review, asked: _Asked, timer: _Timer) -> None:
        self.verdict = verdict
        self.first = first
        self.rules = asked.rules
        self.codes = asked.codes
        self.stage = asked.stage
        self.tolerance = asked.tolerance
        self.timer = timer
        self.stock: Stock = stock_for(verdict.job, self.rules, load_levers(self.rules))
        self.places = {
            (verdict.clause(case).name, case.subject): at
            for at, case in enumerate(verdict.plan.cases)
        }

    def remedies(self) -> Remedies:
        wrong = self._wrong()
        empty = Remedies(
            job=self.first.job,
            title=self.first.title,
            file=self.first.file,
            style=self.first.style,
            singles=(),
            joint=None,
            joint_nothing=None,
            left=(),
            stopped=False,
            unread=self.stock.unread,
        )
        if not wrong:
            return empty
        self._set_up()
        singles: list[Single] = []
        stopped = False
        joint: tuple[Remedy | None, Nothing | None] = (None, None)
        try:
            for at, finding in enumerate(wrong):
                self.timer.begin(finding.title, len(wrong) - at + 1)
                singles.append(self._single(finding))
            self.timer.begin("All errors together", 1)
            joint = self._joint(singles)
        except KeyboardInterrupt:
            stopped = True
        return replace(
            empty,
            singles=tuple(singles),
            joint=joint[0],
            joint_nothing=joint[1],
            left=tuple(
                (one.clause, one.subject)
                for one in singles
                if one.level == "error" and one.remedy is None
            ),
            stopped=stopped or self.timer.stopped,
        )

    def _wrong(self) -> list[Finding]:
        found = [
            one
            for one in self.first.findings
            if one.outcome == "fails"
            and one.level in ("error", "warning")
            and (one.clause, one.subject) in self.places
        ]
        return sorted(found, key=lambda one: one.level != "error")

    def _set_up(self) -> None:
        verdict = self.verdict
        board = board_for(verdict, self.stock)
        repeats = followers(verdict, self.stock.levers.follows)
        plan = with_followers(verdict.plan, {one.fact: one.source for one in repeats})
        self.repeats = {one.fact for one in repeats}
        narrow = {fact for lever in board.narrow for fact in lever.columns}
        waived = frozenset(
            self.places[one.clause, one.subject]
            for one in self.first.findings
            if one.waived is not None and (one.clause, one.subject) in self.places
        )
        self.solver = Solver(
            verdict=verdict,
            board=board,
            space=space_for(verdict.library, verdict.plan, plan, narrow),
            allowed=masks(verdict, waived),
            clock=Clock(tick=self.timer.tick),
            guards=tuple(
                at for (clause, _), at in self.places.items() if clause in self.stock.levers.guards
            ),
        )
        self.bench = Bench(
            verdict=verdict, rules=self.rules, codes=self.codes, board=board, followers=repeats
        )
        self.papers = {_named(one) for one in check_order(verdict) if _is_bad(one)}
        self.scales: Scales | None = None
        if self.tolerance:
            sheet, allowed = load_tolerances(self.rules), self.solver.allowed
            self.scales = Scales(bench=self.bench, sheet=sheet, allowed=allowed)
            self.solver.scales = self.scales
        self.why = Why(solver=self.solver, bench=self.bench, levers=self.stock.levers)
        self.moving = self.repeats | {
            fact for lever in (*board.narrow, *board.wide) for fact in lever.columns
        }

    def _single(self, finding: Finding) -> Single:
        at = self.places[finding.clause, finding.subject]
        remedy: Remedy | None = None
        cone = set(self.verdict.cone(self.verdict.plan.cases[at]))
        if finding.clause in self.stock.levers.advised or not self.moving & cone:
            nothing: Nothing | None = self.why.advice(finding.do)
        else:
            found = self._cure(frozenset((at,)), finding.do)
            remedy, nothing = found.remedy, found.nothing
        return Single(
            clause=finding.clause,
            subject=finding.subject,
            level=finding.level,
            title=finding.title,
            says=finding.says,
            remedy=remedy,
            nothing=nothing,
        )

    def _cure(self, targets: frozenset[int], do: str) -> _Found:
        late = False
        if any(self.verdict.run.outcomes[at] == UNKNOWN for at in targets):
            return _Found(nothing=self.why.nothing(targets, do, proved=False))
        try:
            solution = self.solver.best(targets)
        except OutOfTime:
            late = True
            self.timer.last_look()
            solution = None if self.timer.stopped else self.solver.quick(targets)
        found = None
        if solution is not None:
            found = self._tried(targets, solution, UNWEIGHED)
            if found is not None:
                return found if self.scales is None else self._weighed(targets, solution, found)
        proved = solution is None and not late
        return _Found(nothing=self.why.nothing(targets, do, proved=proved, late=late))

    def _weighed(self, targets: frozenset[int], least: Solution, found: _Found) -> _Found:
        """Return the least change that holds within tolerance; else the one that is least tight."""
        if not least.proved:
            return self._at_size(found, settled=False)
        settled = True
        try:
            for grade, reached in ((WORST, WITHIN_TOLERANCE), (LIKELY, WITHIN_LIKELY)):
                demand = Demand(targets=targets, grade=grade)
                solution = self.solver.best(targets, demand)
                if grade == WORST:  # whether anything holds within tolerance is what is settled
                    settled = self.solver.exact
                if solution is None:
                    continue
                further = self._further(solution, least, reached, demand, found)
                if further is not None and further.remedy is not None:
                    remedy = replace(further.remedy, settled=settled)
                    return replace(further, remedy=remedy)
                settled = False  # the job judged again says otherwise
        except OutOfTime:
            return self._at_size(found, settled=False)
        return self._eased(targets, least, self._at_size(found, settled=settled))

    def _further(
        self,
        solution: Solution,
        least: Solution,
        reached: str,
        demand: Demand,
        found: _Found,
    ) -> _Found | None:
        """Return what reaches further than the least change, with that one told beside it."""
        if (solution.choice, solution.point) == (least.choice, least.point):
            solution = replace(solution, proved=True)
        further = self._tried(demand.targets, solution, reached, demand)
        if further is None or further.remedy is None:
            return None
        smaller = found.remedy if least.cost < solution.cost else None
        return replace(further, remedy=replace(further.remedy, smaller=smaller))

    def _eased(self, targets: frozenset[int], least: Solution, found: _Found) -> _Found:
        """Return the least change that leaves nothing tight but what cannot be helped.

        What the least change at size leaves tight is let off; then it is asked for again, a clause
        at a time, and let off only where nothing holds with it.
        """
        if self.scales is None or found.trial is None or found.remedy is None:
            return found
        asked = Demand(targets=targets, grade=WORST)
        tight = [one.at for one in self.scales.too_tight(found.trial.verdict, asked)]
        demand, best = replace(asked, eased=frozenset(tight)), least
        try:
            for at in tight:
                if len(demand.eased) == 1:
                    break
                less = replace(asked, eased=demand.eased - {at})
                solution = self.solver.best(targets, less)
                if solution is not None:
                    demand, best = less, solution
        except OutOfTime:
            pass
        further = None if best is least else self._further(best, least, AT_SIZE, demand, found)
        if further is None or further.remedy is None:
            return found
        return replace(further, remedy=replace(further.remedy, settled=found.remedy.settled))

    def _at_size(self, found: _Found, *, settled: bool) -> _Found:
        remedy = found.remedy
        return replace(found, remedy=remedy and replace(remedy, reached=AT_SIZE, settled=settled))

    def _tried(
        self,
        targets: frozenset[int],
        solution: Solution,
        reached: str,
        demand: Demand | None = None,
    ) -> _Found | None:
        """Return a solution as a remedy, None where the job judged again says otherwise."""
        trial = self.bench.trial(solution, targets)
        if not self._is_clean(trial, targets):
            return None
        board = self.solver.board
        moved, again = trial.moved, self._again(trial)
        remedy = Remedy(
            title=_title(moved),
            cures=tuple(self._at_worst(one, trial) for one in self.bench.cured(trial, targets)),
            changes=(*trial.changes, *(self._taken_back(one.fact) for one in again)),
            dearest=board.classes[solution.cap] if solution.cap >= 0 else "",
            moved=solution.moved,
            steps=solution.steps,
            reached=reached,
            proved=solution.proved,
            again=(*trial.then, *(one.do for one in again)),
            tight=tuple(self._tight(trial, targets)),
            held_by=self._held_by(solution, demand or Demand(targets=targets, grade=ANYHOW)),
        )
        return _Found(remedy=remedy, trial=trial)

    def _held_by(self, solution: Solution, demand: Demand) -> tuple[str, ...]:
        held = self.solver.held_by(solution, demand) - demand.targets
        cases = self.verdict.plan.cases
        return tuple(dict.fromkeys(cases[at].clause.name for at in sorted(held)))

    def _at_worst(self, cured: Cured, trial: Trial) -> Cured:
        """Return what is cured with the margin that tolerances leave it."""
        at = self.places[cured.clause, cured.subject]
        case = trial.verdict.plan.cases[at]
        if self.scales is None or cured.margin is None or self.scales.sheet.spares(case.clause):
            return cured
        stack = stack_of(trial.verdict, self.scales.sheet, at, self.scales.known)
        if stack.worst != stack.worst:  # nan
            return cured
        kind = cured.margin.kind
        text = show(stack.worst, kind, self.first.style, finer=FINE).text
        return replace(cured, worst=Amount(value=stack.worst, kind=kind, text=text))

    def _tight(self, trial: Trial, targets: frozenset[int]) -> Iterator[Tighter]:
        if self.scales is None:
            return
        for stack in self.scales.too_tight(trial.verdict, Demand(targets=targets, grade=WORST)):
            case = trial.verdict.plan.cases[stack.at]
            clause = trial.verdict.clause(case)
            yield Tighter(
                clause=clause.name,
                subject=case.subject,
                title=clause.title,
                likely=grade_of(stack) == ANYHOW,
            )

    def _is_clean(self, trial: Trial, targets: Iterable[int]) -> bool:
        outcomes = trial.verdict.run.outcomes
        if any(outcomes[at] not in (HOLDS, EXEMPT) for at in targets):
            return False
        if not all(
            code in allowed for code, allowed in zip(outcomes, self.solver.allowed, strict=True)
        ):
            return False
        # Glass that is on the rack already is not cut anew by writing the order anew.
        papers = {_named(one) for one in check_order(trial.verdict) if _is_bad(one)}
        cases = (self.verdict.plan.cases[at] for at in targets)
        cured = {(case.clause.name, case.subject) for case in cases}
        return papers <= self.papers - cured and not trial.verdict.run.faults

    def _again(self, trial: Trial) -> tuple[Again, ...]:
        """Return what was done for the drawing as it was and has to be done again."""
        return tuple(
            one
            for one in self.stock.levers.again
            if self.verdict.facts.get(one.fact) == 1.0 and (trial.moved or one.papers)
        )

    def _taken_back(self, fact: str) -> Change:
        change, _ = self.bench.change(fact, 0.0, "no", follows=True)
        return replace(change, again=True)

    def _joint(self, singles: Sequence[Single]) -> tuple[Remedy | None, Nothing | None]:
        """Return one remedy for every error that has one of its own."""
        errors = [one for one in singles if one.level == "error" and one.remedy is not None]
        if not errors:
            return None, None
        targets = frozenset(self.places[one.clause, one.subject] for one in errors)
        found = self._cure(targets, "")
        if found.trial is not None and not self._is_reviewed(found.trial):
            return None, Nothing(proved=False, design=True)
        return found.remedy, found.nothing

    def _is_reviewed(self, trial: Trial) -> bool:
        """Return whether a review of the job with a remedy finds nothing new."""
        again = review_verdict(trial.verdict, self.rules, stage=self.stage, tolerance=False)
        before = {_named(one) for one in self.first.findings if _is_bad(one)}
        after = {_named(one) for one in again.findings if _is_bad(one)}
        return after <= before and not again.broken


def _named(finding: Finding) -> tuple[str, str]:
    return finding.clause, finding.subject


def _is_bad(finding: Finding) -> bool:
    return finding.outcome == "unknown" or (
        finding.outcome == "fails" and finding.level in ("error", "warning")
    )


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
