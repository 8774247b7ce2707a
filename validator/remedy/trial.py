"""A change applied to a copy of the job and judged again: what it writes, and what it cures."""

import itertools
import math
import re
from collections.abc import Hashable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace

from ruleset.kinds import Kind
from ruleset.place import Place
from ruleset.quantity import QuantityError, Style, read_quantity, show, show_bare
from ruleset.turns import HAND
from ruleset.units import UNITS

from ..books import Rules
from ..facts import Given, as_checked, place_for
from ..job import Job
from ..kit import Kit
from ..verdict import Verdict, judge
from .follow import HAIR, Follower
from .options import JobLevers, Lever
from .result import Change, Cured
from .wanted_change import Solution

FINEST = 8
NOTHING = "nothing"
"""What a fact was that the job does not give."""
_HAS_UNIT = re.compile(r"[a-zA-Z'\"%]")


@dataclass(frozen=True, slots=True, kw_only=True)
class Trial:
    """A job with a change applied.

    Attributes:
        job: The copy.
        verdict: What it was judged to be.
        changes: What the change writes; what moves first, then what follows.
        moved: What moves, in words.
        then: What to look at then.
    """

    job: Job
    verdict: Verdict
    changes: tuple[Change, ...]
    moved: tuple[str, ...]
    then: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Trying:
    """What trials of one job are made with.

    Attributes:
        verdict: The verdict of the job as it stands.
        rules: The rules.
        codes: Ids of the code sets asked for.
        levers: The levers.
        followers: What repeats a size of the drawing.
        trials: The trials made so far.
    """

    verdict: Verdict
    rules: Rules
    codes: tuple[str, ...]
    levers: JobLevers
    followers: tuple[Follower, ...]
    trials: dict[Hashable, Trial] = field(default_factory=dict)

    def trial(self, solution: Solution, cured: Iterable[int] = ()) -> Trial:
        """Return the job with a solution applied, judged again.

        Args:
            solution: The options of the levers.
            cured: Places of the cases to be cured: papers they read are written anew.
        """
        targets = frozenset(cured)
        key = (solution.choice, solution.point, targets)
        if key not in self.trials:
            self.trials[key] = self._made(solution, targets)
        return self.trials[key]

    def _made(self, solution: Solution, cured: frozenset[int]) -> Trial:
        job, changes, moved = self._moved(solution)
        verdict = judge(job, self.rules, codes=self.codes)
        reads = {name for at in cured for name in self._reads(at)}
        written = tuple(self._followed(verdict, reads))
        if written:
            given = {name: one for name, one, _ in written}
            job = replace(job, values={**job.values, **given})
            verdict = judge(job, self.rules, codes=self.codes)
        changes += tuple(change for _, _, change in written)
        then = tuple(lever.then for lever, _ in self._options(solution) if lever.then)
        return Trial(job=job, verdict=verdict, changes=changes, moved=moved, then=then)

    def _reads(self, at: int) -> tuple[str, ...]:
        return self.verdict.cone(self.verdict.plan.cases[at])

    def _moved(self, solution: Solution) -> tuple[Job, tuple[Change, ...], tuple[str, ...]]:
        job = self.verdict.job
        values = as_checked(job.values)
        changes: list[Change] = []
        moved: list[str] = []
        kit = job.kit
        for lever, option in self._options(solution):
            if lever.kits:
                kit = lever.kits[option]
                values = {n: g for n, g in values.items() if not n.startswith("kit.")}
                values |= kit.values
                changes.append(_kit_change(job, kit))
                change = changes[-1]
                moved.append(f"{lever.means} from {change.was} to {change.now}")
                continue
            own = list(self._written(lever, option))
            values |= {change.fact: given for change, given in own}
            changes += [change for change, _ in own]
            moved.append(_in_words(lever, option, [change for change, _ in own]))
        tables = {n: p for n, p in job.tables.items() if not n.startswith("kit.")}
        tables |= kit.tables
        return replace(job, kit=kit, values=values, tables=tables), tuple(changes), tuple(moved)

    def _options(self, solution: Solution) -> Iterator[tuple[Lever, int]]:
        pairs = (
            *zip(self.levers.narrow, solution.point, strict=True),
            *zip(self.levers.wide, solution.choice, strict=True),
        )
        return ((lever, option) for lever, option in pairs if option != lever.at)

    def _written(self, lever: Lever, option: int) -> Iterator[tuple[Change, Given]]:
        texts = lever.texts[option] if lever.texts else {}
        for fact, column in lever.columns.items():
            if lever.texts and fact not in texts:
                continue
            text = texts.get(fact, "")
            moves = math.isnan(column[lever.at]) or abs(column[option] - column[lever.at]) > HAIR
            if moves or self._states_other(fact, text):
                # A pull's second hole goes with it.
                yield self.change(fact, column[option], text, follows="[" in fact)

    def _states_other(self, fact: str, text: str) -> bool:
        """Return whether a text states another tolerance than the job does for a fact."""
        old, kind = self.verdict.job.values.get(fact), self.verdict.plan.leaves[fact].kind
        if not text or old is None:
            return False
        return _tolerance(text, kind, self.verdict.job.style) != old.tolerance

    def _followed(self, after: Verdict, reads: set[str]) -> Iterator[tuple[str, Given, Change]]:
        for one in self.followers:
            now, new = self.verdict.answer(one.source).value, after.answer(one.source).value
            stands = after.job.values[one.fact].value
            due = abs(new - now) > HAIR if one.agreed else one.fact in reads
            if due and abs(new - stands) > HAIR:
                change, given = self.change(one.fact, new, "", follows=True)
                yield one.fact, given, change

    def change(self, fact: str, value: float, text: str, *, follows: bool) -> tuple[Change, Given]:
        """Return what writes a fact, and the value as the job then gives it.

        Args:
            fact: Its name.
            value: Its new value, internal units.
            text: Its new text; "" to be made from the value.
            follows: Whether it only repeats something that moved.
        """
        job = self.verdict.job
        old = job.values.get(fact)
        leaf = self.verdict.plan.leaves[fact]
        place = place_for(fact, job.values, job.tables, job.place)
        words = {number: word for word, number in self.verdict.library.words.items()}
        if not text and leaf.kind is not None and leaf.kind.name == "word":
            text = words.get(value, "")
        new = text or _with_tolerance(value, leaf.kind, job.style, old)
        stated = None if old is None else old.tolerance
        tolerance = _tolerance(text, leaf.kind, job.style) if text else stated
        given = Given(value=value, tolerance=tolerance, text=new, place=place)
        before = old.value if old else self.verdict.facts.get(fact, value)
        change = Change(
            fact=fact,
            means=leaf.fact.means,
            old=old.text if old else "",
            new=new,
            was=told(before, leaf.kind, job.style, words),
            now=told(value, leaf.kind, job.style, words),
            follows=follows,
            place=place,
            given=old is not None,
        )
        return change, given

    def cured(self, trial: Trial, cases: Iterable[int]) -> tuple[Cured, ...]:
        """Return the findings that a trial cures, with the margins that they now have."""
        teller = trial.verdict.teller()
        found = []
        for at in sorted(cases):
            case = trial.verdict.plan.cases[at]
            margin = teller.tell(case).margin if trial.verdict.run.outcomes[at] else None
            clause = trial.verdict.clause(case)
            found.append(
                Cured(clause=clause.name, subject=case.subject, title=clause.title, margin=margin)
            )
        return tuple(found)


