"""The words of the formula language: text in, an untyped tree or one sentence out.

The grammar is Python's own, cut down: the text is parsed by `ast` and only listed nodes pass.
Nothing of it is ever run.
"""

import ast
import math
import re
import warnings
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from ..errors import Fault, FormulaError
from ..place import Place
from .tree import (
    Among,
    Arith,
    Both,
    Call,
    Choose,
    Compare,
    Either,
    Gather,
    Minus,
    Name,
    Node,
    Not,
    Number,
    Power,
    Word,
)

LONGEST = 1000
DEEPEST = 40
POWERS = (2, 3, 4)
GATHERS = ("min", "max", "sum", "count", "any", "all")
_NUMBER_THEN_LETTER = re.compile("[0-9][A-Za-z]")
_ARITH = {ast.Add: "+", ast.Sub: "-", ast.Mult: "*", ast.Div: "/"}
_COMPARE = {
    ast.Lt: "<",
    ast.LtE: "<=",
    ast.Gt: ">",
    ast.GtE: ">=",
    ast.Eq: "==",
    ast.NotEq: "!=",
}


class _Refused(Exception):
    """A part of a formula that is not in the language."""

    def __init__(self, at: int, says: str) -> None:
        super().__init__(says)
        self.at = at
        self.says = says


@dataclass(frozen=True, slots=True)
class _Here:
    """Where the walk stands: characters before the text, depth, and group members by variable."""

    lead: int
    depth: int
    members: Mapping[str, str]


def parse(text: str, place: Place) -> Node:
    """Return the untyped tree of a formula.

    Args:
        text: The formula, at most 1,000 characters.
        place: Where the formula starts, for the sentences.

    Raises:
        FormulaError: The text is not in the language.
    """
    try:
        return _read(text)
    except _Refused as refused:
        raise FormulaError(Fault(beside(place, refused.at), refused.says)) from None


def beside(place: Place, offset: int) -> Place:
    """Return the place `offset` characters into a value on one line."""
    return Place(
        file=place.file, line=place.line, column=place.column + offset, pointer=place.pointer
    )


def _read(text: str) -> Node:
    if not text.strip():
        raise _Refused(0, "The formula is empty; write what is to be worked out.")
    if len(text) > LONGEST:
        raise _Refused(
            0,
            f"The formula has {len(text)} characters; at most {LONGEST} are allowed. "
            "Split it into workings.",
        )
    flat = " ".join(text.split("\n"))
    lead = len(flat) - len(flat.lstrip())
    _only_plain(flat)
    try:
        body = _body(flat.strip())
    except SyntaxError as error:
        at = lead + max((error.offset or 1) - 1, 0)
        raise _Refused(
            at,
            "The formula is not complete arithmetic at this point; "
            "check its brackets, operators and quotes.",
        ) from None
    except (ValueError, RecursionError, MemoryError, OverflowError):
        raise _Refused(0, "The formula is nested too deeply; split it into workings.") from None
    return _node(body, _Here(lead, 0, {}))


def _body(text: str) -> ast.expr:
    if odd := _ODD_NUMBER.search(text):
        raise _Refused(odd.start(), "A number is written in plain digits, such as 2, 0.5 or 1/2.")
    if not _NUMBER_THEN_LETTER.search(text):
        return ast.parse(text, mode="eval").body
    # What Python only warns of, such as 1if, is no more a formula than what it refuses.
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        return ast.parse(text, mode="eval").body


def _only_plain(text: str) -> None:
    if text.isascii() and "\\" not in text and "#" not in text:
        return
    quote = ""
    for at, letter in enumerate(text):
        if letter == "\\":
            raise _Refused(at, "A backslash has no meaning in a formula; leave it out.")
        if quote:
            quote = "" if letter == quote else quote
        elif letter in "'\"":
            quote = letter
        elif letter == "#":
            # Lines are joined before they are read: a remark would swallow what follows it.
            raise _Refused(at, "A formula holds no remarks; put # and what follows outside it.")
        elif not letter.isascii():
            raise _Refused(
                at,
                f"The letter {letter!r} is not plain ASCII, though it may look so; "
                "only quoted words may hold other letters.",
            )


def _node(node: ast.AST, here: _Here) -> Node:
    if here.depth > DEEPEST:
        raise _Refused(
            here.lead + getattr(node, "col_offset", 0),
            f"The formula is nested over {DEEPEST} levels deep; split it into workings.",
        )
    step = _STEPS.get(type(node))
    at = here.lead + getattr(node, "col_offset", 0)
    if step is None:
        raise _Refused(at, _not_allowed(node))
    return step(node, _Here(here.lead, here.depth + 1, here.members), at)


def _not_allowed(node: ast.AST) -> str:
    what = {
        ast.Lambda: "a function of its own",
        ast.ListComp: "a list",
        ast.List: "a list outside of `in`",
        ast.Tuple: "a list outside of `in`",
        ast.Dict: "a table",
        ast.Set: "a set",
        ast.GeneratorExp: "a group outside of min, max, sum, count, any, all",
        ast.NamedExpr: "an assignment",
        ast.JoinedStr: "a filled-in text",
        ast.Starred: "a star",
        ast.Await: "await",
    }.get(type(node), f"{type(node).__name__}")
    return (
        f"The formula holds {what}, which is not in the language; arithmetic, comparisons, "
        "and/or/not, `x if c else y`, `in` and the listed functions are."
    )


def _dotted(node: ast.AST, at: int) -> str:
    match node:
        case ast.Name(id=name):
            return name
        case ast.Attribute(value=inner, attr=name):
            return f"{_dotted(inner, at)}.{name}"
        case ast.Subscript(value=inner, slice=ast.Constant(value=int(index))) if index > 0 and (
            index is not True
        ):
            return f"{_dotted(inner, at)}[{index}]"
        case _:
            raise _Refused(
                at,
                "A name is words joined by dots, such as pane.width or pane.holes[1].x; "
                "nothing else may stand before the dot.",
            )


