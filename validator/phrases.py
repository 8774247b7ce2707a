"""Turns of phrase that several texts share."""

import os
from collections.abc import Iterable
from pathlib import Path


def listed(parts: Iterable[object]) -> str:
    """Return parts as a sentence lists them.

    Example:
        >>> listed(("one", "two", "three")), listed([1, 2]), listed(["one"])
        ('one, two and three', '1 and 2', 'one')
    """
    *most, last = map(str, parts)
    return f"{', '.join(most)} and {last}" if most else last


def small(text: str) -> str:
    """Return a sentence to stand inside another: its first letter small, unless it is a name's.

    Example:
        >>> small("The bar sags."), small("IRC says so.")
        ('the bar sags.', 'IRC says so.')
    """
    return text if text[1:2].isupper() else text[:1].lower() + text[1:]


def folders_named(folders: Iterable[Path]) -> str:
    """Return folders for a sentence, each with its whole name, once.

    Example:
        >>> folders_named([])
        'no folder'
    """
    whole = (Path(os.path.abspath(folder)).as_posix() for folder in folders)  # noqa: PTH100
    return ", ".join(dict.fromkeys(whole)) or "no folder"
