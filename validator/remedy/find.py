"""The remedies of one job: for each fault the smallest cure, and one for all errors together."""

import datetime as dt
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace

from ..allowance import load_tolerances
from ..books import Rules
from ..day import on_day
from ..finding import Finding, Review
from ..job import Job
from ..review import review, review_verdict
from ..verdict import Verdict, judge
from .cure import Curing, is_bad, named
from .demand import masks
from .follow import followers, with_followers
from .levers import load_levers
from .nothing import Why
from .options import board_for
from .result import Nothing, Remedies, Remedy, Single
from .scales import Scales
from .search import Clock, OutOfTime
from .solve import Solver
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
    today: dt.date | None = None,
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
        today: The day that readings and waivers are held against; none is known where it is None.

    Raises:
        RulesetError: A code set, a stock.yaml or the sheet of levers cannot be used.
    """
    job = on_day(job, today)
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
        self.scales: Scales | None = None
        if self.tolerance:
            sheet, allowed = load_tolerances(self.rules), self.solver.allowed
            self.scales = Scales(bench=self.bench, sheet=sheet, allowed=allowed)
            self.solver.scales = self.scales
        self.why = Why(solver=self.solver, bench=self.bench, levers=self.stock.levers)
        self.curing = Curing(
            verdict=verdict,
            levers=self.stock.levers,
            solver=self.solver,
            bench=self.bench,
            scales=self.scales,
            why=self.why,
            timer=self.timer,
            places=self.places,
        )
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
            found = self.curing.cure(frozenset((at,)), finding.do)
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

    def _joint(self, singles: Sequence[Single]) -> tuple[Remedy | None, Nothing | None]:
        """Return one remedy for every error that has one of its own."""
        errors = [one for one in singles if one.level == "error" and one.remedy is not None]
        if not errors:
            return None, None
        targets = frozenset(self.places[one.clause, one.subject] for one in errors)
        found = self.curing.cure(targets, "")
        if found.trial is not None and not self._is_reviewed(found.trial):
            return None, Nothing(proved=False, design=True)
        return found.remedy, found.nothing

    def _is_reviewed(self, trial: Trial) -> bool:
        """Return whether a review of the job with a remedy finds nothing new."""
        again = review_verdict(trial.verdict, self.rules, stage=self.stage, tolerance=False)
        before = {named(one) for one in self.first.findings if is_bad(one)}
        after = {named(one) for one in again.findings if is_bad(one)}
        return after <= before and not again.broken
