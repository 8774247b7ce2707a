"""A survey with wishes, and the text of a job made of it: readings stay as they were written."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from ruleset.book import Fact
from ruleset.errors import Fault, ShapeError
from ruleset.fields import Faults, Fields
from ruleset.kinds import KINDS
from ruleset.nearest import did_you_mean
from ruleset.node import Node, Rows, Table, Text
from ruleset.quantity import QuantityError, Style, read_quantity, show
from ruleset.reader import read_file
from ruleset.written import Piece, written

OWN = ("arrangements", "kits")
LENGTH = KINDS["length"]


class WishError(ShapeError):
    """A wish that cannot be meant so."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """One wish: what something is to be, or its least.

    Attributes:
        name: What is wished about.
        text: What it is to be; "" for a least.
        least: The least, mm; None where it is to be just this.
        node: Where it is written.
    """

    name: str
    text: str
    least: float | None
    node: Node


@dataclass(frozen=True, slots=True, kw_only=True)
class Survey:
    """A survey to propose a design for.

    Attributes:
        path: Its file.
        text: What it holds.
        node: The same, read.
        units: What a bare length in it is in: in, mm, or "" for none.
        wishes: What the design is to be, by what it is wished about.
        arrangements: The arrangements to try; () for all.
        kits: The kits to try, each one or several that go together; () for all that are stocked.
    """

    path: Path
    text: str
    node: Node
    units: str
    wishes: Mapping[str, Wish]
    arrangements: tuple[str, ...]
    kits: tuple[tuple[str, ...], ...]


def read_survey(path: Path) -> Survey:
    """Return the survey and the wishes of a file.

    Raises:
        RulesetError: It cannot be read, has a design already, or a wish cannot be read.
    """
    node = read_file(path)
    faults = Faults()
    whole = Fields(node, faults, "a survey")
    design = whole.node("design")
    if isinstance(design, Table) and design.entries:
        says = "This file has a design; `review` and `remedy` are for it. A survey has none."
        faults.add(whole.key_place("design"), says)
    units = whole.text("units")
    given = whole.node("wishes")
    wishes: dict[str, Wish] = {}
    arrangements: tuple[str, ...] = ()
    kits: tuple[tuple[str, ...], ...] = ()
    if given is not None:
        fields = Fields(given, faults, "wishes")
        arrangements = fields.one_or_more("arrangements")
        kits = _kits(fields)
        for name in fields.names():
            one = fields.node(name)
            if name not in OWN and one is not None:
                wish = _wish(name, one, units, faults)
                wishes |= {} if wish is None else {name: wish}
    if faults.found:
        raise ShapeError(faults.found)
    text = path.read_text(encoding="utf-8-sig", errors="replace")
    return Survey(
        path=path,
        text=text,
        node=node,
        units=units,
        wishes=wishes,
        arrangements=arrangements,
        kits=kits,
    )


def _kits(fields: Fields) -> tuple[tuple[str, ...], ...]:
    """Return the kits that are wished: a row is one, or a list of those that go together."""
    found = []
    for row in fields.rows("kits"):
        items = row.items if isinstance(row, Rows) else (row,)
        names = tuple(one.text for one in items if isinstance(one, Text) and one.text)
        if len(names) != len(items) or not names:
            fields.faults.add(row.place, "A row of kits is the id of a kit, or a list of ids.")
        found.append(names)
    return tuple(found)


def _wish(name: str, node: Node, units: str, faults: Faults) -> Wish | None:
    if isinstance(node, Text) and node.text:
        return Wish(name=name, text=node.text, least=None, node=node)
    fields = Fields(node, faults, f"the wish {name}")
    text = fields.text("least", need=True)
    fields.done()
    try:
        value = read_quantity(text, LENGTH, units=units or None).value if text else 0.0
    except QuantityError as error:
        fields.wrong("least", f"least: {error}")
        return None
    return Wish(name=name, text="", least=value, node=node)


def unknown_wish(wish: Wish, known: Collection[str]) -> Fault:
    """Return the fault of a wish that no row of the sheet knows."""
    hint = did_you_mean(wish.name, known) or f" There are: {', '.join((*known, *OWN))}."
    return Fault(wish.node.place, f"There is no wish {wish.name}.{hint}")


def check_value(wish: Wish, fact: Fact, units: str) -> None:
    """Refuse a wish for a value that its fact cannot have.

    Args:
        wish: The wish.
        fact: The fact that it fixes.
        units: What a bare length is in: in, mm, or "" for none.

    Raises:
        WishError: It is no word of the fact, or no quantity of its kind within its range.
    """
    kind, says = fact.kind, ""
    if kind is None or kind.name == "word":
        known = (*fact.words, *fact.also)
        if wish.text not in known:
            hint = did_you_mean(wish.text, known)
            says = f"{wish.name} is {wish.text}; it may be {', '.join(fact.words)}.{hint}"
    else:
        try:
            value = read_quantity(wish.text, kind, units=units or None).value
        except QuantityError as error:
            says = f"{wish.name}: {error}"
        else:
            if not fact.low <= value <= fact.high:
                style = Style(units=units or "in")
                ends = " to ".join(show(end, kind, style).text for end in (fact.low, fact.high))
                says = f"{wish.name} is {wish.text}; it goes from {ends}."
    if says:
        raise WishError(Fault(wish.node.place, says))


def job_text(
    survey: Survey,
    arrangement: str,
    kits: Sequence[str],
    design: Mapping[str, str],
    leaves: Iterable[str],
) -> tuple[str, tuple[str, ...]]:
    """Return the text of a job made of a survey, and the readings that are left out of it.

    Args:
        survey: The survey.
        arrangement: What is built.
        kits: Its kits.
        design: Design facts by name, each as it is written.
        leaves: Names of all facts that the arrangement has; what no name begins with goes.

    Returns:
        The text, and the names of readings that the arrangement does not have.
    """
    file = written(survey.text)
    entries = file.root.entries or []
    gone: list[str] = []
    names = set(leaves)
    for one in entries:
        if one.name in ("wishes", "design", "arrangement", "kit"):
            one.gone = True
        elif one.name == "survey":
            _leave_out(one.value, "survey", names, gone)
    for one in entries:
        one.stop = one.stop or ("" if one.gone or one.value.plain_table else "\n")
    text = str(file)
    text = text if text.endswith("\n") else f"{text}\n"
    named = kits[0] if len(kits) == 1 else f"[{', '.join(kits)}]"
    tail = [f"arrangement: {arrangement}", f"kit: {named}", *_tree(design)]
    return text + "\n".join(tail) + "\n", tuple(gone)


def _leave_out(piece: Piece, path: str, names: set[str], gone: list[str]) -> None:
    for one in piece.entries or ():
        name = f"{path}.{one.name}"
        if name in names:
            continue
        if one.value.entries is not None and any(n.startswith(f"{name}.") for n in names):
            _leave_out(one.value, name, names, gone)
        else:
            one.gone = True
            gone.append(name)


def _tree(design: Mapping[str, str]) -> list[str]:
    """Return facts as lines of nested tables.

    Example:
        >>> _tree({"design.hand": "left", "design.door.handle.kind": "knob"})
        ['design:', '  hand: left', '  door:', '    handle:', '      kind: knob']
    """
    lines: list[str] = []
    tables: list[str] = []
    for name in _grouped(design):
        *above, last = name.split(".")
        for depth, table in enumerate(above):
            if tables[depth : depth + 1] != [table]:
                tables = [*above[: depth + 1]]
                lines.append(f"{'  ' * depth}{table}:")
        tables = list(above)
        lines.append(f"{'  ' * len(above)}{last}: {design[name]}")
    return lines


def _grouped(design: Mapping[str, str]) -> list[str]:
    """Return names so that those of one table stand together, plain ones of a table first."""
    first = {name: at for at, name in enumerate(design)}

    def key(name: str) -> tuple[tuple[int, int], ...]:
        parts = name.split(".")
        steps = []
        for depth in range(1, len(parts) + 1):
            head = ".".join(parts[:depth])
            at = min(n for one, n in first.items() if one == head or one.startswith(f"{head}."))
            steps.append((int(depth < len(parts)), at))
        return tuple(steps)

    return sorted(design, key=key)
