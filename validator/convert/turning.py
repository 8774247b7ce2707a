"""One file turned into format 2: what it is, what moves in it, and whether all of it is there."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from ruleset.errors import Fault, ShapeError
from ruleset.layers import FORMAT
from ruleset.node import Node, Rows, Table, Text, node_at, place_of, plain
from ruleset.place import Place
from ruleset.reader import read_text
from ruleset.written import comments

from ..editing import BOM, parts_of, with_names, with_values
from ..renames import Renames, has_side, renames
from .layers import names_of_layer
from .moving import Moves, moved
from .taken import Path

MARK: Path = ("format",)
"""Where a file says which format it is of."""
KINDS = {"job": "job", "stock": "stock", "policy": "policy", "code set": "code", "kit": "kit"}
"""The field that says of each kind of file what it is: the first of them that a file has."""
OLD = "1"
"""What a file of the format before may say of itself."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Converted:
    """A file turned into this format.

    Attributes:
        kind: What it is, such as "job".
        data: Its text now, as bytes; None where it was of this format already.
        notes: What a person has to look at, a sentence each.
    """

    kind: str
    data: bytes | None
    notes: tuple[str, ...] = ()


def convert(raw: bytes, file: str, *, hand: str = "") -> Converted:
    """Return a file's content in this format.

    Args:
        raw: The file's content, YAML or JSON.
        file: Its name, for places.
        hand: The hand of a job that does not give it; "" for none.

    Raises:
        RulesetError: The file cannot be read, is none that is converted, or has what cannot be
            turned without a person.
    """
    node = read_text(raw, file)
    kind = kind_of(node)
    if not _is_old(node):
        return Converted(kind=kind, data=None)
    text = raw.decode()
    mark = BOM if text.startswith(BOM) else ""
    text = text.removeprefix(BOM)
    sheet, moves = renames(), _moves(None)
    values: Mapping[str, str] = {}
    names: Mapping[Path, str] = {}
    notes: list[str] = []
    if kind == "job":
        sheet = _by_hand(node, sheet, hand)
        moves, values = _moves(sheet), dict(_of_waivers(node, sheet))
    elif kind in ("code set", "policy", "stock"):
        names = names_of_layer(node, sheet, kind, notes)
    new = with_values(text, file, node, values)
    new = with_names(new, {place_of(node, at): (at[-1], to) for at, to in names.items()})
    new = moved(new, read_text(new, file), moves, mark=(MARK[0], FORMAT), behind=KINDS[kind])
    _check(node, text, new, _wanted(node, moves, values, names))
    return Converted(kind=kind, data=f"{mark}{new}".encode(), notes=tuple(notes))


def kind_of(node: Node) -> str:
    """Return what a file is.

    Raises:
        ShapeError: It is nothing that is converted.
    """
    names = node.entries.keys() if isinstance(node, Table) else ()
    for kind, name in KINDS.items():
        if name in names:
            return kind
    says = "This is no job, kit, code set, policy or stock of a shop, which are what is converted."
    if "book" in names:
        says = "A book is not converted: it says by sort what it said by part; write it so."
    raise ShapeError(Fault(node.place, says))


def _is_old(node: Node) -> bool:
    """Return whether a file is of the format before.

    Raises:
        ShapeError: It is of a format that is not known.
    """
    said = node.entries.get(MARK[0]) if isinstance(node, Table) else None
    if said is None or (isinstance(said, Text) and said.text in ("", OLD)):
        return True
    if isinstance(said, Text) and said.text == FORMAT:
        return False
    says = f"The format of a file is {FORMAT}, or not said where it is older; here is another."
    raise ShapeError(Fault(said.place, says))


def _by_hand(node: Node, sheet: Renames, asked: str) -> Renames:
    """Return the sheet for a job's hand.

    Raises:
        ShapeError: The job has what depends on the hand, and does not give it.
    """
    at = tuple(sheet.hand.split("."))
    said = node_at(node, at)
    hand = said.text if isinstance(said, Text) and said.text else asked
    if hand in sheet.sides:
        return sheet.on(hand)
    words = " or ".join(sheet.sides)
    if hand:
        says = f"{sheet.hand} is {hand}; it may be {words}."
        raise ShapeError(Fault(said.place if said else node.place, says))
    first = next(iter(_with_sides(node, sheet)), None)
    if first is not None:
        name, place = first
        says = (
            f"Which wall {name} is of depends on the hand, and {sheet.hand} is not given; write "
            f"it there, or say --hand {next(iter(sheet.sides))} to convert with."
        )
        raise ShapeError(Fault(place, says))
    return sheet.on(next(iter(sheet.sides)))


