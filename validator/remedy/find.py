"""The remedies of one job: for each fault the smallest cure, and one for all errors together."""

import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace

from ruleset.program import EXEMPT, HOLDS, UNKNOWN

from ..books import Rules
from ..finding import Finding, Review
from ..job import Job
from ..review import review
from ..verdict import Verdict, judge
from .follow import followers, with_followers
from .levers import load_levers
from .nothing import Why
from .options import board_for
from .result import AT_SIZE, WITHIN_TOLERANCE, Nothing, Remedies, Remedy, Single
from .search import Clock, OutOfTime
from .solve import Solution, Solver, masks
from .space import space_for
from .stock import Stock, stock_for
from .trial import Bench, Trial

Progress = Callable[[str], None]
Accept = Callable[[Verdict], bool]
SECONDS = 8.0
"""How long a search may take: shop policy, no source."""
TELL_AFTER, TELL_EVERY = 1.0, 0.25  # s
MOST_TRIES = 40  # changes that are tried for one that is accepted
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
    accept: Accept | None = None,
    reviewed: Review | None = None,
) -> Remedies:
    """Return a remedy for each finding that fails as an error or a warning, and one for all errors.

    Every remedy shown was applied to a copy of the job, and the copy judged again; the joint one
    was reviewed again as well. An interrupt from the keyboard ends the search, and what was found
    by then is kept.

    Args:
        job: The job.
        rules: The rules.
        stage: The stage that the job is reviewed for.
        codes: Ids of code sets to use in place of those the job names.
        seconds: How long the search may take, s.
        stop: Asked now and then; the search ends when it says yes.
        progress: Told what is searched, once that takes more than a second.
        accept: Asked of the verdict with a change applied; changes it accepts go before those it
            does not, such as changes that hold within tolerance before those that hold at size.
        reviewed: The review of the job, where it was made already.

    Raises:
        RulesetError: A code set, a stock.yaml or the sheet of levers cannot be used.
    """
    timer = _Timer(seconds=seconds, stop=stop, progress=progress)
    first = reviewed or review(job, rules, stage=stage, codes=codes, tolerance=False)
    verdict = judge(job, rules, codes=codes)
    asked = _Asked(rules=rules, codes=tuple(codes), stage=stage, accept=accept)
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
    accept: Accept | None


class _Finder:
    """One job's search."""

    def __init__(self, verdict: Verdict, first: Review, asked: _Asked, timer: _Timer) -> None:
        self.verdict = verdict
        self.first = first
        self.rules = asked.rules
        self.codes = asked.codes
        self.stage = asked.stage
        self.accept = asked.accept
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
            space=space_for(verdict.library, plan, narrow),
            allowed=masks(verdict, waived),
            clock=Clock(tick=self.timer.tick),
            guards=tuple(
                at for (clause, _), at in self.places.items() if clause in self.stock.levers.guards
            ),
        )
        self.bench = Bench(
            verdict=verdict, rules=self.rules, codes=self.codes, board=board, followers=repeats
        )
        self.why = Why(solver=self.solver, bench=self.bench, levers=self.stock.levers)
        self.moving = self.repeats | {
            fact for lever in (*board.narrow, *board.wide) for fact in lever.columns
        }

    def _single(self, finding: Finding) -> Single:
        at = self.places[finding.clause, finding.subject]
        remedy: Remedy | None = None
        if not self.moving & set(self.verdict.cone(self.verdict.plan.cases[at])):
            nothing: Nothing | None = self.why.advice(finding.do)
        else:
            remedy, nothing = self._cure(frozenset((at,)), finding.do)
        return Single(
            clause=finding.clause,
            subject=finding.subject,
            level=finding.level,
            title=finding.title,
            says=finding.says,
            remedy=remedy,
            nothing=nothing,
        )

    def _cure(self, targets: frozenset[int], do: str) -> tuple[Remedy | None, Nothing | None]:
        proved = True
        if any(self.verdict.run.outcomes[at] == UNKNOWN for at in targets):
            return None, self.why.nothing(targets, do, proved=False)
        try:
            solution = self.solver.best(targets)
        except OutOfTime:
            proved = False
            self.timer.last_look()
            solution = None if self.timer.stopped else self.solver.quick(targets)
        if solution is not None:
            found = self._accepted(targets, solution)
            if found is not None:
                return found, None
            proved = False
        return None, self.why.nothing(targets, do, proved=proved)

    def _accepted(self, targets: frozenset[int], solution: Solution) -> Remedy | None:
        """Return the least change that is accepted, else the least at size."""
        at_size = self._remedy(targets, solution)
        if at_size is None or self.accept is None:
            return at_size
        refused: set[tuple[tuple[int, ...], tuple[int, ...]]] = set()
        trying: Solution | None = solution
        try:
            while trying is not None and len(refused) < MOST_TRIES:
                trial = self.bench.trial(trying, targets)
                if self.accept(trial.verdict):
                    found = self._remedy(targets, trying)
                    return found and replace(found, reached=WITHIN_TOLERANCE)
                refused.add((trying.choice, trying.point))
                trying = self.solver.best(targets, frozenset(refused))
        except OutOfTime:
            pass
        return at_size

    def _remedy(self, targets: frozenset[int], solution: Solution) -> Remedy | None:
        """Return a solution as a remedy, None where the job judged again says otherwise."""
        trial = self.bench.trial(solution, targets)
        if not self._is_clean(trial, targets):
            return None
        board = self.solver.board
        moved = trial.moved
        return Remedy(
            title=_title(moved),
            cures=self.bench.cured(trial, sorted(targets)),
            changes=trial.changes,
            dearest=board.classes[solution.cap] if solution.cap >= 0 else "",
            moved=solution.moved,
            steps=solution.steps,
            reached=AT_SIZE,
            proved=solution.proved,
            again=self._again(moved),
        )

    def _is_clean(self, trial: Trial, targets: Iterable[int]) -> bool:
        outcomes = trial.verdict.run.outcomes
        if any(outcomes[at] not in (HOLDS, EXEMPT) for at in targets):
            return False
        if not all(
            code in allowed for code, allowed in zip(outcomes, self.solver.allowed, strict=True)
        ):
            return False
        return not trial.verdict.run.faults

    def _again(self, moved: Sequence[str]) -> tuple[str, ...]:
        if not moved:
            return ()
        return tuple(
            one.do for one in self.stock.levers.again if self.verdict.facts.get(one.fact) == 1.0
        )

    def _joint(self, singles: Sequence[Single]) -> tuple[Remedy | None, Nothing | None]:
        """Return one remedy for every error that has one of its own."""
        errors = [one for one in singles if one.level == "error" and one.remedy is not None]
        if not errors:
            return None, None
        targets = frozenset(self.places[one.clause, one.subject] for one in errors)
        remedy, nothing = self._cure(targets, "")
        if remedy is not None and not self._is_reviewed(remedy, targets):
            return None, Nothing(proved=False, design=True)
        return remedy, nothing

    def _is_reviewed(self, remedy: Remedy, targets: frozenset[int]) -> bool:
        """Return whether a review of the job with the joint remedy finds nothing new."""
        solution = self.solver.best(targets) if remedy.proved else self.solver.quick(targets)
        if solution is None:
            return False
        trial = self.bench.trial(solution, targets)
        again = review(trial.job, self.rules, stage=self.stage, codes=self.codes, tolerance=False)
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
