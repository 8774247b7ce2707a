"""The shop's usual design, where a search begins, and what a wish may fix: the sheet `usual`."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction

from ruleset.fields import Faults, Fields
from ruleset.library import Library
from ruleset.nearest import did_you_mean
from ruleset.node import Node
from ruleset.show import show

from ..sheet_rows import read_once
from ..verdict import Verdict

SHEET = "usual"


@dataclass(frozen=True, slots=True, kw_only=True)
class Usual:
    """What a fact of the design usually is.

    Attributes:
        fact: The fact.
        given: As it is written; "" where it is taken of another value.
        of: The name that it is taken of; "" for none.
        share: How much of that it is.
    """

    fact: str
    given: str
    of: str
    share: Fraction


@dataclass(frozen=True, slots=True, kw_only=True)
class Meant:
    """What a wish means in the books.

    Attributes:
        fixes: Facts that are to be just what is wished.
        least: Limits that are to be no less than what is wished.
    """

    fixes: tuple[str, ...]
    least: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class UsualDesign:
    """The sheet, for one arrangement."""

    facts: tuple[Usual, ...]
    wishes: Mapping[str, Meant]


def usual_design(verdict: Verdict) -> UsualDesign:
    """Return the shop's usual design for the arrangement of a job.

    Raises:
        RulesetError: The sheet cannot be read or names what no book has; all faults at once.
    """
    return read_once(SHEET, verdict, UsualDesign, _read)


def _read(node: Node | None, library: Library, faults: Faults) -> UsualDesign:
    if node is None:
        return UsualDesign(facts=(), wishes={})
    fields = Fields(node, faults, "the sheet of the usual design")
    fields.text("sheet", need=True)
    fields.node("basis")
    facts = tuple(_fact(one, library, faults) for one in fields.table("usual").values())
    wishes: dict[str, Meant] = {}
    for key, one in fields.table("wishes").items():
        name, meant = key.partition(".")[0], _meant(one, library, faults)
        before = wishes.get(name, Meant(fixes=(), least=()))
        wishes[name] = Meant(
            fixes=(*before.fixes, *meant.fixes), least=(*before.least, *meant.least)
        )
    fields.done()
    return UsualDesign(facts=facts, wishes=wishes)


def _fact(node: Node, library: Library, faults: Faults) -> Usual:
    fields = Fields(node, faults, "a row of the usual design")
    usual = Usual(
        fact=fields.text("fact", need=True),
        given=fields.text("given"),
        of=fields.text("of"),
        share=_share(fields),
    )
    if bool(usual.given) == bool(usual.of):
        faults.add(fields.place, "A row of the usual design has a `given`, or it is `of` a name.")
    _known(usual.fact, library, fields, "fact")
    fields.done()
    return usual


def _share(fields: Fields) -> Fraction:
    text = fields.text("share", default="1")
    try:
        return Fraction(text)
    except (ValueError, ZeroDivisionError):
        fields.wrong("share", f"share is {text}; it is a number such as 1/2.")
        return Fraction(1)


def _meant(node: Node, library: Library, faults: Faults) -> Meant:
    fields = Fields(node, faults, "a wish")
    meant = Meant(fixes=fields.texts("fixes"), least=fields.texts("least"))
    for fact in meant.fixes:
        _known(fact, library, fields, "fixes")
    for limit in meant.least:
        if limit not in library.limits:
            hint = did_you_mean(limit, library.limits)
            fields.wrong("least", f"There is no limit {limit}.{hint}")
    fields.done()
    return meant


def _known(fact: str, library: Library, fields: Fields, key: str) -> None:
    if fact not in library.facts:
        fields.wrong(key, f"There is no fact {fact}.{did_you_mean(fact, library.facts)}")


def taken(verdict: Verdict, rows: UsualDesign) -> Iterator[tuple[str, str]]:
    """Yield each fact that is taken of another value, as it is written; of what is known now."""
    style = verdict.job.style
    for row in rows.facts:
        if not row.of:
            continue
        answer, kind = verdict.answer(row.of), verdict.library.facts[row.fact].kind
        if answer.known and kind is not None:
            value = answer.value * float(row.share)
            yield row.fact, show(value, kind, style).text
