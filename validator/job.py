"""One job as a shop writes it: survey, design, order, as-built readings and waivers."""

import datetime as dt
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import partial
from pathlib import Path

from ruleset.arrangement import Arrangement
from ruleset.errors import Fault, ShapeError
from ruleset.fields import Faults, Fields
from ruleset.kinds import KINDS
from ruleset.layers import FORMAT, Layer
from ruleset.library import Library
from ruleset.nearest import did_you_mean
from ruleset.node import Node, Rows, Text, node_at
from ruleset.patterns import DAY, ID, KIT_ID
from ruleset.place import Place
from ruleset.quantity import QuantityError, Style, read_quantity
from ruleset.quoted import quoted
from ruleset.reader import read_file, read_text
from ruleset.turns import HAND

from .arrangements import FOLDER, find_arrangement
from .books import Rules, read_layers
from .facts import Given, Taken, take
from .finding import Waiver
from .kit import Kit, around, check_folder, find_kit, joined, units_of
from .old_names import new_clause

SECTIONS = ("survey", "design", "order", "as_built")
GRIDS = {"in": "1/16 in", "mm": "1 mm"}
"""What lengths are rounded to where the job has no grid of its own: shop policy."""
MOST_GRID = 25.4  # mm


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """A job, its kit found and its values read.

    Attributes:
        name: The shop's number for it.
        title: What it is.
        file: Its file, as it was given.
        arrangement: What is built, as its file has it.
        style: Units and grid that values print in.
        codes: Code sets and policies it names, in order, with the place of each.
        near: Code sets and policies of the folders beside the job.
        kit: Its hardware.
        values: Every given fact, the kit's included.
        texts: Every given fact that is text.
        rows: Rows of each given list; None where it is said not to be known.
        tables: Where each table stands.
        waivers: Departures it states.
        place: Where it starts.
        around: Its folder and the one above, where what belongs to the shop is looked for.
        kit_folders: Where kits are looked for, in order.
    """

    name: str
    title: str
    file: str
    arrangement: Arrangement
    style: Style
    codes: tuple[tuple[str, Place], ...]
    near: Mapping[str, Layer]
    kit: Kit
    values: Mapping[str, Given]
    texts: Mapping[str, str]
    rows: Mapping[str, int | None]
    tables: Mapping[str, Place]
    waivers: tuple[Waiver, ...]
    place: Place
    around: tuple[Path, ...]
    kit_folders: tuple[Path, ...]


def load_job(path: Path, rules: Rules, *, folders: Sequence[Path] = ()) -> Job:
    """Return the job that a file holds.

    Args:
        path: A YAML or JSON file.
        rules: The rules, which tell what facts there are.
        folders: Folders of kits, looked in after kits/ beside the job and beside its folder.

    Raises:
        RulesetError: The file, its kit or a code set beside it cannot be used.
    """
    return read_job(read_file(path), rules, beside=path.parent, folders=folders)


def load_job_text(
    text: str | bytes, file: str, rules: Rules, *, beside: Path, folders: Sequence[Path] = ()
) -> Job:
    """Return the job that a text holds, as from standard input.

    Args:
        text: YAML or JSON.
        file: What to call it in places.
        rules: The rules.
        beside: The folder that kits/ and policies/ are looked for in.
        folders: Further folders of kits.

    Raises:
        RulesetError: The text, its kit or a code set cannot be used.
    """
    return read_job(read_text(text, file), rules, beside=beside, folders=folders)


def load_job_data(
    data: Mapping[str, object],
    rules: Rules,
    *,
    beside: Path,
    file: str = "data",
    folders: Sequence[Path] = (),
) -> Job:
    """Return the job that a mapping holds, as another program makes it.

    Args:
        data: What the file of a job would hold: texts, numbers, yes as True, lists and mappings.
        rules: The rules.
        beside: The folder that kits/ and policies/ are looked for in.
        file: What to call it in places; a place's pointer tells the field.
        folders: Further folders of kits.

    Raises:
        RulesetError: The data, its kit or a code set cannot be used.
        TypeError: It holds what JSON has no form for.
    """
    text = json.dumps(data, allow_nan=False)
    return load_job_text(text, file, rules, beside=beside, folders=folders)


