"""The programs of a search: what depends on no lever is worked out once, each clause by itself.

A clause that no lever reaches is decided once for a choice of kit, glass and hand. Every other
clause gets a small program over boxes of its own, made when the search first meets it; what it
says is kept by the ranges of the few levers it depends on.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace

from ruleset.book import Fact
from ruleset.formula.cone import leaves
from ruleset.formula.tree import Arith, Both, Call, Compare, Node, Rewrite, fold
from ruleset.kinds import KINDS
from ruleset.library import Library, is_chain
from ruleset.plan import Case, Leaf, Plan, Step, sliced
from ruleset.program import Program, Spelled, compile_boxes, compile_plan

MARGIN = "margin:"


@dataclass(frozen=True, slots=True, kw_only=True)
class Form:
    """One clause's own program over boxes.

    Attributes:
        at: Its place in the plan's cases.
        levers: Names of the lever facts it depends on.
        program: The program; its last values are the margins.
        margins: How many of its values are margins.
        nodes: The formulas of the margins.
        hair: How little of a margin still counts as none.
    """

    at: int
    levers: frozenset[str]
    program: Spelled
    margins: int
    nodes: tuple[Node, ...]
    hair: float


@dataclass(slots=True, kw_only=True)
class Space:
    """A plan taken apart for levers.

    Attributes:
        library: The books, as the code sets amend them.
        plan: The plan, with what follows as workings.
        moving: Facts of the levers.
        reach: The lever facts that each case depends on, by its place.
        costly: Places of the cases that call a plugin's function.
        fixed: Program of everything that no lever reaches.
        settled: Places of its cases.
        cheap: Program of the cases that levers reach, the costly ones left out.
        open: Places of its cases.
        forms: Each clause's own program, made when it is first asked for.
    """

    library: Library
    plan: Plan
    moving: frozenset[str]
    reach: tuple[frozenset[str], ...]
    costly: frozenset[int]
    fixed: Program
    settled: tuple[int, ...]
    cheap: Program
    open: tuple[int, ...]
    folded: Plan
    forms: dict[int, Form] = field(default_factory=dict)

    def form(self, at: int) -> Form:
        """Return the program of one case."""
        if at not in self.forms:
            case = self.plan.cases[at]
            margins = _margins(case)
            asked = _with_steps(self.folded, margins)
            self.forms[at] = Form(
                at=at,
                levers=self.reach[at],
                program=compile_boxes(self.library, _asking(asked, case, margins)),
                margins=len(margins),
                nodes=margins,
                hair=_hair(case),
            )
        return self.forms[at]


def space_for(library: Library, plan: Plan, moving: Iterable[str]) -> Space:
    """Return a plan taken apart for levers; made once a library for each shape and set of levers.

    Args:
        library: The books, as the code sets amend them.
        plan: The plan, with what follows as workings.
        moving: Facts of the levers that are searched together.
    """
    moved = frozenset(moving)
    key = ("remedy", plan.shape, moved, frozenset(plan.leaves))
    if key not in library.plans:
        library.plans[key] = _made(library, plan, moved)
    space = library.plans[key]
    if not isinstance(space, Space):
        raise TypeError(key)
    if space.library is not library:  # the same programs, other limits
        space = replace(space, library=library)
    return space


def _made(library: Library, plan: Plan, moving: frozenset[str]) -> Space:
    needs: dict[str, frozenset[str]] = {}
    dear: set[str] = set()
    for step in plan.steps:
        names = leaves(step.drawn)
        needs[step.name] = _reached(names, needs, moving)
        if _calls(step.drawn, library) or any(name in dear for name in names):
            dear.add(step.name)
    reach = tuple(_reached(_names(case), needs, moving) for case in plan.cases)
    costly = frozenset(
        at
        for at, case in enumerate(plan.cases)
        if reach[at] and any(name in dear for name in _names(case))
    )
    settled = tuple(at for at in range(len(plan.cases)) if not reach[at])
    opened = tuple(at for at in range(len(plan.cases)) if reach[at] and at not in costly)
    still = tuple(step for step in plan.steps if not needs[step.name])
    folded = Plan(
        leaves={**plan.leaves, **{step.name: _leaf(step) for step in still}},
        steps=tuple(step for step in plan.steps if needs[step.name]),
        cases=plan.cases,
        shape=plan.shape,
    )
    fixed = replace(plan, steps=still, cases=tuple(plan.cases[at] for at in settled))
    cheap = sliced(folded, (plan.cases[at] for at in opened))
    return Space(
        library=library,
        plan=plan,
        moving=moving,
        reach=reach,
        costly=costly,
        fixed=compile_plan(library, fixed),
        settled=settled,
        cheap=compile_plan(library, cheap),
        open=opened,
        folded=folded,
    )


def _names(case: Case) -> tuple[str, ...]:
    trees = (case.when, case.needs, case.softer)
    return tuple(name for tree in trees if tree is not None for name in leaves(tree))


def _reached(
    names: Iterable[str], needs: Mapping[str, frozenset[str]], moving: frozenset[str]
) -> frozenset[str]:
    found: frozenset[str] = frozenset()
    for name in names:
        found |= needs.get(name, frozenset((name,)) & moving)
    return found


def _leaf(step: Step) -> Leaf:
    fact = Fact(
        name=step.name, means=step.means, kind=step.kind, stage="", who="", place=step.place
    )
    return Leaf(name=step.name, fact=fact, kind=step.kind)


class _Calls(Rewrite):
    """The reading that notes whether a plugin's function is called."""

    def __init__(self, library: Library) -> None:
        self.functions = library.functions
        self.found = False

    def call(self, node: Call, args: tuple[Node, ...]) -> Node:
        self.found = self.found or node.function in self.functions
        return node


def _calls(node: Node, library: Library) -> bool:
    reading = _Calls(library)
    fold(node, reading)
    return reading.found


def _margins(case: Case) -> tuple[Node, ...]:
    """Return how far each comparison of a case is on its right side, as formulas."""
    needs = case.needs
    if isinstance(needs, Compare):
        parts: tuple[Node, ...] = (needs,)
    elif isinstance(needs, Both) and is_chain(needs):
        parts = needs.parts
    else:
        return ()
    found: list[Node] = []
    for part in parts:
        if not isinstance(part, Compare) or part.op not in (">=", ">", "<=", "<") or not part.hair:
            return ()
        up = part.op in (">=", ">")
        more, less = (part.left, part.right) if up else (part.right, part.left)
        found.append(Arith("-", more, less))
    return tuple(found)


def _hair(case: Case) -> float:
    parts = case.needs.parts if isinstance(case.needs, Both) else (case.needs,)
    return max((one.hair for one in parts if isinstance(one, Compare)), default=0.0)


def _with_steps(plan: Plan, margins: tuple[Node, ...]) -> Plan:
    extra = tuple(
        Step(
            name=f"{MARGIN}{at}",
            means="",
            kind=KINDS["number"],
            drawn=node,
            built=None,
            frozen="",
            working=None,
            place=plan.cases[0].clause.place,
        )
        for at, node in enumerate(margins)
    )
    return replace(plan, steps=(*plan.steps, *extra))


def _asking(plan: Plan, case: Case, margins: tuple[Node, ...]) -> Plan:
    """Return the steps of a plan that a case or its margins need, in order."""
    wanted = set(_names(case)) | {f"{MARGIN}{at}" for at in range(len(margins))}
    kept: list[Step] = []
    for step in reversed(plan.steps):
        if step.name in wanted:
            kept.append(step)
            wanted.update(leaves(step.drawn))
    return replace(plan, steps=tuple(reversed(kept)), cases=(case,))
