"""What each name in a formula means."""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from types import MappingProxyType

from .binding import filled
from .book import Book, Fact, Limit, Loop, Working
from .formula.check import Function, Type, check, type_of_kind
from .kinds import Kind
from .part import Group, Part, Role, Sort
from .quoted import each_an
from .sorts import MEMBER, Alternatives, Asked, Sorts, Thing, is_member

PAIR = ("one", "other")
"""The variables of `each two SORTS`."""


@dataclass(kw_only=True)
class Names:
    """Every declared thing by name, before formulas are checked."""

    books: Mapping[str, Book]
    facts: Mapping[str, Fact]
    sorts: Mapping[str, Sort]
    parts: Mapping[str, Part]
    workings: Mapping[str, Working]
    functions: Mapping[str, Function]
    has: Sorts
    _typing: dict[tuple[str, str], Type | None] = field(default_factory=dict)
    _plurals: dict[str, Sort] = field(default_factory=dict)
    _of: dict[tuple[str, str], bool] = field(default_factory=dict)

    def by_plural(self, plural: str) -> Sort | None:
        """Return the sort with a plural; in a formula its words are joined by underscores."""
        if not self._plurals:
            for sort in self.sorts.values():
                self._plurals.setdefault(sort.plural, sort)
                self._plurals.setdefault(sort.plural.replace(" ", "_"), sort)
        return self._plurals.get(plural)

    def sort_of_group(self, group: str, variables: Mapping[str, str]) -> str:
        """Return the sort of a group's members, "" where there is no such group."""
        plural = self.by_plural(group)
        if plural is not None:
            return plural.name
        known = self.facts.get(group)
        ends = (known,) if known else self.ends(group, variables)
        sorts = {
            one.sort if isinstance(one, Group) else one.rows if isinstance(one, Fact) else ""
            for one in ends
        }
        return next(iter(sorts)) if len(sorts) == 1 else ""

    def is_by_role(self, group: str, variables: Mapping[str, str]) -> bool:
        """Return whether a group is of the parts that name another by a role."""
        ends = self.ends(group, variables)
        return any(isinstance(one, Group) and bool(one.by) for one in ends)

    def inner(self, loop: Loop) -> str:
        """Return the innermost sort of a loop, "" where there is none."""
        if not loop.sorts:
            return ""
        plural = self.by_plural(loop.sorts[0]) if loop.pairs else None
        return plural.name if plural else loop.sorts[0]

    def variables(self, loop: Loop) -> Mapping[str, str]:
        """Return the sort of each variable that a loop binds; unknown sorts bind nothing.

        A sort binds its last word and all its words; the last word that two of them share, neither.
        """
        found: dict[str, str] = {}
        sorts = [self.inner(loop), *loop.sorts[1:]] if loop.sorts else []
        known = [self.sorts[one] for one in sorts if one in self.sorts]
        for at, sort in enumerate(known):
            if at == 0 and loop.pairs:
                found.update(dict.fromkeys(PAIR, sort.name))
                continue
            found[sort.whole] = sort.name
            if all(other.bound != sort.bound for other in known if other is not sort):
                found[sort.bound] = sort.name
        return found

    def is_of(self, inner: str, outer: str) -> bool:
        """Return whether some part of a sort has a group with members of another; so if unknown."""
        if inner not in self.sorts or outer not in self.sorts:
            return True
        if (inner, outer) not in self._of:
            self._of[inner, outer] = self._is_of(inner, outer)
        return self._of[inner, outer]

    def _is_of(self, inner: str, outer: str) -> bool:
        has = self.has
        groups = [
            group
            for part in self.parts.values()
            if outer in part.sorts
            for group in part.groups.values()
        ]
        groups += [
            thing
            for sort in has.below(outer)
            for key in has.keys((sort,))
            if isinstance(thing := has.thing((sort,), key), Group)
        ]
        return any(has.extends(one.sort, inner) or has.extends(inner, one.sort) for one in groups)

    def means_of(self, name: str, variables: Mapping[str, str]) -> str:
        """Return what a fact, a working or what a part has is for people; "" where none is said."""
        known = self.facts.get(name) or self.workings.get(name)
        ends = (known,) if known else self.ends(name, variables)
        said = [end for end in ends if isinstance(end, Fact | Working)]
        if not said:
            return ""
        called = {one: self.part_in_words(one, variables) for one in variables}
        return filled(said[0].means, called)

    def ends(self, name: str, variables: Mapping[str, str]) -> tuple[Thing, ...]:
        """Return what a name with a part before its first dot comes to, () where to nothing.

        There is more than one where a role on the way may be filled by parts of several sorts.
        """
        first, _, path = name.partition(".")
        if first in variables:
            return self.has.ends((variables[first],), path)
        part = self.parts.get(first)
        if part is not None:
            return self._ends_of_part(part, path)
        stem, bracket, rest = name.partition("[")
        rows = self.facts.get(stem) if bracket else None
        if rows is not None:
            return self.has.ends((rows.rows,), rest.partition("].")[2])
        plural = self.by_plural(first.removesuffix(f"[{MEMBER}")) if MEMBER in first else None
        return self.has.ends((plural.name,), path) if plural else ()

    def _ends_of_part(self, part: Part, path: str) -> tuple[Thing, ...]:
        working = self.workings.get(f"{part.name}.{path}")
        if working is not None:
            return (working,)
        head, _, tail = path.partition(".")
        name, bracket, index = head.partition("[")
        group = part.groups.get(name)
        if group is None:
            return self.has.ends(part.sorts, path)
        if not bracket:
            return () if tail else (group,)
        return self.has.ends((group.sort,), tail) if is_member(group, index) else ()

    def is_part(self, name: str, variables: Mapping[str, str]) -> bool:
        """Return whether a name is a part: a variable, or a path through roles alone."""
        if name in variables or name in self.parts:
            return True
        ends = self.ends(name, variables)
        return bool(ends) and all(isinstance(end, Role) for end in ends)

    def part_in_words(self, name: str, variables: Mapping[str, str]) -> str:
        """Return what a person calls a part of a formula where no one part is meant."""
        if name in self.parts:
            return self.parts[name].means
        ends = [end for end in self.ends(name, variables) if isinstance(end, Role)]
        sorts = [one for end in ends for one in end.sorts] or [variables[name]]
        words = [self.sorts[one].words.removeprefix("the ") for one in sorts]
        return f"the {' or '.join(dict.fromkeys(words))}"

    def kind_of(self, name: str, variables: Mapping[str, str]) -> Kind | None:
        """Return the declared kind of a name, None where there is no such name.

        A member of a group may have any number: how many there are is not known here.
        """
        known = self.facts.get(name) or self.workings.get(name)
        name = any_member(name)
        ends = (known,) if known else self.ends(name, variables)
        return kind_of_thing(ends[0]) if ends else None

    def fact_of(self, name: str, variables: Mapping[str, str]) -> bool:
        """Return whether a name is a fact of the job, or of some part that may stand there."""
        if name in self.facts:
            return True
        first, _, path = name.partition(".")
        below = self.has.below(variables[first]) if first in variables else ()
        ways = [self.has.ends((sort,), path) for sort in below] or [self.ends(name, variables)]
        return any(isinstance(end, Fact) for ends in ways for end in ends)

    def type_of(
        self, name: str, variables: Mapping[str, str] = MappingProxyType({})
    ) -> Type | None:
        """Return the type of a fact, a working or what a part has; None where there is none.

        Through a role that parts of several sorts may fill, all of them have one kind.
        """
        known = self.facts.get(name) or self.workings.get(name)
        ends = (known,) if known else self.ends(name, variables)
        if len(ends) < 2:  # noqa: PLR2004  # one of all but a few names
            return self._type_of_thing(ends[0]) if ends else None
        if len({kind_of_thing(end) for end in ends}) > 1:
            return None
        types = [self._type_of_thing(end) for end in ends]
        first = types[0]
        if first is None:
            return None
        words = [one.words for one in types if one]
        return replace(first, words=tuple(dict.fromkeys(sum(words, ()))) if all(words) else ())

    def _type_of_thing(self, thing: Thing) -> Type | None:
        kind = kind_of_thing(thing)
        if kind is None or kind.name != "word":
            return type_of_kind(kind) if kind else None
        if isinstance(thing, Fact):
            return type_of_kind(kind, thing.words)
        if isinstance(thing, Working):
            return self._type_of_word(thing)
        return type_of_kind(kind, self._words_of(thing) if isinstance(thing, Asked) else ())

    def _words_of(self, asked: Asked) -> tuple[str, ...]:
        """Return the words of a field that a sort asks for, from all that give it."""
        types = (self._type_of_thing(thing) for thing in self.given(asked))
        return tuple(dict.fromkeys(word for one in types if one for word in one.words))

    def given(self, thing: Thing) -> tuple[Thing, ...]:
        """Return all that gives what a sort has or asks for: its own, and of the sorts below."""
        if isinstance(thing, Asked):
            sort, key = thing.sort, thing.name
        elif isinstance(thing, Working) and thing.loop.sorts:
            sort, key = thing.loop.sorts[0], thing.name.partition(".")[2]
        elif isinstance(thing, Fact) and thing.sort:
            sort, key = thing.sort, thing.path
        else:
            return (thing,)
        own = (self.has.own.get(one, {}).get(key) for one in self.has.below(sort))
        parts = (part for part in self.parts.values() if sort in part.sorts)
        of_parts = (self.workings.get(f"{part.name}.{key}") for part in parts)
        return tuple(one for one in (*own, *of_parts) if one is not None)

    def _type_of_word(self, working: Working) -> Type | None:
        key = (working.name, working.loop.sorts[0] if working.loop.sorts else "")
        if key not in self._typing:
            self._typing[key] = Type(of="word")
            scope = InFormula(self, working.book, {}, self.variables(working.loop))
            formula = working.formula
            self._typing[key] = check(formula.tree, scope, self.functions, formula.place).type
        return self._typing[key]

    def all_names(self) -> Iterable[str]:
        """Return every name a formula could use, for the nearest known."""
        yield from self.facts
        yield from (fact.name for fact in self.has.facts())
        yield from self.workings
        for part in self.parts.values():
            yield from (f"{part.name}.{group}" for group in part.groups)
            yield from (f"{part.name}.{key}" for key in self.has.keys(part.sorts))
        yield from (sort.plural.replace(" ", "_") for sort in self.sorts.values())

    def names_of(self, variable: str, sort: str) -> Iterator[str]:
        """Yield what stands one step or two from a variable, for the nearest known."""
        for key in self.has.keys((sort,)):
            yield f"{variable}.{key}"
            for may_be in self.has.step((sort,), key):
                yield from (f"{variable}.{key}.{further}" for further in self.has.keys(may_be))

    def lacking(self, name: str, variables: Mapping[str, str]) -> str:
        """Return which part on a name's way may have no such thing, as a sentence; "" for none."""
        if self.is_part(name, variables):
            return " That is a part; name what it has."
        ends = self.ends(name, variables)
        kinds = dict.fromkeys(kind.name if (kind := kind_of_thing(e)) else "part" for e in ends)
        if len(kinds) > 1:
            return f" It may be {each_an(kinds)}, by which part stands on its way."
        first, _, path = name.partition(".")
        may_be: Alternatives = ()
        if first in variables:
            may_be = ((variables[first],),)
        elif first in self.parts:
            may_be = (self.parts[first].sorts,)
        while may_be and path:
            head, _, tail = path.partition(".")
            further = tuple(two for one in may_be for two in self.has.step(one, head))
            without = [one for one in further if not self.has.ends(one, tail)]
            if without and (len(without) < len(further) or "." not in tail):
                return f" A {without[0][0]} may be its {head} and has no {tail}."
            may_be, path = further, tail
        return ""


