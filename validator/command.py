"""The command line: reads, calls, prints and exits."""

import signal
import sys
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from ruleset.errors import RulesetError

from .terminal import look, os_words, put, tell, tell_faults

if TYPE_CHECKING:
    from ruleset.prove import Proved

    from .books import Rules
    from .finding import Review
    from .job import Job
    from .report.layout import Look
    from .report.summary import Row
    from .verdict import Verdict

# Whatever a command does not need is imported inside it: starting up is most of a short run.

FINE, FOUND, BROKEN, STOPPED = 0, 1, 2, 130
STANDARD_INPUT = "standard input"

app = typer.Typer(
    name="paneproof",
    help="Check the design of a glass shower enclosure against trade rules.",
    add_completion=False,
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)

Books = Annotated[
    list[Path] | None,
    typer.Option(metavar="DIR", help="A folder or file of further books; may be given again."),
]


Codes = Annotated[
    list[str] | None,
    typer.Option(
        "--code",
        metavar="NAME",
        help="A code set in place of those the job names; may be given again.",
    ),
]
Kits = Annotated[
    list[Path] | None,
    typer.Option("--kits", metavar="DIR", help="A folder of further kits; may be given again."),
]
Release = Annotated[
    str,
    typer.Option(
        metavar="STAGE",
        help="Ready for what: survey, design, order, fabricate, install or handover.",
    ),
]
JobFile = Annotated[str, typer.Argument(metavar="FILE", help="A job; - reads standard input.")]
Out = Annotated[
    Path | None,
    typer.Option("--out", metavar="FILE", help="Write to this file; it must not be there yet."),
]


def main() -> None:
    """Run the command line and exit.

    Exit codes: 0 for nothing at error level, 1 for errors found, 2 for a broken file, book,
    plugin or call.
    """
    # Typer would end a stopped run with the code of errors found.
    signal.signal(signal.SIGINT, _stop)
    try:
        app()
    except RulesetError as error:
        tell_faults(error)
    except OSError as error:
        tell(os_words(error))
    except Exception as error:
        if sys.flags.dev_mode:
            raise
        tell(
            f"paneproof itself failed: {type(error).__name__}: {error}. Nothing was decided. "
            "Please report it, with what `python -X dev -m validator.command` prints."
        )
    sys.exit(BROKEN)


def _version(wanted: bool) -> None:  # noqa: FBT001  # typer passes the option's value
    if wanted:
        put(f"paneproof {_own_version()}\n")
        raise typer.Exit


@app.callback()
def _every_command(
    *,
    version: Annotated[  # its callback does the work
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version.")
    ] = False,
) -> None:
    """Check the design of a glass shower enclosure against trade rules."""


@app.command(short_help="Review one or more jobs.")
def review(  # the options are the interface
    files: Annotated[
        list[str], typer.Argument(metavar="FILE...", help="Jobs; - reads standard input.")
    ],
    *,
    output: Annotated[str, typer.Option("--format", metavar="FORM", help="text or json.")] = "text",
    release: Release = "order",
    code: Codes = None,
    books: Books = None,
    kits: Kits = None,
    every: Annotated[
        bool, typer.Option("--all", help="Tell also what holds and what does not apply.")
    ] = False,
    no_tolerance: Annotated[
        bool,
        typer.Option("--no-tolerance", help="Leave out what holds at size but is tight."),
    ] = False,
    no_remedy: Annotated[
        bool, typer.Option("--no-remedy", help="Do not look for the changes that cure errors.")
    ] = False,
) -> None:
    """Review jobs: what must change, what to look at, what is still to measure."""
    from ruleset.book import STAGES

    _need("stage", release, STAGES)
    _need("format", output, ("text", "json"))
    from .books import load_rules

    rules = load_rules(books=tuple(books or ()), proofs=False)
    asked = _Asked(
        stage=release,
        codes=tuple(code or ()),
        kits=tuple(kits or ()),
        every=every,
        tolerance=not no_tolerance,
        remedy=not no_remedy,
    )
    rows = [_row(file, rules, asked) for file in files]
    if output == "json":
        _print_data(rows)
    else:
        _print_text(rows, release, every=every)
    raise typer.Exit(_exit_code(rows))


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """What the call asks of every job."""

    stage: str
    codes: tuple[str, ...]
    kits: tuple[Path, ...]
    every: bool
    tolerance: bool
    remedy: bool


