"""Values of a file moved to other names with their comments, all else left as it is written."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import NoReturn

from ruleset.errors import Fault, ShapeError
from ruleset.node import Node, Rows, Table, Text
from ruleset.place import Place
from ruleset.reader import NOTHING
from ruleset.written import BREAK, Entry, Piece, Written, text_of, written

from ..renames import Word

Path = tuple[str, ...]
WIDE = 100
"""How many columns a table may take in one line; a longer one gets a line for each entry."""
STEP = 2
EMPTY = frozenset(("", '""', "''", *NOTHING))
"""How a value that there is not may be written."""
_IN_BRACES = frozenset(",[]{}")
"""What text without quotes may not have in it between braces."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Moves:
    """Where values go, by paths from the root.

    Attributes:
        facts: New paths by old ones; all that is below an old path goes along.
        words: Words that become several values.
        order: Names of tables that stand together in this order, where they are new.
    """

    facts: Mapping[Path, Path]
    words: Mapping[Path, Word]
    order: tuple[str, ...]


@dataclass(slots=True, kw_only=True)
class _Taken:
    """A value on its way.

    Attributes:
        to: Its new path.
        origin: Its old one.
        beginning: The old path of what its new table stands at.
        quote: What its name was quoted in.
        above: Comments that stand above it, and "" for a blank line.
        raw: All from its name on, value and line breaks included.
        beside: The comment behind it.
        column: How far its line was set in.
        braces: Whether it stood in braces.
    """

    to: Path
    origin: Path
    quote: str
    above: list[str]
    raw: str
    beside: str
    column: int
    braces: bool
    beginning: Path = ()

    def __post_init__(self) -> None:
        """Let its table stand where it stood itself."""
        self.beginning = self.beginning or self.origin

    @property
    def name(self) -> str:
        """Return its new name."""
        return self.to[-1]

    @property
    def commented(self) -> bool:
        """Return whether it needs lines of its own."""
        return any(self.above) or bool(self.beside) or bool(BREAK.search(self.raw))

    def goes_in_braces(self) -> bool:
        """Return whether it may be written in one line with others."""
        value = self.raw.lstrip(": ")
        is_text = value[:1] not in ("'", '"', "[", "{")
        return not self.commented and not (
            not self.braces and is_text and not _IN_BRACES.isdisjoint(value)
        )


@dataclass(slots=True, kw_only=True)
class _New:
    """A table that is not there yet.

    Attributes:
        name: Its name.
        origin: The old path of its first value.
        inside: What it gets.
    """

    name: str
    origin: Path
    inside: "list[_New | _Taken]" = field(default_factory=list)

    def taken(self) -> Iterator[_Taken]:
        """Yield every value in it."""
        for one in self.inside:
            if isinstance(one, _New):
                yield from one.taken()
            else:
                yield one

    @property
    def quote(self) -> str:
        """Return what its name is to be quoted in."""
        return next(self.taken()).quote

    @property
    def commented(self) -> bool:
        """Return whether it needs lines of its own."""
        return any(one.commented for one in self.taken())

    def goes_in_braces(self) -> bool:
        """Return whether it may be written in one line, as some of it was."""
        every = list(self.taken())
        return all(one.goes_in_braces() for one in every) and (
            len(every) == 1 or any(one.braces for one in every)
        )


@dataclass(slots=True, kw_only=True)
class _Home:
    """A table that gets values.

    Attributes:
        piece: The table.
        path: Its path.
        owner: Its own entry, None for the whole file.
        around: The table that it stands in.
        gets: What it gets.
    """

    piece: Piece
    path: Path
    owner: Entry | None
    around: Piece | None
    gets: list[_New | _Taken] = field(default_factory=list)


def moved(text: str, node: Node, moves: Moves, *, first: tuple[str, str]) -> str:
    """Return a text with its values moved.

    Args:
        text: The text, without a byte order mark.
        node: What was read of it, for places.
        moves: Where values go.
        first: A field of the whole file, and its value, a number; it is put first where there is
            none.

    Raises:
        ShapeError: A value cannot be moved.
    """
    found = BREAK.search(text)
    ending = found[0] if found else "\n"
    ends = BREAK.search(text[-1:]) is not None
    made = _Moving(text if ends else f"{text}{ending}", node, moves).done(*first)
    return made if ends else made.removesuffix(ending)


