"""Reading YAML or JSON text into nodes that know where they stand.

The text is never turned into Python values: a scalar stays as its author wrote it, so that `no`,
`010`, `12:30` and `2021.10` mean what they say. One pass over the parser's events, without
recursion, counts depth and nodes as it goes; a hostile file is refused before it can grow.
"""

import stat
from collections.abc import Collection, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any, NamedTuple

import yaml

from .complaint import AFTER_THE_END, DIRECTIVE, SECOND, complaint
from .decode import (
    UNWRITABLE,
    decoded,
    flow_without_tabs,
    place_at,
    refusal,
    with_marks_kept,
    with_pairs_joined,
    with_pairs_restored,
)
from .errors import Fault, ReadError
from .node import Node, Rows, Table, Text
from .place import Place, step_into

MOST_BYTES = 1_000_000
MOST_NODES = 50_000
MOST_DEPTH = 30
MOST_KEY = 200
MOST_FAULTS = 100
NOTHING = frozenset(("~", "null", "Null", "NULL"))
"""How YAML and JSON write a value that there is not; in quotes each is text like any other."""

# The C parser is about ten times the pure one, but not every PyYAML is built with it.
LOADER: Any = getattr(yaml, "CSafeLoader", yaml.SafeLoader)


def read_file(path: Path, *, skip: Collection[str] = ()) -> Node:
    """Return the root node of a YAML or JSON file.

    Args:
        path: The file.
        skip: Fields, in any table, whose values are passed over: they stand as empty text. A
            review has no use for a book's proofs, which are more than half of its text.

    Raises:
        ReadError: The file is missing, is no ordinary file, is too big or cannot be read.
    """
    return read_text(bytes_of(path), path.as_posix(), skip=skip)


def bytes_of(path: Path) -> bytes:
    """Return what a file holds, or one byte more than a file may have.

    Raises:
        ReadError: The file is missing, is no ordinary file or cannot be opened.
    """
    file = path.as_posix()
    try:
        # A pipe or a device could keep the reader waiting for ever.
        if not stat.S_ISREG(path.stat().st_mode):
            what = "is a folder" if path.is_dir() else "is not an ordinary file"
            raise refusal(Place(file=file), f"This {what}; give the name of a YAML or JSON file.")
        with path.open("rb") as handle:
            return handle.read(MOST_BYTES + 1)
    except FileNotFoundError:
        raise refusal(Place(file=file), "There is no such file; check its name.") from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "its name is not one the system can use"
        says = f"The file cannot be opened ({reason}); check its name and who may read it."
        raise refusal(Place(file=file), says) from None


def read_text(text: str | bytes, file: str, *, skip: Collection[str] = ()) -> Node:
    """Return the root node of one YAML or JSON document.

    Args:
        text: The document; bytes must be UTF-8, with or without a byte order mark.
        file: The name to give in every place.
        skip: Fields, in any table, whose values are passed over.

    Raises:
        ReadError: The text cannot be read; all its faults.
    """
    written = decoded(text, file, MOST_BYTES)
    joined = with_marks_kept(with_pairs_joined(written))
    _refuse_directive(written, file)
    builder = _builder(file, written if joined != written else "")
    loader = LOADER(flow_without_tabs(joined))
    try:
        while not builder.finished:
            builder.take(loader.get_event())
            if builder.top.key in skip:
                _pass_over(loader)
                builder.top.put(Text(place=builder.top.keys[builder.top.key or ""], text=""))
        _refuse_rest(written, builder.end, file)
    except yaml.MarkedYAMLError as error:
        builder.faults.append(_fault_of(error, written, file))
    except (ValueError, OverflowError):
        # Only the pure parser raises these, for an escape beyond the last character of Unicode.
        builder.faults.append(complaint("escape", written, loader.get_mark().index, file))
    except ReadError as error:
        builder.faults.extend(error.faults)
    finally:
        loader.dispose()
    if builder.faults:
        raise ReadError(builder.faults)
    return builder.root()


class Span(NamedTuple):
    """One step of the parser through a text.

    Attributes:
        kind: "text" for a scalar, "rows" or "table" where one begins, "end" where one ends.
        start: Where it begins, in characters.
        end: Where it ends; of a list or a table without brackets nothing is sure but its begin.
        style: "[" for brackets and braces, the quote or the sign of a block, "" for none of them.
    """

    kind: str
    start: int
    end: int
    style: str


