"""Files of the format before this one turned into it, comments and layout kept."""

from .turning import Converted, convert

__all__ = ["Converted", "convert"]