def read_job(node: Node, rules: Rules, *, beside: Path, folders: Sequence[Path]) -> Job:
    """Return the job that a node holds.

    Raises:
        RulesetError: Fields are unknown or missing, or values cannot be read; all at once.
    """
    faults = Faults()
    fields = Fields(node, faults, "a job", blanks=True)
    _check_is_job(fields)
    _check_format(fields)
    name, title = fields.text("job", need=True), fields.text("title")
    near_by = around(beside)
    arrangement = _arrangement(fields, rules, near_by)
    library = rules.bound(arrangement)
    units = units_of(fields)
    style, grid = _style(fields, units)
    taken = Taken(units=units, style=style, hand=_hand(node, library))
    taken.values["job.grid"] = grid
    for section in SECTIONS:
        part = fields.node(section)
        if part is not None:
            take(library, section, part, taken)
    codes = _codes(fields, tuple(rules.codes))
    waivers = tuple(_waiver(row, library, faults) for row in fields.rows("waivers"))
    kit_names = _kit_names(fields)
    fields.text("notes")
    fields.done()
    for folder in folders:
        faults.catch(partial(check_folder, folder))
    kit_folders = (*(folder / "kits" for folder in near_by), *folders)
    kits = [
        (found, place)
        for name, place in kit_names
        if (found := faults.catch(partial(_kit, name, place, kit_folders, rules))) is not None
    ]
    whole = bool(kits) and len(kits) == len(kit_names)
    kit = faults.catch(lambda: joined(kits)) if whole else None
    near: Mapping[str, Layer] | None = {}
    if any(code not in rules.codes for code, _ in codes):
        near = faults.catch(lambda: layers_near(beside))
    if faults.found or taken.faults or kit is None:
        raise ShapeError(faults.found + taken.faults)
    return Job(
        name=name,
        title=title,
        file=fields.place.file,
        arrangement=arrangement,
        style=style,
        codes=codes,
        near=near or {},
        kit=kit,
        values={**kit.values, **taken.values},
        texts=taken.texts,
        rows={**kit.rows, **taken.rows},
        tables={**kit.tables, **taken.tables},
        waivers=waivers,
        place=fields.place,
        around=near_by,
        kit_folders=kit_folders,
    )


def layers_near(beside: Path) -> Mapping[str, Layer]:
    """Return the code sets and policies of a shop, from the folders beside its jobs.

    Args:
        beside: The folder of the jobs.

    Raises:
        BookError: They cannot be read, or two have one id; all faults at once.
    """
    folders = (folder / part for folder in around(beside) for part in ("codes", "policies"))
    return read_layers(folders)


OTHERS = {
    "book": "a book of rules; the rules in force have it, or it is given by --books",
    "amends": "a code set or a policy; a job names it under `code` or `policy`",
    "states": "a policy; a job names it under `policy`",
    "sheet": "a sheet, which says what take-off, drawing and the like have",
    "stock": "a shop's stock, which stands beside its jobs as stock.yaml",
    "parts": "an arrangement; a job names it under `arrangement`",
}
"""What a file is that has such a field, where it has no `job`, and what to do with it."""


def _check_is_job(fields: Fields) -> None:
    """Refuse a file that is plainly another one, in one sentence.

    Raises:
        ShapeError: It is no job.
    """
    names = fields.names()
    other = "" if "job" in names else next((one for one in OTHERS if one in names), "")
    if names and not other and not {"job", "format", *SECTIONS} & {*names}:
        says = (
            "This file is no job: it has no `job:` and nothing that a job has; name another file."
        )
        raise ShapeError(Fault(fields.place, says))
    if other:
        says = f"This file is no job but {OTHERS[other]}. A job begins with `job:`."
        raise ShapeError(Fault(fields.place, says))


def _check_format(fields: Fields) -> None:
    """Refuse a file of the form before, whose names mean nothing any more, in one sentence.

    Raises:
        ShapeError: It is of another form than is read.
    """
    given = fields.text("format")
    node = fields.node("format")
    if fields.faults.found:
        raise ShapeError(fields.faults.found)
    if given in ("", "1"):
        says = "is of format 1" if given else f"has no `format: {FORMAT}`, and so is of format 1"
        says = f"This file {says}; run `paneproof convert {fields.place.file}`, which writes it in"
        raise ShapeError(Fault(node.place if node else fields.place, f"{says} format {FORMAT}."))
    if given != FORMAT:
        says = f"The format is {quoted(given)}; files of format {FORMAT} are read."
        raise ShapeError(Fault(node.place if node else fields.place, says))


