"""A book's nodes in, a `Book` out; every fault of the file at once."""

import re
from collections.abc import Callable, Collection, Mapping
from functools import lru_cache
from typing import TypeVar

from .book import (
    LEVELS,
    SOURCES,
    STAGES,
    STANDINGS,
    Basis,
    Book,
    Clause,
    Fact,
    Limit,
    Loop,
    Softer,
    Working,
)
from .errors import ShapeError
from .fields import Faults, Fields
from .formula.grammar import parse
from .kinds import KINDS, TEXT, Kind
from .node import Node
from .part import Formula
from .part_reader import read_part, read_sort
from .patterns import (
    FACT_NAME,
    FOLLOWED_NAME,
    ID,
    NAME,
    SMALL_COUNT,
    SORT_NAME,
    WORKING_NAME,
    Pattern,
)
from .proof_reader import proofs_of_clause, proofs_of_working
from .quantity import QuantityError, read_quantity
from .quoted import quoted

T = TypeVar("T")
_UNIT = re.compile(r"^[-+0-9./ eE]*")
_NUMBERED = ("length", "area", "volume", "inertia", "mass", "areal mass", "density", "force")
FACT_KINDS = {**KINDS, TEXT.name: TEXT}
OF_NO_TEXT = ("words", "also", "range", "usual", "absent", "most")
"""Fields of a fact that one of text does not have."""
LIMIT_KINDS = tuple(name for name in KINDS if name not in ("word", "yes/no"))
_KIND_ORDER = (*_NUMBERED, *(name for name in KINDS if name not in {*_NUMBERED, "word", "yes/no"}))


@lru_cache(maxsize=256)
def _kind_of_unit(unit: str) -> Kind | None:
    if unit == "%" or " per " in unit or unit.startswith(":"):
        return KINDS["slope"]
    for name in _KIND_ORDER:
        try:
            read_quantity(f"1 {unit}", KINDS[name])
        except QuantityError:
            continue
        return KINDS[name]
    return None


def kind_of_text(text: str) -> Kind:
    """Return the kind a written quantity is of, by its unit; a bare number is a number."""
    unit = text[_UNIT.match(text).end() :].strip()  # type: ignore[union-attr]  # may match nothing
    if not unit:
        return KINDS["number"]
    if "+" in unit or "'" in unit or '"' in unit:
        return KINDS["length"]
    return _kind_of_unit(unit) or KINDS["number"]


def read_book(node: Node) -> Book:
    """Return the book that a file holds.

    Raises:
        ShapeError: Fields are unknown, missing or of the wrong form, or formulas not in the
            language; all of them at once.
    """
    faults = Faults()
    fields = Fields(node, faults, "a book")
    name = fields.text("book", need=True, default="book", looks=ID)
    book = Book(
        name=name,
        title=fields.text("title", need=True),
        about=fields.text("about"),
        facts=_each(fields, "facts", FACT_NAME, lambda n, k, f: _fact(n, k, name, f)),
        sorts=_each(fields, "sorts", SORT_NAME, lambda n, k, f: read_sort(n, k, name, f)),
        parts=_each(fields, "parts", NAME, lambda n, k, f: read_part(n, k, name, f)),
        limits=_limits(fields, f"{name}.limit"),
        workings=_each(fields, "workings", WORKING_NAME, lambda n, k, f: _working(n, k, name, f)),
        clauses=_each(fields, "clauses", ID, lambda n, k, f: read_clause(n, k, name, f)),
        place=node.place,
    )
    fields.done()
    if faults.found:
        raise ShapeError(faults.found)
    return book


def _each(
    fields: Fields, name: str, keys: Pattern, make: Callable[[Node, str, Faults], T | None]
) -> tuple[T, ...]:
    made = (make(node, key, fields.faults) for key, node in fields.table(name, keys).items())
    return tuple(one for one in made if one is not None)


def _limits(fields: Fields, prefix: str) -> Mapping[str, Limit]:
    found = _each(fields, "limits", NAME, lambda n, k, f: read_limit(n, f"{prefix}.{k}", f))
    return {limit.name.rpartition(".")[2]: limit for limit in found}


def _kind(fields: Fields) -> Kind:
    return KINDS[fields.word("kind", tuple(KINDS))]


def _value(fields: Fields, name: str, text: str, kind: Kind) -> float:
    try:
        return read_quantity(text, kind).value
    except QuantityError as error:
        fields.wrong(name, f"{name}: {error}")
        return 0.0


