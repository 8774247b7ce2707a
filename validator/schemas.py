"""The JSON Schemas of what a person writes, and what they find wrong with a file.

A schema knows which fields a file has and which words may stand there. How a quantity, a formula
or a name reads, only the readers know.
"""

from typing import Any

from ruleset.arrangement import Arrangement
from ruleset.book_form import ARRANGEMENT, BOOK, LAYER
from ruleset.errors import Fault
from ruleset.form import Record
from ruleset.form import schema as schema_of
from ruleset.node import Node
from ruleset.schema_faults import faults_by_schema

from .books import Rules
from .job_form import STOCK, job_form, kit_form

KINDS = ("book", "arrangement", "kit", "job", "code", "stock")
_TITLES = {
    "book": "A book of rules",
    "arrangement": "An arrangement",
    "kit": "A hardware kit",
    "job": "A job",
    "code": "A code set or a policy",
    "stock": "A shop's stock",
}


def schema(kind: str, rules: Rules, arrangement: str = "") -> dict[str, Any]:
    """Return the JSON Schema of one kind of file, draft 2020-12.

    Args:
        kind: One of `KINDS`; a policy has the schema of a code set.
        rules: The books in use, which tell what a job and a kit may give.
        arrangement: The arrangement of a job; the only one there is where none is named.

    Raises:
        ValueError: There is no such kind of file, or no such arrangement.
        RulesetError: The file of an arrangement cannot be used.

    Source:
        JSON Schema, draft 2020-12.
    """
    if kind not in KINDS:
        raise ValueError(f"There is no kind of file {kind!r}; there are {', '.join(KINDS)}.")
    return _made(_form(kind, rules, arrangement), kind)


def faults_of_book(node: Node) -> tuple[Fault, ...]:
    """Return everything about a book that its schema does not allow, in the order of the file."""
    return faults_by_schema(node, _made(BOOK, "book"))


def faults_of_code(node: Node) -> tuple[Fault, ...]:
    """Return everything about a code set or policy that its schema does not allow, in order."""
    return faults_by_schema(node, _made(LAYER, "code"))


def faults_of_arrangement(node: Node) -> tuple[Fault, ...]:
    """Return everything about an arrangement that its schema does not allow, in order."""
    return faults_by_schema(node, _made(ARRANGEMENT, "arrangement"))


def _form(kind: str, rules: Rules, arrangement: str) -> Record:
    if kind == "job":
        one = _arrangement(rules, arrangement)
        return job_form(rules.bound(one), one.name)
    if kind == "kit":
        return kit_form(rules.library)
    if kind == "stock":
        return STOCK
    return {"book": BOOK, "arrangement": ARRANGEMENT, "code": LAYER}[kind]


def _arrangement(rules: Rules, name: str) -> Arrangement:
    every = {one.name: one for one in rules.arrangements()}
    if not name and len(every) == 1:
        return next(iter(every.values()))
    if name not in every:
        asked = f"There is no arrangement {name}" if name else "Name the arrangement of the job"
        raise ValueError(f"{asked}; there are {', '.join(every)}.")
    return every[name]


def _made(form: Record, kind: str) -> dict[str, Any]:
    return schema_of(form, title=_TITLES[kind], id=f"urn:paneproof:schema:{kind}")
