"""The setting-out: heights and lines, the order of work, and the points where it is held."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path

from ruleset.explain import Told
from ruleset.formula.cone import leaves
from ruleset.formula.kind_of import kind_of
from ruleset.formula.tree import Arith, Both, Call, Compare, Name, Node, Not, Truth
from ruleset.library import is_chain
from ruleset.plan import Case
from ruleset.show import Style

from .as_built import READ, built_verdict
from .cautions import CAUTIONS
from .filled_tables import NOT_KNOWN, Cell, FilledTable, Filling, Missing, safe_text, word_of
from .papers import glass_sizes
from .sheet_reader import DeclaredStep, load_sheet
from .verdict import OUTCOME, Verdict

HELD = ("install", "handover")
"""Stages whose clauses nothing but the finished work can decide."""
_WORDS = {">=": "at least", "<=": "at most", ">": "more than", "<": "less than", "==": "exactly"}
_SIDES = {">=": 1, ">": 1, "<=": -1, "<": -1}


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One reading that a hold point asks for.

    Attributes:
        fact: The fact that the job is to give.
        means: What to read.
        expected: What it would be if all were as drawn; "" where only the limit counts.
        given: What the job gives; "" where it is still to be read.
    """

    fact: str
    means: str
    expected: str
    given: str


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldPoint:
    """A clause that only the work can decide, with the value it must show.

    Attributes:
        clause: Its name.
        subject: The part it is asked of.
        title: What it asks.
        stage: "install" or "handover".
        level: What it is when it fails.
        shows: The value that it must show.
        readings: What is read for it.
        signs: Who answers for it.
        outcome: "holds", "fails" or "unknown", by the readings that the job gives.
        says: What is wrong, where it fails.
        caution: What may hurt someone.
        basis: By whose word.
    """

    clause: str
    subject: str
    title: str
    stage: str
    level: str
    shows: str
    readings: tuple[Reading, ...]
    signs: str
    outcome: str
    says: str
    caution: str
    basis: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkStep:
    """One step of the work.

    Attributes:
        number: Its place in the order, from 1.
        key: Its id.
        do: What to do.
        after: Numbers of the steps that must be done before it.
        values: The values it needs.
        cautions: What may hurt someone or spoil the work.
        holds: What must hold before the next step.
        basis: By whose word.
    """

    number: int
    key: str
    do: str
    after: tuple[int, ...]
    values: tuple[Cell, ...]
    cautions: tuple[str, ...]
    holds: tuple[HoldPoint, ...]
    basis: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SettingOut:
    """Everything that is carried to site.

    Attributes:
        job: The job's id.
        title: Its title.
        file: Its file.
        kit: The kit's id.
        codes: Code sets and policies applied, in order.
        style: How values print.
        heading: What the sheet is called.
        about: How to read it.
        tables: Heights and lines.
        steps: The order of work.
        others: Hold points that no step names.
        missing: Facts that values wait for.
        cautions: Said at its end.
    """

    job: str
    title: str
    file: str
    kit: str
    codes: tuple[str, ...]
    style: Style
    heading: str
    about: str
    tables: tuple[FilledTable, ...]
    steps: tuple[WorkStep, ...]
    others: tuple[HoldPoint, ...]
    missing: tuple[Missing, ...]
    cautions: tuple[str, ...]

    @property
    def hold_points(self) -> tuple[HoldPoint, ...]:
        """Return every hold point, in the order of the work."""
        return (*(hold for step in self.steps for hold in step.holds), *self.others)


def setting_out(verdict: Verdict, *, sheet: Path | None = None) -> SettingOut:
    """Return the setting-out of a job.

    Lines and heights are where things are to be, for glass of the size it really has; hold points
    are decided by the readings that the job gives.

    Args:
        verdict: The job, judged.
        sheet: A shop's own sheet; the shipped one for None.

    Raises:
        RulesetError: The sheet cannot be read or names what no book has.
    """
    declared = load_sheet("setting-out", verdict, sheet)
    sizes = glass_sizes(verdict)
    filling = Filling(built_verdict(verdict, sizes, readings=False))
    tables = tuple(filling.table(table) for table in declared.tables)
    holds = _by_clause(_Holding(built_verdict(verdict, sizes)).points())
    numbers = {step.key: number for number, step in enumerate(declared.steps, start=1)}
    steps = tuple(_step(step, numbers, filling, holds) for step in declared.steps)
    held = {id(point) for step in steps for point in step.holds}
    job = verdict.job
    return SettingOut(
        job=job.name,
        title=job.title,
        file=job.file,
        kit=job.kit.name,
        codes=tuple(layer.name for layer in verdict.layers),
        style=job.style,
        heading=declared.title,
        about=declared.about,
        tables=tables,
        steps=steps,
        others=tuple(p for points in holds.values() for p in points if id(p) not in held),
        missing=filling.missing(),
        cautions=CAUTIONS,
    )


