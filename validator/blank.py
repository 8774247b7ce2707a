"""First files to fill in: a job and a kit, each fact blank with what it is beside it."""

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from textwrap import wrap

from ruleset.book import Fact
from ruleset.hands import shapes
from ruleset.kinds import KINDS, TEXT
from ruleset.layers import FORMAT
from ruleset.library import Library
from ruleset.plan import plan
from ruleset.quantity import Style, read_quantity, show
from ruleset.units import examples

from .job import GRIDS
from .signed import SIGNED
from .verdict import program_for
from .walk import sections

WIDEST = 110  # columns of a line that a comment makes longer
COLUMN = 30
"""Where comments begin."""
_TIED = re.compile(r"(?<=\d) (?=[a-zA-Z%\d])| (?=\|)")
"""Where no line is broken: within a quantity, and before the bar between two words."""
LEAST_ROOM = 30  # columns for a comment beside a long name
SERVER = "# yaml-language-server: $schema="
"""What editors look for at the head of a file; the schema stands beside it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A fact that a first file asks for, and the heading that it stands under."""

    path: str
    fact: Fact
    title: str


@dataclass(slots=True)
class _Table:
    """Facts by key, tables inside tables, in the order they are asked first."""

    inside: dict[str, "_Table | Asked"] = field(default_factory=dict)

    def put(self, one: Asked) -> None:
        """Put a fact where its path has it."""
        *above, last = one.path.split(".")
        table = self
        for key in above:
            below = table.inside.setdefault(key, _Table())
            if not isinstance(below, _Table):
                raise TypeError(one.path)
            table = below
        table.inside[last] = one


def blank_job(library: Library, head: Mapping[str, str], schema: str) -> str:
    """Return a job's first file: every fact that is asked up to the order, blank.

    The survey comes in the order one walks the opening, then the design, then the order.

    Args:
        library: The books, with the parts of the job's arrangement.
        head: job, title, arrangement, units, kit and code; blank where it is "".
        schema: The file of the job's schema, as it is to be named.

    Raises:
        RulesetError: The sheet of the walk cannot be used.
    """
    style = _style(head)
    lines = [
        f"{SERVER}{schema}",
        "# What is blank is not known yet; `paneproof review` tells what is still to measure.",
        "# Write ? where a value is open and is not to be taken as usual.",
        f"format: {FORMAT}",
        *_line(0, "job", "The shop's number for the job", head.get("job", "")),
        *_line(0, "title", "What the job is, in a line", head.get("title", "")),
        *_line(0, "arrangement", "What is built", head.get("arrangement", "")),
        *_line(0, "units", "in or mm: what a length without a unit is in", head.get("units", "")),
        *_line(0, "kit", "The kit's id, or a list of one for each kind", head.get("kit", "")),
        *_line(0, "code", "The code adopted where the job stands; ask", head.get("code", "")),
        *_line(0, "policy", "The shop's policy, where it has one", ""),
    ]
    table = _Table()
    for section in sections(library):
        for fact in section.facts:
            table.put(Asked(path=fact.name, fact=fact, title=section.title))
    for source, facts in table.inside.items():
        if isinstance(facts, _Table):
            lines += ["", f"{source}:", *_lines(facts, library, style)]
    return "\n".join(lines) + "\n"


def blank_kit(library: Library, head: Mapping[str, str], schema: str) -> str:
    """Return a kit's first file: every measure that an arrangement asks of its kits, blank.

    Args:
        library: The books, with the parts of an arrangement.
        head: kit, title, maker, sheet and units; blank where it is "".
        schema: The file of the kit's schema, as it is to be named.
    """
    style = _style(head)
    lines = [
        f"{SERVER}{schema}",
        "# From the maker's sheet. Leave out what another kit of the job gives; what is blank is",
        "# not known yet, and is asked for: `paneproof review` tells what the sheet still lacks.",
        *_line(0, "kit", "The kit's id, which is its file's name", head.get("kit", "")),
        *_line(0, "title", "What the kit is", head.get("title", "")),
        *_line(0, "maker", "Who makes it", head.get("maker", "")),
        *_line(0, "sheet", "The maker's sheet and its date", head.get("sheet", "")),
        f"format: {FORMAT}",
        *_line(0, "units", "in or mm: what a length without a unit is in", head.get("units", "")),
        "",
    ]
    table = _Table()
    for fact in kit_facts(library):
        table.put(Asked(path=fact.path, fact=fact, title=""))
    return "\n".join([*lines, *_lines(table, library, style, depth=0)]) + "\n"


def kit_facts(library: Library) -> tuple[Fact, ...]:
    """Return what the arrangement of a library asks of its kits, in the order of the books."""
    lists = tuple(sorted((one.name, 1) for one in library.facts.values() if one.rows))
    asked: set[str] = set()
    for shape in shapes(library, lists):
        asked |= {*program_for(library, plan(library, shape)).facts}
    follows = {library.facts[name].follows for name in asked if name in library.facts}
    kinds = {_kind(name) for name in (*asked, *follows) if name.startswith("kit.")}
    return tuple(
        fact
        for name, fact in library.facts.items()
        if fact.source == "kit" and _kind(name) in kinds  # a sentence may name what no clause asks
    )


