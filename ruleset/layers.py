"""Code sets and policies laid over the books: amended limits, levels, clauses on and off."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, replace

from .assembly import with_clauses
from .book import LEVELS, Basis, Clause, Fact, Limit
from .book_reader import read_basis, read_clause
from .errors import BookError, Fault, ShapeError
from .fields import Faults, Fields
from .formula.cone import leaves
from .formula.direction import directions
from .library import CheckedClause, Library
from .nearest import did_you_mean
from .node import Node
from .patterns import CLAUSE_NAME, ID, NAME
from .place import Place
from .quantity import QuantityError, read_quantity
from .sizes import Sizes
from .stated import Stated, read_stated, with_stated

MOST_UNDER = 50
FORMAT = "2"
"""The form of files that is read; the one before had other names."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NewLimit:
    """A limit's other value, as written."""

    text: str
    basis: Basis | None
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Amendment:
    """What a layer changes of one clause or of one book's limits.

    Attributes:
        of: Full name of the clause, or BOOK.limit for the limits of a book.
        limits: Other values by short name.
        level: Another level; "" for the same.
        off: Whether the clause is switched off.
        basis: By whose word, where it is not the layer's title.
        why: The reason.
        place: Where it stands.
    """

    of: str
    limits: Mapping[str, NewLimit]
    level: str
    off: bool
    basis: Basis | None
    why: str
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """A code set or a shop's policy.

    Attributes:
        name: Its id.
        title: What it is.
        policy: Whether it is a policy, which may only tighten.
        under: Code sets that come first, by id.
        documents: Documents that it speaks for, as clauses name them in their basis.
        amends: What it changes, by clause.
        clauses: Whole clauses that replace others, by the full name of the replaced one.
        stated: What a policy states of every job as its own word.
        place: Where it stands.
    """

    name: str
    title: str
    policy: bool
    under: tuple[str, ...]
    documents: tuple[str, ...]
    amends: Mapping[str, Amendment]
    clauses: Mapping[str, Clause]
    stated: tuple[Stated, ...]
    place: Place


def read_layer(node: Node) -> Layer:
    """Return the code set or policy that a file holds.

    Raises:
        ShapeError: Fields are unknown, missing or of the wrong form; all of them at once.
    """
    faults = Faults()
    fields = Fields(node, faults, "a code set")
    fields.option("format", (FORMAT,))
    policy = "policy" in fields.names()
    name = fields.text("policy" if policy else "code", need=True, looks=ID)
    if policy and fields.node("code") is not None:
        fields.wrong("code", "A file is a code set or a policy; keep one of code and policy.")
    amends = fields.table("amends", CLAUSE_NAME)
    layer = Layer(
        name=name,
        title=fields.text("title", need=True),
        policy=policy,
        under=fields.texts("under", looks=ID),
        documents=fields.texts("documents"),
        amends={key: _amendment(one, key, faults) for key, one in amends.items()},
        clauses=_clauses(fields, name, faults),
        stated=read_stated(fields, faults),
        place=node.place,
    )
    fields.done()
    if faults.found:
        raise ShapeError(faults.found)
    return layer


def _amendment(node: Node, of: str, faults: Faults) -> Amendment:
    fields = Fields(node, faults, f"the amendment of {of}")
    limits: dict[str, NewLimit] = {}
    for short, one in fields.table("limits", NAME).items():
        new = Fields(one, faults, f"the limit {short}")
        limits[short] = NewLimit(
            text=new.text("is", need=True, default="0"),
            basis=read_basis(new.node("basis"), faults),
            place=new.place,
        )
        new.text("means")
        new.done()
    made = Amendment(
        of=of,
        limits=limits,
        level=fields.option("level", LEVELS),
        off=fields.word("off", ("yes", "no"), default="no") == "yes",
        basis=read_basis(fields.node("basis"), faults),
        why=fields.text("why", need=True),
        place=fields.place,
    )
    fields.done()
    return made


def _clauses(fields: Fields, layer: str, faults: Faults) -> Mapping[str, Clause]:
    found: dict[str, Clause] = {}
    for key, node in fields.table("clauses", ID).items():
        of = f"the clause {key} of {layer}"
        target = Fields(node, Faults(), of).text("replaces", looks=CLAUSE_NAME)
        if not target:
            # Read again for the faults, which the clause itself would tell a second time.
            Fields(node, faults, of).text("replaces", need=True, looks=CLAUSE_NAME)
            continue
        book, _, name = target.partition(".")
        clause = read_clause(node, name, book, faults, replaces=True)
        if clause is not None:
            found[clause.name] = clause
    return found


