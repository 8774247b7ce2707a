"""Reading YAML or JSON text into nodes that know where they stand.

The text is never turned into Python values: a scalar stays as its author wrote it, so that `no`,
`010`, `12:30` and `2021.10` mean what they say. One pass over the parser's events, without
recursion, counts depth and nodes as it goes; a hostile file is refused before it can grow.
"""

import stat
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml

from .complaint import AFTER_THE_END, DIRECTIVE, SECOND, complaint
from .decode import (
    UNWRITABLE,
    decoded,
    flow_without_tabs,
    place_at,
    refusal,
    with_pairs_joined,
    with_pairs_restored,
)
from .errors import Fault, ReadError
from .place import Place, step_into

MOST_BYTES = 1_000_000
MOST_NODES = 50_000
MOST_DEPTH = 30
MOST_KEY = 200
MOST_FAULTS = 100

# The C parser is about ten times the pure one, but not every PyYAML is built with it.
LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


@dataclass(frozen=True, slots=True, kw_only=True)
class Text:
    """A scalar, exactly as written.

    Attributes:
        place: Where it stands.
        text: Its characters, without quotes; "" for a value left empty.
        quoted: Whether it stands in quotes or in a block, so that it can be nothing but text.
    """

    place: Place
    text: str
    quoted: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Rows:
    """A list.

    Attributes:
        place: Where it starts.
        items: Its rows, in the order of the file.
    """

    place: Place
    items: tuple["Node", ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Table:
    """A set of named values.

    Attributes:
        place: Where it starts.
        entries: The value of each field, in the order of the file.
        keys: Where each field's name stands, in the order of the file.
    """

    place: Place
    entries: Mapping[str, "Node"]
    keys: Mapping[str, Place]


Node = Text | Rows | Table


def read_file(path: Path) -> Node:
    """Return the root node of a YAML or JSON file.

    Raises:
        ReadError: The file is missing, is no ordinary file, is too big or cannot be read.
    """
    file = path.as_posix()
    try:
        # A pipe or a device could keep the reader waiting for ever.
        if not stat.S_ISREG(path.stat().st_mode):
            what = "is a folder" if path.is_dir() else "is not an ordinary file"
            raise refusal(Place(file=file), f"This {what}; give the name of a YAML or JSON file.")
        with path.open("rb") as handle:
            text = handle.read(MOST_BYTES + 1)
    except FileNotFoundError:
        raise refusal(Place(file=file), "There is no such file; check its name.") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "its name is not one the system can use"
        says = f"The file cannot be opened ({reason}); check its name and who may read it."
        raise refusal(Place(file=file), says) from None
    return read_text(text, file)


def read_text(text: str | bytes, file: str) -> Node:
    """Return the root node of one YAML or JSON document.

    Args:
        text: The document; bytes must be UTF-8, with or without a byte order mark.
        file: The name to give in every place.

    Raises:
        ReadError: The text cannot be read; all its faults.
    """
    written, pairs = with_pairs_joined(decoded(text, file, MOST_BYTES))
    _refuse_directive(written, file)
    builder = _Builder(file=file, pairs=pairs)
    loader = LOADER(flow_without_tabs(written))
    try:
        while not builder.finished:
            builder.take(loader.get_event())
        _refuse_rest(written, builder.end, file)
    except yaml.MarkedYAMLError as error:
        builder.faults.append(_fault_of(error, written, file))
    except (ValueError, OverflowError):
        # Only the pure parser: an escape beyond the last character of Unicode.
        place = builder.last or Place(file=file)
        builder.faults.append(Fault(place, "An escape after this names no character; correct it."))
    except ReadError as error:
        builder.faults.extend(error.faults)
    finally:
        loader.dispose()
    if builder.faults:
        raise ReadError(builder.faults)
    return builder.root_orrefusal()


def plain(node: Node) -> object:
    """Return the node as dictionaries, lists and text, for a JSON writer or a schema checker."""
    match node:
        case Text():
            return node.text
        case Rows():
            return [plain(item) for item in node.items]
        case Table():
            return {key: plain(value) for key, value in node.entries.items()}


@dataclass(slots=True, kw_only=True)
class _Open:
    """A list or a table whose end has not been read yet."""

    place: Place
    items: list[Node] | None = None
    entries: dict[str, Node] = field(default_factory=dict)
    keys: dict[str, Place] = field(default_factory=dict)
    key: str | None = None

    def pointer(self) -> str:
        """Return the JSON Pointer of the value that comes next."""
        if self.items is not None:
            return f"{self.place.pointer}/{len(self.items)}"
        return self.place.pointer if self.key is None else step_into(self.place.pointer, self.key)

    def put(self, node: Node) -> None:
        """Keep the next value."""
        if self.items is not None:
            self.items.append(node)
        elif self.key is not None:
            # Of two fields of one name the first stays; the second was refused with its name.
            self.entries.setdefault(self.key, node)
            self.key = None

    def close(self) -> Node:
        """Return the finished node."""
        if self.items is not None:
            return Rows(place=self.place, items=tuple(self.items))
        return Table(place=self.place, entries=self.entries, keys=self.keys)


@dataclass(slots=True, kw_only=True)
class _Builder:
    """Builds nodes from parser events, one at a time; keeps the faults it can read past."""

    file: str
    pairs: Mapping[str, str]
    faults: list[Fault] = field(default_factory=list)
    stack: list[_Open] = field(default_factory=list)
    root: Node | None = None
    last: Place | None = None
    nodes: int = 0
    end: int = 0
    finished: bool = False

    def take(self, event: Any) -> None:  # noqa: ANN401 - PyYAML's events share no typed base
        """Take the next event of the parser."""
        if isinstance(event, yaml.ScalarEvent):
            self._scalar(event)
        elif isinstance(event, (yaml.MappingStartEvent, yaml.SequenceStartEvent)):
            self._start(event)
        elif isinstance(event, (yaml.MappingEndEvent, yaml.SequenceEndEvent)):
            self._put(self.stack.pop().close())
        elif isinstance(event, yaml.AliasEvent):
            place = self._next_place(event)
            self._fault(
                place, f"'*{event.anchor}' repeats another value; write the value out here."
            )
            self._text(Text(place=place, text=f"*{event.anchor}"), place)
        elif isinstance(event, (yaml.DocumentEndEvent, yaml.StreamEndEvent)):
            self.finished = True
            mark: Any = event.end_mark
            self.end = mark.index

    def root_orrefusal(self) -> Node:
        """Return the root node, or raise for a file with nothing in it."""
        root = self.root
        if root is None or (isinstance(root, Text) and not root.text and not root.quoted):
            raise refusal(Place(file=self.file), "The file is empty; write its fields into it.")
        return root

    def _scalar(self, event: Any) -> None:  # noqa: ANN401 - see take
        place = self._next_place(event)
        self._refuse_dress(event, place)
        style = event.style or ""
        text: str = event.value
        if self.pairs:
            text = with_pairs_restored(text, self.pairs, escaped=style == '"')
        if style == '"' and (found := UNWRITABLE.search(text)):
            code = ord(found[0])
            self._fault(
                place,
                f"An escape in this text makes the control character U+{code:04X}; "
                "only a line break and a tab may be written so.",
            )
        self._text(Text(place=place, text=text, quoted=bool(style)), place)

    def _text(self, node: Text, place: Place) -> None:
        """Take a scalar as a value, or as the name of the field that comes next."""
        top = self.stack[-1] if self.stack else None
        if top is None or top.items is not None or top.key is not None:
            self._put(node)
            return
        key = node.text
        self._check_key(node, top)
        top.key = key
        top.keys.setdefault(
            key,
            Place(file=place.file, line=place.line, column=place.column, pointer=top.pointer()),
        )

    def _check_key(self, node: Text, table: _Open) -> None:
        key = node.text
        if len(key) > MOST_KEY:
            says = (
                f"The name of this field has {len(key)} characters; at most {MOST_KEY} may stand."
            )
            self._fault(node.place, says)
        elif key == "<<" and not node.quoted:
            self._fault(node.place, "'<<' merges another table in; write its fields out here.")
        elif not key and not node.quoted:
            self._fault(node.place, "The field has no name before its colon; write one.")
        elif key in table.keys:
            first = table.keys[key]
            self._fault(
                node.place,
                f"The field '{key}' stands twice in one table, first at line "
                f"{first.line}, column {first.column}; keep one of them.",
            )

    def _start(self, event: Any) -> None:  # noqa: ANN401 - see take
        place = self._next_place(event)
        self._refuse_dress(event, place)
        if len(self.stack) >= MOST_DEPTH:
            says = f"Values are nested more than {MOST_DEPTH} deep here; write them flatter."
            raise refusal(place, says)
        is_rows = isinstance(event, yaml.SequenceStartEvent)
        top = self.stack[-1] if self.stack else None
        if top is not None and top.items is None and top.key is None:
            what = "list" if is_rows else "table"
            raise refusal(
                place,
                f"A {what} stands where the name of a field is needed; write the "
                "name as text, or put the text in quotes if it starts with a bracket.",
            )
        self.stack.append(_Open(place=place, items=[] if is_rows else None))

    def _put(self, node: Node) -> None:
        if self.stack:
            self.stack[-1].put(node)
        else:
            self.root = node

    def _next_place(self, event: Any) -> Place:  # noqa: ANN401 - see take
        mark = event.start_mark
        pointer = self.stack[-1].pointer() if self.stack else ""
        self.last = Place(
            file=self.file, line=mark.line + 1, column=mark.column + 1, pointer=pointer
        )
        self.nodes += 1
        if self.nodes > MOST_NODES:
            says = f"The file holds more than {MOST_NODES:,} names and values; split it."
            raise refusal(self.last, says)
        return self.last

    def _refuse_dress(self, event: Any, place: Place) -> None:  # noqa: ANN401 - see take
        """Refuse what YAML lets stand before a value: an anchor, a tag."""
        if event.anchor:
            self._fault(
                place,
                f"'&{event.anchor}' marks a value for repeating; remove it and "
                "write each value out.",
            )
        if event.tag:
            self._fault(
                place,
                "'!' puts a type on this value; remove it, or put the text in quotes "
                "if it starts with an exclamation mark.",
            )

    def _fault(self, place: Place, says: str) -> None:
        self.faults.append(Fault(place, says))
        if len(self.faults) >= MOST_FAULTS:
            raise refusal(place, f"{MOST_FAULTS} faults were found up to here; correct them first.")


def _refuse_directive(text: str, file: str) -> None:
    """Refuse a line that starts with a percent sign before the document.

    The parser compares each directive with all before it, so a file of them would take minutes.
    """
    for number, line in enumerate(text.splitlines(), start=1):
        if line.startswith("%"):
            raise refusal(Place(file=file, line=number, column=1), DIRECTIVE)
        if line.strip() and not line.lstrip().startswith("#"):
            return


def _refuse_rest(text: str, end: int, file: str) -> None:
    """Refuse anything but remarks after the document, without asking the parser to read it."""
    position = end
    for line in text[end:].splitlines(keepends=True):
        content = line.split("#", 1)[0].strip()
        if content not in ("", "..."):
            place = place_at(text, position + len(line) - len(line.lstrip()), file)
            says = DIRECTIVE if content.startswith("%") else AFTER_THE_END
            raise refusal(place, SECOND if content.startswith("---") else says)
        position += len(line)


def _fault_of(error: yaml.MarkedYAMLError, text: str, file: str) -> Fault:
    """Return the parser's complaint in our own words, at the place a person has to look."""
    context, problem = error.context or "", error.problem or ""
    mark: Any = error.problem_mark or error.context_mark
    if "end of stream" in problem and error.context_mark is not None:
        mark = error.context_mark
    return complaint(f"{context} {problem}", text, mark.index if mark else 0, file)
