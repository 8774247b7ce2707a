"""One job, once: facts in, the program run, every clause's outcome and value at hand."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from ruleset.book import Clause, Limit
from ruleset.errors import Fault, ShapeError
from ruleset.explain import Teller
from ruleset.formula.answer import Answer, Answering
from ruleset.formula.cone import leaves
from ruleset.hands import Joined, joined, shapes
from ruleset.kinds import Kind
from ruleset.layers import Layer, in_order
from ruleset.library import Library
from ruleset.part import THERE
from ruleset.plan import Case, Plan, Step, plan
from ruleset.program import EXEMPT, FAILS, HOLDS, SOFTER, UNKNOWN, Program, Run, guarded
from ruleset.program import compile_plan as _compile
from ruleset.turns import HAND, Shape

from .books import Rules
from .finding import Assumed
from .job import Job
from .signed import AGAIN, SIGNED, code_of, ordered
from .usual import assumed, source_of, value_of

OUTCOME = {EXEMPT: "exempt", HOLDS: "holds", FAILS: "fails", SOFTER: "fails", UNKNOWN: "unknown"}


@dataclass(frozen=True, kw_only=True)
class Verdict:
    """What the program found of one job, and how to look into it.

    Attributes:
        job: The job.
        layers: Code sets and policies applied, in order.
        library: The books as those amend them.
        plan: What the job was asked.
        program: The compiled plan.
        run: Outcomes and values.
        facts: Value of each fact the job gives and each the program takes, those taken as absent
            included; nan missing.
        assumed: Values taken because facts were not given.
        hands: The verdict of each hand by its word, where the job does not say which it is.
    """

    job: Job
    layers: tuple[Layer, ...]
    library: Library
    plan: Plan
    program: Program
    run: Run
    facts: Mapping[str, float]
    assumed: tuple[Assumed, ...]
    hands: Mapping[str, "Verdict"] = field(default_factory=dict)

    @cached_property
    def _steps(self) -> Mapping[str, Step]:
        return {step.name: step for step in self.plan.steps}

    @cached_property
    def _values(self) -> Mapping[str, float]:
        return dict(zip(self._steps, self.run.values, strict=True))

    @cached_property
    def _blamed(self) -> dict[str, Answer]:
        return {}

    @property
    def subjects(self) -> Mapping[str, tuple[str, ...]]:
        """Return the parts that each clause is asked of."""
        found: dict[str, tuple[str, ...]] = {}
        for case in self.plan.cases:
            found[case.clause.name] = (*found.get(case.clause.name, ()), case.subject)
        return found

    def clause(self, case: Case) -> Clause:
        """Return a case's clause as the code sets amend it."""
        return self.library.clauses[case.clause.name].clause

    def answer(self, name: str) -> Answer:
        """Return a name's value, and the facts that are missing for it."""
        name = self.plain(name)
        value = self._value(name)
        if value == value:  # nan
            return Answer(value)
        if name not in self._steps:
            return Answer(math.nan, frozenset((source_of(self.library, name, self.job.values),)))
        if name not in self._blamed:
            self._blame(name)
        return self._blamed[name]

    def plain(self, name: str) -> str:
        """Return the plain name for a path from a part, such as fixed.beside.survey.lean."""
        known = name in self._values or name in self.facts or name in self.library.limits
        return name if known else self.plan.plain(name)

    def _value(self, name: str) -> float:
        limit = self.library.limits.get(name)
        if limit is not None:
            return limit.value
        known = self._values if name in self._values else self.facts
        # What only a sentence names is in no program, and is taken where it is not given.
        return known[name] if name in known else value_of(self.library, name, self.job.values)

    def _blame(self, name: str) -> None:
        """Keep what is missing for a working, those that it stands on first.

        Without that, each working would ask the one below it from within its own answer, and a
        long chain of them would be nested deeper than the system allows.
        """
        open_ = [name]
        while open_:
            drawn = self._steps[open_[-1]].drawn
            below = [one for one in leaves(drawn) if self._is_to_blame(one)]
            if below:
                open_ += below
            else:
                self._blamed[open_.pop()] = self.answering.answer(drawn)

    def _is_to_blame(self, name: str) -> bool:
        value = self._values.get(name, 0.0)
        return name in self._steps and value != value and name not in self._blamed  # nan

    @cached_property
    def sizes_code(self) -> str:
        """Return the code of the sizes that are ordered, "" where they are not all known.

        The hand is not known where two programs were joined: panes of one size for either hand are
        not yet one order, for the hand enters their code.
        """
        values: dict[str, float | str] = dict(self._values)
        frozen = [step.name for step in self.plan.steps if step.frozen]
        if not frozen or any(values[name] != values[name] for name in frozen):  # nan
            return ""
        if self.library.hands and HAND not in dict(self.plan.shape):
            return ""
        library, given = self.library, self.job.values
        words = {number: word for word, number in library.words.items()}
        for name, fact in library.facts.items():
            if fact.kind is not None:
                value = value_of(library, name, given)
                values[name] = words.get(value, "?") if fact.kind.name == "word" else value
        values |= {name: one.value for name, one in given.items() if name not in library.facts}
        panes = sorted({name.rpartition(".")[0] for name in frozen})
        gone = {
            n.removesuffix(THERE) for n, v in values.items() if n.endswith(f".{THERE}") and not v
        }
        names = (n for n in ordered(panes, values) if f"{n.rpartition('.')[0]}." not in gone)
        return code_of({name: values[name] for name in names}, self.job.kit.name)

    @property
    def broken(self) -> tuple[str, ...]:
        """Return a sentence for each plugin's function that failed on this job."""
        return tuple(f"The function {name} failed: {says}." for name, says in self.run.faults)

    @cached_property
    def answering(self) -> Answering:
        """Return the reading that works formulas out over this job's values."""
        functions = {n: guarded(f, []) for n, f in self.library.functions.items()}
        return Answering(self.answer, self.library.words, functions)

    def kind(self, name: str) -> Kind | None:
        """Return the declared kind of a name."""
        limit = self.library.limits.get(name)
        if limit is not None:
            return limit.kind
        if name in self.plan.leaves:
            return self.plan.leaves[name].kind
        name = self.plain(name)
        if name in self.plan.leaves:
            return self.plan.leaves[name].kind
        return self._steps[name].kind if name in self._steps else None

    def teller(self) -> Teller:
        """Return what puts this job's outcomes into words."""
        words, limits = self.library.words, self.library.limits
        return Teller(self.answering, self.kind, self._steps, words, self.job.style, limits)

    def cone(self, case: Case) -> tuple[str, ...]:
        """Return the facts that a case depends on, the nearest first."""
        return tuple(name for name in self._depends(case) if name in self.plan.leaves)

    def limits(self, case: Case) -> tuple[Limit, ...]:
        """Return the limits that a case depends on, those that stand for a fact too."""
        known, given = self.library.limits, self.job.values
        names = (source_of(self.library, name, given) for name in self._depends(case))
        return tuple(known[name] for name in names if name in known)

    def _depends(self, case: Case) -> tuple[str, ...]:
        found: dict[str, None] = {}
        trees = [tree for tree in (case.needs, case.when) if tree is not None]
        open_ = [name for tree in trees for name in leaves(tree)]
        seen: set[str] = set()
        while open_:
            deeper: list[str] = []
            for name in open_:
                if name in seen:
                    continue
                seen.add(name)
                step = self._steps.get(name)
                if step is None:
                    found.setdefault(name)
                else:
                    deeper += leaves(step.drawn)
            open_ = deeper
        return tuple(found)

    def missing(self, case: Case) -> tuple[str, ...]:
        """Return the facts that would have to be known to decide a case, sorted."""
        blamed: frozenset[str] = frozenset()
        answers = [
            self.answering.answer(tree) for tree in (case.when, case.needs) if tree is not None
        ]
        for answer in answers:
            if not answer.known:
                blamed |= answer.missing
        return tuple(sorted(blamed))


