"""A declared table filled with one job's values, each as the review judges it."""

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction

from ruleset.book import Basis
from ruleset.explain import Amount, Teller
from ruleset.formula.tree import Call
from ruleset.kinds import TEXT, Kind
from ruleset.part import THERE, Child, Part, Sort
from ruleset.show import Shown, Style, show, show_as_given

from .cautions import STANDINGS
from .sheet_reader import Column, DeclaredRow, DeclaredTable
from .verdict import Verdict

PLACES = 3  # decimals that an exact value is printed to: far finer than anyone cuts
MOST_FINER = 9  # steps finer than the grid, a stop for the search
ROUNDERS = ("round_to", "round_up", "round_down")
_RULE: Mapping[str, tuple[Fraction, Fraction, Fraction]] = {
    "in": (Fraction(254, 10), Fraction(1, 32), Fraction(1, 64)),
    "mm": (Fraction(1), Fraction(1, 2), Fraction(1, 2)),
}
"""Of each system mm in a unit, the step that a bound is rounded to, the finest line of a rule."""
SQUARE_FOOT = 304.8**2  # mm2
SPECK = 1e-6  # of the finest line
NOT_GIVEN = "not given"
NOT_KNOWN, NONE = "not known", "none"


@dataclass(frozen=True, slots=True, kw_only=True)
class Missing:
    """A fact that a sheet waits for.

    Attributes:
        fact: Its name.
        means: What it is.
        who: Who supplies it.
    """

    fact: str
    means: str
    who: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One value of a sheet.

    Attributes:
        key: Id of its column, or its name.
        title: What it is.
        name: The fact, working or limit it prints; "" for a cell that a row leaves empty.
        text: As a person reads it, in the job's units.
        value: As a program reads it; None for words and for what is not known.
        exact: The value before it was rounded; None where nothing was.
        basis: By whose word, for a limit; "" otherwise.
        missing: Facts it waits for.
    """

    key: str
    title: str
    name: str
    text: str
    value: Amount | None = None
    exact: Amount | None = None
    basis: str = ""
    missing: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class FilledRow:
    """One row of a filled table.

    Attributes:
        item: What it is.
        part: The part it is of; "" for none.
        origin: What it is measured from; "" where the item says it.
        cells: A cell for each column.
    """

    item: str
    part: str
    origin: str
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FilledTable:
    """A table of a sheet.

    Attributes:
        key: Its id.
        title: Its heading.
        form: "grid" for a line a row, "block" for a line a value.
        columns: Titles of its columns.
        rows: Its rows.
        notes: Sentences under it.
        missing: Lists that were not given, so that rows may be missing.
    """

    key: str
    title: str
    form: str
    columns: tuple[str, ...]
    rows: tuple[FilledRow, ...]
    notes: tuple[str, ...]
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Member:
    """A part that a table has a row for: what it is, and the full name of each of its fields."""

    part: str
    means: str
    bound: Mapping[str, str]


class Filling:
    """Fills declared tables from one verdict."""

    def __init__(self, verdict: Verdict) -> None:
        """Keep the verdict and its steps by name."""
        self.verdict = verdict
        self.teller: Teller = verdict.teller()
        self.steps = {step.name: step for step in verdict.plan.steps}
        self.waits: dict[str, None] = {}

    def table(self, declared: DeclaredTable) -> FilledTable:
        """Return a table with the job's values."""
        lists: list[str] = []
        if declared.sorts:
            rows = tuple(self._of_members(declared, lists))
        else:
            rows = tuple(self._of_row(declared, row) for row in declared.rows)
        self.waits.update(dict.fromkeys(lists))
        return FilledTable(
            key=declared.key,
            title=declared.title,
            form=declared.form,
            columns=tuple(column.title for column in declared.columns.values()),
            rows=rows,
            notes=declared.notes,
            missing=tuple(lists),
        )

    def _of_row(self, declared: DeclaredTable, row: DeclaredRow) -> FilledRow:
        cells = tuple(
            self.cell(row.names[key], key=key, title=column.title)
            if key in row.names
            else Cell(key=key, title=column.title, name="", text=_left_out(key))
            for key, column in declared.columns.items()
        )
        return FilledRow(item=row.item, part=row.part, origin=row.origin, cells=cells)

    def _of_members(self, declared: DeclaredTable, lists: list[str]) -> Iterator[FilledRow]:
        for member in self._members(declared.sorts, lists):
            cells = tuple(
                self._of_column(key, column, member) for key, column in declared.columns.items()
            )
            yield FilledRow(item=member.means, part=member.part, origin="", cells=cells)

    def _of_column(self, key: str, column: Column, member: _Member) -> Cell:
        name = self._full(column.name, member)
        if column.only:
            asked = self.verdict.answer(self._full(column.only, member))
            if asked.known and not asked.value:
                return Cell(key=key, title=column.title, name="", text=NONE)
        return self.cell(name, key=key, title=column.title)

    def _members(self, sorts: tuple[str, ...], lists: list[str]) -> Iterator[_Member]:
        library = self.verdict.library
        outer = library.sorts[sorts[-1]]
        for part in library.parts.values():
            if outer.name not in part.sorts:
                continue
            bound = dict.fromkeys(outer.variables, part.name)
            if len(sorts) == 1:
                yield _Member(part=part.name, means=part.means, bound=bound)
                continue
            yield from self._children(part, sorts[0], bound, lists)

    def _children(
        self, part: Part, sort: str, bound: Mapping[str, str], lists: list[str]
    ) -> Iterator[_Member]:
        library = self.verdict.library
        inner = library.sorts[sort]
        for name, group in part.groups.items():
            if library.names.has.extends(group.sort, sort):
                yield from self._members_of(part, name, inner, bound, lists)

    def _members_of(
        self, part: Part, name: str, sort: Sort, bound: Mapping[str, str], lists: list[str]
    ) -> Iterator[_Member]:
        group = part.groups[name]
        more = self._given_rows(group.more, lists)
        for at in range(1, len(group.are) + more + 1):
            own = at <= len(group.are)
            if own and self._is_gone(f"{part.name}.{name}[{at}]", group.are[at - 1]):
                continue
            member = dict.fromkeys(sort.variables, f"{part.name}.{name}[{at}]")
            yield _Member(
                part=part.name,
                means=group.are[at - 1].means if own else f"{sort.bound} {at}",
                bound={**bound, **member},
            )

    def _is_gone(self, member: str, child: Child) -> bool:
        """Return whether a job surely has no such member of a part."""
        if child.there is None:
            return False
        asked = self.verdict.answer(f"{member}.{THERE}")
        return asked.known and not asked.value

    def children(self, part: str, group: str) -> Iterator[tuple[str, str, Mapping[str, str]]]:
        """Yield each member of a part's group: its name, what it is, full names of its fields."""
        library = self.verdict.library
        own = library.parts[part]
        if group not in own.groups:
            return
        sort = library.sorts[own.groups[group].sort]
        for member in self._members_of(own, group, sort, {}, []):
            full = {key: self._full(f"{sort.whole}.{key}", member) for key in sort.fields}
            yield member.bound[sort.whole], member.means, full

    def _given_rows(self, name: str, lists: list[str]) -> int:
        rows = dict(self.verdict.plan.shape).get(name)
        if name and rows is None:
            lists.append(name)
        return rows or 0

    def _full(self, name: str, member: _Member) -> str:
        first, dot, rest = name.partition(".")
        part = member.bound.get(first)
        return name if part is None else self.verdict.plan.plain(f"{part}{dot}{rest}")

    def cell(self, name: str, *, key: str, title: str) -> Cell:
        """Return a cell with the value of a fact, working or limit."""
        plain = self.verdict.plain(name)
        fact = self.verdict.library.facts.get(plain)
        if fact is not None and fact.kind == TEXT:
            text = self.verdict.job.texts.get(plain, NOT_GIVEN)
            return Cell(key=key, title=title, name=name, text=text)
        answer = self.verdict.answer(name)
        limit = self.verdict.library.limits.get(name)
        if not answer.known:
            missing = tuple(sorted(answer.missing))
            self.waits.update(dict.fromkeys(missing))
            return Cell(key=key, title=title, name=name, text=NOT_KNOWN, missing=missing)
        shown = self.teller.value(name)
        text = shown.text
        kind = self.verdict.kind(name)
        if kind is None or kind.name in ("word", "yes/no"):
            return Cell(key=key, title=title, name=name, text=text)
        if limit is not None:  # a tolerance rounded to the grid would allow what it forbids
            text = exact_text(limit.value, kind, self.verdict.job.style)
        if kind.name == "area" and self.verdict.job.style.units == "in":
            text = square_feet(answer.value)
        return Cell(
            key=key,
            title=title,
            name=name,
            text=text,
            value=Amount(value=answer.value, kind=kind, text=text),
            exact=None if limit is not None else self._exact(name, answer.value, kind, shown),
            basis=word_of(limit.basis) if limit is not None and limit.basis is not None else "",
        )

    def _exact(self, name: str, value: float, kind: Kind, shown: Shown) -> Amount | None:
        """Return the value before its own formula, or the printing, rounded it."""
        style = self.verdict.job.style
        step = self.steps.get(name)
        exact = value
        if step is not None and isinstance(step.drawn, Call) and step.drawn.function in ROUNDERS:
            before = self.verdict.answering.answer(step.drawn.args[0])
            exact = before.value if before.known else value
        cut = abs(exact - value) > (kind.hair or 0.0)
        if kind.name != "length" or not (cut or shown.rounded):
            return None
        return Amount(value=exact, kind=kind, text=exact_text(exact, kind, style))

    def missing(self) -> tuple[Missing, ...]:
        """Return every fact that a cell filled so far waits for."""
        return tuple(self.told(name) for name in sorted(self.waits))

    def told(self, name: str) -> Missing:
        """Return a fact that is missing, with what it is and who supplies it."""
        leaf = self.verdict.plan.leaves.get(name)
        if leaf is None:
            return Missing(fact=name, means=name, who="")
        return Missing(fact=name, means=leaf.fact.means, who=leaf.fact.who)


