"""What is dimensioned, written and marked on a drawing, written out for the parts of a job."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from ruleset.book import OF_PARTS
from ruleset.fields import Faults, Fields
from ruleset.library import Library
from ruleset.nearest import did_you_mean
from ruleset.node import Node
from ruleset.quoted import quoted

from ..sheet_rows import read_once
from ..verdict import Verdict

_YES = ("yes",)


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """One length of a chain.

    Attributes:
        name: The name it is the value of.
        word: What it is; "" where its place says it.
        to: The name of the place where it ends; "" for as far on as it is long.
        none: Whether it is left out where it is 0 or not known.
    """

    name: str
    word: str
    to: str
    none: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Chain:
    """Lengths that follow each other.

    Attributes:
        part: The part it is of.
        where: Where on the page it stands.
        what: What it is, for the note that it was left out.
        start: The name of the place where it begins; "" for 0.
        before: The name of how far before that it begins; "" for no more.
        lengths: Its lengths.
        title: What it is called where its printed numbers do not add up.
        whole: The name of what they add up to; "" for nothing.
    """

    part: str
    where: str
    what: str
    start: str
    before: str
    lengths: tuple[Measured, ...]
    title: str
    whole: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """A word beside a spot.

    Attributes:
        spot: The part and its spot.
        where: The detail it is written in; "" for the elevation.
        says: The word.
        value: The name whose value follows it; "" for none.
    """

    spot: str
    where: str
    says: str
    value: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawingRows:
    """All rows of the drawing's sheet.

    Attributes:
        chains: What is dimensioned.
        labels: What is written beside what is drawn.
        places: Spots where a finding of a name is marked, the best first.
        whole: Books whose clauses are asked of a whole part.
        told: What the picture is described by.
    """

    chains: tuple[Chain, ...]
    labels: tuple[Said, ...]
    places: Mapping[str, tuple[str, ...]]
    whole: tuple[str, ...]
    told: tuple[Said, ...]

    def of(self, where: str) -> tuple[Chain, ...]:
        """Return the chains that stand at a place of the page."""
        return tuple(chain for chain in self.chains if chain.where == where)


def rows_of(verdict: Verdict) -> DrawingRows:
    """Return the rows of the drawing's sheet for the parts of a job.

    Raises:
        RulesetError: The sheet cannot be read or names what no book has.
    """
    return read_once("drawing", verdict, DrawingRows, read_rows)


def read_rows(sheet: Node | None, library: Library, faults: Faults) -> DrawingRows:
    """Return the rows of a sheet that is written out for the parts of a library.

    Args:
        sheet: The sheet; None where the books have none.
        library: The books, their parts bound.
        faults: Where what is wrong goes.
    """
    if sheet is None:
        return DrawingRows(chains=(), labels=(), places={}, whole=(), told=())
    return _Reading(library, faults).rows(sheet)


class _Reading:
    """One sheet's nodes, read against a library."""

    def __init__(self, library: Library, faults: Faults) -> None:
        self.library = library
        self.faults = faults

    def rows(self, node: Node) -> DrawingRows:
        fields = Fields(node, self.faults, "a sheet")
        for name in ("sheet", "title", "about"):
            fields.text(name, need=True)
        rows = DrawingRows(
            chains=tuple(map(self.chain, fields.rows("chains"))),
            labels=tuple(map(self.label, fields.rows("labels"))),
            places=self.places(fields.rows("places")),
            whole=fields.texts("whole"),
            told=tuple(map(self.teller, fields.rows("told"))),
        )
        fields.done()
        return rows

    def chain(self, node: Node) -> Chain:
        fields = Fields(node, self.faults, "a chain")
        chain = Chain(
            part=fields.text("of", need=True),
            where=fields.text("in", need=True),
            what=fields.text("means", need=True),
            start=self.name(fields, "start"),
            before=self.name(fields, "before"),
            lengths=tuple(map(self.measured, fields.rows("lengths"))),
            title=fields.text("title"),
            whole=self.name(fields, "whole"),
        )
        if not chain.lengths or bool(chain.title) != bool(chain.whole):
            says = "A chain has lengths, and a title where they add up to a whole."
            self.faults.add(fields.place, says)
        fields.done()
        return chain

    def measured(self, node: Node) -> Measured:
        fields = Fields(node, self.faults, "a length")
        measured = Measured(
            name=self.name(fields, "is", need=True),
            word=fields.text("item"),
            to=self.name(fields, "to"),
            none=bool(fields.option("none", _YES)),
        )
        fields.done()
        return measured

    def label(self, node: Node) -> Said:
        fields = Fields(node, self.faults, "a label")
        part, spot = fields.text("of", need=True), fields.text("at", need=True)
        said = Said(
            spot=f"{part}.{spot}",
            where=fields.text("in"),
            says=fields.text("says", need=True),
            value=self.name(fields, "value"),
        )
        fields.done()
        return said

    def teller(self, node: Node) -> Said:
        fields = Fields(node, self.faults, "what is told")
        says = fields.text("says", need=True)
        said = Said(spot="", where="", says=says, value=self.name(fields, "value", need=True))
        fields.done()
        return said

    def places(self, nodes: Sequence[Node]) -> Mapping[str, tuple[str, ...]]:
        found: dict[str, tuple[str, ...]] = {}
        for node in nodes:
            fields = Fields(node, self.faults, "a place")
            part = fields.text("of", need=True)
            spots = tuple(f"{part}.{spot}" for spot in fields.texts("at"))
            for name in fields.texts("names"):
                if not self.begins(name):
                    hint = did_you_mean(name, self.library.facts)
                    fields.wrong("names", f"No name is or begins with {quoted(name)}.{hint}")
                found[name] = (*found.get(name, ()), *spots)
            fields.done()
        return found

    def name(self, fields: Fields, key: str, *, need: bool = False) -> str:
        """Return a name, a fault kept where no job has it; parts' own were looked at before."""
        name = fields.text(key, need=need)
        if name and not self.begins(name, whole=True):
            hint = did_you_mean(name, self.library.facts)
            fields.wrong(key, f"No book has a name {quoted(name)}.{hint}")
        return name

    def begins(self, name: str, *, whole: bool = False) -> bool:
        """Return whether a name is of a part or is a fact, or where facts begin so."""
        library = self.library
        first = name.partition(".")[0]
        if first in library.parts or name in library.facts:
            return True
        return not whole and any(fact.startswith(f"{name}.") for fact in library.facts)


def names_above(name: str, parts: Sequence[str] | Mapping[str, object]) -> Iterator[str]:
    """Yield a name and what it begins with, the longest first; last the part that it is of.

    Example:
        >>> list(names_above("design.door.edges", {"door": 0}))
        ['design.door.edges', 'design.door', 'design', 'door']
    """
    words = name.split(".")
    for many in range(len(words), 0, -1):
        yield ".".join(words[:many])
    if words[0] in OF_PARTS and len(words) > 1 and words[1] in parts:
        yield words[1]
