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
    """Return the folder of shipped books and, by what they are about, the folders of it."""
    folder = shipped_rules()
    inside = (one for one in folder.iterdir() if one.is_dir() and one.name not in BESIDE)
    return (folder, *sorted(inside))
