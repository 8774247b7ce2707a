"""What is said of a name of the format before that is met in a file of this one: the new one."""

from collections.abc import Container, Iterable, Iterator

from ruleset.errors import Fault
from ruleset.layers import Layer
from ruleset.node import Node, Table
from ruleset.place import Place

from .renames import Renamed, below, has_side, renames


def old_facts(
    name: str, node: Node, place: Place, facts: Container[str], hand: str
) -> Iterator[Fault]:
    """Yield a fault for a fact that has another name now, and for each such below a name.

    Args:
        name: A name that no fact has.
        node: What stands under it.
        place: Where the name stands.
        facts: The facts that there are.
        hand: The hand of the job; "" where it is not known.
    """
    says = new_fact(name, facts, hand)
    if says:
        yield Fault(place, f"{name} {says}.")
    elif isinstance(node, Table):
        for key, one in node.entries.items():
            yield from old_facts(f"{name}.{key}", one, node.keys[key], facts, hand)


def new_fact(name: str, facts: Container[str], hand: str) -> str:
    """Return how a fact is called now, as the end of a sentence; "" for one that is no old one."""
    sheet = renames()
    word, new = sheet.words.get(name), below(name, sheet.facts)
    news = word.now if word is not None else (new,) if new is not None else ()
    if not news or any(sheet.placed(one, way) not in facts for one in news for way in sheet.sides):
        return ""
    told = _now(news, hand)
    return f"is now told, yes or no, by {told}" if word is not None else f"is now {told}"


def new_part(name: str, hand: str = "") -> str:
    """Return how a part is called now, as the end of a sentence; "" for one that is no old one."""
    new = renames().parts.get(name)
    return f"is now {_now([new], hand)}" if new else ""


def new_clause(name: str) -> str:
    """Return how a clause is called now, as the end of a sentence; "" for no old one."""
    return _renamed(renames().clauses.get(name))


def new_lever(name: str) -> str:
    """Return how a lever is called now, as the end of a sentence; "" for no old one."""
    return _renamed(renames().levers.get(name))


def _renamed(new: Renamed | None) -> str:
    return f"is now {new.now}, for {new.every}; this was for {new.of} alone" if new else ""


def faults_of_layers(layers: Iterable[Layer], facts: Container[object]) -> Iterator[Fault]:
    """Yield a fault for each old name of a clause or a fact in code sets and policies.

    Args:
        layers: The code sets and policies.
        facts: The facts that the books have of sorts.
    """
    sheet = renames()
    for layer in layers:
        places = {name: one.place for name, one in layer.amends.items()}
        places |= {name: one.place for name, one in layer.clauses.items()}
        for name, place in places.items():
            if says := new_clause(name):
                yield Fault(place, f"{layer.name}: {name} {says}.")
        for one in layer.stated:
            word = sheet.words.get(one.fact)
            own = word.now[0] if word is not None else below(one.fact, sheet.facts) or one.fact
            ways = (below(own, sheet.shared), below(own, sheet.states))
            new = next((one for one in ways if one in facts), None)
            if new is not None:
                yield Fault(one.place, f"{layer.name}: {one.fact} is stated as {new} now.")


def _now(names: Iterable[str], hand: str) -> str:
    """Return new names as they are with a hand, or with each where it is not known."""
    sheet, asked = renames(), tuple(names)
    if not any(map(has_side, asked)):
        return " and ".join(asked)
    ways = (hand,) if hand in sheet.sides else tuple(sheet.sides)
    each = (" and ".join(sheet.placed(one, way) for one in asked) for way in ways)
    return ", ".join(f"{told} with the hand {way}" for told, way in zip(each, ways, strict=True))
