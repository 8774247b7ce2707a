"""The commands for the books: cite, prove, and schema."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ..terminal import look, put, tell, watching
from .options import BROKEN, FINE, FOUND, Books, app, need, no_such

if TYPE_CHECKING:
    from ruleset.prove import Proved

    from ..report.layout import Look


@app.command(short_help="Show a clause, or list them all.")
def cite(
    clause: Annotated[
        str | None,
        typer.Argument(
            metavar="CLAUSE",
            help="A clause, such as sliding.clear-opening; none lists all.",
        ),
    ] = None,
    *,
    arrangement: Annotated[
        str, typer.Option(metavar="NAME", help="Only what this arrangement asks.")
    ] = "",
    job: Annotated[
        str,
        typer.Option(
            metavar="FILE",
            help="A job, whose shop's code sets and policies are told, too; without it those of "
            "this folder.",
        ),
    ] = "",
    books: Books = None,
) -> None:
    """Show a clause: what it asks, of which parts, why, by whose word, with worked examples."""
    from ruleset.hands import asked as asked_by

    from .. import clause_list, clause_page, load_rules
    from ..job import layers_near
    from ..report.page import CHECKS, check_list, check_page

    rules = load_rules(books=tuple(books or ()))
    known = {one.name: one for one in rules.arrangements()}
    if arrangement:
        need("arrangement", arrangement, sorted(known))
        known = {arrangement: known[arrangement]}
    asked = {name: asked_by(rules.bound(one)) for name, one in known.items()}
    if clause is None:
        put(clause_list(rules.library, asked, look(), every=not arrangement) + check_list(look()))
        return
    if clause in CHECKS:
        put(check_page(clause, look()))
        return
    if clause not in rules.library.clauses:
        every = (*rules.library.clauses, *CHECKS)
        no_such("clause", clause, every, "`paneproof cite` lists them all.")
    codes = {**rules.codes, **layers_near(Path(job).parent)}
    put(clause_page(clause, rules.library, codes, asked, look()))


@app.command(short_help="Run the proofs of all books.")
def prove(
    books: Annotated[
        list[Path] | None,
        typer.Argument(metavar="BOOKS...", help="Further books, files or folders."),
    ] = None,
    *,
    arrangement: Annotated[
        str, typer.Option(metavar="NAME", help="Only what jobs of this arrangement are asked.")
    ] = "",
) -> None:
    """Run the proofs of all books, and report changes to a clause that no proof notices."""
    from .. import load_rules, prove_arrangement, prove_rules

    rules = load_rules(books=tuple(books or ()))
    results = prove_rules(rules)
    if arrangement:
        known = {one.name: one for one in rules.arrangements()}
        need("arrangement", arrangement, sorted(known))
        results = prove_arrangement(rules, known[arrangement])
    tried, wrong = 0, 0
    shown = look()
    with watching() as watch:
        for proved in results:
            tried += 1
            watch(f"{tried:,} tried: {proved.owner}")
            if proved.wrong:
                wrong += 1
                watch.clear()
                put(_wrong(proved, shown))
    said = f"{wrong:,} wrong." if wrong else "all are right."
    put(f"{tried:,} proofs, dropped facts and changes tried: {said}\n")
    raise typer.Exit(FOUND if wrong else FINE)


def _wrong(proved: "Proved", shown: "Look") -> str:
    said = f"{proved.place}: {proved.owner}, {proved.proof}: {proved.wrong}"
    return shown.clean(said) + "\n"


@app.command(short_help="Print the schema of a kind of file.")
def schema(
    kind: Annotated[
        str,
        typer.Argument(
            metavar="KIND",
            help="book, arrangement, kit, job, code or stock; of what is printed as JSON review, "
            "takeoff, remedy or since.",
        ),
    ],
    *,
    arrangement: Annotated[
        str, typer.Option(metavar="NAME", help="The arrangement of a job, as its file says it.")
    ] = "",
    books: Books = None,
) -> None:
    """Print the JSON Schema of a kind of file, for an editor."""
    from .. import load_rules, output_schema
    from .. import schema as schema_of
    from ..report.data import as_json
    from ..report.output_schemas import OUTPUTS
    from ..schemas import KINDS

    need("kind of file", kind, (*KINDS, *OUTPUTS))
    if kind in OUTPUTS:
        put(as_json(output_schema(kind)))
        return
    rules = load_rules(books=tuple(books or ()))
    known = sorted({one.name for one in rules.arrangements()}) if kind == "job" else []
    if arrangement:
        need("arrangement", arrangement, known)
    elif len(known) > 1:
        tell(f"A job is of one arrangement; name it with --arrangement: {', '.join(known)}.")
        raise typer.Exit(BROKEN)
    put(as_json(schema_of(kind, rules, arrangement)))
