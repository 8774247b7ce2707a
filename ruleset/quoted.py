"""A text or a name of a file as a sentence has it."""

from collections.abc import Iterable

_MOST_QUOTED = 60


def quoted(text: str) -> str:
    """Return a text in quotation marks on one line, cut where it is long."""
    line = " ".join(text.split())
    return f"'{line if len(line) <= _MOST_QUOTED else line[: _MOST_QUOTED - 3] + '...'}'"


def an(name: str) -> str:
    """Return a name with its article.

    Example:
        >>> an("opening"), an("side")
        ('an opening', 'a side')
    """
    return f"{'an' if name.startswith(tuple('aeio')) else 'a'} {name}"


def each_an(names: Iterable[str]) -> str:
    """Return names of which one has to do, each with its article.

    Example:
        >>> each_an(["wall", "opening"])
        'a wall or an opening'
    """
    return " or ".join(map(an, names))
