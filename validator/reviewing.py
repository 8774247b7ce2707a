"""A job reviewed: every finding in words, what is still to be measured, ready or not."""

import datetime as dt
from collections import Counter
from collections.abc import Collection, Iterable, Sequence

from ruleset.book import STAGES
from ruleset.program import FAILS

from .books import Rules
from .case_findings import CaseFindings
from .cautions import CAUTIONS
from .day import day_of, on_day
from .dropped import dropped
from .fails_already import already_no
from .finding import (
    OUTCOMES,
    Asked,
    Finding,
    Release,
    Review,
)
from .foreign import fault_in
from .hooks import call_each
from .job import Job
from .kit import Kit
from .kitcheck import judge_kit
from .ordercheck import check_order
from .release import in_the_way, is_due, no_longer_helps
from .stackup import stack_up
from .toleranced import Toleranced
from .tolerances import load_tolerances
from .verdict import OUTCOME, Verdict, judge
from .waiver import check_waivers


def review(  # noqa: PLR0913  # all but two have a usual value, and go by name
    job: Job,
    rules: Rules,
    *,
    stage: str = "order",
    codes: Sequence[str] = (),
    every: bool = False,
    tolerance: bool = True,
    today: dt.date | None = None,
) -> Review:
    """Return everything there is to say of a job.

    Args:
        job: The job.
        rules: The rules.
        stage: What it is to be released for: survey, design, order, fabricate, install, handover.
        codes: Ids of code sets to use in place of those the job names.
        every: Whether findings that hold or do not apply are told too.
        tolerance: Whether to tell what holds at size but not within tolerance.
        today: The day that waivers and readings are held against; none is known where it is None.

    Raises:
        RulesetError: A code set is not known or does not fit the books, or a waiver names a part
            that its clause is not asked of.
        ValueError: There is no such stage.

    Example:
        >>> from pathlib import Path
        >>> rules = load_rules()  # doctest: +SKIP
        >>> print(review(load_job(Path("job.yaml"), rules), rules).release.ready)  # doctest: +SKIP
        True
    """
    verdict = judge(on_day(job, today), rules, codes=codes)
    return review_verdict(verdict, rules, stage=stage, every=every, tolerance=tolerance)


def review_verdict(  # noqa: PLR0913  # the same
    verdict: Verdict,
    rules: Rules,
    *,
    stage: str = "order",
    every: bool = False,
    tolerance: bool = True,
    explained: bool = True,
) -> Review:
    """Return everything there is to say of a job that was judged already, on the day it has.

    Args, Raises: Those of `review`, with the verdict in place of the job, its code sets and day;
        and `explained`, whether findings have their arithmetic and what their limits stand on.
    """
    if stage not in STAGES:
        raise ValueError(f"There is no stage {stage}; there are {', '.join(STAGES)}.")
    toleranced = Toleranced(verdict, load_tolerances(verdict)) if tolerance else None
    return _Reviewing(verdict, rules, stage, toleranced, every=every, explained=explained).review()


def review_kit(kit: Kit, rules: Rules, *, codes: Sequence[str] = (), every: bool = False) -> Review:
    """Return what there is to say of a kit by itself: clauses that depend on nothing but its sheet.

    Args:
        kit: The kit.
        rules: The rules.
        codes: Ids of code sets that may amend those clauses; a kit needs none.
        every: Whether findings that hold or do not apply are told too.

    Raises:
        RulesetError: A code set is not known or does not fit the books.
    """
    verdict = judge_kit(kit, rules, codes=codes)
    return _Reviewing(verdict, rules, KIT_STAGE, None, every=every, of="kit").review()


KIT_STAGE = "install"
"""Up to this stage something is asked of a kit; what stands by then is not redesigned."""