def _fact(node: Node, name: str, book: str, faults: Faults) -> Fact:
    fields = Fields(node, faults, f"the fact {name}")
    first, second = name.split(".")[:2]
    stage, who = SOURCES[first if first in SOURCES else second]
    rows = fields.text("list", looks=SORT_NAME)
    kind = None if "list" in fields.names() else _kind_or_none(fields)
    if kind == TEXT:
        return _text(fields, name, stage, who)
    words = fields.texts("words")
    named = "words" in fields.names() or (kind is not None and kind.name == "word")
    if named and not words:
        faults.add(fields.place, f"The fact {name} has no words; list what it may be.")
    low, high = _range(fields, "range", kind) or (0.0, 0.0)
    numbered = kind is not None and kind.name not in ("word", "yes/no")
    if numbered and "range" not in fields.names():
        faults.add(fields.place, f"The fact {name} has no range; give the least and the most read.")
    follows = _follows(fields, kind, book)
    fact = Fact(
        name=name,
        means=fields.text("means", need=True),
        kind=kind,
        words=words,
        also=_also(fields, words),
        low=low,
        high=high,
        usual=_range(fields, "usual", kind),
        stage=fields.word("stage", STAGES, default=stage),
        who=fields.text("who", default=who),
        absent=None if follows else _absent(fields, kind, words, (low, high)),
        follows=follows,
        rows=rows,
        most=int(fields.text("most", default="12", looks=SMALL_COUNT)),
        sort=fields.text("for").removeprefix("each "),
        place=fields.place,
    )
    fields.done()
    return fact


def _text(fields: Fields, name: str, stage: str, who: str) -> Fact:
    """Return a fact that is text: it has nothing that a value has."""
    for one in OF_NO_TEXT:
        if one in fields.names():
            fields.wrong(one, f"The fact {name} is text, which has no {one}.")
        fields.node(one)
    fact = Fact(
        name=name,
        means=fields.text("means", need=True),
        kind=TEXT,
        stage=fields.word("stage", STAGES, default=stage),
        who=fields.text("who", default=who),
        sort=fields.text("for").removeprefix("each "),
        place=fields.place,
    )
    fields.done()
    return fact


def _also(fields: Fields, words: Collection[str]) -> Mapping[str, str]:
    """Return the other words that people write for a fact's words."""
    found = fields.texts_of("also")
    for text, meant in found.items():
        if meant not in words or text in words:
            says = f"also has {quoted(text)} for {quoted(meant)}; it has a text that is none of"
            fields.wrong("also", f"{says} the words, and one that is: {', '.join(words)}.")
    return found


def _kind_or_none(fields: Fields) -> Kind | None:
    return FACT_KINDS.get(fields.option("kind", tuple(FACT_KINDS), need=True))


def _follows(fields: Fields, kind: Kind | None, book: str) -> str:
    """Return the full name of what is taken in a fact's place, "" where that is a value or none."""
    text = fields.text("absent")
    if kind is None or not FOLLOWED_NAME.fits(text):
        return ""
    return f"{book}.{text}" if text.startswith("limit.") else text


def _absent(
    fields: Fields, kind: Kind | None, words: tuple[str, ...], bounds: tuple[float, float]
) -> str | None:
    """Return the text of the value that is taken where none is given, once it is known to read."""
    text = fields.text("absent")
    if not text:
        return None
    if kind is None or kind.name == "word":
        may_be = words if kind else ("none",)
        if text not in may_be:
            fields.wrong("absent", f"absent is {text!r}; it may be {', '.join(may_be)}.")
    else:
        faults = len(fields.faults.found)
        value = _value(fields, "absent", text, kind)
        outside = kind.name != "yes/no" and not bounds[0] <= value <= bounds[1]
        if outside and len(fields.faults.found) == faults:
            fields.wrong("absent", f"absent is {text}, which is outside the range; widen that.")
    return text


def _range(fields: Fields, name: str, kind: Kind | None) -> tuple[float, float] | None:
    texts = fields.texts(name)
    if name not in fields.names():
        return None
    if len(texts) != 2:  # noqa: PLR2004  # least and most
        fields.wrong(name, f"{name} is two values: the least and the most.")
        return None
    if kind is None:
        return None
    faults = len(fields.faults.found)
    low, high = (_value(fields, name, text, kind) for text in texts)
    wrong = low >= high if name == "range" else low > high
    if wrong and len(fields.faults.found) == faults:
        fields.wrong(name, f"{name} is {' to '.join(texts)}; the least comes first, then the most.")
    return (low, high)


