"""Sizes of page, and the widths and sizes of lines and letters on them, all in mm."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType


@dataclass(frozen=True, slots=True, kw_only=True)
class PageSize:
    """A size of page, upright.

    Attributes:
        name: What it is called.
        width: Width, mm.
        height: Height, mm.

    Source:
        ISO 216 (A4); the letter size of 8 1/2 by 11 in.
    """

    name: str
    width: float
    height: float


PAGE_SIZES: Mapping[str, PageSize] = MappingProxyType(
    {
        "letter": PageSize(name="letter", width=215.9, height=279.4),
        "a4": PageSize(name="A4", width=210.0, height=297.0),
    }
)

MARGIN = 10.0
"""From the paper's edge to the frame: what office printers can reach."""

LETTER = 3.5
"""Font size whose capitals are 2.5 mm high in common sans-serif faces (0.72 of it)."""

TITLE = 4.2
"""Font size of the drawing's title."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LineStyle:
    """How a line is drawn.

    Attributes:
        name: What it stands for, as a class name in the file.
        width: Width, mm.
        dashes: Lengths of dashes and gaps in turn, mm; empty for an unbroken line.

    Source:
        ISO 128-2, basic types 01, 02, 04 and 05 and two widths in the proportion 2:1; from memory.
    """

    name: str
    width: float
    dashes: tuple[float, ...] = ()


VISIBLE = LineStyle(name="visible", width=0.5)
THIN = LineStyle(name="thin", width=0.18)
DIMENSION = LineStyle(name="dimension", width=0.18)
HATCH = LineStyle(name="hatch", width=0.13)
FAINT = LineStyle(name="detail", width=0.25)
HIDDEN = LineStyle(name="hidden", width=0.25, dashes=(2.0, 1.0))
OPEN = LineStyle(name="open", width=0.3, dashes=(4.0, 1.0, 0.4, 1.0, 0.4, 1.0))
CENTRE = LineStyle(name="centre", width=0.18, dashes=(4.0, 0.9, 0.4, 0.9))

SCALES: Mapping[str, tuple[int, ...]] = MappingProxyType(
    {"mm": (10, 20, 25, 50, 100), "in": (8, 12, 16, 24, 32, 48, 96)}
)
"""Scales 1 to n of the main views by the job's unit, the largest drawing first.

Source:
    ISO 5455 for millimetres, 1:25 as the building trades use it; from memory. For inches the usual
    ones, 1 1/2 in to 1/8 in a foot: common practice, no source.
"""

DETAIL_SCALES: Mapping[str, tuple[int, ...]] = MappingProxyType(
    {"mm": (2, 5, 10, 20), "in": (2, 4, 8, 16)}
)
"""Scales of the details, likewise; full size leaves no room beside the views."""
