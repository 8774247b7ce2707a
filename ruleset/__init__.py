"""A rule engine: declarative books in, one compiled program and its explanations out."""

from .assembly import assemble
from .errors import BookError, Fault, FormulaError, PluginError, ReadError, RulesetError, ShapeError
from .formula.check import Function
from .kinds import KINDS, Kind
from .library import Library
from .place import Place
from .prove import Proved, prove

__all__ = [
    "KINDS",
    "BookError",
    "Fault",
    "FormulaError",
    "Function",
    "Kind",
    "Library",
    "Place",
    "PluginError",
    "Proved",
    "ReadError",
    "RulesetError",
    "ShapeError",
    "assemble",
    "prove",
]
