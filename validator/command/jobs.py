"""The commands for a design: review, and remedy."""

import datetime as dt
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ruleset.errors import RulesetError

from ..terminal import look, put, tell, tell_faults
from .options import (
    BROKEN,
    STANDARD_INPUT,
    Books,
    Codes,
    JobFile,
    Kits,
    NoTolerance,
    Release,
    Today,
    app,
    day_asked,
    need,
    own_version,
    read_job,
    read_job_or_kit,
)

if TYPE_CHECKING:
    from ..books import Rules
    from ..finding import Review
    from ..job import Job
    from ..remedy import Remedies
    from ..report.summary import JobRow


@app.command(short_help="Review one or more jobs, or kits by themselves.")
def review(  # the options are the interface
    files: Annotated[
        list[str], typer.Argument(metavar="FILE...", help="Jobs, or kits; - reads standard input.")
    ],
    *,
    output: Annotated[str, typer.Option("--format", metavar="FORM", help="text or json.")] = "text",
    release: Release = "order",
    code: Codes = None,
    books: Books = None,
    kits: Kits = None,
    today: Today = None,
    explain: Annotated[
        bool,
        typer.Option(
            "--explain", help="Tell all of it: sums, why, by whose word, what was taken, cautions."
        ),
    ] = False,
    number: Annotated[
        int | None,
        typer.Option("--number", metavar="N", min=1, help="Tell all of the finding N alone."),
    ] = None,
    every: Annotated[
        bool,
        typer.Option("--all", help="Tell all, and also what holds and what does not apply."),
    ] = False,
    no_tolerance: NoTolerance = False,
    no_remedy: Annotated[
        bool, typer.Option("--no-remedy", help="Do not look for the changes that cure errors.")
    ] = False,
) -> None:
    """Review jobs: what must change, what to look at, what is still to measure."""
    from ruleset.book import STAGES

    need("stage", release, STAGES)
    need("format", output, ("text", "json"))
    from ..books import load_rules

    day = day_asked(today)
    rules = load_rules(books=tuple(books or ()), proofs=False)
    asked = _Asked(
        stage=release,
        codes=tuple(code or ()),
        kits=tuple(kits or ()),
        today=day,
        every=every,
        tolerance=not no_tolerance,
        remedy=not no_remedy,
    )
    rows = [_row(file, rules, asked) for file in files]
    if output == "json":
        _print_data(rows)
    else:
        _print_text(rows, release, _Told(explain=explain or every, every=every, number=number))
    raise typer.Exit(_exit_code(rows))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """What the call asks of every job."""

    stage: str
    codes: tuple[str, ...]
    kits: tuple[Path, ...]
    today: dt.date
    every: bool
    tolerance: bool
    remedy: bool


def _row(file: str, rules: "Rules", asked: _Asked) -> "JobRow":
    from ..kit import Kit
    from ..report.summary import JobRow
    from ..review import review_kit

    try:
        subject = read_job_or_kit(file, rules, asked.kits)
        found = (
            review_kit(subject, rules, codes=asked.codes, every=asked.every)
            if isinstance(subject, Kit)
            else _job_reviewed(subject, rules, asked)
        )
    except RulesetError as error:
        tell_faults(error)
        return JobRow(file=STANDARD_INPUT if file == "-" else file, review=None)
    for sentence in found.broken:
        tell(f"{found.file}: {sentence}")
    return JobRow(file=found.file, review=found)


def _job_reviewed(job: "Job", rules: "Rules", asked: _Asked) -> "Review":
    from ..day import on_day
    from ..review import review as review_job

    job = on_day(job, asked.today)
    found = review_job(
        job,
        rules,
        stage=asked.stage,
        codes=asked.codes,
        every=asked.every,
        tolerance=asked.tolerance,
    )
    if asked.remedy and found.exit_code != BROKEN and _wants_remedies(found, asked.stage):
        return _with_remedies(found, job, rules, asked)
    return found


def _wants_remedies(found: "Review", stage: str) -> bool:
    """Return whether an error stands or something is tight as a warning, and is not built yet."""
    from ..release import is_built

    return any(
        not is_built(one.stage, stage)
        and (one.outcome, one.level) in (("fails", "error"), ("tight", "warning"))
        for one in found.findings
    )


def _with_remedies(found: "Review", job: "Job", rules: "Rules", asked: _Asked) -> "Review":
    from ..remedy import remedies, with_remedies
    from ..remedy.find import QUICK

    cures = remedies(
        job,
        rules,
        stage=asked.stage,
        codes=asked.codes,
        tolerance=asked.tolerance,
        reviewed=found,
        most=QUICK,
    )
    return with_remedies(found, cures, job)


def _exit_code(rows: Sequence["JobRow"]) -> int:
    return max(BROKEN if row.review is None else row.review.exit_code for row in rows)