def spans(text: str) -> Iterator[Span]:
    """Yield where the values of a text stand, in the order of the file.

    Args:
        text: A text that `read_text` reads, without a byte order mark.
    """
    loader = LOADER(flow_without_tabs(with_marks_kept(with_pairs_joined(text))))
    try:
        while not isinstance(event := loader.get_event(), yaml.DocumentEndEvent):
            start, end = event.start_mark.index, event.end_mark.index
            if isinstance(event, yaml.ScalarEvent):
                yield Span("text", start, end, event.style or "")
            elif isinstance(event, yaml.CollectionStartEvent):
                kind = "rows" if isinstance(event, yaml.SequenceStartEvent) else "table"
                yield Span(kind, start, end, "[" if event.flow_style else "")
            elif isinstance(event, yaml.CollectionEndEvent):
                yield Span("end", start, end, "")
    finally:
        loader.dispose()


def _pass_over(loader: Any) -> None:  # noqa: ANN401 - PyYAML's loaders share no typed base
    """Take the events of one value and keep nothing of it."""
    depth = 0
    next_event = loader.get_event
    while True:
        kind = type(next_event())
        if kind is not yaml.ScalarEvent:
            if issubclass(kind, yaml.CollectionStartEvent):
                depth += 1
            elif issubclass(kind, yaml.CollectionEndEvent):
                depth -= 1
        if depth <= 0:
            return