def _job(file: str, rules: "Rules", kits: Sequence[Path]) -> "Job":
    from .job import load_job, load_job_text

    if file != "-":
        return load_job(Path(file), rules, folders=kits)
    text = sys.stdin.buffer.read(_MOST_BYTES) if sys.stdin else b""
    return load_job_text(text, STANDARD_INPUT, rules, beside=Path(), folders=kits)


def _row(file: str, rules: "Rules", asked: _Asked) -> "Row":
    from .report.summary import Row
    from .review import review as review_job

    try:
        job = _job(file, rules, asked.kits)
        found = review_job(
            job,
            rules,
            stage=asked.stage,
            codes=asked.codes,
            every=asked.every,
            tolerance=asked.tolerance,
        )
        if asked.remedy and found.exit_code == FOUND:
            found = _with_remedies(found, job, rules, asked)
    except RulesetError as error:
        tell_faults(error)
        return Row(file=STANDARD_INPUT if file == "-" else file, review=None)
    for sentence in found.broken:
        tell(f"{found.file}: {sentence}")
    return Row(file=found.file, review=found)


def _with_remedies(found: "Review", job: "Job", rules: "Rules", asked: _Asked) -> "Review":
    from .remedy import remedies, with_remedies

    cures = remedies(
        job, rules, stage=asked.stage, codes=asked.codes, reviewed=found, seconds=REMEDY_SECONDS
    )
    return with_remedies(found, cures, job)


REMEDY_SECONDS = 1.0
_MOST_BYTES = 10_000_000  # more than any reader of ours takes; it then says so itself


def _exit_code(rows: Sequence["Row"]) -> int:
    return max(BROKEN if row.review is None else row.review.exit_code for row in rows)


def _print_data(rows: Sequence["Row"]) -> None:
    from .report.data import as_json, review_data, reviews_data

    version, reviews = _own_version(), _reviewed(rows)
    if len(rows) > 1:
        put(as_json(reviews_data(reviews, version)))
    elif reviews:
        put(as_json(review_data(reviews[0], version)))


def _print_text(rows: Sequence["Row"], stage: str, *, every: bool) -> None:
    from .report.summary import summary_text
    from .report.text import cautions_lines, review_text

    shown, reviews = look(), _reviewed(rows)
    one = len(rows) == 1
    texts = [review_text(found, shown, every=every, cautions=one) for found in reviews]
    if not one:
        texts.append(summary_text(rows, stage, shown))
        texts.append("\n".join(cautions_lines((c for r in reviews for c in r.cautions), shown)))
    kept = [text.strip("\n") for text in texts if text]
    if kept:
        put("\n\n".join(kept) + "\n")


def _reviewed(rows: Sequence["Row"]) -> list["Review"]:
    return [row.review for row in rows if row.review is not None]


@app.command(short_help="Print what is ordered, cut and carried to site.")
def takeoff(
    file: JobFile,
    *,
    output: Annotated[
        str, typer.Option("--format", metavar="FORM", help="text, json or csv.")
    ] = "text",
    code: Codes = None,
    books: Books = None,
    kits: Kits = None,
    out: Out = None,
) -> None:
    """Print the take-off: panes, bar and cut list; then setting-out, order of work, hold points."""
    _need("format", output, ("text", "json", "csv"))
    from .books import load_rules
    from .settingout import setting_out
    from .takeoff import takeoff as take_off
    from .verdict import judge

    rules = load_rules(books=tuple(books or ()), proofs=False)
    verdict = judge(_job(file, rules, tuple(kits or ())), rules, codes=tuple(code or ()))
    taken = take_off(verdict)
    if output == "csv":
        from .report import takeoff_csv

        _deliver(takeoff_csv.write(taken), out)
        return
    lines = setting_out(verdict)
    if output == "json":
        from .report import takeoff_data
        from .report.data import as_json

        version = _own_version()
        data = takeoff_data.takeoff_data(taken, version)
        data["setting_out"] = takeoff_data.setting_out_data(lines, version)
        _deliver(as_json(data), out)
        return
    from .report import settingout_text, takeoff_text

    shown = look()
    text = takeoff_text.write(taken, look=shown).rstrip("\n")
    _deliver(f"{text}\n\n{settingout_text.write(lines, look=shown).strip(chr(10))}\n", out)


