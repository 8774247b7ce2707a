"""A file as it is written: its tables cut into entries, each with its comments and blanks.

What is cut is the text itself, so that all of it together is the text again. Tables are cut as deep
as they stand in tables; lists and other values stay whole.
"""

import re
from bisect import bisect_right
from collections.abc import Iterator
from dataclasses import dataclass, field

from .reader import Span, spans

BREAK = re.compile(r"\r\n|\n|\r")
_COMMENT = re.compile(r"[ \t]*#[^\r\n]*")
_COLON = re.compile(r"[ \t]*:[ \t]?")
_BEFORE_COMMA = re.compile(r"(?:[^#,]|#[^\r\n]*)*")


@dataclass(slots=True, kw_only=True)
class Entry:
    """A name with its value, as they are written.

    Attributes:
        name: The name.
        key: The name as written, in its quotes if it has some.
        lead: What stands before it: whole lines without braces, blanks and comments in them.
        between: From the name to its value; of a table without braces, to the end of the line.
        value: The value.
        comma: What stands between the value and the comma behind it.
        trail: What stands behind it on its last line, a comment if there is one.
        stop: The line break after it; "" in braces, and where the value's own lines end in one.
        gone: Whether it is left out, with all that is before and behind it.
    """

    name: str
    key: str
    lead: str = ""
    between: str
    value: "Piece"
    comma: str = ""
    trail: str = ""
    stop: str = ""
    gone: bool = False


@dataclass(slots=True, kw_only=True)
class Piece:
    """A value as it is written.

    Attributes:
        text: What is written, where it is no table, or one that cannot be cut.
        entries: The entries of a table; None for what is no table.
        braces: Whether the table stands in braces.
        head: The comment behind its opening brace.
        comma: Whether a comma stands behind its last entry.
        tail: What stands behind its last entry: whole lines, or blanks and comments in braces.
        column: How far its names are set in, or the line of its opening brace is.
    """

    text: str = ""
    entries: list[Entry] | None = None
    braces: bool = False
    head: str = ""
    comma: bool = False
    tail: str = ""
    column: int = 0

    @property
    def plain_table(self) -> bool:
        """Return whether it is a table without braces."""
        return self.entries is not None and not self.braces


@dataclass(slots=True, kw_only=True)
class Written:
    """A whole file: what stands around its table, and the table."""

    before: str
    root: Piece
    after: str
    ending: str = field(default="\n")

    def __str__(self) -> str:
        """Return the text."""
        return f"{self.before}{text_of(self.root, self.ending)}{self.after}"


def written(text: str) -> Written:
    """Return a text cut into entries.

    Args:
        text: A text that `read_text` reads, without a byte order mark.
    """
    return _Cutter(text).whole()


def text_of(piece: Piece, ending: str = "\n") -> str:
    """Return what a value looks like.

    Args:
        piece: The value.
        ending: A line break, for where a comment would hide what follows it.
    """
    if piece.entries is None:
        return piece.text
    if piece.braces:
        return _in_braces(piece, piece.entries, ending)
    indent = " " * piece.column
    lines = [
        f"{one.lead}{indent}{one.key}{one.between}{text_of(one.value, ending)}{one.trail}{one.stop}"
        for one in piece.entries
        if not one.gone
    ]
    return f"{''.join(lines)}{piece.tail}"


def _in_braces(piece: Piece, entries: list[Entry], ending: str) -> str:
    parts = ["{", piece.head]
    hidden = bool(piece.head)
    left = [one for one in entries if not one.gone]
    for one in left:
        lead = one.lead
        if one is left[0] and one is not entries[0] and _is_gap(lead) and _is_gap(entries[0].lead):
            lead = entries[0].lead  # so that no blank comes to stand behind the brace
        parts.append(_freed(lead, ending, piece.column) if hidden else lead)
        parts += (one.key, one.between, text_of(one.value, ending), one.comma)
        if one is not left[-1] or piece.comma:
            parts.append(" ," if parts[-3:] == [":", "", ""] else ",")  # `name:,` is one word
        parts.append(one.trail)
        hidden = "#" in one.trail
    parts.append(_freed(piece.tail, ending, piece.column) if hidden else piece.tail)
    return f"{''.join(parts)}}}"


