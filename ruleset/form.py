"""What fields a file has: one description, from which its JSON Schema is made."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

# What an editor takes for a number or for yes and no, though it is text to the reader.
_NUMBERS = ("0", "1", "60", "2021", "0.5", "2021.1", "-1")
_YES_NO = ("true", "false")


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """A text that is one of a few words.

    Attributes:
        options: The words, in the order to show them.
        means: What the word says.
        blank: Whether it may be left empty.
    """

    options: tuple[str, ...]
    means: str = ""
    blank: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class FreeText:
    """A text.

    Attributes:
        means: What it says.
        pattern: A regular expression, common to Python and ECMA 262, that the whole text matches.
        pattern_says: The sentence that tells an author what the pattern asks for.
        most: How many characters it may have.
        least: How many it must have.
        examples: What it may look like, for editors.
    """

    means: str = ""
    examples: tuple[str, ...] = ()
    pattern: str | None = None
    pattern_says: str = ""
    most: int = 200
    least: int = 1

    def __post_init__(self) -> None:
        """Refuse a pattern without its sentence."""
        if self.pattern is not None and not self.pattern_says:
            message = f"The pattern {self.pattern!r} has no sentence; give pattern_says."
            raise ValueError(message)

    def takes(self, text: str) -> bool:
        """Return whether the pattern takes a text."""
        return self.pattern is None or bool(re.fullmatch(self.pattern, text, re.ASCII))


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One field of a record.

    Attributes:
        form: What its value is.
        means: What it says, as a phrase.
        required: Whether it has to be there.
    """

    form: "Form"
    means: str
    required: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Record:
    """A table of known fields.

    Attributes:
        fields: The fields by name, in the order to show them.
        means: What the table describes.
        conditions: What the fields have to be together, as JSON Schemas; what complains in them
            carries its sentence as errorMessage, a word of editors.
    """

    fields: Mapping[str, Field]
    means: str = ""
    conditions: tuple[Mapping[str, Any], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Listing:
    """A list of values of one form.

    Attributes:
        each: What a row is.
        most: How many rows it may have.
        least: How many it must have.
        means: What the list holds.
    """

    each: "Form"
    most: int
    least: int = 0
    means: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Keyed:
    """A table whose field names the author chooses.

    Attributes:
        each: What each value is.
        key_pattern: What a name matches as a whole.
        key_says: The sentence that tells an author what names may look like.
        means: What the table holds.
        required: Names that have to be there.
        least: How many fields it must have.
    """

    each: "Form"
    key_pattern: str
    key_says: str
    means: str = ""
    required: tuple[str, ...] = ()
    least: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Either:
    """One of several forms, told apart by whether text, a list or a table stands there.

    Attributes:
        forms: At most one form for text, one for a list, one for a table.
        means: What the value says.
    """

    forms: tuple["Form", ...]
    means: str = ""

    def __post_init__(self) -> None:
        """Refuse forms that could not be told apart."""
        kinds = [kind for form in self.forms for kind in _kinds(form)]
        if len(set(kinds)) < len(kinds):
            message = f"Two of the forms stand for the same kind of value: {', '.join(kinds)}."
            raise ValueError(message)


Form = Words | FreeText | Record | Listing | Keyed | Either


def schema(form: Form, *, title: str, id: str) -> dict[str, Any]:  # noqa: A002 - the schema's word
    """Return a form as a JSON Schema.

    Args:
        form: The form of a whole file.
        title: What the file is called.
        id: The URI by which the schema is known.

    Source:
        JSON Schema, draft 2020-12.
    """
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": id,
        **_schema(form),
        "title": title,
    }


def _kinds(form: Form) -> tuple[str, ...]:
    """Return which of text, list and table the form takes."""
    match form:
        case Words() | FreeText():
            return ("text",)
        case Listing():
            return ("list",)
        case Record() | Keyed():
            return ("table",)
        case Either():
            return tuple(kind for each in form.forms for kind in _kinds(each))


def _schema(form: Form) -> dict[str, Any]:
    """Return a form as a piece of a JSON Schema."""
    said = {"description": form.means} if form.means else {}
    match form:
        case Words():
            return {**said, **_words_schema(form)}
        case FreeText():
            return {**said, **_free_text_schema(form)}
        case Record():
            return {**said, **_record_schema(form)}
        case Listing():
            counts = {"minItems": form.least, "maxItems": form.most}
            return {**said, "type": "array", "items": _schema(form.each), **counts}
        case Keyed():
            names = _pattern_schema(form.key_pattern, form.key_says)
            each = _schema(form.each)
            return {
                **said,
                "type": "object",
                "propertyNames": names,
                "additionalProperties": each,
                "required": [*form.required],
                "minProperties": form.least,
            }
        case Either():
            return {**said, "anyOf": [_schema(each) for each in form.forms]}


def _words_schema(form: Words) -> dict[str, Any]:
    """Return the words, with what an editor takes them for where that is not text."""
    as_bool = {"true": True, "false": False}
    twins = [as_bool[word] for word in form.options if word in as_bool]
    numbers = [int(word) for word in form.options if word.isascii() and word.isdecimal()]
    blanks = ["", None] if form.blank else []
    return {
        "type": _types(number=bool(numbers), boolean=bool(twins), null=form.blank),
        "enum": [*form.options, *numbers, *twins, *blanks],
    }


def _free_text_schema(form: FreeText) -> dict[str, Any]:
    """Return a text, or what an editor takes the text for: 60 and true need no quotes here."""

    def may_be(examples: tuple[str, ...]) -> bool:
        short = [text for text in examples if len(text) <= form.most]
        return any(form.takes(text) for text in short)

    kind = _types(
        number=may_be(_NUMBERS),
        boolean=may_be(_YES_NO),
        null=not form.least and form.takes(""),
    )
    pattern = {} if form.pattern is None else _pattern_schema(form.pattern, form.pattern_says)
    if form.examples and set(kind) == _EVERY_TEXT:
        # Where types are named, editors offer true, false and null for a length.
        return {
            "not": {"type": ["object", "array"]},
            "errorMessage": f"One value stands here, such as {' or '.join(form.examples)}.",
            "examples": [*form.examples],
            "minLength": form.least,
            "maxLength": form.most,
            **pattern,
        }
    return {"type": kind, "minLength": form.least, "maxLength": form.most, **pattern}


_EVERY_TEXT = {"string", "number", "boolean", "null"}
"""What an editor may take a text for that may be any, or none."""


def _types(*, number: bool, boolean: bool, null: bool) -> str | list[str]:
    """Return what an editor may take a text for; a value left empty is null to it."""
    also = {"number": number, "boolean": boolean, "null": null}
    types = ["string", *(name for name, taken in also.items() if taken)]
    return types if len(types) > 1 else "string"


def _pattern_schema(pattern: str, says: str) -> dict[str, Any]:
    # A schema's pattern may match anywhere in a text; patternErrorMessage is a word of editors.
    return {"pattern": f"^(?:{pattern})$", "patternErrorMessage": says}


def _record_schema(form: Record) -> dict[str, Any]:
    properties = {
        name: {"title": known.means, **_schema(known.form)} for name, known in form.fields.items()
    }
    return {
        "type": "object",
        "properties": properties,
        "required": [name for name, known in form.fields.items() if known.required],
        "additionalProperties": False,
        **({"allOf": [dict(one) for one in form.conditions]} if form.conditions else {}),
    }
