"""Smallest changes of a design that cure its faults, tried before they are shown."""

from .attach import Cure, with_remedies
from .find import remedies
from .patch import json_patch
from .result import Best, Change, Clash, Cured, Nothing, Remedies, Remedy, Single, Site, Tried
from .rewrite import rewritten, write_remedy

__all__ = [
    "Best",
    "Change",
    "Clash",
    "Cure",
    "Cured",
    "Nothing",
    "Remedies",
    "Remedy",
    "Single",
    "Site",
    "Tried",
    "json_patch",
    "remedies",
    "rewritten",
    "with_remedies",
    "write_remedy",
]
