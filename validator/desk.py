"""One job's papers on the desk: what every check of them needs."""

from collections.abc import Iterator, Mapping

from ruleset.book import Basis
from ruleset.kinds import KINDS
from ruleset.plan import Case
from ruleset.program import FAILS, SOFTER, UNKNOWN
from ruleset.show import show, show_as_given

from .as_built import Frozen, frozen_steps
from .facts import place_for
from .finding import Finding
from .papers import Paper, paper_sizes, papers_of
from .phrases import small
from .release import is_due
from .slips import Glass
from .verdict import Verdict

PRACTICE = Basis(standing="common practice", note="no source")
LENGTH = KINDS["length"]
SIDES = ("width", "height")
FINEST = 8  # steps finer than the grid, to tell two lengths apart
SHOWN = 2  # clauses that a remark tells in full
_HAIR = 1e-3  # mm; finer than anybody writes a size
BOOK = "order-check"
"""What stands before a slip in the id of its finding."""
TITLES = {
    "swapped": "Width comes before height on every paper",
    "exchanged": "Each pane has its own size on every paper",
    "unit": "Sizes on the papers are in one unit",
    "mirrored": "The glass is ordered for the right hand",
    "hole": "The holes on the papers are those of the take-off",
    "notch": "The notches on the papers are those of the take-off",
    "as-made": "Glass that is off its size is judged as it is",
    "goods": "What the order lists besides glass is that of the take-off",
}
LOOKS_AT = {
    "swapped": "A pane whose width on a paper is the take-off's height, and the other way round.",
    "exchanged": "Two panes that have each other's sizes on a paper.",
    "unit": "A size that is the take-off's once inches are read as millimetres, or the other way "
    "round.",
    "mirrored": "The hand of the order against the hand of the drawing, and whether the glass can "
    "be turned round.",
    "hole": "Number, place and diameter of each pane's holes on a paper against the take-off.",
    "notch": "Number, place and size of each pane's notches on a paper against the take-off.",
    "as-made": "Glass off its size by more than papers may differ by: every clause is judged at "
    "the size it has.",
    "goods": "Bar, seals, channels, hinges and clamps that an order lists: each long enough, or of "
    "the kind and as many as needed, and none left out.",
}


