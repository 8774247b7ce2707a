"""The command for many past jobs: audit."""

import tempfile
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ..terminal import look, look_of_file, put, tell, watching
from .options import (
    BROKEN,
    Books,
    Codes,
    Kits,
    NoTolerance,
    Release,
    Today,
    app,
    day_asked,
    need,
    no_such,
    own_version,
)

if TYPE_CHECKING:
    from ..audit.answers import Tally
    from ..audit.baseline import Before
    from ..audit.kept import Kept
    from ..audit.row import Row

FORMS = ("text", "csv", "jsonl", "sarif")
KEPT = ".kept.jsonl"


@app.command(short_help="Judge every past job against the rules, and tell what breaks.")
def audit(
    paths: Annotated[
        list[str],
        typer.Argument(
            metavar="PATH...", help="Folders of jobs, jobs, sites, or .jsonl files, a job a line."
        ),
    ],
    *,
    output: Annotated[
        str, typer.Option("--format", metavar="FORM", help="text, csv, jsonl or sarif.")
    ] = "text",
    out: Annotated[
        Path | None,
        typer.Option(
            "--out",
            metavar="FILE",
            help="Write the answer to this file; what was read is kept beside it, as "
            f"FILE{KEPT}, so that a second audit reads only what changed.",
        ),
    ] = None,
    keep: Annotated[
        Path | None,
        typer.Option("--keep", metavar="FILE", help="Keep what was read in this file instead."),
    ] = None,
    only: Annotated[str, typer.Option(metavar="CLAUSE", help="Tell of one clause alone.")] = "",
    where: Annotated[
        str,
        typer.Option(
            metavar="FORMULA",
            help="Only jobs of which it is so, such as \"kit == 'x'\"; also facts and workings.",
        ),
    ] = "",
    baseline: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE", help="Tell only what is new since: the file an earlier audit kept."
        ),
    ] = None,
    workers: Annotated[
        int,
        typer.Option(metavar="N", min=0, help="Processes that judge; 0 for one a processor."),
    ] = 0,
    release: Release = "order",
    code: Codes = None,
    books: Books = None,
    kits: Kits = None,
    today: Today = None,
    no_tolerance: NoTolerance = False,
) -> None:
    """Judge every past job against the rules of today, lose none, and tell what breaks."""
    from ruleset.book import STAGES

    need("stage", release, STAGES)
    need("format", output, FORMS)
    from ..audit.question import Question
    from ..audit.run import audit as run
    from ..audit.where import Where

    question = Question(
        stage=release,
        today=day_asked(today),
        codes=tuple(code or ()),
        kits=tuple(kits or ()),
        books=tuple(books or ()),
        tolerance=not no_tolerance,
        where=where,
    )
    rules = question.rules()
    if where:
        Where(where, rules)
    if only and only not in rules.library.clauses:
        no_such("clause", only, rules.library.clauses, "`paneproof cite` names all of them.")
    with _kept(keep, out) as kept, _before(baseline) as before:
        with watching() as watch:
            run(paths, question, kept, version=own_version(), workers=workers, watch=watch)
        told = _told(kept, before)
        tally = _tally(told(), only)
        texts = _texts(told, tally, output, release, only, to_file=out is not None)
        _deliver(texts, out)
    for verdict, many in tally.counted():
        if out is not None:
            tell(f"{many:,} {verdict}")
    raise typer.Exit(tally.code if tally.jobs else _none())


def _none() -> int:
    tell("There is no job at these paths.")
    return BROKEN


@contextmanager
def _kept(keep: Path | None, out: Path | None) -> "Iterator[Kept]":
    """Give the file of what is kept; where none is asked for, one that is gone afterwards."""
    from ..audit.kept import Kept

    path = keep or (None if out is None else out.with_name(out.name + KEPT))
    if path is not None:
        if out is not None and out.exists() and not path.exists():
            tell(f"{out}: There is such a file already, and no audit kept anything beside it.")
            raise typer.Exit(BROKEN)
        with Kept(path) as kept:
            yield kept
        return
    with tempfile.TemporaryDirectory() as folder, Kept(Path(folder) / "kept.jsonl") as kept:
        yield kept


@contextmanager
def _before(baseline: Path | None) -> "Iterator[Before | None]":
    """Give what an earlier audit kept, by job."""
    from ..audit.baseline import Before

    yield None if baseline is None else Before(baseline)


def _told(kept: "Kept", before: "Before | None") -> "Callable[[], Iterator[Row | None]]":
    """Return what gives all rows from the first, None for what was passed over."""

    def rows() -> "Iterator[Row | None]":
        for _, row in kept.rows():
            yield row if row is None or before is None else before.new_in(row)

    return rows


def _tally(rows: "Iterable[Row | None]", only: str) -> "Tally":
    from ..audit.answers import Tally

    tally = Tally(only=only)
    for row in rows:
        if row is None:
            tally.passed += 1
        else:
            tally.add(row)
    return tally


def _texts(
    told: "Callable[[], Iterator[Row | None]]",
    tally: "Tally",
    output: str,
    stage: str,
    only: str,
    *,
    to_file: bool,
) -> Iterator[str]:
    """Yield the answer piece by piece."""
    from ..audit.row import as_text, data_of
    from ..audit.sarif import sarif_pieces
    from ..audit.table_csv import csv_lines
    from ..audit.text import is_told, job_line, lines_head, table_text

    rows = (row for row in told() if row is not None and is_told(row, only))
    if output == "csv":
        yield from csv_lines(rows, only)
    elif output == "jsonl":
        yield from (as_text(data_of(row)) + "\n" for row in rows)
    elif output == "sarif":
        yield from sarif_pieces(rows, tally, own_version(), only)
    else:
        from ..report.brief import caution_lines

        shown = look_of_file() if to_file else look()
        yield table_text(tally, shown)
        yield lines_head(stage, shown) + "\n"
        yield from (job_line(row, shown) + "\n" for row in rows)
        yield "\n" + "\n".join(caution_lines(shown)).strip("\n") + "\n"


def _deliver(texts: Iterable[str], out: Path | None) -> None:
    from ..saving import save_pieces

    if out is None:
        for text in texts:
            put(text)
    else:
        save_pieces(out, (text.encode("utf-8", "backslashreplace") for text in texts))
