"""The JSON Schemas of what a person writes, and what they find wrong with a file.

A schema knows which fields a file has and which words may stand there. How a quantity, a formula
or a name reads, only the readers know.
"""

from typing import Any

from ruleset.book_form import BOOK, LAYER
from ruleset.errors import Fault
from ruleset.form import Record
from ruleset.form import schema as schema_of
from ruleset.node import Node
from ruleset.schema_faults import faults_by_schema

from .books import Rules
from .job_form import job_form, kit_form

KINDS = ("book", "kit", "job", "code")
_TITLES = {
    "book": "A book of rules",
    "kit": "A hardware kit",
    "job": "A job",
    "code": "A code set or a policy",
}


def schema(kind: str, rules: Rules) -> dict[str, Any]:
    """Return the JSON Schema of one kind of file, draft 2020-12.

    Args:
        kind: "book", "kit", "job" or "code"; a policy has the schema of a code set.
        rules: The books in use, which tell what a job and a kit may give.

    Raises:
        ValueError: There is no such kind of file.

    Source:
        JSON Schema, draft 2020-12.
    """
    if kind not in KINDS:
        raise ValueError(f"There is no kind of file {kind!r}; there are {', '.join(KINDS)}.")
    return _made(_form(kind, rules), kind)


def faults_of_book(node: Node) -> tuple[Fault, ...]:
    """Return everything about a book that its schema does not allow, in the order of the file."""
    return faults_by_schema(node, _made(BOOK, "book"))


def faults_of_code(node: Node) -> tuple[Fault, ...]:
    """Return everything about a code set or policy that its schema does not allow, in order."""
    return faults_by_schema(node, _made(LAYER, "code"))


def _form(kind: str, rules: Rules) -> Record:
    if kind in ("job", "kit"):
        return job_form(rules.library) if kind == "job" else kit_form(rules.library)
    return BOOK if kind == "book" else LAYER


def _made(form: Record, kind: str) -> dict[str, Any]:
    return schema_of(form, title=_TITLES[kind], id=f"urn:paneproof:schema:{kind}")
