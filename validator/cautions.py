"""What every report says at its end, and how sure each kind of word is."""

from collections.abc import Mapping
from types import MappingProxyType

CAUTIONS: tuple[str, ...] = (
    (
        "Glass can maim. A pane that falls, tips or bursts cuts to the bone: carry and set it with "
        "enough people, with gloves and eye protection, and never stand under it."
    ),
    (
        "The local code, the authority having jurisdiction, the hardware maker's sheet and "
        "licensed practice come first. Where they and this report differ, they are right."
    ),
    (
        "Values given from memory or as common practice are marked where they are used. Check "
        "them against the document or the maker before relying on them."
    ),
    (
        "Toughened glass cannot be cut again. Measure, and have a second person read the order, "
        "before it goes to the furnace."
    ),
)

STANDINGS: Mapping[str, str] = MappingProxyType(
    {
        "published": "published text",
        "corroborated": "as others quote it",
        "memory": "from memory: check it",
        "common practice": "common practice, no source: check it",
        "shop policy": "shop policy",
        "kit": "from the hardware maker's sheet",
    }
)
"""Each standing of a basis, in words for the person who relies on it."""

UNSURE = frozenset(("memory", "common practice"))
"""Standings that are marked wherever a value is used."""