def _arrangement(fields: Fields, rules: Rules, near: Sequence[Path]) -> Arrangement:
    """Return the arrangement that a job names: without it no fact is known.

    Raises:
        RulesetError: None is named, or its file is not there or cannot be used.
    """
    name, node = fields.text("arrangement", need=True), fields.node("arrangement")
    if not name or node is None:
        raise ShapeError(fields.faults.found)
    folders = (*(folder / FOLDER for folder in near), *rules.folders)
    return find_arrangement(name, folders, node.place, rules.read)


def _style(fields: Fields, units: str) -> tuple[Style, Given]:
    system = units or "in"
    text = fields.text("grid", default=GRIDS[system])
    node = fields.node("grid")
    place = node.place if node else fields.place
    value = 0.0
    try:
        value = read_quantity(text, KINDS["length"], units=units or None).value
    except QuantityError as error:
        fields.faults.add(place, f"grid: {error}")
        text, value = GRIDS[system], 1.0
    unit = 25.4 if system == "in" else 1.0
    grid = Fraction(value / unit).limit_denominator(128)
    given = Given(value=value, tolerance=None, text=text, place=place)
    if value <= 0 or grid <= 0 or value > MOST_GRID:
        fields.faults.add(place, f"grid is {text}; it is more than 0 and at most 1 in.")
        return Style(units=system), given
    try:
        return Style(units=system, grid=grid), given
    except ValueError as error:
        fields.faults.add(place, str(error))
        return Style(units=system), given


def _hand(node: Node, library: Library) -> str:
    """Return the word of a job's hand, "" where it is not given."""
    written, fact = node_at(node, HAND.split(".")), library.facts.get(HAND)
    text = written.text if isinstance(written, Text) else ""
    return fact.also.get(text, text) if fact is not None else text


def _kit_names(fields: Fields) -> list[tuple[str, Place]]:
    """Return the ids of the kits that a job names, each with its place."""
    node = fields.node("kit")
    if node is None:
        fields.text("kit", need=True)
        return []
    names = fields.one_or_more("kit", looks=KIT_ID)
    items = node.items if isinstance(node, Rows) else (node,)
    twice = next((name for at, name in enumerate(names) if name in names[:at]), "")
    if twice:
        fields.wrong("kit", f"The kit {twice} stands twice; name each kit once.")
    return [(name, item.place) for name, item in zip(names, items, strict=False)]


def _kit(name: str, place: Place, folders: Sequence[Path], rules: Rules) -> Kit:
    return find_kit(name, folders, rules.library, place, rules.kits)


def _as_id(node: Node, known: Iterable[str]) -> str:
    """Return the id that someone meant who wrote it as a title, such as IRC 2021."""
    meant = "-".join(node.text.lower().split()) if isinstance(node, Text) else ""
    return f" Did you mean '{meant}'?" if meant in known else did_you_mean(meant, known)


def _codes(fields: Fields, known: Sequence[str]) -> tuple[tuple[str, Place], ...]:
    found: list[tuple[str, Place]] = []
    for name in ("code", "policy"):
        node = fields.node(name)
        items = node.items if isinstance(node, Rows) else (node,) if node is not None else ()
        for item in items:
            if isinstance(item, Text) and ID.fits(item.text):
                found.append((item.text, item.place))
            else:
                says = f"{name} is the id of a code set, or a list of ids. {ID.says}"
                fields.faults.add(item.place, f"{says}{_as_id(item, known)}")
    return tuple(found)


def _waiver(node: Node, library: Library, faults: Faults) -> Waiver:
    fields = Fields(node, faults, "a waiver", blanks=True)
    clause = fields.text("clause", need=True)
    until = fields.text("until", looks=DAY)
    if clause and clause not in library.clauses:
        new = new_clause(clause)
        hint = did_you_mean(clause, library.clauses) or " Write its book's id, a dot and its own."
        says = f"{clause} {new}." if new else f"There is no clause {clause} to waive.{hint}"
        fields.wrong("clause", says)
    if until:
        try:
            dt.date.fromisoformat(until)
        except ValueError:
            fields.wrong("until", f"until is {until}, which is no day of the calendar.")
    waiver = Waiver(
        clause=clause,
        subject=fields.text("subject"),
        why=fields.text("why", need=True),
        by=fields.text("by", need=True),
        until=until,
        place=fields.place,
    )
    fields.done()
    return waiver
