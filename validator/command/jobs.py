"""The commands for a design: review, and remedy."""

import datetime as dt
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ruleset.errors import RulesetError

from ..terminal import look, put, tell, tell_faults, watching
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
    from .. import Job, Remedies, Review, Rules
    from ..report.summary import JobRow, Tally
    from ..terminal import Watch


WHOLE = ("sarif", "junit")
"""Forms that are one text for all files, those too that could not be used."""
FORMS = ("text", "lines", "json", "sarif", "junit")
"""What a review may be printed as."""


@app.command(short_help="Review one or more jobs, or kits by themselves.")
def review(  # the options are the interface
    files: Annotated[
        list[str], typer.Argument(metavar="FILE...", help="Jobs, or kits; - reads standard input.")
    ],
    *,
    output: Annotated[
        str,
        typer.Option("--format", metavar="FORM", help="text, lines, json, sarif or junit."),
    ] = "text",
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
    old: Annotated[
        str,
        typer.Option(
            "--since",
            metavar="OLD",
            help="Tell what changed since an older state of the job: facts, cut sizes, findings.",
        ),
    ] = "",
    no_tolerance: NoTolerance = False,
    no_remedy: Annotated[
        bool, typer.Option("--no-remedy", help="Do not look for the changes that cure errors.")
    ] = False,
) -> None:
    """Review jobs: what must change, what to look at, what is still to measure."""
    from ruleset.book import STAGES

    need("stage", release, STAGES)
    need("format", output, FORMS)
    from .. import load_rules
    from ..site import names_in

    day = day_asked(today)
    files = [name for file in files for name in names_in(file)]
    rules = load_rules(books=tuple(books or ()), proofs=False)
    asked = _Asked(
        stage=release,
        codes=tuple(code or ()),
        kits=tuple(kits or ()),
        today=day,
        every=every,
        tolerance=not no_tolerance,
        remedy=not no_remedy and output in ("text", "json"),
    )
    if old:
        raise typer.Exit(_since(files, old, rules, asked, output))
    told = _Told(explain=explain or every, every=every, number=number)
    if len(files) > 1 or output in WHOLE:
        raise typer.Exit(_several(files, rules, asked, told, output))
    with watching() as watch:
        found = _reviewed(files[0], rules, asked, watch)
    if not isinstance(found, RulesetError):
        put(_text_of(found, told) if output == "text" else _data_of(found, output, rules))
    raise typer.Exit(BROKEN if isinstance(found, RulesetError) else found.exit_code)


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


def _reviewed(
    file: str, rules: "Rules", asked: _Asked, watch: "Watch | None" = None
) -> "Review | RulesetError":
    """Return the review of a file, or why it could not be used, which is told."""
    from .. import Kit, review_kit

    try:
        subject = read_job_or_kit(file, rules, asked.kits)
        found = (
            review_kit(subject, rules, codes=asked.codes, every=asked.every)
            if isinstance(subject, Kit)
            else _job_reviewed(subject, rules, asked, watch)
        )
    except RulesetError as error:
        if watch is not None:
            watch.clear()
        tell_faults(error)
        return error
    for sentence in found.broken:
        if watch is not None:
            watch.clear()
        tell(f"{found.file}: {sentence}")
    return found


def _job_reviewed(job: "Job", rules: "Rules", asked: _Asked, watch: "Watch | None") -> "Review":
    from .. import on_day
    from .. import review as review_job
    from ..release import may_be_cured

    job = on_day(job, asked.today)
    found = review_job(
        job,
        rules,
        stage=asked.stage,
        codes=asked.codes,
        every=asked.every,
        tolerance=asked.tolerance,
    )
    if asked.remedy and found.exit_code != BROKEN and may_be_cured(found):
        return _with_remedies(found, job, rules, asked, watch)
    return found


def _with_remedies(
    found: "Review", job: "Job", rules: "Rules", asked: _Asked, watch: "Watch | None"
) -> "Review":
    from .. import remedies, with_remedies
    from ..remedy.find import QUICK

    cures = remedies(
        job,
        rules,
        stage=asked.stage,
        codes=asked.codes,
        tolerance=asked.tolerance,
        reviewed=found,
        most=QUICK,
        progress=watch,
    )
    return with_remedies(found, cures, job)


def _whole(found: "Iterable[tuple[JobRow, Review | RulesetError]]", output: str) -> str:
    """Return reviews in a form that is one text for all of them."""
    from .. import junit_text, sarif_text

    if output == "junit":
        return junit_text((row.file, one) for row, one in found)
    return sarif_text((one for _, one in found), own_version())


def _since(files: Sequence[str], old: str, rules: "Rules", asked: _Asked, output: str) -> int:
    """Print what changed in a job since an older state of it, and return its code."""
    from .. import judge, on_day, review_verdict, since
    from ..report.data import as_json
    from ..report.since_text import since_data, since_text

    if len(files) != 1 or output not in ("text", "json"):
        tell("--since holds one job against an older one, as text or json; name one file.")
        return BROKEN
    pairs = []
    for file in (old, files[0]):
        job = on_day(read_job(file, rules, asked.kits), asked.today)
        verdict = judge(job, rules, codes=asked.codes)
        found = review_verdict(verdict, rules, stage=asked.stage, tolerance=asked.tolerance)
        for sentence in found.broken:
            tell(f"{found.file}: {sentence}")
        pairs.append((verdict, found))
    (before, was), (after, now) = pairs
    if before.job.name != after.job.name:
        tell(f"{old} is of job {before.job.name}, {files[0]} of job {after.job.name}.")
    changed = since(before, was, after, now)
    data = since_data(changed, now, own_version())
    put(as_json(data) if output == "json" else since_text(changed, now, look()))
    return now.exit_code


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


