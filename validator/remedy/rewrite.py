"""A remedy written into a job's text: only its values change, comments and layout stay."""

import json
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path

from ruleset.errors import Fault, ShapeError
from ruleset.node import Node, Rows, Table, Text, plain
from ruleset.place import Place
from ruleset.reader import NOTHING, read_text

from ..saving import save_new, save_over
from .result import Change, Remedy

BOM = "\ufeff"
_PLAIN = re.compile(r"[A-Za-z0-9+\-.][A-Za-z0-9+\-. /'\"%]*")
_NUMBER = re.compile(r"-?(0|[1-9][0-9]*)(\.[0-9]+)?")
_ROUND_QUOTED = {"'": re.compile(r"'(?:[^']|'')*'"), '"': re.compile(r'"(?:[^"\\]|\\.)*"')}


def write_remedy(
    job_path: Path, remedy: Remedy, out_path: Path, *, backup: bool = False
) -> Path | None:
    """Save a job with a remedy written into it.

    Args:
        job_path: The job's file; it is read again.
        remedy: The remedy.
        out_path: Where to save it: a new file, or the job's own with `backup`.
        backup: Whether the job's own file may be replaced, once it is kept as NAME.bak.

    Returns:
        The backup, where one was made.

    Raises:
        RulesetError: The file cannot be edited so or cannot be written, there is such a file
            already, or another backup already.
    """
    try:
        return _write(job_path, remedy, out_path, backup=backup)
    except OSError as error:
        raise _refusal(out_path, f"{error.strerror}.") from None


def _write(job_path: Path, remedy: Remedy, out_path: Path, *, backup: bool) -> Path | None:
    raw = job_path.read_bytes()
    text = rewritten(raw, job_path.as_posix(), remedy.changes)
    new = text.encode()
    own = out_path.exists() and out_path.samefile(job_path)
    kept = job_path.with_name(f"{job_path.name}.bak") if own else None
    if own and not backup:
        raise _refusal(
            out_path, "This is the job itself; save to another file, or ask for a backup."
        )
    if kept is not None:
        _keep(job_path, kept, raw)
        save_over(out_path, new)
        return kept
    save_new(out_path, new)
    return None


def _keep(job_path: Path, kept: Path, raw: bytes) -> None:
    """Keep a job's file as it is; a backup that holds just that is kept already."""
    if not kept.exists():
        save_new(kept, raw, like=job_path)
    elif kept.read_bytes() != raw:
        raise _refusal(kept, "There is a backup already; move it away first.")


def _refusal(path: Path, says: str) -> ShapeError:
    return ShapeError(Fault(Place(file=path.as_posix()), says))


def rewritten(raw: bytes, file: str, changes: Iterable[Change]) -> str:
    """Return a job's text with changes written into it.

    Args:
        raw: The file's content.
        file: Its name, for places.
        changes: What is to be written.

    Raises:
        RulesetError: The text cannot be read, or a value stands in a form that cannot be edited.
    """
    text = raw.decode("utf-8", errors="replace")
    mark = BOM if text.startswith(BOM) else ""
    text = text.removeprefix(BOM)
    root = read_text(raw, file)
    wanted = {change.place.pointer: change.new for change in changes}
    edits = _Editing(text, file, root).edits(wanted)
    for edit in sorted(edits, key=lambda one: one.start, reverse=True):
        text = f"{text[: edit.start]}{edit.text}{text[edit.end :]}"
    again = plain(read_text(text, file))
    if again != _expected(plain(root), wanted):
        says = "The values cannot be written without changing others; write them by hand."
        raise ShapeError(Fault(Place(file=file), says))
    return mark + text


def _expected(data: object, wanted: Mapping[str, str]) -> object:
    for pointer, new in wanted.items():
        *tables, last = _parts(pointer)
        at = data
        for part in tables:
            if isinstance(at, list):
                at = at[int(part)]
            elif isinstance(at, dict):
                if not at.get(part):
                    at[part] = {}
                at = at[part]
        if isinstance(at, dict):
            at[last] = new
        elif isinstance(at, list):
            at[int(last)] = new
    return data


def _parts(pointer: str) -> list[str]:
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
        self.lines = [0, *(found.end() for found in re.finditer(r"\r\n|\n|\r", text))]
        ending = re.search(r"\r\n|\n|\r", text)
        self.ending = ending[0] if ending else "\n"

    def edits(self, wanted: Mapping[str, str]) -> list[Edit]:
        found: list[Edit] = []
        missing: dict[str, tuple[Node, list[tuple[list[str], str]]]] = {}
        for pointer, new in wanted.items():
            node, rest = self._find(_parts(pointer))
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
        if self.text[self.lines[first.line - 1] : at].strip():
            raise self._cannot(first)
        return Edit(at, at, "".join(f"{line}{self.ending}{indent}" for line in lines))

    def _filled(self, node: Text, entries: list[tuple[list[str], str]]) -> Edit:
        """Return the value written behind a field's name that was left empty."""
        *tables, name = _parts(node.place.pointer)
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
