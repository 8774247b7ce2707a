"""The remedies of one job: for each fault the smallest cure, and one for all errors together."""

import datetime as dt
import time
from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass, field, replace

from ruleset.cases import margin_of
from ruleset.turns import HAND

from ..books import Rules
from ..day import on_day
from ..finding import Finding, Review
from ..job import Job
from ..reviewing import review
from ..tolerances import load_tolerances
from ..verdict import Verdict, judge
from .corner import Corner, no_worse
from .effort import ENDED, Effort
from .follow import followers, with_followers
from .law import Law, named
from .nothing import Why
from .one_remedy import Curing, Found
from .options import Lever, job_levers
from .result import Nothing, Remedies, Single
from .search import FAILED
from .solve import MOST, Solver
from .space import space_for
from .stock import Stock, stock_for
from .tightness import Tightness
from .trial import Trying
from .turned import turned
from .wanted_change import masks

Progress = Callable[[str], None]
TELL_AFTER, TELL_EVERY = 1.0, 0.25  # s
QUICK = 1000
"""Nodes for a search beside a review, in place of the usual number."""


def remedies(  # noqa: PLR0913  # each is a choice of the caller's
    job: Job,
    rules: Rules,
    *,
    stage: str = "order",
    codes: Sequence[str] = (),
    seconds: float | None = None,
    stop: Callable[[], bool] | None = None,
    progress: Progress | None = None,
    tolerance: bool = True,
    reviewed: Review | None = None,
    today: dt.date | None = None,
    most: int = MOST,
    held: Collection[str] = (),
) -> Remedies:
    """Return a remedy for each finding that fails as an error or a warning, and one for all errors.

    So it does for each that is tight as a warning. A change that holds within tolerance goes before
    a smaller one that holds at size only; that one is told with it. Every remedy shown was applied
    to a copy of the job, and the copy reviewed and its tolerances stacked up again. The search does
    so much work and no more, so that it finds the same on every machine. An interrupt from the
    keyboard ends it, and what was found by then is kept.

    Args:
        job: The job.
        rules: The rules.
        stage: The stage that the job is reviewed for.
        codes: Ids of code sets to use in place of those the job names.
        seconds: After how many seconds to end the search, s; None to search to the end. What is
            found then depends on the machine.
        stop: Asked now and then; the search ends when it says yes.
        progress: Told what is searched, once that takes more than a second.
        tolerance: Whether changes that hold within tolerance go before those that hold at size.
        reviewed: The review of the job, where it was made already; with its tolerances, where those
            count.
        most: Nodes that the search for one change may take up, for each choice of kit, glass and
            hand.
        today: The day that readings and waivers are held against; none is known where it is None.
        held: Facts that may not move, "kit" for all of the kit.

    Raises:
        RulesetError: A code set, a stock.yaml or the sheet of levers cannot be used.
    """
    job = on_day(job, today)
    first = reviewed or review(job, rules, stage=stage, codes=codes, tolerance=tolerance)
    verdict = judge(job, rules, codes=codes)
    watch = _Watch(seconds=seconds, stop=stop, progress=progress)
    asked = _Asked(
        rules=rules,
        codes=tuple(codes),
        stage=stage,
        tolerance=tolerance,
        most=most,
        held=frozenset(held),
    )
    return _Finder(verdict, first, asked, watch).remedies()


@dataclass(slots=True, kw_only=True)
class _Watch:
    """Tells how the search goes, and whether the caller ends it."""

    seconds: float | None
    stop: Callable[[], bool] | None
    progress: Progress | None
    begun: float = field(default_factory=time.monotonic)
    told: float = 0.0
    doing: str = ""
    is_late: bool = False

    def is_over(self) -> bool:
        if self.seconds is not None or self.progress is not None:
            self._look(time.monotonic())
        return self.is_late or (self.stop is not None and self.stop())

    def _look(self, now: float) -> None:
        since = now - self.begun
        self.is_late = self.seconds is not None and since > self.seconds
        if self.progress is not None and since > TELL_AFTER and now - self.told > TELL_EVERY:
            self.told = now
            self.progress(f"{self.doing} ({since:.1f} s)")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """What the caller asked for."""

    rules: Rules
    codes: tuple[str, ...]
    stage: str
    tolerance: bool
    most: int
    held: frozenset[str] = frozenset()


