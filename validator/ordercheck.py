"""The papers held against the take-off: order, acknowledgement, glass on the rack.

The clauses of the papers say that a size differs; this names the slip behind it, compares holes,
and judges what was ordered where that differs within what is allowed.
"""

from collections.abc import Iterator, Mapping

from ruleset.book import Basis
from ruleset.kinds import KINDS
from ruleset.program import FAILS, SOFTER
from ruleset.show import show

from .built import ACKNOWLEDGED, ORDER, RACK, Frozen, as_built, frozen_steps, paper_sizes
from .facts import place_for
from .filled import Filling
from .finding import Finding
from .papers import PAPERS, Paper, is_right
from .papers import within as allowed
from .slips import (
    Glass,
    Spot,
    all_same,
    hole_slip,
    is_near,
    swapped,
    turned,
    unit_slip,
    unmatched,
    upended,
)
from .verdict import Verdict

PRACTICE = Basis(standing="common practice", note="no source")
LENGTH = KINDS["length"]


def check_order(verdict: Verdict) -> tuple[Finding, ...]:
    """Return what is found wrong between the job's papers and its take-off.

    What no paper gives is not asked for; the clauses of the papers do that.

    Args:
        verdict: The job, judged.
    """
    check = _Check(verdict)
    found = [*check.hand()]
    for paper in PAPERS:
        for part in check.panes:
            found += check.sizes(paper, part)
            found += check.holes(paper, part)
        found += check.exchanged(paper)
        if paper.sizes != ACKNOWLEDGED:
            found += check.judged(paper)
    return tuple(found)


