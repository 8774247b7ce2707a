"""One case as a finding: in words, at its place, by whose word."""

from collections.abc import Iterable, Mapping
from dataclasses import replace

from ruleset.book import Basis, Clause, Limit
from ruleset.explain import Teller
from ruleset.kinds import Kind
from ruleset.place import Place
from ruleset.plan import Case
from ruleset.program import FAILS, HOLDS, SOFTER, UNKNOWN
from ruleset.quantity import show_as_given

from .cautions import UNSURE
from .day import day_of
from .facts import place_for
from .fails_already import FailsAlready
from .finding import Amended, Contributor, Finding, Stack
from .phrases import listed, small
from .release import BUILT_SO, is_built
from .signed import SIGNED
from .signed import remark as on_check
from .stackup import said_at_worst
from .toleranced import Toleranced
from .verdict import OUTCOME, Verdict
from .waiver import waiver_for

LOWER = {"error": "warning", "warning": "note", "note": "note"}
"""A tight clause speaks one level lower than a failing one."""


class CaseFindings:
    """Says of each case of a verdict what there is to say.

    Attributes:
        undefined: Sentences about clauses that have no value though nothing is missing.
    """

    def __init__(
        self,
        verdict: Verdict,
        stage: str,
        *,
        every: bool,
        explained: bool,
        books: Mapping[str, Limit],
    ) -> None:
        """Take a verdict.

        Args:
            verdict: The verdict of one job.
            stage: The stage that it is reviewed for.
            every: Whether what holds and what does not apply has its arithmetic told, too.
            explained: Whether any arithmetic is told, and what the limits stand on.
            books: The limits as the books have them, before anything amends them.
        """
        self._verdict = verdict
        self._stage = stage
        self._every = every
        self._explained = explained
        self._books = books
        self._today = day_of(verdict.job)
        self._teller: Teller = verdict.teller()
        self.undefined: list[str] = []

    def finding(self, case: Case, code: int, already: FailsAlready | None) -> Finding:
        """Return the finding of a case.

        Args:
            case: The case.
            code: Its outcome, as the program says it.
            already: What is known of it where it fails whatever the missing facts come to.
        """
        clause = self._verdict.clause(case)
        missing = self._verdict.missing(case) if code == UNKNOWN else ()
        waiver, remark = waiver_for(self._verdict.job.waivers, clause, case.subject, self._today)
        told = already.told if already else self._teller.tell(case)
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
        explained = self._explained and (known or self._every)
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
            working=self._teller.working(case, told.finer) if explained else (),
            basis=clause.basis,
            marked=tuple(self._marked(case, clause)) if explained else (),
            amended=tuple(self._amended(case)) if explained else (),
            missing=missing,
            caution=clause.caution,
            waived=waiver if outcome == "exempt" and code in (FAILS, SOFTER, UNKNOWN) else None,
        )

    def _do(self, clause: Clause, do: str) -> str:
        """Return what to do, which is not to design again what is built by now."""
        return BUILT_SO if do and is_built(clause.stage, self._stage) else do

    def _on_check(self, case: Case) -> str:
        """Return what a check that does not count was given for, and the code to write."""
        given = self._verdict.job.values
        named = next((name for name in case.levers if name in SIGNED and name in given), None)
        return "" if named is None else on_check(named, given[named].text, self._verdict.sizes_code)

    def _level(self, case: Case, clause: Clause, code: int) -> str:
        """Return a clause's level, the softer one where that is surely meant."""
        if clause.softer is None or case.softer is None:
            return clause.level
        softer = self._verdict.answering.answer(case.softer)
        surely = code == SOFTER or (softer.known and softer.value)
        return clause.softer.level if surely else clause.level

    def _amended(self, case: Case) -> Iterable[Amended]:
        """Yield the limits a case uses that a code set or a policy amends, and which does."""
        layers = {one.place.file: one.name for one in self._verdict.layers}
        for limit in self._verdict.limits(case):
            old, by = self._books.get(limit.name), layers.get(limit.place.file, "")
            if by and old is not None and old.text != limit.text:
                yield Amended(limit=limit.name, was=old.text, now=limit.text, by=by)

    def _marked(self, case: Case, clause: Clause) -> Iterable[tuple[str, Basis]]:
        """Yield the limits a case uses that stand on weaker words than its clause."""
        for limit in self._verdict.limits(case):
            basis = limit.basis
            if basis is not None and basis.standing in UNSURE and basis != clause.basis:
                yield limit.name, basis

    def tight(self, case: Case, toleranced: Toleranced, stack: Stack) -> Finding:
        """Return the finding of a clause that holds at size, but not within tolerance."""
        held = self.finding(case, HOLDS, None)
        kind = held.margin.kind if held.margin else None
        by = "" if kind is None else self._spare(stack.margin, kind)
        first = stack.contributors[:4]
        told = [self._eats(one, kind) for one in first if not self._is_nothing(one.loss, kind)]
        smaller = ["smaller ones"] if told and len(told) < len(first) else []
        eaten = listed([*told, *smaller] or ["the tolerances"])
        when = "can eat it" if stack.fails_rss else "eat it if all fall the wrong way at once"
        taken = ""
        if stack.taken_up and kind is not None:
            by_whom = listed([one.means for one in toleranced.tolerances.taking(case)])
            taken = f" Of that, {by_whom} can take up {self._fine(stack.taken_up, kind)}."
        worst = small(said_at_worst(toleranced, stack))
        clause = self._verdict.clause(case)
        return replace(
            held,
            outcome="tight",
            level=LOWER[self._level(case, clause, HOLDS)] if stack.fails_rss else "note",
            says=f"It holds{by} at size, but {eaten} {when}. At worst: {worst}{taken}",
            do=clause.do and self._teller.tell(case).do,
            working=self._teller.working(case),
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
        shown = show_as_given(value, kind, self._verdict.job.style)
        return f"{'about ' if shown.rounded else ''}{shown.text}"

    def _is_nothing(self, loss: float, kind: Kind | None) -> bool:
        """Return whether a loss prints as 0: it is there, and no one could measure it."""
        return kind is not None and self._fine(loss, kind).removeprefix("about ") == self._fine(
            0.0, kind
        )

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
        names = "; ".join(small(self.means(name)) for name in missing)
        return f"Not known yet: {clause.title}. Missing: {names}."

    def means(self, name: str) -> str:
        """Return what a fact is called."""
        leaf = self._verdict.plan.leaves.get(name)
        return name if leaf is None else leaf.fact.means

    def place_of(self, name: str) -> Place:
        """Return where a fact stands, or would belong."""
        job = self._verdict.job
        start = job.kit.place if name.startswith("kit.") else job.place
        return place_for(name, job.values, job.tables, start)

    def _place(self, case: Case, missing: tuple[str, ...]) -> Place:
        job = self._verdict.job
        if missing:
            return self.place_of(missing[0])
        cone = self._verdict.cone(case)
        own = [name for name in (*case.levers, *cone) if not name.startswith("kit.")]
        for name in (*own, *case.levers, *cone):
            if name in job.values:
                return job.values[name].place
        first = next(iter(own), next(iter(cone), ""))
        return self.place_of(first) if first else job.place