_NUMBERED = re.compile(r"\[[0-9]+\]")


def any_member(name: str) -> str:
    """Return a name with the numbers of members left out.

    Example:
        >>> any_member("door.holes[2].x")
        'door.holes[*].x'
    """
    return _NUMBERED.sub(f"[{MEMBER}", name) if "[" in name else name


def kind_of_thing(thing: Thing) -> Kind | None:
    """Return the kind of a value that a part has, None for what is no value."""
    return None if isinstance(thing, Role | Group) else thing.kind


class InFormula:
    """What names mean inside one formula: its limits, its variables, and everything declared."""

    def __init__(
        self, names: Names, book: str, limits: Mapping[str, Limit], variables: Mapping[str, str]
    ) -> None:
        """Keep the book, the clause's own limits and the sort of each variable."""
        self._names = names
        self._book = names.books.get(book)
        self._limits = limits
        self._variables = variables

    def limit(self, name: str) -> Limit | None:
        """Return the limit that `limit.NAME` or `BOOK.limit.NAME` means."""
        first, _, rest = name.partition(".")
        if first == "limit":
            own = self._book.limits if self._book else {}
            return self._limits.get(rest) or own.get(rest)
        if rest.startswith("limit.") and first in self._names.books:
            return self._names.books[first].limits.get(rest.removeprefix("limit."))
        return None

    def type_of(self, name: str) -> Type | None:
        """Return the type of a name, or None when there is no such name."""
        limit = self.limit(name)
        if limit is not None:
            return type_of_kind(limit.kind)
        return self._names.type_of(name, self._variables)

    def lacking(self, name: str) -> str:
        """Return which part on a name's way may have no such thing, as a sentence; "" for none."""
        return self._names.lacking(name, self._variables)

    def is_group(self, name: str) -> bool:
        """Return whether a name is a group of parts."""
        return bool(self._names.sort_of_group(name, self._variables))

    def names(self) -> Iterable[str]:
        """Return every name that may stand in the formula."""
        yield from (f"limit.{name}" for name in self._limits)
        if self._book:
            yield from (f"limit.{name}" for name in self._book.limits)
        for variable, sort in self._variables.items():
            yield from self._names.names_of(variable, sort)
        yield from self._names.all_names()
