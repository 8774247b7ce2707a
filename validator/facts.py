"""Values of facts, read from the tables of a job or a kit."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from ruleset.book import Fact
from ruleset.errors import Fault
from ruleset.fields import form_of, keep
from ruleset.kinds import TEXT, Kind
from ruleset.library import Library
from ruleset.nearest import did_you_mean
from ruleset.node import Node, Rows, Table, Text
from ruleset.place import Place, step_into
from ruleset.quantity import NoUnitError, QuantityError, Style, read_quantity, show
from ruleset.quoted import quoted

from .old_names import old_facts
from .signed import AGAIN, SIGNED, read_signed

MOST_IN_ROW = {"length": 25_400.0}  # mm
MOST_TEXT = 200  # characters of a fact that is text
NOT_KNOWN = ("?", "tbd", "TBD", "n/a", "N/A")
"""What people write for what they do not know yet; nothing is taken in its place."""
_ROUND = {"diameter": "radius", "radius": "diameter"}
MOST_OF_ALL = 1e12  # internal units; far more than anything a job has, and still printed in full


@dataclass(frozen=True, slots=True, kw_only=True)
class Given:
    """A value that a file gives.

    Attributes:
        value: Internal units; the number of a word; 1 and 0 for yes and no; nan where the file says
            that it is not known.
        tolerance: What was written after +-, internal units; None for none.
        text: As written; of a word, the word that was meant.
        place: Where it stands.
    """

    value: float
    tolerance: float | None
    text: str
    place: Place


@dataclass(slots=True, kw_only=True)
class Taken:
    """What was read of one file's tables so far.

    Attributes:
        units: What a bare number means: in, mm, or "" for a fault.
        style: How bounds print in sentences.
        hand: The hand of the job; "" where it is not known.
        values: Each given fact, fields of rows included.
        texts: Each given fact that is text.
        rows: How many rows each given list has; None where the file says that it is not known.
        tables: Where each table stands, by path; for the place of what is missing.
        faults: What is wrong.
        bare: Lengths without a unit, in a file that names none; they are one fault together.
    """

    units: str
    style: Style
    hand: str = ""
    values: dict[str, Given] = field(default_factory=dict)
    texts: dict[str, str] = field(default_factory=dict)
    rows: dict[str, int | None] = field(default_factory=dict)
    tables: dict[str, Place] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)
    bare: list[str] = field(default_factory=list)
    _at_bare: int = 0

    def wrong(self, place: Place, says: str) -> None:
        """Keep one fault.

        Raises:
            ShapeError: They are so many that reading on is of no use.
        """
        keep(self.faults, place, says)

    def unread(self, name: str, node: Text, error: QuantityError) -> None:
        """Keep a value that cannot be read.

        Raises:
            ShapeError: The faults are so many that reading on is of no use.
        """
        if not isinstance(error, NoUnitError):
            self.wrong(node.place, f"{name}: {error}")
            return
        self.bare.append(f"{name}: {node.text}")
        if len(self.bare) == 1:
            self._at_bare = len(self.faults)
            self.wrong(node.place, f"{name}: {error}")
            return
        more = len(self.bare) - 1
        others = "nor has one further length" if more == 1 else f"nor have {more} further lengths"
        self.faults[self._at_bare] = Fault(
            self.faults[self._at_bare].place,
            f"{self.bare[0]} has no unit, {others}; write units: in or units: mm at the head of "
            "the file, or a unit with each.",
        )


def take(library: Library, path: str, node: Node, taken: Taken) -> None:
    """Read the facts under a path, and keep the faults.

    Args:
        library: Tells which facts there are.
        path: Name so far, such as survey.width.
        node: What the file has there.
        taken: Where values and faults go.

    Raises:
        ShapeError: The faults are so many that reading on is of no use.
    """
    fact = library.facts.get(path)
    if fact is not None:
        _fact(library, fact, node, taken)
        return
    if not isinstance(node, Table):
        if isinstance(node, Text) and _is_open(node) and _is_table(library, path):
            for name, below in library.facts.items():
                if name.startswith(f"{path}."):
                    _open(below, node, taken)
            return  # a heading whose fields are not filled in yet
        what = f"{path} is a table of facts" if _is_table(library, path) else ""
        says = f"{what}; here is {form_of(node)}." if what else _unknown(library, path)
        taken.wrong(node.place, says)
        return
    taken.tables[path] = node.place
    for key, one in node.entries.items():
        name = f"{path}.{key}"
        if name in library.facts or _is_table(library, name):
            take(library, name, one, taken)
        else:
            place = node.keys[key]
            old = tuple(old_facts(name, one, place, library.facts, taken.hand))
            for fault in old or (Fault(place, _unknown(library, name)),):
                taken.wrong(fault.place, fault.says)


def _is_table(library: Library, path: str) -> bool:
    prefix = f"{path}."
    return any(name.startswith(prefix) for name in library.facts)


def _unknown(library: Library, name: str) -> str:
    source = name.partition(".")[0]
    near = [fact for fact in library.facts if fact.startswith(f"{source}.")]
    above = name.rpartition(".")[0]
    beside = (fact.removeprefix(f"{above}.") for fact in near if fact.startswith(f"{above}."))
    known = ", ".join(dict.fromkeys(one.partition(".")[0] for one in beside)) or "nothing"
    hint = _other_measure(library, name) or did_you_mean(name, near)
    return f"There is no fact {name}.{hint or f' Allowed here: {known}.'}"


def _other_measure(library: Library, name: str) -> str:
    """Return a hint where a diameter is given and beside it radii are asked, or the other way."""
    above, _, key = name.rpartition(".")
    given = next((one for one in _ROUND if one in key.lower()), "")
    asked = _ROUND.get(given, "")
    found = [
        f"{fact.name} ({fact.means})"
        for fact in library.facts.values()
        if asked
        and fact.name.rpartition(".")[0] == above
        and asked in fact.means.lower().split()[:2]
    ]
    times = "half" if asked == "radius" else "twice"
    return f" Here is asked {' and '.join(found)}: {times} the {given}." if found else ""


def _fact(library: Library, fact: Fact, node: Node, taken: Taken) -> None:
    if fact.rows:
        _list(library, fact, node, taken)
        return
    if not isinstance(node, Text):
        taken.wrong(node.place, f"{fact.name} is one value; here is {form_of(node)}.")
        return
    if _is_open(node):
        _open(fact, node, taken)
        return
    if fact.kind == TEXT:
        _text(fact, node, taken)
        return
    try:
        given = read_given(library, fact.name, fact, node, taken.units)
    except QuantityError as error:
        taken.unread(fact.name, node, error)
        return
    outside = _outside(fact, given.value, taken.style)
    if outside:
        taken.wrong(node.place, outside)
        return
    taken.values[fact.name] = given


def _text(fact: Fact, node: Text, taken: Taken) -> None:
    """Keep a text as it was written; it stands on papers, and nothing reads it."""
    if len(node.text) > MOST_TEXT:
        says = f"{fact.name} has {len(node.text)} characters; it may have {MOST_TEXT}."
        taken.wrong(node.place, says)
        return
    taken.texts[fact.name] = node.text


def _is_open(node: Text) -> bool:
    """Return whether a value is written down and not known yet."""
    return not node.text or node.text in NOT_KNOWN


def _open(fact: Fact, node: Text, taken: Taken) -> None:
    """Keep that a fact is not known where it is said to be: then nothing is taken in its place.

    A blank says less: it is one that nobody has come to, and what is usual is taken and told.
    """
    if not node.text or (fact.absent is None and not fact.follows):
        return  # nothing would be taken
    if fact.rows:
        taken.rows[fact.name] = None
    else:
        taken.values[fact.name] = Given(
            value=math.nan, tolerance=None, text=node.text, place=node.place
        )


def read_given(library: Library, name: str, fact: Fact, node: Text, units: str) -> Given:
    """Return a fact's value.

    Raises:
        QuantityError: The text is no value of the fact's kind.
    """
    if fact.kind is None or fact.kind == TEXT:
        raise QuantityError(f"{name} is {'a list' if fact.kind is None else 'text'}.")
    if fact.kind.name == "word":
        word = node.text
        word = fact.also.get(word, word)
        if word not in fact.words:
            raise QuantityError(
                f"{quoted(word)} is none of its words, which are {', '.join(fact.words)}."
                f"{did_you_mean(word, (*fact.words, *fact.also))}"
            )
        return Given(value=library.words[word], tolerance=None, text=word, place=node.place)
    if name in SIGNED:
        said = read_signed(node.text)  # counts once it is held against the sizes as they are
        return Given(value=0.0, tolerance=None, text=said, place=node.place)
    quantity = read_quantity(node.text, fact.kind, units=units or None)
    return Given(
        value=quantity.value, tolerance=quantity.tolerance, text=node.text, place=node.place
    )


def _outside(fact: Fact, value: float, style: Style) -> str:
    kind = fact.kind
    if kind is None or kind.name in ("word", "yes/no") or fact.low <= value <= fact.high:
        return ""
    shown, low, high = (show(number, kind, style).text for number in (value, fact.low, fact.high))
    return (
        f"{fact.name} is {shown}; it lies between {low} and {high}. Check the reading and its unit."
    )


def _outside_row(name: str, value: float, kind: Kind, style: Style) -> str:
    """Return what is wrong with the size of a field of a row, which has no range of its own."""
    most = MOST_IN_ROW.get(kind.name, MOST_OF_ALL)
    if abs(value) <= most:
        return ""
    low, high = (show(number, kind, style).text for number in (-most, most))
    return f"{name} is far too large; it lies between {low} and {high}. Check it and its unit."


def _list(library: Library, fact: Fact, node: Node, taken: Taken) -> None:
    if isinstance(node, Text) and node.text == "none":
        taken.rows[fact.name] = 0
        return
    if isinstance(node, Text) and _is_open(node):
        _open(fact, node, taken)
        return
    if not isinstance(node, Rows):
        says = f"{fact.name} is a list of rows, or none; here is {form_of(node)}."
        taken.wrong(node.place, says)
        return
    if len(node.items) > fact.most:
        says = f"{fact.name} has {len(node.items)} rows; at most {fact.most} are read."
        taken.wrong(node.place, says)
        return
    taken.rows[fact.name] = len(node.items)
    for at, row in enumerate(node.items, start=1):
        _row(library, fact, f"{fact.name}[{at}]", row, taken)


def _row(library: Library, fact: Fact, name: str, node: Node, taken: Taken) -> None:
    fields = library.sorts[fact.rows].fields
    if not isinstance(node, Table):
        says = f"A row of {fact.name} is a table with {', '.join(fields)}; here is {form_of(node)}."
        taken.wrong(node.place, says)
        return
    taken.tables[name] = node.place
    for key, one in node.entries.items():
        kind = fields.get(key)
        if kind is None:
            says = f"A row of {fact.name} has no {key}.{did_you_mean(key, fields)}"
            taken.wrong(node.keys[key], says)
        elif not isinstance(one, Text):
            taken.wrong(one.place, f"{key} is one value.")
        elif not _is_open(one):
            try:
                got = read_quantity(one.text, kind, units=taken.units or None)
            except QuantityError as error:
                taken.unread(key, one, error)
                continue
            outside = _outside_row(key, got.value, kind, taken.style)
            if outside:
                taken.wrong(one.place, outside)
                continue
            taken.values[f"{name}.{key}"] = Given(
                value=got.value, tolerance=got.tolerance, text=one.text, place=one.place
            )


def place_for(
    name: str, values: Mapping[str, Given], tables: Mapping[str, Place], file: Place
) -> Place:
    """Return where a fact stands, or where it would belong.

    Args:
        name: The fact.
        values: The given facts.
        tables: Where each table stands.
        file: The start of the file.
    """
    if name in values:
        return values[name].place
    parts = name.split(".")
    for length in range(len(parts) - 1, 0, -1):
        place = tables.get(".".join(parts[:length]))
        if place is not None:
            pointer = place.pointer
            for part in parts[length:]:
                pointer = step_into(pointer, part)
            return Place(file=place.file, line=place.line, column=place.column, pointer=pointer)
    pointer = ""
    for part in parts:
        pointer = step_into(pointer, part)
    return Place(file=file.file, line=file.line, column=file.column, pointer=pointer)


def as_checked(values: Mapping[str, Given]) -> dict[str, Given]:
    """Return facts in which a check that counts goes on doing so while other sizes are tried.

    Whoever makes such a copy has the check done again: it is taken back with the change.
    """
    kept = {name: values[name] for name in SIGNED if name in values and values[name].value == 1.0}
    return {**values, **{name: replace(one, text=AGAIN) for name, one in kept.items()}}
