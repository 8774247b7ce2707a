"""What every part of a sort has: its own facts, fields, roles and groups, and those from above."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from .book import Fact, Working
from .kinds import Kind
from .part import Group, Role, Sort


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A field that a sort asks for and others give."""

    sort: str
    name: str
    kind: Kind


Thing = Fact | Working | Asked | Role | Group
"""What a part has under a name."""
Alternatives = tuple[tuple[str, ...], ...]
"""What a part may be: of all the sorts of one of these."""
MEMBER = "*]"


class Sorts:
    """All sorts, and what each gives its parts."""

    def __init__(self, sorts: Mapping[str, Sort]) -> None:
        """Keep the sorts; what books give them is added by `give`."""
        self.sorts = sorts
        self.lines = {name: _line(name, sorts) for name in sorts}
        self.own: dict[str, dict[str, Thing]] = {
            name: {**sort.roles, **sort.groups} for name, sort in sorts.items()
        }
        self.by_each_part: dict[str, Mapping[str, Thing]] = {}
        """What a sort neither has nor asks for, but every part of it that a book has gives."""
        self._things: dict[tuple[tuple[str, ...], str], Thing | None] = {}
        self._ends: dict[tuple[tuple[str, ...], str], tuple[Thing, ...]] = {}

    def give(self, sort: str, key: str, thing: Thing) -> Thing | None:
        """Give every part of a sort something; returns what the sort has there already."""
        own = self.own.setdefault(sort, {})
        taken = own.get(key)
        if taken is None:
            own[key] = thing
        return taken

    def give_each(self, sort: str, things: Mapping[str, Thing]) -> None:
        """Let a sort have what every part of it in the books has, where it has nothing else."""
        self.by_each_part[sort] = things
        self._things.clear()
        self._ends.clear()

    def line(self, sorts: Iterable[str]) -> tuple[str, ...]:
        """Return some sorts and all above them, each once, the nearest first."""
        return tuple(dict.fromkeys(one for sort in sorts for one in self.lines.get(sort, (sort,))))

    def extends(self, sort: str, above: str) -> bool:
        """Return whether every part of a sort is of another, too; of itself it is."""
        return above in self.lines.get(sort, (sort,))

    def below(self, sort: str) -> tuple[str, ...]:
        """Return the sort and all that extend it."""
        return tuple(name for name, line in self.lines.items() if sort in line)

    def givers(self, sorts: Sequence[str], key: str) -> tuple[str, ...]:
        """Return the sorts that give a part of some sorts a name, none of them overruled.

        More than one of them is a conflict: none of them extends the others.
        """
        every = [one for one in self.line(sorts) if key in self.own.get(one, ())]
        return tuple(
            one
            for one in every
            if not any(other != one and one in self.lines[other] for other in every)
        )

    def thing(self, sorts: tuple[str, ...], key: str) -> Thing | None:
        """Return what a part of some sorts has under a name, without a way through others."""
        at = (sorts, key)
        if at not in self._things:
            self._things[at] = self._thing(sorts, key)
        return self._things[at]

    def _thing(self, sorts: tuple[str, ...], key: str) -> Thing | None:
        givers = self.givers(sorts, key)
        if givers:
            return self.own[givers[0]][key]
        line = self.line(sorts)
        for one in line:
            if one in self.sorts and key in self.sorts[one].fields:
                return Asked(sort=one, name=key, kind=self.sorts[one].fields[key])
        for one in line:
            if key in self.by_each_part.get(one, ()):
                return self.by_each_part[one][key]
        return None

    def is_asked(self, sorts: tuple[str, ...], key: str) -> bool:
        """Return whether a part of some sorts is asked for a field that none of them gives."""
        return isinstance(self.thing(sorts, key), Asked)

    def keys(self, sorts: Iterable[str]) -> Iterator[str]:
        """Yield the names of all that a part of some sorts has."""
        for one in self.line(sorts):
            yield from self.own.get(one, ())
            yield from self.sorts[one].fields if one in self.sorts else ()
            yield from self.by_each_part.get(one, ())

    def facts(self) -> Iterator[Fact]:
        """Yield every fact that a sort gives its parts."""
        for own in self.own.values():
            yield from (thing for thing in own.values() if isinstance(thing, Fact))

    def follow(self, may_be: Alternatives, path: str) -> tuple[Thing, ...]:
        """Return what stands at the end of a path from a part, one for each thing it may come to.

        Args:
            may_be: What the part may be.
            path: Names joined by dots: roles, then what the part at their end has.

        Returns:
            Nothing where one of the parts that may stand on the way has no such thing.
        """
        found: tuple[Thing, ...] = ()
        for sorts in may_be:
            ends = self.ends(sorts, path)
            if not ends:
                return ()
            found += ends
        return found

    def ends(self, sorts: tuple[str, ...], path: str) -> tuple[Thing, ...]:
        """Return what stands at the end of a path from a part of all of some sorts."""
        at = (sorts, path)
        if at not in self._ends:
            self._ends[at] = self._walked(sorts, path)
        return self._ends[at]

    def _walked(self, sorts: tuple[str, ...], path: str) -> tuple[Thing, ...]:
        thing = self.thing(sorts, path)
        if thing is not None:
            return (thing,)
        stem, bracket, rest = path.partition("[")
        rows = self.thing(sorts, stem) if bracket else None
        if isinstance(rows, Fact) and rows.rows:
            return self.ends((rows.rows,), rest.partition("].")[2])
        head, _, tail = path.partition(".")
        may_be = self.step(sorts, head) if tail else ()
        return self.follow(may_be, tail) if may_be else ()

    def step(self, sorts: tuple[str, ...], head: str) -> Alternatives:
        """Return what may stand one step of a path further on: a neighbour or a member."""
        name, bracket, index = head.partition("[")
        thing = self.thing(sorts, name)
        if isinstance(thing, Role) and not bracket:
            return tuple((one,) for one in thing.sorts)
        if isinstance(thing, Group) and bracket and is_member(thing, index):
            return ((thing.sort,),)
        return ()


def is_member(group: Group, index: str) -> bool:
    """Return whether every part with a group has a member such as 2] in it; *] is any of them."""
    number = index.removesuffix("]")
    known = not group.by and number.isdigit() and 1 <= int(number) <= len(group.are)
    return index == MEMBER or known


def _line(name: str, sorts: Mapping[str, Sort]) -> tuple[str, ...]:
    found: dict[str, None] = {}
    row = [name]
    while row:
        found.update(dict.fromkeys(row))
        above = [up for one in row if one in sorts for up in sorts[one].extends]
        row = [up for up in dict.fromkeys(above) if up not in found]
    return tuple(found)
