"""What files of the format before this one called otherwise, as a sheet of the rules tells it."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache

from ruleset.errors import ShapeError
from ruleset.fields import Faults, Fields
from ruleset.node import Node

from .ready import read_shipped
from .shipped import shipped_rules

SHEET = "renames.yaml"


@dataclass(frozen=True, slots=True, kw_only=True)
class Word:
    """A word of a fact that is now told by several facts.

    Attributes:
        now: The facts.
        was: What each of them is, by the old word.
    """

    now: tuple[str, ...]
    was: Mapping[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Renamed:
    """A clause or a lever that is now one for all parts of a sort.

    Attributes:
        now: The clause or lever.
        every: What it is asked of, such as each pane.
        of: The part that the old one was asked of.
    """

    now: str
    every: str
    of: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Renames:
    """The sheet; a new name may have sides in it, such as {near}, which depend on the hand.

    Attributes:
        hand: The fact that tells the hand.
        sides: What stands for each side, by the hand.
        order: Tables that are written in this order.
        facts: New names of facts by their old ones; a name stands for all below it.
        words: Facts whose words became facts.
        states: How books name a fact of a part that is alone of its sort, by its name in jobs.
        shared: The same, of a part that is one of several.
        parts: New names of parts.
        clauses: New names of clauses.
        levers: New names of levers.
    """

    hand: str
    sides: Mapping[str, Mapping[str, str]]
    order: tuple[str, ...]
    facts: Mapping[str, str]
    words: Mapping[str, Word]
    states: Mapping[str, str]
    shared: Mapping[str, str]
    parts: Mapping[str, str]
    clauses: Mapping[str, Renamed]
    levers: Mapping[str, Renamed]

    def on(self, hand: str) -> "Renames":
        """Return the sheet with the sides of a hand written out."""
        words = {
            old: Word(now=tuple(self.placed(new, hand) for new in word.now), was=word.was)
            for old, word in self.words.items()
        }
        facts = {old: self.placed(new, hand) for old, new in self.facts.items()}
        parts = {old: self.placed(new, hand) for old, new in self.parts.items()}
        return replace(self, facts=facts, words=words, parts=parts)

    def placed(self, name: str, hand: str) -> str:
        """Return a new name with the sides of a hand written out."""
        for side, word in self.sides[hand].items():
            name = name.replace(f"{{{side}}}", word)
        return name


def has_side(name: str) -> bool:
    """Return whether a new name depends on the hand."""
    return "{" in name


def below(name: str, table: Mapping[str, str]) -> str | None:
    """Return the new name of a fact, or of one below a name that a table has; None for none.

    Example:
        >>> below("design.size.least", {"design.size": "design.shelf.size"})
        'design.shelf.size.least'
    """
    if name in table:
        return table[name]
    above, _, last = name.rpartition(".")
    new = below(above, table) if above else None
    return None if new is None else f"{new}.{last}"


@cache
def renames() -> Renames:
    """Return the shipped sheet; read once."""
    return read_renames(read_shipped(shipped_rules() / "sheets" / SHEET))


def read_renames(node: Node) -> Renames:
    """Return the sheet that a node holds.

    Raises:
        ShapeError: Fields are unknown, missing or of the wrong form; all of them at once.
    """
    faults = Faults()
    fields = Fields(node, faults, "the sheet of renames")
    fields.text("sheet", need=True)
    at = fields.node("hand")
    hand = Fields(at or node, faults, "the hand of the sheet")
    made = Renames(
        hand=hand.text("fact", need=True),
        sides={word: _sides(one, word, faults) for word, one in hand.table("sides").items()},
        order=fields.texts("order"),
        facts=fields.texts_of("facts"),
        words={name: _word(one, name, faults) for name, one in fields.table("words").items()},
        states=fields.texts_of("states"),
        shared=fields.texts_of("shared"),
        parts=fields.texts_of("parts"),
        clauses=_all_renamed(fields, "clauses"),
        levers=_all_renamed(fields, "levers"),
    )
    hand.done()
    fields.done()
    if faults.found:
        raise ShapeError(faults.found)
    return made


def _sides(node: Node, hand: str, faults: Faults) -> Mapping[str, str]:
    fields = Fields(node, faults, f"the sides of the hand {hand}")
    return {side: fields.text(side, need=True) for side in fields.names()}


def _word(node: Node, name: str, faults: Faults) -> Word:
    fields = Fields(node, faults, f"the words of {name}")
    was = Fields(fields.node("was") or node, faults, f"what {name} was")
    word = Word(now=fields.texts("now"), was={one: was.texts(one) for one in was.names()})
    fields.done()
    return word


def _all_renamed(fields: Fields, name: str) -> Mapping[str, Renamed]:
    return {old: _renamed(one, old, fields.faults) for old, one in fields.table(name).items()}


def _renamed(node: Node, name: str, faults: Faults) -> Renamed:
    fields = Fields(node, faults, f"the new name of {name}")
    made = Renamed(
        now=fields.text("now", need=True),
        every=fields.text("for", need=True),
        of=fields.text("of", need=True),
    )
    fields.done()
    return made
