"""Books put together: every name known once, every formula checked."""

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import replace
from typing import TypeVar

from .book import SOURCES, Book, Clause, Fact, Formula, Limit, Loop, Working, braces
from .errors import BookError, Fault, RulesetError, ShapeError
from .fields import keep
from .formula.check import (
    Function,
    Typed,
    check,
    in_words,
    type_of_kind,
)
from .formula.tree import Among, Both, Compare, Node, Rewrite, Word, fold
from .library import CheckedClause, CheckedWorking, Library, is_chain
from .names import InFormula, Names
from .nearest import did_you_mean
from .place import Place

T = TypeVar("T")


def assemble(books: Iterable[Book], functions: Iterable[Function] = ()) -> Library:
    """Return the library of some books.

    Args:
        books: The books, in any order.
        functions: Functions that plugins give.

    Raises:
        BookError: A name is declared twice, not known, or joined with what does not fit; all
            faults at once.
    """
    try:
        return _Assembly(tuple(books), {one.name: one for one in functions}).library()
    except ShapeError as many:  # past a hundred faults nothing more is looked up
        raise BookError(many.faults) from None


def with_clauses(
    library: Library,
    *,
    limits: Mapping[str, Limit],
    changed: Mapping[str, CheckedClause],
    off: Collection[str],
    replaced: tuple[Clause, ...],
) -> Library:
    """Return a library with other limits and clauses.

    Args:
        library: The library as it was.
        limits: Every limit by full name.
        changed: Clauses with another level or other limits, by name.
        off: Names of clauses that are switched off.
        replaced: Whole clauses that stand in place of others of the same name.

    Raises:
        BookError: A replacing clause names or adds what it may not.
    """
    checker = _Assembly((), library.names.functions)
    checker.names, checker.words = library.names, dict(library.words)
    clauses = {**library.clauses, **changed}
    limits = dict(limits)
    for clause in replaced:
        checked = checker.clause(clause)
        if checked is not None:
            clauses[clause.name] = checked
            limits.update({limit.name: limit for limit in clause.limits.values()})
    if checker.faults:
        raise BookError(checker.faults)
    kept = {name: one for name, one in clauses.items() if name not in off}
    same_program = not off and not replaced
    return replace(
        library,
        clauses=kept,
        limits=limits,
        words=checker.words,
        plans=library.plans if same_program else {},
    )


