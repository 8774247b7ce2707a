"""Values of a file moved to other names with their comments, all else left as it is written."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import NoReturn

from ruleset.errors import Fault, ShapeError
from ruleset.node import Node, Table, Text, node_at, place_of
from ruleset.written import BREAK, Entry, Piece, Written, text_of, written

from ..renames import Word
from .laying import WIDE, Laying, gap_of
from .taken import EMPTY, New, Path, Taken, quote_of, remarks, remarks_in


@dataclass(frozen=True, slots=True, kw_only=True)
class Moves:
    """Where values go, by paths from the root.

    Attributes:
        facts: New paths by old ones; all that is below an old path goes along.
        words: Words that become several values.
        order: Names of tables that stand together in this order, where they are new.
        stay: Tables that there still are, so that one left empty stays so.
    """

    facts: Mapping[Path, Path]
    words: Mapping[Path, Word]
    order: tuple[str, ...]
    stay: frozenset[Path]


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
    gets: list[New | Taken] = field(default_factory=list)


def moved(text: str, node: Node, moves: Moves, *, mark: tuple[str, str], behind: str) -> str:
    """Return a text with its values moved.

    Args:
        text: The text, without a byte order mark.
        node: What was read of it, for places.
        moves: Where values go.
        mark: A field of the whole file, and its value, a number.
        behind: The field that it is put behind, where there is none yet.

    Raises:
        ShapeError: A value cannot be moved.
    """
    found = BREAK.search(text)
    ending = found[0] if found else "\n"
    ends = BREAK.search(text[-1:]) is not None
    made = _Moving(text if ends else f"{text}{ending}", node, moves).done(*mark, behind)
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
        self.taken: list[Taken] = []
        self.homes: dict[int, _Home] = {}
        self.laying = Laying(self.file)

    def done(self, name: str, value: str, behind: str) -> str:
        """Return the text with everything moved, and a field of the whole file in it."""
        whole = self.file.root
        if whole.entries is None:
            self._cannot(())
        self._take(whole, whole.entries, ())
        for taken in self._in_order():
            self._house(taken)
        for home in sorted(self.homes.values(), key=lambda one: -len(one.path)):
            self._fill(home)
        self._mark(whole, name, value, behind)
        return str(self.file)

    def _mark(self, whole: Piece, name: str, value: str, behind: str) -> None:
        """Write a field of the whole file."""
        said, first = self._entry(whole, name), self._entry(whole, behind)
        if said is not None:
            said.between = said.between if said.value.text else ": "
            said.value = Piece(text=value)
        elif first is not None and whole.entries is not None:
            quote = quote_of(first.key)
            made = Entry(
                name=name,
                key=f"{quote}{name}{quote}",
                lead=gap_of(whole, self.ending) if whole.braces else "",
                between=": ",
                value=Piece(text=value),
                stop="" if whole.braces else self.ending,
            )
            whole.entries.insert(whole.entries.index(first) + 1, made)

    def _in_order(self) -> list[Taken]:
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
            Taken(
                to=to,
                origin=at,
                quote=quote_of(entry.key),
                above=[*remarks(entry.lead, piece), *remarks_in(entry.comma)],
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
        quote, first = quote_of(said), len(self.taken)
        for name, value in zip(word.now, values, strict=True):
            entry.value = Piece(text=f"{quote}{value}{quote}" if value else said)
            self._go(piece, entry, at, tuple(name.split(".")))
        for one in self.taken[first + 1 :]:
            one.above, one.beside = [], ""
        if said.startswith(("|", ">")):
            self.taken[first].above += remarks_in(BREAK.split(said)[0])

    def _inside(self, piece: Piece, entry: Entry, at: Path) -> None:
        """Let go what is inside a table, and the table with the last of it."""
        first = len(self.taken)
        value = entry.value
        if value.entries:
            self._take(value, value.entries, at)
            stays = any(one.to[: len(at)] == at for one in self.taken[first:])
            if stays or not all(one.gone for one in value.entries):
                return
        elif value.entries is None and isinstance(node_at(self.node, at), Table):
            self._cannot(at)
        elif value.entries is None and value.text not in EMPTY:
            self._wrong(at, f"{'.'.join(at)} is a table in a file of the old format; write it so.")
        elif at in self.moves.stay:
            return
        else:
            self._blank(piece, entry, at)
        entry.gone = True
        above = [*remarks(entry.lead, piece), *remarks_in(entry.between, value.head)]
        below = remarks_in(value.tail, entry.comma)
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
                        Taken(
                            to=new,
                            origin=old,
                            quote=quote_of(entry.key),
                            above=[],
                            raw=": null" if quote_of(entry.key) else ":",
                            beside="",
                            column=piece.column,
                            braces=piece.braces,
                        )
                    )

    # Where it goes.

    def _house(self, taken: Taken) -> None:
        """Put a value on the list of the table it goes to; make that where there is none."""
        home, to = self._nearest(taken), taken.to
        inside, depth = home.gets, len(home.path)
        if depth == len(to) - 1 and self._entry(home.piece, taken.name):
            self._taken_already(taken, to)
        for end in range(depth, len(to) - 1):
            name = to[end]
            found = next((one for one in inside if one.name == name), None)
            if found is None:
                found = New(name=name, origin=taken.beginning)
                inside.append(found)
            if isinstance(found, Taken):
                self._taken_already(taken, to[: end + 1])
            inside = found.inside
        if any(one.name == taken.name for one in inside):
            self._taken_already(taken, to)
        inside.append(taken)

    def _nearest(self, taken: Taken) -> _Home:
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
            lead = remarks(entry.lead, home.piece)
            taken.above[:0] = [*lead, *remarks_in(entry.between), *beside]
            taken.above += remarks_in(entry.comma)
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
        gap = gap_of(piece, self.ending)
        entries = piece.entries
        for one in home.gets:
            if piece.braces:
                entry = self.laying.in_braces(one, gap, piece.column)
            else:
                entry = self.laying.on_lines(one, piece.column)
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
        more = ", ".join(self.laying.one_line(one) for one in home.gets)
        return around.column + len(text) + len(more) + 2 <= WIDE

    def _open(self, home: _Home) -> None:
        """Turn a table in braces into one with a line for each entry."""
        piece, owner, around = home.piece, home.owner, home.around
        if owner is None or around is None or piece.entries is None:
            return
        column = around.column + self.laying.step
        opened = []
        for entry in piece.entries:
            was_gone = entry.gone
            self._go(piece, entry, (entry.name,), (entry.name,))
            made = self.laying.on_lines(self.taken.pop(), column)
            made.gone = was_gone
            opened.append(made)
        remarks = remarks_in(owner.between, piece.head, owner.trail)
        beside = f"  {remarks[0]}" if remarks else ""
        owner.between = f":{beside}{self.ending}{self.laying.lines(remarks[1:], column)}"
        owner.trail = owner.stop = piece.head = ""
        piece.entries, piece.braces, piece.column = opened, False, column
        piece.tail = self.laying.lines(remarks_in(piece.tail), column)

    # What cannot go.

    def _taken_already(self, taken: Taken, at: Path) -> NoReturn:
        old, new = ".".join(taken.origin), ".".join(at)
        self._wrong(taken.origin, f"{old} is now {new}, which stands here as well; keep one.")

    def _wrong(self, at: Path, says: str) -> NoReturn:
        raise ShapeError(Fault(place_of(self.node, at), says))

    def _cannot(self, at: Path) -> NoReturn:
        says = "This stands in a form that is not edited; write it in another."
        raise ShapeError(Fault(place_of(self.node, at), says))
