"""A book's nodes in, a `Book` out; every fault of the file at once."""

import re
from collections.abc import Callable, Mapping
from functools import lru_cache
from typing import TypeVar

from .book import (
    LEVELS,
    SOURCES,
    STAGES,
    STANDINGS,
    Basis,
    Book,
    Child,
    Clause,
    Fact,
    Formula,
    Group,
    Limit,
    Loop,
    Part,
    Proof,
    Softer,
    Sort,
    Working,
)
from .errors import Fault, RulesetError, ShapeError
from .formula.grammar import parse
from .kinds import KINDS, Kind
from .nearest import did_you_mean
from .place import Place
from .quantity import QuantityError, read_quantity
from .reader import Node, Rows, Table, Text

T = TypeVar("T")
_UNIT = re.compile(r"^[-+0-9./ eE]*")
_NUMBERED = ("length", "area", "volume", "inertia", "mass", "areal mass", "density", "force")
_KIND_ORDER = (*_NUMBERED, *(name for name in KINDS if name not in {*_NUMBERED, "word", "yes/no"}))


@lru_cache(maxsize=256)
def _kind_of_unit(unit: str) -> Kind | None:
    if unit in ("%",) or " per " in unit or unit.startswith(":"):
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


class Faults:
    """The faults found so far in one file."""

    def __init__(self) -> None:
        """Begin with none."""
        self.found: list[Fault] = []

    def add(self, place: Place, says: str) -> None:
        """Keep one fault."""
        self.found.append(Fault(place, says))

    def catch(self, make: Callable[[], T]) -> T | None:
        """Return what is made, or None with its faults kept."""
        try:
            return make()
        except RulesetError as error:
            self.found += error.faults
            return None


class Fields:
    """One table of a file, taken field by field; what is not taken is a fault."""

    def __init__(self, node: Node, faults: Faults, what: str) -> None:
        """Take a table; anything else is a fault and reads as an empty table."""
        self.faults = faults
        self.what = what
        self.place = node.place
        self.unmoved: Mapping[str, str] = {}
        self._taken: list[str] = []
        self._table: Mapping[str, Node] = {}
        self._keys: Mapping[str, Place] = {}
        if isinstance(node, Table):
            self._table, self._keys = node.entries, node.keys
        else:
            faults.add(node.place, f"{what} is a table of fields; here is {_form(node)}.")

    def node(self, name: str) -> Node | None:
        """Return the field's node, or None."""
        self._taken.append(name)
        return self._table.get(name)

    def key_place(self, name: str) -> Place:
        """Return where the field's name stands, or the table."""
        return self._keys.get(name, self.place)

    def text(self, name: str, *, need: bool = False, default: str = "") -> str:
        """Return the field's text."""
        node = self.node(name)
        if isinstance(node, Text) and (node.text or node.quoted):
            return " ".join(node.text.split())
        if node is not None:
            self.faults.add(node.place, f"{name} is text; here is {_form(node)}.")
        elif need:
            self.faults.add(self.place, f"{self.what} has no {name}; it needs one.")
        return default

    def word(self, name: str, words: tuple[str, ...], *, default: str = "") -> str:
        """Return the field's text, which must be one of the words."""
        found = self.text(name, need=not default, default=default)
        if found and found not in words:
            self.faults.add(
                self._table[name].place if name in self._table else self.place,
                f"{name} is {found!r}; it may be {', '.join(words)}.{did_you_mean(found, words)}",
            )
            return default or words[0]
        return found or words[0]

    def table(self, name: str) -> Mapping[str, Node]:
        """Return the fields of a table, empty where it is not given."""
        node = self.node(name)
        if isinstance(node, Table):
            return node.entries
        if node is not None and not (isinstance(node, Text) and not node.text):
            self.faults.add(node.place, f"{name} is a table; here is {_form(node)}.")
        return {}

    def texts(self, name: str) -> tuple[str, ...]:
        """Return the texts of a list, empty where it is not given."""
        node = self.node(name)
        if isinstance(node, Rows) and all(isinstance(item, Text) for item in node.items):
            return tuple(item.text for item in node.items if isinstance(item, Text))
        if node is not None:
            self.faults.add(node.place, f"{name} is a list of texts; here is {_form(node)}.")
        return ()

    def rows(self, name: str) -> tuple[Node, ...]:
        """Return the rows of a list, empty where it is not given."""
        node = self.node(name)
        if isinstance(node, Rows):
            return node.items
        if node is not None:
            self.faults.add(node.place, f"{name} is a list; here is {_form(node)}.")
        return ()

    def formula(self, name: str, *, need: bool = False) -> Formula | None:
        """Return the field's formula."""
        node = self.node(name)
        if isinstance(node, Text):
            return self.faults.catch(lambda: formula_of(node))
        if node is not None:
            self.faults.add(node.place, f"{name} is a formula; here is {_form(node)}.")
        elif need:
            self.faults.add(self.place, f"{self.what} has no {name}; it needs a formula.")
        return None

    def table_names(self) -> tuple[str, ...]:
        """Return the names of the fields given."""
        return tuple(self._table)

    def done(self) -> None:
        """Keep a fault for each field that nobody took."""
        for name, place in self._keys.items():
            if name not in self._taken:
                hint = did_you_mean(name, self._taken)
                self.faults.add(place, f"{self.what} has no field {name}.{hint}")


