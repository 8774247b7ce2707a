"""The command that finds whole designs for a survey."""

from pathlib import Path
from typing import Annotated

import typer

from ..terminal import look, put, tell, watching
from .options import BROKEN, FINE, FOUND, Books, Kits, Today, app, day_asked, need, own_version


@app.command(short_help="Find whole designs for a survey.")
def propose(
    file: Annotated[
        Path, typer.Argument(metavar="SURVEY", help="A job without a design, with its `wishes:`.")
    ],
    *,
    output: Annotated[str, typer.Option("--format", metavar="FORM", help="text or json.")] = "text",
    books: Books = None,
    kits: Kits = None,
    today: Today = None,
    number: Annotated[
        int, typer.Option("--number", metavar="N", min=1, help="Which one --write writes.")
    ] = 1,
    write: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE", help="Save a design as a job; the file must not be there yet."
        ),
    ] = None,
) -> None:
    """Find, for each arrangement and kit, a design that holds, or prove that there is none.

    The shop's usual design is moved as little as makes every rule hold; the best comes first.
    """
    need("format", output, ("text", "json"))
    from .. import load_rules, propose_json, propose_text, read_survey
    from .. import propose as found_for
    from ..saving import save_new

    day = day_asked(today)
    rules = load_rules(books=tuple(books or ()), proofs=False)
    survey = read_survey(file)
    with watching() as watch:
        found = found_for(survey, rules, kits=tuple(kits or ()), today=day, progress=watch)
    put(propose_json(found, own_version()) if output == "json" else propose_text(found, look()))
    whole = [one for one in found.found if one.holds]
    if write is not None:
        if number > len(whole):
            tell(f"There is no design {number} to save; {len(whole)} hold.")
            raise typer.Exit(BROKEN)
        save_new(write, whole[number - 1].text.encode())
        tell(f"Saved as {write}.")
    raise typer.Exit(FINE if whole else FOUND)
