"""The commands for the shop and the site: take-off, drawing, and printable sheet."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ..terminal import is_watched, look, look_of_file, tell, watching
from .options import (
    BROKEN,
    PAGES,
    Books,
    Codes,
    JobFile,
    Kits,
    Out,
    Today,
    app,
    bytes_of_job,
    day_asked,
    deliver,
    need,
    own_version,
    read_job,
)

if TYPE_CHECKING:
    from .. import Review, SettingOut, Takeoff, Verdict
    from ..report.layout import Look


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
    today: Today = None,
    units: Annotated[
        str,
        typer.Option(metavar="UNITS", help="in or mm, in place of the job's: for a furnace."),
    ] = "",
    out: Out = None,
) -> None:
    """Print the take-off: panes, bar and cut list; then setting-out, order of work, hold points."""
    need("format", output, ("text", "json", "csv"))
    if units:
        need("unit", units, ("in", "mm"))
    from .. import setting_out, style_in
    from .. import takeoff as take_off

    verdict, found = _reviewed_whole(file, books, kits, code, day_asked(today))
    if units and units != verdict.job.style.units:
        verdict = replace(verdict, job=replace(verdict.job, style=style_in(units)))
    taken = take_off(verdict, review=found)
    if output == "csv":
        from ..report import takeoff_csv

        deliver(takeoff_csv.write(taken), out)
    else:
        shown = look() if out is None and is_watched() else look_of_file()
        made = _as_data if output == "json" else partial(_as_text, shown=shown)
        deliver(made(taken, setting_out(verdict)), out)
    _end(verdict.job.file, verdict.broken)


def _as_data(taken: "Takeoff", lines: "SettingOut") -> str:
    from ..report import takeoff_data
    from ..report.data import as_json

    version = own_version()
    data = takeoff_data.takeoff_data(taken, version)
    data["setting_out"] = takeoff_data.setting_out_data(lines, version)
    return as_json(data)


def _as_text(taken: "Takeoff", lines: "SettingOut", *, shown: "Look") -> str:
    from ..report import settingout_text, takeoff_text

    texts = (takeoff_text.write(taken, look=shown), settingout_text.write(lines, look=shown))
    return "\n\n".join(text.strip("\n") for text in texts) + "\n"


def _end(file: str, broken: Sequence[str]) -> None:
    """Tell what failed on a job; its papers are written, but the call is not fine."""
    for sentence in broken:
        tell(f"{file}: {sentence}")
    if broken:
        raise typer.Exit(BROKEN)


@app.command(short_help="Draw the job, or one of its panes, to scale.")
def draw(
    file: JobFile,
    *,
    pane: Annotated[
        str | None,
        typer.Option(metavar="PART", help="One pane as it is cut, by its name."),
    ] = None,
    seen: Annotated[
        str, typer.Option(metavar="SIDE", help="Of a pane: outside or inside.")
    ] = "outside",
    paper: Annotated[str, typer.Option(metavar="PAPER", help="letter or a4.")] = "letter",
    output: Annotated[
        str,
        typer.Option("--format", metavar="FORM", help="svg, png or pdf; a pane also dxf."),
    ] = "svg",
    code: Codes = None,
    books: Books = None,
    kits: Kits = None,
    today: Today = None,
    out: Out = None,
) -> None:
    """Draw the elevation and the plan to scale, with each finding's number at its place.

    With --pane one pane as it is cut: holes and notches measured from two edges. As DXF it has true
    size in millimetres, on the layers OUTLINE, HOLES, CUTOUTS and NOTES.
    """
    need("paper", paper, PAGES)
    need("side to see a pane from", seen, ("outside", "inside"))
    need("format", output, ("svg", "png", "pdf") if pane is None else ("svg", "png", "pdf", "dxf"))
    if out is None and output in ("png", "pdf"):
        what = "picture" if output == "png" else "PDF"
        tell(f"A {what} is no text for a terminal; name a file with --out.")
        raise typer.Exit(BROKEN)
    from .. import PaneError, PictureError, pdf, png
    from ..saving import save_new

    verdict, found = _reviewed_whole(file, books, kits, code, day_asked(today))
    try:
        text = _drawn(verdict, found, pane=pane, seen=seen, paper=paper, output=output)
        if out is None or output in ("svg", "dxf"):
            deliver(text, out)
        else:
            save_new(out, (png if output == "png" else pdf)(text))
    except (PictureError, PaneError) as error:
        tell(str(error))
        raise typer.Exit(BROKEN) from None
    _end(found.file, found.broken)


def _drawn(
    verdict: "Verdict", found: "Review", *, pane: str | None, seen: str, paper: str, output: str
) -> str:
    """Return a drawing as text: SVG, or DXF where that is asked for."""
    from .. import draw as drawn
    from .. import draw_pane_page, notes_of, pane_dxf, shape_of

    if pane is None:
        return drawn(verdict, found, paper=paper)
    shape = shape_of(verdict, pane, seen=seen)
    if output == "dxf":
        return pane_dxf(shape, notes_of(verdict, found, shape))
    return draw_pane_page(verdict, found, shape, paper=paper)


@app.command(short_help="Make the job's printable sheet.")
def sheet(
    file: JobFile,
    *,
    paper: Annotated[str, typer.Option(metavar="PAPER", help="letter or a4.")] = "letter",
    reader: Annotated[
        str,
        typer.Option(
            "--for",
            metavar="READER",
            help="office (all of it), client, glass, site, or survey: boxes for what is not read.",
        ),
    ] = "office",
    output: Annotated[str, typer.Option("--format", metavar="FORM", help="html or pdf.")] = "html",
    code: Codes = None,
    books: Books = None,
    kits: Kits = None,
    today: Today = None,
    out: Out = None,
) -> None:
    """Make one file to print: release, drawing, findings, take-off, setting-out, hold points."""
    need("paper", paper, PAGES)
    need("format", output, ("html", "pdf"))
    from .. import PaneError, PdfError, sheet_html, sheet_pdf
    from ..job_sheet import READERS, digest_of
    from ..saving import save_new

    need("reader", reader, READERS)

    if output == "pdf" and out is None:
        tell("A PDF is no text for a terminal; name a file with --out.")
        raise typer.Exit(BROKEN)
    data = bytes_of_job(file)
    cured, day = reader == "office", day_asked(today)
    verdict, found = _reviewed_whole(file, books, kits, code, day, data=data, cured=cured)
    try:
        html = sheet_html(verdict, found, paper=paper, reader=reader, digest=digest_of(data))
    except PaneError as error:
        tell(str(error))
        raise typer.Exit(BROKEN) from None
    if output == "html" or out is None:
        deliver(html, out)
    else:
        try:
            save_new(out, sheet_pdf(html))
        except PdfError as error:
            tell(str(error))
            raise typer.Exit(BROKEN) from None
    _end(found.file, found.broken)


def _reviewed_whole(
    file: str,
    books: Sequence[Path] | None,
    kits: Sequence[Path] | None,
    code: Sequence[str] | None,
    day: dt.date,
    *,
    data: bytes | None = None,
    cured: bool = False,
) -> "tuple[Verdict, Review]":
    """Return the verdict of a job on a day, and its review for order."""
    from .. import judge, load_rules, on_day, review_verdict
    from ..release import may_be_cured

    rules = load_rules(books=tuple(books or ()), proofs=False)
    job = on_day(read_job(file, rules, tuple(kits or ()), data), day)
    verdict = judge(job, rules, codes=tuple(code or ()))
    found = review_verdict(verdict, rules)
    if cured and not found.broken and may_be_cured(found):
        from .. import remedies, with_remedies
        from ..remedy.find import QUICK

        with watching() as watch:
            cures = remedies(
                job, rules, codes=tuple(code or ()), reviewed=found, most=QUICK, progress=watch
            )
        found = with_remedies(found, cures, job)
    return verdict, found
