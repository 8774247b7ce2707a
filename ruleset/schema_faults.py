"""A second opinion on a file's fields: its JSON Schema, read by a general validator.

Only the slow paths come here, so that no ordinary run pays for the validator's import; `form`
checks the same and says the same.
"""

import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from jsonschema import Draft202012Validator
from jsonschema.exceptions import SchemaError, ValidationError
from jsonschema.validators import extend

from . import sentence
from .errors import Fault
from .node import Node, Rows, Table, Text, plain

_KINDS = {
    "string": "text",
    "number": "text",
    "integer": "text",
    "boolean": "text",
    "null": "text",
    "array": "list",
    "object": "table",
}
_COUNTS = {
    "minLength": sentence.too_short,
    "maxLength": sentence.too_long,
    "minItems": sentence.too_few_rows,
    "maxItems": sentence.too_many_rows,
}
# Of several complaints about one text only the first in this order is told.
_TEXT_ORDER = ("type", "enum", "minLength", "maxLength", "pattern")


def faults_by_schema(node: Node, schema: Mapping[str, Any]) -> tuple[Fault, ...]:
    """Return everything about a node that its schema does not allow, in the order of the file.

    Args:
        node: The root of a file.
        schema: A JSON Schema, draft 2020-12, without references to other files.
    """
    errors = tuple(_VALIDATOR(schema).iter_errors(plain(node)))
    found = set(_faults(node, errors))
    return tuple(sorted(found, key=lambda f: (f.place.line, f.place.column, f.says)))


def check_schema(schema: Mapping[str, Any]) -> None:
    """Refuse a schema that is none.

    Raises:
        ValueError: It does not fit the meta-schema of draft 2020-12; says where.
    """
    try:
        Draft202012Validator.check_schema(schema)
    except SchemaError as error:
        message = f"The schema is not JSON Schema 2020-12 at {error.json_path}; correct it there."
        raise ValueError(message) from None


def _pattern(
    _validator: object,
    pattern: str,
    instance: object,
    _schema: object,
) -> Iterator[ValidationError]:
    """Match a pattern as ECMA 262 does, where "$" is the very end and digits are ASCII."""
    exact = pattern[:-1] + r"\Z" if pattern.endswith("$") else pattern
    if isinstance(instance, str) and not re.search(exact, instance, re.ASCII):
        yield ValidationError(pattern)


# The types of jsonschema give `extend` no annotations.
_VALIDATOR: Any = extend(Draft202012Validator, {"pattern": _pattern})  # type: ignore[no-untyped-call]


def _faults(root: Node, errors: Iterable[ValidationError]) -> Iterator[Fault]:
    """Return the faults that the validator's errors stand for."""
    by_place: dict[tuple[str | int, ...], list[ValidationError]] = {}
    for error in errors:
        by_place.setdefault(tuple(error.absolute_path), []).append(error)
    for path, together in by_place.items():
        node = _find(root, path)
        for error in _worth_telling(node, together):
            says = _own_schema(error).get("errorMessage")
            if isinstance(says, str):
                yield Fault(node.place, says)
            else:
                yield from _fault(root, node, error)


def _worth_telling(node: Node, errors: list[ValidationError]) -> list[ValidationError]:
    kinds = [error for error in errors if error.validator == "type"]
    if kinds or not isinstance(node, Text):
        return kinds or errors
    ranked = sorted(errors, key=_rank)
    return ranked[:1]


def _rank(error: ValidationError) -> int:
    word = str(error.validator)
    return _TEXT_ORDER.index(word) if word in _TEXT_ORDER else len(_TEXT_ORDER)


def _find(root: Node, path: Iterable[str | int]) -> Node:
    node = root
    for step in path:
        match node, step:
            case Table(), str():
                node = node.entries[step]
            case Rows(), int():
                node = node.items[step]
    return node


def _fault(root: Node, node: Node, error: ValidationError) -> Iterator[Fault]:
    """Return the faults of one error: a schema tells all unknown fields of a table at once."""
    schema = _own_schema(error)
    match error.validator, node:
        case "type", _:
            yield Fault(node.place, sentence.wrong_kind(node, _kinds(schema)))
        case (("anyOf" | "oneOf"), _) if error.context:
            yield from _branch_faults(root, node, error)
        case "additionalProperties", Table():
            known = schema.get("properties", {})
            for name in node.entries:
                if name not in known:
                    yield Fault(node.keys[name], sentence.unknown_field(name, known))
        case "required", Table():
            for name in _asked(error):
                if name not in node.entries:
                    means = schema.get("properties", {}).get(name, {}).get("title", "")
                    yield Fault(node.place, sentence.missing_field(name, means))
        case "pattern", Table():
            # A name among propertyNames; the table is the instance's place.
            name = str(error.instance)
            says = sentence.no_match(name, _pattern_says(schema))
            yield Fault(node.keys.get(name, node.place), says)
        case _:
            yield Fault(node.place, _value_says(node, error))


def _value_says(node: Node, error: ValidationError) -> str:
    """Return the sentence for a text's characters or a list's count."""
    asked = _asked(error)
    match error.validator, node:
        case "enum", Text():
            return sentence.unknown_word(node.text, [x for x in asked if isinstance(x, str) and x])
        case "pattern", Text():
            return sentence.no_match(node.text, _pattern_says(_own_schema(error)))
        case (("minLength" | "maxLength" as word), Text()):
            return _COUNTS[word](len(node.text), asked)
        case (("minItems" | "maxItems" as word), Rows()):
            return _COUNTS[word](len(node.items), asked)
        case _:
            return f"This does not fit what '{error.validator}' asks of it in the file's schema."


def _pattern_says(schema: Mapping[str, Any]) -> str:
    says = schema.get("patternErrorMessage")
    return says if isinstance(says, str) else f"It has to match {schema.get('pattern')}."


def _branch_faults(root: Node, node: Node, error: ValidationError) -> Iterator[Fault]:
    """Return the faults of the one branch that takes a value of this kind."""
    branches: dict[object, list[ValidationError]] = {}
    for each in error.context or ():
        branches.setdefault(each.relative_schema_path[0], []).append(each)
    fitting = [each for each in branches.values() if not _is_kind_wrong(each, error)]
    if not fitting:
        asked = [kind for branch in _asked(error) for kind in _kinds(branch)]
        yield Fault(node.place, sentence.wrong_kind(node, asked))
    for branch_errors in fitting[:1]:
        yield from _faults(root, branch_errors)


def _is_kind_wrong(errors: Iterable[ValidationError], parent: ValidationError) -> bool:
    here = tuple(parent.absolute_path)
    return any(e.validator == "type" and tuple(e.absolute_path) == here for e in errors)


def _kinds(schema: Mapping[str, Any]) -> list[str]:
    types = schema.get("type", [])
    return [_KINDS[name] for name in ([types] if isinstance(types, str) else types)]


def _asked(error: ValidationError) -> Any:  # noqa: ANN401 - whatever the schema holds
    return error.validator_value


def _own_schema(error: ValidationError) -> Mapping[str, Any]:
    return error.schema if isinstance(error.schema, Mapping) else {}