class _Moving:
    """One text on its way."""

    def __init__(self, text: str, node: Node, moves: Moves) -> None:
        self.file: Written = written(text)
        self.node = node
        self.moves = moves
        self.ending = self.file.ending
        self.heads = {
            path[:end] for path in (*moves.facts, *moves.words) for end in range(1, len(path))
        }
        self.taken: list[_Taken] = []
        self.homes: dict[int, _Home] = {}
        self.step = _step(self.file.root)

    def done(self, name: str, value: str) -> str:
        """Return the text with everything moved, and a field of the whole file in it."""
        whole = self.file.root
        if whole.entries is None:
            self._cannot(())
        self._take(whole, whole.entries, ())
        for taken in self._in_order():
            self._house(taken)
        for home in sorted(self.homes.values(), key=lambda one: -len(one.path)):
            self._fill(home)
        self._mark(whole, name, value)
        return str(self.file)

    def _mark(self, whole: Piece, name: str, value: str) -> None:
        entries = whole.entries or []
        said = self._entry(whole, name)
        if said is not None:
            said.value = Piece(text=value)
            said.between = ": "
            return
        quote = _quote(entries[0].key)
        made = Entry(
            name=name,
            key=f"{quote}{name}{quote}",
            lead=entries[0].lead,
            between=": ",
            value=Piece(text=value),
            stop="" if whole.braces else self.ending,
        )
        entries[0].lead = _gap(whole, self.ending) if whole.braces else ""
        entries.insert(0, made)

    def _in_order(self) -> list[_Taken]:
        """Return what goes, sorted by the place of its table.

        That of tables with an order is where the first value for one of them stood.
        """
        first: dict[str, Path] = {}
        for taken in self.taken:
            if taken.to[1] in self.moves.order:
                taken.beginning = first.setdefault(taken.to[0], taken.origin)
        places = {one.beginning[:2]: at for at, one in reversed([*enumerate(self.taken)])}
        order = {name: at for at, name in enumerate(self.moves.order)}
        return sorted(
            self.taken, key=lambda t: (places[t.beginning[:2]], order.get(t.to[1], len(order)))
        )

    # What goes.

    def _take(self, piece: Piece, entries: list[Entry], path: Path) -> None:
        for entry in entries:
            at = (*path, entry.name)
            if at in self.moves.words:
                self._spoken(piece, entry, at, self.moves.words[at])
            elif at in self.moves.facts:
                self._go(piece, entry, at, self.moves.facts[at])
            elif at in self.heads:
                self._inside(piece, entry, at)

    def _go(self, piece: Piece, entry: Entry, at: Path, to: Path) -> None:
        raw = f"{entry.between}{text_of(entry.value, self.ending)}"
        if entry.value.plain_table:
            raw = raw.rstrip("\r\n")
        entry.gone = True
        self.taken.append(
            _Taken(
                to=to,
                origin=at,
                quote=_quote(entry.key),
                above=[*_remarks(entry.lead, piece), *_remarks_in(entry.comma)],
                raw=raw.strip(" \t"),
                beside=entry.trail.strip(),
                column=piece.column,
                braces=piece.braces,
            )
        )

    def _spoken(self, piece: Piece, entry: Entry, at: Path, word: Word) -> None:
        """Let a word go as a value of each of several facts."""
        node, said = node_at(self.node, at), entry.value.text
        text = node.text if isinstance(node, Text) else None
        values = ("",) * len(word.now) if text == "" else word.was.get(text or "")
        if values is None:
            words = ", ".join(word.was)
            self._wrong(at, f"{'.'.join(at)} is {text or 'no word'}; it may be {words}.")
        quote, first = _quote(said), len(self.taken)
        for name, value in zip(word.now, values, strict=True):
            entry.value = Piece(text=f"{quote}{value}{quote}" if value else said)
            self._go(piece, entry, at, tuple(name.split(".")))
        for one in self.taken[first + 1 :]:
            one.above, one.beside = [], ""
        if said.startswith(("|", ">")):
            self.taken[first].above += _remarks_in(BREAK.split(said)[0])

    def _inside(self, piece: Piece, entry: Entry, at: Path) -> None:
        """Let go what is inside a table, and the table with the last of it."""
        first = len(self.taken)
        value = entry.value
        if value.entries:
            self._take(value, value.entries, at)
            stays = any(one.to[: len(at)] == at for one in self.taken[first:])
            if stays or not all(one.gone for one in value.entries):
                return
        elif value.entries is None and value.text not in EMPTY:
            self._wrong(at, f"{'.'.join(at)} is a table in a file of the old format; write it so.")
        else:
            self._blank(piece, entry, at)
        entry.gone = True
        above = [*_remarks(entry.lead, piece), *_remarks_in(entry.between, value.head)]
        below = _remarks_in(value.tail, entry.comma)
        beside = entry.trail.strip()
        one = self.taken[first]
        if beside and one.beside:
            above.append(beside)
        else:
            one.beside = one.beside or beside
        one.above[:0] = above
        self.taken[-1].above += below

    def _blank(self, piece: Piece, entry: Entry, at: Path) -> None:
        """Let a table that was left empty go as the names there may be in it."""
        every: list[tuple[Path, tuple[Path, ...]]] = [
            (old, (new,)) for old, new in self.moves.facts.items()
        ]
        every += [
            (old, tuple(tuple(new.split(".")) for new in word.now))
            for old, word in self.moves.words.items()
        ]
        for old, news in every:
            if old[: len(at)] == at:
                for new in news:
                    self.taken.append(
                        _Taken(
                            to=new,
                            origin=old,
                            quote=_quote(entry.key),
                            above=[],
                            raw=": null" if _quote(entry.key) else ":",
                            beside="",
                            column=piece.column,
                            braces=piece.braces,
                        )
                    )

    # Where it goes.

    def _house(self, taken: _Taken) -> None:
        """Put a value on the list of the table it goes to; make that where there is none."""
        home, to = self._nearest(taken), taken.to
        inside, depth = home.gets, len(home.path)
        if depth == len(to) - 1 and self._entry(home.piece, taken.name):
            self._taken_already(taken, to)
        for end in range(depth, len(to) - 1):
            name = to[end]
            found = next((one for one in inside if one.name == name), None)
            if found is None:
                found = _New(name=name, origin=taken.beginning)
                inside.append(found)
            if isinstance(found, _Taken):
                self._taken_already(taken, to[: end + 1])
            inside = found.inside
        if any(one.name == taken.name for one in inside):
            self._taken_already(taken, to)
        inside.append(taken)

    def _nearest(self, taken: _Taken) -> _Home:
        """Return the deepest table there is on the way; a name left empty on it goes."""
        home = self._home(self.file.root, (), None, None)
        for name in taken.to[:-1]:
            entry, path = self._entry(home.piece, name), (*home.path, name)
            if entry is None:
                break
            if entry.value.entries is not None:
                home = self._home(entry.value, path, entry, home.piece)
                continue
            if entry.value.text not in EMPTY:
                self._taken_already(taken, path)
            entry.gone = True
            beside = [entry.trail.strip()] if entry.trail.strip() else []
            lead = _remarks(entry.lead, home.piece)
            taken.above[:0] = [*lead, *_remarks_in(entry.between), *beside]
            taken.above += _remarks_in(entry.comma)
            break
        return home

    def _home(self, piece: Piece, path: Path, owner: Entry | None, around: Piece | None) -> _Home:
        made = _Home(piece=piece, path=path, owner=owner, around=around)
        return self.homes.setdefault(id(piece), made)

    def _entry(self, piece: Piece, name: str) -> Entry | None:
        for one in piece.entries or ():
            if one.name == name and not one.gone:
                return one
        return None

    # How it is written there.

    def _fill(self, home: _Home) -> None:
        piece = home.piece
        if not home.gets or piece.entries is None:
            return
        if piece.braces and not self._fits(home):
            self._open(home)
        gap = _gap(piece, self.ending)
        entries = piece.entries
        for one in home.gets:
            if piece.braces:
                entry = self._in_braces(one, gap, piece.column)
            else:
                entry = self._on_lines(one, piece.column)
            depth = len(home.path)
            at = len(entries)
            if one.origin[:depth] == home.path:
                at = next(
                    (
                        index
                        for index, other in enumerate(entries)
                        if other.name == one.origin[depth]
                    ),
                    at,
                )
            if piece.braces and at == 0 and entries and "#" not in entries[0].lead:
                entry.lead, entries[0].lead = entries[0].lead, gap
            entries.insert(at, entry)

    def _fits(self, home: _Home) -> bool:
        """Return whether a table in braces stays so: it has to in others, and may in one line."""
        around = home.around
        if around is None or around.braces or home.owner is None:
            return True
        if not all(one.goes_in_braces() for one in home.gets):
            return False
        text = text_of(home.piece)
        if BREAK.search(text):
            return True
        text = f"{home.owner.key}: {text}"
        more = ", ".join(self._one_line(one) for one in home.gets)
        return around.column + len(text) + len(more) + 2 <= WIDE

    def _open(self, home: _Home) -> None:
        """Turn a table in braces into one with a line for each entry."""
        piece, owner, around = home.piece, home.owner, home.around
        if owner is None or around is None or piece.entries is None:
            return
        column = around.column + self.step
        opened = []
        for entry in piece.entries:
            was_gone = entry.gone
            self._go(piece, entry, (entry.name,), (entry.name,))
            made = self._on_lines(self.taken.pop(), column)
            made.gone = was_gone
            opened.append(made)
        remarks = _remarks_in(owner.between, piece.head, owner.trail)
        beside = f"  {remarks[0]}" if remarks else ""
        owner.between = f":{beside}{self.ending}{self._lines(remarks[1:], column)}"
        owner.trail = owner.stop = piece.head = ""
        piece.entries, piece.braces, piece.column = opened, False, column
        piece.tail = self._lines(_remarks_in(piece.tail), column)

    def _on_lines(self, one: _New | _Taken, column: int) -> Entry:
        """Return an entry that has lines of its own."""
        key = f"{one.quote}{one.name}{one.quote}"
        if isinstance(one, _Taken):
            raw = one.raw
            if raw[1:2] not in ("", " ", "\t", "\r", "\n"):
                raw = f": {raw[1:]}"
            return Entry(
                name=one.name,
                key=key,
                lead=self._lines(one.above, column),
                between="",
                value=Piece(text=_shifted(raw, column - one.column)),
                trail=f"  {one.beside}" if one.beside else "",
                stop=self.ending,
            )
        blanks = self._blanks(one)
        line = self._one_line(one)
        if one.goes_in_braces() and column + len(line) <= WIDE:
            text = line.removeprefix(f"{key}: ")
            between, value, stop = ": ", Piece(text=text), self.ending
        else:
            between, stop = f":{self.ending}", ""
            inner = column + self.step
            entries = [self._on_lines(inside, inner) for inside in one.inside]
            value = Piece(entries=entries, column=inner)
        return Entry(name=one.name, key=key, lead=blanks, between=between, value=value, stop=stop)

    def _in_braces(self, one: _New | _Taken, gap: str, column: int) -> Entry:
        """Return an entry for a table in braces.

        Args:
            one: What it is to hold.
            gap: What stands before an entry there.
            column: How far the table is set in.
        """
        key = f"{one.quote}{one.name}{one.quote}"
        has_lines = bool(BREAK.search(gap))
        if isinstance(one, _Taken):
            inner = len(gap) - len(gap.rstrip(" ")) if has_lines else column + self.step
            above = [f"{self.ending}{' ' * inner}{line}" for line in one.above if line]
            if above or (one.commented and not has_lines):
                gap = f"{''.join(above)}{self.ending}{' ' * inner}"
            text = one.raw if one.raw != ":" else ": "
            trail = f"  {one.beside}" if one.beside else ""
            made = Piece(text=text)
            return Entry(name=one.name, key=key, lead=gap, between="", value=made, trail=trail)
        line = self._one_line(one).removeprefix(f"{key}: ")
        own = len(gap) - len(gap.rstrip(" ")) if has_lines else column
        made = Piece(text=line)
        if one.commented or (has_lines and own + len(key) + 2 + len(line) > WIDE):
            inner_gap = f"{self.ending}{' ' * (own + self.step)}"
            entries = [self._in_braces(inside, inner_gap, own) for inside in one.inside]
            tail = f"{self.ending}{' ' * own}"
            made = Piece(entries=entries, braces=True, column=own, tail=tail)
        return Entry(name=one.name, key=key, lead=gap, between=": ", value=made)

    def _one_line(self, one: _New | _Taken) -> str:
        key = f"{one.quote}{one.name}{one.quote}"
        if isinstance(one, _Taken):
            return f"{key}{one.raw}" if one.raw != ":" else f"{key}: "
        inside = ", ".join(self._one_line(inner) for inner in one.inside)
        return f"{key}: {{{inside}}}"

    def _blanks(self, new: _New) -> str:
        """Return the blank lines above a table's first value, which go above the table."""
        first = next(new.taken())
        many = next((at for at, line in enumerate(first.above) if line), len(first.above))
        del first.above[:many]
        return self.ending * many

    def _lines(self, lines: Iterable[str], column: int) -> str:
        indent = " " * column
        return "".join(f"{indent}{line}{self.ending}" if line else self.ending for line in lines)

    # What cannot go.

    def _taken_already(self, taken: _Taken, at: Path) -> NoReturn:
        old, new = ".".join(taken.origin), ".".join(at)
        self._wrong(taken.origin, f"{old} is now {new}, which stands here as well; keep one.")

    def _wrong(self, at: Path, says: str) -> NoReturn:
        raise ShapeError(Fault(place_of(self.node, at), says))

    def _cannot(self, at: Path) -> NoReturn:
        says = "This stands in a form that is not edited; write it in another."
        raise ShapeError(Fault(place_of(self.node, at), says))


