"""What a form refuses, what its schema refuses, and that the two are one."""

import json
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from ruleset.form import Either, Field, Form, Keyed, Line, Listing, Record, Words, check, schema
from ruleset.nearest import did_you_mean, nearest
from ruleset.node import Node
from ruleset.reader import read_text
from ruleset.schema_faults import check_schema, faults_by_schema

NAME = Line(
    means="A name",
    pattern="[a-z]+(-[a-z]+)+",
    pattern_says="A name is lower-case words joined by a hyphen.",
    most=12,
)
WORD = Line(pattern="[a-z]+", pattern_says="Write a word.")
DIGITS = Line(pattern=r"\d+", pattern_says="Write a whole number.")
SIDE = Words(options=("left", "right", "true", "12"))
SIZE = Record(
    means="A size",
    fields={
        "width": Field(form=Line(most=5), means="Edge to edge.", required=True),
        "note": Field(form=Line(least=0, most=5), means="A remark"),
    },
)
FORMS: dict[str, Form] = {
    "words": SIDE,
    "name": NAME,
    "digits": DIGITS,
    "record": SIZE,
    "list": Listing(each=NAME, most=2, least=1),
    "keyed": Keyed(each=SIDE, key_pattern="[a-z]{1,4}", key_says="A key is up to four letters."),
    "either": Either(forms=(Line(most=4), SIZE, Listing(each=DIGITS, most=1))),
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

_texts = st.sampled_from(
    [
        "",
        "left",
        "true",
        "12",
        "lfet",
        "a-name",
        "A Name",
        "a\n",
        "7\n",
        "\N{ARABIC-INDIC DIGIT THREE}",
        "x" * 13,
        "12345 ",
    ]
)
_keys = st.sampled_from(["width", "widht", "note", "name", "side", "sizes", "more", "abcde", "B"])
_values = st.recursive(
    _texts,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(_keys, inner, max_size=4),
    max_leaves=10,
)
_sizes = st.fixed_dictionaries({"width": _texts}, optional={"note": _texts, "widht": _texts})
_likely = st.fixed_dictionaries(
    {"name": st.sampled_from(["a-name", "A Name"])},
    optional={
        "side": _texts,
        "sizes": st.lists(_texts | _sizes, max_size=3),
        "more": st.dictionaries(_keys, _texts | _sizes, max_size=2),
    },
)


def node(value: object) -> Node:
    """Return a value as it is read from JSON."""
    return read_text(json.dumps(value, indent=1), "f")


def says(form: Form, text: str) -> list[str]:
    """Return the faults of a YAML text."""
    return [str(fault) for fault in check(form, read_text(text, "f"))]


@settings(max_examples=500, deadline=None)
@given(st.sampled_from(sorted(FORMS)), _values | _likely | _sizes)
@example("digits", "\N{ARABIC-INDIC DIGIT THREE}")
@example("digits", "7\n")
def test_form_and_schema_say_the_same(name: str, value: object) -> None:
    form, root = FORMS[name], node(value)
    assert check(form, root) == faults_by_schema(root, schema(form, title=name, id="urn:x"))


@pytest.mark.parametrize("name", FORMS)
def test_schema_is_one_and_is_json(name: str) -> None:
    made = schema(FORMS[name], title="Size", id="https://example.org/size.json")
    check_schema(made)
    assert json.loads(json.dumps(made)) == made
    assert made["title"] == "Size"


def test_schema_that_is_none_is_refused() -> None:
    with pytest.raises(ValueError, match=r"not JSON Schema 2020-12 at \$\.type; correct it"):
        check_schema({"type": "tabel"})


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
        for name, form in {"any": Line(), "digits": DIGITS, "name": NAME, "word": WORD}.items()
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


def test_everything_wrong_is_said_at_once_in_order() -> None:
    text = "side: lfet\nnaem: a\nsizes:\n  - {widht: 1}\n  - 12\n  - []\nmore: [x]\n"
    assert says(FORMS["nested"], text) == [
        "f:1:1: The field 'name' is missing; add it (What it is called).",
        (
            "f:1:7: The word 'lfet' is not known here. Did you mean 'left'? "
            "Allowed are left, right, true, 12."
        ),
        (
            "f:2:1: There is no field 'naem' here. Did you mean 'name'? "
            "Allowed are name, side, sizes, more."
        ),
        "f:4:3: The list has 3 rows; at most 2 may stand here.",
        "f:4:5: The field 'width' is missing; add it (Edge to edge).",
        "f:4:6: There is no field 'widht' here. Did you mean 'width'? Allowed are width, note.",
        "f:6:5: A list stands here; text or a table of named fields is needed.",
        "f:7:7: A list stands here; a table of named fields is needed.",
    ]


@pytest.mark.parametrize(
    ("form", "text", "fault"),
    [
        (WORD, "A Name", "'A Name' does not fit here. Write a word."),
        (NAME, "''", "Nothing stands here; write the text that belongs here."),
        (NAME, "abcdefg-hijkl", "The text has 13 characters; at most 12 may stand here."),
        (Line(least=3), "ab", "The text has 2 characters; at least 3 are needed."),
        (SIZE, "''", "Nothing stands here; a table of named fields is needed."),
        (SIZE, "30 in", "The text '30 in' stands here; a table of named fields is needed."),
        (NAME, "{a: 1}", "A table stands here; text is needed."),
        (FORMS["list"], "[]", "The list has no rows; at least 1 must stand here."),
        (SIDE, "''", "No word stands here. Allowed are left, right, true, 12."),
    ],
)  # fmt: skip
def test_sentences(form: Form, text: str, fault: str) -> None:
    assert says(form, text) == [f"f:1:1: {fault}"]


def test_keys_chosen_by_the_author() -> None:
    assert says(FORMS["keyed"], "{ok: left, Bad: right}") == [
        "f:1:12: 'Bad' does not fit here. A key is up to four letters."
    ]


def test_reading_comes_after_the_other_checks() -> None:
    asked: list[str] = []

    def reads(text: str) -> str | None:
        asked.append(text)
        return None if text.endswith(" in") else f"'{text}' has no unit; write it in 'in' or 'mm'."

    length = Record(fields={"x": Field(form=Line(reads=reads, most=6), means="A length")})
    assert says(length, "x: 30 in") == []
    assert says(length, "x: 30") == ["f:1:4: '30' has no unit; write it in 'in' or 'mm'."]
    assert says(length, "x: 30 1/16 in") == [
        "f:1:4: The text has 10 characters; at most 6 may stand here."
    ]
    assert asked == ["30 in", "30"]


def test_forms_that_cannot_be_told_apart_are_refused() -> None:
    with pytest.raises(ValueError, match="same kind of value: text, text"):
        Either(forms=(NAME, SIDE))


def test_pattern_without_its_sentence_is_refused() -> None:
    with pytest.raises(ValueError, match="has no sentence"):
        Line(pattern="a")


@pytest.mark.parametrize(
    ("found", "expected"),
    [
        ("widht", "width"),
        ("Width", "width"),
        ("door.widht", "door.width"),
        ("panel.width", "door.width"),
        ("clear_openng", "door.clear_opening"),
        ("zzz", None),
        ("", None),
        ("w" * 5_000, None),
    ],
)
def test_nearest(found: str, expected: str | None) -> None:
    known = ["door.width", "door.clear_opening", "door.height"]
    if not found.startswith("panel."):
        known.append("width")
    assert nearest(found, known) == expected
    assert did_you_mean(found, known) == (f" Did you mean '{expected}'?" if expected else "")