class _Assembly:
    """One putting-together of books; keeps the faults."""

    def __init__(self, books: tuple[Book, ...], functions: Mapping[str, Function]) -> None:
        self.faults: list[Fault] = []
        self.books = self._once(((b.name, b, b.place) for b in books), "book")
        every = list(self.books.values())
        facts = self._once(((f.name, f, f.place) for b in every for f in b.facts), "fact")
        sorts = self._once(((s.name, s, s.place) for b in every for s in b.sorts), "sort")
        parts = self._once(((p.name, p, p.place) for b in every for p in b.parts), "part")
        works = self._once(((w.name, w, w.place) for b in every for w in b.workings), "working")
        self.clauses = self._once(
            ((c.name, c, c.place) for b in every for c in b.clauses), "clause"
        )
        self.names = Names(
            books=self.books,
            facts=facts,
            sorts=sorts,
            parts=parts,
            workings={n: w for n, w in works.items() if not w.loop.sorts},
            functions=functions,
        )
        self.names.generic = {
            (sort, w.name.partition(".")[2]): w
            for w in works.values()
            if w.loop.sorts and (sort := self._inner_sort(w))
        }
        self.works = works
        self.words: dict[str, float] = {}

    def _once(self, things: Iterable[tuple[str, T, Place]], what: str) -> dict[str, T]:
        found: dict[str, T] = {}
        first: dict[str, Place] = {}
        for name, thing, place in things:
            if name in found:
                self._add(place, f"The {what} {name} is declared twice; first at {first[name]}.")
            found.setdefault(name, thing)
            first.setdefault(name, place)
        return found

    def _inner_sort(self, working: Working) -> str:
        sort = working.loop.sorts[0]
        if sort not in self.names.sorts:
            self._wrong(working.place, f"There is no sort {sort}.", sort, self.names.sorts)
            return ""
        bound = self.names.sorts[sort].bound
        if working.name.partition(".")[0] != bound:
            self._add(
                working.place,
                f"The working {working.name} is for each {sort}; its name begins with {bound}.",
            )
        return sort

    def _wrong(self, place: Place, says: str, word: str, known: Iterable[str]) -> None:
        self._add(place, f"{says}{did_you_mean(word, tuple(known))}")

    def _add(self, place: Place, says: str) -> None:
        keep(self.faults, place, says)

    def _catch(self, make: Callable[[], T]) -> T | None:
        try:
            return make()
        except RulesetError as error:
            for fault in error.faults:
                self._add(fault.place, fault.says)
            return None

    def library(self) -> Library:
        self._check_parts()
        children = self._children()
        workings = tuple(w for one in self.works.values() if (w := self._working(one)))
        clauses = {name: made for name, one in self.clauses.items() if (made := self.clause(one))}
        if self.faults:
            raise BookError(self.faults)
        limits = {
            limit.name: limit for book in self.books.values() for limit in book.limits.values()
        }
        for one in self.clauses.values():
            limits.update({limit.name: limit for limit in one.limits.values()})
        for fact in self.names.facts.values():
            self._number(fact.words)
        return Library(
            names=self.names,
            books=self.books,
            facts=self.names.facts,
            sorts=self.names.sorts,
            parts=self.names.parts,
            limits=limits,
            workings=workings,
            clauses=clauses,
            children=children,
            functions=self.names.functions,
            words=self.words,
        )

    def _number(self, words: Iterable[str]) -> None:
        for word in words:
            self.words.setdefault(word, float(len(self.words) + 1))

    def _check_parts(self) -> None:
        sorts, facts = self.names.sorts, self.names.facts
        for part in self.names.parts.values():
            for sort in part.sorts:
                if sort not in sorts:
                    self._wrong(part.place, f"There is no sort {sort}.", sort, sorts)
            for group in part.groups.values():
                if group.sort not in sorts:
                    self._wrong(group.place, f"There is no sort {group.sort}.", group.sort, sorts)
                if group.more and (group.more not in facts or not facts[group.more].rows):
                    self._wrong(group.place, f"There is no list {group.more}.", group.more, facts)
        for fact in facts.values():
            if fact.rows and fact.rows not in sorts:
                self._wrong(fact.place, f"There is no sort {fact.rows}.", fact.rows, sorts)
            if fact.follows:
                self._check_follows(fact)
        self._once(((s.plural, s, s.place) for s in sorts.values()), "plural")
        self._check_shadows()

    def _check_follows(self, fact: Fact) -> None:
        """Refuse a fact that is taken from what there is not, from another kind, or in a circle."""
        limits = {one.name: one for book in self.books.values() for one in book.limits.values()}
        known: Mapping[str, Fact | Limit] = {**self.names.facts, **limits}
        source = known.get(fact.follows)
        if source is None:
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
            source = known.get(source.follows)
        if source is fact:
            says = f"{fact.name} is taken from itself: {' from '.join([*way, fact.name])}."
            self._add(fact.place, says)

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
            above = fact.name.rpartition(".")[0]
            while above:
                if above in self.names.facts:
                    says = (
                        f"{fact.name} stands under the fact {above}, which has a value of its own."
                    )
                    self._add(fact.place, says)
                above = above.rpartition(".")[0]

    def _children(self) -> dict[tuple[str, str, int, str], Typed]:
        found = {}
        for book in self.books.values():
            for part in book.parts:
                for name, group in part.groups.items():
                    for index, child in enumerate(group.are, start=1):
                        sort = self.names.sorts.get(group.sort)
                        need = set(sort.fields) if sort else set()
                        for lost in sorted(need - set(child.fields)):
                            self._add(child.place, f"{child.means} has no {lost}; it needs one.")
                        for extra in sorted(set(child.fields) - need) if sort else ():
                            self._add(
                                child.place,
                                f"{child.means} has a field {extra}, which a {group.sort} has "
                                f"not; it has {', '.join(sorted(need))}.",
                            )
                        for key, formula in child.fields.items():
                            typed = self._formula(formula, book.name, {}, {})
                            if typed is not None:
                                found[part.name, name, index, key] = typed
        return found

    def _formula(
        self,
        formula: Formula,
        book: str,
        limits: Mapping[str, Limit],
        variables: Mapping[str, str],
    ) -> Typed | None:
        scope = InFormula(self.names, book, limits, variables)
        typed = self._catch(lambda: check(formula.tree, scope, self.names.functions, formula.place))
        if typed is not None:
            fold(typed.node, _Words(self._number))
        return typed

    def variables(self, loop: Loop, place: Place) -> Mapping[str, str]:
        """Return the sort of each variable that a loop binds, with a fault for unknown ones."""
        for sort in (self.names.inner(loop), *loop.sorts[1:]):
            if sort and sort not in self.names.sorts:
                self._wrong(place, f"There is no sort {sort}.", sort, self.names.sorts)
        if loop.subject and loop.subject not in self.names.parts:
            self._wrong(place, f"There is no part {loop.subject}.", loop.subject, self.names.parts)
        return self.names.variables(loop)

    def _working(self, working: Working) -> CheckedWorking | None:
        variables = self.variables(working.loop, working.place)
        drawn = self._formula(working.formula, working.book, {}, variables)
        built = self._formula(working.built, working.book, {}, variables) if working.built else None
        want = type_of_kind(working.kind)
        for typed, formula in ((drawn, working.formula), (built, working.built)):
            if typed is None or formula is None:
                continue
            if typed.type.of != want.of or typed.type.dims not in (None, want.dims):
                self._add(
                    formula.place,
                    f"{working.name} is said to be {in_words(want)}; its formula gives "
                    f"{in_words(typed.type)}.",
                )
        return CheckedWorking(working=working, drawn=drawn, built=built) if drawn else None

    def clause(self, clause: Clause) -> CheckedClause | None:
        """Return a clause checked, or None with its faults kept."""
        variables = self.variables(clause.loop, clause.place)
        needs = self._formula(clause.needs, clause.book, clause.limits, variables)
        when = self._question(clause.when, clause, variables)
        softer = self._question(clause.softer.when if clause.softer else None, clause, variables)
        if needs is None:
            return None
        if needs.type.of != "yes/no":
            self._add(
                clause.needs.place, f"A clause asks a yes/no; this is {in_words(needs.type)}."
            )
            return None
        if isinstance(needs.node, Both) and not is_chain(needs.node):
            self._add(clause.needs.place, "A clause asks one thing; an `and` is two clauses.")
        self._check_sentence(clause, needs.node, variables)
        for lever in clause.levers:
            if lever not in self.names.facts:
                self._wrong(clause.place, f"There is no fact {lever}.", lever, self.names.facts)
        return CheckedClause(clause=clause, when=when, needs=needs.node, softer=softer)

    def _question(
        self, formula: Formula | None, clause: Clause, variables: Mapping[str, str]
    ) -> Node | None:
        if formula is None:
            return None
        typed = self._formula(formula, clause.book, clause.limits, variables)
        if typed is not None and typed.type.of != "yes/no":
            self._add(formula.place, f"A condition is a yes/no; this is {in_words(typed.type)}.")
        return typed.node if typed else None

    def _check_sentence(self, clause: Clause, needs: Node, variables: Mapping[str, str]) -> None:
        scope = InFormula(self.names, clause.book, clause.limits, variables)
        compares = isinstance(needs, Compare) or is_chain(needs)
        for name in braces(clause.says) + braces(clause.do):
            if name == "subject" or (name in ("actual", "limit", "short") and compares):
                continue
            if scope.type_of(name) is None:
                extra = "" if compares else " Only a comparison has {actual}, {limit}, {short}."
                self._wrong(
                    clause.place,
                    f"The sentence of {clause.name} has {{{name}}}, which has no value.{extra}",
                    name,
                    scope.names(),
                )


class _Words(Rewrite):
    """The reading that numbers the words of a formula."""

    def __init__(self, number: Callable[[Iterable[str]], None]) -> None:
        self._number = number

    def word(self, node: Word) -> Node:
        self._number((node.text,))
        return node

    def among(self, node: Among, item: Node) -> Node:  # noqa: ARG002  # every reading gets it
        self._number(node.words)
        return node
