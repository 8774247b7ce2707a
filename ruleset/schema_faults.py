"""A second opinion on a file's fields: its JSON Schema, read by a general validator.

Only proofs come here, so that no ordinary run pays for the validator's import. The readers refuse
whatever a schema refuses, and say it better.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from textwrap import shorten
from typing import Any

from jsonschema import Draft202012Validator
from jsonschema.exceptions import ValidationError, best_match
from jsonschema.validators import extend

from .errors import Fault
from .node import Node, Rows, Table, plain
from .place import Place

_WIDEST = 200
"""Characters of the validator's own words: it quotes whole tables."""


def faults_by_schema(node: Node, schema: Mapping[str, Any]) -> tuple[Fault, ...]:
    """Return everything about a node that its schema does not allow, in the order of the file.

    Args:
        node: The root of a file.
        schema: A JSON Schema, draft 2020-12, without references to other files.
    """
    found = {_fault(node, error) for error in _VALIDATOR(schema).iter_errors(plain(node))}
    return tuple(sorted(found, key=lambda f: (f.place.line, f.place.column, f.says)))


def _pattern(
    _validator: object,
    pattern: str,
    instance: object,
    _schema: object,
) -> Iterator[ValidationError]:
    """Match a pattern as ECMA 262 does, where "$" is the very end and digits are ASCII."""
    exact = pattern[:-1] + r"\Z" if pattern.endswith("$") else pattern
    if isinstance(instance, str) and not re.search(exact, instance, re.ASCII):
        yield ValidationError(f"{instance!r} does not match {pattern}")


# The types of jsonschema give `extend` no annotations.
_VALIDATOR: Any = extend(Draft202012Validator, {"pattern": _pattern})  # type: ignore[no-untyped-call]


def _fault(root: Node, error: ValidationError) -> Fault:
    """Return a fault in the words that its schema keeps for it, else in the validator's."""
    own = _said(error)
    if own is None:
        error = best_match([error])  # of an anyOf the branch that comes nearest
        own = _said(error)
    if own is None:
        own = f"The schema of this file asks for something else: {shorten(error.message, _WIDEST)}."
    return Fault(_place(root, error.absolute_path), own)


def _said(error: ValidationError) -> str | None:
    schema = error.schema if isinstance(error.schema, Mapping) else {}
    word = "patternErrorMessage" if error.validator == "pattern" else "errorMessage"
    says = schema.get(word)
    return says if isinstance(says, str) else None


def _place(root: Node, path: Iterable[str | int]) -> Place:
    node = root
    for step in path:
        match node, step:
            case Table(), str():
                node = node.entries[step]
            case Rows(), int():
                node = node.items[step]
    return node.place