class Desk:
    """One job's papers."""

    def __init__(self, verdict: Verdict) -> None:
        """Keep the job, its panes, and the size of each as drawn.

        Args:
            verdict: The job, judged.
        """
        self.verdict = verdict
        self.given = verdict.job.values
        self.papers = papers_of(verdict)
        parts = (step.name.rpartition(".")[0] for step in frozen_steps(verdict))
        self.panes = tuple(dict.fromkeys(parts))
        self.means: Mapping[str, str] = {p: verdict.library.parts[p].means for p in self.panes}
        self.glass = {part: self._glass(part) for part in self.panes}

    def _glass(self, part: str) -> Glass | None:
        sides = [self.verdict.answer(f"{part}.{side}") for side in SIDES]
        known = all(side.known for side in sides)
        return Glass(*(side.value for side in sides)) if known else None

    def written(self, paper: Paper, part: str) -> dict[str, Frozen]:
        """Return the sizes of a pane that a paper gives, by side."""
        sizes = paper_sizes(self.verdict, paper)
        return {
            size.step.rpartition(".")[2]: size
            for size in sizes
            if size.step.rpartition(".")[0] == part
        }

    def texts(self, *values: float) -> list[str]:
        """Return lengths as sentences print them, so fine that unlike ones differ.

        Args:
            values: The lengths, mm.
        """
        style = self.verdict.job.style
        shown = [show_as_given(value, LENGTH, style) for value in values]
        unlike = len({round(value / _HAIR) for value in values})
        for finer in range(FINEST):
            if len({one.text for one in shown}) >= unlike:
                break
            shown = [show(value, LENGTH, style, finer=finer) for value in values]
        return [f"about {one.text}" if one.rounded else one.text for one in shown]

    def finding(  # noqa: PLR0913  # what a finding of a paper is made of
        self, paper: Paper, part: str, slip: str, says: str, fact: str, *, level: str = "",
        instead: tuple[str, ...] = (),
    ) -> Finding:  # fmt: skip
        """Return a finding about a paper.

        Args:
            paper: The paper.
            part: The pane.
            slip: One of `TITLES`.
            says: What is wrong.
            fact: Where it is wrong.
            level: Its level; that of the paper's clause for "".
            instead: Panes whose clause it tells better.
        """
        clause = self.verdict.library.clauses[paper.clause].clause
        job = self.verdict.job
        return Finding(
            clause=f"{BOOK}.{slip}",
            subject=part,
            outcome="fails",
            level=level or clause.level,
            stage=clause.stage,
            title=TITLES[slip],
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
            instead_of=tuple((paper.clause, one) for one in instead),
        )

    def turning(self, parts: tuple[str, ...]) -> tuple[str, str]:
        """Return the level and the remark for panes made for the other hand."""
        clear = self.verdict.library.words.get("clear")
        for part in parts:
            name = self.verdict.plain(f"{part}.design.surface")
            surface = self.verdict.answer(name)
            if not surface.known:
                return "error", f"Whether {self.means[part]} can be turned round is not known."
            if surface.value != clear:
                word = self.verdict.teller().value(name).text
                return (
                    "error",
                    f"A face of {self.means[part]} is {word}: no turning round.",
                )
        return "warning", "Plain glass with through holes can be turned round."

    def broken(self, built: Verdict) -> Iterator[tuple[Case, int]]:
        """Yield each case that holds as drawn and fails as built, with its outcome."""
        outcomes = zip(built.plan.cases, self.verdict.run.outcomes, built.run.outcomes, strict=True)
        for case, drawn, code in outcomes:
            newly = code in (FAILS, SOFTER) and drawn not in (FAILS, SOFTER)
            # That the papers agree is asked of the take-off, not of the glass.
            if newly and self._is_of_glass(case):
                yield case, code

    def _is_of_glass(self, case: Case) -> bool:
        return not {case.clause.name, case.clause.book}.intersection(self.papers.not_for)

    def what_follows(self, built: Verdict) -> str:
        """Return what glass does that is off, in whole sentences.

        Args:
            built: The job with that glass.
        """
        teller = built.teller()
        told: dict[str, list[str]] = {"error": [], "warning": [], "note": []}
        for case, code in self.broken(built):
            told[_level(built, case, code)].append(teller.tell(case).says)
        cases = [*zip(built.plan.cases, built.run.outcomes, strict=True)]
        if errors := told["error"]:
            return f"Made so, this fails: {_some(errors)}"
        if any(
            code in (FAILS, SOFTER) and _level(built, case, code) == "error"
            for case, code in cases
            if self._is_of_glass(case)
        ):
            return "Made so, no other error comes to those of the drawing."
        open_ = any(code == UNKNOWN and is_due(c.clause.stage, "order") for c, code in cases)
        known = ", as far as is known," if open_ else ""
        if others := [*told["warning"], *told["note"]]:
            return (
                f"Made so, it would still hang{known} at size: whether to take it is a decision. "
                f"To look at: {_some(others)}"
            )
        return (
            f"Made so, everything else still holds{known} at size: whether to take it is a "
            "decision, and it need not be made again."
        )


def _level(built: Verdict, case: Case, code: int) -> str:
    clause = built.clause(case)
    return clause.softer.level if code == SOFTER and clause.softer else clause.level


def _some(says: list[str]) -> str:
    """Return the first of some sentences, and how many there are more."""
    shown = " ".join([small(says[0]), *says[1:SHOWN]])
    more = len(says) - SHOWN
    if more <= 0:
        return shown
    return f"{shown} {more} more {'clause fails' if more == 1 else 'clauses fail'}."