def judge(job: Job, rules: Rules, *, codes: Sequence[str] = ()) -> Verdict:
    """Return what the rules find of a job.

    Args:
        job: The job.
        rules: The rules.
        codes: Ids of code sets to use in place of those the job names.

    Raises:
        RulesetError: A code set is not known or does not fit the books, or none is named.
    """
    layers = layers_of(job, rules, codes)
    library = rules.bound(job.arrangement, layers)
    given = job.values.get(HAND)
    hands = shapes(library, shape_of(job, library), given.text if given else "")
    programs = [program_for(library, plan(library, shape)) for shape in hands]
    return judged(job, layers, library, programs)


def judged(
    job: Job, layers: tuple[Layer, ...], library: Library, programs: Sequence[Program]
) -> Verdict:
    """Return what the programs of a job find of it.

    Args:
        job: The job.
        layers: Code sets and policies that the library is amended by.
        library: The books as those amend them, with the parts of the job's arrangement.
        programs: What the job is asked, compiled; one for each hand where the job does not say.
    """
    verdict = _judged(job, layers, library, programs)
    counts = _signed(verdict)
    if all(job.values[name].value == value for name, value in counts.items()):
        return verdict
    values = {name: replace(job.values[name], value=value) for name, value in counts.items()}
    signed = replace(job, values={**job.values, **values})
    return _judged(signed, layers, library, programs)


