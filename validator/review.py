"""A job reviewed: every finding in words, what is still to be measured, ready or not."""

import datetime as dt
from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace

from ruleset.book import STAGES, Basis, Clause
from ruleset.explain import Teller
from ruleset.kinds import Kind
from ruleset.place import Place
from ruleset.plan import Case
from ruleset.program import FAILS, HOLDS, SOFTER, UNKNOWN
from ruleset.quantity import show_as_given

from .books import Rules
from .cautions import CAUTIONS, UNSURE
from .day import day_of, on_day
from .dropped import dropped
from .facts import place_for
from .fails_already import FailsAlready, already_no
from .finding import (
    OUTCOMES,
    Asked,
    Contributor,
    Finding,
    Release,
    Review,
    Stack,
)
from .foreign import fault_in
from .hooks import call_each
from .job import Job
from .kit import Kit
from .kitcheck import judge_kit
from .ordercheck import check_order
from .phrases import listed, small
from .release import BUILT_SO, in_the_way, is_built, is_due, no_longer_helps
from .signed import SIGNED
from .signed import remark as on_check
from .stackup import said_at_worst, stack_up
from .toleranced import Toleranced
from .tolerances import load_tolerances
from .verdict import OUTCOME, Verdict, judge
from .waiver import check_waivers, waiver_for


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


