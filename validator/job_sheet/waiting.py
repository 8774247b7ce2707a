"""What is still to be measured: one number a fact, used wherever a value waits for it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from ruleset.book import STAGES

from ..filled_tables import Missing
from ..finding import Asked
from ..report.layout import counted
from .markup import Markup, el, joined, section

_TITLE = "Still to be measured or decided"
_NEEDED: Mapping[str, str] = {
    "survey": "for the survey",
    "design": "for the design",
    "order": "to order",
    "fabricate": "to fabricate",
    "install": "to install",
    "handover": "to hand over",
}
_NOWHERE = "whoever knows it"


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiting:
    """A fact that is still to be supplied.

    Attributes:
        mark: Its number on the sheet.
        fact: Its name.
        means: What it is.
        who: Who supplies it.
        stage: When it must be known; "" where only a size waits for it.
        clauses: How many clauses wait for it.
    """

    mark: str
    fact: str
    means: str
    who: str
    stage: str
    clauses: int


def waiting(asked: Iterable[Asked], missing: Iterable[Missing]) -> Mapping[str, Waiting]:
    """Return every fact that is still to be supplied, by name, in the order that it is printed.

    Args:
        asked: What the review asks for.
        missing: What the sizes of the sheet wait for.
    """
    found: dict[str, tuple[str, str, str, int]] = {}
    for one in sorted(asked, key=lambda one: STAGES.index(one.stage)):
        found[one.fact] = (one.means, one.who, one.stage, len(one.clauses))
    for lack in missing:
        found.setdefault(lack.fact, (lack.means, lack.who, "", 0))
    people = tuple(dict.fromkeys(who for _, who, _, _ in found.values()))
    ordered = sorted(found.items(), key=lambda item: people.index(item[1][1]))
    return {
        fact: Waiting(mark=f"M{at}", fact=fact, means=means, who=who, stage=stage, clauses=clauses)
        for at, (fact, (means, who, stage, clauses)) in enumerate(ordered, start=1)
    }


def marks(names: Iterable[str], found: Mapping[str, Waiting]) -> str:
    """Return the numbers of the facts that a value waits for; a fact of no number by its name."""
    return ", ".join(found[name].mark if name in found else name for name in names)


def measure_section(found: Mapping[str, Waiting]) -> Markup:
    """Return the section with a table for each person and a box for each reading."""
    by_who: dict[str, list[Waiting]] = {}
    for one in found.values():
        by_who.setdefault(one.who, []).append(one)
    if not by_who:
        said = "Nothing: every fact that this stage and the sizes below need is given."
        return section(_TITLE, el("p", said))
    about = (
        "Write each reading in its box and enter it into the job; nothing on this sheet changes "
        "before the job is reviewed again."
    )
    tables = (_table(who, facts) for who, facts in by_who.items())
    return section(f"{_TITLE} ({len(found)})", *tables, opening=(el("p", about),))


def _table(who: str, facts: list[Waiting]) -> Markup:
    named = who or _NOWHERE
    said = f"From {named}" if named.startswith(("the ", "who")) else f"From the {named}"
    head = el(
        "thead",
        el(
            "tr",
            el("th", "No.", scope="col", class_="mark"),
            el("th", "What", scope="col"),
            el("th", "Waits for it", scope="col", class_="waits"),
            el("th", "Reading", scope="col", class_="write"),
        ),
    )
    rows = joined(_row(one) for one in facts)
    return el("table", el("caption", said), head, el("tbody", rows), class_="measure")


def _row(one: Waiting) -> Markup:
    said = counted(one.clauses, "clause") if one.clauses else "sizes of this sheet"
    when = el("span", f"needed {_NEEDED[one.stage]}", class_="fine") if one.stage else None
    return el(
        "tr",
        el("th", one.mark, scope="row"),
        el("td", one.means, el("br"), el("span", one.fact, class_="fine name")),
        el("td", said, el("br") if when else None, when),
        el("td", class_="write"),
    )
