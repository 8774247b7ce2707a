"""Outcomes in words: the sentence, what was compared, and the arithmetic behind it."""

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from .book import Limit, braces
from .formula.answer import Answer, Answering, compared
from .formula.cone import taken
from .formula.kind_of import kind_of
from .formula.pencil import pencil
from .formula.tree import Both, Compare, Name, Node
from .kinds import KINDS, Kind
from .library import is_chain
from .plan import Case, Step
from .quantity import QuantityError, read_quantity
from .show import Shown, Style, said_as_given, show, show_as_given, show_some

FINEST = 10
"""Most steps finer than usual that a sentence goes to agree with its verdict."""
FINER = 3
"""Most steps finer than usual that a sum goes to add up."""
AS_WRITTEN = 2
"""Most steps finer than usual that a limit's own grid may be: 1/64 in."""
_METRIC = re.compile(r"\d\s*[cm]?m2?$")
MOST_LINES = 8
DEEPEST = 3


@dataclass(frozen=True, slots=True, kw_only=True)
class Amount:
    """A value as a program reads it and as a person does."""

    value: float
    kind: Kind
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """A clause's outcome in words.

    Attributes:
        says: The sentence.
        do: What to do, filled in; may be "".
        actual: What the job has, where the clause compares quantities.
        limit: What it is compared with.
        margin: How far it is on the right side; negative when it fails.
        finer: How much finer than usual the sentence prints.
    """

    says: str
    do: str
    actual: Amount | None = None
    limit: Amount | None = None
    margin: Amount | None = None
    finer: int = 0


@dataclass(frozen=True, slots=True)
class _Sides:
    """A comparison taken apart: the two formulas and what they came to."""

    op: str
    actual: Node
    limit: Node
    have: float
    bound: float

    @property
    def margin(self) -> float:
        """Return how far the job is on the right side."""
        match self.op:
            case ">=" | ">":
                return self.have - self.bound
            case "<=" | "<":
                return self.bound - self.have
            case "==":
                return -abs(self.have - self.bound)
        return abs(self.have - self.bound)


_MIRROR = {">=": "<=", "<=": ">=", ">": "<", "<": ">", "==": "==", "!=": "!="}


@dataclass(frozen=True, slots=True)
class _Amounts:
    """What a case compares, where it compares quantities, and how fine it prints."""

    actual: Amount | None = None
    limit: Amount | None = None
    margin: Amount | None = None
    finer: int = 0


_NO_AMOUNTS = _Amounts()


def _vanishes(sides: _Sides, had: float, needed: float, kind: Kind) -> bool:
    """Return whether a value that is something would print as nothing."""
    hair = kind.hair or 0.0
    return (not had and abs(sides.have) > hair) or (not needed and abs(sides.bound) > hair)