def _with_sides(node: Node, sheet: Renames) -> Iterator[tuple[str, Place]]:
    """Yield what a job has that depends on the hand, with its place."""
    names = [old for old, new in sheet.facts.items() if has_side(new)]
    names += [old for old, word in sheet.words.items() if any(map(has_side, word.now))]
    for old in names:
        found = node_at(node, tuple(old.split(".")))
        if found is not None and plain(found) not in ("", None):
            yield old, place_of(node, tuple(old.split(".")))
    for waiver in _rows(node, "waivers"):
        subject = node_at(waiver, ("subject",))
        if isinstance(subject, Text) and has_side(sheet.parts.get(subject.text, "")):
            yield subject.text, subject.place


def _moves(sheet: Renames | None) -> Moves:
    """Return what moves in a job; nothing in another file."""
    if sheet is None:
        return Moves(facts={}, words={}, order=(), stay=frozenset())
    news = (tuple(new.split(".")) for new in (*sheet.facts.values(), *sheet.states))
    return Moves(
        facts={tuple(old.split(".")): tuple(new.split(".")) for old, new in sheet.facts.items()},
        words={tuple(old.split(".")): word for old, word in sheet.words.items()},
        order=sheet.order,
        stay=frozenset(new[:end] for new in news for end in range(1, len(new) + 1)),
    )


def _of_waivers(node: Node, sheet: Renames) -> Iterator[tuple[str, str]]:
    """Yield what the waivers of a job are to say, by JSON Pointer."""
    for at, waiver in enumerate(_rows(node, "waivers")):
        clause, subject = node_at(waiver, ("clause",)), node_at(waiver, ("subject",))
        told = subject.text if isinstance(subject, Text) else ""
        new = sheet.clauses.get(clause.text) if isinstance(clause, Text) else None
        if clause is not None and new is not None:
            if told not in ("", new.of):
                says = f"{plain(clause)} was asked of {new.of} alone, and this waives it of {told}."
                raise ShapeError(Fault(waiver.place, f"{says} Correct it first."))
            yield f"/waivers/{at}/clause", new.now
            if not told:
                yield f"/waivers/{at}/subject", new.of
        elif told in sheet.parts:
            yield f"/waivers/{at}/subject", sheet.parts[told]


def _check(node: Node, text: str, new: str, wanted: Mapping[Path, str]) -> None:
    """Refuse a new text that has lost or changed a comment or a value."""
    found = dict(_flat(read_text(new, node.place.file), ()))
    if sorted(comments(text)) != sorted(comments(new)) or found != wanted:
        says = "This cannot be converted without changing what it says; write it anew by hand."
        raise ShapeError(Fault(node.place, says))


def _wanted(
    node: Node, moves: Moves, values: Mapping[str, str], names: Mapping[Path, str]
) -> Mapping[Path, str]:
    """Return every value of the file as it has to be, by its path, worked out without its text."""
    found: dict[Path, str] = {}
    for path, text in _flat(node, ()):
        new = names.get(path[:2])
        at = path if new is None else (path[0], new, *path[2:])
        found |= dict.fromkeys(_ways(at, moves), text)
        if at in moves.words:
            word = moves.words[at]
            found |= zip(_ways(at, moves), word.was.get(text, ("",) * len(word.now)), strict=True)
    found |= {tuple(parts_of(at)): new for at, new in values.items()}
    tables = {path[:end] for path in found for end in range(1, len(path))}
    return {path: text for path, text in found.items() if path not in tables} | {MARK: FORMAT}


def _ways(path: Path, moves: Moves) -> tuple[Path, ...]:
    """Return where the value of a path goes; of a table left empty, all that may be in it."""
    if path in moves.words:
        return tuple(tuple(new.split(".")) for new in moves.words[path].now)
    for end in range(len(path), 0, -1):
        if path[:end] in moves.facts:
            return ((*moves.facts[path[:end]], *path[end:]),)
    if path in moves.stay:
        return (path,)
    every = (*moves.facts, *moves.words)
    below = [way for old in every if old[: len(path)] == path for way in _ways(old, moves)]
    return tuple(below) or (path,)


def _flat(node: Node, path: Path) -> Iterator[tuple[Path, str]]:
    """Yield every text in a node with its path; a list or table with nothing in it is none."""
    if isinstance(node, Text):
        yield path, node.text
    elif isinstance(node, Rows):
        for at, one in enumerate(node.items):
            yield from _flat(one, (*path, str(at)))
    else:
        for name, one in node.entries.items():
            yield from _flat(one, (*path, name))
    if not isinstance(node, Text) and not (node.items if isinstance(node, Rows) else node.entries):
        yield path, ""


def _rows(node: Node, name: str) -> tuple[Node, ...]:
    found = node_at(node, (name,))
    return found.items if isinstance(found, Rows) else ()
