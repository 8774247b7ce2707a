"""The command that begins a job or a kit: start."""

import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from ..terminal import put, tell
from .options import BROKEN, Books, Kits, app, need

if TYPE_CHECKING:
    from .. import Rules

OF_A_KIT = "kit"


@app.command(short_help="Begin a job, or a kit: a file to fill in.")
def start(
    file: Annotated[
        list[str],
        typer.Argument(metavar="[kit] FILE", help="The new file; with kit before it, of a kit."),
    ],
    *,
    arrangement: Annotated[
        str, typer.Option(metavar="NAME", help="What is built, as `paneproof cite` names it.")
    ] = "",
    units: Annotated[
        str, typer.Option(metavar="UNITS", help="in or mm: what a bare length is in.")
    ] = "",
    kit: Annotated[
        list[str] | None,
        typer.Option("--kit", metavar="ID", help="A kit of the job; may be given again."),
    ] = None,
    code: Annotated[
        str, typer.Option("--code", metavar="NAME", help="The code set that is adopted there.")
    ] = "",
    title: Annotated[str, typer.Option(metavar="TEXT", help="What it is, in a line.")] = "",
    books: Books = None,
    kits: Kits = None,
) -> None:
    """Begin a job: a file with every fact up to the order, blank, with what it is beside it.

    What is not given is asked for at a terminal. The schema that editors complete by is written
    beside the file.
    """
    from .. import load_rules

    of_kit = len(file) > 1 and file[0] == OF_A_KIT
    if len(file) != 1 + of_kit:
        tell("Name one new file: `paneproof start FILE`, or `paneproof start kit FILE`.")
        raise typer.Exit(BROKEN)
    path = Path(file[-1])
    rules = load_rules(books=tuple(books or ()), proofs=False)
    known = tuple(one.name for one in rules.arrangements())
    name = _one_of("arrangement", arrangement, known, "--arrangement")
    measured = _one_of("unit", units, ("in", "mm"), "--units")
    if of_kit:
        head = {"kit": path.stem, "title": title, "units": measured}
        _kit(path, rules, name, head)
        return
    if code:
        need("code set or policy", code, tuple(rules.codes))
    head = {
        "job": path.stem,
        "title": title,
        "arrangement": name,
        "units": measured,
        "kit": _kits(kit or (), path, tuple(kits or ())),
        "code": code,
    }
    _job(path, rules, head)


def _job(path: Path, rules: "Rules", head: Mapping[str, str]) -> None:
    from .. import blank_job, schema
    from ..arrangements import stem_of
    from ..blank import quoted_text

    (one,) = (one for one in rules.arrangements() if one.name == head["arrangement"])
    beside = path.with_name(f"{stem_of(one.name)}.schema.json")
    said = {**head, "job": quoted_text(head["job"])}
    said["title"] = quoted_text(head["title"]) if head["title"] else ""
    text = blank_job(rules.bound(one), said, beside.name)
    _written(path, text, beside, schema("job", rules, one.name))
    put(f"Fill it in from the top; `paneproof review {path}` tells what is still to measure.\n")


def _kit(path: Path, rules: "Rules", name: str, head: Mapping[str, str]) -> None:
    from ruleset.patterns import KIT_ID

    from .. import blank_kit, schema
    from ..blank import quoted_text

    if not KIT_ID.fits(path.stem):
        tell(
            f"The file of a kit has the kit's id as its name; here is '{path.stem}'. {KIT_ID.says}"
        )
        raise typer.Exit(BROKEN)
    (one,) = (one for one in rules.arrangements() if one.name == name)
    said = {**head, "title": quoted_text(head["title"]) if head["title"] else ""}
    beside = path.with_name("kit.schema.json")
    text = blank_kit(rules.bound(one), said, beside.name)
    _written(path, text, beside, schema("kit", rules))
    put(f"Fill it in from the maker's sheet, then run `paneproof review {path}`.\n")


def _written(path: Path, text: str, beside: Path, schema: Mapping[str, object]) -> None:
    """Write a first file, and the schema beside it anew where that is another."""
    from ruleset.reader import bytes_of

    from ..blank import schema_text
    from ..saving import save_new, save_over

    save_new(path, text.encode())
    data = schema_text(schema).encode()
    if not beside.exists():
        save_new(beside, data)
    elif bytes_of(beside) != data:
        save_over(beside, data)  # it is ours: it says what the books in force say
    put(f"Wrote {path}, and beside it {beside.name} for editors.\n")


def _kits(given: Sequence[str], path: Path, folders: Sequence[Path]) -> str:
    from ..blank import listed_kits
    from ..kit import around, kits_in

    known = kits_in((*(folder / "kits" for folder in around(path.parent)), *folders))
    for one in given:
        need("kit", one, known or ("none beside the job",))
    if given or not known:
        return listed_kits(given)
    if len(known) == 1:
        return known[0]
    return _one_of("kit", "", known, "--kit")


def _one_of(what: str, given: str, known: Sequence[str], option: str) -> str:
    """Return the word that was given, or that a person at the terminal chooses."""
    if given:
        need(what, given, known)
        return given
    if not (sys.stdin is not None and sys.stdin.isatty()):
        tell(f"Say which {what} with {option}: {', '.join(known)}.")
        raise typer.Exit(BROKEN)
    for at, one in enumerate(known, start=1):
        tell(f"{at:>3}  {one}")
    while True:
        said: str = typer.prompt(f"Which {what}? Its number or its name", err=True)
        said = said.strip()
        if said in known:
            return said
        if said.isascii() and said.isdecimal() and 0 < int(said) <= len(known):
            return known[int(said) - 1]
        tell(f"That is none of them; write a number from 1 to {len(known)}.")