def in_order(layers: Mapping[str, Layer], names: Iterable[str], place: Place) -> tuple[Layer, ...]:
    """Return the layers named, each after those it is laid over.

    Raises:
        BookError: A name is not known, or layers are laid over each other in a circle or too deep.
    """
    found: dict[str, Layer] = {}

    def add(name: str, at: Place, above: tuple[str, ...]) -> None:
        layer = layers.get(name)
        if layer is None:
            hint = did_you_mean(name, layers)
            known = ", ".join(sorted(layers)) or "none"
            raise BookError(
                Fault(at, f"There is no code set or policy {name}; there are: {known}.{hint}")
            )
        if name in above:
            raise BookError(
                Fault(
                    layer.place,
                    f"{' is laid over '.join((*above, name))}: this is a circle; "
                    "take one of them out of an under.",
                )
            )
        if name in found:
            return
        if len(above) >= MOST_UNDER:
            says = f"Code sets lie over each other at most {MOST_UNDER} deep; {name} is deeper."
            raise BookError(Fault(at, f"{says} Take out an under."))
        for under in layer.under:
            add(under, layer.place, (*above, name))
        found.setdefault(name, layer)

    for name in names:
        add(name, place, ())
    return tuple(sorted(found.values(), key=lambda layer: layer.policy))


def lay(library: Library, layers: Iterable[Layer]) -> Library:
    """Return the library as the layers amend it, in their order.

    Raises:
        BookError: A layer names nothing known, or a policy loosens; all faults at once.
    """
    faults: list[Fault] = []
    for layer in layers:
        library = _Laying(library, layer, faults).laid()
    if faults:
        raise BookError(faults)
    return library


def whose_word(library: Library, layers: Iterable[Layer], documents: Collection[str]) -> Library:
    """Return the library where each clause of a code that is not adopted says so in its basis.

    Args:
        library: The books as the layers amend them.
        layers: The code sets and policies that are adopted.
        documents: Every document that a known code set speaks for, adopted or not.
    """
    foreign = frozenset(documents).difference(*(layer.documents for layer in layers))
    clauses = dict(library.clauses)
    for name, checked in clauses.items():
        basis = checked.clause.basis
        if basis.document in foreign:
            end = "." if basis.note.endswith(".") else ""
            note = f"{basis.note}{' No' if end else '; no' if basis.note else 'no'} {_OTHERS}{end}"
            said = replace(checked.clause, basis=replace(basis, note=note))
            clauses[name] = replace(checked, clause=said)
    return replace(library, clauses=clauses)


_OTHERS = "code set of this job has a word of its own here"


