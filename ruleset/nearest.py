"""The known name that a misspelt one is nearest to."""

from collections.abc import Iterable

_LONGEST = 100
_ALIKE = 0.7


def nearest(word: str, known: Iterable[str]) -> str | None:
    """Return the known name most like a word, or None where none is much like it.

    The whole name is compared first, then what stands after the last dot.

    Args:
        word: What was written.
        known: The names there are.

    Example:
        >>> nearest("door.widht", ("door.width", "door.height"))
        'door.width'
        >>> nearest("clear_openin", ("door.width", "door.clear_opening"))
        'door.clear_opening'
    """
    if not word or len(word) > _LONGEST:
        return None
    names = sorted(set(known) - {word})
    whole = _closest(word, {name.lower(): name for name in names})
    if whole is not None:
        return whole
    head, _, tail = word.rpartition(".")
    tails: dict[str, str] = {}
    for name in names:
        stem, _, last = name.lower().rpartition(".")
        if last not in tails or stem == head.lower():
            tails[last] = name
    return _closest(tail, tails)


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """Return a question that names the nearest known name, or "" where there is none.

    Example:
        >>> did_you_mean("wieght", ("width", "weight"))
        " Did you mean 'weight'?"
    """
    name = nearest(word, known)
    return "" if name is None else f" Did you mean '{name}'?"


def _closest(word: str, names: dict[str, str]) -> str | None:
    # Only a file with a fault in it pays for the import.
    from difflib import get_close_matches  # noqa: PLC0415

    found = get_close_matches(word.lower(), names, n=1, cutoff=_ALIKE)
    return names[found[0]] if found else None
