"""The take-off: what is ordered and cut, from the same workings as the review."""

from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path

from ruleset.show import Style

from .cautions import CAUTIONS
from .filled_tables import FilledTable, Filling, Missing
from .finding import Assumed, Review
from .sheet_reader import load_sheet
from .verdict import Verdict


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """Whether a job may be ordered, as its review says.

    Attributes:
        ready: Whether it may.
        errors: Findings that fail as errors.
        asked: Facts still to be supplied.
    """

    ready: bool
    errors: int
    asked: int

    def __str__(self) -> str:
        """Return it as a sentence."""
        if self.ready:
            return "Ready to order: yes."
        errors = f"{self.errors} error{'' if self.errors == 1 else 's'}"
        return f"Ready to order: NO; {errors}, {self.asked} to measure. See the review."


def standing(review: Review) -> Standing:
    """Return how a job stands by its review for order."""
    failing = (one for one in review.findings if one.waived is None and one.level == "error")
    errors = sum(one.outcome == "fails" for one in failing)
    return Standing(ready=review.release.ready, errors=errors, asked=len(review.asked))


@dataclass(frozen=True, slots=True, kw_only=True)
class Takeoff:
    """Every size, piece and weight that a job is ordered and cut by.

    Attributes:
        job: The job's id.
        title: Its title.
        file: Its file.
        kit: The kit's id.
        codes: Code sets and policies applied, in order.
        style: How values print.
        standing: Whether it may be ordered; None where no review was made.
        sizes_code: What a second check of these sizes is given for; "" where not all are known.
        heading: What the sheet is called.
        about: How to read it.
        tables: Its tables.
        missing: Facts that values wait for.
        assumed: Values taken because the job does not give them.
        cautions: Said at its end.
    """

    job: str
    title: str
    file: str
    kit: str
    codes: tuple[str, ...]
    style: Style
    standing: Standing | None
    sizes_code: str
    heading: str
    about: str
    tables: tuple[FilledTable, ...]
    missing: tuple[Missing, ...]
    assumed: tuple[Assumed, ...]
    cautions: tuple[str, ...]


def takeoff(
    verdict: Verdict, *, sheet: Path | None = None, review: Review | None = None
) -> Takeoff:
    """Return the take-off of a job.

    Whether the job may be ordered is what its review says; a take-off gives every value that is
    known, and names the facts that the others wait for.

    Args:
        verdict: The job, judged.
        sheet: A shop's own sheet; the shipped one for None.
        review: The review of the same job for order, which the take-off then tells.

    Raises:
        RulesetError: The sheet cannot be read or names what no book has.

    Example:
        >>> from pathlib import Path
        >>> print(takeoff(judge(load_job(Path("job.yaml"), rules), rules)).job)  # doctest: +SKIP
        24-117
    """
    declared = load_sheet("takeoff", verdict, sheet)
    filling = Filling(verdict)
    tables = tuple(filling.table(table) for table in declared.tables)
    job = verdict.job
    return Takeoff(
        job=job.name,
        title=job.title,
        file=job.file,
        kit=job.kit.name,
        codes=tuple(layer.name for layer in verdict.layers),
        style=job.style,
        standing=None if review is None else standing(review),
        sizes_code=verdict.sizes_code,
        heading=declared.title,
        about=declared.about,
        tables=tables,
        missing=filling.missing(),
        assumed=verdict.assumed,
        cautions=CAUTIONS,
    )


def style_in(units: str) -> Style:
    """Return how values print in units that a job is not in: so fine that none moves a pane.

    Args:
        units: in or mm.
    """
    return Style(units=units, grid=Fraction(1, 10) if units == "mm" else Fraction(1, 64))
