"""The order in which a job is asked for: the opening as one walks it, the design, the order."""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

from ruleset.book import STAGES, Fact
from ruleset.errors import ShapeError
from ruleset.fields import Faults, Fields
from ruleset.library import Library
from ruleset.nearest import did_you_mean
from ruleset.node import Node, Rows
from ruleset.reader import read_file

from .sheet_rows import put_together, sheet_files, written_out

SHEET = "walk"
SOURCES = ("survey", "design", "order")
"""Sources of what a job tells before its glass is ordered, in their order."""
_FURTHER = "Further"


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """Facts that are asked for together.

    Attributes:
        title: What they are about.
        source: survey, design or order.
        facts: The facts, in the order they are asked.
    """

    title: str
    source: str
    facts: tuple[Fact, ...]


def sections(library: Library) -> tuple[Section, ...]:
    """Return what a job is asked up to its order, in the order of the sheet `walk`.

    A fact that no row names is asked last of its source.

    Args:
        library: The books, with the parts of an arrangement.

    Raises:
        RulesetError: The sheet cannot be read or names what no book has; all faults at once.
    """
    return library.kept.get(tuple, SHEET, lambda: tuple(_sections(library)))


def _sections(library: Library) -> Iterator[Section]:
    asked = {
        name: fact
        for name, fact in library.facts.items()
        if fact.source in SOURCES and STAGES.index(fact.stage) <= STAGES.index("order")
    }
    titled = _titled(library, asked)
    for source in SOURCES:
        found: dict[str, list[Fact]] = {}
        for name, title in titled.items():
            if asked[name].source == source:
                found.setdefault(title, []).append(asked[name])
        rest = [one for name, one in asked.items() if name not in titled and one.source == source]
        if rest:
            found[_FURTHER] = rest
        for title, facts in found.items():
            yield Section(title=title, source=source, facts=tuple(facts))


def _titled(library: Library, asked: Mapping[str, Fact]) -> Mapping[str, str]:
    """Return the title under which each fact is asked, in the order of the sheet."""
    faults = Faults()
    node: Node | None = None
    for file in sheet_files(library, SHEET):
        more = read_file(file)
        node = more if node is None else put_together(node, more, faults.found)
    titled: dict[str, str] = {}
    if node is not None:
        fields = Fields(written_out(node, library, faults.found), faults, "a sheet")
        fields.text("sheet")
        for row in fields.rows("rows"):
            titled |= _row(row, library, asked, faults)
        fields.done()
    if faults.found:
        raise ShapeError(faults.found)
    return titled


def _row(row: Node, library: Library, asked: Collection[str], faults: Faults) -> dict[str, str]:
    fields = Fields(row, faults, "a row of the walk")
    title = fields.text("title", need=True)
    node = fields.node("ask")
    items = node.items if isinstance(node, Rows) else ()
    found: dict[str, str] = {}
    for name, item in zip(fields.texts("ask"), items, strict=False):
        if name in asked:
            found[name] = f"{title[:1].upper()}{title[1:]}"
        elif name not in library.facts:
            says = f"There is no fact {name}.{did_you_mean(name, library.facts)}"
            faults.add(item.place, says)
    fields.done()
    return found
