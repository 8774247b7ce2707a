"""What is taken for a fact that is not given: the book's own value, another fact's or a limit's."""

import math
from collections.abc import Mapping

from ruleset.book import Fact
from ruleset.library import Library
from ruleset.quantity import Style, read_quantity, show

from .facts import Given
from .finding import Assumed


def source_of(library: Library, name: str, given: Mapping[str, Given]) -> str:
    """Return the fact or limit whose value stands for a fact, itself where it follows none.

    Args:
        library: The books, which tell what each fact follows.
        name: The fact.
        given: The facts that the job and its kit give.
    """
    fact = library.facts.get(name)
    while fact is not None and name not in given and fact.follows:
        name = fact.follows
        fact = library.facts.get(name)
    return name


def value_of(library: Library, name: str, given: Mapping[str, Given]) -> float:
    """Return a fact's value, what is taken where it is not given, or nan where it is missing.

    Args:
        library: The books, with limits as the code sets amend them.
        name: The fact.
        given: The facts that the job and its kit give.

    Returns:
        The value, internal units.
    """
    source = source_of(library, name, given)
    if source in given:
        return given[source].value
    if source in library.limits:
        return library.limits[source].value
    fact = library.facts.get(source)
    if fact is None or fact.absent is None or fact.kind is None:
        return math.nan
    if fact.kind.name == "word":
        return library.words[fact.absent]
    return read_quantity(fact.absent, fact.kind).value


def assumed(
    library: Library, name: str, given: Mapping[str, Given], style: Style
) -> Assumed | None:
    """Return what is told of a fact whose value is taken, None where it is given or missing."""
    fact = library.facts.get(name)
    value = value_of(library, name, given)
    if fact is None or name in given or math.isnan(value):
        return None
    source = source_of(library, name, given)
    return Assumed(
        fact=name,
        means=fact.means,
        text=_shown(library, fact, value, style) if source != name else fact.absent or "",
        source=source if source != name else fact.stated,
    )


def _shown(library: Library, fact: Fact, value: float, style: Style) -> str:
    if fact.kind is None:
        return ""
    if fact.kind.name == "word":
        return next(word for word in fact.words if library.words[word] == value)
    return show(value, fact.kind, style).text
