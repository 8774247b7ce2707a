"""The levers of one job: every option of each, what it moves and what it costs."""

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from ruleset.book import Fact
from ruleset.kinds import KINDS
from ruleset.quantity import read_quantity, show
from ruleset.turns import HAND

from ..facts import Given
from ..kit import Kit, differs
from ..usual import value_of
from ..verdict import Verdict
from .levers import Declared, HandlePlace, Placing
from .stock import Handle, Stock

GAP = "..."
"""Where a sheet leaves room for a place."""
HAIR = 1e-6  # internal units; values nearer than this are one
MM_AN_INCH = Fraction(127, 5)
WIDE = ("kits", "thicknesses")
"""Stock that changes so much at once that each option is searched by itself; so does the hand, a
yes/no, or a choice that places a further piece."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Lever:
    """One lever and its options, in an order in which costs grow to both sides of the present one.

    Attributes:
        name: Its id.
        means: What it is.
        columns: The value of each option, by fact; internal units, nan for not known.
        costs: The class of each option, by its place in the sheet's classes; -1 for the present.
        steps: How many steps each option is from the present one.
        at: The present option.
        labels: What each option is called; () for a length.
        kits: The kit of each option, for the lever of kits.
        texts: What each option writes, by fact; () for a length.
        rising: Whether values rise with the options.
        then: What to look at when it moves; "" for nothing.
    """

    name: str
    means: str
    columns: Mapping[str, tuple[float, ...]]
    costs: tuple[int, ...]
    steps: tuple[int, ...]
    at: int
    labels: tuple[str, ...] = ()
    kits: tuple[Kit, ...] = ()
    texts: tuple[Mapping[str, str], ...] = ()
    rising: bool = False
    then: str = ""

    def bounds(self, cap: int) -> tuple[int, int]:
        """Return the first and the last option whose class is at most a cap."""
        low = high = self.at
        while low > 0 and self.costs[low - 1] <= cap:
            low -= 1
        while high + 1 < len(self.costs) and self.costs[high + 1] <= cap:
            high += 1
        return low, high


@dataclass(frozen=True, slots=True, kw_only=True)
class JobLevers:
    """All levers of a job.

    Attributes:
        classes: Names of the classes, the cheapest first.
        narrow: Levers that are searched together.
        wide: Levers whose every option is searched by itself.
        unfit: Handles that are not tried, each with the reason.
        held: What has no other option and stays as it is, each with the reason.
    """

    classes: tuple[str, ...]
    narrow: tuple[Lever, ...]
    wide: tuple[Lever, ...]
    unfit: tuple[str, ...] = ()
    held: tuple[str, ...] = ()


def job_levers(verdict: Verdict, stock: Stock) -> JobLevers:
    """Return the levers of a job that have more than one option."""
    sheet = stock.levers
    narrow: list[Lever] = []
    wide: list[Lever] = []
    unfit: list[str] = []
    held: list[str] = []
    for declared in sheet.levers:
        cost = sheet.classes.index(declared.cost)
        making = _Making(verdict, stock, declared, cost)
        lever = making.lever()
        unfit += making.unfit()
        if lever is not None and len(lever.costs) > 1:
            alone = declared.stock in WIDE or declared.fact == HAND or making.turns()
            alone = alone or declared.place is not None
            (wide if alone else narrow).append(lever)
        else:
            held.append(f"{declared.means} ({making.reason()})")
    return JobLevers(
        classes=sheet.classes,
        narrow=tuple(narrow),
        wide=tuple(wide),
        unfit=tuple(unfit),
        held=tuple(held),
    )


def grid_values(low: float, high: float, step: Fraction) -> Iterator[float]:
    """Yield the multiples of a step from a least to a most value.

    Args:
        low: Least value, mm.
        high: Most value, mm.
        step: The step, mm, exact: so that each value is the float that its text is read as.

    Example:
        >>> list(grid_values(-1.0, 2.0, Fraction(1)))
        [-1.0, 0.0, 1.0, 2.0]
    """
    hair = Fraction(1, 10**6)
    first = math.ceil((Fraction(low) - hair) / step)
    last = math.floor((Fraction(high) + hair) / step)
    for at in range(first, last + 1):
        yield at * step.numerator / step.denominator  # of whole numbers: the nearest float


def grid_of(verdict: Verdict) -> Fraction:
    """Return the shop's grid, mm, exact."""
    style = verdict.job.style
    return style.grid * (MM_AN_INCH if style.units == "in" else 1)


