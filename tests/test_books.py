"""Every proof of every shipped book, each as a test of its own."""

import pytest

from ruleset.prove import Proved, prove
from validator import load_rules

RESULTS = tuple(prove(load_rules(installed=False).library))


@pytest.mark.parametrize("result", RESULTS, ids=lambda one: f"{one.owner}: {one.proof}")
def test_proof(result: Proved) -> None:
    assert not result.wrong, f"{result.place}: {result.wrong}"


def test_there_are_proofs_of_every_clause_and_working() -> None:
    library = load_rules(installed=False).library
    owners = {result.owner for result in RESULTS}
    assert set(library.clauses) <= owners
    assert {one.working.name for one in library.workings} <= owners
