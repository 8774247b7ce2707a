"""The known name that a misspelt one is nearest to."""

from collections.abc import Iterable, Mapping

_LONGEST = 100
_SHOWN = 40
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

    A known name with its value run on to it lacks the space after its colon, and is told so.

    Example:
        >>> did_you_mean("wieght", ("width", "weight"))
        " Did you mean 'weight'?"
        >>> did_you_mean("survey.width:60", ("survey.width", "survey.weight"))
        ' A space is missing after the colon; write `width: 60`.'
    """
    names = tuple(known)
    run_on, colon, value = word.partition(":")
    if colon and run_on in names:
        return no_space(run_on.rpartition(".")[2], value)
    name = nearest(word, names)
    return "" if name is None else f" Did you mean '{name}'?"


def no_space(name: str, value: str) -> str:
    """Return what to say of a name whose value follows its colon without a space."""
    shown = " ".join(value.split())
    shown = shown if len(shown) <= _SHOWN else "..."
    return f" A space is missing after the colon; write `{name}: {shown}`."


def _closest(word: str, names: Mapping[str, str]) -> str | None:
    """Return what stands for the name most like a word; the last by name of those as like."""
    small = word.lower()
    best, found = _ALIKE, ""
    for name in names:
        both = len(small) + len(name)
        # Two words have no more letters in common than the shorter one has.
        if not both or 2 * min(len(small), len(name)) / both < best:
            continue
        likeness = 2 * in_common(small, name) / both
        if likeness > best or (likeness == best and name > found):
            best, found = likeness, name
    return names[found] if found else None


def in_common(one: str, other: str) -> int:
    """Return how many letters two words have in common, in the order they stand in.

    Source:
        The length of the longest common subsequence, a row of the table as the bits of one
        number: Allison and Dix, A bit-string longest-common-subsequence algorithm (1986). From
        memory; a test holds it against the plain table.

    Example:
        >>> in_common("wieght", "weight"), in_common("sill", "lap")
        (5, 1)
    """
    start = _alike_for(one, other)
    one, other = one[start:], other[start:]
    end = _alike_for(one[::-1], other[::-1])
    one, other = one[: len(one) - end], other[: len(other) - end]
    if not one or not other:
        return start + end
    places: dict[str, int] = {}
    for at, letter in enumerate(one):
        places[letter] = places.get(letter, 0) | 1 << at
    row, every = 0, (1 << len(one)) - 1
    for letter in other:
        met = row | places.get(letter, 0)
        row = met & ~(met - (row << 1 | 1)) & every
    return start + end + row.bit_count()


def _alike_for(one: str, other: str) -> int:
    """Return how many letters two words have in common at their start."""
    end = min(len(one), len(other))
    return next((at for at in range(end) if one[at] != other[at]), end)
