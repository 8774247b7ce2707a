"""An arrangement's file: the parts that it is made of, and who fills their roles for each hand."""

from dataclasses import dataclass

from .errors import ShapeError
from .fields import Faults, Fields
from .node import Node
from .part import Part
from .patterns import ARRANGEMENT_NAME, NAME, SORT_NAME
from .place import Place

FEWEST_HANDS = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrangement:
    """What a shop builds, as its file has it.

    Attributes:
        name: What a job calls it.
        title: What it is, in a line.
        about: What it is, in a few sentences; may be "".
        hands: The words that its hand may be; () where it has none.
        parts: Its parts, in the order of the file; each role has one filler, or one for each hand.
        place: Where it starts.
    """

    name: str
    title: str
    about: str
    hands: tuple[str, ...]
    parts: tuple[Part, ...]
    place: Place


def read_arrangement(node: Node) -> Arrangement:
    """Return the arrangement that a file holds.

    Raises:
        ShapeError: Fields are unknown, missing or of the wrong form; all of them at once.
    """
    faults = Faults()
    fields = Fields(node, faults, "an arrangement")
    hands = _hands(fields)
    parts = fields.table("parts", NAME)
    arrangement = Arrangement(
        name=fields.text("arrangement", need=True, looks=ARRANGEMENT_NAME),
        title=fields.text("title", need=True),
        about=fields.text("about"),
        hands=hands,
        parts=tuple(_part(one, name, hands, faults) for name, one in parts.items()),
        place=fields.place,
    )
    if not parts and not faults.found:
        fields.wrong("parts", "An arrangement is made of parts; it has none.")
    fields.done()
    if faults.found:
        raise ShapeError(faults.found)
    return arrangement


def _hands(fields: Fields) -> tuple[str, ...]:
    hands = fields.texts("hand", looks=NAME)
    if "hand" in fields.names() and len(set(hands)) < FEWEST_HANDS:
        fields.wrong("hand", "hand is a list of at least two words, such as [left, right].")
    return hands


def _part(node: Node, name: str, hands: tuple[str, ...], faults: Faults) -> Part:
    fields = Fields(node, faults, f"the part {name}")
    sorts, means = fields.one_or_more("is", looks=SORT_NAME), fields.text("means", need=True)
    if "is" not in fields.names():
        faults.add(fields.place, f"{fields.what} has no is; it needs one.")
    roles: dict[str, tuple[str, ...]] = {}
    for role in (key for key in fields.names() if key not in ("is", "means")):
        fillers = fields.one_or_more(role, looks=NAME)
        if len(fillers) > 1 and len(fillers) != len(hands):
            each = f", or one for each hand, {' and '.join(hands)}" if hands else ""
            fields.wrong(role, f"{role} has {len(fillers)} parts; write one{each}.")
        if not NAME.fits(role):
            faults.add(fields.key_place(role), f"{role!r} is no name of a role. {NAME.says}")
        roles[role] = fillers
    return Part(
        name=name,
        means=means,
        sorts=sorts,
        groups={},
        roles={role: fillers for role, fillers in roles.items() if fillers},
        places={key: fields.key_place(key) for key in fields.names()},
        place=fields.place,
    )
