"""The command for files of the format before: convert."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ruleset.errors import RulesetError

from ..terminal import os_words, put, put_file, tell, tell_faults
from .options import BROKEN, FINE, MOST_BYTES, STANDARD_INPUT, app, need

if TYPE_CHECKING:
    from ..convert import Converted


@app.command(short_help="Turn files of the format before into this one.")
def convert(
    files: Annotated[
        list[str],
        typer.Argument(
            metavar="FILE...",
            help="Jobs, kits, code sets, policies or stock; - turns standard input into standard "
            "output.",
        ),
    ],
    *,
    hand: Annotated[
        str,
        typer.Option(metavar="HAND", help="The hand of jobs that do not give it."),
    ] = "",
    write_over: Annotated[
        bool,
        typer.Option(
            "--write-over",
            help="Write each file over, once it is kept as NAME.bak; else each new one stands "
            "beside it, as NAME.format2.yaml.",
        ),
    ] = False,
) -> None:
    """Turn files of the format before into this one; comments, order and layout are kept."""
    from ..renames import renames

    if hand:
        need("hand", hand, tuple(renames().sides))
    raise typer.Exit(max([_one(file, hand, write_over=write_over) for file in files]))


def _one(file: str, hand: str, *, write_over: bool) -> int:
    """Turn one file and tell so; return the exit code."""
    from ruleset.reader import bytes_of

    from ..convert import convert as converted

    try:
        if file == "-":
            raw = sys.stdin.buffer.read(MOST_BYTES) if sys.stdin else b""
            made = converted(raw, STANDARD_INPUT, hand=hand)
            put_file(raw if made.data is None else made.data)
        else:
            path = Path(file)
            raw = bytes_of(path)
            made = converted(raw, path.as_posix(), hand=hand)
            put(f"{path.as_posix()}: {_written(path, raw, made, write_over=write_over)}.\n")
    except RulesetError as error:
        tell_faults(error)
        return BROKEN
    except OSError as error:
        tell(os_words(error))
        return BROKEN
    for note in made.notes:
        tell(note)
    return FINE


def _written(path: Path, raw: bytes, made: "Converted", *, write_over: bool) -> str:
    """Write what a file became, and return what was done."""
    from ..saving import save_new, save_over_kept

    if made.data is None:
        return f"nothing to do; this {made.kind} is of format 2 already"
    if write_over:
        kept = save_over_kept(path, raw, made.data)
        return f"converted; as it was it is kept as {kept.as_posix()}"
    new = path.with_name(f"{path.stem}.format2{path.suffix}")
    save_new(new, made.data)
    return f"converted; the new {made.kind} is {new.as_posix()}"