def node_at(node: Node, path: Path) -> Node | None:
    """Return what stands at a path of tables."""
    for name in path:
        if not isinstance(node, Table) or name not in node.entries:
            return None
        node = node.entries[name]
    return node


def place_of(node: Node, path: Path) -> Place:
    """Return where the name at a path stands, or what is there on the way to it."""
    place = node.place
    for part in path:
        if isinstance(node, Table) and part in node.entries:
            place, node = node.keys[part], node.entries[part]
        elif isinstance(node, Rows) and part.isdigit() and int(part) < len(node.items):
            node = node.items[int(part)]
            place = node.place
        else:
            break
    return place


def _quote(written_as: str) -> str:
    return written_as[:1] if written_as[:1] in ("'", '"') else ""


def _remarks(lead: str, piece: Piece) -> list[str]:
    """Return the comments before an entry, and "" for each blank line."""
    first, *lines = BREAK.split(lead)
    if piece.braces:
        return [one.strip() for one in ([first] if "#" in first else []) + lines[:-1]]
    return [one.strip() for one in [first, *lines][:-1]]


def _remarks_in(*gaps: str) -> list[str]:
    """Return the comments of gaps."""
    lines = [line for gap in gaps for line in BREAK.split(gap) if "#" in line]
    return [line[line.index("#") :].rstrip() for line in lines]


def _shifted(raw: str, by: int) -> str:
    """Return lines set further in, or out; the first line stays."""
    first, *rest = raw.splitlines(keepends=True) or [""]
    return "".join([first, *(_shifted_line(line, by) for line in rest)])


def _shifted_line(line: str, by: int) -> str:
    if not line.strip():
        return line
    room = len(line) - len(line.lstrip(" "))
    return f"{' ' * by}{line}" if by >= 0 else line[min(-by, room) :]


def _gap(piece: Piece, ending: str) -> str:
    """Return what stands before a new entry of a table in braces."""
    leads = [one.lead for one in piece.entries or ()]
    for lead in leads:
        if BREAK.search(lead):
            return f"{ending}{BREAK.split(lead)[-1]}"
    return leads[1] if len(leads) > 1 else " " if leads else ""


def _step(piece: Piece) -> int:
    """Return how far a table inside another is set in."""
    for one in piece.entries or ():
        inner = one.value
        if inner.plain_table and piece.plain_table:
            return inner.column - piece.column
        if piece.braces and BREAK.search(one.lead):
            return max(len(one.lead) - len(one.lead.rstrip(" ")) - piece.column, 0) or STEP
    return STEP
