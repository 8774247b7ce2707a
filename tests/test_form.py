"""The schema of a form: one that is, helps an editor, and takes and refuses what it is to."""

import json
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from ruleset.form import Either, Field, Form, FreeText, Keyed, Listing, Record, Words, schema
from ruleset.reader import read_text
from ruleset.schema_faults import faults_by_schema

NAME = FreeText(
    means="A name",
    pattern="[a-z]+(-[a-z]+)+",
    pattern_says="A name is lower-case words joined by a hyphen.",
    most=12,
)
WORD = FreeText(pattern="[a-z]+", pattern_says="Write a word.")
DIGITS = FreeText(pattern=r"\d+", pattern_says="Write a whole number.")
SIDE = Words(options=("left", "right", "true", "12"))
SIZE = Record(
    means="A size",
    fields={
        "width": Field(form=FreeText(most=5), means="Edge to edge.", required=True),
        "note": Field(form=FreeText(least=0, most=5), means="A remark"),
    },
)
FORMS: dict[str, Form] = {
    "words": SIDE,
    "name": NAME,
    "digits": DIGITS,
    "record": SIZE,
    "list": Listing(each=NAME, most=2, least=1),
    "keyed": Keyed(each=SIDE, key_pattern="[a-z]{1,4}", key_says="A key is up to four letters."),
    "either": Either(forms=(FreeText(most=4), SIZE, Listing(each=DIGITS, most=1))),
    "nested": Record(
        fields={
            "name": Field(form=NAME, means="What it is called", required=True),
            "side": Field(form=SIDE, means="Where it is"),
            "sizes": Field(form=Listing(each=Either(forms=(DIGITS, SIZE)), most=2), means="Sizes"),
            "more": Field(
                form=Keyed(
                    each=Either(forms=(NAME, SIZE)), key_pattern="[a-z]+", key_says="Use letters."
                ),
                means="More of it",
            ),
        }
    ),
}

OTHERWISE = "The schema of this file asks for something else: "


def says(form: Form, text: str) -> list[str]:
    """Return the faults that a form's schema finds in a YAML text."""
    made = schema(form, title="t", id="urn:t")
    return [str(fault) for fault in faults_by_schema(read_text(text, "f"), made)]


@pytest.mark.parametrize("name", FORMS)
def test_schema_is_one_and_is_json(name: str) -> None:
    made = schema(FORMS[name], title="Size", id="https://example.org/size.json")
    Draft202012Validator.check_schema(made)
    assert json.loads(json.dumps(made)) == made
    assert made["title"] == "Size"


def test_schema_for_editors() -> None:
    made: dict[str, Any] = schema(FORMS["nested"], title="Part", id="urn:part")
    assert made["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert made["additionalProperties"] is False
    assert made["required"] == ["name"]
    assert made["properties"]["name"] == {
        "title": "What it is called",
        "description": "A name",
        "type": "string",
        "minLength": 1,
        "maxLength": 12,
        "pattern": "^(?:[a-z]+(-[a-z]+)+)$",
        "patternErrorMessage": "A name is lower-case words joined by a hyphen.",
    }
    assert made["properties"]["side"]["enum"] == ["left", "right", "true", "12", 12, True]
    assert made["properties"]["sizes"]["maxItems"] == 2


def test_unquoted_number_or_truth_is_text_to_the_schema() -> None:
    kinds = {
        name: schema(form, title="t", id="urn:t")["type"]
        for name, form in {"any": FreeText(), "digits": DIGITS, "name": NAME, "word": WORD}.items()
    }
    assert kinds == {
        "any": ["string", "number", "boolean"],
        "digits": ["string", "number"],
        "name": "string",
        # "true" fits the pattern of a word, so an editor must let it pass.
        "word": ["string", "boolean"],
    }


def test_a_good_file_has_no_faults() -> None:
    text = "name: a-door\nside: left\nsizes: [12, {width: 30}]\nmore: {up: {width: 3, note: ''}}\n"
    assert says(FORMS["nested"], text) == []


def test_faults_are_told_at_their_places_in_order() -> None:
    text = "side: lfet\nnaem: a\nsizes:\n  - {widht: 1}\n  - 12\n  - []\nmore: [x]\n"
    found = [one.partition(f": {OTHERWISE}") for one in says(FORMS["nested"], text)]
    assert all(how.endswith(".") for _, _, how in found)
    assert [place for place, _, _ in found] == [
        "f:1:1", "f:1:1", "f:1:7", "f:4:3", "f:4:5", "f:6:5", "f:7:7",
    ]  # fmt: skip
    for word in ("'name'", "'naem'", "'lfet'"):
        assert any(word in how for _, _, how in found)


@pytest.mark.parametrize(
    ("form", "text", "fault"),
    [
        (WORD, "A Name", "Write a word."),
        (DIGITS, "\N{ARABIC-INDIC DIGIT THREE}", "Write a whole number."),
        (DIGITS, '"7\\n"', "Write a whole number."),
        (FORMS["keyed"], "{ok: left, Bad: right}", "A key is up to four letters."),
        (NAME, "abcdefg-hijkl", f"{OTHERWISE}'abcdefg-hijkl' is too long."),
        (FreeText(least=3), "ab", f"{OTHERWISE}'ab' is too short."),
        (SIZE, "30 in", f"{OTHERWISE}'30 in' is not of type 'object'."),
    ],
)  # fmt: skip
def test_a_fault_is_one_sentence(form: Form, text: str, fault: str) -> None:
    assert says(form, text) == [f"f:1:1: {fault}"]


def test_forms_that_cannot_be_told_apart_are_refused() -> None:
    with pytest.raises(ValueError, match="same kind of value: text, text"):
        Either(forms=(NAME, SIDE))


def test_pattern_without_its_sentence_is_refused() -> None:
    with pytest.raises(ValueError, match="has no sentence"):
        FreeText(pattern="a")