def _is_same(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    """Return whether two options are one; what is not known on both sides is."""
    pairs = zip(one, other, strict=True)
    return all(abs(a - b) < HAIR or (math.isnan(a) and math.isnan(b)) for a, b in pairs)


class _Making:
    """One declared lever made into options."""

    def __init__(self, verdict: Verdict, stock: Stock, declared: Declared, cost: int) -> None:
        self.verdict = verdict
        self.stock = stock
        self.declared = declared
        self.cost = cost
        self.dearest = len(stock.levers.classes) - 1

    def lever(self) -> Lever | None:
        declared = self.declared
        if declared.stock == "kits":
            return self._kits()
        if declared.handle is not None:
            return self._handles(self.stock.handles, declared.handle)
        now = self.verdict.facts.get(declared.fact, math.nan)
        if math.isnan(now):
            return None
        if declared.stock == "thicknesses":
            return self._thicknesses(now)
        if declared.place is not None:
            return self._placed(now, declared.place)
        return self._words(now) if declared.choices else self._length(now)

    def reason(self) -> str:
        """Return why there is no other option."""
        if self.declared.stock:
            return "no other is stocked"
        return "not chosen yet"

    def turns(self) -> bool:
        """Return whether it is a yes or no, which turns what formulas say rather than moving it."""
        fact = self.verdict.library.facts.get(self.declared.fact)
        return fact is not None and fact.kind is not None and fact.kind.name == "yes/no"

    def _length(self, now: float) -> Lever | None:
        declared = self.declared
        if declared.reach is None:
            return None
        fact = self.verdict.library.facts[declared.fact]
        low, high = max(declared.reach[0], fact.low), min(declared.reach[1], fact.high)
        grid = grid_of(self.verdict)
        size = float(grid)
        hair = size * 1e-6
        tried = [one for one in grid_values(low, high, grid) if abs(one - now) > hair]
        values = tuple(sorted([*tried, now]))
        at = values.index(now)
        each = declared.steps
        steps = tuple(each * max(1, math.ceil(abs(v - now) / size - 1e-6)) for v in values)
        return Lever(
            name=declared.name,
            means=declared.means,
            columns={declared.fact: values},
            costs=tuple(-1 if i == at else self._class(abs(v - now)) for i, v in enumerate(values)),
            steps=tuple(0 if i == at else step for i, step in enumerate(steps)),
            at=at,
            rising=True,
            then=declared.then,
        )

    def _class(self, move: float) -> int:
        easy = self.declared.easy
        far = easy is not None and move > easy + 1e-6  # a hair of a length, mm
        return min(self.cost + far, self.dearest)

    def _words(self, now: float) -> Lever:
        fact = self._fact()
        values = {text: self._word(fact, text) for text in self.declared.choices}
        others = [text for text, value in values.items() if value != now]
        texts = [{fact.name: text} for text in ("", *others)]
        return self._made(
            {fact.name: (now, *(values[text] for text in others))}, ("", *others), texts
        )

    def _placed(self, now: float, goes: Placing) -> Lever:
        """Return the choices, the one with a further piece once for each place it may have."""
        fact, stands = self._fact(), self.verdict.facts.get(goes.fact, math.nan)
        options: list[tuple[float, float, str, Mapping[str, str]]] = [(now, stands, "", {})]
        for text in self.declared.choices:
            value = self._word(fact, text)
            if text != goes.choice:
                options.append((value, stands, text, {fact.name: text}))
                continue
            for at in dict.fromkeys(self.verdict.answer(name).value for name in goes.at):
                if not math.isnan(at):
                    label = f"{text}, {goes.says.replace(GAP, self._shown(at), 1)}"
                    options.append((value, at, label, {fact.name: text, goes.fact: ""}))
        kept = [options[0], *(o for o in options[1:] if not _is_same(o[:2], options[0][:2]))]
        numbers, places, labels, texts = zip(*kept, strict=True)
        return self._made({fact.name: numbers, goes.fact: places}, labels, texts)

    def _shown(self, at: float) -> str:
        return show(at, KINDS["length"], self.verdict.job.style).text

    def _fact(self) -> Fact:
        return self.verdict.library.facts[self.declared.fact]

    def _word(self, fact: Fact, text: str) -> float:
        if fact.kind is not None and fact.kind.name != "word":
            return read_quantity(text, fact.kind).value
        return self.verdict.library.words.get(text, math.nan)

    def _thicknesses(self, now: float) -> Lever:
        name = self.declared.fact
        others = [one for one in self.stock.thicknesses if abs(one.value - now) > HAIR]
        others.sort(key=lambda one: (abs(one.value - now), one.value))
        values = (now, *(one.value for one in others))
        texts = [{name: text} for text in ("", *(one.text for one in others))]
        return self._made({name: values}, ("", *(one.text for one in others)), texts)

    def _kits(self) -> Lever:
        job = self.verdict.job
        kits = (job.kit, *self.stock.kits)
        names = [name for name in self.verdict.program.facts if self._is_of_kit(name)]
        columns = {name: self._column(name, [kit.values for kit in kits]) for name in names}
        labels = tuple(differs(job.kit, kit).name for kit in kits)
        return self._made(columns, labels, [{"kit": label} for label in labels], kits=kits)

    def _is_of_kit(self, name: str) -> bool:
        """Return whether a fact's value is the kit's: its own, or what the job leaves to it."""
        library, given = self.verdict.library, self.verdict.job.values
        while name not in given and not name.startswith("kit.") and name in library.facts:
            name = library.facts[name].follows
        return name.startswith("kit.")

    def _handles(self, handles: Iterable[Handle], goes: HandlePlace) -> Lever | None:
        """Return the handles that go into a pane's holes, the second moved, and all they are."""
        tried = tuple(one for one in handles if not self._misfit(one, goes))
        made = {one.name: {f"{goes.facts}{k}": v for k, v in one.values.items()} for one in tried}
        given = [n for n in self.verdict.job.values if n.startswith(goes.facts)]
        stocked = [name for one in tried for name in made[one.name]]
        names = [n for n in dict.fromkeys((*stocked, *given)) if n not in goes.placed]
        if any(math.isnan(self.verdict.facts.get(name, math.nan)) for name in names):
            return None
        columns = {
            name: (self.verdict.facts[name], *self._column(name, [made[h.name] for h in tried]))
            for name in names
        }
        height = self.verdict.answer(goes.hole[1]).value
        rows = self._second_rows(goes) if tried else ()
        columns |= {
            row: (self.verdict.facts[row], *(height + (one.second or 0.0) for one in tried))
            for row in rows
        }
        texts: list[Mapping[str, str]] = [{}]
        moved = dict.fromkeys(rows, "")  # to be written from its value
        texts += [{**moved, **{n: self._text(n, made[h.name]) for n in names}} for h in tried]
        same = [
            at
            for at in range(1, len(tried) + 1)
            if all(abs(column[at] - column[0]) < HAIR for column in columns.values())
        ]
        keep = [at for at in range(len(tried) + 1) if at not in same]
        return self._made(
            {name: tuple(column[at] for at in keep) for name, column in columns.items()},
            tuple(("", *(one.title for one in tried))[at] for at in keep),
            [texts[at] for at in keep],
        )

    def unfit(self) -> list[str]:
        """Return the handles that are left out, with the reason."""
        goes = self.declared.handle
        if goes is None:
            return []
        why = [(one.title, self._misfit(one, goes)) for one in self.stock.handles]
        return [f"{title}, since {reason}" for title, reason in why if reason]

    def _misfit(self, handle: Handle, goes: HandlePlace) -> str:
        """Return why a handle does not go into a pane's holes; "" where it does.

        A further hole that is this handle's moves with it. One that no handle uses would be drilled
        all the same, and one that is wanted would not.
        """
        rows, pane = len(self._second_rows(goes)), self.verdict.library.parts[goes.part].means
        if handle.second is None and rows:
            return f"it has one hole and {pane} lists a second; take that out of {pane} first"
        if handle.second is not None and rows != 1:
            many = "none" if not rows else f"{rows}"
            return f"it has two holes, and {pane} lists {many} above the first"
        return ""

    def _second_rows(self, goes: HandlePlace) -> tuple[str, ...]:
        """Return where a pane's holes in line with the handle's own stand, by height."""
        near = self.verdict.library.limits[goes.in_line].value + HAIR
        across = self.verdict.answer(goes.hole[0]).value
        rows = (f"{goes.further}[{at}]" for at in range(1, self._listed(goes.further) + 1))
        return tuple(
            f"{row}.y"
            for row in rows
            if abs(self.verdict.facts.get(f"{row}.x", math.nan) - across) <= near
        )

    def _listed(self, name: str) -> int:
        return self.verdict.job.rows.get(name) or 0

    def _column(self, name: str, tables: Iterable[Mapping[str, Given]]) -> tuple[float, ...]:
        return tuple(value_of(self.verdict.library, name, table) for table in tables)

    def _text(self, name: str, table: Mapping[str, Given]) -> str:
        return table[name].text if name in table else self.verdict.library.facts[name].absent or ""

    def _made(
        self,
        columns: Mapping[str, tuple[float, ...]],
        labels: tuple[str, ...],
        texts: Sequence[Mapping[str, str]],
        *,
        kits: tuple[Kit, ...] = (),
    ) -> Lever:
        others = len(labels) - 1
        return Lever(
            name=self.declared.name,
            means=self.declared.means,
            columns=columns,
            costs=(-1, *([self.cost] * others)),
            steps=(0, *([self.declared.steps] * others)),
            at=0,
            labels=labels,
            kits=kits,
            texts=tuple(texts),
            then=self.declared.then,
        )
