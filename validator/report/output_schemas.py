"""The JSON Schemas of what the command line prints as JSON, for whoever reads it.

Source:
    JSON Schema, draft 2020-12.
"""

import dataclasses
import types
from collections import abc
from collections.abc import Mapping
from typing import Any, Union, get_args, get_origin, get_type_hints

from ruleset.explain import Amount
from ruleset.place import Place

from ..changes import Changed
from ..finding import OUTCOMES
from ..remedy.attach import Cure
from ..remedy.result import Nothing, Remedy
from ..take_off import Standing
from .data import FORMAT

OUTPUTS = ("review", "takeoff", "remedy", "since")
"""What a schema is printed of, besides files that people write."""
Schema = dict[str, Any]
TEXT: Schema = {"type": "string"}
NUMBER: Schema = {"type": "number"}
COUNT: Schema = {"type": "integer", "minimum": 0}
YES_NO: Schema = {"type": "boolean"}
MAYBE_NUMBER: Schema = {"type": ["number", "null"]}
LEVEL: Schema = {"enum": ["error", "warning", "note"]}
TEXTS: Schema = {"type": "array", "items": TEXT}


def _object(fields: Mapping[str, Schema], optional: Mapping[str, Schema] | None = None) -> Schema:
    """Return the schema of an object with just these fields."""
    return {
        "type": "object",
        "properties": {**fields, **(optional or {})},
        "required": list(fields),
        "additionalProperties": False,
    }


def _list(each: Schema) -> Schema:
    return {"type": "array", "items": each}


def _or_null(one: Schema) -> Schema:
    return {"anyOf": [one, {"type": "null"}]}


def _by_name(each: Schema) -> Schema:
    return {"type": "object", "additionalProperties": each}


PLACE = _object({"file": TEXT, "pointer": TEXT, "line": COUNT, "column": COUNT})
AMOUNT = _object({"value": MAYBE_NUMBER, "unit": TEXT, "text": TEXT})
BASIS = _object(
    {"document": TEXT, "edition": TEXT, "clause": TEXT, "standing": TEXT}, {"note": TEXT}
)
WAIVED = _object({"why": TEXT, "by": TEXT, "until": TEXT, "place": PLACE})
AMENDED = _object({"limit": TEXT, "was": TEXT, "now": TEXT, "by": TEXT})
ASSUMED = _object({"fact": TEXT, "means": TEXT, "text": TEXT, "source": TEXT})
STACK = _object(
    {
        "unit": TEXT,
        "margin": MAYBE_NUMBER,
        "rss": MAYBE_NUMBER,
        "worst": MAYBE_NUMBER,
        "taken_up": MAYBE_NUMBER,
        "tried": TEXT,
        "contributors": _list(
            _object({"means": TEXT, "names": TEXTS, "loss": MAYBE_NUMBER, "share": MAYBE_NUMBER})
        ),
    }
)
FROM: Mapping[str, Schema] = {"paneproof": TEXT, "format": {"const": FORMAT}}


def of_type(hint: Any) -> Schema:  # noqa: ANN401  # a type, and a way out for each
    """Return the schema of a value as `plain` writes it, by its type.

    Args:
        hint: A data class, or the type of one of its fields.

    Raises:
        TypeError: No JSON form is known for it.

    Example:
        >>> of_type(tuple[str, ...])
        {'type': 'array', 'items': {'type': 'string'}}
    """
    simple: dict[object, Schema] = {
        str: TEXT, int: {"type": "integer"}, float: MAYBE_NUMBER, bool: YES_NO,
        Amount: AMOUNT, Place: PLACE,
    }  # fmt: skip
    if hint in simple:
        return simple[hint]
    args = get_args(hint)
    if get_origin(hint) in (Union, types.UnionType):
        return _or_null(of_type(next(one for one in args if one is not type(None))))
    if get_origin(hint) is tuple:
        return _list(of_type(args[0]))
    if get_origin(hint) in (dict, abc.Mapping):
        return _by_name({})
    if dataclasses.is_dataclass(hint):
        if hint is Remedy:
            return {"$ref": "#/$defs/remedy"}
        return _of_fields(hint)
    raise TypeError(f"There is no JSON form of {hint}.")


def _of_fields(hint: Any) -> Schema:  # noqa: ANN401 - a data class
    hints = get_type_hints(hint)
    return _object({one.name: of_type(hints[one.name]) for one in dataclasses.fields(hint)})


def _finding() -> Schema:
    return _object(
        {
            "clause": TEXT, "subject": TEXT, "outcome": {"enum": list(OUTCOMES)}, "level": LEVEL,
            "stage": TEXT, "title": TEXT, "says": TEXT, "do": TEXT, "why": TEXT, "place": PLACE,
            "actual": _or_null(AMOUNT), "limit": _or_null(AMOUNT), "margin": _or_null(AMOUNT),
            "working": TEXTS, "basis": BASIS, "missing": TEXTS, "remedies": _list(of_type(Cure)),
            "caution": TEXT,
        },
        {
            "marked": _by_name(BASIS), "waived": WAIVED, "stack": STACK,
            "amended": _list(AMENDED),
        },
    )  # fmt: skip