def review_verdict(
    verdict: Verdict,
    rules: Rules,
    *,
    stage: str = "order",
    every: bool = False,
    tolerance: bool = True,
) -> Review:
    """Return everything there is to say of a job that was judged already, on the day it has.

    Args, Raises: Those of `review`, with the verdict in place of the job, its code sets and day.
    """
    if stage not in STAGES:
        raise ValueError(f"There is no stage {stage}; there are {', '.join(STAGES)}.")
    toleranced = Toleranced(verdict, load_tolerances(verdict)) if tolerance else None
    return _Reviewing(verdict, rules, stage, toleranced, every=every).review()


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
LOWER = {"error": "warning", "warning": "note", "note": "note"}
"""A tight clause speaks one level lower than a failing one."""


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
        self.today = day_of(verdict.job)
        self.broken: list[str] = []
        self.undefined: list[str] = []
        self.teller: Teller | None = None

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
                found.append(self._tight(case, self.toleranced, self.stacks[at]))
                continue
            if code < FAILS and not self.every:
                counts[OUTCOME[code]] += 1
                continue
            found.append(self._finding(case, code, already.get(at)))
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
            self.broken += self.undefined
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
            today=self.today,
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

    def _finding(self, case: Case, code: int, already: FailsAlready | None) -> Finding:
        clause = self.verdict.clause(case)
        self.teller = self.teller or self.verdict.teller()
        missing = self.verdict.missing(case) if code == UNKNOWN else ()
        waiver, remark = waiver_for(self.verdict.job.waivers, clause, case.subject, self.today)
        told = already.told if already else self.teller.tell(case)
        if already:
            code = already.outcome
            remark = f"It is so whatever is still to be measured. {remark}".strip()
        elif code == FAILS:
            remark = f"{self._on_check(case)} {remark}".strip()
        outcome = OUTCOME[code]
        level = self._level(case, clause, code)
        says = told.says
        if code == UNKNOWN:
            says = self._unknown(case, clause, missing)
        elif outcome in ("holds", "exempt"):
            says = clause.title if outcome == "holds" else f"Does not apply: {clause.title}"
        if waiver is not None and outcome in ("fails", "unknown"):
            outcome = "exempt"
        known = outcome == "fails" or (waiver is not None and code != UNKNOWN)
        return Finding(
            clause=clause.name,
            subject=case.subject,
            outcome=outcome,
            level=level,
            stage=clause.stage,
            title=clause.title,
            says=f"{says} {remark}".strip(),
            do=self._do(clause, told.do) if code != UNKNOWN else "",
            why=clause.why,
            place=self._place(case, missing),
            actual=told.actual,
            limit=told.limit,
            margin=told.margin,
            working=self.teller.working(case, told.finer) if known or self.every else (),
            basis=clause.basis,
            marked=tuple(self._marked(case, clause)) if known or self.every else (),
            missing=missing,
            caution=clause.caution,
            waived=waiver if outcome == "exempt" and code in (FAILS, SOFTER, UNKNOWN) else None,
        )

    def _do(self, clause: Clause, do: str) -> str:
        """Return what to do, which is not to design again what is built by now."""
        return BUILT_SO if do and is_built(clause.stage, self.stage) else do

    def _on_check(self, case: Case) -> str:
        """Return what a check that does not count was given for, and the code to write."""
        given = self.verdict.job.values
        named = next((name for name in case.levers if name in SIGNED and name in given), None)
        return "" if named is None else on_check(named, given[named].text, self.verdict.sizes_code)

    def _level(self, case: Case, clause: Clause, code: int) -> str:
        """Return a clause's level, the softer one where that is surely meant."""
        if clause.softer is None or case.softer is None:
            return clause.level
        softer = self.verdict.answering.answer(case.softer)
        surely = code == SOFTER or (softer.known and softer.value)
        return clause.softer.level if surely else clause.level

    def _marked(self, case: Case, clause: Clause) -> Iterable[tuple[str, Basis]]:
        """Yield the limits a case uses that stand on weaker words than its clause."""
        for limit in self.verdict.limits(case):
            basis = limit.basis
            if basis is not None and basis.standing in UNSURE and basis != clause.basis:
                yield limit.name, basis

    def _tight(self, case: Case, toleranced: Toleranced, stack: Stack) -> Finding:
        """Return the finding of a clause that holds at size, but not within tolerance."""
        held = self._finding(case, HOLDS, None)
        kind = held.margin.kind if held.margin else None
        by = "" if kind is None else self._spare(stack.margin, kind)
        eaten = listed(
            [self._eats(one, kind) for one in stack.contributors[:4]] or ["the tolerances"]
        )
        when = "can eat it" if stack.fails_rss else "eat it if all fall the wrong way at once"
        taken = ""
        if stack.taken_up and kind is not None:
            by_whom = listed([one.means for one in toleranced.tolerances.taking(case.clause)])
            taken = f" Of that, {by_whom} can take up {self._fine(stack.taken_up, kind)}."
        worst = small(said_at_worst(toleranced, stack))
        clause = self.verdict.clause(case)
        teller = self.teller or self.verdict.teller()
        return replace(
            held,
            outcome="tight",
            level=LOWER[self._level(case, clause, HOLDS)] if stack.fails_rss else "note",
            says=f"It holds{by} at size, but {eaten} {when}. At worst: {worst}{taken}",
            do=clause.do and teller.tell(case).do,
            working=teller.working(case),
            marked=tuple(self._marked(case, clause)),
            caution=clause.caution,
            stack=stack,
        )

    def _spare(self, margin: float, kind: Kind) -> str:
        """Return what a clause holds by, in words."""
        if abs(margin) <= (kind.hair or 0.0):
            return " with nothing to spare"
        return f" by {self._fine(margin, kind)}"

    def _fine(self, value: float, kind: Kind) -> str:
        shown = show_as_given(value, kind, self.verdict.job.style)
        return f"{'about ' if shown.rounded else ''}{shown.text}"

    def _eats(self, one: Contributor, kind: Kind | None) -> str:
        """Return a contributor with what it takes of the margin."""
        return one.means if kind is None else f"{one.means} ({self._fine(one.loss, kind)})"

    def _unknown(self, case: Case, clause: Clause, missing: tuple[str, ...]) -> str:
        if not missing:
            self.undefined.append(
                f"{clause.name} on {case.subject} is undefined on this job though nothing is "
                f"missing: {clause.needs.text}. This is the book's fault, at {clause.place}."
            )
            return f"Undefined: {clause.title}. Its formula has no value on this job."
        names = "; ".join(small(self._means(name)) for name in missing)
        return f"Not known yet: {clause.title}. Missing: {names}."

    def _means(self, name: str) -> str:
        leaf = self.verdict.plan.leaves.get(name)
        return name if leaf is None else leaf.fact.means

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
                means=self._means(name),
                who=leaf.fact.who,
                stage=leaf.fact.stage,
                place=self._place_of(name),
                clauses=tuple(sorted(waiting[name])),
            )

    def _place_of(self, name: str) -> Place:
        job = self.verdict.job
        start = job.kit.place if name.startswith("kit.") else job.place
        return place_for(name, job.values, job.tables, start)

    def _place(self, case: Case, missing: tuple[str, ...]) -> Place:
        job = self.verdict.job
        if missing:
            return self._place_of(missing[0])
        cone = self.verdict.cone(case)
        own = [name for name in (*case.levers, *cone) if not name.startswith("kit.")]
        for name in (*own, *case.levers, *cone):
            if name in job.values:
                return job.values[name].place
        first = next(iter(own), next(iter(cone), ""))
        return self._place_of(first) if first else job.place

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