def _is_gap(lead: str) -> bool:
    """Return whether a lead has neither lines nor comments in it."""
    return "#" not in lead and not BREAK.search(lead)


def _freed(blank: str, ending: str, column: int) -> str:
    """Return what follows a comment, on a line of its own."""
    return blank if BREAK.match(blank) else f"{ending}{' ' * column}{blank.lstrip(' ')}"


def comments(text: str) -> list[str]:
    """Return every comment of a text in order, from its `#` to the end of its line.

    Args:
        text: A text that `read_text` reads, without a byte order mark.
    """
    found: list[str] = []
    at = 0
    for kind, start, end, style in spans(text):
        if kind == "text":
            found += _COMMENTS.findall(text[at:start])
            at = end
            if style in ("|", ">"):
                header = BREAK.split(text[start:end], maxsplit=1)[0]
                found += _COMMENTS.findall(header)
    return found + _COMMENTS.findall(text[at:])


_COMMENTS = re.compile(r"#[^\r\n]*")


@dataclass(slots=True)
class _Node:
    """A value where it stands; of a table, names and values take turns."""

    span: Span
    stop: int
    items: list["_Node"]


class _CannotCutError(Exception):
    """A table is written in a way that is not cut, such as with question marks."""


class _Cutter:
    """One text."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.spans = spans(text)
        self.starts = [0, *(one.end() for one in BREAK.finditer(text))]
        found = BREAK.search(text)
        self.ending = found[0] if found else "\n"

    def whole(self) -> Written:
        node = self._node(next(self.spans))
        start = node.span.start
        if node.span.kind == "table" and not node.span.style:
            try:
                root, at = self._lines(node, 0)
            except _CannotCutError:
                pass
            else:
                self._give(root, self.text[at:])
                return Written(before="", root=root, after="", ending=self.ending)
        return Written(
            before=self.text[:start],
            root=self._piece(node),
            after=self.text[node.stop :],
            ending=self.ending,
        )

    def _node(self, span: Span) -> _Node:
        if span.kind == "text":
            stop = span.end
            if span.style in ("|", ">"):
                stop = span.start + len(self.text[span.start : stop].rstrip("\r\n "))
            return _Node(span, stop, [])
        items: list[_Node] = []
        for inside in self.spans:
            if inside.kind == "end":
                stop = inside.end if span.style else items[-1].stop
                return _Node(span, stop, items)
            items.append(self._node(inside))
        raise AssertionError(span)

    def _piece(self, node: _Node) -> Piece:
        if node.span.kind == "table" and node.span.style:
            try:
                return self._braces(node)
            except _CannotCutError:
                pass
        return Piece(text=self.text[node.span.start : node.stop])

    def _lines(self, node: _Node, at: int) -> tuple[Piece, int]:
        """Return a table without braces, and where the lines after its last entry begin."""
        piece = Piece(entries=[], column=self._column(node.items[0].span.start))
        entries: list[Entry] = []
        for key, value in self._pairs(node):
            begin = key.span.start - piece.column
            lead = self.text[at:begin]
            if self.text[begin : key.span.start].strip(" ") or _not_blank(lead):
                raise _CannotCutError
            if entries:
                lead = self._give(entries[-1].value, lead, piece.column)
            entry, at = self._line(key, value)
            entry.lead = lead
            entries.append(entry)
        piece.entries = entries
        return piece, at

    def _line(self, key: _Node, value: _Node) -> tuple[Entry, int]:
        name = self.text[key.span.start : key.stop]
        if value.span.kind == "table" and not value.span.style:
            below = self._next_line(key.stop)
            try:
                inner, at = self._lines(value, below)
            except _CannotCutError:
                pass
            else:
                between = self.text[key.stop : below]
                return Entry(name=_bare(name), key=name, between=between, value=inner), at
        end = BREAK.search(self.text, value.stop)
        stop = end.start() if end else len(self.text)
        entry = Entry(
            name=_bare(name),
            key=name,
            between=self.text[key.stop : value.span.start],
            value=self._piece(value),
            trail=self.text[value.stop : stop],
            stop=end[0] if end else "",
        )
        return entry, end.end() if end else len(self.text)

    def _give(self, piece: Piece, lines: str, column: int = -1) -> str:
        """Give a table the comments below it that are set in as far as it is; return the rest."""
        if piece.entries is None or piece.braces:
            return lines
        own, rest = _split(lines, column)
        own = self._give(piece.entries[-1].value, own, piece.column) if piece.entries else own
        piece.tail += own
        return rest

    def _braces(self, node: _Node) -> Piece:
        at = node.span.start + 1
        head = _COMMENT.match(self.text, at)
        line = self.text[at - 1 - self._column(at - 1) : at]
        column = len(line) - len(line.lstrip(" "))
        piece = Piece(braces=True, column=column, head=head[0] if head else "")
        at += len(piece.head)
        entries: list[Entry] = []
        for key, value in self._pairs(node):
            gap = self.text[at : key.span.start]
            lead, _ = self._after(entries, gap)
            name = self.text[key.span.start : key.stop]
            entries.append(
                Entry(
                    name=_bare(name),
                    key=name,
                    lead=lead,
                    between=self.text[key.stop : value.span.start],
                    value=self._piece(value),
                )
            )
            at = value.stop
        piece.entries = entries
        piece.tail, piece.comma = self._after(entries, self.text[at : node.stop - 1])
        return piece

    def _after(self, entries: list[Entry], gap: str) -> tuple[str, bool]:
        """Return what stands before the next entry, once the last one has got its own of a gap."""
        if _not_blank(gap.replace(",", " ")):
            raise _CannotCutError
        if not entries:
            return gap, False
        before = _BEFORE_COMMA.match(gap)
        end = before.end() if before else 0
        has_comma = end < len(gap)
        if has_comma:
            entries[-1].comma, gap = gap[:end], gap[end + 1 :]
        comment = _COMMENT.match(gap)
        if comment:
            entries[-1].trail, gap = comment[0], gap[comment.end() :]
        return gap, has_comma

    def _pairs(self, node: _Node) -> Iterator[tuple[_Node, _Node]]:
        for key, value in zip(node.items[::2], node.items[1::2], strict=True):
            span = value.span
            if (
                span.kind == "text" and span.start == span.end
            ):  # nothing stands there; its place may be anywhere behind
                colon = _COLON.match(self.text, key.stop)
                value.stop = colon.end() if colon else key.stop
                value.span = span._replace(start=value.stop, end=value.stop)
            yield key, value

    def _column(self, at: int) -> int:
        return at - self.starts[bisect_right(self.starts, at) - 1]

    def _next_line(self, at: int) -> int:
        found = BREAK.search(self.text, at)
        return found.end() if found else len(self.text)


def _bare(name: str) -> str:
    """Return a name without its quotes."""
    return name[1:-1] if name[:1] in ("'", '"') else name


def _not_blank(gap: str) -> bool:
    """Return whether anything but comments, blanks and the mark of a document stands there."""
    lines = (one.split("#", 1)[0].strip() for one in BREAK.split(gap))
    return any(one not in ("", "---") for one in lines)


def _split(lines: str, column: int) -> tuple[str, str]:
    """Return lines up to the last comment set in past a column, and the lines after it."""
    at = end = 0
    for line in lines.splitlines(keepends=True):
        at += len(line)
        bare = line.lstrip(" \t")
        if bare.startswith("#"):
            if len(line) - len(bare) <= column:
                break
            end = at
    return lines[:end], lines[end:]