class _Reviewing:
    """One verdict put into words."""

    def __init__(  # noqa: PLR0913  # private: what `review` was asked
        self,
        verdict: Verdict,
        rules: Rules,
        stage: str,
        toleranced: Toleranced | None,
        *,
        every: bool,
        explained: bool = True,
        of: str = "job",
    ) -> None:
        self.verdict = verdict
        self.rules = rules
        self.stage = stage
        self.toleranced = toleranced
        self.stacks = (
            {one.at: one for one in stack_up(toleranced)} if toleranced is not None else {}
        )
        self.every = every
        self.of = of
        self.says = CaseFindings(
            verdict, stage, every=every, explained=explained, books=rules.library.limits
        )
        self.broken: list[str] = []

    def review(self) -> Review:
        verdict, job = self.verdict, self.verdict.job
        found: list[Finding] = []
        counts: Counter[str] = Counter()
        check_waivers(job.waivers, verdict.subjects)
        already = already_no(verdict)
        for at, (case, code) in enumerate(
            zip(verdict.plan.cases, verdict.run.outcomes, strict=True)
        ):
            if self.toleranced is not None and at in self.stacks:
                found.append(self.says.tight(case, self.toleranced, self.stacks[at]))
                continue
            if code < FAILS and not self.every:
                counts[OUTCOME[code]] += 1
                continue
            found.append(self.says.finding(case, code, already.get(at)))
        if self.of == "job":
            off = dropped(verdict, self.rules.library)
            counts["exempt"] += 0 if self.every else len(off)
            found += off if self.every else ()
            slips = check_order(verdict)
            told = {one for slip in slips for one in slip.instead_of}
            found = [f for f in found if f.outcome != "fails" or (f.clause, f.subject) not in told]
            found += (*slips, *self._from_plugins())
        counts.update(finding.outcome for finding in found)
        self.broken += verdict.broken
        if not any(f.outcome == "fails" and f.level == "error" for f in found):
            # In a job that is wrong elsewhere, as with a hole off its pane, a later formula may
            # well have no value; in one that is not, the book is at fault.
            self.broken += self.says.undefined
        past = 0 if self.every else sum(self._is_past(one) for one in found)
        needed = {name: leaf.fact.stage for name, leaf in verdict.plan.leaves.items()}
        because = tuple(dict.fromkeys(f.clause for f in in_the_way(found, self.stage, needed)))
        asked = tuple(self._asked(found))
        found = sorted((f for f in found if self._is_told(f, because)), key=self._order)
        return Review(
            job=job.name,
            title=job.title,
            file=job.file,
            kit=job.kit.name,
            today=day_of(job),
            sizes_code=verdict.sizes_code,
            codes=tuple(layer.name for layer in verdict.layers),
            style=job.style,
            release=Release(
                stage=self.stage, ready=not because and not self.broken, because=because
            ),
            counts={outcome: counts[outcome] for outcome in OUTCOMES},
            findings=tuple(found),
            asked=asked,
            past=past,
            assumed=verdict.assumed,
            cautions=CAUTIONS,
            broken=tuple(dict.fromkeys(self.broken)),
            of=self.of,
        )

    def _order(self, finding: Finding) -> tuple[bool, str, int, int, str, str]:
        place = finding.place
        elsewhere = place.file != self.verdict.job.file
        return (elsewhere, place.file, place.line, place.column, finding.clause, finding.subject)

    def _is_past(self, finding: Finding) -> bool:
        return finding.outcome in ("fails", "tight") and no_longer_helps(finding, self.stage)

    def _is_told(self, finding: Finding, because: Collection[str]) -> bool:
        if self.every or finding.waived is not None:
            return True
        if no_longer_helps(finding, self.stage):
            return False
        if finding.outcome == "unknown":
            return is_due(finding.stage, self.stage) or finding.clause in because
        return finding.outcome in ("fails", "tight")

    def _asked(self, found: Iterable[Finding]) -> Iterable[Asked]:
        waiting: dict[str, set[str]] = {}
        for finding in found:
            if finding.outcome == "unknown" and not no_longer_helps(finding, self.stage):
                for name in finding.missing:
                    waiting.setdefault(name, set()).add(finding.clause)
        for name in sorted(waiting):
            leaf = self.verdict.plan.leaves.get(name)
            if leaf is None or not is_due(leaf.fact.stage, self.stage):
                continue
            yield Asked(
                fact=name,
                means=self.says.means(name),
                who=leaf.fact.who,
                stage=leaf.fact.stage,
                place=self.says.place_of(name),
                clauses=tuple(sorted(waiting[name])),
            )

    def _from_plugins(self) -> list[Finding]:
        def told(name: str, why: str) -> None:
            self.broken.append(f"The plugin {name} failed on this job: {why}.")

        found: list[Finding] = []
        given = call_each(self.rules.plugins, "paneproof_findings", told=told, verdict=self.verdict)
        for name, findings in given:
            if not isinstance(findings, list):
                self.broken.append(f"The plugin {name} gave findings that are no list.")
                continue
            for finding in findings:
                wrong = fault_in(finding)
                if wrong:
                    self.broken.append(f"The plugin {name} {wrong}")
                elif isinstance(finding, Finding):
                    found.append(finding)
        return found
