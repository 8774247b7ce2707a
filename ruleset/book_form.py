"""What fields a book has, and a code set or a policy: the forms that their schemas are made of.

The readers refuse what these forms refuse; how a quantity, a formula or a name reads stands in the
readers alone.
"""

from collections.abc import Collection, Mapping
from typing import Any

from .book import LEVELS, STAGES, STANDINGS
from .book_reader import LIMIT_KINDS, OF_NO_TEXT
from .form import Either, Field, Form, FreeText, Keyed, Listing, Record, Words
from .formula.grammar import LONGEST
from .kinds import KINDS
from .kinds import TEXT as TEXT_KIND
from .patterns import (
    ANY_NAME,
    ARRANGEMENT_NAME,
    CHILD_KEY,
    CLAUSE_NAME,
    FACT_NAME,
    GIVEN_NAME,
    ID,
    NAME,
    PATH,
    SMALL_COUNT,
    SOME_TEXT,
    SORT_NAME,
    WORKING_NAME,
    Pattern,
)
from .proof_reader import OUTCOMES
from .reader import MOST_BYTES, MOST_NODES

BLANK = FreeText(least=0, most=0, means="Not given yet.")


def text(looks: Pattern = SOME_TEXT, *, means: str = "", most: int = MOST_BYTES) -> FreeText:
    """Return the form of a text that looks so."""
    return FreeText(means=means, pattern=looks.text, pattern_says=looks.says, most=most)


def keyed(keys: Pattern, each: Form, required: tuple[str, ...] = (), least: int = 0) -> Keyed:
    """Return the form of a table whose names look so."""
    return Keyed(
        each=each, key_pattern=keys.text, key_says=keys.says, required=required, least=least
    )


def field(form: Form, means: str) -> Field:
    """Return a field that may be left out."""
    return Field(form=form, means=means)


def needed(form: Form, means: str) -> Field:
    """Return a field that has to be there."""
    return Field(form=form, means=means, required=True)


def exactly_one(*names: str) -> Mapping[str, Any]:
    """Return the condition that one of some fields stands in a table, and no other of them."""
    says = f"Exactly one of the fields {' and '.join(names)} has to stand here."
    return {"oneOf": [{"required": [name]} for name in names], "errorMessage": says}


def alone(name: str, *others: str) -> Mapping[str, Any]:
    """Return the condition that some fields do not stand in a table together with another."""
    says = f"Where the field '{name}' stands, {' and '.join(others)} may not."
    both = [{"required": [name, other]} for other in others]
    return {"not": {"anyOf": both}, "errorMessage": says}


def then(when: str, among: Collection[str], name: str) -> Mapping[str, Any]:
    """Return the condition that a field is there where another one is one of some words."""
    says = f"The field '{name}' is missing; this {when} needs it."
    asked = {"properties": {when: {"enum": [*among]}}, "required": [when]}
    return {"if": asked, "then": {"required": [name], "errorMessage": says}}


def without(when: str, word: str, *names: str) -> Mapping[str, Any]:
    """Return the condition that some fields do not stand where another one is a word."""
    asked = {"properties": {when: {"enum": [word]}}, "required": [when]}
    says = f"A {when} that is {word} has no {', '.join(names[:-1])} or {names[-1]}."
    none = {"not": {"anyOf": [{"required": [name]} for name in names]}, "errorMessage": says}
    return {"if": asked, "then": none}


def here_or_inside(name: str, table_name: str) -> Mapping[str, Any]:
    """Return the condition that a field stands in a table, or in a value of a table inside it."""
    says = f"The field '{name}' is missing; add it here, or to a value of '{table_name}'."
    has_not = {"not": {"type": "object", "required": [name]}}
    some_have = {"type": "object", "not": {"additionalProperties": has_not}}
    inside = {"properties": {table_name: some_have}, "required": [table_name]}
    return {"anyOf": [{"required": [name]}, inside], "errorMessage": says}


TEXT = text()
FORMULA = text(means="A formula.", most=LONGEST)
LEVEL = Words(options=LEVELS)
STAGE = Words(options=STAGES)
YES_NO = Words(options=("yes", "no"))
KIND = Words(options=tuple(KINDS))
_NUMBERED = tuple(name for name in KINDS if name not in ("word", "yes/no"))