class Teller:
    """Puts outcomes of one job into words."""

    def __init__(  # noqa: PLR0913, PLR0917  # what a sentence is made of
        self,
        answering: Answering,
        kinds: Callable[[str], Kind | None],
        steps: Mapping[str, Step],
        words: Mapping[str, float],
        style: Style,
        limits: Mapping[str, Limit] = MappingProxyType({}),
    ) -> None:
        """Keep how names are answered, what kind they are of, and how values print.

        Args:
            answering: Works formulas out over the job's values.
            kinds: Gives the declared kind of a name, None where it is not known.
            steps: Every step by name, for the arithmetic behind a value.
            words: The number of each word.
            style: How values print.
            limits: The limits, told as a document has them where that is in other units.
        """
        self._limits = limits
        self._answering = answering
        self._kinds = kinds
        self._steps = steps
        self._words = {number: word for word, number in words.items()}
        self._style = style

    def value(self, name: str, *, finer: int = 0) -> Shown:
        """Return the printed value of a name."""
        answer = self._answering.answer(Name(name))
        kind = self._kinds(name)
        if not answer.known:
            return Shown(text="not known", rounded=False)
        if kind is None or kind.name == "word":
            return Shown(text=self._words.get(answer.value, f"{answer.value:g}"), rounded=False)
        if name not in self._steps:
            given = show_as_given(answer.value, kind, self._style)
            if not given.rounded or not finer:
                return given
        return show_some(answer.value, kind, self._style, finer=finer)

    def said(self, name: str) -> str:
        """Return the value of a name as a sentence says it."""
        answer, kind = self._answering.answer(Name(name)), self._kinds(name)
        if answer.known and kind is not None and kind.name == "length" and name not in self._steps:
            return said_as_given(answer.value, kind, self._style)
        shown = self.value(name)
        return f"about {shown.text}" if shown.rounded else shown.text

    def tell(self, case: Case, least: int = 0) -> Told:
        """Return what there is to say of a case.

        Args:
            case: The case.
            least: How much finer than usual what is compared prints at least.
        """
        sides = self._sides(case.needs) if case.needs is not None else None
        fill: dict[str, str] = {"subject": case.means}
        amounts = _NO_AMOUNTS if sides is None else self._amounts(sides, fill, least)
        if sides is not None and "limit" in fill:
            fill["limit"] += self._in_document(sides.limit, case)
        return self._told(case, fill, amounts)

    def _in_document(self, node: Node, case: Case) -> str:
        """Return a limit as its document has it, in brackets, where that is in other units."""
        limit = self._limits.get(node.name) if isinstance(node, Name) else None
        if limit is None or limit.kind.name not in ("length", "area"):
            return ""
        basis = limit.basis or case.clause.basis
        metric = bool(_METRIC.search(limit.text))
        return (
            f" ({limit.text})" if basis.document and metric != (self._style.units == "mm") else ""
        )

    def _told(self, case: Case, fill: Mapping[str, str], amounts: "_Amounts") -> Told:
        return Told(
            says=self._filled(case.clause.says, case, fill),
            do=self._filled(case.clause.do, case, fill),
            actual=amounts.actual,
            limit=amounts.limit,
            margin=amounts.margin,
            finer=amounts.finer,
        )

    def tell_bound(self, case: Case, have: float, bound: float) -> Told:
        """Return what there is to say of a case that fails though not all is known.

        Args:
            case: The case; it compares two quantities.
            have: What the job has at best, internal units.
            bound: The limit at its easiest, internal units.
        """
        if not isinstance(case.needs, Compare):
            raise TypeError(case.clause.name)
        needs = case.needs
        sides = _Sides(needs.op, needs.left, needs.right, have, bound)
        fill: dict[str, str] = {"subject": case.means}
        amounts = self._amounts(sides, fill)
        best = "at most" if needs.op in (">=", ">") else "at least"
        fill["actual"] = f"{best} {fill['actual']}"
        if fill["short"]:
            fill["short"] = f"at least {fill['short'].removeprefix('about ')}"
        return self._told(case, fill, amounts)

    def _filled(self, text: str, case: Case, fill: Mapping[str, str]) -> str:
        for name in braces(text):
            found = fill[name] if name in fill else case.parts.get(name)
            if found is None:
                found = self.said(case.rename(name))
            text = text.replace(f"{{{name}}}", found)
        return text[:1].upper() + text[1:]

    def _sides(self, needs: Node) -> _Sides | None:
        if isinstance(needs, Compare):
            return self._side(needs.op, needs.left, needs.right)
        if not is_chain(needs) or not isinstance(needs, Both):
            return None
        one, *rest = (part for part in needs.parts if isinstance(part, Compare))
        sides = [self._side(_MIRROR[one.op], one.right, one.left)]
        sides += [self._side(link.op, link.left, link.right) for link in rest]
        return min(sides, key=lambda side: side.margin if side.margin == side.margin else math.inf)

    def _side(self, op: str, actual: Node, limit: Node) -> _Sides:
        answer = self._answering.answer
        return _Sides(op, actual, limit, answer(actual).value, answer(limit).value)

    def _amounts(self, sides: _Sides, fill: dict[str, str], least: int = 0) -> "_Amounts":
        kind = kind_of(sides.actual, self._kinds) or kind_of(sides.limit, self._kinds)
        if kind is not None and kind.name == "word":
            fill["actual"] = self._word(sides.have)
            fill["limit"] = self._word(sides.bound)
            fill["short"] = ""
            return _NO_AMOUNTS
        kind = kind or KINDS["number"]
        if math.isnan(sides.have) or math.isnan(sides.bound):
            fill |= dict.fromkeys(("actual", "limit", "short"), "not known")
            return _Amounts(self._amount(sides.have, kind), self._amount(sides.bound, kind))
        actual, limit, short, finer = self._agreeing(sides, kind, least)
        nothing = short.removeprefix("about ").partition(" ")[0] == "0"
        sign = "" if sides.margin >= 0 or nothing else "-"
        fill |= {"actual": actual, "limit": limit, "short": short}
        margin = f"{sign}{short.removeprefix('about ')}"
        return _Amounts(
            Amount(value=sides.have, kind=kind, text=actual),
            Amount(value=sides.bound, kind=kind, text=limit),
            Amount(value=sides.margin, kind=kind, text=margin),
            finer,
        )

    def _amount(self, value: float, kind: Kind) -> Amount | None:
        if math.isnan(value):
            return None
        return Amount(value=value, kind=kind, text=show(value, kind, self._style).text)

    def _word(self, number: float) -> str:
        return self._words.get(number, "not known")

    def _agreeing(self, sides: _Sides, kind: Kind, least: int) -> tuple[str, str, str, int]:
        """Return actual, limit, difference and fineness, just fine enough to agree.

        The printed numbers must tell the same verdict as the real ones, and their difference is
        taken from what is printed, so that it always adds up. A limit that was written on a finer
        grid than the shop's prints as it was written.
        """
        least = max(least, self._fineness(sides.bound, kind))
        for finer in range(least, FINEST + 1):
            have = show(sides.have, kind, self._style, finer=finer)
            bound = show(sides.bound, kind, self._style, finer=finer)
            had = self._read(have.text, kind, sides.have)
            needed = self._read(bound.text, kind, sides.bound)
            if self._tells(sides, had, needed, kind) and not _vanishes(sides, had, needed, kind):
                break
        apart_kind = KINDS["duration"] if kind.name == "date" else kind
        short = show(abs(had - needed), apart_kind, self._style, finer=finer)
        about = "about " if have.rounded else ""
        near = "about " if bound.rounded else ""
        roughly = "about " if about or near or short.rounded else ""
        return f"{about}{have.text}", f"{near}{bound.text}", f"{roughly}{short.text}", finer

    def _fineness(self, value: float, kind: Kind) -> int:
        """Return how much finer than usual a value must print to be right; 0 where none is."""
        for finer in range(AS_WRITTEN + 1):
            if not show(value, kind, self._style, finer=finer).rounded:
                return finer
        return 0

    def _tells(self, sides: _Sides, had: float, needed: float, kind: Kind) -> bool:
        hair = kind.hair or 0.0
        return all(
            compared(op, sides.have, sides.bound, hair) == compared(op, had, needed, hair)
            for op in (">=", "<=")
        )

    def _read(self, text: str, kind: Kind, real: float) -> float:
        """Return a printed value; the real one where it is past what a person could write."""
        # The mean of counts is no whole number.
        try:
            return read_quantity(text, KINDS["number"] if kind.name == "count" else kind).value
        except QuantityError:
            return real

    def working(self, case: Case, finer: int = 0) -> tuple[str, ...]:
        """Return the arithmetic behind a case, a line a step, the nearest first.

        Args:
            case: The case.
            finer: How much finer than usual the nearest steps print, as its sentence does.
        """
        nodes = [node for node in (case.needs, case.when) if node is not None]
        names = [name for node in nodes for name in taken(node, self._truth)]
        lines: list[str] = []
        self._lines(names, 0, lines, set(), finer)
        return tuple(lines)

    def _lines(  # one walk, step by step deeper
        self, names: list[str], depth: int, lines: list[str], seen: set[str], least: int
    ) -> None:
        deeper: list[str] = []
        for name in names:
            step = self._steps.get(name)
            if step is None or name in seen or len(lines) >= MOST_LINES:
                continue
            seen.add(name)
            if isinstance(step.drawn, Name) and step.drawn.name not in self._steps:
                continue
            lines.append(self.line(step, least))
            deeper += taken(step.drawn, self._truth)
        if deeper and depth + 1 < DEEPEST:
            self._lines(deeper, depth + 1, lines, seen, 0)

    def line(self, step: Step, least: int = 0) -> str:
        """Return one step's arithmetic: what it is, the values, and the result.

        Args:
            step: The step.
            least: How much finer than usual it prints at least.
        """
        answer = self._answering.answer(Name(step.name))
        what = step.means
        if not answer.known:
            lacking = ", ".join(sorted(answer.missing))
            return f"{what}: not known without {lacking}" if lacking else f"{what}: undefined"
        if step.kind.name in ("word", "yes/no"):
            return f"{what}: {self.value(step.name).text}"
        bare = self._is_bare(step)
        finer, result = self._added_up(step, answer.value, least)
        text = pencil(step.drawn, lambda name: self._printed(name, finer, bare=bare), self._truth)
        about = "about " if result.rounded else ""
        if not self._answering.answer(step.drawn).known:  # known, and on another way for each hand
            return f"{what}: {about}{result.text}, whichever hand it is"
        if text in (result.text, "0") or (bare and f"{text} {self._style.units}" == result.text):
            return f"{what}: {about}{result.text}"
        return f"{what}: {text} = {about}{result.text}"

    def _is_bare(self, step: Step) -> bool:
        kinds = (self._kinds(name) for name in taken(step.drawn, self._truth))
        return step.kind.name == "length" and all(
            kind is not None and kind.name in ("length", "word", "yes/no") for kind in kinds
        )

    def _printed(self, name: str, finer: int, *, bare: bool) -> str:
        kind = self._kinds(name)
        answer = self._answering.answer(Name(name))
        text = self.value(name, finer=finer).text
        if bare and kind is not None and answer.known and kind.name == "length":
            return text.removesuffix(f" {self._style.units}")
        return text

    def _added_up(self, step: Step, value: float, least: int) -> tuple[int, Shown]:
        """Return how fine to print, and the result, so that what is printed adds up."""
        for finer in range(least, least + FINER + 1):
            result = show(value, step.kind, self._style, finer=finer)
            got = self._from_printed(step, finer)
            if got is not None and got.text == result.text:
                return finer, show_some(value, step.kind, self._style, finer=finer)
        return least, show_some(value, step.kind, self._style, finer=least)

    def _from_printed(self, step: Step, finer: int) -> Shown | None:
        """Return what the printed values of a step give, None where it has no value."""

        def printed(name: str) -> Answer:
            answer = self._answering.answer(Name(name))
            kind = self._kinds(name)
            if not answer.known or kind is None or kind.name in ("word", "yes/no", "date"):
                return answer
            return Answer(self._read(self.value(name, finer=finer).text, kind, answer.value))

        got = self._answering.over(printed).answer(step.drawn)
        return show(got.value, step.kind, self._style, finer=finer) if got.known else None

    def _truth(self, node: Node) -> bool | None:
        answer = self._answering.answer(node)
        return bool(answer.value) if answer.known else None