def _form(node: Node) -> str:
    if isinstance(node, Text):
        return "nothing" if not node.text else "text"
    return "a list" if isinstance(node, Rows) else "a table"


def formula_of(node: Text) -> Formula:
    """Return a node's formula, parsed.

    Raises:
        FormulaError: The text is not in the language.
    """
    shift = 1 if node.quoted else 0
    place = Place(
        file=node.place.file,
        line=node.place.line,
        column=node.place.column + shift,
        pointer=node.place.pointer,
    )
    return Formula(text=" ".join(node.text.split()), place=place, tree=parse(node.text, place))


def read_book(node: Node) -> Book:
    """Return the book that a file holds.

    Raises:
        ShapeError: Fields are unknown, missing or of the wrong form, or formulas not in the
            language; all of them at once.
    """
    faults = Faults()
    fields = Fields(node, faults, "a book")
    name = fields.text("book", need=True, default="book")
    if not re.fullmatch(r"[a-z][a-z0-9-]*", name):
        faults.add(fields.place, f"book is {name!r}; an id is small letters, digits and dashes.")
    book = Book(
        name=name,
        title=fields.text("title", need=True),
        about=fields.text("about"),
        facts=_each(fields, "facts", faults, _fact),
        sorts=_each(fields, "sorts", faults, _sort),
        parts=_each(fields, "parts", faults, _part),
        limits={
            limit.name.rpartition(".")[2]: limit
            for limit in _each(
                fields, "limits", faults, lambda n, k, f: read_limit(n, f"{name}.limit.{k}", f)
            )
        },
        workings=_each(fields, "workings", faults, lambda n, k, f: _working(n, k, name, f)),
        clauses=_each(fields, "clauses", faults, lambda n, k, f: read_clause(n, k, name, f)),
        place=node.place,
    )
    fields.done()
    if faults.found:
        raise ShapeError(faults.found)
    return book


def _each(
    fields: Fields, name: str, faults: Faults, make: Callable[[Node, str, Faults], T | None]
) -> tuple[T, ...]:
    made = (make(node, key, faults) for key, node in fields.table(name).items())
    return tuple(one for one in made if one is not None)


def _kind(fields: Fields) -> Kind:
    return KINDS[fields.word("kind", tuple(KINDS))]


def _value(fields: Fields, text: str, kind: Kind, place: Place) -> float:
    try:
        return read_quantity(text, kind).value
    except QuantityError as error:
        fields.faults.add(place, str(error))
        return 0.0


def _fact(node: Node, name: str, faults: Faults) -> Fact | None:
    fields = Fields(node, faults, f"the fact {name}")
    source = name.partition(".")[0]
    if source not in SOURCES:
        faults.add(
            fields.place,
            f"The fact {name} has no known source; a name begins with {', '.join(SOURCES)}.",
        )
        return None
    stage, who = SOURCES[source]
    rows = fields.text("list")
    kind = None if rows else _kind(fields)
    words = fields.texts("words")
    low, high = _range(fields, "range", kind)
    usual = _range(fields, "usual", kind) if "usual" in fields.table_names() else None
    numbered = kind is not None and kind.name not in ("word", "yes/no")
    if numbered and low >= high:
        faults.add(fields.place, f"The fact {name} has no range; give the least and the most read.")
    if kind is not None and kind.name == "word" and not words:
        faults.add(fields.place, f"The fact {name} has no words; list what it may be.")
    fact = Fact(
        name=name,
        means=fields.text("means", need=True),
        kind=kind,
        words=words,
        low=low,
        high=high,
        usual=usual,
        stage=fields.word("stage", STAGES, default=stage),
        who=fields.text("who", default=who),
        absent=fields.text("absent", default="") or None,
        rows=rows,
        most=int(fields.text("most", default="12")) if rows else 0,
        place=fields.place,
    )
    fields.done()
    return fact


def _range(fields: Fields, name: str, kind: Kind | None) -> tuple[float, float]:
    texts = fields.texts(name)
    if not texts or kind is None:
        return (0.0, 0.0)
    if len(texts) != 2:  # noqa: PLR2004  # least and most
        fields.faults.add(fields.place, f"{name} is two values: the least and the most.")
        return (0.0, 0.0)
    low, high = (_value(fields, text, kind, fields.place) for text in texts)
    return (low, high)