BASIS = Record(
    means="By whose word it holds.",
    fields={
        "document": field(TEXT, "The document"),
        "edition": field(TEXT, "Its edition, such as '2021'"),
        "clause": field(TEXT, "The clause in the document"),
        "standing": needed(Words(options=STANDINGS), "How sure the word is"),
        "note": field(TEXT, "What a reader should know besides"),
    },
)
_ONE_OR_MORE = Either(
    forms=(text(SORT_NAME), Listing(each=text(SORT_NAME), least=1, most=MOST_NODES))
)
FACT = Record(
    means="A value that a job or a kit may give.",
    fields={
        "for": field(TEXT, "each SORT, for a fact of every part of a sort"),
        "means": needed(TEXT, "What it is, for people"),
        "kind": field(Words(options=(*KINDS, TEXT_KIND.name)), "What sort of value it is"),
        "words": field(Listing(each=TEXT, least=1, most=MOST_NODES), "What a word may be"),
        "also": field(keyed(SOME_TEXT, TEXT), "Other words that people write, and what each means"),
        "range": field(Listing(each=TEXT, least=2, most=2), "The least and the most that is read"),
        "usual": field(Listing(each=TEXT, least=2, most=2), "Where ordinary jobs lie"),
        "stage": field(STAGE, "When it has to be known"),
        "who": field(TEXT, "Who supplies it"),
        "absent": field(
            TEXT,
            "What is taken, and told, where it is not given: a value, a fact or a limit",
        ),
        "list": field(text(SORT_NAME), "The sort of the rows, for a list"),
        "most": field(text(SMALL_COUNT), "The most rows that are read, 12 where not given"),
    },
    conditions=(
        exactly_one("kind", "list"),
        then("kind", _NUMBERED, "range"),
        then("kind", ("word",), "words"),
        without("kind", TEXT_KIND.name, *OF_NO_TEXT),
    ),
)
_GROUP = {
    "sort": needed(TEXT, "The sort of its members"),
    "are": field(
        Listing(each=keyed(CHILD_KEY, TEXT, required=("means",)), most=MOST_NODES),
        "Members that every job has: what each means, a formula for each field, and under if where "
        "a job has it at all",
    ),
    "more": field(TEXT, "The list in which a job gives further members"),
}
GROUP = Record(means="Parts of a part.", fields=_GROUP)
GROUP_OF_SORT = Record(
    means="Parts of every part of a sort.",
    fields={**_GROUP, "by": field(text(NAME), "The role by which others name the part")},
    conditions=(alone("by", "are", "more"),),
)
SORT = Record(
    means="A sort of part.",
    fields={
        "plural": field(text(SORT_NAME), "The name of all parts of the sort together"),
        "is": field(_ONE_OR_MORE, "The sorts of which every part of it is, too"),
        "fields": field(keyed(NAME, KIND), "The kind of each field that every part has"),
        "roles": field(
            keyed(NAME, _ONE_OR_MORE), "Its neighbours, each with the sorts that may fill it"
        ),
        "groups": field(keyed(NAME, GROUP_OF_SORT), "Its own parts, by the name of the group"),
        "called": field(TEXT, "What a person calls it, where its name is technical"),
    },
)
PART = Record(
    means="A thing that the arrangement is made of.",
    fields={
        "means": needed(TEXT, "The part in words, such as 'the left panel'"),
        "sorts": field(Listing(each=TEXT, most=MOST_NODES), "The sorts it is of"),
        "groups": field(keyed(NAME, GROUP), "Its own parts, by the name of the group"),
        "roles": field(keyed(NAME, TEXT), "Its neighbours: the part that fills each role"),
    },
)
LIMIT = Record(
    means="A number that a code set or a policy may amend.",
    fields={
        "is": needed(TEXT, "The value with its unit"),
        "kind": field(Words(options=LIMIT_KINDS), "Its kind, where the unit does not tell"),
        "step": field(TEXT, "How far past the limit a proof goes"),
        "basis": field(BASIS, "By whose word"),
        "means": field(TEXT, "What it is, for people"),
    },
)
_GIVEN = keyed(GIVEN_NAME, Either(forms=(TEXT, Listing(each=keyed(PATH, TEXT), most=MOST_NODES))))
_EXAMPLE = {
    "given": field(_GIVEN, "Facts, workings and groups; all else is missing"),
    "limits": field(keyed(NAME, TEXT), "Limits that are given another value"),
    "units": field(Words(options=("in", "mm")), "The units that its sentences print in"),
}
WORKING_PROOF = Record(fields={**_EXAMPLE, "is": needed(TEXT, "The value that follows")})
CLAUSE_PROOF = Record(
    fields={
        **_EXAMPLE,
        "says": field(TEXT, "The exact sentence, where it fails"),
        "without": field(
            keyed(GIVEN_NAME, Words(options=OUTCOMES)),
            "What follows when a name is dropped, where that is not unknown",
        ),
    },
)
WORKING = Record(
    means="How a quantity follows from others.",
    fields={
        "means": needed(TEXT, "What it is, for people"),
        "for": field(TEXT, "each SORT, for a working of every part of a sort"),
        "is": needed(FORMULA, "The formula as drawn"),
        "built": field(FORMULA, "The formula as built, used where its facts are known"),
        "kind": needed(KIND, "What sort of value it is"),
        "frozen": field(STAGE, "The stage from which it is cut and no longer follows"),
        "proofs": field(Either(forms=(keyed(ANY_NAME, WORKING_PROOF), BLANK)), "Examples, by name"),
    },
)
_PROOFS = Record(
    fields={
        **{how: field(keyed(ANY_NAME, CLAUSE_PROOF), f"Examples of '{how}'") for how in OUTCOMES},
        "unmoved": field(keyed(ANY_NAME, TEXT), "Changes that cannot matter, each with the reason"),
    }
)
_CLAUSE_FIELDS = {
    "title": needed(TEXT, "What it asks, in a line"),
    "for": field(TEXT, "A part, each SORT, or each SORT of each SORT"),
    "when": field(FORMULA, "Where it applies"),
    "needs": needed(FORMULA, "What must hold: one yes or no"),
    "limits": field(keyed(NAME, LIMIT), "Its limits, which the formula calls limit.NAME"),
    "level": needed(LEVEL, "How much it weighs"),
    "softer": field(
        Record(
            fields={
                "level": needed(LEVEL, "The lower level"),
                "when": needed(FORMULA, "Where it is meant"),
            }
        ),
        "A lower level under a condition",
    ),
    "stage": needed(STAGE, "When it has to be decided"),
    "basis": field(BASIS, "By whose word; the first limit's where not given"),
    "why": needed(TEXT, "What goes wrong otherwise"),
    "says": needed(TEXT, "The sentence when it fails, with names in braces"),
    "do": field(TEXT, "What to do, in words"),
    "caution": field(TEXT, "What may hurt someone"),
    "levers": field(Listing(each=TEXT, most=MOST_NODES), "Facts a person would change, best first"),
    "waivable": field(YES_NO, "Whether a job may depart from it"),
    "proofs": field(Either(forms=(_PROOFS, BLANK)), "Examples, by what they show"),
}
_CLAUSE_BASIS = (here_or_inside("basis", "limits"),)
CLAUSE = Record(means="One requirement.", fields=_CLAUSE_FIELDS, conditions=_CLAUSE_BASIS)

