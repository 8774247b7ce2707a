"""What fields a job and a kit have: forms that grow out of the facts that the books declare."""

import re
from collections.abc import Iterable, Mapping

from ruleset.book import Fact
from ruleset.book_form import BLANK, TEXT, field, keyed, needed, text
from ruleset.form import Either, Field, Form, FreeText, Listing, Record, Words
from ruleset.kinds import TEXT as TEXT_KIND
from ruleset.kinds import Kind
from ruleset.layers import FORMAT
from ruleset.library import Library
from ruleset.patterns import ANY_NAME, DAY, ID, KIT_ID, SOME_TEXT, Pattern
from ruleset.quantity import Style, show
from ruleset.reader import MOST_BYTES, MOST_NODES
from ruleset.units import examples

from .facts import MOST_TEXT, NOT_KNOWN
from .job import SECTIONS
from .kit import KIT_FIELDS
from .signed import CODE, SIGNED

_UNITS = Words(options=("in", "mm"), blank=True)
_SIGNED = "The code of the sizes that were checked, as it stands on the take-off."
_YES_NO = ("yes", "no", "true", "false")
_OPEN = Words(options=NOT_KNOWN, means="Not known yet.", blank=True)


def _may_be(looks: Pattern) -> FreeText:
    """Return the form of a text that looks so or is left empty."""
    pattern = f"(?:{looks.text})?"
    return FreeText(least=0, most=MOST_BYTES, pattern=pattern, pattern_says=looks.says)


_NOTE = _may_be(SOME_TEXT)
_CODES = Either(forms=(_may_be(ID), Listing(each=text(ID), most=MOST_NODES)))
_KITS = Either(forms=(text(KIT_ID), Listing(each=text(KIT_ID), most=MOST_NODES)))
WAIVER = Record(
    means="A departure from one clause, and who answers for it.",
    fields={
        "clause": needed(TEXT, "The clause, as BOOK.CLAUSE"),
        "subject": field(_NOTE, "The part it is for; every part where not given"),
        "why": needed(TEXT, "The reason"),
        "by": needed(TEXT, "Who answers for it"),
        "until": field(_may_be(DAY), "The last day it stands, such as 2027-03-31"),
    },
)


_ANY = FreeText(least=0, most=MOST_BYTES, means="As a job has it.")
_SOME = Either(forms=(_ANY, Listing(each=TEXT, most=MOST_NODES)))
OFFCUT = Record(
    means="A length of a kit's stock that is left over.",
    fields={
        "kit": needed(text(KIT_ID), "The kit that it is of"),
        "of": needed(TEXT, "What it is of, as the cut list calls it"),
        "length": needed(TEXT, "How long it is"),
        "first_hole": field(_NOTE, "From its first end to its first tapped hole"),
    },
)
STOCK = Record(
    means="What a shop has on its shelves; remedies choose from it.",
    fields={
        "stock": needed(TEXT, "The name of the stock"),
        "format": field(Words(options=(FORMAT,), blank=True), "The form of the file"),
        "title": field(_NOTE, "Whose it is"),
        "units": field(_UNITS, "The unit of a length that is written without one"),
        "kits": field(Listing(each=text(KIT_ID), most=MOST_NODES), "Kits that may be used"),
        "thicknesses": field(Listing(each=TEXT, most=MOST_NODES), "Thicknesses of glass"),
        "handles": field(
            keyed(ANY_NAME, keyed(ANY_NAME, _ANY)),
            "Handles, each whole: what it is, and `second_hole` from its first hole up",
        ),
        "kerf": field(_NOTE, "What one cut takes"),
        "offcuts": field(
            keyed(ANY_NAME, OFFCUT), "Lengths that are left over, to be cut from first"
        ),
        "classes": field(Listing(each=TEXT, most=MOST_NODES), "Classes of change, cheapest first"),
        "levers": field(
            keyed(ANY_NAME, keyed(ANY_NAME, _SOME)), "What a change of one size costs this shop"
        ),
    },
)
"""A shop's stock: how a thickness, a handle or a lever reads, only its reader knows."""