def _sort(node: Node, name: str, faults: Faults) -> Sort:
    fields = Fields(node, faults, f"the sort {name}")
    kinds: dict[str, Kind] = {}
    for key, one in fields.table("fields").items():
        text = one.text if isinstance(one, Text) else ""
        if text in KINDS:
            kinds[key] = KINDS[text]
        else:
            faults.add(one.place, f"{text!r} is no kind.{did_you_mean(text, tuple(KINDS))}")
    plural = fields.text("plural", default=f"{name}s")
    fields.done()
    return Sort(name=name, plural=plural, fields=kinds, place=fields.place)


def _part(node: Node, name: str, faults: Faults) -> Part:
    fields = Fields(node, faults, f"the part {name}")
    part = Part(
        name=name,
        means=fields.text("means", need=True),
        sorts=fields.texts("sorts"),
        groups={key: _group(one, key, faults) for key, one in fields.table("groups").items()},
        place=fields.place,
    )
    fields.done()
    return part


def _group(node: Node, name: str, faults: Faults) -> Group:
    fields = Fields(node, faults, f"the group {name}")
    group = Group(
        sort=fields.text("sort", need=True),
        are=tuple(_child(one, faults) for one in fields.rows("are")),
        more=fields.text("more"),
        place=fields.place,
    )
    fields.done()
    return group


def _child(node: Node, faults: Faults) -> Child:
    fields = Fields(node, faults, "a child of a group")
    means = fields.text("means", need=True)
    formulas = {}
    for key in fields.table_names():
        if key != "means" and (formula := fields.formula(key)) is not None:
            formulas[key] = formula
    return Child(means=means, fields=formulas, place=fields.place)


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
    kind_name = fields.text("kind")
    kind = KINDS.get(kind_name) or kind_of_text(text)
    step_text = fields.text("step")
    limit = Limit(
        name=name,
        kind=kind,
        value=_value(fields, text, kind, fields.place),
        text=text,
        step=_value(fields, step_text, kind, fields.place) if step_text else kind.step,
        basis=read_basis(fields.node("basis"), faults),
        place=fields.place,
    )
    fields.node("means")
    fields.done()
    return limit


_LOOP = re.compile(r"each (?P<two>two )?(?P<inner>.+?)(?: of each (?P<outer>.+))?")


def _loop(fields: Fields) -> Loop:
    text = fields.text("for")
    if not text.startswith("each "):
        return Loop(subject=text)
    found = _LOOP.fullmatch(text)
    if found is None:
        fields.faults.add(fields.place, f"for is {text!r}; write `each SORT [of each SORT]`.")
        return Loop()
    sorts = tuple(sort for sort in (found["inner"], found["outer"]) if sort)
    return Loop(sorts=sorts, pairs=bool(found["two"]))


def _working(node: Node, name: str, book: str, faults: Faults) -> Working | None:
    fields = Fields(node, faults, f"the working {name}")
    formula = fields.formula("is", need=True)
    built = fields.formula("built")
    working = None
    kind = _kind(fields)
    frozen = fields.text("frozen")
    if frozen and frozen not in STAGES:
        faults.add(fields.place, f"frozen is {frozen!r}; it is a stage: {', '.join(STAGES)}.")
    means, loop = fields.text("means", need=True), _loop(fields)
    proofs = tuple(
        _proof(one, key, "is", faults) for key, one in fields.table("proofs").items()
    )
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
    limits = {
        limit.name.rpartition(".")[2]: limit
        for limit in _each(fields, "limits", faults, lambda n, k, f: read_limit(n, f"{full}.{k}", f))
    }
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
        proofs=_proofs(fields, faults),
        unmoved=fields.unmoved,
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


def _proofs(fields: Fields, faults: Faults) -> tuple[Proof, ...]:
    proofs: list[Proof] = []
    node = fields.node("proofs")
    if node is None or (isinstance(node, Text) and not node.text):
        return ()
    kinds = Fields(node, faults, "proofs")
    for expects in ("holds", "fails", "exempt", "unknown"):
        proofs += (
            _proof(one, key, expects, faults) for key, one in kinds.table(expects).items()
        )
    fields.unmoved = {
        key: one.text if isinstance(one, Text) else "" for key, one in kinds.table("unmoved").items()
    }
    kinds.done()
    return tuple(proofs)


def _proof(node: Node, name: str, expects: str, faults: Faults) -> Proof:
    fields = Fields(node, faults, f"the proof {name!r}")
    proof = Proof(
        name=name,
        expects=expects,
        given=fields.table("given"),
        limits=_texts_of(fields.table("limits")),
        says=fields.text("says"),
        result=fields.text("is", need=expects == "is"),
        without=_texts_of(fields.table("without")),
        units=fields.word("units", ("in", "mm"), default="in"),
        place=fields.place,
    )
    fields.done()
    return proof


def _texts_of(table: Mapping[str, Node]) -> Mapping[str, str]:
    return {key: node.text for key, node in table.items() if isinstance(node, Text)}