def _kit_change(job: Job, kit: Kit) -> Change:
    """Return what names another kit, in the job's list of kits where it has several."""
    old, new, pointer = job.kit, kit, "/kit"
    for at, (one, other) in enumerate(zip(job.kit.of, kit.of, strict=False)):
        if one.name != other.name:
            old, new, pointer = one, other, f"/kit/{at}"
    place = Place(file=job.file, line=job.place.line, column=job.place.column, pointer=pointer)
    return Change(
        fact="kit",
        means="the kit",
        old=old.name,
        new=new.name,
        was=old.name,
        now=new.name,
        follows=False,
        place=place,
        given=True,
    )


def _in_words(lever: Lever, option: int, changes: list[Change]) -> str:
    if len(lever.columns) == 1 and len(changes) == 1:
        return f"{lever.means} from {changes[0].was} to {changes[0].now}"
    hand = next((one for one in changes if one.fact == HAND), None)
    if hand is not None:
        return f"{lever.means} from {hand.was} to {hand.now}"
    return f"{lever.means} to {lever.labels[option]}" if lever.labels else lever.means


def told(value: float, kind: Kind | None, style: Style, words: Mapping[float, str]) -> str:
    """Return a value as a person reads it, so finely that nothing is rounded away."""
    if math.isnan(value):
        return NOTHING
    if kind is None or kind.name == "word":
        return words.get(value, f"{value:g}")
    for finer in range(FINEST):
        shown = show(value, kind, style, finer=finer)
        if not shown.rounded:
            return shown.text
    return show(value, kind, style).text


def _with_tolerance(value: float, kind: Kind | None, style: Style, old: Given | None) -> str:
    """Return a value as its author would write it, with the tolerance that stood there."""
    like = old.text if old else "0 in"
    text = written(value, kind, style, like)
    if old is None or old.tolerance is None:
        return text
    return f"{text} +- {written(old.tolerance, kind, style, like)}"


def _tolerance(text: str, kind: Kind | None, style: Style) -> float | None:
    """Return the tolerance that a text states, None where it states none or is a word."""
    if kind is None or kind.name == "word":
        return None
    try:
        return read_quantity(text, kind, units=style.units).tolerance
    except QuantityError:
        return None


def written(value: float, kind: Kind | None, style: Style, like: str) -> str:
    """Return a value as a job's author would write it: read back it is the same value.

    Args:
        value: Internal units.
        kind: Its kind.
        style: The job's units and grid.
        like: What stood there before; where it has a unit, so has the new text.

    Example:
        >>> from ruleset.kinds import KINDS
        >>> written(803.275, KINDS["length"], Style(), "33")
        '31 5/8'
    """
    if kind is None:
        return f"{value:g}"
    bare = kind.name == "length" and not _HAS_UNIT.search(like)
    for finer in range(FINEST):
        text = (show_bare if bare else show)(value, kind, style, finer=finer).text
        try:
            read = read_quantity(text, kind, units=style.units)
        except QuantityError:
            break
        if abs(read.value - value) <= (kind.hair or 0.0):
            return text
    exact = (one for one in UNITS.values() if one.kind == kind.name and one.factor == 1)
    return " ".join([repr(value), *(one.symbol for one in itertools.islice(exact, 1))])
