"""A kit by itself: the clauses that depend on nothing but its sheet."""

from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path

from ruleset.arrangement import Arrangement
from ruleset.errors import Fault, ShapeError
from ruleset.formula.cone import leaves
from ruleset.hands import shapes
from ruleset.node import Node, Table
from ruleset.plan import Case, Plan, plan, sliced
from ruleset.program import FAILS, SOFTER, compile_plan
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
        RulesetError: The kit gives nothing, or a code set is not known or does not fit the books.
    """
    if not kit.kinds:
        says = f"The kit {kit.name} gives no measure; write what its maker's sheet says"
        raise ShapeError(Fault(kit.place, f"{says} (`paneproof start kit FILE` lists all of it)."))
    jobs = [_with_nothing_but(kit, one) for one in rules.arrangements()]
    return max((_judged(job, rules, codes) for job in jobs), key=_fits)


def _judged(job: Job, rules: Rules, codes: Sequence[str]) -> Verdict:
    layers = layers_of(job, rules, codes) if codes else ()
    library = rules.bound(job.arrangement, layers)
    whole = plan(library, shapes(library, shape_of(job, library))[0])  # of the kit for any hand
    made = sliced(whole, of_the_kit(whole, job.kit), told=True)
    return judged(job, layers, library, [compile_plan(library, made)])


def _fits(verdict: Verdict) -> tuple[int, int, int]:
    """Return how well a kit fits an arrangement: what is asked of it, and how little fails.

    What is given and asked counts first, then what is asked of the kinds that are written down.
    """
    kit = verdict.job.kit
    asked = [name for name in verdict.program.facts if name.startswith("kit.")]
    given = sum(name in kit.values for name in asked)
    named = sum(name.split(".")[1] in kit.kinds for name in asked)
    return given, named, -sum(code in (FAILS, SOFTER) for code in verdict.run.outcomes)


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
        texts={},
        rows=kit.rows,
        tables=kit.tables,
        waivers=(),
        place=kit.place,
        around=(Path(kit.place.file).parent,),
        kit_folders=(),
    )


def of_the_kit(whole: Plan, kit: Kit) -> tuple[Case, ...]:
    """Return the cases of a plan that depend on facts of a kit, and on no others.

    A kit that has less than half of the kinds that the arrangement asks for is one of several: what
    concerns the kinds of others is not asked of it.

    Args:
        whole: The plan of an arrangement.
        kit: The kit.
    """
    steps = {step.name: step.drawn for step in whole.steps}
    seen: dict[str, frozenset[str]] = {}

    def facts(name: str) -> frozenset[str]:
        if name not in seen:
            inside = leaves(steps[name]) if name in steps else ()
            own = frozenset((name,) if name in whole.leaves else ())
            seen[name] = own.union(*map(facts, inside))
        return seen[name]

    def needed(case: Case) -> frozenset[str]:
        trees = (tree for tree in (case.when, case.needs, case.softer) if tree is not None)
        return frozenset().union(*(facts(name) for tree in trees for name in leaves(tree)))

    asked = [(case, needed(case)) for case in whole.cases]
    kinds = [
        (case, frozenset(name.split(".")[1] for name in found))
        for case, found in asked
        if found and all(name.startswith("kit.") for name in found)
    ]
    every = frozenset().union(*(own for _, own in kinds))
    part = 2 * len(kit.kinds & every) < len(every)
    return tuple(case for case, own in kinds if not part or own <= kit.kinds)
