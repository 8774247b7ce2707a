"""Where the shipped books are."""

from pathlib import Path

BESIDE = ("arrangements", "codes", "sheets")
"""What stands beside the shipped books, in folders of its own."""


def shipped_rules() -> Path:
    """Return the folder of shipped books: in the wheel, or the checkout's own."""
    here = Path(__file__).resolve().parent.parent
    inside = here / "ruleset" / "builtin"
    return inside if inside.is_dir() else here / "rules"


def shipped_books() -> tuple[Path, ...]:
    """Return the shipped books by name; they stand in folders by what they are about."""
    every = shipped_rules().glob("*/*.yaml")
    books = (one for one in every if one.parent.name not in BESIDE)
    return tuple(sorted(books, key=lambda one: one.name))
