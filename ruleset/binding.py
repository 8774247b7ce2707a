"""Parts written out: what their sorts give them, under each part's own name."""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import replace
from types import MappingProxyType

from .book import Fact, Working, braces
from .errors import Fault
from .nearest import did_you_mean
from .part import Group, Part, Role
from .quoted import an, each_an
from .sorts import Asked, Sorts


def part_of(part: Part, has: Sorts) -> Part:
    """Return a part with the sorts above its own, and with the groups that its sorts give it."""
    sorts = has.line(part.sorts)
    groups = dict(part.groups)
    for key in has.keys(sorts):
        thing = has.thing(sorts, key)
        if isinstance(thing, Group):
            groups.setdefault(key, replace(thing, more=_plain(part, thing.more, thing.of, has)))
    return replace(part, sorts=sorts, groups=groups)


def _plain(part: Part, name: str, of: str, has: Sorts) -> str:
    """Return the plain name of a fact: one of the part where it begins with its sort's variable."""
    first, _, path = name.partition(".")
    sort = has.sorts.get(of)
    return named(part.name, path) if sort is not None and first in sort.variables else name


def named(part: str, path: str) -> str:
    """Return the plain name of a part's fact.

    Example:
        >>> named("door", "design.glass")
        'design.door.glass'
    """
    source, _, rest = path.partition(".")
    return f"{source}.{part}.{rest}"


def facts_of(
    facts: Iterable[Fact],
    parts: Iterable[Part],
    has: Sorts,
    stated: Mapping[tuple[str, str], Fact] = MappingProxyType({}),
) -> Iterator[tuple[Fact, Part]]:
    """Yield each fact of each part, with the part, in the order of the books.

    Args:
        facts: Facts of sorts.
        parts: The parts, with the sorts above their own.
        has: What each sort gives.
        stated: Facts of sorts in place of those, by sort and path.
    """
    every = tuple(parts)
    for declared in facts:
        fact = stated.get((declared.sort, declared.path), declared)
        for part in every:
            if fact.sort in part.sorts and has.thing(part.sorts, fact.path) is declared:
                means = filled(fact.means, dict.fromkeys(braces(fact.means), part.means))
                yield _of_part(fact, part, means, _plain(part, fact.follows, fact.sort, has)), part


def _of_part(fact: Fact, part: Part, means: str, follows: str) -> Fact:
    return Fact(
        name=named(part.name, fact.path),
        means=means,
        kind=fact.kind,
        words=fact.words,
        also=fact.also,
        low=fact.low,
        high=fact.high,
        usual=fact.usual,
        stage=fact.stage,
        who=fact.who,
        absent=fact.absent,
        stated=fact.stated,
        follows=follows,
        rows=fact.rows,
        most=fact.most,
        place=fact.place,
    )


def filled(text: str, words: Mapping[str, str]) -> str:
    """Return a text with what stands in braces replaced, and a capital first.

    Example:
        >>> filled("{pane} in place", {"pane": "the door"})
        'The door in place'
    """
    for name, word in words.items():
        text = text.replace(f"{{{name}}}", word)
    return text[:1].upper() + text[1:]


def above(name: str, facts: Collection[str]) -> str:
    """Return the fact that a fact would stand under, "" where there is none."""
    stem = name.rpartition(".")[0]
    while stem and stem not in facts:
        stem = stem.rpartition(".")[0]
    return stem


def fields_lacking(part: Part, has: Sorts, workings: Mapping[str, Working]) -> Iterator[Fault]:
    """Yield a fault for each field that a part's sorts ask for and nothing gives it."""
    for key in dict.fromkeys(has.keys(part.sorts)):
        asked = has.thing(part.sorts, key)
        if isinstance(asked, Asked) and f"{part.name}.{key}" not in workings:
            says = (
                f"{part.name} is {an(asked.sort)}, and no book gives {part.name}.{key}, which each"
            )
            yield Fault(part.place, f"{says} has. Write a working, or name a sort that has one.")


def faults_of_roles(parts: Mapping[str, Part], has: Sorts) -> Iterator[Fault]:
    """Yield a fault for each role of each part that no part fills, or one that may not.

    Args:
        parts: The parts, with the sorts above their own.
        has: What each sort gives.
    """
    for part in parts.values():
        roles = {
            key: role
            for key in dict.fromkeys(has.keys(part.sorts))
            if isinstance(role := has.thing(part.sorts, key), Role)
        }
        for name, role in roles.items():
            if name not in part.roles:
                says = f"{part.name} has no {name}; it needs one, {each_an(role.sorts)}."
                yield Fault(part.place, says)
        for name, fillers in part.roles.items():
            place = part.places.get(name, part.place)
            if name not in roles:
                says = f"{part.name} has no role {name}.{did_you_mean(name, roles)}"
                known = f" Its roles are {', '.join(roles)}." if roles else ""
                yield Fault(place, says if says.endswith("?") else f"{says}{known}")
                continue
            for filler in dict.fromkeys(fillers):
                says = _not_filled_by(part, roles[name], filler, parts)
                if says:
                    yield Fault(place, says)


def _not_filled_by(part: Part, role: Role, filler: str, parts: Mapping[str, Part]) -> str:
    """Return why a part may not fill a role of another, "" where it may."""
    other = parts.get(filler)
    if other is None:
        return f"There is no part {filler}.{did_you_mean(filler, parts)}"
    if other.name == part.name:
        return f"{part.name} may not be its own {role.name}."
    if not any(one in other.sorts for one in role.sorts):
        may = each_an(role.sorts)
        return f"{filler} may not be the {role.name} of {part.name}; only {may} may."
    return ""
