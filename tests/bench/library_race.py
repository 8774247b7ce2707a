"""Forty comparisons over worked-out values: the compiled books against two rule libraries."""

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from importlib import import_module

from ruleset.formula.cone import leaves
from ruleset.formula.emit import Emitter, Statements
from ruleset.formula.spelling import Scalar
from ruleset.formula.tree import Compare, Node
from ruleset.library import is_chain
from ruleset.program import HOLDS, Program, compile_plan

from .races import race
from .samples import Ground, Sample

COUNT = 40
LIBRARIES = ("rule-engine", "evalidate")
"""A rule engine with a grammar of its own, and, of those tried, the fastest: it compiles checked
Python expressions."""

Values = Mapping[str, float]


def plain_name(name: str) -> str:
    """Return a name that every library can read."""
    return "".join(letter if letter.isalnum() else "_" for letter in name)


@dataclass(frozen=True, slots=True, kw_only=True)
class Questions:
    """The comparisons.

    Attributes:
        texts: Each as an expression of names, numbers, operators, `and` and `or`.
        program: The same, compiled from the books; what the books work out is handed to it.
        facts: Plain names of the program's facts, in its order.
        limits: Plain names of all else it takes, in its order.
    """

    texts: tuple[str, ...]
    program: Program
    facts: tuple[str, ...]
    limits: tuple[str, ...]

    def compiled(self, values: Values) -> tuple[bool, ...]:
        """Return which of the questions hold, as the compiled books say."""
        run = self.program.run(
            [values[name] for name in self.facts], [values[name] for name in self.limits]
        )
        return tuple([outcome == HOLDS for outcome in run.outcomes])


def questions(on: Ground) -> Questions:
    """Return the first forty comparisons of the three books that always apply."""
    found = []
    for case in on.program.plan.cases:
        if case.when is None and case.needs is not None and _compares(case.needs):
            text = _text(on, case.needs)
            if text:
                found.append((case, text))
    if len(found) < COUNT:
        raise AssertionError(f"Only {len(found)} comparisons are there; {COUNT} are needed.")
    cases, texts = zip(*found[:COUNT], strict=True)
    program = compile_plan(on.library, replace(on.program.plan, steps=(), cases=cases))
    return Questions(
        texts=texts,
        program=program,
        facts=tuple(plain_name(name) for name in program.facts),
        limits=tuple(plain_name(name) for name in program.limits),
    )


def _compares(node: Node) -> bool:
    return isinstance(node, Compare) or is_chain(node)


def _text(on: Ground, node: Node) -> str:
    """Return a comparison as text, "" where it takes more than names and arithmetic."""
    names = {name: plain_name(name) for name in leaves(node)}
    statements = Statements()
    text = Emitter(Scalar(), statements, names, on.library.words, {}).question(node).so
    return "" if statements.lines or "fabs" in text or "nan" in text else text


def known_values(on: Ground, jobs: Sequence[Sample]) -> list[Values]:
    """Return facts, limits and worked-out values of the jobs where all are known."""
    limits = {name: limit.value for name, limit in on.library.limits.items()}
    found: list[Values] = []
    for job in jobs:
        run = on.program.run(job.facts, on.limits)
        steps = dict(zip((step.name for step in on.program.plan.steps), run.values, strict=True))
        values = {plain_name(n): v for n, v in {**limits, **job.named, **steps}.items()}
        if not any(math.isnan(value) for value in values.values()):
            found.append(values)
    return found


class RuleEngine:
    """The comparisons as rules of rule-engine."""

    def __init__(self, texts: Sequence[str]) -> None:
        """Compile them."""
        rule_engine = import_module("rule_engine")
        self.rules = [rule_engine.Rule(text) for text in texts]

    def __call__(self, values: Values) -> tuple[bool, ...]:
        """Return which of them hold."""
        return tuple([rule.matches(values) for rule in self.rules])


class Evalidate:
    """The comparisons as expressions of evalidate."""

    def __init__(self, texts: Sequence[str]) -> None:
        """Compile them."""
        evalidate = import_module("evalidate")
        model = evalidate.base_eval_model.clone()
        model.nodes += ["BinOp", "Add", "Sub", "Mult", "Div", "UnaryOp", "USub"]
        self.rules = [evalidate.Expr(text, model=model) for text in texts]

    def __call__(self, values: Values) -> tuple[bool, ...]:
        """Return which of them hold."""
        return tuple([rule.eval(values) for rule in self.rules])


def results(asked: Questions, values: Sequence[Values], rounds: int) -> dict[str, float]:
    """Return seconds a job of each contestant, "compiled" first.

    Args:
        asked: The comparisons.
        values: The jobs' values.
        rounds: How often each race is run.

    Raises:
        AssertionError: Two contestants differ on a job.
    """
    contestants: dict[str, Callable[[Values], tuple[bool, ...]]] = {
        "compiled": asked.compiled,
        "evalidate": Evalidate(asked.texts),
        "rule-engine": RuleEngine(asked.texts),
    }
    for one in values:
        said = {name: contestant(one) for name, contestant in contestants.items()}
        if len(set(said.values())) != 1:
            raise AssertionError(f"They differ: {said}")
    return race(contestants, values, rounds=rounds)
