"""What the shop stocks: kits in the folders beside a job, handles and glass in its stock.yaml."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from ruleset.book import Fact
from ruleset.errors import RulesetError, ShapeError
from ruleset.fields import Faults, Fields
from ruleset.kinds import KINDS
from ruleset.layers import FORMAT
from ruleset.library import Library
from ruleset.nearest import did_you_mean
from ruleset.node import Node, Table
from ruleset.quantity import QuantityError, Style, read_quantity, show
from ruleset.reader import read_file

from ..books import Rules
from ..facts import Given, Taken, take
from ..job import Job
from ..kit import ENDINGS, Kit, find_kit, in_place_of
from ..offcuts import FILE, take_shelf
from ..phrases import listed
from ..verdict import Verdict
from .levers import HandlePlace, Levers, amended, lever_keys, load_levers

LENGTH = KINDS["length"]
OWN = ("title", "second_hole")
"""Fields of a handle in the stock that are no facts of a job's handle."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Handle:
    """A handle the shop stocks.

    Attributes:
        name: Its id.
        title: What it is, as a sentence has it.
        values: What it is, by the last words of a handle's facts; all of them, less where it goes.
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


def stock_for(verdict: Verdict, rules: Rules) -> Stock:
    """Return what a job's remedies may choose from.

    Args:
        verdict: The job, judged; where its kit was looked for, its own folder and the one above are
            looked in.
        rules: The rules.

    Raises:
        RulesetError: There is a stock.yaml that cannot be read.
    """
    job, levers = verdict.job, load_levers(verdict)
    folders = job.kit_folders
    places = (*job.around, Path(job.kit.place.file).parent.parent)
    file = next((one / FILE for one in places if (one / FILE).is_file()), None)
    if file is None:
        kits, unread = _kits(job, rules, _stems(folders), folders)
        panes = (one.fact for one in levers.levers if one.stock == "thicknesses")
        own = tuple(job.values[name] for name in panes if name in job.values)
        return Stock(levers=levers, kits=kits, thicknesses=own, unread=unread)
    seen = _stems(folders)
    reading = _Reading(verdict.library, levers)
    names = reading.stock(read_file(file), seen)
    kits, unread = _kits(job, rules, seen if names is None else names, folders)
    return Stock(
        levers=reading.levers,
        kits=kits,
        thicknesses=reading.thicknesses,
        handles=reading.handles,
        unread=unread,
    )


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
    found: list[Kit | None] = []
    unread: list[str] = []
    own = {job.kit.name, *(one.name for one in job.kit.of)}
    for name in sorted(set(names) - own):
        try:
            other = find_kit(name, folders, rules.library, job.place, rules.kits)
            found.append(in_place_of(job.kit, other))
        except RulesetError as error:
            unread.append(f"{name}: {error.faults[0].says}")
    return tuple(one for one in found if one is not None), tuple(unread)


class _Reading:
    """One stock.yaml, read for the levers of a job."""

    def __init__(self, library: Library, levers: Levers) -> None:
        self.library = library
        self.levers = levers
        self.thicknesses: tuple[Given, ...] = ()
        self.handles: tuple[Handle, ...] = ()
        self.faults = Faults()
        self.units = ""

    def stock(self, node: Node, seen: tuple[str, ...]) -> tuple[str, ...] | None:
        """Take a whole file; returns the kits that it names, None where it leaves them open."""
        fields = Fields(node, self.faults, "the shop's stock")
        fields.text("stock", need=True)
        fields.option("format", (FORMAT,))
        fields.text("title")
        self.units = fields.option("units", ("in", "mm"))
        names = fields.texts("kits") if fields.node("kits") is not None else None
        for name in names or ():
            if name not in seen:
                hint = did_you_mean(name, seen)
                says = f"There is no kit {name} beside the jobs; there are {', '.join(seen)}.{hint}"
                fields.wrong("kits", says)
        self.thicknesses = tuple(self._thicknesses(fields))
        goes = [one.handle for one in self.levers.levers if one.handle is not None]
        handles = fields.table("handles")
        if goes:  # where nothing has a handle, nothing tells what one is
            self.handles = tuple(self._handle(*one, goes[0]) for one in handles.items())
        take_shelf(fields, self.units)  # the cut list's; what is wrong with it is told here too
        self.levers = amended(self.levers, fields, lambda: lever_keys(self.library))
        fields.done()
        if self.faults.found:
            raise ShapeError(self.faults.found)
        return names

    def _thicknesses(self, fields: Fields) -> Iterator[Given]:
        of = [one.fact for one in self.levers.levers if one.stock == "thicknesses"]
        facts = [self.library.facts[name] for name in of]
        for text in fields.texts("thicknesses"):
            try:
                value = read_quantity(text, LENGTH, units=self.units or None).value
            except QuantityError as error:
                fields.wrong("thicknesses", f"thicknesses: {error}")
                continue
            if not all(fact.low <= value <= fact.high for fact in facts):
                fields.wrong("thicknesses", self._out_of_range(text, facts))
            yield Given(
                value=value,
                tolerance=None,
                text=_with_unit(text, self.units),
                place=fields.place,
            )

    def _out_of_range(self, text: str, facts: list[Fact]) -> str:
        style = Style(units=self.units or "in")
        low, high = max(fact.low for fact in facts), min(fact.high for fact in facts)
        ends = [show(end, LENGTH, style).text for end in (low, high)]
        return f"thicknesses: {text} is no thickness of a pane; they go from {' to '.join(ends)}."

    def _handle(self, name: str, node: Node, goes: HandlePlace) -> Handle:
        """Return a handle, read as that of the first part that has one."""
        fields = Fields(node, self.faults, f"the handle {name}")
        title = fields.text("title") or name
        second = _second(fields, self.units)
        taken = Taken(units=self.units, style=Style())
        if isinstance(node, Table):
            entries = {key: one for key, one in node.entries.items() if key not in OWN}
            keys = {key: place for key, place in node.keys.items() if key not in OWN}
            rest = Table(place=node.place, entries=entries, keys=keys)
            take(self.library, goes.facts.removesuffix("."), rest, taken)
        self.faults.found += taken.faults
        for fact in goes.placed:
            if fact in taken.values:
                says = (
                    f"{fact} says where a handle goes, not what it is; leave it out of the stock."
                )
                self.faults.add(taken.values[fact].place, says)
        lacks = [
            fact.name.removeprefix(goes.facts)
            for fact in self.library.facts.values()
            if fact.name.startswith(goes.facts)
            and fact.absent is None
            and not fact.follows
            and fact.name not in (*goes.placed, *taken.values)
        ]
        if lacks and not taken.faults:
            # What is left out would stay as the old handle has it: its hole, and its weight.
            says = f"The handle {name} lacks {listed(lacks)}; give the whole of it."
            self.faults.add(node.place, says)
        values = {
            fact.removeprefix(goes.facts): replace(one, tolerance=None, text=self._text(one))
            for fact, one in taken.values.items()
        }
        return Handle(name=name, title=title, values=values, second=second)

    def _text(self, given: Given) -> str:
        return _with_unit(given.text, self.units)


def _second(fields: Fields, units: str) -> float | None:
    text = fields.text("second_hole")
    if not text:
        return None
    try:
        return read_quantity(text, LENGTH, units=units or None).value
    except QuantityError as error:
        fields.wrong("second_hole", f"second_hole: {error}")
        return None


def _with_unit(text: str, units: str) -> str:
    return f"{text} {units}" if units and text[-1:].isdigit() else text
