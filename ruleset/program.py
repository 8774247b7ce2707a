"""The program: one generated Python function for all the clauses a job is asked.

This is the only file that runs generated code. What it runs holds names made here, operators and
float constants; no text of any file reaches it.
"""

import math
import re
from collections.abc import Callable, Hashable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, cast

from .errors import STOPS, fault_of
from .formula.answer import PLAIN_FUNCTIONS
from .formula.boxes import BOX_FUNCTIONS, BOX_PRELUDE, Boxes, only_points
from .formula.check import Function
from .formula.columns import Columns, columns_prelude, row_by_row
from .formula.cone import leaves
from .formula.emit import Emitter, Statements
from .formula.spelling import Scalar, Spelling
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
    compiler = _Compiler(library.words, library.functions, plan, Scalar(), built=built)
    source = compiler.source()
    faults: list[Fault] = []
    scope = prelude(library.functions, compiler.called, faults)
    return Program(
        plan=plan,
        facts=compiler.facts,
        limits=compiler.limits,
        source=source,
        call=_made(source, scope),
        faults=faults,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Spelled:
    """A plan compiled in another spelling.

    Attributes:
        plan: What it was made from.
        facts: Names of the facts it takes, in order.
        limits: Names of the limits it takes, in order.
        source: The generated source.
        call: The function: facts and limits in, outcomes and values out, each as the spelling has
            them: boxes are pairs, columns are arrays that broadcast or plain floats.
    """

    plan: Plan
    facts: tuple[str, ...]
    limits: tuple[str, ...]
    source: str
    call: Callable[..., Any]


def compile_boxes(library: Library, plan: Plan, *, built: bool = False) -> Spelled:
    """Return the program of a plan over boxes: each fact and limit a pair, low and high."""
    twins = {
        name: only_points(guarded(function, [])) for name, function in library.functions.items()
    }
    return _spelled(library, plan, Boxes(), twins, {**BOX_PRELUDE, **_of(BOX_FUNCTIONS)}, built)


def compile_columns(library: Library, plan: Plan, *, built: bool = False) -> Spelled:
    """Return the program of a plan over columns; imports numpy.

    Call it inside `numpy.errstate(all="ignore")`: dividing by 0 and the like are nan by intent.
    """
    twins = {
        name: row_by_row(guarded(function, [])) for name, function in library.functions.items()
    }
    return _spelled(library, plan, Columns(), twins, columns_prelude(), built)


def _of(functions: Mapping[str, Callable[..., Any]]) -> dict[str, object]:
    return {f"of_{name}": function for name, function in functions.items()}


def _spelled(  # noqa: PLR0913, PLR0917  # what the two spellings differ in
    library: Library,
    plan: Plan,
    spelling: Spelling,
    twins: Mapping[str, Callable[..., Any]],
    names: Mapping[str, object],
    built: bool,  # noqa: FBT001  # private, and passed on as it came
) -> Spelled:
    compiler = _Compiler(library.words, library.functions, plan, spelling, built=built)
    source = compiler.source()
    scope = {"__builtins__": {}, **names}
    scope |= {compiler.called[name]: twin for name, twin in twins.items()}
    return Spelled(
        plan=plan,
        facts=compiler.facts,
        limits=compiler.limits,
        source=source,
        call=_made(source, scope),
    )


class _Compiler:
    def __init__(
        self,
        words: Mapping[str, float],
        functions: Mapping[str, Function],
        plan: Plan,
        spelling: Spelling,
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
        self.statements = Statements()
        called = {name: f"g{at}" for at, name in enumerate(functions)}
        self.called = called
        self.spelling = spelling
        self.emitter = Emitter(spelling, self.statements, names, words, called)

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

    def source(self) -> str:
        """Return the source of the function."""
        for step in self.plan.steps:
            self._step(step)
        outcomes = [self._case(at, case) for at, case in enumerate(self.plan.cases)]
        return "\n    ".join(
            [
                "def program(facts, limits):",
                *_unpacked(self.facts, "f", "facts"),
                *_unpacked(self.limits, "l", "limits"),
                *self.statements.lines,
                f"return {_tuple(outcomes)}, {_tuple(list(self.steps.values()))}",
            ]
        )

    def _step(self, step: Step) -> None:
        own = self.steps[step.name]
        lines = self.statements.lines
        begun = len(lines)
        if self.built and step.frozen:
            lines.append(f"{own} = f{self.facts.index(step.name)}")
            return
        lines.append(f"{own} = {self.emitter.value(step.drawn)}")
        if self.built and step.built is not None:
            known = self.statements.name(self.emitter.value(step.built))
            lines.append(f"{own} = {self.spelling.first_known(known, own)}")
        if any(map(_may_overflow, lines[begun:])):
            lines.append(f"{own} = {self.spelling.finite(own)}")

    def _case(self, at: int, case: Case) -> str:
        if case.needs is None:
            return "0"
        ask = self.emitter.question
        needs = ask(case.needs)
        softer = None if case.softer is None else ask(case.softer)
        when = None if case.when is None else ask(case.when)
        name = f"c{at}"
        self.statements.lines.append(f"{name} = {self.spelling.outcome(when, needs, softer)}")
        return name


def _made(source: str, scope: dict[str, object]) -> Callable[..., Any]:
    exec(compile(source, "<program>", "exec"), scope)  # noqa: S102  # the only exec; see above
    return cast("Callable[..., Any]", scope["program"])


_PRODUCT = re.compile(r"(\S+) [*/] (\S+)|(divide|multiply|power)\(")
_NUMBER = re.compile(r"\(*-?[0-9]{1,6}\.[0-9]+[),]*$")


def _may_overflow(line: str) -> bool:
    """Return whether a statement joins two values by a product, neither a modest number."""
    return any(
        found[3] or not (_NUMBER.match(found[1]) or _NUMBER.match(found[2]))
        for found in _PRODUCT.finditer(line)
    )


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
    # What a call gave is kept; an object that cannot be told from its like is called each time.
    called = _called if _is_hashable(function.call) else _called.__wrapped__

    def call(*values: float) -> float:
        total = sum(values)  # one nan makes it nan, and a sum is far quicker than a look at each
        if total != total and any(value != value for value in values):  # nan
            return math.nan
        try:
            value = called(function.call, values)
        except ValueError:
            return math.nan  # the values have no meaning together: undefined
        except STOPS:
            raise
        except BaseException as error:  # noqa: BLE001  # a stranger's code: it may not lose the job
            faults.append((function.name, fault_of(error)))
            return math.nan
        return value if math.isfinite(value) else math.nan

    return call


def _is_hashable(call: object) -> bool:
    return isinstance(call, Hashable)


@lru_cache(maxsize=8192)  # a search and a stack-up ask for the same bar over and over
def _called(call: Callable[..., float], values: tuple[float, ...]) -> float:
    return float(call(*values))


def prelude(
    functions: Mapping[str, Function], called: Mapping[str, str], faults: list[Fault]
) -> dict[str, object]:
    """Return all that generated code can reach."""
    scope: dict[str, object] = {"__builtins__": {}, "nan": math.nan, "fabs": math.fabs}
    scope |= {f"of_{name}": function for name, function in PLAIN_FUNCTIONS.items()}
    scope |= {called[name]: guarded(function, faults) for name, function in functions.items()}
    return scope
