"""What a shop's policy states of every job as its own word, where the job itself is silent."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from .book import Fact
from .errors import Fault
from .fields import Faults, Fields
from .kinds import KINDS
from .nearest import did_you_mean
from .patterns import FACT_NAME
from .place import Place
from .quantity import QuantityError, read_quantity
from .quoted import quoted

OF_A_JOB = ("survey", "design", "order")
"""What a policy may speak for; a kit is its maker's word, and what is built has to be read."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stated:
    """One value that a policy states.

    Attributes:
        fact: The fact.
        text: The value, as written.
        why: The shop's word for it, a sentence.
        place: Where it stands.
    """

    fact: str
    text: str
    why: str
    place: Place


def read_stated(fields: Fields, faults: Faults) -> tuple[Stated, ...]:
    """Return what a layer's file states, faults kept."""
    found = []
    for name, node in fields.table("states", FACT_NAME).items():
        one = Fields(node, faults, f"what is stated of {name}")
        text, why = one.text("is", need=True), one.text("why", need=True)
        one.done()
        found.append(Stated(fact=name, text=text, why=why, place=one.place))
    return tuple(found)


def with_stated(
    facts: Mapping[str, Fact], stated: tuple[Stated, ...], policy: str, faults: list[Fault]
) -> Mapping[str, Fact]:
    """Return the facts of which a policy has a word, for where they are not given, by name.

    Args:
        facts: Every fact by name, of the whole job and of sorts.
        stated: What the policy states.
        policy: Its id.
        faults: Where what is wrong is kept.
    """
    made: dict[str, Fact] = {}
    for one in stated:
        wrong = next(_wrong(facts, one), "")
        if wrong:
            faults.append(Fault(one.place, f"{policy}: {wrong}"))
            continue
        word = f"{policy} says: {one.why}"
        made[one.fact] = replace(facts[one.fact], absent=one.text, follows="", stated=word)
    return made


def _wrong(facts: Mapping[str, Fact], one: Stated) -> Iterator[str]:
    fact = facts.get(one.fact)
    if fact is None:
        yield f"There is no fact {one.fact}.{did_you_mean(one.fact, facts)}"
        return
    if fact.source not in OF_A_JOB or fact.kind is None:
        yield (
            f"{one.fact} is nothing that a policy may state; it states single values of the "
            "survey, the design and the order."
        )
        return
    if fact.stated and fact.absent != one.text:
        yield f"{one.fact} is stated to be {fact.absent} already: {fact.stated}"
    if fact.kind.name == "word":
        if one.text not in fact.words:
            yield f"{one.fact} is {quoted(one.text)}; it may be {', '.join(fact.words)}."
        return
    try:
        value = read_quantity(one.text, KINDS[fact.kind.name]).value
    except QuantityError as error:
        yield f"{one.fact}: {error}"
        return
    if fact.kind.name != "yes/no" and not fact.low <= value <= fact.high:
        yield f"{one.fact} is {one.text}, which is outside what is read of it."
