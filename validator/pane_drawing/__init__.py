"""A pane by itself: its outline as it is cut, on a page of its own and as DXF for a machine."""

from .dxf import pane_dxf
from .notes import notes_of
from .page import draw_pane_page
from .shape import SEEN, PaneError, PaneShape, panes, shape_of

__all__ = [
    "SEEN",
    "PaneError",
    "PaneShape",
    "draw_pane_page",
    "notes_of",
    "pane_dxf",
    "panes",
    "shape_of",
]