class _Finder:
    """One job's search."""

    def __init__(self, verdict: Verdict, first: Review, asked: _Asked, watch: _Watch) -> None:
        self.verdict = verdict
        self.first = first
        self.asked = asked
        self.watch = watch
        self.effort = Effort(is_over=watch.is_over)
        self.law = Law(first, asked.rules, asked.stage)
        self.stock: Stock = stock_for(verdict, asked.rules)
        self.unfit: tuple[str, ...] = ()
        self.places = {
            (verdict.clause(case).name, case.subject): at
            for at, case in enumerate(verdict.plan.cases)
        }

    def remedies(self) -> Remedies:
        wrong = self._wrong()
        found = Found()
        try:
            if wrong:
                self._set_up()
        except ENDED:
            self.effort.ended = True
        singles = [self._single(finding) for finding in wrong]
        if wrong:
            found = self._joint(singles)
        return Remedies(
            job=self.first.job,
            title=self.first.title,
            file=self.first.file,
            codes=self.first.codes,
            style=self.first.style,
            singles=tuple(singles),
            joint=found.remedy,
            joint_nothing=found.nothing,
            left=tuple(self._left(singles, wrong, found)),
            stopped=self.effort.ended,
            unread=self.stock.unread,
            unfit=self.unfit,
            unknown=tuple(one.means for one in self.first.asked),
            seconds=self.watch.seconds if self.watch.is_late else None,
            broken=self.first.broken,
        )

    def _wrong(self) -> list[Finding]:
        found = [
            one
            for one in self.first.findings
            if one.outcome in ("fails", "tight") and one.level in ("error", "warning")
        ]
        return sorted(found, key=lambda one: (one.level != "error", one.outcome == "tight"))

    def _set_up(self) -> None:
        verdict, asked = self.verdict, self.asked
        self.turned = turned(verdict)
        levers = job_levers(verdict, self.stock)
        if not self.turned.plans:
            wide = tuple(one for one in levers.wide if HAND not in one.columns)
            levers = replace(levers, wide=wide)
        if asked.held:
            levers = replace(
                levers,
                narrow=tuple(one for one in levers.narrow if not _is_held(one, asked.held)),
                wide=tuple(one for one in levers.wide if not _is_held(one, asked.held)),
            )
        self.unfit = levers.unfit
        repeats = followers(verdict, self.stock.levers.follows)
        sources = {one.fact: one.source for one in repeats}
        plan = with_followers(verdict.plan, sources)
        narrow = {fact for lever in levers.narrow for fact in lever.columns}
        waived = frozenset(
            self.places[named(one)]
            for one in self.first.findings
            if one.waived is not None and named(one) in self.places
        )
        guards = self.stock.levers.guards
        self.solver = Solver(
            verdict=verdict,
            levers=levers,
            space=space_for(verdict.library, verdict.plan, plan, narrow),
            allowed=masks(verdict, waived),
            effort=self.effort,
            guards=tuple(at for (clause, _), at in self.places.items() if clause in guards),
            most=asked.most,
            floors=tuple(self._floors()),
            turned={
                hand: space_for(verdict.library, other, with_followers(other, sources), narrow)
                for hand, other in self.turned.plans.items()
            },
            facts=self.turned.facts,
        )
        trying = Trying(
            verdict=verdict, rules=asked.rules, codes=asked.codes, levers=levers, followers=repeats
        )
        tightness: Tightness | None = None
        if asked.tolerance:
            tolerances = load_tolerances(verdict)
            tightness = Tightness(trying=trying, tolerances=tolerances, allowed=self.solver.allowed)
            self.solver.tightness = tightness
        self.why = Why(
            solver=self.solver, trying=trying, levers=self.stock.levers, turned=self.turned
        )
        self.curing = Curing(
            verdict=verdict,
            levers=self.stock.levers,
            solver=self.solver,
            trying=trying,
            tightness=tightness,
            why=self.why,
            law=self.law,
            places=self.places,
        )
        self.moving = {one.fact for one in repeats} | {
            fact for lever in (*levers.narrow, *levers.wide) for fact in lever.columns
        }

    def _floors(self) -> Iterator[Corner]:
        """Yield what may fail on, as it does, but by no more."""
        verdict = self.verdict
        for (clause, _), at in self.places.items():
            margin = margin_of(verdict.plan.cases[at])
            fails = verdict.run.outcomes[at] in FAILED
            if clause in self.stock.levers.no_worse and fails and margin is not None:
                yield no_worse(at, verdict.answering.answer(margin).value)

    def _single(self, finding: Finding) -> Single:
        try:
            found = self._found(finding)
        except ENDED:
            self.effort.ended = True
            found = Found(nothing=_stopped(finding.do))
        return Single(
            clause=finding.clause,
            subject=finding.subject,
            outcome=finding.outcome,
            level=finding.level,
            title=finding.title,
            says=finding.says,
            remedy=found.remedy,
            nothing=found.nothing,
        )

    def _found(self, finding: Finding) -> Found:
        self.watch.doing = finding.title
        self.effort.tick()
        at = self.places.get(named(finding))
        if at is None:  # of the papers, or of a plugin: no design is behind it
            return Found(nothing=self.why.advice(finding.do))
        cone = set(self.verdict.cone(self.verdict.plan.cases[at]))
        if finding.clause in self.stock.levers.advised:
            return Found(nothing=self.why.advice(finding.do))
        if not self.moving & cone and at not in self.turned.cases:
            missing = self.why.missing((at,))
            if missing:
                return Found(nothing=self.why.nothing(frozenset((at,)), finding.do, proved=False))
            return Found(nothing=self.why.advice(finding.do))
        cure = self.curing.cure if finding.outcome == "fails" else self.curing.loosened
        return cure(frozenset((at,)), finding.do)

    def _joint(self, singles: Sequence[Single]) -> Found:
        """Return one remedy for every error that has one of its own."""
        errors = [one for one in singles if one.level == "error" and one.remedy is not None]
        if not errors:
            return Found()
        self.watch.doing = "All errors together"
        targets = frozenset(self.places[one.clause, one.subject] for one in errors)
        try:
            self.effort.tick()
            return self.curing.cure(targets, "")
        except ENDED:
            self.effort.ended = True
            return Found(nothing=_stopped(""))

    def _left(
        self, singles: Sequence[Single], wrong: Sequence[Finding], joint: Found
    ) -> Iterator[tuple[str, str]]:
        """Yield the errors that have no cure, and do not go with the others' either."""
        for one, finding in zip(singles, wrong, strict=True):
            if one.level != "error" or one.remedy is not None:
                continue
            if joint.trial is None or not self.law.cures(joint.trial.verdict, finding):
                yield named(finding)


def _is_held(lever: Lever, held: frozenset[str]) -> bool:
    return (bool(lever.kits) and "kit" in held) or not held.isdisjoint(lever.columns)


def _stopped(do: str) -> Nothing:
    return Nothing(proved=False, design=True, do=do, stopped=True)
