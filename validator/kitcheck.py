"""A kit by itself: the clauses that depend on nothing but its sheet."""

from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path

from ruleset.arrangement import Arrangement
from ruleset.formula.cone import leaves
from ruleset.hands import shapes
from ruleset.node import Node, Table
from ruleset.plan import Case, Plan, plan, sliced
from ruleset.program import compile_plan
from ruleset.quantity import Style

from .books import Rules
from .job import SECTIONS, Job
from .kit import Kit
from .verdict import Verdict, judged, layers_of, shape_of

OF_A_JOB = ("job", "arrangement", "code", "policy", "waivers", *SECTIONS)
GRIDS = {"in": Fraction(1, 16), "mm": Fraction(1)}
"""What lengths are printed to: shop policy."""


def is_kit(node: Node) -> bool:
    """Return whether a file holds a kit: it names one and has nothing that only a job has."""
    return (
        isinstance(node, Table)
        and "kit" in node.entries
        and node.entries.keys().isdisjoint(OF_A_JOB)
    )


def judge_kit(kit: Kit, rules: Rules, *, codes: Sequence[str] = ()) -> Verdict:
    """Return what the clauses that concern a kit alone find of it.

    Args:
        kit: The kit.
        rules: The rules.
        codes: Ids of code sets that may amend those clauses; a kit needs none.

    Raises:
        RulesetError: A code set is not known or does not fit the books.
    """
    jobs = [_with_nothing_but(kit, one) for one in rules.arrangements()]
    return max((_judged(job, rules, codes) for job in jobs), key=_asks)


def _judged(job: Job, rules: Rules, codes: Sequence[str]) -> Verdict:
    layers = layers_of(job, rules, codes) if codes else ()
    library = rules.bound(job.arrangement, layers)
    whole = plan(library, shapes(library, shape_of(job, library))[0])  # of the kit for any hand
    made = sliced(whole, of_the_kit(whole), told=True)
    return judged(job, layers, library, [compile_plan(library, made)])


def _asks(verdict: Verdict) -> int:
    """Return how much of its kit a verdict asks: more of it in an arrangement it is made for."""
    return len(verdict.facts.keys() & verdict.job.kit.values.keys() & set(verdict.program.facts))


def _with_nothing_but(kit: Kit, arrangement: Arrangement) -> Job:
    units = kit.units or "in"
    return Job(
        name=kit.name,
        title=kit.title,
        file=kit.place.file,
        arrangement=arrangement,
        style=Style(units=units, grid=GRIDS[units]),
        codes=(),
        near={},
        kit=kit,
        values=kit.values,
        rows=kit.rows,
        tables=kit.tables,
        waivers=(),
        place=kit.place,
        around=(Path(kit.place.file).parent,),
        kit_folders=(),
    )


def of_the_kit(whole: Plan) -> tuple[Case, ...]:
    """Return the cases of a plan that depend on facts of the kit, and on no others."""
    steps = {step.name: step.drawn for step in whole.steps}
    seen: dict[str, frozenset[str]] = {}

    def facts(name: str) -> frozenset[str]:
        if name not in seen:
            inside = leaves(steps[name]) if name in steps else ()
            own = frozenset((name,) if name in whole.leaves else ())
            seen[name] = own.union(*map(facts, inside))
        return seen[name]

    def concerns_it(case: Case) -> bool:
        trees = (tree for tree in (case.when, case.needs, case.softer) if tree is not None)
        found = frozenset().union(*(facts(name) for tree in trees for name in leaves(tree)))
        return bool(found) and all(name.startswith("kit.") for name in found)

    return tuple(case for case in whole.cases if concerns_it(case))