class _Laying:
    """One layer laid over a library; keeps the faults."""

    def __init__(self, library: Library, layer: Layer, faults: list[Fault]) -> None:
        self.library = library
        self.layer = layer
        self.faults = faults
        self.limits = dict(library.limits)
        self.off: set[str] = set()
        self.changed: dict[str, CheckedClause] = {}

    def _wrong(self, place: Place, says: str) -> None:
        self.faults.append(Fault(place, f"{self.layer.name}: {says}"))

    def laid(self) -> Library:
        for amendment in self.layer.amends.values():
            book, _, kind = amendment.of.partition(".")
            if kind == "limit" and book in self.library.books:
                self._amend_limits(amendment, f"{book}.limit", None)
            elif amendment.of in self.library.clauses:
                self._amend_clause(amendment, self.library.clauses[amendment.of])
            elif book not in self.library.books:
                books = self.library.books
                hint = did_you_mean(book, books) or f" There are: {', '.join(books)}."
                self._wrong(amendment.place, f"There is no book {book} to amend.{hint}")
            else:
                hint = did_you_mean(amendment.of, self.library.clauses) or " `cite` lists them."
                self._wrong(amendment.place, f"There is no clause {amendment.of}.{hint}")
        for name, clause in self.layer.clauses.items():
            self._replace(name, clause)
        stated = self._stated()
        if self.faults:
            return self.library
        of_job = {name: fact for name, fact in stated.items() if not fact.sort}
        of_sorts = {(fact.sort, fact.path): fact for fact in stated.values() if fact.sort}
        return with_clauses(
            replace(
                self.library,
                facts={**self.library.facts, **of_job},
                stated={**self.library.stated, **of_sorts},
            ),
            limits=self.limits,
            changed=self.changed,
            off=self.off,
            replaced=() if self.layer.policy else tuple(self.layer.clauses.values()),
        )

    def _stated(self) -> Mapping[str, Fact]:
        """Return the facts of which the policy states a word, by name."""
        if self.layer.stated and not self.layer.policy:
            says = "A code set states nothing of a job; a shop's policy may, as its own word."
            self._wrong(self.layer.stated[0].place, says)
        facts = {**self._of_sorts(), **self.library.facts}
        return with_stated(facts, self.layer.stated, self.layer.name, self.faults)

    def _of_sorts(self) -> Mapping[str, Fact]:
        """Return the facts of sorts, by each name that their sort's variables give them."""
        has, stated = self.library.names.has, self.library.stated
        return {
            f"{variable}.{fact.path}": stated.get((fact.sort, fact.path), fact)
            for fact in has.facts()
            for variable in has.sorts[fact.sort].variables
        }

    def _replace(self, name: str, clause: Clause) -> None:
        if name not in self.library.clauses:
            hint = did_you_mean(name, self.library.clauses)
            self._wrong(clause.place, f"There is no clause {name} to replace.{hint}")
        elif self.layer.policy:
            self._wrong(
                clause.place,
                f"A policy may tighten limits and levels of {name}, not replace it; "
                "a code set may.",
            )

    def _amend_clause(self, amendment: Amendment, checked: CheckedClause) -> None:
        clause = checked.clause
        if amendment.off and self.layer.policy:
            self._wrong(
                amendment.place, f"A policy may only tighten; it may not drop {clause.name}."
            )
        if amendment.off:
            self.off.add(clause.name)
        level = amendment.level or clause.level
        if self.layer.policy and LEVELS.index(level) < LEVELS.index(clause.level):
            self._wrong(
                amendment.place,
                f"A policy may only tighten; {clause.name} is {clause.level} and may not become "
                f"{level}.",
            )
        self._amend_limits(amendment, clause.name, checked)
        own = {short: self.limits[limit.name] for short, limit in clause.limits.items()}
        basis = amendment.basis or next(
            (new.basis for new in amendment.limits.values() if new.basis), clause.basis
        )
        self.changed[clause.name] = replace(
            checked, clause=replace(clause, level=level, limits=own, basis=basis)
        )

    def _amend_limits(
        self, amendment: Amendment, prefix: str, checked: CheckedClause | None
    ) -> None:
        for short, new in amendment.limits.items():
            old = self.limits.get(f"{prefix}.{short}")
            if old is None:
                known = [
                    name.rpartition(".")[2] for name in self.limits if name.startswith(f"{prefix}.")
                ]
                hint = did_you_mean(short, known) or f" It has: {', '.join(known) or 'none'}."
                self._wrong(new.place, f"{amendment.of} has no limit {short}.{hint}")
                continue
            try:
                value = read_quantity(new.text, old.kind).value
            except QuantityError as error:
                self._wrong(new.place, str(error))
                continue
            if self.layer.policy:
                self._only_tighter(old, value, new, checked)
            self.limits[old.name] = replace(
                old, value=value, text=new.text, basis=new.basis or old.basis, place=new.place
            )

    def _only_tighter(
        self, old: Limit, value: float, new: NewLimit, checked: CheckedClause | None
    ) -> None:
        way = self._way(old, checked, value)
        if way == 0:
            self._wrong(
                new.place,
                f"Which way {old.name} tightens cannot be told from its formula; "
                "a code set may amend it, a policy may not.",
            )
        elif (value - old.value) * way < 0:
            self._wrong(
                new.place,
                f"A policy may only tighten; {old.name} is {old.text}, and {new.text} loosens it. "
                f"Write {old.text} or {'more' if way > 0 else 'less'}.",
            )

    def _way(self, limit: Limit, checked: CheckedClause | None, value: float) -> int:
        """Return 1 where raising the limit tightens, -1 where lowering does, 0 where unclear."""
        if checked is None:
            return 0
        short = f"limit.{limit.name.rpartition('.')[2]}"
        if checked.when is not None and short in leaves(checked.when):
            return 0
        sizes = Sizes(self.library, checked.clause, limit.name, value)
        return -directions(checked.needs, sizes.never_negative).get(short, 0)
