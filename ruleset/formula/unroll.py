"""Variables named and groups written out, once a job's lists are counted."""

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from .tree import (
    FAR,
    Arith,
    Both,
    Call,
    Choose,
    Either,
    Gather,
    Name,
    Node,
    Not,
    Number,
    Rewrite,
    Truth,
    fold,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Members:
    """Who is in a group.

    Attributes:
        names: Its members.
        missing: The list that was not given; "" for none.
        there: What says whether a member is there, for those that are not always.
    """

    names: tuple[str, ...]
    missing: str = ""
    there: Mapping[str, str] = field(default_factory=dict)


class _Members(Rewrite):
    """The reading that names the members of groups and the parts bound to variables."""

    def __init__(
        self,
        rename: Callable[[str], str],
        members: Callable[[str], Members],
        plain: Callable[[str], str] | None,
    ) -> None:
        self.rename = rename
        self.members = members
        self.plain = plain

    def name(self, node: Name) -> Node:
        return Name(self.rename(node.name), node.at)

    def gather(self, node: Gather, body: Node | None) -> Node:
        group = self.rename(node.group)
        found = self.members(group)
        if body is None:
            return _counted(found, node.at)
        star = f"{group}[*]"
        parts = [
            _where(
                node.how,
                fold(body, _Members(self._of_member(star, member), self.members, None)),
                found.there.get(member),
            )
            for member in found.names
        ]
        if found.missing:
            parts.append(_unknown_part(node.how, found.missing, node.at))
        return _joined(node.how, tuple(parts), node.at)

    def _of_member(self, star: str, member: str) -> Callable[[str], str]:
        plain = self.plain
        if plain is None:
            return lambda name: name.replace(star, member, 1)
        return lambda name: plain(name.replace(star, member, 1))


def _where(how: str, part: Node, there: str | None) -> Node:
    """Return what a member adds to an aggregate: nothing where it is not there."""
    if there is None:
        return part
    asked = Truth(Name(there))
    if how == "any":
        return Both((asked, part))
    if how == "all":
        return Either((Not(asked), part))
    return Choose(asked, part, Number({"min": FAR, "max": -FAR}.get(how, 0.0)))


def _counted(found: Members, at: int) -> Node:
    always = sum(name not in found.there for name in found.names)
    count: Node = Number(float(always), at)
    for name in found.names:
        if name in found.there:
            one = Choose(Truth(Name(found.there[name])), Number(1.0), Number(0.0))
            count = Arith("+", count, one, at)
    return Arith("+", count, Name(found.missing, at), at) if found.missing else count


def _unknown_part(how: str, missing: str, at: int) -> Node:
    leaf = Name(missing, at)
    return Truth(leaf, at) if how in ("any", "all") else leaf


def _joined(how: str, parts: tuple[Node, ...], at: int) -> Node:
    if how == "any":
        return Either(parts, at)
    if how == "all":
        return Both(parts, at)
    if how == "sum":
        total: Node = Number(0.0, at)
        for index, part in enumerate(parts):
            total = part if index == 0 else Arith("+", total, part, at)
        return total
    if not parts:
        return Number(math.nan, at)
    return parts[0] if len(parts) == 1 else Call(how, parts, at)


def unroll(
    node: Node,
    rename: Callable[[str], str],
    members: Callable[[str], Members],
    plain: Callable[[str], str] | None = None,
) -> Node:
    """Return a typed tree with its variables named and its groups written out.

    Args:
        node: A typed tree.
        rename: Gives the full name for a name that may begin with a variable.
        members: Gives the members of a group.
        plain: Gives the plain name for a path from a member; None where it is that already.
    """
    return fold(node, _Members(rename, members, plain))
