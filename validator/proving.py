"""All proofs of a run: those of the books, and those of clauses that code sets put in place."""

from collections.abc import Callable, Iterator
from pathlib import Path

from ruleset.errors import Fault
from ruleset.hands import shapes
from ruleset.layers import in_order
from ruleset.node import Node
from ruleset.place import Place
from ruleset.plan import plan
from ruleset.prove import Proved, prove, prove_clause
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
        for shape in shapes(rules.bound(arrangement), ()):
            plan(rules.bound(arrangement), shape)
    yield from prove(rules.library)
    for name, layer in rules.codes.items():
        library = rules.under(in_order(rules.codes, (name,), layer.place))
        for clause in layer.clauses:
            yield from prove_clause(library, library.clauses[clause])


def _by_schema(
    owner: str, file: str, faults_of: Callable[[Node], tuple[Fault, ...]]
) -> Iterator[Proved]:
    faults = faults_of(read_file(Path(file)))
    for fault in faults:
        yield Proved(owner=owner, proof="schema", place=fault.place, wrong=fault.says)
    if not faults:
        yield Proved(owner=owner, proof="schema", place=Place(file=file), wrong="")