def read_basis(node: Node | None, faults: Faults) -> Basis | None:
    """Return a basis, or None where none is given."""
    if node is None:
        return None
    fields = Fields(node, faults, "a basis")
    basis = Basis(
        document=fields.text("document"),
        edition=fields.text("edition"),
        clause=fields.text("clause"),
        standing=fields.word("standing", STANDINGS),
        note=fields.text("note"),
    )
    fields.done()
    return basis


def read_limit(node: Node, name: str, faults: Faults) -> Limit | None:
    """Return a limit under its full name."""
    fields = Fields(node, faults, f"the limit {name.rpartition('.')[2]}")
    text = fields.text("is", need=True, default="0")
    kind = KINDS.get(fields.option("kind", LIMIT_KINDS)) or kind_of_text(text)
    step_text = fields.text("step")
    limit = Limit(
        name=name,
        kind=kind,
        value=_value(fields, "is", text, kind),
        text=text,
        step=_value(fields, "step", step_text, kind) if step_text else kind.step,
        basis=read_basis(fields.node("basis"), faults),
        place=fields.place,
    )
    fields.text("means")
    fields.done()
    return limit


_LOOP = re.compile(r"each (?P<two>two )?(?P<inner>.+?)(?: of each (?P<outer>.+))?")


def _loop(fields: Fields) -> Loop:
    text = fields.text("for")
    if text.partition(" ")[0] != "each":
        return Loop(subject=text)
    found = _LOOP.fullmatch(text)
    if found is None:
        fields.wrong("for", f"for is {text!r}; write `each SORT [of each SORT]`.")
        return Loop()
    sorts = tuple(sort for sort in (found["inner"], found["outer"]) if sort)
    return Loop(sorts=sorts, pairs=bool(found["two"]))


def _working(node: Node, name: str, book: str, faults: Faults) -> Working | None:
    fields = Fields(node, faults, f"the working {name}")
    formula = fields.formula("is", need=True)
    built = fields.formula("built")
    working = None
    kind = _kind(fields)
    frozen = fields.option("frozen", STAGES)
    means, loop = fields.text("means", need=True), _loop(fields)
    proofs = proofs_of_working(fields)
    if formula is not None:
        working = Working(
            name=name,
            means=means,
            formula=formula,
            built=built,
            kind=kind,
            frozen=frozen,
            loop=loop,
            proofs=proofs,
            place=fields.place,
            book=book,
        )
    fields.done()
    return working


def read_clause(
    node: Node, name: str, book: str, faults: Faults, *, replaces: bool = False
) -> Clause | None:
    """Return a clause under its book's id; in a code set it also says what it replaces."""
    fields = Fields(node, faults, f"the clause {book}.{name}")
    if replaces:
        fields.node("replaces")
    full = f"{book}.{name}"
    limits = _limits(fields, full)
    proofs, unmoved = proofs_of_clause(fields)
    needs = fields.formula("needs", need=True)
    basis = read_basis(fields.node("basis"), faults) or next(
        (limit.basis for limit in limits.values() if limit.basis), None
    )
    if basis is None:
        faults.add(fields.place, f"The clause {full} has no basis; say by whose word it holds.")
    made = Clause(
        name=full,
        title=fields.text("title", need=True),
        loop=_loop(fields),
        when=fields.formula("when"),
        needs=needs or Formula(text="0", place=fields.place, tree=parse("0", fields.place)),
        limits=limits,
        level=fields.word("level", LEVELS),
        softer=_softer(fields.node("softer"), faults),
        stage=fields.word("stage", STAGES),
        basis=basis or Basis(),
        why=fields.text("why", need=True),
        says=fields.text("says", need=True),
        do=fields.text("do"),
        caution=fields.text("caution"),
        levers=fields.texts("levers"),
        waivable=fields.word("waivable", ("yes", "no"), default="yes") == "yes",
        proofs=proofs,
        unmoved=unmoved,
        place=fields.place,
        book=book,
    )
    fields.done()
    return made if needs is not None else None


def _softer(node: Node | None, faults: Faults) -> Softer | None:
    if node is None:
        return None
    fields = Fields(node, faults, "softer")
    level, when = fields.word("level", LEVELS), fields.formula("when", need=True)
    fields.done()
    return Softer(level=level, when=when) if when else None