def _data_of(found: "Review", output: str, rules: "Rules") -> str:
    """Return a review for programs."""
    from .. import review_data, review_lines
    from ..report.data import as_json

    if output == "lines":
        return "".join(f"{line}\n" for line in review_lines(found))
    return as_json(review_data(found, own_version(), _digests(rules)(found)))


def _digests(rules: "Rules") -> "Callable[[Review], Mapping[str, str]]":
    """Return what tells of a review by which file and which books it was made: their SHA-256."""
    from hashlib import sha256

    from ruleset.reader import bytes_of

    from ..job import layers_near
    from ..site import parted

    files = {one.place.file for one in rules.library.books.values()}
    files |= {one.place.file for one in rules.codes.values()}

    def digests(found: "Review") -> "Mapping[str, str]":
        path = Path(parted(found.file)[0])
        own = set(found.codes) - rules.codes.keys()  # of the shop, beside its jobs
        near = layers_near(path.parent) if own else {}
        every = files | {near[name].place.file for name in own if name in near}
        books = sha256(b"".join(bytes_of(Path(file)) for file in sorted(every))).hexdigest()
        job = sha256(bytes_of(path)).hexdigest() if path.is_file() else ""
        return {"job": job, "books": books}

    return digests


def _text_of(found: "Review", told: _Told) -> str:
    """Return the text of one review by itself."""
    from .. import brief_text, review_text
    from ..report.text import finding_text

    if told.number is not None:
        return finding_text(found, told.number, look())
    if told.explain:
        return review_text(found, look(), every=told.every)
    return brief_text(found, look())


def _several(files: Sequence[str], rules: "Rules", asked: _Asked, told: _Told, output: str) -> int:
    """Review several files, print each as it is done, and return the worst code.

    Nothing is kept of a review once it is printed but its row.
    """
    from ..report.data import reviews_json
    from ..report.summary import Tally, row_of

    tally = Tally()
    whole = output == "json" or told.explain or told.number is not None
    asked = asked if whole else replace(asked, remedy=False)  # a line has no room for changes

    def reviews(watch: "Watch") -> "Iterator[tuple[JobRow, Review | RulesetError]]":
        for at, file in enumerate(files, start=1):
            watch(f"{at:,} of {len(files):,}: {file}")
            found = _reviewed(file, rules, asked, watch)
            review = None if isinstance(found, RulesetError) else found
            name = STANDARD_INPUT if file == "-" else file if review is None else review.file
            row = row_of(name, review)
            tally.add(row)
            watch.clear()
            yield row, found

    with watching() as watch:
        found = reviews(watch)
        if output == "json":
            data = (one for _, one in found if not isinstance(one, RulesetError))
            for text in reviews_json(data, own_version(), _digests(rules)):
                put(text)
        elif output in WHOLE:
            put(_whole(found, output))
        elif output == "lines":
            for _, one in found:
                put("" if isinstance(one, RulesetError) else _data_of(one, output, rules))
        else:
            for text in _texts(found, tally, told, asked.stage):
                put(text)
    return tally.code


def _texts(
    found: "Iterator[tuple[JobRow, Review | RulesetError]]", tally: "Tally", told: _Told, stage: str
) -> Iterator[str]:
    """Yield the text of several reviews piece by piece, and what they come to at the end."""
    from .. import review_text
    from ..report.brief import caution_lines
    from ..report.summary import head_lines, row_line, tally_text
    from ..report.text import Elsewhere, cautions_lines, finding_text

    shown, before, cautions = look(), Elsewhere(), dict[str, None]()
    if not told.explain and told.number is None:
        yield "\n".join(head_lines(stage, shown)) + "\n"
    for row, one in found:
        if isinstance(one, RulesetError):
            if told.number is None and not told.explain:
                yield row_line(row, shown) + "\n"
        elif told.number is not None:
            yield finding_text(one, told.number, shown) + "\n"
        elif told.explain:
            yield (
                review_text(one, shown, every=told.every, cautions=False, elsewhere=before).strip(
                    "\n"
                )
                + "\n\n"
            )
            cautions |= dict.fromkeys(one.cautions)
        else:
            yield row_line(row, shown) + "\n"
    yield tally_text(tally, shown)
    last = cautions_lines(cautions, shown) if told.explain else caution_lines(shown)
    if tally.files > tally.broken:
        yield "\n" + "\n".join(last).strip("\n") + "\n"


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
    from .. import load_rules, on_day, remedies, write_remedy
    from ..report import remedy_data, remedy_text
    from ..report.data import as_json
    from ..site import parted

    day = day_asked(today)
    rules = load_rules(books=tuple(books or ()), proofs=False)
    job = on_day(read_job(file, rules, tuple(kits or ())), day)
    with watching() as watch:
        found = remedies(
            job,
            rules,
            stage=release,
            codes=tuple(code or ()),
            tolerance=not no_tolerance,
            seconds=seconds,
            progress=watch,
        )
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
            kept = write_remedy(Path(parted(file)[0]), found.joint, write, backup=True)
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
