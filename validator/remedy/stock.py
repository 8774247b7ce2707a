"""What the shop stocks: kits in the folders beside a job, handles and glass in its stock.yaml."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from ruleset.errors import RulesetError, ShapeError
from ruleset.fields import Faults, Fields
from ruleset.kinds import KINDS
from ruleset.library import Library
from ruleset.nearest import did_you_mean
from ruleset.node import Node, Table
from ruleset.quantity import QuantityError, Style, read_quantity, show
from ruleset.reader import read_file

from ..books import Rules
from ..facts import Given, Taken, take
from ..job import Job
from ..kit import ENDINGS, Kit, find_kit
from ..phrases import listed
from .levers import Levers, amended

FILE = "stock.yaml"
HANDLE = "design.handle"
WHERE_IT_GOES = (f"{HANDLE}.setback", f"{HANDLE}.height")
"""Facts of where a handle is put, not of what it is."""
OWN = ("title", "second_hole")
"""Fields of a handle in the stock that are no facts of a job's handle."""
THICKNESSES = ("design.door.thickness", "design.fixed.thickness")


@dataclass(frozen=True, slots=True, kw_only=True)
class Handle:
    """A handle the shop stocks.

    Attributes:
        name: Its id.
        title: What it is, as a sentence has it.
        values: What it is by facts; all of them, less where it goes.
        second: From its hole up to its second one, mm; None for a handle with one hole.
    """

    name: str
    title: str
    values: Mapping[str, Given]
    second: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """What a job's remedies may choose from.

    Attributes:
        levers: The sheet of levers, as the shop amends it.
        kits: Kits other than the job's own, sorted by id.
        thicknesses: Glass thicknesses, with the text of each; those of the job's own panes where
            the shop lists none.
        handles: Handles.
        unread: Kits that could not be read, with the reason.
    """

    levers: Levers
    kits: tuple[Kit, ...] = ()
    thicknesses: tuple[Given, ...] = ()
    handles: tuple[Handle, ...] = ()
    unread: tuple[str, ...] = field(default=())


def stock_for(job: Job, rules: Rules, levers: Levers) -> Stock:
    """Return what the job's remedies may choose from.

    Args:
        job: The job; where its kit was looked for, its own folder and the one above are looked in.
        rules: The rules.
        levers: The shipped sheet of levers.

    Raises:
        RulesetError: There is a stock.yaml that cannot be read.
    """
    folders = job.kit_folders
    places = (*job.around, Path(job.kit.place.file).parent.parent)
    file = next((one / FILE for one in places if (one / FILE).is_file()), None)
    if file is None:
        kits, unread = _kits(job, rules, _stems(folders), folders)
        own = tuple(job.values[name] for name in THICKNESSES if name in job.values)
        return Stock(levers=levers, kits=kits, thicknesses=own, unread=unread)
    seen = _stems(folders)
    names, thicknesses, handles, levers = _read(read_file(file), rules.library, levers, seen)
    kits, unread = _kits(job, rules, seen if names is None else names, folders)
    return Stock(levers=levers, kits=kits, thicknesses=thicknesses, handles=handles, unread=unread)


def _stems(folders: tuple[Path, ...]) -> tuple[str, ...]:
    seen = dict.fromkeys(
        file.stem
        for folder in folders
        if folder.is_dir()
        for file in sorted(folder.iterdir())
        if file.suffix in ENDINGS
    )
    return tuple(seen)


def _kits(
    job: Job, rules: Rules, names: tuple[str, ...], folders: tuple[Path, ...]
) -> tuple[tuple[Kit, ...], tuple[str, ...]]:
    found, unread = [], []
    for name in sorted(set(names) - {job.kit.name}):
        try:
            found.append(find_kit(name, folders, rules.library, job.place, rules.kits))
        except RulesetError as error:
            unread.append(f"{name}: {error.faults[0].says}")
    return tuple(found), tuple(unread)


def _read(
    node: Node, library: Library, levers: Levers, seen: tuple[str, ...]
) -> tuple[tuple[str, ...] | None, tuple[Given, ...], tuple[Handle, ...], Levers]:
    faults = Faults()
    fields = Fields(node, faults, "the shop's stock")
    fields.text("stock", need=True)
    fields.text("title")
    units = fields.option("units", ("in", "mm"))
    names = fields.texts("kits") if fields.node("kits") is not None else None
    for name in names or ():
        if name not in seen:
            hint = did_you_mean(name, seen)
            says = f"There is no kit {name} beside the jobs; there are {', '.join(seen)}.{hint}"
            fields.wrong("kits", says)
    thicknesses = tuple(
        one
        for text in fields.texts("thicknesses")
        if (one := _thickness(fields, library, text, units))
    )
    handles = tuple(
        _handle(name, one, library, units, faults) for name, one in fields.table("handles").items()
    )
    levers = amended(levers, fields)
    fields.done()
    if faults.found:
        raise ShapeError(faults.found)
    return names, thicknesses, handles, levers


def _thickness(fields: Fields, library: Library, text: str, units: str) -> Given | None:
    try:
        value = read_quantity(text, KINDS["length"], units=units or None).value
    except QuantityError as error:
        fields.wrong("thicknesses", f"thicknesses: {error}")
        return None
    fact = library.facts[THICKNESSES[0]]
    if not fact.low <= value <= fact.high:
        style = Style(units=units or "in")
        ends = [show(end, KINDS["length"], style).text for end in (fact.low, fact.high)]
        says = f"thicknesses: {text} is no thickness of a pane; they go from {' to '.join(ends)}."
        fields.wrong("thicknesses", says)
        return None
    return Given(value=value, tolerance=None, text=_with_unit(text, units), place=fields.place)


def _handle(name: str, node: Node, library: Library, units: str, faults: Faults) -> Handle:
    fields = Fields(node, faults, f"the handle {name}")
    title = fields.text("title") or name
    second = _second(fields, units)
    taken = Taken(units=units, style=Style())
    if isinstance(node, Table):
        entries = {key: one for key, one in node.entries.items() if key not in OWN}
        keys = {key: place for key, place in node.keys.items() if key not in OWN}
        rest = Table(place=node.place, entries=entries, keys=keys)
        take(library, HANDLE, rest, taken)
    faults.found += taken.faults
    for fact in WHERE_IT_GOES:
        if fact in taken.values:
            says = f"{fact} says where a handle goes, not what it is; leave it out of the stock."
            faults.add(taken.values[fact].place, says)
    lacks = [
        fact.name.removeprefix(f"{HANDLE}.")
        for fact in library.facts.values()
        if fact.name.startswith(f"{HANDLE}.")
        and fact.absent is None
        and not fact.follows
        and fact.name not in (*WHERE_IT_GOES, *taken.values)
    ]
    if lacks and not taken.faults:
        # What is left out would stay as the old handle has it: its hole, and its weight.
        faults.add(node.place, f"The handle {name} lacks {listed(lacks)}; give the whole of it.")
    values = {
        fact: Given(value=g.value, tolerance=None, text=_with_unit(g.text, units), place=g.place)
        for fact, g in taken.values.items()
    }
    return Handle(name=name, title=title, values=values, second=second)


def _second(fields: Fields, units: str) -> float | None:
    text = fields.text("second_hole")
    if not text:
        return None
    try:
        return read_quantity(text, KINDS["length"], units=units or None).value
    except QuantityError as error:
        fields.wrong("second_hole", f"second_hole: {error}")
        return None


def _with_unit(text: str, units: str) -> str:
    return f"{text} {units}" if units and text[-1:].isdigit() else text