def _print_data(rows: Sequence["JobRow"]) -> None:
    from ..report.data import as_json, review_data, reviews_data

    version, reviews = own_version(), _reviewed(rows)
    if len(rows) > 1:
        put(as_json(reviews_data(reviews, version)))
    elif reviews:
        put(as_json(review_data(reviews[0], version)))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Told:
    """How much of a review is printed.

    Attributes:
        explain: All of it; else one screen.
        every: Also what holds and what does not apply.
        number: The one finding that is told; None for all.
    """

    explain: bool
    every: bool
    number: int | None


def _print_text(rows: Sequence["JobRow"], stage: str, told: _Told) -> None:
    from ..report.brief import brief_text, caution_lines
    from ..report.summary import summary_text
    from ..report.text import Elsewhere, cautions_lines, finding_text, review_text

    shown, reviews = look(), _reviewed(rows)
    one = len(rows) == 1
    before: Elsewhere = {}
    if told.number is not None:
        texts = [finding_text(found, told.number, shown) for found in reviews]
    elif told.explain:
        texts = [
            review_text(found, shown, every=told.every, cautions=one, elsewhere=before)
            for found in reviews
        ]
    else:
        texts = [brief_text(found, shown, cautions=one) for found in reviews]
    if not one:
        texts.append(summary_text(rows, stage, shown))
        cautions = (c for r in reviews for c in r.cautions)
        last = cautions_lines(cautions, shown) if told.explain else caution_lines(shown)
        texts.append("\n".join(last) if reviews else "")
    kept = [text.strip("\n") for text in texts if text]
    if kept:
        put("\n\n".join(kept) + "\n")


def _reviewed(rows: Sequence["JobRow"]) -> list["Review"]:
    return [row.review for row in rows if row.review is not None]


@app.command(short_help="Find the least change that cures what fails.")
def remedy(
    file: JobFile,
    *,
    output: Annotated[str, typer.Option("--format", metavar="FORM", help="text or json.")] = "text",
    release: Release = "order",
    code: Codes = None,
    books: Books = None,
    kits: Kits = None,
    today: Today = None,
    no_tolerance: NoTolerance = False,
    seconds: Annotated[
        float | None,
        typer.Option(
            metavar="N",
            min=0,
            help="End the search after so many seconds, with what was found by then.",
        ),
    ] = None,
    write: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE",
            help="Save the job with the remedy for all errors in it; a new file, or the job's own, "
            "which is then kept as NAME.bak.",
        ),
    ] = None,
) -> None:
    """Find the least change of the design that cures each fault, and one that clears all errors."""
    from ruleset.book import STAGES

    need("stage", release, STAGES)
    need("format", output, ("text", "json"))
    from ..books import load_rules
    from ..day import on_day
    from ..remedy import remedies, write_remedy
    from ..report import remedy_data, remedy_text
    from ..report.data import as_json

    day = day_asked(today)
    rules = load_rules(books=tuple(books or ()), proofs=False)
    job = on_day(read_job(file, rules, tuple(kits or ())), day)
    found = remedies(
        job,
        rules,
        stage=release,
        codes=tuple(code or ()),
        tolerance=not no_tolerance,
        seconds=seconds,
        progress=_progress if sys.stderr.isatty() else None,
    )
    if sys.stderr.isatty():
        _progress("", end="\r")
    if output == "json":
        put(as_json(remedy_data.data(found, job, own_version())))
    else:
        put(remedy_text.write(found, look=look()))
    if write is not None:
        if file == "-":
            tell("A job from standard input cannot be saved with its remedy; name its file.")
            raise typer.Exit(BROKEN)
        if found.joint is None:
            errors = any(one.level == "error" for one in found.singles)
            why = (
                "No change of the design cures an error" if errors else "There is no error to cure"
            )
            tell(f"{why}; nothing was saved.")
        else:
            kept = write_remedy(Path(file), found.joint, write, backup=True)
            tell(" ".join(_saved(found, write, kept)))
    for sentence in found.broken:
        tell(f"{found.file}: {sentence}")
    raise typer.Exit(found.exit_code)


def _saved(found: "Remedies", write: Path, kept: Path | None) -> Iterator[str]:
    yield f"Saved as {write}."
    if kept is not None:
        yield f"The job as it was is kept as {kept}."
    if found.joint is not None and any(one.again for one in found.joint.changes):
        yield "What was checked or signed for the old sizes is set to no in it."
    if found.left:
        many = len(found.left)
        errors = "error of the job as it was is" if many == 1 else "errors of the job as it was are"
        yield f"{many} {errors} left in it."


def _progress(said: str, end: str = "") -> None:
    sys.stderr.write(f"\r{said:<70.70}{end}")
    sys.stderr.flush()