def _by_clause(points: Iterable[HoldPoint]) -> Mapping[str, tuple[HoldPoint, ...]]:
    found: dict[str, tuple[HoldPoint, ...]] = {}
    for point in points:
        found[point.clause] = (*found.get(point.clause, ()), point)
    return found


def _step(
    step: DeclaredStep,
    numbers: Mapping[str, int],
    filling: Filling,
    holds: Mapping[str, tuple[HoldPoint, ...]],
) -> WorkStep:
    values = (filling.cell(name, key=name, title=_means(filling, name)) for name in step.show)
    return WorkStep(
        number=numbers[step.key],
        key=step.key,
        do=step.do,
        after=tuple(sorted(numbers[key] for key in step.after)),
        values=tuple(values),
        cautions=step.cautions,
        holds=tuple(p for clause in step.holds for p in _of(step.part, holds.get(clause, ()))),
        basis=word_of(step.basis),
    )


def _of(part: str, points: tuple[HoldPoint, ...]) -> tuple[HoldPoint, ...]:
    """Return the hold points of a part, or all where the clause is not asked of it."""
    own = tuple(point for point in points if point.subject == part)
    return own or points


def _means(filling: Filling, name: str) -> str:
    """Return what a name is, for people."""
    if name in filling.steps:
        return filling.steps[name].means
    leaf = filling.verdict.plan.leaves.get(name)
    if leaf is not None:
        return leaf.fact.means
    clause = filling.verdict.library.clauses.get(name.rpartition(".")[0])
    if clause is not None:
        return clause.clause.title
    return name.rpartition(".")[2].replace("_", " ").capitalize()


class _Holding:
    """The hold points of one job."""

    def __init__(self, verdict: Verdict) -> None:
        self.verdict = verdict
        self.teller = verdict.teller()

    def points(self) -> Iterator[HoldPoint]:
        """Yield each clause of the stages that only the work decides, where it applies."""
        many = Counter(case.clause.name for case in self.verdict.plan.cases)
        for case, code in zip(self.verdict.plan.cases, self.verdict.run.outcomes, strict=True):
            outcome = OUTCOME[code]
            if case.clause.stage in HELD and outcome != "exempt" and case.needs is not None:
                of = f", {case.means}" if many[case.clause.name] > 1 else ""
                point = self._point(case, case.needs, outcome)
                yield replace(point, title=f"{point.title}{of}")

    def _point(self, case: Case, needs: Node, outcome: str) -> HoldPoint:
        clause, told = self.verdict.clause(case), self.teller.tell(case)
        facts = [name for name in leaves(needs) if name.startswith(READ)]
        pairs = dict(_compared(needs))
        readings = tuple(self._reading(fact, pairs.get(fact, "")) for fact in facts)
        who = dict.fromkeys(self.verdict.plan.leaves[fact].fact.who for fact in facts)
        return HoldPoint(
            clause=clause.name,
            subject=case.subject,
            title=clause.title,
            stage=clause.stage,
            level=clause.level,
            shows=self._shows(needs, told, clause.title),
            readings=readings,
            signs=", ".join(who),
            outcome=outcome,
            says=told.says if outcome == "fails" else "",
            caution=clause.caution,
            basis=word_of(clause.basis),
        )

    def _shows(self, needs: Node, told: Told, title: str) -> str:
        """Return the value a clause must show, never rounded past its limit."""
        match needs:
            case Compare(op=op) if told.limit is not None and op in _WORDS:
                limit, style = told.limit, self.verdict.job.style
                apart = " apart" if any(_compared(needs)) else ""
                text = safe_text(limit.value, limit.kind, style, side=_SIDES.get(op, 0))
                return f"{_WORDS[op]} {text}{apart}"
            case Both(parts=(Compare(left=low), *_, Compare(right=high))) if is_chain(needs):
                return f"from {self._exact(low, 1)} to {self._exact(high, -1)}"
            case Truth():
                return "yes"
            case Not(of=Truth()):
                return "no"
        return title

    def _exact(self, node: Node, side: int) -> str:
        answer, kind = self.verdict.answering.answer(node), kind_of(node, self.verdict.kind)
        if not answer.known or kind is None:
            return NOT_KNOWN
        return safe_text(answer.value, kind, self.verdict.job.style, side=side)

    def _reading(self, fact: str, other: str) -> Reading:
        known = self.verdict.answer(fact).known
        return Reading(
            fact=fact,
            means=self.verdict.plan.leaves[fact].fact.means,
            expected=self.teller.value(other).text if other else "",
            given=self.teller.value(fact).text if known else "",
        )


def _compared(node: Node) -> Iterator[tuple[str, str]]:
    """Yield each reading that a formula takes another name from, with that name."""
    match node:
        case Arith(op="-", left=Name(name=read), right=Name(name=other)):
            if read.startswith(READ):
                yield read, other
        case Call(args=args):
            for one in args:
                yield from _compared(one)
        case Compare(left=left, right=right):
            yield from _compared(left)
            yield from _compared(right)