@app.command(short_help="Draw the job to scale.")
def draw(
    file: JobFile,
    *,
    paper: Annotated[str, typer.Option(metavar="PAPER", help="letter or a4.")] = "letter",
    output: Annotated[str, typer.Option("--format", metavar="FORM", help="svg or png.")] = "svg",
    code: Codes = None,
    books: Books = None,
    kits: Kits = None,
    out: Out = None,
) -> None:
    """Draw the elevation and the plan to scale, with each finding's number at its place."""
    _need("paper", paper, PAPERS)
    _need("format", output, ("svg", "png"))
    from .drawing import PictureError, png
    from .drawing import draw as drawn

    verdict, found = _reviewed_whole(file, books, kits, code)
    svg = drawn(verdict, found, paper=paper)
    if output == "svg":
        _deliver(svg, out)
    elif out is None:
        tell("A picture is no text for a terminal; name a file with --out.")
        raise typer.Exit(BROKEN)
    else:
        from .terminal import write_new

        try:
            write_new(out, png(svg))
        except PictureError as error:
            tell(str(error))
            raise typer.Exit(BROKEN) from None


@app.command(short_help="Make the job's printable sheet.")
def sheet(
    file: JobFile,
    *,
    paper: Annotated[str, typer.Option(metavar="PAPER", help="letter or a4.")] = "letter",
    output: Annotated[str, typer.Option("--format", metavar="FORM", help="html or pdf.")] = "html",
    code: Codes = None,
    books: Books = None,
    kits: Kits = None,
    out: Out = None,
) -> None:
    """Make one file to print: release, drawing, findings, take-off, setting-out, hold points."""
    import datetime as dt

    _need("paper", paper, PAPERS)
    _need("format", output, ("html", "pdf"))
    from .sheet import PdfError, sheet_html, sheet_pdf
    from .terminal import write_new

    if output == "pdf" and out is None:
        tell("A PDF is no text for a terminal; name a file with --out.")
        raise typer.Exit(BROKEN)
    verdict, found = _reviewed_whole(file, books, kits, code)
    html = sheet_html(verdict, found, printed=dt.datetime.now().astimezone().date(), paper=paper)
    if output == "html" or out is None:
        _deliver(html, out)
        return
    try:
        write_new(out, sheet_pdf(html))
    except PdfError as error:
        tell(str(error))
        raise typer.Exit(BROKEN) from None


PAPERS = ("letter", "a4")


def _reviewed_whole(
    file: str,
    books: Sequence[Path] | None,
    kits: Sequence[Path] | None,
    code: Sequence[str] | None,
) -> "tuple[Verdict, Review]":
    """Return the verdict of a job and its review for order."""
    from .books import load_rules
    from .review import review as review_job
    from .verdict import judge

    rules = load_rules(books=tuple(books or ()), proofs=False)
    job, codes = _job(file, rules, tuple(kits or ())), tuple(code or ())
    return judge(job, rules, codes=codes), review_job(job, rules, codes=codes)


def _deliver(text: str, out: Path | None) -> None:
    """Print a text, or write it whole to a file that is not there yet."""
    from .terminal import write_new

    if out is None:
        put(text)
    else:
        write_new(out, text.encode("utf-8"))


