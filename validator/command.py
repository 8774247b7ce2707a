"""The command line: reads, calls, prints and exits."""

import os
import signal
import sys
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from ruleset.errors import RulesetError

if TYPE_CHECKING:
    from ruleset.prove import Proved

    from .books import Rules
    from .finding import Review
    from .report.layout import Look
    from .report.summary import Row

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
        _tell(str(error))
    except OSError as error:
        _tell(_os_words(error))
    except Exception as error:
        if sys.flags.dev_mode:
            raise
        _tell(
            f"paneproof itself failed: {type(error).__name__}: {error}. Nothing was decided. "
            "Please report it, with what `python -X dev -m validator.command` prints."
        )
    sys.exit(BROKEN)


def _version(wanted: bool) -> None:  # noqa: FBT001  # typer passes the option's value
    if wanted:
        _print(f"paneproof {_own_version()}\n")
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
def review(  # noqa: PLR0913  # the options are the interface
    files: Annotated[
        list[str], typer.Argument(metavar="FILE...", help="Jobs; - reads standard input.")
    ],
    *,
    output: Annotated[str, typer.Option("--format", metavar="FORM", help="text or json.")] = "text",
    release: Annotated[
        str,
        typer.Option(
            metavar="STAGE",
            help="Ready for what: survey, design, order, fabricate, install or handover.",
        ),
    ] = "order",
    code: Annotated[
        list[str] | None,
        typer.Option(
            metavar="NAME", help="A code set in place of those the job names; may be given again."
        ),
    ] = None,
    books: Books = None,
    kits: Annotated[
        list[Path] | None,
        typer.Option(metavar="DIR", help="A folder of further kits; may be given again."),
    ] = None,
    every: Annotated[
        bool, typer.Option("--all", help="Tell also what holds and what does not apply.")
    ] = False,
    no_tolerance: Annotated[
        bool,
        typer.Option("--no-tolerance", help="Leave out what holds at size but not within tolerance."),
    ] = False,
) -> None:
    """Review jobs: what must change, what to look at, what is still to measure."""
    from ruleset.book import STAGES  # noqa: PLC0415

    _need("stage", release, STAGES)
    _need("format", output, ("text", "json"))
    from .books import load_rules  # noqa: PLC0415

    rules = load_rules(books=tuple(books or ()), proofs=False)
    asked = _Asked(
        stage=release,
        codes=tuple(code or ()),
        kits=tuple(kits or ()),
        every=every,
        tolerance=not no_tolerance,
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


def _row(file: str, rules: "Rules", asked: _Asked) -> "Row":
    from .job import load_job, load_job_text  # noqa: PLC0415
    from .report.summary import Row  # noqa: PLC0415
    from .review import review as review_job  # noqa: PLC0415

    try:
        if file == "-":
            text = sys.stdin.buffer.read(_MOST_BYTES) if sys.stdin else b""
            job = load_job_text(text, STANDARD_INPUT, rules, beside=Path(), folders=asked.kits)
        else:
            job = load_job(Path(file), rules, folders=asked.kits)
        found = review_job(
            job,
            rules,
            stage=asked.stage,
            codes=asked.codes,
            every=asked.every,
            tolerance=asked.tolerance,
        )
    except RulesetError as error:
        _tell(str(error))
        return Row(file=STANDARD_INPUT if file == "-" else file, review=None)
    for sentence in found.broken:
        _tell(f"{found.file}: {sentence}")
    return Row(file=found.file, review=found)


_MOST_BYTES = 10_000_000  # more than any reader of ours takes; it then says so itself


def _exit_code(rows: Sequence["Row"]) -> int:
    return max(BROKEN if row.review is None else row.review.exit_code for row in rows)


def _print_data(rows: Sequence["Row"]) -> None:
    from .report.data import as_json, review_data, reviews_data  # noqa: PLC0415

    version, reviews = _own_version(), _reviewed(rows)
    if len(rows) > 1:
        _print(as_json(reviews_data(reviews, version)))
    elif reviews:
        _print(as_json(review_data(reviews[0], version)))


def _print_text(rows: Sequence["Row"], stage: str, *, every: bool) -> None:
    from .report.summary import summary_text  # noqa: PLC0415
    from .report.text import cautions_lines, review_text  # noqa: PLC0415

    look, reviews = _look(), _reviewed(rows)
    one = len(rows) == 1
    texts = [review_text(found, look, every=every, cautions=one) for found in reviews]
    if not one:
        texts.append(summary_text(rows, stage, look))
        texts.append("\n".join(cautions_lines((c for r in reviews for c in r.cautions), look)))
    kept = [text.strip("\n") for text in texts if text]
    if kept:
        _print("\n\n".join(kept) + "\n")


def _reviewed(rows: Sequence["Row"]) -> list["Review"]:
    return [row.review for row in rows if row.review is not None]


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
    from .books import load_rules  # noqa: PLC0415
    from .report.page import clause_list, clause_page  # noqa: PLC0415

    rules = load_rules(books=tuple(books or ()))
    if clause is None:
        _print(clause_list(rules.library, _look()))
        return
    if clause not in rules.library.clauses:
        _no_such("clause", clause, rules.library.clauses, "`paneproof cite` lists them all.")
    _print(clause_page(clause, rules.library, rules.codes, _look()))


@app.command(short_help="Run the proofs of all books.")
def prove(
    books: Annotated[
        list[Path] | None,
        typer.Argument(metavar="BOOKS...", help="Further books, files or folders."),
    ] = None,
) -> None:
    """Run the proofs of all books, and report changes to a clause that no proof notices."""
    from .books import load_rules  # noqa: PLC0415
    from .proving import prove_rules  # noqa: PLC0415

    rules = load_rules(books=tuple(books or ()))
    tried, wrong = 0, 0
    look, watched = _look(), sys.stderr.isatty()
    for proved in prove_rules(rules):
        tried += 1
        if watched and tried % 50 == 0:
            sys.stderr.write(f"\r{tried:,} tried")
        if proved.wrong:
            wrong += 1
            _print(_wrong(proved, look))
    if watched:
        sys.stderr.write("\r" + " " * 30 + "\r")
    said = f"{wrong:,} wrong." if wrong else "all are right."
    _print(f"{tried:,} proofs, dropped facts and changes tried: {said}\n")
    raise typer.Exit(FOUND if wrong else FINE)


def _wrong(proved: "Proved", look: "Look") -> str:
    said = f"{proved.place}: {proved.owner}, {proved.proof}: {proved.wrong}"
    return look.clean(said) + "\n"


@app.command(short_help="Print the schema of a kind of file.")
def schema(
    kind: Annotated[str, typer.Argument(metavar="KIND", help="book, kit, job or code.")],
    *,
    books: Books = None,
) -> None:
    """Print the JSON Schema of a kind of file, for an editor."""
    _need("kind of file", kind, ("book", "kit", "job", "code"))
    from .books import load_rules  # noqa: PLC0415
    from .report.data import as_json  # noqa: PLC0415
    from .schemas import schema as schema_of  # noqa: PLC0415

    _print(as_json(schema_of(kind, load_rules(books=tuple(books or ())))))


def _need(what: str, given: str, known: Sequence[str]) -> None:
    if given not in known:
        _no_such(what, given, known, f"There are: {', '.join(known)}.")


def _no_such(what: str, given: str, known: Iterable[str], more: str) -> NoReturn:
    from ruleset.nearest import did_you_mean  # noqa: PLC0415

    _tell(f"There is no {what} '{given}'.{did_you_mean(given, known)} {more}")
    raise typer.Exit(BROKEN)


def _own_version() -> str:
    from importlib.metadata import PackageNotFoundError, version  # noqa: PLC0415

    try:
        return version("paneproof")
    except PackageNotFoundError:  # run from a checkout that was never installed
        return "unknown"


def _look() -> "Look":
    from .report.layout import look_for  # noqa: PLC0415

    out = sys.stdout
    terminal = out is not None and out.isatty()
    try:
        columns = os.get_terminal_size(out.fileno()).columns if terminal else 0
    except OSError:
        columns = 0
    encoding = None if out is None else out.encoding
    return look_for(os.environ, terminal=terminal, columns=columns, encoding=encoding)


def _print(text: str) -> None:
    """Write findings to standard output; a reader that has gone away is no fault of ours."""
    if sys.stdout is None:
        return
    try:
        sys.stdout.write(text)
        sys.stdout.flush()
    except OSError as error:
        # Python flushes once more as it exits, and would complain then.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        if not isinstance(error, BrokenPipeError):
            raise OSError(error.errno, error.strerror, "standard output") from None


def _tell(text: str) -> None:
    """Write what is no finding to standard error, a line for each of the text's."""
    from .report.layout import visible  # noqa: PLC0415

    if sys.stderr is not None:
        for line in text.split("\n"):
            print(visible(line), file=sys.stderr)  # noqa: T201  # this is the command line


def _os_words(error: OSError) -> str:
    reason = error.strerror or str(error)
    return f"{error.filename}: {reason}." if error.filename else f"{reason}."


def _stop(_signal: int, _frame: object) -> NoReturn:
    sys.exit(STOPPED)


if __name__ == "__main__":
    main()