def _signed(verdict: Verdict) -> dict[str, float]:
    """Return 1 for each check that names the sizes as they are, 0 for any other.

    While the sizes are not all known, it is not known either whether a check is for them.
    """
    given = {name: one.text for name, one in verdict.job.values.items() if name in SIGNED}
    code = verdict.sizes_code if any(text not in ("no", AGAIN) for text in given.values()) else ""
    fixed = {"no": 0.0, AGAIN: 1.0}
    unfixed = {name: float(text == code) if code else math.nan for name, text in given.items()}
    return {name: fixed.get(text, unfixed[name]) for name, text in given.items()}


def _judged(
    job: Job, layers: tuple[Layer, ...], library: Library, programs: Sequence[Program]
) -> Verdict:
    facts, assumed = _facts(job, library, programs)
    verdicts = [
        Verdict(
            job=job,
            layers=layers,
            library=library,
            plan=program.plan,
            program=program,
            run=_run(program, facts, library),
            facts=facts,
            assumed=assumed,
        )
        for program in programs
    ]
    if len(verdicts) == 1:
        return verdicts[0]
    found = joined(library, [one.plan for one in verdicts], [one.run for one in verdicts])
    return replace(
        verdicts[0],
        plan=found.plan,
        program=program_for(library, found.plan),
        run=_without_numbers(found),
        hands=dict(zip(library.hands, verdicts, strict=True)),
    )


def _run(program: Program, facts: Mapping[str, float], library: Library) -> Run:
    return program.run(
        [facts[name] for name in program.facts],
        [library.limits[name].value for name in program.limits],
    )


def _without_numbers(found: Joined) -> Run:
    """Return what stands for every hand, unknown where each hand would tell other numbers."""
    outcomes = tuple(
        UNKNOWN if at in found.unlike and code in (FAILS, SOFTER) else code
        for at, code in enumerate(found.run.outcomes)
    )
    return replace(found.run, outcomes=outcomes)


def program_for(library: Library, made: Plan) -> Program:
    """Return the program of a plan, compiled once a library."""
    return library.kept.get(Program, made.shape, lambda: _compile(library, made))


def layers_of(job: Job, rules: Rules, codes: Sequence[str]) -> tuple[Layer, ...]:
    """Return the code sets and policies of a job, or those asked for, in their order.

    Raises:
        RulesetError: One is not known, or there is none.
    """
    known = {**rules.codes, **job.near}
    if codes:
        named = [(name, job.place) for name in codes]
        named += [(n, p) for n, p in job.codes if n in known and known[n].policy]
    else:
        named = list(job.codes)
    if not named:
        says = (
            "The job names no code set, and none was asked for. Write one, such as "
            f"`code: irc-2021`; there are: {', '.join(sorted(known))}."
        )
        raise ShapeError(Fault(job.place, says))
    found: dict[str, Layer] = {}
    for name, place in named:
        for layer in in_order(known, (name,), place):
            found.setdefault(layer.name, layer)
    return tuple(sorted(found.values(), key=lambda layer: layer.policy))


def shape_of(job: Job, library: Library) -> Shape:
    """Return how many rows each list of a job has."""
    lists = [fact for fact in library.facts.values() if fact.rows]
    return tuple(
        sorted((f.name, job.rows.get(f.name, None if f.absent is None else 0)) for f in lists)
    )


def _facts(
    job: Job, library: Library, programs: Sequence[Program]
) -> tuple[dict[str, float], tuple[Assumed, ...]]:
    names = {name for program in programs for name in program.facts}
    values = {
        name: one.value for name, one in job.values.items()
    }  # papers show what no clause asks
    values |= {name: value_of(library, name, job.values) for name in names}
    told = (assumed(library, name, job.values, job.style) for name in sorted(names))
    return values, tuple(one for one in told if one is not None)
