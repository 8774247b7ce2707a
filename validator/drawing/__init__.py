"""The drawing of a job: one page of SVG, to scale, and the picture made of it."""

from .page import draw
from .picture import PictureError, pdf, png

__all__ = ["PictureError", "draw", "pdf", "png"]
