"""Every declared thing of some books under its name, each once."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TypeVar

from .binding import above, facts_of, faults_of_roles, part_of
from .book import SOURCES, Book, Clause, Fact, Limit, Working
from .errors import Fault
from .fields import keep
from .formula.check import Function
from .names import Names
from .nearest import did_you_mean
from .part import Group
from .place import Place
from .sort_checks import faults_of_sorts, give
from .sorts import Sorts, Thing

T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class Gathered:
    """What books declare.

    Attributes:
        names: What every name means.
        workings: Every working, in the order of the books.
        clauses: Every clause by full name.
    """

    names: Names
    workings: tuple[Working, ...]
    clauses: Mapping[str, Clause]


def gather(
    books: Iterable[Book], functions: Mapping[str, Function], faults: list[Fault]
) -> Gathered:
    """Return what books declare, before any formula is checked.

    Args:
        books: The books, in any order.
        functions: Functions that plugins give.
        faults: Where what is wrong goes: what is declared twice, fits no sort or hides another.
    """
    return _Gathering(tuple(books), functions, faults).gathered()


class _Gathering:
    """One gathering of books; keeps the faults."""

    def __init__(
        self, books: tuple[Book, ...], functions: Mapping[str, Function], faults: list[Fault]
    ) -> None:
        self.faults = faults
        self.books = self._once(((b.name, b, b.place) for b in books), "book")
        every = list(self.books.values())
        sorts = self._once(((s.name, s, s.place) for b in every for s in b.sorts), "sort")
        self.has = Sorts(sorts)
        facts = [f for b in every for f in b.facts if self._is_named_so(f)]
        workings = [w for b in every for w in b.workings]
        plain = self._once(((w.name, w, w.place) for w in workings if not w.loop.sorts), "working")
        generic = [(sort, w) for w in workings if w.loop.sorts and (sort := self._inner_sort(w))]
        give(self.has, (f for f in facts if f.sort), generic, self._add)
        kept = {id(w) for w in (*plain.values(), *(w for _, w in generic))}
        self.workings = tuple(w for w in workings if id(w) in kept)
        parts = self._once(((p.name, p, p.place) for b in every for p in b.parts), "part")
        self.names = Names(
            books=self.books,
            facts={},
            sorts=sorts,
            parts={part.name: part_of(part, self.has) for part in parts.values()},
            workings=plain,
            functions=functions,
            has=self.has,
        )
        self._write_facts(facts)
        self._give_by_each_part()

    def gathered(self) -> Gathered:
        self._check_sorts()
        self._check_parts()
        self._check_shadows()
        clauses = ((c.name, c, c.place) for b in self.books.values() for c in b.clauses)
        return Gathered(
            names=self.names, workings=self.workings, clauses=self._once(clauses, "clause")
        )

    def _write_facts(self, facts: list[Fact]) -> None:
        """Write the facts of sorts out for the parts that books have, in the order of the books."""
        parts = tuple(self.names.parts.values())
        found: list[tuple[str, Fact, Place]] = []
        for fact in facts:
            written = [one for one, _ in facts_of((fact,), parts, self.has)]
            found += [(one.name, one, one.place) for one in (written if fact.sort else [fact])]
        self.names.facts = self._once(found, "fact")

    def _give_by_each_part(self) -> None:
        """Let a sort have what it does not ask for, where every part of it in the books has it."""
        parts = self.names.parts
        own: dict[str, dict[str, Thing]] = {name: {**part.groups} for name, part in parts.items()}
        for working in self.names.workings.values():
            part, _, key = working.name.partition(".")
            own.setdefault(part, {})[key] = working
        for sort in self.has.sorts:
            given = [own[name] for name, part in parts.items() if sort in part.sorts]
            if given:
                each = set(given[0]).intersection(*given[1:])
                self.has.give_each(sort, {k: one for k, one in given[0].items() if k in each})

    def _once(self, things: Iterable[tuple[str, T, Place]], what: str) -> dict[str, T]:
        found: dict[str, T] = {}
        first: dict[str, Place] = {}
        for name, thing, place in things:
            if name in found:
                self._add(place, f"The {what} {name} is declared twice; first at {first[name]}.")
            found.setdefault(name, thing)
            first.setdefault(name, place)
        return found

    def _is_named_so(self, fact: Fact) -> bool:
        """Return whether a fact's name begins as its `for` has it, a fault kept where not."""
        first, second = fact.name.split(".")[:2]
        sort = self.has.sorts.get(fact.sort)
        if first in SOURCES:
            says = f"{fact.name} is of the whole job; leave out its for."
            if not fact.sort:
                return True
        elif not fact.sort:
            says = f"{fact.name} begins with no source; of each part of a sort it has a for."
        elif sort is None:
            says = f"There is no sort {fact.sort}.{did_you_mean(fact.sort, self.has.sorts)}"
        elif first in sort.variables:
            return True
        else:
            says = f"{fact.name} is for each {sort.name}; its name begins {sort.bound}.{second}."
        self._add(fact.place, says)
        return False

    def _inner_sort(self, working: Working) -> str:
        name = working.loop.sorts[0]
        sort = self.has.sorts.get(name)
        if sort is None:
            self._wrong(working.place, f"There is no sort {name}.", name, self.has.sorts)
            return ""
        if working.name.partition(".")[0] not in (sort.bound, sort.whole):
            self._add(
                working.place,
                f"The working {working.name} is for each {name}; its name begins with "
                f"{sort.bound}.",
            )
        return name

    def _wrong(self, place: Place, says: str, word: str, known: Iterable[str]) -> None:
        self._add(place, f"{says}{did_you_mean(word, tuple(known))}")

    def _add(self, place: Place, says: str) -> None:
        keep(self.faults, place, says)

    def _check_sorts(self) -> None:
        sorts = self.has.sorts
        for fault in faults_of_sorts(self.has):
            self._add(fault.place, fault.says)
        self._once(((s.plural, s, s.place) for s in sorts.values()), "plural")
        for sort in sorts.values():
            self._check_lists(sort.groups, sort.variables)
        for fact in (*self.names.facts.values(), *self.has.facts()):
            if fact.follows:
                self._check_follows(fact)
            if fact.rows and fact.rows not in sorts:
                self._wrong(fact.place, f"There is no sort {fact.rows}.", fact.rows, sorts)

    def _check_parts(self) -> None:
        sorts, parts = self.has.sorts, self.names.parts
        for part in parts.values():
            for sort in part.sorts:
                if sort not in sorts:
                    self._wrong(part.place, f"There is no sort {sort}.", sort, sorts)
            own = {name: group for name, group in part.groups.items() if not group.of}
            for group in own.values():
                if group.sort not in sorts:
                    self._wrong(group.place, f"There is no sort {group.sort}.", group.sort, sorts)
            self._check_lists(own, {})
        for fault in faults_of_roles(parts, self.has):
            self._add(fault.place, fault.says)

    def _check_lists(self, groups: Mapping[str, Group], variables: Mapping[str, str]) -> None:
        for group in groups.values():
            if not group.more:
                continue
            ends = self.names.ends(group.more, variables)
            known = self.names.facts.get(group.more) or next(iter(ends), None)
            if not isinstance(known, Fact) or not known.rows:
                says = f"There is no list {group.more}."
                self._wrong(group.place, says, group.more, self.names.facts)
            elif not self.has.extends(known.rows, group.sort):
                says = f"{group.more} is a list of {known.rows}; the group is of {group.sort}."
                self._add(group.place, says)

    def _check_follows(self, fact: Fact) -> None:
        """Refuse a fact that is taken from what there is not, from another kind, or in a circle."""
        source = self._followed(fact)
        if source is None:
            known = (*self.names.facts, *self._limits())
            self._wrong(fact.place, f"There is no {fact.follows}.", fact.follows, known)
            return
        words = source.words if isinstance(source, Fact) else ()
        if source.kind != fact.kind or not set(words) <= set(fact.words):
            self._add(
                fact.place,
                f"{fact.name} is taken from {fact.follows}, which is of another kind.",
            )
        way = [fact.name]
        while isinstance(source, Fact) and source.follows and source.name not in way:
            way.append(source.name)
            source = self._followed(source)
        if source is fact:
            says = f"{fact.name} is taken from itself: {' from '.join([*way, fact.name])}."
            self._add(fact.place, says)

    def _followed(self, fact: Fact) -> Fact | Limit | None:
        """Return what a fact is taken from where it is not given."""
        first, _, path = fact.follows.partition(".")
        sort = self.has.sorts.get(fact.sort)
        if sort is not None and first in sort.variables:
            thing = self.has.thing((sort.name,), path)
            return thing if isinstance(thing, Fact) else None
        return self.names.facts.get(fact.follows) or self._limits().get(fact.follows)

    def _limits(self) -> Mapping[str, Limit]:
        return {one.name: one for book in self.books.values() for one in book.limits.values()}

    def _check_shadows(self) -> None:
        """Refuse names that would hide others: they could never be given or meant."""
        taken = {*SOURCES, "limit"}
        owners = [(p.name, p.place, "part") for p in self.names.parts.values()]
        owners += [(b.name, b.place, "book") for b in self.books.values() if b.name == "limit"]
        for name, place, what in owners:
            if name in taken:
                says = f"A {what} may not be called {name}; facts and limits begin so."
                self._add(place, says)
        for work in self.names.workings.values():
            if work.name in self.names.facts or work.name.partition(".")[0] in taken:
                says = f"A working may not be called {work.name}; a fact or a limit may."
                self._add(work.place, says)
        for fact in self.names.facts.values():
            over = above(fact.name, self.names.facts)
            if over:
                says = f"{fact.name} stands under the fact {over}, which has a value of its own."
                self._add(fact.place, says)