def job_form(library: Library, arrangement: str) -> Record:
    """Return what fields a job has.

    Args:
        library: The books, with the parts of an arrangement.
        arrangement: Its name.
    """
    waivers = Either(forms=(Listing(each=WAIVER, most=MOST_NODES), BLANK))
    sections = {
        name: field(
            Either(forms=(_tables(library, name), _OPEN)), f"What the {name} stage tells of the job"
        )
        for name in SECTIONS
    }
    fields = {
        "format": needed(Words(options=(FORMAT,)), "The form of the file"),
        "job": needed(TEXT, "The shop's number for the job"),
        "title": field(_NOTE, "What the job is, in a line"),
        "arrangement": needed(Words(options=(arrangement,)), "What is built"),
        "units": field(_UNITS, "The unit of a length that is written without one"),
        "kit": needed(_KITS, "The id of the hardware kit, or a list of ids, one for each kind"),
        "code": field(_CODES, "The code set it is held against, or a list of them"),
        "policy": field(_CODES, "The shop's policy, or a list of them"),
        "grid": field(_NOTE, "The least step of a cut size"),
        "notes": field(_NOTE, "Anything a reader should know"),
    }
    return Record(
        means="One shower enclosure.",
        fields={**fields, **sections, "waivers": field(waivers, "Departures from clauses")},
    )


def kit_form(library: Library) -> Record:
    """Return what fields a kit has.

    Args:
        library: The books, which tell what a kit has to give.
    """
    facts = _tables(library, "kit").fields
    return Record(
        means="One hardware system, from its maker's sheet.",
        fields={
            "kit": needed(text(KIT_ID), "The kit's id, which is its file's name"),
            "title": needed(TEXT, "What the kit is"),
            "maker": field(_NOTE, "Who makes it"),
            "sheet": field(_NOTE, "The maker's sheet and its date"),
            "notes": field(_NOTE, "Anything a reader should know"),
            "units": field(_UNITS, "The unit of a length that is written without one"),
            "format": field(Words(options=(FORMAT,), blank=True), "The form of the file"),
            **{name: one for name, one in facts.items() if name not in KIT_FIELDS},
        },
    )


def _tables(library: Library, path: str) -> Record:
    """Return the form of a table of facts, with the tables inside it."""
    prefix = f"{path}."
    inside = (name.removeprefix(prefix) for name in library.facts if name.startswith(prefix))
    fields: dict[str, Field] = {}
    for key in dict.fromkeys(name.partition(".")[0] for name in inside):
        fact = library.facts.get(f"{prefix}{key}")
        if fact is not None:
            fields[key] = field(_fact(library, fact), fact.means)
        else:
            table = Either(forms=(_tables(library, f"{prefix}{key}"), _OPEN))
            fields[key] = field(table, f"Facts of {prefix}{key}".replace("_", " "))
    return Record(fields=fields)


def _fact(library: Library, fact: Fact) -> Form:
    if fact.kind is None:
        row = Record(fields=dict(_fields_of_row(library.sorts[fact.rows].fields)))
        empty = ("none", *NOT_KNOWN)
        none = Words(options=empty, means="There are none of these, or it is open.", blank=True)
        return Either(forms=(none, Listing(each=row, most=fact.most)))
    if fact.kind.name == "word":
        words = (*fact.words, *fact.also, *NOT_KNOWN)
        return Words(options=words, means=_absent(fact), blank=True)
    if fact.name in SIGNED:
        looks = f"(?:{'|'.join((*_YES_NO, CODE, *map(re.escape, NOT_KNOWN)))})?"
        says = "Write no, or the code of the sizes that stands on the take-off."
        return FreeText(pattern=looks, pattern_says=says, least=0, means=_SIGNED)
    if fact.kind.name == "yes/no":
        return Words(options=(*_YES_NO, *NOT_KNOWN), means=_absent(fact), blank=True)
    if fact.kind == TEXT_KIND:
        return FreeText(least=0, most=MOST_TEXT, means="For the papers; no rule reads it.")
    low, high = (show(bound, fact.kind, Style()).text for bound in (fact.low, fact.high))
    hint = f"{fact.kind.name.capitalize()}, {low} to {high}. {_absent(fact)}"
    ways = examples(fact.kind)
    return FreeText(least=0, most=MOST_BYTES, means=hint.strip(), examples=ways)


def _absent(fact: Fact) -> str:
    taken = fact.follows or fact.absent
    return f"Taken as {taken} where not given." if taken is not None else ""


def _fields_of_row(kinds: Mapping[str, Kind]) -> Iterable[tuple[str, Field]]:
    for name, kind in kinds.items():
        form = FreeText(least=0, most=MOST_BYTES, examples=examples(kind))
        yield name, field(form, f"{name}: {kind.name}")
