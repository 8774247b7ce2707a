"""All proofs of a run: those of the books, and those of clauses that code sets put in place."""

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from ruleset.arrangement import Arrangement
from ruleset.errors import Fault
from ruleset.hands import shapes
from ruleset.layers import in_order
from ruleset.library import Library
from ruleset.node import Node
from ruleset.place import Place
from ruleset.plan import Plan, plan
from ruleset.prove import Proved, prove, prove_clause, prove_working
from ruleset.reader import read_file

from .books import Rules
from .schemas import faults_of_arrangement, faults_of_book, faults_of_code


def prove_rules(rules: Rules) -> Iterator[Proved]:
    """Run every proof of the books, then those that each code set brings, and bind arrangements.

    Each file is first held against its JSON Schema, as a second opinion on its fields.

    Yields:
        One result for each file, each proof, each dropped name and each change; see
        `ruleset.prove`.

    Raises:
        BookError: A code set or an arrangement does not fit the books.
    """
    for book in rules.library.books.values():
        yield from _by_schema(book.name, book.place.file, faults_of_book)
    for layer in rules.codes.values():
        yield from _by_schema(layer.name, layer.place.file, faults_of_code)
    for arrangement in rules.arrangements():
        yield from _by_schema(arrangement.name, arrangement.place.file, faults_of_arrangement)
        _plans(rules, arrangement)
    yield from prove(rules.library)
    for library, clause in _of_layers(rules):
        yield from prove_clause(library, library.clauses[clause])


def prove_arrangement(rules: Rules, arrangement: Arrangement) -> Iterator[Proved]:
    """Bind one arrangement, and run the proofs of what its jobs work out and are asked.

    Yields:
        One result for its file, each proof, each dropped name and each change.

    Raises:
        BookError: A code set or the arrangement does not fit the books.
    """
    yield from _by_schema(arrangement.name, arrangement.place.file, faults_of_arrangement)
    plans = _plans(rules, arrangement)
    # A working is written out for each part under another name: its place stays the same.
    worked = {one.working.place for each in plans for one in each.steps if one.working is not None}
    asked = {one.clause.name for each in plans for one in each.cases}
    for working in rules.library.workings:
        if working.working.place in worked:
            yield from prove_working(rules.library, working)
    for name, checked in rules.library.clauses.items():
        if name in asked:
            yield from prove_clause(rules.library, checked)
    for library, name in _of_layers(rules):
        if name in asked:
            yield from prove_clause(library, library.clauses[name])


def _plans(rules: Rules, arrangement: Arrangement) -> Sequence[Plan]:
    """Return what is worked out and asked for each hand, each list with two rows."""
    library = rules.bound(arrangement)
    rows = tuple((fact.name, 2) for fact in library.facts.values() if fact.rows)
    return tuple(plan(library, shape) for shape in shapes(library, rows))


def _of_layers(rules: Rules) -> Iterator[tuple[Library, str]]:
    """Yield each clause that a code set puts in place, with the books as it amends them."""
    for name, layer in rules.codes.items():
        library = rules.under(in_order(rules.codes, (name,), layer.place))
        yield from ((library, clause) for clause in layer.clauses)


def _by_schema(
    owner: str, file: str, faults_of: Callable[[Node], tuple[Fault, ...]]
) -> Iterator[Proved]:
    faults = faults_of(read_file(Path(file)))
    for fault in faults:
        yield Proved(owner=owner, proof="schema", place=fault.place, wrong=fault.says)
    if not faults:
        yield Proved(owner=owner, proof="schema", place=Place(file=file), wrong="")