@dataclass(slots=True, kw_only=True)
class _Open:
    """A list or a table whose end has not been read yet."""

    place: Place
    items: list[Node] | None = None
    entries: dict[str, Node] = field(default_factory=dict)
    keys: dict[str, Place] = field(default_factory=dict)
    key: str | None = None

    def wants_key(self) -> bool:
        """Return whether a field's name comes next."""
        return self.key is None and self.items is None

    def pointer(self) -> str:
        """Return the JSON Pointer of the value that comes next."""
        if self.items is not None:
            return f"{self.place.pointer}/{len(self.items)}"
        return step_into(self.place.pointer, self.key) if self.key else self.place.pointer

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
    """Builds nodes from parser events, one at a time; keeps the faults it can read past.

    Attributes:
        file: The file's name, for places.
        source: The text of the file where it is read with some of it changed, else "".
        outer: Stands around the document, as a table of one field without a name.
        top: The list or table that the next event belongs to.
        stack: What stands around `top`, outermost first.
        nodes: How many names and values were read.
        end: Where the document ended, in characters, once it is finished.
    """

    file: str
    source: str
    outer: _Open
    top: _Open
    stack: list[_Open] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)
    nodes: int = 0
    end: int = 0
    finished: bool = False

    def take(self, event: Any) -> None:  # noqa: ANN401 - PyYAML's events share no typed base
        """Take the next event of the parser."""
        if isinstance(event, yaml.ScalarEvent):
            if not self._plain(event):
                self._scalar(event)
        elif isinstance(event, yaml.CollectionStartEvent):
            self._start(event)
        elif isinstance(event, yaml.CollectionEndEvent):
            node = self.top.close()
            self.top = self.stack.pop()
            self.top.put(node)
        elif isinstance(event, yaml.AliasEvent):
            self._alias(event)
        elif isinstance(event, (yaml.DocumentEndEvent, yaml.StreamEndEvent)):
            self.finished = True
            mark: Any = event.end_mark
            self.end = mark.index

    def root(self) -> Node:
        """Return the root node.

        Raises:
            ReadError: There is nothing in the file.
        """
        root = self.outer.entries.get("")
        if root is None or (isinstance(root, Text) and not root.text and not root.quoted):
            raise refusal(Place(file=self.file), "The file is empty; write its fields into it.")
        return root

    def _plain(self, event: Any) -> bool:  # noqa: ANN401 - see take
        """Take a text with nothing odd about it; nine in ten are, and this is the quick way."""
        top, style = self.top, event.style
        if self.source or event.anchor or event.tag or style == '"' or self.nodes >= MOST_NODES:
            return False
        text, mark = event.value, event.start_mark
        if text in NOTHING and not style and not top.wants_key():
            text = ""
        line, column = mark.line + 1, mark.column + 1
        if top.items is not None:
            pointer = f"{top.place[3]}/{len(top.items)}"
            place = _place((self.file, line, column, pointer))
            top.items.append(_text((place, text, bool(style))))
        elif top.key is not None:
            pointer = step_into(top.place[3], top.key) if top.key else top.place[3]
            place = _place((self.file, line, column, pointer))
            top.entries.setdefault(top.key, _text((place, text, bool(style))))
            top.key = None
        elif text and text not in top.keys and text != "<<" and len(text) <= MOST_KEY:
            top.key = text
            top.keys[text] = _place((self.file, line, column, step_into(top.place[3], text)))
        else:
            return False
        self.nodes += 1
        return True

    def _scalar(self, event: Any) -> None:  # noqa: ANN401 - see take
        style, text = event.style, event.value
        if self.source:
            written = self.source[event.start_mark.index : event.end_mark.index]
            text = with_pairs_restored(text, written, escaped=style == '"')
        key = text if self.top.wants_key() else None
        if key is None and not style and text in NOTHING:
            text = ""
        if key is not None:
            self._check_key(key, event)
            self.top.key = key
        place = self._next_place(event)
        if style == '"' and (found := UNWRITABLE.search(text)):
            self._fault(
                place,
                f"An escape in this text makes the control character U+{ord(found[0]):04X}; "
                "only a tab and a line break may be written so.",
            )
        if key is None:
            self.top.put(Text(place=place, text=text, quoted=bool(style)))
        else:
            self.top.keys.setdefault(key, place)

    def _alias(self, event: Any) -> None:  # noqa: ANN401 - see take
        """Refuse a repeated value and go on as if its text stood there."""
        place, text = self._next_place(event), f"*{event.anchor}"
        self._fault(place, f"'{text}' repeats another value; write that out here.")
        if self.top.wants_key():
            self.top.key = text
        else:
            self.top.put(Text(place=place, text=text))

    def _check_key(self, key: str, event: Any) -> None:  # noqa: ANN401 - see take
        """Refuse a field's name that is too long, empty, doubled, or merges a table in."""
        if len(key) > MOST_KEY:
            says = f"The name of this field has {len(key)} characters; it may have {MOST_KEY}."
        elif key == "<<" and not event.style:
            says = "'<<' merges another table in; write its fields out here."
        elif not key:
            says = "The field has no name before its colon; write one."
        elif first := self.top.keys.get(key):
            says = (
                f"The field '{key}' stands twice in one table, first at line {first.line}, "
                f"column {first.column}; keep one of them."
            )
        else:
            return
        mark = event.start_mark
        self._fault(
            Place(
                file=self.file,
                line=mark.line + 1,
                column=mark.column + 1,
                pointer=self.top.place.pointer,
            ),
            says,
        )

    def _start(self, event: Any) -> None:  # noqa: ANN401 - see take
        place = self._next_place(event)
        if len(self.stack) >= MOST_DEPTH:
            says = f"Values are nested more than {MOST_DEPTH} deep here; write them flatter."
            raise refusal(place, says)
        is_rows = isinstance(event, yaml.SequenceStartEvent)
        if self.top.wants_key():
            says = (
                f"A {'list' if is_rows else 'table'} stands where the name of a field is needed; "
                "write the name as text, in quotes if it starts with a bracket."
            )
            raise refusal(place, says)
        self.stack.append(self.top)
        self.top = _Open(place=place, items=[] if is_rows else None)

    def _next_place(self, event: Any) -> Place:  # noqa: ANN401 - see take
        """Return the place of a value, or of a name just taken; refuse what dresses it."""
        mark = event.start_mark
        place = Place(
            file=self.file,
            line=mark.line + 1,
            column=mark.column + 1,
            pointer=self.top.pointer(),
        )
        self.nodes += 1
        if self.nodes > MOST_NODES:
            says = f"The file holds more than {MOST_NODES:,} names and values; split it."
            raise refusal(place, says)
        if isinstance(event, yaml.AliasEvent):
            return place
        if event.anchor:
            self._fault(place, f"'&{event.anchor}' marks a value for repeating; remove it.")
        if event.tag:
            says = "'!' puts a type on this value; remove it, or quote the text if it starts so."
            self._fault(place, says)
        return place

    def _fault(self, place: Place, says: str) -> None:
        self.faults.append(Fault(place, says))
        if len(self.faults) >= MOST_FAULTS:
            raise refusal(place, f"These are the first {MOST_FAULTS} faults; correct them first.")


_place = Place._make
_text = Text._make


def _builder(file: str, source: str) -> _Builder:
    outer = _Open(place=Place(file=file), key="")
    return _Builder(file=file, source=source, outer=outer, top=outer)


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
