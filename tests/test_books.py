"""Every proof of every shipped book, each as a test of its own."""

from pathlib import Path

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


def test_the_developers_table_names_every_role_of_the_books() -> None:
    sorts = load_rules(installed=False).library.sorts
    guide = Path(__file__).parents[1] / "DEVELOPERS.md"
    if not guide.exists():
        pytest.skip("no checkout: DEVELOPERS.md is not shipped")
    text = guide.read_text(encoding="utf-8")
    told: dict[str, str] = {}
    for line in text.partition("| sort | variable | roles |")[2].splitlines()[2:]:
        if not line.startswith("|"):
            break
        names, _, roles = (cell.strip() for cell in line.strip("|").split("|"))
        told.update({name: roles for name in names.split(", ") if not name.startswith("a ")})
    said = {
        sort.name: ", ".join(
            f"`{one.name}` {' or '.join(one.sorts)}" for one in sort.roles.values()
        )
        for sort in sorts.values()
        if sort.roles
    }
    assert told == said
