"""What each name in a formula means."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from .book import Book, Fact, Limit, Loop, Part, Sort, Working
from .formula.check import Function, Type, check, type_of_kind
from .kinds import Kind

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
    generic: Mapping[tuple[str, str], Working] = field(default_factory=dict)
    _typing: dict[str, Type | None] = field(default_factory=dict)

    def by_plural(self, plural: str) -> Sort | None:
        """Return the sort with a plural."""
        return next((sort for sort in self.sorts.values() if sort.plural == plural), None)

    def sort_of_group(self, group: str, variables: Mapping[str, str]) -> str:
        """Return the sort of a group's members, "" where there is no such group."""
        plural = self.by_plural(group)
        if plural is not None:
            return plural.name
        owner, _, name = group.rpartition(".")
        for part in self.parts.values():
            fits = part.name == owner or variables.get(owner, "?") in part.sorts
            if fits and name in part.groups:
                return part.groups[name].sort
        return self.facts[group].rows if group in self.facts else ""

    def inner(self, loop: Loop) -> str:
        """Return the innermost sort of a loop, "" where there is none."""
        if not loop.sorts:
            return ""
        plural = self.by_plural(loop.sorts[0]) if loop.pairs else None
        return plural.name if plural else loop.sorts[0]

    def variables(self, loop: Loop) -> Mapping[str, str]:
        """Return the sort of each variable that a loop binds; unknown sorts bind nothing."""
        found: dict[str, str] = {}
        for at, written in enumerate(loop.sorts):
            sort = self.inner(loop) if at == 0 else written
            if sort not in self.sorts:
                continue
            if at == 0 and loop.pairs:
                found.update(dict.fromkeys(PAIR, sort))
            else:
                found[self.sorts[sort].bound] = sort
        return found

    def field_kind(self, sort: str, name: str) -> Kind | None:
        """Return the kind of a field of every part of a sort."""
        kind = self.sorts[sort].fields.get(name) if sort in self.sorts else None
        working = self.generic.get((sort, name))
        if kind is None and working is not None:
            return working.kind
        if kind is None:
            # A later book may give every part of a sort a field that the sort does not ask for.
            own = [
                self.workings.get(f"{p.name}.{name}")
                for p in self.parts.values()
                if sort in p.sorts
            ]
            return own[0].kind if own and all(own) and own[0] else None
        return kind

    def kind_of(self, name: str, variables: Mapping[str, str]) -> Kind | None:
        """Return the declared kind of a name, None where there is no such name."""
        if name in self.facts:
            return self.facts[name].kind
        if name in self.workings:
            return self.workings[name].kind
        owner, _, last = name.rpartition(".")
        if owner in variables:
            return self.field_kind(variables[owner], last)
        if owner in self.parts:
            kinds = (self.field_kind(sort, last) for sort in self.parts[owner].sorts)
            return next((kind for kind in kinds if kind), None)
        group, bracket, _ = owner.partition("[")
        return self.field_kind(self.sort_of_group(group, variables), last) if bracket else None

    def field_type(self, sort: str, name: str) -> Type | None:
        """Return the type of a field of every part of a sort."""
        kind = self.field_kind(sort, name)
        if kind is None:
            return None
        words = self._words_of_field(sort, name) if kind.name == "word" else ()
        return type_of_kind(kind, words)

    def _words_of_field(self, sort: str, name: str) -> tuple[str, ...]:
        for part in self.parts.values():
            if sort in part.sorts:
                found = self.type_of(f"{part.name}.{name}")
                if found is not None:
                    return found.words
        return ()

    def type_of(self, name: str) -> Type | None:
        """Return the type of a fact, a working or a field of a part."""
        fact = self.facts.get(name)
        if fact is not None:
            return type_of_kind(fact.kind, fact.words) if fact.kind else None
        working = self.workings.get(name)
        if working is not None:
            if working.kind.name == "word":
                return self._type_of_word(name, working)
            return type_of_kind(working.kind)
        owner, _, last = name.rpartition(".")
        if owner in self.parts:
            for sort in self.parts[owner].sorts:
                if (sort, last) in self.generic:
                    return type_of_kind(self.generic[sort, last].kind)
        return self._type_of_child(owner, last)

    def _type_of_word(self, name: str, working: Working) -> Type | None:
        if name not in self._typing:
            self._typing[name] = Type(of="word")
            scope = InFormula(self, working.book, {}, {})
            formula = working.formula
            self._typing[name] = check(formula.tree, scope, self.functions, formula.place).type
        return self._typing[name]

    def _type_of_child(self, owner: str, last: str) -> Type | None:
        group, bracket, index = owner.partition("[")
        sort = self.sort_of_group(group, {}) if bracket else ""
        part, _, name = group.rpartition(".")
        if sort and part in self.parts and index.rstrip("]").isdigit():
            many = len(self.parts[part].groups[name].are)
            return self.field_type(sort, last) if int(index.rstrip("]")) <= many else None
        return None

    def all_names(self) -> Iterable[str]:
        """Return every name a formula could use, for the nearest known."""
        yield from self.facts
        yield from self.workings
        for part in self.parts.values():
            yield from (f"{part.name}.{group}" for group in part.groups)
            for sort in part.sorts:
                yield from (f"{part.name}.{name}" for s, name in self.generic if s == sort)
        yield from (sort.plural for sort in self.sorts.values())


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
        group, star, last = name.partition("[*].")
        if star:
            return self._names.field_type(self._names.sort_of_group(group, self._variables), last)
        first, _, rest = name.partition(".")
        if first in self._variables:
            return self._names.field_type(self._variables[first], rest)
        return self._names.type_of(name)

    def is_group(self, name: str) -> bool:
        """Return whether a name is a group of parts."""
        return bool(self._names.sort_of_group(name, self._variables))

    def names(self) -> Iterable[str]:
        """Return every name that may stand in the formula."""
        yield from (f"limit.{name}" for name in self._limits)
        if self._book:
            yield from (f"limit.{name}" for name in self._book.limits)
        for variable, sort in self._variables.items():
            yield from (f"{variable}.{name}" for name in self._names.sorts[sort].fields)
            yield from (f"{variable}.{name}" for s, name in self._names.generic if s == sort)
        yield from self._names.all_names()
