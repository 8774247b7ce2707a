"""A rule engine: declarative books in, one compiled program and its explanations out.

books = assemble(read_book(read_file(path)) for path in paths)
library = bind(lay(books, layers), read_arrangement(read_file(file)))
plans = [plan(library, shape) for shape in shapes(library, rows)]
runs = [compile_plan(library, one).run(facts, limits) for one in plans]
"""

from .arrangement import Arrangement, read_arrangement
from .assembly import assemble
from .bind import bind
from .book_reader import read_book
from .errors import BookError, Fault, FormulaError, PluginError, ReadError, RulesetError, ShapeError
from .formula.check import Function
from .hands import Joined, joined, shapes
from .kinds import KINDS, Kind
from .layers import lay, read_layer
from .library import Library
from .place import Place
from .plan import Plan, plan
from .program import Program, Run, compile_plan
from .prove import Proved, prove
from .reader import read_file, read_text

__all__ = [
    "KINDS",
    "Arrangement",
    "BookError",
    "Fault",
    "FormulaError",
    "Function",
    "Joined",
    "Kind",
    "Library",
    "Place",
    "Plan",
    "PluginError",
    "Program",
    "Proved",
    "ReadError",
    "RulesetError",
    "Run",
    "ShapeError",
    "assemble",
    "bind",
    "compile_plan",
    "joined",
    "lay",
    "plan",
    "prove",
    "read_arrangement",
    "read_book",
    "read_file",
    "read_layer",
    "read_text",
    "shapes",
]