BOOK = Record(
    means="A book of rules.",
    fields={
        "book": needed(text(ID), "The book's id"),
        "title": needed(TEXT, "What the book is about, in a line"),
        "about": field(TEXT, "What the book is about, in a few sentences"),
        "facts": field(keyed(FACT_NAME, FACT), "Values that jobs and kits give"),
        "sorts": field(keyed(SORT_NAME, SORT), "Sorts of part"),
        "parts": field(keyed(NAME, PART), "What the arrangement is made of"),
        "limits": field(keyed(NAME, LIMIT), "Limits of the whole book"),
        "workings": field(keyed(WORKING_NAME, WORKING), "How quantities follow from others"),
        "clauses": field(keyed(ID, CLAUSE), "What is required"),
    },
)

_IN_PART = Either(forms=(TEXT, Listing(each=TEXT, least=1, most=MOST_NODES)))
ARRANGEMENT = Record(
    means="What a shop builds: its parts, and which of them are neighbours.",
    fields={
        "arrangement": needed(text(ARRANGEMENT_NAME), "What a job calls it"),
        "title": needed(TEXT, "What it is, in a line"),
        "about": field(TEXT, "What it is, in a few sentences"),
        "hand": field(
            Listing(each=text(NAME), least=2, most=MOST_NODES),
            "The words that its hand may be",
        ),
        "parts": needed(
            keyed(NAME, keyed(ANY_NAME, _IN_PART, required=("is", "means")), least=1),
            "Its parts: the sort and the meaning of each, and who fills each of its roles",
        ),
    },
)

AMENDMENT = Record(
    means="What is changed of one clause.",
    fields={
        "limits": field(
            keyed(
                NAME,
                Record(
                    fields={
                        "is": needed(TEXT, "The other value, with its unit"),
                        "basis": field(BASIS, "By whose word"),
                        "means": field(TEXT, "What it is, for people"),
                    }
                ),
            ),
            "Other values by the limit's name",
        ),
        "level": field(LEVEL, "Another level"),
        "off": field(YES_NO, "Whether the clause is dropped; a policy may not"),
        "basis": field(BASIS, "By whose word"),
        "why": needed(TEXT, "The reason"),
    },
)
LAYER = Record(
    means="A code set, or a shop's policy that may only tighten.",
    fields={
        "code": field(text(ID), "The code set's id"),
        "policy": field(text(ID), "The policy's id"),
        "format": field(Words(options=("2",)), "The form of the file"),
        "title": needed(TEXT, "What it is"),
        "under": field(Listing(each=text(ID), most=MOST_NODES), "Code sets that come first"),
        "documents": field(
            Listing(each=TEXT, most=MOST_NODES),
            "Documents that it speaks for, as clauses name them in their basis",
        ),
        "amends": field(
            keyed(CLAUSE_NAME, AMENDMENT), "What it changes: BOOK.CLAUSE, or BOOK.limit"
        ),
        "clauses": field(
            keyed(
                ID,
                Record(
                    means="A clause that stands in place of another.",
                    fields={
                        "replaces": needed(text(CLAUSE_NAME), "The clause it stands in place of"),
                        **_CLAUSE_FIELDS,
                    },
                    conditions=_CLAUSE_BASIS,
                ),
            ),
            "Whole clauses that replace others",
        ),
        "states": field(
            keyed(
                FACT_NAME,
                Record(
                    fields={
                        "is": needed(TEXT, "The value, with its unit"),
                        "why": needed(TEXT, "The shop's word for it, a sentence"),
                    }
                ),
            ),
            "What a policy states of every job, where the job does not say",
        ),
    },
    conditions=(exactly_one("code", "policy"),),
)
