"""The names in code sets, policies and stock: what they amend, state and replace."""

import re
from collections.abc import Iterator, Mapping

from ruleset.errors import Fault, ShapeError
from ruleset.node import Node, Rows, Table, Text
from ruleset.place import Place

from ..renames import Renamed, Renames, below
from .taken import Path

_NAME = re.compile(r"[a-z_]+(?:\.[a-z_]+)+")


def names_of_layer(node: Node, sheet: Renames, kind: str, notes: list[str]) -> Mapping[Path, str]:
    """Return the names that a code set, a policy or the stock of a shop has to call otherwise.

    Args:
        node: Its file.
        sheet: The new names.
        kind: "code set", "policy" or "stock".
        notes: Where what a person has to look at is kept.

    Returns:
        The new names, by the paths of the old ones.

    Raises:
        ShapeError: A name stands where only a person can say what is meant; all of them at once.
    """
    faults: list[Fault] = []
    found: dict[Path, str] = {}
    table, every = ("levers", sheet.levers) if kind == "stock" else ("amends", sheet.clauses)
    for old, new in _amended(_names(node, table), every, kind, notes, faults):
        found[table, old] = new
    for old, new in _stated(_names(node, "states"), sheet, faults):
        found["states", old] = new
    clauses = node.entries.get("clauses") if isinstance(node, Table) else None
    for text in _texts(clauses) if clauses is not None else ():
        faults += _written_anew(text, sheet)
    if faults:
        raise ShapeError(faults)
    return found


def _amended(
    names: Mapping[str, Place],
    every: Mapping[str, Renamed],
    kind: str,
    notes: list[str],
    faults: list[Fault],
) -> Iterator[tuple[str, str]]:
    taken: dict[str, str] = {}
    for old, place in names.items():
        new = every.get(old)
        if new is None:
            continue
        says = f"{old} was for {new.of} alone, {new.now} is for {new.every}"
        if new.now in taken or new.now in names:
            also = taken.get(new.now, new.now)
            says = f"{also} and {old} are one now, {new.now}; keep one of the two here."
            faults.append(Fault(place, says))
        elif kind == "code set":  # it might let off what was not meant
            faults.append(Fault(place, f"{says}; amend that if the code means them all."))
        else:
            notes.append(f"{place}: {says}; see whether the {kind} means them all.")
        taken[new.now] = old
        yield old, new.now


def _stated(
    names: Mapping[str, Place], sheet: Renames, faults: list[Fault]
) -> Iterator[tuple[str, str]]:
    for old, place in names.items():
        own = below(old, sheet.facts) or old
        told = sheet.words[old].now[0] if old in sheet.words else own
        shared = below(told, sheet.shared)
        if shared is not None:
            says = f"{old} was of one part alone, and a policy states a value of every part now"
            faults.append(Fault(place, f"{says}; write {shared} by hand, if it means them all."))
        elif new := below(own, sheet.states):
            yield old, new


def _written_anew(text: Text, sheet: Renames) -> Iterator[Fault]:
    """Yield a fault for each old name in a clause of a code set's own: its formulas are by sort."""
    for name in _NAME.findall(text.text):
        part = name.partition(".")[0]
        if below(name, sheet.facts) is not None or name in sheet.words or part in sheet.parts:
            says = f"{name} has another name now, by the sort of what it is of"
        elif text.text in sheet.clauses:
            new = sheet.clauses[text.text]
            says = f"{text.text} is {new.now} now, for {new.every}"
        else:
            continue
        yield Fault(text.place, f"{says}; write this clause anew by hand.")


def _texts(node: Node) -> Iterator[Text]:
    if isinstance(node, Text):
        yield node
    for one in node.items if isinstance(node, Rows) else ():
        yield from _texts(one)
    for one in node.entries.values() if isinstance(node, Table) else ():
        yield from _texts(one)


def _names(node: Node, name: str) -> Mapping[str, Place]:
    """Return where the names of a table stand; none where there is no such table."""
    found = node.entries.get(name) if isinstance(node, Table) else None
    return found.keys if isinstance(found, Table) else {}