def _name(node: ast.AST, here: _Here, at: int) -> Node:
    name = _bound(_dotted(node, at), here)
    if "__" in name or name.startswith("_") or "._" in name:
        raise _Refused(at, f"The name {name} may not start with an underscore nor hold two.")
    return Number(math.pi, at) if name == "pi" else Name(name, at)


def _bound(name: str, here: _Here) -> str:
    first, dot, rest = name.partition(".")
    return f"{here.members[first]}{dot}{rest}" if first in here.members else name


def _constant(node: ast.Constant, _here: _Here, at: int) -> Node:
    value = node.value
    if isinstance(value, str):
        return Word(value, at)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise _Refused(at, f"{value!r} is no plain number and no quoted word.")
    try:
        number = float(value)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise _Refused(at, "The number is too large to be worked with.")
    return Number(number, at)


_ODD_NUMBER = re.compile(r"\b0[xXoObB]|\b[0-9]+_[0-9]")


def _unary(node: ast.UnaryOp, here: _Here, at: int) -> Node:
    if isinstance(node.op, ast.Not):
        return Not(_node(node.operand, here), at)
    if isinstance(node.op, ast.USub):
        return Minus(_node(node.operand, here), at)
    raise _Refused(at, "Only minus and `not` may stand before a single value.")


def _binary(node: ast.BinOp, here: _Here, at: int) -> Node:
    left = _node(node.left, here)
    if isinstance(node.op, ast.Pow):
        match node.right:
            case ast.Constant(value=int(exponent)) if exponent in POWERS:
                return Power(left, exponent, at)
        raise _Refused(at, "A power is written ** 2, ** 3 or ** 4, and no other.")
    op = _ARITH.get(type(node.op))
    if op is None:
        raise _Refused(at, "Values are joined by + - * / or ** only.")
    return Arith(op, left, _node(node.right, here), at)


def _bool(node: ast.BoolOp, here: _Here, at: int) -> Node:
    parts = tuple(_node(value, here) for value in node.values)
    return Both(parts, at) if isinstance(node.op, ast.And) else Either(parts, at)


def _chain(node: ast.Compare, here: _Here, at: int) -> Node:
    if len(node.ops) == 1 and isinstance(node.ops[0], ast.In | ast.NotIn):
        return _membership(node, here, at)
    operands = [_node(item, here) for item in (node.left, *node.comparators)]
    links: list[Node] = []
    for op, left, right in zip(node.ops, operands, operands[1:], strict=False):
        sign = _COMPARE.get(type(op))
        if sign is None:
            raise _Refused(at, "Values are compared by < <= > >= == != or `in` only.")
        links.append(Compare(sign, left, right, at=at))
    return links[0] if len(links) == 1 else Both(tuple(links), at)


def _membership(node: ast.Compare, here: _Here, at: int) -> Node:
    item = _node(node.left, here)
    words: list[str] = []
    match node.comparators[0]:
        case ast.Tuple(elts=items) | ast.List(elts=items) | ast.Set(elts=items):
            if not items:
                raise _Refused(at, "The list after `in` is empty; name at least one word.")
            for one in items:
                match one:
                    case ast.Constant(value=str(text)):
                        words.append(text)
                    case _:
                        raise _Refused(at, "The list after `in` holds quoted words only.")
        case _:
            raise _Refused(at, "After `in` stands a list of quoted words: x in ('a', 'b').")
    found = Among(item, tuple(words), at)
    return Not(found, at) if isinstance(node.ops[0], ast.NotIn) else found


def _choose(node: ast.IfExp, here: _Here, at: int) -> Node:
    return Choose(
        _node(node.test, here),
        _node(node.body, here),
        _node(node.orelse, here),
        at,
    )


def _call(node: ast.Call, here: _Here, at: int) -> Node:
    if not isinstance(node.func, ast.Name):
        raise _Refused(at, "Only a listed function may be called, by its plain name.")
    function = node.func.id
    if node.keywords or any(isinstance(arg, ast.Starred) for arg in node.args):
        raise _Refused(at, f"The values of {function}(...) are given in order, without names.")
    if function in GATHERS and len(node.args) == 1:
        gathered = _gather(function, node.args[0], here, at)
        if gathered is not None:
            return gathered
    return Call(function, tuple(_node(arg, here) for arg in node.args), at)


def _gather(how: str, arg: ast.expr, here: _Here, at: int) -> Node | None:
    if not isinstance(arg, ast.GeneratorExp):
        return Gather(how, _bound(_dotted(arg, at), here), None, at) if how == "count" else None
    if len(arg.generators) != 1:
        raise _Refused(at, "An aggregate goes over one group; make a working for each member.")
    loop = arg.generators[0]
    if loop.ifs or loop.is_async or not isinstance(loop.target, ast.Name):
        raise _Refused(
            at, "A group is written `for hole in pane.holes`, with no condition behind it."
        )
    group = _bound(_dotted(loop.iter, at), here)
    inside = _Here(here.lead, here.depth, {**here.members, loop.target.id: f"{group}[*]"})
    return Gather(how, group, _node(arg.elt, inside), at)


_STEPS: Mapping[type, Callable[..., Node]] = MappingProxyType(
    {
        ast.Name: _name,
        ast.Attribute: _name,
        ast.Subscript: _name,
        ast.Constant: _constant,
        ast.UnaryOp: _unary,
        ast.BinOp: _binary,
        ast.BoolOp: _bool,
        ast.Compare: _chain,
        ast.IfExp: _choose,
        ast.Call: _call,
    }
)