def _review(of: str) -> Schema:
    release = _object({"stage": TEXT, "ready": YES_NO, "because": TEXTS})
    asked = _object(
        {
            "fact": TEXT, "means": TEXT, "who": TEXT, "stage": TEXT, "place": PLACE,
            "clauses": TEXTS,
        }
    )  # fmt: skip
    kit = {"kit": TEXT} if of == "job" else {}
    return _object(
        {
            **FROM, of: TEXT, "title": TEXT, "file": TEXT, **kit, "today": TEXT,
            "sha256": _object({"job": TEXT, "books": TEXT}), "sizes_code": TEXT, "code": TEXTS,
            "release": release, "counts": _object(dict.fromkeys(OUTCOMES, COUNT)), "past": COUNT,
            "findings": _list(_finding()), "to_measure": _list(asked),
            "assumed": _list(ASSUMED), "cautions": TEXTS, "broken": TEXTS,
        }
    )  # fmt: skip


def _cell() -> Schema:
    return _object(
        {
            "title": TEXT, "name": TEXT, "text": TEXT, "value": _or_null(AMOUNT),
            "exact": _or_null(AMOUNT), "basis": TEXT, "missing": TEXTS,
        }
    )  # fmt: skip


def _takeoff() -> Schema:
    row = _object({"item": TEXT, "part": TEXT, "from": TEXT, "cells": _by_name(_cell())})
    table = _object(
        {"table": TEXT, "title": TEXT, "rows": _list(row), "notes": TEXTS, "missing": TEXTS}
    )
    missing = _list(_object({"fact": TEXT, "means": TEXT, "who": TEXT}))
    reading = _object({"fact": TEXT, "means": TEXT, "expected": TEXT, "given": TEXT})
    hold = _object(
        {
            "clause": TEXT, "subject": TEXT, "title": TEXT, "stage": TEXT, "level": LEVEL,
            "shows": TEXT, "readings": _list(reading), "signs": TEXT, "outcome": TEXT,
            "says": TEXT, "caution": TEXT, "basis": TEXT,
        }
    )  # fmt: skip
    step = _object(
        {
            "number": COUNT, "step": TEXT, "do": TEXT, "after": _list(COUNT),
            "values": _list(_cell()), "cautions": TEXTS, "holds": TEXTS, "basis": TEXT,
        }
    )  # fmt: skip
    head = {**FROM, "job": TEXT, "file": TEXT, "kit": TEXT, "code": TEXTS}
    laid = _object(
        {
            **head, "tables": _list(table), "steps": _list(step), "hold_points": _list(hold),
            "missing": missing, "cautions": TEXTS,
        }
    )  # fmt: skip
    return _object(
        {
            **head, "release": _or_null(of_type(Standing)), "sizes_code": TEXT,
            "tables": _list(table), "missing": missing, "assumed": _list(ASSUMED),
            "cautions": TEXTS,
        },
        {"setting_out": laid},
    )  # fmt: skip


def _remedy() -> Schema:
    remedy = {"$ref": "#/$defs/remedy"}
    single = _object(
        {
            "clause": TEXT, "subject": TEXT, "outcome": TEXT, "level": LEVEL, "title": TEXT,
            "says": TEXT, "remedy": _or_null(remedy), "nothing": _or_null(of_type(Nothing)),
        }
    )  # fmt: skip
    patch = _list(_by_name({}))
    one = _of_fields(Remedy)
    one["properties"] |= {"patch": patch}
    one["required"].append("patch")
    whole = _object(
        {
            **FROM, "job": TEXT, "file": TEXT, "code": TEXTS, "today": TEXT, "stopped": YES_NO,
            "seconds": MAYBE_NUMBER, "joint": _or_null(remedy),
            "joint_nothing": _or_null(of_type(Nothing)), "left": _list(TEXTS), "unread": TEXTS,
            "unfit": TEXTS, "unknown": TEXTS, "singles": _list(single), "broken": TEXTS,
        }
    )  # fmt: skip
    return {**whole, "$defs": {"remedy": one}}


def _since() -> Schema:
    changed, finding = _list(of_type(Changed)), _finding()
    return _object(
        {
            **FROM, "job": TEXT, "file": TEXT, "since": TEXT, "ready": YES_NO,
            "was_ready": YES_NO, "sizes_codes": TEXTS, "facts": changed, "cut": changed,
            "came": _list(finding), "went": _list(finding), "changed": _list(_list(finding)),
        }
    )  # fmt: skip


def output_schema(kind: str) -> Schema:
    """Return the JSON Schema of what a command prints as JSON.

    Args:
        kind: One of `OUTPUTS`; since is what `review --since` prints.

    Raises:
        ValueError: There is no such output.
    """
    if kind not in OUTPUTS:
        raise ValueError(f"There is no output {kind!r}; there are {', '.join(OUTPUTS)}.")
    if kind == "review":
        job, kit = _review("job"), _review("kit")
        several = _object({**FROM, "jobs": _list({"anyOf": [job, kit]})})
        made: Schema = {"anyOf": [job, kit, several]}
    else:
        made = {"takeoff": _takeoff, "remedy": _remedy, "since": _since}[kind]()
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": f"urn:paneproof:schema:{kind}:{FORMAT}",
        "title": f"What paneproof prints as JSON: {kind}",
        **made,
    }
