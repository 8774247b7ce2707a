"""The command for files of the format before: convert."""

from pathlib import Path
from typing import Annotated

import typer

from ruleset.errors import RulesetError

from ..terminal import os_words, put, tell, tell_faults
from .options import BROKEN, FINE, app, need


@app.command(short_help="Turn files of the format before into this one.")
def convert(
    files: Annotated[
        list[Path],
        typer.Argument(metavar="FILE...", help="Jobs, kits, code sets, policies or stock."),
    ],
    *,
    hand: Annotated[
        str,
        typer.Option(metavar="HAND", help="The hand of jobs that do not give it: left or right."),
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
    codes = [_one(file, hand, write_over=write_over) for file in files]
    raise typer.Exit(max(codes))


def _one(file: Path, hand: str, *, write_over: bool) -> int:
    from ruleset.reader import bytes_of

    from ..convert import convert as convert_text
    from ..saving import save_new, save_over_kept

    name = file.as_posix()
    try:
        raw = bytes_of(file)
        made = convert_text(raw, name, hand=hand)
        if made.data is None:
            put(f"{name}: nothing to do; this {made.kind} is of format 2 already.\n")
            return FINE
        if write_over:
            kept = save_over_kept(file, raw, made.data)
            said = f"converted; as it was it is kept as {kept.as_posix()}"
        else:
            new = file.with_name(f"{file.stem}.format2{file.suffix}")
            save_new(new, made.data)
            said = f"converted; the new {made.kind} is {new.as_posix()}"
    except RulesetError as error:
        tell_faults(error)
        return BROKEN
    except OSError as error:
        tell(os_words(error))
        return BROKEN
    put(f"{name}: {said}.\n")
    for note in made.notes:
        tell(note)
    return FINE