def square_feet(area: float) -> str:
    """Return an area as glass is bought by it in inches.

    Args:
        area: mm2.

    Example:
        >>> square_feet(2067 * 25.4**2)
        '14.35 sq ft'
    """
    return f"{area / SQUARE_FOOT:.2f}".rstrip("0").rstrip(".") + " sq ft"


def word_of(basis: Basis) -> str:
    """Return by whose word something holds, for a person who relies on it."""
    return str(basis) if basis.document or basis.clause else STANDINGS[basis.standing]


def safe_text(value: float, kind: Kind, style: Style, *, side: int) -> str:
    """Return a bound that is held on site: a length that no rule has is rounded to the safe side.

    Args:
        value: The bound, internal units.
        kind: What it is.
        style: How values print.
        side: 1 for the least that is allowed, -1 for the most, 0 for exactly this.

    Example:
        >>> from fractions import Fraction
        >>> from ruleset.kinds import KINDS
        >>> metric = Style(units="mm", grid=Fraction(1))
        >>> safe_text(25.4 / 16, KINDS["length"], metric, side=-1)
        '1.5 mm (rounded down from about 1.588 mm)'
        >>> safe_text(25.4 * 3 / 8, KINDS["length"], metric, side=1)
        '10 mm (rounded up from 9.525 mm)'
        >>> safe_text(25.4 / 32, KINDS["length"], Style(), side=-1)
        '1/32 in'
    """
    exact = exact_text(value, kind, style)
    if kind.name != "length":
        return exact
    unit, step, finest = _RULE[style.units]
    size = Fraction(value) / unit
    if not side or abs(size / finest - round(size / finest)) < SPECK:
        return exact
    safe = step * (math.ceil(size / step) if side > 0 else math.floor(size / step))
    if safe <= 0:  # nothing that a rule can tell from nothing
        return exact
    text = show_as_given(float(safe * unit), kind, style).text
    return f"{text} (rounded {'up' if side > 0 else 'down'} from {exact})"


def exact_text(value: float, kind: Kind, style: Style) -> str:
    """Return a value printed just fine enough to be exact, or to 0.001.

    Args:
        value: The value, internal units.
        kind: What it is.
        style: How values print.

    Example:
        >>> from ruleset.kinds import KINDS
        >>> exact_text(25.4 * 31.15625, KINDS["length"], Style())
        '31 5/32 in'
        >>> exact_text(25.4 * 31.1, KINDS["length"], Style())
        '31.1 in'
    """
    text = ""
    for finer in range(MOST_FINER + 1):
        shown = show(value, kind, style, finer=finer)
        places = len(shown.text.partition(".")[2].partition(" ")[0])
        if not shown.rounded and places <= PLACES:
            return shown.text
        text = shown.text
        if places >= PLACES:
            break
    return f"about {text}"


def _left_out(key: str) -> str:
    return "1" if key == "quantity" else ""
