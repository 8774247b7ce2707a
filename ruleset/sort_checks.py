"""Whether sorts fit together: what they extend, who may fill their roles, what they give anew."""

from collections.abc import Callable, Iterable, Iterator, Mapping

from .book import SOURCES, Fact, Working, braces
from .errors import Fault
from .nearest import did_you_mean
from .part import Group, Role, Sort
from .place import Place
from .quoted import an, each_an
from .sorts import Asked, Sorts, Thing

WHAT: Mapping[type, str] = {
    Fact: "fact",
    Working: "working",
    Asked: "field",
    Role: "role",
    Group: "group",
}
_TAKEN = {*SOURCES, "limit"}


def faults_of_sorts(has: Sorts) -> Iterator[Fault]:
    """Yield what is wrong with the sorts of all books together, and with what they give."""
    for sort in has.sorts.values():
        yield from _above(sort, has)
        yield from _roles(sort, has)
        yield from _groups(sort, has)
        yield from _names(sort, has)
        yield from _given_anew(sort, has)


def _unknown(place: Place, sorts: Iterable[str], has: Sorts) -> Iterator[Fault]:
    for one in sorts:
        if one not in has.sorts:
            yield Fault(place, f"There is no sort {one}.{did_you_mean(one, has.sorts)}")


def _above(sort: Sort, has: Sorts) -> Iterator[Fault]:
    yield from _unknown(sort.place, sort.extends, has)
    for up in sort.extends:
        if up == sort.name or has.extends(up, sort.name):
            says = f"Each {sort.name} is {an(up)}, and that is {an(sort.name)}: this is a circle."
            yield Fault(sort.place, f"{says} Take out one of them.")


def _roles(sort: Sort, has: Sorts) -> Iterator[Fault]:
    for role in sort.roles.values():
        yield from _unknown(role.place, role.sorts, has)
        for wider in _others(sort, role.name, has):
            if not isinstance(wider, Role):
                continue
            for one in role.sorts:
                if one in has.sorts and not any(has.extends(one, up) for up in wider.sorts):
                    own = an(sort.name)
                    says = f"No {one} may be the {role.name} of {own}; of every sort "
                    yield Fault(role.place, f"{says}above it {each_an(wider.sorts)} is.")


def _groups(sort: Sort, has: Sorts) -> Iterator[Fault]:
    for name, group in sort.groups.items():
        yield from _unknown(group.place, (group.sort,), has)
        if not group.by or group.sort not in has.sorts:
            continue
        role = has.thing((group.sort,), group.by)
        if not isinstance(role, Role):
            roles = [key for key, one in has.own[group.sort].items() if isinstance(one, Role)]
            says = f"No {group.sort} has a role {group.by} by which it could be of {name}."
            yield Fault(group.place, f"{says}{did_you_mean(group.by, roles)}")
        elif not any(has.extends(sort.name, s) or has.extends(s, sort.name) for s in role.sorts):
            says = f"No {sort.name} may be the {group.by} of {an(group.sort)}; only "
            yield Fault(group.place, f"{says}{each_an(role.sorts)} may.")


def _names(sort: Sort, has: Sorts) -> Iterator[Fault]:
    for variable in sort.variables:
        if variable in _TAKEN:
            says = f"A sort may not be called {sort.name}; facts and limits begin so."
            yield Fault(sort.place, says)
    own = has.own[sort.name]
    for key in (*sort.roles, *sort.fields):
        if key in sort.groups or (key in sort.fields and key in sort.roles):
            says = f"Each {sort.name} has {key} twice, as a role, a group or a field; rename one."
            yield Fault(sort.place, says)
    for key, thing in [*own.items(), *((key, None) for key in sort.fields)]:
        first = key.partition(".")[0]
        if not isinstance(thing, Fact) and first in _TAKEN:
            place = sort.place if thing is None or isinstance(thing, Asked) else thing.place
            yield Fault(
                place, f"What each {sort.name} has may not be called {key}; facts begin so."
            )
        if isinstance(thing, Fact):
            yield from _means(thing, sort)
            stem = key.rpartition(".")[0]
            while stem:
                over = has.thing((sort.name,), stem)
                if isinstance(over, Fact):
                    says = f"{thing.name} stands under the fact {over.name}, which has a value of"
                    yield Fault(thing.place, f"{says} its own.")
                stem = stem.rpartition(".")[0]