@app.command(short_help="Find the least change that cures what fails.")
def remedy(
    file: JobFile,
    *,
    output: Annotated[str, typer.Option("--format", metavar="FORM", help="text or json.")] = "text",
    release: Release = "order",
    code: Codes = None,
    books: Books = None,
    kits: Kits = None,
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

    _need("stage", release, STAGES)
    _need("format", output, ("text", "json"))
    from .books import load_rules
    from .remedy import remedies, write_remedy
    from .report import remedy_text
    from .report.data import as_json

    rules = load_rules(books=tuple(books or ()), proofs=False)
    job = _job(file, rules, tuple(kits or ()))
    found = remedies(
        job,
        rules,
        stage=release,
        codes=tuple(code or ()),
        progress=_progress if sys.stderr.isatty() else None,
    )
    if output == "json":
        put(as_json(remedy_text.data(found, job)))
    else:
        put(remedy_text.write(found, look=look()))
    if write is not None:
        if found.joint is None or file == "-":
            tell("There is no remedy for all errors to save, or the job is no file.")
            raise typer.Exit(BROKEN)
        kept = write_remedy(Path(file), found.joint, write, backup=True)
        tell(f"Saved as {write}." + (f" The job as it was is kept as {kept}." if kept else ""))


def _progress(said: str) -> None:
    sys.stderr.write(f"\r{said:<70.70}")
    sys.stderr.flush()


@app.command(short_help="Show a clause, or list them all.")
def cite(
    clause: Annotated[
        str | None,
        typer.Argument(
            metavar="CLAUSE", help="A clause, such as sliding.clear-opening; none lists all."
        ),
    ] = None,
    *,
    books: Books = None,
) -> None:
    """Show a clause: what it asks, why, by whose word, with worked examples."""
    from .books import load_rules
    from .report.page import clause_list, clause_page

    rules = load_rules(books=tuple(books or ()))
    if clause is None:
        put(clause_list(rules.library, look()))
        return
    if clause not in rules.library.clauses:
        _no_such("clause", clause, rules.library.clauses, "`paneproof cite` lists them all.")
    put(clause_page(clause, rules.library, rules.codes, look()))


@app.command(short_help="Run the proofs of all books.")
def prove(
    books: Annotated[
        list[Path] | None,
        typer.Argument(metavar="BOOKS...", help="Further books, files or folders."),
    ] = None,
) -> None:
    """Run the proofs of all books, and report changes to a clause that no proof notices."""
    from .books import load_rules
    from .proving import prove_rules

    rules = load_rules(books=tuple(books or ()))
    tried, wrong = 0, 0
    shown, watched = look(), sys.stderr.isatty()
    for proved in prove_rules(rules):
        tried += 1
        if watched and tried % 50 == 0:
            sys.stderr.write(f"\r{tried:,} tried")
        if proved.wrong:
            wrong += 1
            put(_wrong(proved, shown))
    if watched:
        sys.stderr.write("\r" + " " * 30 + "\r")
    said = f"{wrong:,} wrong." if wrong else "all are right."
    put(f"{tried:,} proofs, dropped facts and changes tried: {said}\n")
    raise typer.Exit(FOUND if wrong else FINE)


def _wrong(proved: "Proved", shown: "Look") -> str:
    said = f"{proved.place}: {proved.owner}, {proved.proof}: {proved.wrong}"
    return shown.clean(said) + "\n"


@app.command(short_help="Print the schema of a kind of file.")
def schema(
    kind: Annotated[str, typer.Argument(metavar="KIND", help="book, kit, job or code.")],
    *,
    books: Books = None,
) -> None:
    """Print the JSON Schema of a kind of file, for an editor."""
    _need("kind of file", kind, ("book", "kit", "job", "code"))
    from .books import load_rules
    from .report.data import as_json
    from .schemas import schema as schema_of

    put(as_json(schema_of(kind, load_rules(books=tuple(books or ())))))


def _need(what: str, given: str, known: Sequence[str]) -> None:
    if given not in known:
        _no_such(what, given, known, f"There are: {', '.join(known)}.")


def _no_such(what: str, given: str, known: Iterable[str], more: str) -> NoReturn:
    from ruleset.nearest import did_you_mean

    tell(f"There is no {what} '{given}'.{did_you_mean(given, known)} {more}")
    raise typer.Exit(BROKEN)


def _own_version() -> str:
    from importlib.metadata import PackageNotFoundError, version

    try:
        return version("paneproof")
    except PackageNotFoundError:  # run from a checkout that was never installed
        return "unknown"


def _stop(_signal: int, _frame: object) -> NoReturn:
    sys.exit(STOPPED)


if __name__ == "__main__":
    main()