class _Check:
    """One job's papers."""

    def __init__(self, verdict: Verdict) -> None:
        self.verdict = verdict
        self.given = verdict.job.values
        parts = (step.name.rpartition(".")[0] for step in frozen_steps(verdict))
        self.panes = tuple(dict.fromkeys(parts))
        self.means: Mapping[str, str] = {p: verdict.library.parts[p].means for p in self.panes}
        self.glass = {part: self._glass(part) for part in self.panes}

    def _glass(self, part: str) -> Glass | None:
        sides = [self.verdict.answer(f"{part}.{side}") for side in ("width", "height")]
        known = all(side.known for side in sides)
        return Glass(*(side.value for side in sides)) if known else None

    def _written(self, paper: Paper, part: str) -> dict[str, Frozen]:
        sizes = paper_sizes(self.verdict, paper.sizes)
        return {
            size.step.rpartition(".")[2]: size
            for size in sizes
            if size.step.rpartition(".")[0] == part
        }

    def text(self, value: float) -> str:
        """Return a length as sentences print it.

        Args:
            value: The length, mm.
        """
        return show(value, LENGTH, self.verdict.job.style).text

    def _finding(  # noqa: PLR0913  # what a finding of a paper is made of
        self, paper: Paper, part: str, slip: str, says: str, fact: str, *, level: str = ""
    ) -> Finding:
        clause = self.verdict.library.clauses[paper.clause.format(part=part)].clause
        job = self.verdict.job
        return Finding(
            clause=f"order-check.{slip}",
            subject=part,
            outcome="fails",
            level=level or clause.level,
            stage=clause.stage,
            title=_TITLES[slip],
            says=says[:1].upper() + says[1:],
            do=paper.do,
            why=clause.why,
            place=place_for(fact, job.values, job.tables, job.place),
            actual=None,
            limit=None,
            margin=None,
            working=(),
            basis=PRACTICE,
            missing=(),
        )

    def sizes(self, paper: Paper, part: str) -> Iterator[Finding]:
        """Yield the slips in a pane's width and height."""
        glass, written = self.glass[part], self._written(paper, part)
        if glass is None:
            return
        within, means = allowed(self.verdict, paper, part), self.means[part]
        if len(written) == len(("width", "height")):
            has = Glass(written["width"].value, written["height"].value)
            if swapped(glass, has, within):
                says = (
                    f"{paper.named} has {means} at {self._by(has)}; the take-off says "
                    f"{self._by(glass)}: width and height are swapped."
                )
                yield self._finding(paper, part, "swapped", says, written["width"].fact)
                return
        for side, size in written.items():
            meant = float(getattr(glass, side))
            slip = (
                "" if is_near(meant, size.value, within) else unit_slip(meant, size.value, within)
            )
            if slip:
                says = (
                    f"{paper.named} has the {side} of {means} at {self.text(size.value)}; the "
                    f"take-off says {self.text(meant)}: {slip}."
                )
                yield self._finding(paper, part, "unit", says, size.fact)

    def _by(self, glass: Glass) -> str:
        return f"{self.text(glass.width)} by {self.text(glass.height)}"

    def exchanged(self, paper: Paper) -> Iterator[Finding]:
        """Yield a finding where two panes have each other's sizes."""
        for at, one in enumerate(self.panes):
            for other in self.panes[at + 1 :]:
                if self._has_size_of(paper, one, other) and self._has_size_of(paper, other, one):
                    says = (
                        f"{paper.named} has {self.means[one]} at the size of {self.means[other]}, "
                        "and the other way round: the two are exchanged."
                    )
                    fact = paper.sizes.format(part=one, side="width")
                    yield self._finding(paper, one, "exchanged", says, fact)

    def _has_size_of(self, paper: Paper, part: str, other: str) -> bool:
        """Return whether a pane is written at another's size, and not at its own."""
        own, glass = self.glass[part], self.glass[other]
        written, within = self._written(paper, part), allowed(self.verdict, paper, part)
        if own is None or glass is None or len(written) < len(("width", "height")):
            return False
        sides = {side: size.value for side, size in written.items()}
        alike = all(is_near(sides[s], float(getattr(glass, s)), within) for s in sides)
        right = all(is_near(sides[s], float(getattr(own, s)), within) for s in sides)
        return alike and not right

    def hand(self) -> Iterator[Finding]:
        """Yield a finding where the order is written for the other hand."""
        job, paper = self.verdict.job, PAPERS[0]
        ordered, drawn = job.values.get("order.hand"), job.values.get("design.hand")
        if ordered is None or drawn is None or ordered.value == drawn.value:
            return
        level, remark = self._turning(self.panes)
        says = (
            f"The order is written for a fixed panel on the {ordered.text}; the drawing has it on "
            f"the {drawn.text}, seen from outside. {remark}"
        )
        yield self._finding(paper, self.panes[0], "mirrored", says, "order.hand", level=level)

    def _turning(self, parts: tuple[str, ...]) -> tuple[str, str]:
        """Return the level and the remark for panes made for the other hand."""
        clear = self.verdict.library.words.get("clear")
        for part in parts:
            surface = self.verdict.answer(f"{part}.surface")
            if not surface.known:
                return "error", f"Whether {self.means[part]} can be turned round is not known."
            if surface.value != clear:
                word = self.verdict.teller().value(f"{part}.surface").text
                return (
                    "error",
                    f"A face of {self.means[part]} is {word}: no turning round.",
                )
        return "warning", "Plain glass with through holes can be turned round."

    def holes(self, paper: Paper, part: str) -> Iterator[Finding]:
        """Yield the slips in a pane's holes."""
        fact = paper.holes.format(part=part)
        glass, meant = self.glass[part], self._holes(part)
        if fact not in self.verdict.job.rows or glass is None or meant is None:
            return
        names, drawn = list(meant), list(meant.values())
        rows = self._rows(fact)
        if rows is None:
            return
        within = self.verdict.library.limits[paper.apart].value
        left, right = unmatched(drawn, rows, within)
        if not left and not right:
            return
        if all_same(turned(drawn, glass), rows, within):
            level, remark = self._turning((part,))
            says = (
                f"{paper.named} has the holes of {self.means[part]} on the other hand, as in a "
                f"mirror. {remark}"
            )
            yield self._finding(paper, part, "mirrored", says, fact, level=level)
            return
        if all_same(upended(drawn, glass), rows, within):
            says = (
                f"{paper.named} has every hole of {self.means[part]} measured from the top; the "
                "take-off measures from the foot."
            )
            yield self._finding(paper, part, "hole", says, fact)
            return
        yield from self._pairs(
            paper, part, {names[at]: drawn[at] for at in left}, {at: rows[at] for at in right}
        )

    def _pairs(
        self, paper: Paper, part: str, left: dict[str, Spot], right: dict[int, Spot]
    ) -> Iterator[Finding]:
        """Yield a finding for each hole that is not as the take-off has it."""
        fact, glass = paper.holes.format(part=part), self.glass[part]
        within = self.verdict.library.limits[paper.apart].value
        if glass is None:
            return
        for named in (True, False):  # a slip that can be named says which holes belong together
            for name, spot in list(left.items()):
                told = {at: hole_slip(spot, one, glass, within) for at, one in right.items()}
                fits = [at for at, slip in told.items() if slip or not named]
                if not fits:
                    continue
                at = min(fits, key=lambda one: (len(told[one]), _apart(spot, right[one])))
                slip = told[at] or "it is neither mirrored nor measured to its rim"
                says = (
                    f"{paper.named} has the {name} of {self.means[part]} at {self._at(right[at])}; "
                    f"the take-off says {self._at(spot)}: {slip}."
                )
                yield self._finding(paper, part, "hole", says, f"{fact}[{at + 1}].x")
                del left[name], right[at]
        for name, spot in left.items():
            says = (
                f"{paper.named} lacks the {name} of {self.means[part]}; the take-off has it at "
                f"{self._at(spot)}."
            )
            yield self._finding(paper, part, "hole", says, fact)
        for at, spot in right.items():
            says = (
                f"{paper.named} has a hole in {self.means[part]} at {self._at(spot)} that the "
                "take-off has not."
            )
            yield self._finding(paper, part, "hole", says, f"{fact}[{at + 1}].x")

    def _at(self, spot: Spot) -> str:
        hand = self.given.get("design.hand")
        edge = f"the {hand.text} edge" if hand else "the edge at the fixed panel's wall"
        return (
            f"{self.text(spot.x)} from {edge} and {self.text(spot.y)} from the foot, "
            f"{self.text(spot.across)} across"
        )

    def _holes(self, part: str) -> dict[str, Spot] | None:
        """Return a pane's holes as drawn, by what they are; None where one is not known."""
        found: dict[str, Spot] = {}
        for _, name, fields in Filling(self.verdict).children(part, "hole"):
            answers = [self.verdict.answer(fields[key]) for key in ("x", "y", "across")]
            if not all(answer.known for answer in answers):
                return None
            found[name] = Spot(*(answer.value for answer in answers))
        return found

    def _rows(self, fact: str) -> list[Spot] | None:
        """Return the holes of a paper; None where a row is not filled in."""
        found: list[Spot] = []
        for at in range(1, self.verdict.job.rows[fact] + 1):
            given = [self.given.get(f"{fact}[{at}].{key}") for key in ("x", "y", "across")]
            values = [one.value for one in given if one is not None]
            if len(values) < len(given):
                return None
            found.append(Spot(*values))
        return found

    def judged(self, paper: Paper) -> Iterator[Finding]:
        """Yield each clause that holds as drawn and fails at the sizes of a paper.

        Only sizes that differ within what is allowed are judged; others are wrong already.
        """
        sizes = {size.step: size for size in paper_sizes(self.verdict, paper.sizes)}
        off = [size for size in sizes.values() if self._is_off(size)]
        if not off or not all(is_right(self.verdict, paper, one) for one in sizes.values()):
            return
        built = as_built(self.verdict, sizes)
        teller = built.teller()
        outcomes = zip(built.plan.cases, self.verdict.run.outcomes, built.run.outcomes, strict=True)
        for case, drawn, code in outcomes:
            if code not in (FAILS, SOFTER) or drawn in (FAILS, SOFTER):
                continue
            if case.clause.book == PAPERS_BOOK:
                continue  # that the papers agree is asked of the take-off, not of the glass
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
                says=f"{_AS[paper.sizes]}: {told.says[:1].lower()}{told.says[1:]}",
                do=told.do,
                why=clause.why,
                place=self.given[first.fact].place,
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


PAPERS_BOOK = "papers"
_TITLES = {
    "swapped": "Width comes before height on every paper",
    "exchanged": "Each pane has its own size on every paper",
    "unit": "Sizes on the papers are in one unit",
    "mirrored": "The glass is ordered for the right hand",
    "hole": "The holes on the papers are those of the take-off",
}
_AS = {ORDER: "As ordered", RACK: "As measured on the rack"}


def _apart(one: Spot, other: Spot) -> float:
    return abs(one.x - other.x) + abs(one.y - other.y)
