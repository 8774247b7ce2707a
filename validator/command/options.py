"""What the commands share: the program, its options, and how a job is read and a text handed on."""

import datetime as dt
import sys
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NoReturn

import typer

from ruleset.patterns import DAY

from ..terminal import put_file, tell

if TYPE_CHECKING:
    from ruleset.node import Node

    from .. import Job, Kit, Rules

# Whatever a command does not need is imported inside it: starting up is most of a short run.

FINE, FOUND, BROKEN, STOPPED = 0, 1, 2, 130
STANDARD_INPUT = "standard input"
PAGES = ("letter", "a4")
MOST_BYTES = 10_000_000  # more than any reader of ours takes; it then says so itself

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
NoTolerance = Annotated[
    bool,
    typer.Option("--no-tolerance", help="Leave tolerances out: sizes as they are written."),
]
Release = Annotated[
    str,
    typer.Option(
        metavar="STAGE",
        help="Ready for what: survey, design, order, fabricate, install or handover.",
    ),
]
Today = Annotated[
    str | None,
    typer.Option(
        "--today",
        metavar="DATE",
        help="The day that readings and waivers are held against, such as 2026-03-02; by the clock "
        "where it is left out.",
    ),
]
JobFile = Annotated[str, typer.Argument(metavar="FILE", help="A job; - reads standard input.")]
Out = Annotated[
    Path | None,
    typer.Option("--out", metavar="FILE", help="Write to this file; it must not be there yet."),
]


def bytes_of_job(file: str) -> bytes:
    """Return what the file of a job holds, or standard input.

    Raises:
        ReadError: The file cannot be read.
    """
    from ruleset.reader import bytes_of

    from ..site import parted

    if file != "-":
        return bytes_of(Path(parted(file)[0]))
    return sys.stdin.buffer.read(MOST_BYTES) if sys.stdin else b""


def read_job(file: str, rules: "Rules", kits: Sequence[Path], data: bytes | None = None) -> "Job":
    """Return the job of a file, or of standard input.

    Args:
        file: Its name; - for standard input.
        rules: The rules.
        kits: Further folders of kits.
        data: What it holds, where that was read before.

    Raises:
        RulesetError: The job, its kit or a code set beside it cannot be used.
    """
    from ruleset.reader import read_text

    from ..site import parted

    text = bytes_of_job(file) if data is None else data
    if file == "-":
        node = read_text(text, STANDARD_INPUT)
        return _job_of(node, rules, kits)
    path = Path(parted(file)[0])
    return _job_of(read_text(text, path.as_posix()), rules, kits, file)


def _job_of(node: "Node", rules: "Rules", kits: Sequence[Path], file: str = "") -> "Job":
    """Return the job that a file holds, or the one of a site that is meant."""
    from dataclasses import replace

    from ..job import read_job
    from ..site import one_of, parted

    path, number = parted(file)
    job = read_job(one_of(node, number), rules, beside=Path(path).parent, folders=kits)
    return replace(job, file=Path(file).as_posix()) if number else job


def day_asked(text: str | None) -> dt.date:
    """Return the day that was asked for, or else the clock's: the only place that reads one.

    Ends the run with a sentence where the text is no day.
    """
    if text is None:
        return dt.date.today()  # noqa: DTZ011  # the shop's own day
    try:
        if DAY.fits(text):
            return dt.date.fromisoformat(text)
        says = f"Write --today as a day such as 2027-03-31; here is '{text}'."
    except ValueError:
        says = f"--today is {text}, which is no day of the calendar."
    tell(says)
    raise typer.Exit(BROKEN)


def read_job_or_kit(file: str, rules: "Rules", kits: Sequence[Path]) -> "Job | Kit":
    """Return the job or the kit of a file, or of standard input.

    Raises:
        RulesetError: It cannot be used, or a job's kit or a code set beside it cannot.
    """
    from ruleset.reader import read_file, read_text

    from ..kit import kit_of, read_kit
    from ..kitcheck import is_kit
    from ..site import parted

    if file == "-":
        text = sys.stdin.buffer.read(MOST_BYTES) if sys.stdin else b""
        node = read_text(text, STANDARD_INPUT)
        if is_kit(node):
            return read_kit(node, rules.library)
        return _job_of(node, rules, kits)
    path = Path(parted(file)[0])
    node = read_file(path)
    if is_kit(node):
        return kit_of(node, rules.library, path)
    return _job_of(node, rules, kits, file)


def deliver(text: str, out: Path | None) -> None:
    """Print a text as it would stand in a file, or write it whole to one that is not there yet."""
    from ..saving import save_new

    data = text.encode("utf-8", "backslashreplace")  # names of files may be no text
    if out is None:
        put_file(data)
    else:
        save_new(out, data)


def need(what: str, given: str, known: Sequence[str]) -> None:
    """End the run with a sentence where a word is none of those known."""
    if given not in known:
        no_such(what, given, known, f"There are: {', '.join(known)}.")


def no_such(what: str, given: str, known: Iterable[str], more: str) -> NoReturn:
    """End the run with a sentence about a name there is not, and the nearest there is."""
    from ruleset.nearest import did_you_mean

    tell(f"There is no {what} '{given}'.{did_you_mean(given, known)} {more}")
    raise typer.Exit(BROKEN)


def own_version() -> str:
    """Return the version that is installed."""
    from importlib.metadata import PackageNotFoundError, version

    try:
        return version("paneproof")
    except PackageNotFoundError:  # run from a checkout that was never installed
        return "unknown"