def _kind(name: str) -> str:
    """Return the kind of hardware that a measure of a kit is of, such as hinge."""
    return name.split(".")[1]


def schema_text(schema: Mapping[str, object]) -> str:
    """Return a schema as a file of its own."""
    return json.dumps(schema, indent=1) + "\n"


def _style(head: Mapping[str, str]) -> Style:
    units = head.get("units") or "in"
    grid = read_quantity(GRIDS[units], KINDS["length"]).value / (25.4 if units == "in" else 1.0)
    return Style(units=units, grid=Fraction(grid).limit_denominator(128))


def _lines(table: _Table, library: Library, style: Style, *, depth: int = 1) -> Iterator[str]:
    """Yield a table's lines, with a heading where the next fact belongs under another one."""
    said = [""]

    def walk(inside: Mapping[str, "_Table | Asked"], depth: int) -> Iterator[str]:
        for key, one in inside.items():
            if isinstance(one, _Table):
                first = _first(one)
                yield from _heading(first, said, depth)
                yield f"{'  ' * depth}{key}:"
                yield from walk(one.inside, depth + 1)
            else:
                yield from _heading(one, said, depth)
                yield from _line(depth, key, told(one.fact, style))
                yield from _row(one.fact, library, depth)

    yield from walk(table.inside, depth)


def _heading(one: Asked, said: list[str], depth: int) -> Iterator[str]:
    if one.title != said[0]:
        said[0] = one.title
        yield f"{'  ' * depth}# -- {one.title}"


def _first(table: _Table) -> Asked:
    one: _Table | Asked = table
    while isinstance(one, _Table):
        one = next(iter(one.inside.values()))
    return one


def _line(depth: int, key: str, said: str, value: str = "") -> list[str]:
    """Return a field with a comment, which goes on below itself where it is long."""
    written = f"{'  ' * depth}{key}:{f' {value}' if value else ''}"
    column = max(COLUMN, len(written) + 2)
    column = column if column <= WIDEST - LEAST_ROOM else COLUMN
    tied = _TIED.sub("\xa0", said)
    first, *rest = (one.replace("\xa0", " ") for one in wrap(tied, WIDEST - column - 2) or [""])
    lines = [f"{written:<{column}}# {first}" if column > len(written) else written]
    if column <= len(written):
        rest = [first, *rest]
    return [*lines, *(f"{' ' * column}# {more}" for more in rest)]


def _row(fact: Fact, library: Library, depth: int) -> Iterator[str]:
    """Yield what a row of a list looks like, as a comment."""
    if fact.rows:
        fields = ", ".join(f"{key}: " for key in library.sorts[fact.rows].fields)
        yield f"{'  ' * depth}#  - {{{fields.rstrip()}}}"


def told(fact: Fact, style: Style) -> str:
    """Return what a fact is and what may be written for it, on one line.

    Args:
        fact: The fact.
        style: The units that its range is told in.
    """
    taken = fact.follows or fact.absent
    usual = f"; blank is taken as {taken}" if taken is not None else ""
    return f"{fact.means}: {may_be(fact, style)}{usual}"


def may_be(fact: Fact, style: Style) -> str:
    """Return what may be written for a fact."""
    if fact.kind is None:
        return f"none, or up to {fact.most} rows"
    if fact.name in SIGNED:
        return "the code of the sizes that stands on the take-off, or no"
    if fact.kind == TEXT:
        return "text, for the papers"
    if fact.kind.name in ("word", "yes/no"):
        return " | ".join(fact.words or ("yes", "no"))
    if fact.kind.name == "date":
        return f"a day, such as {examples(fact.kind)[0]}"
    low, high = (show(bound, fact.kind, style).text for bound in (fact.low, fact.high))
    ways = examples(fact.kind)
    such = f", such as {ways[-1 if style.units == 'mm' and len(ways) > 1 else 0]}"
    such = "" if fact.kind.name in ("length", "count", "angle") else such
    return f"{low} to {high}{such}"


def listed_kits(names: Sequence[str]) -> str:
    """Return the kits of a job as its file has them.

    Example:
        >>> listed_kits(["one"]), listed_kits(["one", "two"])
        ('one', '[one, two]')
    """
    return names[0] if len(names) == 1 else f"[{', '.join(names)}]" if names else ""


def quoted_text(text: str) -> str:
    """Return a text as a value of YAML: bare where that reads as itself, else in quotes.

    Example:
        >>> quoted_text("Hall bath"), quoted_text("a: b")
        ('Hall bath', '"a: b"')
    """
    plain = all(one.isalnum() or one in " .,_/-()" for one in text)
    return text if plain and text[:1].isalnum() and text == text.strip() else json.dumps(text)
