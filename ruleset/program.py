"""The program: one generated Python function for all the clauses a job is asked.

This is the only file that runs generated code. What it runs holds names made here, operators and
float constants; no text of any file reaches it.
"""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from .formula.answer import PLAIN_FUNCTIONS
from .formula.check import Function
from .formula.cone import leaves
from .formula.emit import Emitter, Sheet
from .formula.spelling import Scalar
from .formula.tree import Node
from .library import Library
from .plan import Case, Plan, Step

EXEMPT, HOLDS, FAILS, UNKNOWN, SOFTER = range(5)
"""What the program says of a case; SOFTER is a failure under the condition for the lower level."""

Fault = tuple[str, str]
"""A plugin's function that failed, and what it said."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """What a program found of one job.

    Attributes:
        outcomes: EXEMPT, HOLDS, FAILS, UNKNOWN or SOFTER for each case of the plan.
        values: The value of each step of the plan, internal units; nan where it is not known.
        faults: Functions of plugins that failed, with their sentences.
    """

    outcomes: tuple[int, ...]
    values: tuple[float, ...]
    faults: tuple[Fault, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Program:
    """A compiled plan.

    Attributes:
        plan: What it was made from.
        facts: Names of the facts it takes, in order.
        limits: Names of the limits it takes, in order.
        source: The generated source.
        call: The function: facts and limits in, outcomes and values out.
        faults: Filled by functions of plugins that fail; emptied at each run.
    """

    plan: Plan
    facts: tuple[str, ...]
    limits: tuple[str, ...]
    source: str
    call: Callable[[Sequence[float], Sequence[float]], tuple[tuple[int, ...], tuple[float, ...]]]
    faults: list[Fault]

    def run(self, facts: Sequence[float], limits: Sequence[float]) -> Run:
        """Return what the program finds.

        Args:
            facts: Value of each fact in `facts`' order, internal units; nan for missing.
            limits: Value of each limit in `limits`' order, internal units.
        """
        self.faults.clear()
        outcomes, values = self.call(facts, limits)
        return Run(outcomes=outcomes, values=values, faults=tuple(dict.fromkeys(self.faults)))


def compile_plan(library: Library, plan: Plan, *, built: bool = False) -> Program:
    """Return the program of a plan.

    Args:
        library: The library that the plan was made from.
        plan: The plan.
        built: Whether to make the built program: frozen steps are facts of it, and a step's built
            formula is used where its facts are known.
    """
    return _Compiler(library.words, library.functions, plan, built=built).program()


class _Compiler:
    def __init__(
        self,
        words: Mapping[str, float],
        functions: Mapping[str, Function],
        plan: Plan,
        *,
        built: bool,
    ) -> None:
        self.plan = plan
        self.built = built
        self.steps = {step.name: f"w{at}" for at, step in enumerate(plan.steps)}
        frozen = [step.name for step in plan.steps if built and step.frozen]
        used = dict.fromkeys(name for tree in self._trees() for name in leaves(tree))
        inputs = [name for name in used if name not in self.steps]
        self.facts = (*(name for name in inputs if name in plan.leaves), *frozen)
        self.limits = tuple(name for name in inputs if name not in plan.leaves)
        names = {name: f"f{at}" for at, name in enumerate(self.facts)}
        names |= {name: f"l{at}" for at, name in enumerate(self.limits)}
        names |= self.steps
        self.names = names
        self.functions = functions
        self.sheet = Sheet()
        called = {name: f"g{at}" for at, name in enumerate(functions)}
        self.called = called
        self.emitter = Emitter(Scalar(), self.sheet, names, words, called)

    def _trees(self) -> list[Node]:
        found: list[Node] = []
        for step in self.plan.steps:
            if not (self.built and step.frozen):
                found.append(step.drawn)
                if self.built and step.built is not None:
                    found.append(step.built)
        for case in self.plan.cases:
            found += [t for t in (case.when, case.needs, case.softer) if t is not None]
        return found

    def program(self) -> Program:
        for step in self.plan.steps:
            self._step(step)
        outcomes = [self._case(at, case) for at, case in enumerate(self.plan.cases)]
        source = "\n    ".join(
            [
                "def program(facts, limits):",
                *_unpacked(self.facts, "f", "facts"),
                *_unpacked(self.limits, "l", "limits"),
                *self.sheet.lines,
                f"return {_tuple(outcomes)}, {_tuple(list(self.steps.values()))}",
            ]
        )
        faults: list[Fault] = []
        scope = prelude(self.functions, self.called, faults)
        exec(compile(source, "<program>", "exec"), scope)  # noqa: S102  # the only exec; see above
        return Program(
            plan=self.plan,
            facts=self.facts,
            limits=self.limits,
            source=source,
            call=scope["program"],  # type: ignore[arg-type]  # made by the line above
            faults=faults,
        )

    def _step(self, step: Step) -> None:
        own = self.steps[step.name]
        lines = self.sheet.lines
        begun = len(lines)
        if self.built and step.frozen:
            lines.append(f"{own} = f{self.facts.index(step.name)}")
            return
        lines.append(f"{own} = {self.emitter.value(step.drawn)}")
        if self.built and step.built is not None:
            known = self.sheet.name(self.emitter.value(step.built))
            lines.append(f"{own} = {known} if {known} == {known} else {own}")
        if any("*" in line or "/" in line for line in lines[begun:]):
            lines.append(f"{own} = {Scalar().finite(own)}")

    def _case(self, at: int, case: Case) -> str:
        if case.needs is None:
            return "0"
        needs = self.emitter.question(case.needs)
        fails = "2"
        if case.softer is not None:
            fails = f"4 if {self.emitter.question(case.softer).so} else 2"
        if case.when is None:
            code = f"1 if {needs.so} else ({fails}) if {needs.not_so} else 3"
        else:
            when = self.emitter.question(case.when)
            code = (
                f"0 if {when.not_so} else 1 if {needs.so} else "
                f"({fails}) if {when.so} and {needs.not_so} else 3"
            )
        name = f"c{at}"
        self.sheet.lines.append(f"{name} = {code}")
        return name


def _tuple(names: list[str]) -> str:
    return f"({', '.join(names)},)" if names else "()"


def _unpacked(names: tuple[str, ...], letter: str, source: str) -> list[str]:
    if not names:
        return []
    return [f"({', '.join(f'{letter}{at}' for at in range(len(names)))},) = {source}"]


def guarded(function: Function, faults: list[Fault]) -> Callable[..., float]:
    """Return a plugin's function that gives nan for what is missing and never raises.

    Args:
        function: The function.
        faults: Where a failure is kept: the function's name and its sentence.
    """

    def call(*values: float) -> float:
        if any(value != value for value in values):  # noqa: PLR0124  # nan
            return math.nan
        try:
            value = float(function.call(*values))
        except ValueError:
            return math.nan  # the values have no meaning together: undefined
        except Exception as error:  # noqa: BLE001  # a stranger's code: it may not lose the job
            faults.append((function.name, f"{type(error).__name__}: {error}"))
            return math.nan
        return value if math.isfinite(value) else math.nan

    return call


def prelude(
    functions: Mapping[str, Function], called: Mapping[str, str], faults: list[Fault]
) -> dict[str, object]:
    """Return all that generated code can reach."""
    scope: dict[str, object] = {"__builtins__": {}, "nan": math.nan, "fabs": math.fabs}
    scope |= {f"of_{name}": function for name, function in PLAIN_FUNCTIONS.items()}
    scope |= {called[name]: guarded(function, faults) for name, function in functions.items()}
    return scope
