"""What an arrangement is made of: parts, the sorts that they are of, and the parts of parts."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from .formula.tree import Node
from .kinds import Kind
from .place import Place

THERE = "if"
"""The field of a child that says where a job has it, and what is worked out of it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Formula:
    """A formula as written and as parsed; its names are not checked yet."""

    text: str
    place: Place
    tree: Node


@dataclass(frozen=True, slots=True, kw_only=True)
class Role:
    """A neighbour that every part of a sort has.

    Attributes:
        name: What it is called, such as beside.
        sorts: Sorts of which one part may fill it.
        place: Where it is declared.
    """

    name: str
    sorts: tuple[str, ...]
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Child:
    """A part of a part that every job has, such as a roller hole.

    Attributes:
        means: What it is, for people.
        fields: The formula of each of its fields.
        there: Where a job has it at all; None for always.
        place: Where it is declared.
    """

    means: str
    fields: Mapping[str, Formula]
    there: Formula | None = None
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """The parts of a part: those every job has, and the list a job may give; or those that name it.

    Attributes:
        sort: Sort of its members.
        are: Members that every job has, some of them only where a condition holds.
        more: The list in which a job gives further ones; "" for none.
        by: The role by which its members name the part they belong to; "" where they are its own.
        of: The sort whose every part has it; "" for a group of one part.
        book: Id of its book.
        place: Where it is declared.
    """

    sort: str
    are: tuple[Child, ...] = ()
    more: str = ""
    by: str = ""
    of: str = ""
    book: str = ""
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Sort:
    """A sort of part: what every part of it has.

    Attributes:
        name: Its name, one or more words.
        plural: The name of all parts of it together.
        fields: Kind of each field that it asks for and others give.
        extends: Sorts of which every part of it is, too.
        roles: Its neighbours, by what they are called.
        groups: Its parts' parts, by the name of the group.
        called: What a person calls it; "" for its name.
        place: Where it is declared.
    """

    name: str
    plural: str
    fields: Mapping[str, Kind]
    extends: tuple[str, ...] = ()
    roles: Mapping[str, Role] = field(default_factory=dict)
    groups: Mapping[str, Group] = field(default_factory=dict)
    called: str = ""
    place: Place

    @property
    def bound(self) -> str:
        """Return the variable that `each SORT` binds: the last word of the name."""
        return self.name.rpartition(" ")[2]

    @property
    def whole(self) -> str:
        """Return the variable that it binds besides: all words of the name."""
        return self.name.replace(" ", "_")

    @property
    def variables(self) -> Mapping[str, str]:
        """Return the sort by each variable that `each SORT` binds."""
        return {self.whole: self.name, self.bound: self.name}

    @property
    def words(self) -> str:
        """Return what a person calls a part of it, where no one part is meant."""
        return f"the {self.called or self.name}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A thing the arrangement is made of.

    Attributes:
        name: Its name.
        means: What it is, for people.
        sorts: The sorts it is of; once it is bound, those above them too.
        groups: Its own parts, by the name of the group.
        roles: Who fills each of its roles: one part, or one for each hand.
        places: Where each role is filled.
        place: Where it is declared.
    """

    name: str
    means: str
    sorts: tuple[str, ...]
    groups: Mapping[str, Group]
    roles: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    places: Mapping[str, Place] = field(default_factory=dict)
    place: Place
