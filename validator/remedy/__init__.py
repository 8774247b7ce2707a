"""Smallest changes of a design that cure its faults, tried before they are shown."""

from .find import remedies
from .result import Best, Change, Clash, Cured, Nothing, Remedies, Remedy, Single, Site, Tried

__all__ = [
    "Best",
    "Change",
    "Clash",
    "Cured",
    "Nothing",
    "Remedies",
    "Remedy",
    "Single",
    "Site",
    "Tried",
    "remedies",
]
