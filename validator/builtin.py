"""The built-in plugin: the shipped books, code sets and functions."""

from collections.abc import Iterable
from pathlib import Path

from ruleset.formula.check import Function

from .functions import FUNCTIONS
from .hooks import hook
from .shipped import shipped_books, shipped_rules


@hook
def paneproof_books() -> Iterable[Path]:
    """Return the shipped books, and their folder for what stands beside them."""
    return (shipped_rules(), *shipped_books())


@hook
def paneproof_codes() -> Iterable[Path]:
    """Return the folder of shipped code sets."""
    return (shipped_rules() / "codes",)


@hook
def paneproof_functions() -> Iterable[Function]:
    """Return the statics and lifting functions."""
    return FUNCTIONS
