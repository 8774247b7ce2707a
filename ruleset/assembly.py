"""Books put together: every name known once, every formula checked."""

from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import replace
from typing import TypeVar

from .book import Book, Clause, Limit, Loop, Working, braces
from .errors import BookError, Fault, RulesetError, ShapeError
from .fields import keep
from .formula.check import (
    YES_NO,
    Function,
    Typed,
    check,
    in_words,
    type_of_kind,
)
from .formula.tree import Among, Both, Compare, Node, Rewrite, Word, fold
from .gathering import gather
from .kept import Kept
from .library import CheckedClause, CheckedWorking, Library, is_chain
from .names import InFormula, Names
from .nearest import did_you_mean
from .part import THERE, Child, Formula
from .place import Place
from .quoted import an

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
        return _library(tuple(books), {one.name: one for one in functions})
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
    checker = _Assembly(library.names, [])
    checker.words = dict(library.words)
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
        kept=library.kept if same_program else Kept(),
    )


def _library(books: tuple[Book, ...], functions: Mapping[str, Function]) -> Library:
    faults: list[Fault] = []
    gathered = gather(books, functions, faults)
    names = gathered.names
    assembly = _Assembly(names, faults)
    children = assembly.children()
    workings = tuple(w for one in gathered.workings if (w := assembly.working(one)))
    clauses = {n: made for n, one in gathered.clauses.items() if (made := assembly.clause(one))}
    if faults:
        raise BookError(faults)
    limits = {limit.name: limit for book in names.books.values() for limit in book.limits.values()}
    for one in gathered.clauses.values():
        limits.update({limit.name: limit for limit in one.limits.values()})
    for fact in (*names.facts.values(), *names.has.facts()):
        assembly.number(fact.words)
    return Library(
        names=names,
        books=names.books,
        facts=names.facts,
        sorts=names.sorts,
        parts=names.parts,
        limits=limits,
        workings=workings,
        clauses=clauses,
        children=children,
        functions=names.functions,
        words=assembly.words,
    )


class _Assembly:
    """Formulas checked against the names of all books; keeps the faults."""

    def __init__(self, names: Names, faults: list[Fault]) -> None:
        self.names = names
        self.faults = faults
        self.words: dict[str, float] = {}

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

    def number(self, words: Iterable[str]) -> None:
        for word in words:
            self.words.setdefault(word, float(len(self.words) + 1))

    def children(self) -> dict[tuple[str, str, int, str], Typed]:
        """Return the typed formula of each field of each child, by whose group it is in."""
        names = self.names
        nobody: Mapping[str, str] = {}
        owned = [(sort.name, sort.variables, sort.groups) for sort in names.sorts.values()]
        for part in names.parts.values():
            own = {name: group for name, group in part.groups.items() if not group.of}
            owned.append((part.name, nobody, own))
        found: dict[tuple[str, str, int, str], Typed] = {}
        for owner, variables, groups in owned:
            for name, group in groups.items():
                need = self._asked_of(group.sort)
                for index, child in enumerate(group.are, start=1):
                    self._check_child(child, group.sort, need)
                    if child.there is not None:
                        asked = self._condition(child.there, group.book, {}, variables)
                        if asked is not None:
                            found[owner, name, index, THERE] = Typed(asked, YES_NO)
                    for key, formula in child.fields.items():
                        typed = self._formula(formula, group.book, {}, variables)
                        if typed is not None:
                            found[owner, name, index, key] = typed
        return found

    def _asked_of(self, sort: str) -> tuple[str, ...] | None:
        """Return the fields that a child of a sort gives itself, None for an unknown sort."""
        has = self.names.has
        if sort not in has.sorts:
            return None
        return tuple(k for k in dict.fromkeys(has.keys((sort,))) if has.is_asked((sort,), k))

    def _check_child(self, child: Child, sort: str, need: tuple[str, ...] | None) -> None:
        for lost in sorted(set(need or ()) - set(child.fields)):
            self._add(child.place, f"{child.means} has no {lost}; it needs one.")
        for extra in sorted(set(child.fields) - set(need)) if need is not None else ():
            self._add(
                child.place,
                f"{child.means} has a field {extra}, which no {sort} has; it has "
                f"{', '.join(sorted(need or ()))}.",
            )

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
            fold(typed.node, _Words(self.number))
        return typed

    def variables(self, loop: Loop, place: Place) -> Mapping[str, str]:
        """Return the sort of each variable that a loop binds, with a fault for unknown ones."""
        for sort in (self.names.inner(loop), *loop.sorts[1:]):
            if sort and sort not in self.names.sorts:
                self._wrong(place, f"There is no sort {sort}.", sort, self.names.sorts)
        if loop.subject and loop.subject not in self.names.parts:
            self._wrong(place, f"There is no part {loop.subject}.", loop.subject, self.names.parts)
        if len(loop.sorts) > 1 and not self.names.is_of(self.names.inner(loop), loop.sorts[1]):
            says = f"No {loop.sorts[1]} has a group of what is {an(self.names.inner(loop))}."
            self._add(place, says)
        return self.names.variables(loop)

    def working(self, working: Working) -> CheckedWorking | None:
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
        if drawn is None:
            return None
        named = braces(working.means)
        for name in named:
            if not self.names.is_part(name, variables):
                says = f"means has {{{name}}}, which is no part; it may be one of each SORT."
                self._wrong(working.place, says, name, variables)
        return CheckedWorking(working=working, drawn=drawn, built=built, named=named)

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
            if not self.names.fact_of(lever, variables):
                known = InFormula(self.names, "", {}, variables).names()
                self._wrong(clause.place, f"There is no fact {lever}.", lever, known)
        told = dict.fromkeys(braces(clause.says) + braces(clause.do))
        named = tuple(name for name in told if self.names.is_part(name, variables))
        return CheckedClause(clause=clause, when=when, needs=needs.node, softer=softer, named=named)

    def _question(
        self, formula: Formula | None, clause: Clause, variables: Mapping[str, str]
    ) -> Node | None:
        if formula is None:
            return None
        return self._condition(formula, clause.book, clause.limits, variables)

    def _condition(
        self,
        formula: Formula,
        book: str,
        limits: Mapping[str, Limit],
        variables: Mapping[str, str],
    ) -> Node | None:
        typed = self._formula(formula, book, limits, variables)
        if typed is not None and typed.type.of != "yes/no":
            self._add(formula.place, f"A condition is a yes/no; this is {in_words(typed.type)}.")
        return typed.node if typed else None

    def _check_sentence(self, clause: Clause, needs: Node, variables: Mapping[str, str]) -> None:
        scope = InFormula(self.names, clause.book, clause.limits, variables)
        compares = isinstance(needs, Compare) or is_chain(needs)
        for name in braces(clause.says) + braces(clause.do):
            if name == "subject" or (name in ("actual", "limit", "short") and compares):
                continue
            if scope.type_of(name) is None and not self.names.is_part(name, variables):
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
