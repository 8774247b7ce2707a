"""The command for several jobs at once: one order list, one delivery, one cut list."""

from typing import Annotated

import typer

from ..terminal import is_watched, look, look_of_file, tell, watching
from .options import (
    BROKEN,
    FINE,
    FOUND,
    Books,
    Codes,
    Kits,
    Out,
    Today,
    app,
    day_asked,
    deliver,
    need,
    own_version,
)


@app.command(short_help="Put the orders of several jobs together.")
def gather(
    paths: Annotated[
        list[str], typer.Argument(metavar="PATH...", help="Jobs, sites, or folders of them.")
    ],
    *,
    output: Annotated[
        str, typer.Option("--format", metavar="FORM", help="text, json or csv.")
    ] = "text",
    code: Codes = None,
    books: Books = None,
    kits: Kits = None,
    today: Today = None,
    units: Annotated[
        str,
        typer.Option(metavar="UNITS", help="in or mm; those of the first job where left out."),
    ] = "",
    out: Out = None,
) -> None:
    """Make one order list, one delivery and one cut list, nested over the shop's offcuts.

    A job that is not ready to order is left out, and named first.
    """
    need("format", output, ("text", "json", "csv"))
    if units:
        need("unit", units, ("in", "mm"))
    from .. import gather as gathered
    from .. import load_rules, several_csv, several_json, several_text

    rules = load_rules(books=tuple(books or ()), proofs=False)
    with watching() as watch:
        found = gathered(
            paths,
            rules,
            codes=tuple(code or ()),
            kits=tuple(kits or ()),
            today=day_asked(today),
            units=units,
            progress=watch,
        )
    for sentence in found.broken:
        tell(sentence)
    lists = found.together
    if output == "text":
        shown = look() if out is None and is_watched() else look_of_file()
        deliver(several_text(lists, shown), out)
    else:
        deliver(several_csv(lists) if output == "csv" else several_json(lists, own_version()), out)
    if found.broken:
        raise typer.Exit(BROKEN)
    raise typer.Exit(FOUND if lists.held_back else FINE)
