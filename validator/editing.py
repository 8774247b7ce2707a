"""Values written into a text at their places: comments, order and layout stay."""

import json
import re
from collections.abc import Mapping
from dataclasses import dataclass

from ruleset.errors import Fault, ShapeError
from ruleset.node import Node, Rows, Table, Text
from ruleset.place import Place
from ruleset.reader import NOTHING

BOM = "\ufeff"
_PLAIN = re.compile(r"[A-Za-z0-9+\-.][A-Za-z0-9+\-. /'\"%]*")
_NUMBER = re.compile(r"-?(0|[1-9][0-9]*)(\.[0-9]+)?")
_ROUND_QUOTED = {"'": re.compile(r"'(?:[^']|'')*'"), '"': re.compile(r'"(?:[^"\\]|\\.)*"')}


def with_values(text: str, file: str, root: Node, wanted: Mapping[str, str]) -> str:
    """Return a text with values written into it; tables that are missing on the way are made.

    Args:
        text: The text, without a byte order mark.
        file: Its name; one that ends in .json stays JSON.
        root: What was read of it.
        wanted: The values, by JSON Pointer.

    Raises:
        ShapeError: A value stands in a form that cannot be edited.
    """
    edits = _Editing(text, file, root).edits(wanted)
    for edit in sorted(edits, key=lambda one: one.start, reverse=True):
        text = f"{text[: edit.start]}{edit.text}{text[edit.end :]}"
    return text


def with_names(text: str, names: Mapping[Place, tuple[str, str]]) -> str:
    """Return the text with fields called otherwise.

    Args:
        text: The text, without a byte order mark.
        names: The old and the new name of each field, by where it stands; as they are in quotes,
            neither has anything that is written otherwise there.
    """
    lines = _lines(text)
    for place in sorted(names, key=lambda one: (one.line, one.column), reverse=True):
        old, new = names[place]
        start = lines[place.line - 1] + place.column - 1
        start += text[start : start + 1] in ("'", '"')
        if text.startswith(old, start):
            text = f"{text[:start]}{new}{text[start + len(old) :]}"
    return text


def _lines(text: str) -> list[int]:
    """Return where each line begins."""
    return [0, *(found.end() for found in re.finditer(r"\r\n|\n|\r", text))]


def parts_of(pointer: str) -> list[str]:
    """Return the names and numbers of a JSON Pointer.

    Source:
        RFC 6901, section 4.

    Example:
        >>> parts_of("/waivers/0/a~1b")
        ['waivers', '0', 'a/b']
    """
    return [one.replace("~1", "/").replace("~0", "~") for one in pointer.split("/")[1:]]


@dataclass(frozen=True, slots=True)
class Edit:
    """Characters of the text, from `start` to before `end`, and what stands there instead."""

    start: int
    end: int
    text: str


class _Editing:
    """One text, and where its values stand."""

    def __init__(self, text: str, file: str, root: Node) -> None:
        self.text = text
        self.file = file
        self.root = root
        self.is_json = file.endswith(".json")
        self.lines = _lines(text)
        ending = re.search(r"\r\n|\n|\r", text)
        self.ending = ending[0] if ending else "\n"

    def edits(self, wanted: Mapping[str, str]) -> list[Edit]:
        found: list[Edit] = []
        missing: dict[str, tuple[Node, list[tuple[list[str], str]]]] = {}
        for pointer, new in wanted.items():
            node, rest = self._find(parts_of(pointer))
            if not rest and isinstance(node, Text) and (node.text or node.quoted):
                found.append(self._replaced(node, new))
            elif isinstance(node, (Table, Text)):
                entry = missing.setdefault(node.place.pointer, (node, []))
                entry[1].append((rest, new))
            else:
                raise self._cannot(node.place)
        for node, entries in missing.values():
            found.append(self._added(node, entries))
        return found

    def _find(self, parts: list[str]) -> tuple[Node, list[str]]:
        """Return the deepest node on the way of a pointer, and what is left of the way."""
        node = self.root
        for at, part in enumerate(parts):
            if isinstance(node, Table) and part in node.entries:
                node = node.entries[part]
            elif isinstance(node, Rows) and part.isdigit() and int(part) < len(node.items):
                node = node.items[int(part)]
            else:
                return node, parts[at:]
        return node, []

    def _offset(self, place: Place) -> int:
        return self.lines[place.line - 1] + place.column - 1

    def _cannot(self, place: Place) -> ShapeError:
        says = "The value stands in a form that is not edited; write it by hand."
        return ShapeError(Fault(place, says))

    def _replaced(self, node: Text, new: str) -> Edit:
        start = self._offset(node.place)
        quote = self.text[start : start + 1]
        if node.quoted and quote in _ROUND_QUOTED:
            found = _ROUND_QUOTED[quote].match(self.text, start)
            if found is None:
                raise self._cannot(node.place)
            inside = json.dumps(new) if quote == '"' else "'" + new.replace("'", "''") + "'"
            return Edit(start, found.end(), inside)
        if node.quoted or not self.text.startswith(node.text, start):
            raise self._cannot(node.place)
        return Edit(start, start + len(node.text), self._scalar(new))

    def _scalar(self, new: str) -> str:
        if self.is_json:
            return new if _NUMBER.fullmatch(new) else json.dumps(new)
        return new if _PLAIN.fullmatch(new) and not new.endswith(" ") else json.dumps(new)

    def _key(self, name: str) -> str:
        return json.dumps(name) if self.is_json else name

    def _value(self, names: list[str], new: str) -> str:
        """Return a value inside the tables that are missing around it."""
        if not names:
            return self._scalar(new)
        return "{" + f"{self._key(names[0])}: {self._value(names[1:], new)}" + "}"

    def _added(self, node: Node, entries: list[tuple[list[str], str]]) -> Edit:
        if isinstance(node, Text):
            return self._filled(node, entries)
        lines = [f"{self._key(rest[0])}: {self._value(rest[1:], new)}" for rest, new in entries]
        start = self._offset(node.place)
        if self.text[start : start + 1] == "{":
            filled = isinstance(node, Table) and bool(node.entries)
            return Edit(start + 1, start + 1, ", ".join(lines) + (", " if filled else ""))
        first = next(iter(node.keys.values())) if isinstance(node, Table) else node.place
        at = self._offset(first)
        indent = " " * (first.column - 1)
        if self.text[self.lines[first.line - 1] : at].strip(" -"):  # the row of a list
            raise self._cannot(first)
        return Edit(at, at, "".join(f"{line}{self.ending}{indent}" for line in lines))

    def _filled(self, node: Text, entries: list[tuple[list[str], str]]) -> Edit:
        """Return the value written behind a field's name that was left empty."""
        *tables, name = parts_of(node.place.pointer)
        owner, rest = self._find(tables)
        if rest or not isinstance(owner, Table) or name not in owner.keys:
            raise self._cannot(node.place)
        start = self._offset(owner.keys[name])
        found = re.compile(rf"[\"']?{re.escape(name)}[\"']?\s*:").match(self.text, start)
        if found is None or len({tuple(rest[:1]) for rest, _ in entries}) != len(entries):
            raise self._cannot(node.place)
        if not entries[0][0]:
            value = self._scalar(entries[0][1])
        else:
            inner = (f"{self._key(rest[0])}: {self._value(rest[1:], new)}" for rest, new in entries)
            value = "{" + ", ".join(inner) + "}"
        at = self._offset(node.place)
        for nothing in NOTHING:
            if self.text.startswith(nothing, at):
                return Edit(at, at + len(nothing), value)
        return Edit(found.end(), found.end(), f" {value}")
