"""All proofs of a run: those of the books, and those of clauses that code sets put in place."""

from collections.abc import Iterator

from ruleset.layers import in_order
from ruleset.prove import Proved, prove, prove_clause

from .books import Rules


def prove_rules(rules: Rules) -> Iterator[Proved]:
    """Run every proof of the books, then those that each code set brings.

    Yields:
        One result for each proof, each dropped name and each change; see `ruleset.prove`.

    Raises:
        BookError: A code set does not fit the books.
    """
    yield from prove(rules.library)
    for name, layer in rules.codes.items():
        library = rules.under(in_order(rules.codes, (name,), layer.place))
        for clause in layer.clauses:
            yield from prove_clause(library, library.clauses[clause])
