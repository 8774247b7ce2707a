"""The papers held against the take-off: order, acknowledgement, glass on the rack.

The clauses of the papers say that a size differs; this names the slip behind it, compares holes,
and judges what was ordered where that differs.
"""

from collections.abc import Iterator

from ruleset.program import SOFTER

from .as_built import Frozen, built_verdict
from .desk import SIDES, Desk
from .finding import Finding
from .goodscheck import check_goods
from .holecheck import check_holes
from .notchcheck import check_notches
from .papers import Paper, fact_on, is_right, paper_sizes
from .papers import within as allowed
from .slips import Glass, is_near, swapped, unit_slip
from .verdict import Verdict


def check_order(verdict: Verdict) -> tuple[Finding, ...]:
    """Return what is found wrong between the job's papers and its take-off.

    What no paper gives is not asked for; the clauses of the papers do that.

    Args:
        verdict: The job, judged.
    """
    check = _Check(verdict)
    found = [*check.hand()]
    for paper in check.desk.papers.papers:
        slips = [*check.exchanged(paper)]
        told = {part for slip in slips for _, part in slip.instead_of}
        for part in check.desk.panes:
            if part not in told:
                slips += check.sizes(paper, part)
            slips += check_holes(check.desk, paper, part)
            slips += check_notches(check.desk, paper, part)
        told = {part for slip in slips for _, part in slip.instead_of}
        found += [*slips, *check.past(paper, told)]
        if paper.made:
            found += check.judged(paper)
    return (*found, *check_goods(check.desk))


class _Check:
    """The sizes and the hand on one job's papers."""

    def __init__(self, verdict: Verdict) -> None:
        self.verdict = verdict
        self.desk = Desk(verdict)

    def sizes(self, paper: Paper, part: str) -> Iterator[Finding]:
        """Yield the slips in a pane's width and height."""
        desk = self.desk
        glass, written = desk.glass[part], desk.written(paper, part)
        if glass is None:
            return
        within, means = allowed(self.verdict, paper), desk.means[part]
        if len(written) == len(SIDES):
            has = Glass(written["width"].value, written["height"].value)
            if swapped(glass, has, within):
                wide, high, meant_wide, meant_high = desk.texts(
                    has.width, has.height, glass.width, glass.height
                )
                says = (
                    f"{paper.named} has {means} at {wide} by {high}; the take-off says "
                    f"{meant_wide} by {meant_high}: width and height are swapped."
                )
                fact = written["width"].fact
                yield desk.finding(paper, part, "swapped", says, fact, instead=(part,))
                return
        for side, size in written.items():
            meant = float(getattr(glass, side))
            slip = unit_slip(meant, size.value, within)
            if slip:
                has_text, meant_text = desk.texts(size.value, meant)
                says = (
                    f"{paper.named} has the {side} of {means} at {has_text}; the "
                    f"take-off says {meant_text}: {slip}."
                )
                yield desk.finding(paper, part, "unit", says, size.fact, instead=(part,))

    def exchanged(self, paper: Paper) -> Iterator[Finding]:
        """Yield a finding where two panes have each other's sizes."""
        panes = self.desk.panes
        for at, one in enumerate(panes):
            for other in panes[at + 1 :]:
                if self._has_size_of(paper, one, other) and self._has_size_of(paper, other, one):
                    means = self.desk.means
                    says = (
                        f"{paper.named} has {means[one]} at the size of {means[other]}, "
                        "and the other way round: the two are exchanged."
                    )
                    fact, both = fact_on(self.verdict, paper, one, "width"), (one, other)
                    yield self.desk.finding(paper, one, "exchanged", says, fact, instead=both)

    def _has_size_of(self, paper: Paper, part: str, other: str) -> bool:
        """Return whether a pane is written at another's size, and not at its own."""
        own, glass = self.desk.glass[part], self.desk.glass[other]
        written, within = self.desk.written(paper, part), allowed(self.verdict, paper)
        if own is None or glass is None or len(written) < len(SIDES):
            return False
        sides = {side: size.value for side, size in written.items()}
        alike = all(is_near(sides[s], float(getattr(glass, s)), within) for s in sides)
        right = all(is_near(sides[s], float(getattr(own, s)), within) for s in sides)
        return alike and not right

    def hand(self) -> Iterator[Finding]:
        """Yield a finding where the order is written for the other hand."""
        job, papers = self.verdict.job, self.desk.papers
        ordered, drawn = job.values.get("order.hand"), job.values.get("design.hand")
        if ordered is None or drawn is None or ordered.value == drawn.value:
            return
        level, remark = self.desk.turning(self.desk.panes)
        says = (
            f"The order is written for {papers.hand(ordered.text)}; the drawing has "
            f"{papers.hand(drawn.text)}, seen from outside. {remark}"
        )
        pane = self.desk.panes[0]
        paper = papers.papers[0]
        yield self.desk.finding(paper, pane, "mirrored", says, "order.hand", level=level)

    def past(self, paper: Paper, told: set[str]) -> Iterator[Finding]:
        """Yield what glass does that is off by more than papers may differ by, no slip of the pen.

        Args:
            paper: The paper.
            told: Panes of which a slip is told already.
        """
        for part in self.desk.panes:
            sizes = self.desk.written(paper, part)
            off = [one for one in sizes.values() if self._is_off(one)]
            if part in told or all(is_right(self.verdict, paper, one) for one in off):
                continue
            built = built_verdict(self.verdict, {one.step: one for one in sizes.values()})
            shown = " by ".join(self.desk.texts(*(one.value for one in sizes.values())))
            says = (
                f"{paper.named} has {self.desk.means[part]} at {shown}. "
                f"{self.desk.what_follows(built)}"
            )
            yield self.desk.finding(paper, part, "as-made", says, off[0].fact, level="note")

    def judged(self, paper: Paper) -> Iterator[Finding]:
        """Yield each clause that holds as drawn and fails at the sizes of a paper.

        Only sizes that differ within what is allowed are judged; others are wrong already.
        """
        sizes = {size.step: size for size in paper_sizes(self.verdict, paper)}
        off = [size for size in sizes.values() if self._is_off(size)]
        if not off or not all(is_right(self.verdict, paper, one) for one in sizes.values()):
            return
        built = built_verdict(self.verdict, sizes)
        teller = built.teller()
        for case, code in self.desk.broken(built):
            clause = built.clause(case)
            told = teller.tell(case)
            softer = clause.softer.level if code == SOFTER and clause.softer else ""
            first = next((s for s in off if s.fact in built.cone(case)), off[0])
            yield Finding(
                clause=clause.name,
                subject=case.subject,
                outcome="fails",
                level=softer or clause.level,
                stage=clause.stage,
                title=clause.title,
                says=f"{paper.made}: {told.says[:1].lower()}{told.says[1:]}",
                do=told.do,
                why=clause.why,
                place=self.desk.given[first.fact].place,
                actual=told.actual,
                limit=told.limit,
                margin=told.margin,
                working=teller.working(case, told.finer),
                basis=clause.basis,
                missing=(),
                caution=clause.caution,
            )

    def _is_off(self, size: Frozen) -> bool:
        drawn = self.verdict.answer(size.step)
        return drawn.known and not is_near(drawn.value, size.value, 0.0)
