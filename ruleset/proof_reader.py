"""The proofs of a clause or a working, from the nodes of a book."""

from collections.abc import Mapping

from .book import Proof
from .fields import Faults, Fields
from .node import Node, Rows, Table, Text
from .patterns import ANY_NAME, GIVEN_NAME, NAME, PATH

OUTCOMES = ("holds", "fails", "exempt", "unknown")


def passed_over(node: Node | None) -> bool:
    """Return whether a book's proofs are not there, or were passed over by the reader."""
    return node is None or (isinstance(node, Text) and not node.text)


def proofs_of_working(fields: Fields) -> tuple[Proof, ...]:
    """Return the proofs of a working."""
    if passed_over(fields.node("proofs")):
        return ()
    proofs = fields.table("proofs", ANY_NAME).items()
    return tuple(_proof(node, name, "is", fields.faults) for name, node in proofs)


def proofs_of_clause(fields: Fields) -> tuple[tuple[Proof, ...], Mapping[str, str]]:
    """Return the proofs of a clause, and the changes that cannot matter with their reasons."""
    node = fields.node("proofs")
    if node is None or passed_over(node):
        return (), {}
    kinds = Fields(node, fields.faults, "proofs")
    proofs = tuple(
        _proof(one, name, expects, fields.faults)
        for expects in OUTCOMES
        for name, one in kinds.table(expects, ANY_NAME).items()
    )
    unmoved = kinds.texts_of("unmoved")
    kinds.done()
    return proofs, unmoved


def _proof(node: Node, name: str, expects: str, faults: Faults) -> Proof:
    fields = Fields(node, faults, f"the proof {name!r}")
    of_clause = expects != "is"
    proof = Proof(
        name=name,
        expects=expects,
        given=_given(fields),
        limits=fields.texts_of("limits", NAME),
        says=fields.text("says") if of_clause else "",
        result="" if of_clause else fields.text("is", need=True),
        without=_without(fields) if of_clause else {},
        units=fields.word("units", ("in", "mm"), default="in"),
        place=fields.place,
    )
    fields.done()
    return proof


def _given(fields: Fields) -> Mapping[str, Node]:
    """Return what a proof gives: values, and groups as lists of rows of values."""
    given = fields.table("given", GIVEN_NAME)
    for name, node in given.items():
        if isinstance(node, Table):
            fields.faults.add(node.place, f"{name} is a value or a list; here is a table.")
        elif isinstance(node, Text) and not node.text.strip():
            fields.faults.add(node.place, f"{name} is given nothing; leave it out or give a value.")
        elif isinstance(node, Rows):
            for at, row in enumerate(node.items, start=1):
                _texts_of_row(row, f"row {at} of {name}", fields.faults)
    return given


def _texts_of_row(node: Node, what: str, faults: Faults) -> None:
    row = Fields(node, faults, what)
    for key in row.names():
        row.text(key)
        if not PATH.fits(key):
            faults.add(row.key_place(key), f"{key!r} is no name of a field. {PATH.says}")


def _without(fields: Fields) -> Mapping[str, str]:
    """Return what follows when a name that a proof gives is dropped."""
    found = fields.texts_of("without", GIVEN_NAME)
    for name, outcome in found.items():
        if outcome not in OUTCOMES:
            says = f"{name} in without is {outcome!r}; it may be {', '.join(OUTCOMES)}."
            fields.wrong("without", says)
    return found
