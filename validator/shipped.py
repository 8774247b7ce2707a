"""Where the shipped books are."""

from pathlib import Path


def shipped_rules() -> Path:
    """Return the folder of shipped books: in the wheel, or the checkout's own."""
    here = Path(__file__).resolve().parent.parent
    inside = here / "ruleset" / "builtin"
    return inside if inside.is_dir() else here / "rules"