def _means(fact: Fact, sort: Sort) -> Iterator[Fault]:
    for name in braces(fact.means):
        if name not in sort.variables:
            says = (
                f"means has {{{name}}}; in a fact of each {sort.name} it may be {{{sort.bound}}}."
            )
            yield Fault(fact.place, says)


def _others(sort: Sort, key: str, has: Sorts) -> Iterator[Thing]:
    """Yield what a sort asks for, and those above it give or ask for, under a name."""
    for up in has.line((sort.name,)):
        if up != sort.name and key in has.own.get(up, ()):
            yield has.own[up][key]
        if up in has.sorts and key in has.sorts[up].fields:
            yield Asked(sort=up, name=key, kind=has.sorts[up].fields[key])


def _given_anew(sort: Sort, has: Sorts) -> Iterator[Fault]:
    """Yield a fault for what a sort has from two others, or otherwise than those above it."""
    asked = [Asked(sort=sort.name, name=key, kind=kind) for key, kind in sort.fields.items()]
    for key in dict.fromkeys(has.keys((sort.name,))):
        givers = has.givers((sort.name,), key)
        if len(givers) > 1:
            yield Fault(sort.place, between(f"Each {sort.name}", key, givers))
    for key, thing in (*has.own[sort.name].items(), *((one.name, one) for one in asked)):
        others = (_differs(thing, other, has) for other in _others(sort, key, has))
        says = next(filter(None, others), "")
        if says:
            place = sort.place if isinstance(thing, Asked) else thing.place
            yield Fault(place, f"{key} of each {sort.name} is {says}.")


def _differs(thing: Thing, other: Thing, has: Sorts) -> str:
    """Return how what a sort gives is unlike what one above it has, "" where it is alike."""
    if isinstance(thing, Group) and isinstance(other, Group):
        alike = has.extends(thing.sort, other.sort)
        return "" if alike else f"of {thing.sort} here, and of {other.sort} of what it extends"
    one, two = (WHAT[type(it)] for it in (thing, other))
    values = {"working", "field"}
    if (
        isinstance(thing, Role | Group)
        or isinstance(other, Role | Group)
        or (one != two and not {one, two} <= values)
    ):
        return "" if one == two else f"a {one} here, and a {two} of what it extends"
    if thing.kind != other.kind:
        kinds = [it.kind.name if it.kind else "list" for it in (thing, other)]
        return f"{an(kinds[0])} here, and {an(kinds[1])} of what it extends"
    if isinstance(thing, Fact) and isinstance(other, Fact):
        return _fact_differs(thing, other, has)
    return ""


def _fact_differs(fact: Fact, other: Fact, has: Sorts) -> str:
    if fact.rows and not has.extends(fact.rows, other.rows):
        return f"a list of {fact.rows} here, and of {other.rows} of what it extends"
    odd = [word for word in fact.words if word not in other.words]
    return f"{' or '.join(odd)} here, which is no word of what it extends" if odd else ""


def between(what: str, key: str, givers: Iterable[str]) -> str:
    """Return the sentence for a name that several sorts give, none of which extends another."""
    named = " and ".join(map(an, givers))
    return f"{what} has {key} as {named}, and neither extends the other; give it anew for one sort."


def _place(thing: Thing) -> str:
    return "" if isinstance(thing, Asked) else str(thing.place)


def give(
    has: Sorts,
    facts: Iterable[Fact],
    workings: Iterable[tuple[str, Working]],
    add: Callable[[Place, str], None],
) -> None:
    """Give the sorts what books say of their parts; a fault is kept for what they have already.

    Args:
        has: The sorts; added to.
        facts: Facts of sorts.
        workings: Workings of sorts, each with its sort.
        add: Keeps a fault.
    """
    things: list[tuple[str, str, Fact | Working]] = [(f.sort, f.path, f) for f in facts]
    things += [(sort, one.name.partition(".")[2], one) for sort, one in workings]
    for sort, key, thing in things:
        if sort not in has.sorts:
            add(thing.place, f"There is no sort {sort}.{did_you_mean(sort, has.sorts)}")
            continue
        taken = has.give(sort, key, thing)
        if taken is not None:
            what = WHAT[type(thing)]
            says = f"The {what} {key} of each {sort} is declared twice; first at {_place(taken)}."
            add(thing.place, says)
