"""The programs of a search: what depends on no lever is worked out once, each clause by itself.

A clause that no lever reaches is decided once for a choice of kit, glass and hand. Every other
clause gets a small program over boxes of its own, made when the search first meets it; what it
says is kept by the ranges of the few levers it depends on.
"""

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from ruleset.book import Fact
from ruleset.cases import hair_of, leaf_of, margins_of, names_of, step_of
from ruleset.formula.cone import leaves
from ruleset.formula.tree import Call, Node, Rewrite, fold
from ruleset.kinds import KINDS
from ruleset.library import Library
from ruleset.plan import Case, Leaf, Plan, Step, sliced
from ruleset.program import Program, Spelled, compile_boxes, compile_plan

from .corner import OFF, SPARE, Corner, cornered

MARGIN = "margin:"


@dataclass(frozen=True, slots=True, kw_only=True)
class ClauseAlone:
    """One clause by itself, with a program over boxes of its own.

    Attributes:
        case: The case.
        program: The program; its last values are the margins.
        margins: How many of its values are margins.
        nodes: The formulas of the margins.
        hair: How little of a margin still counts as none.
        steps: Steps that it has to itself.
    """

    case: Case
    program: Spelled
    margins: int
    nodes: tuple[Node, ...]
    hair: float
    steps: tuple[Step, ...] = ()


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
        folded: The plan with what no lever reaches as facts.
        drawn: The plan without what follows as workings.
        told: For a case that is asked only when another case holds, that one's place.
        alone: Each clause's own program, made when it is first asked for.
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
    drawn: Plan
    told: Mapping[int, int]
    alone: dict[tuple[Hashable, ...], ClauseAlone] = field(default_factory=dict)

    def of_case(self, at: int, *, given: bool = False) -> ClauseAlone:
        """Return the program of one case.

        Args:
            at: Its place.
            given: Whether to take for given that it is asked at all.
        """
        if (at, given) not in self.alone:
            self.alone[at, given] = self._made(_asked(self.plan.cases[at], given=given), ())
        return self.alone[at, given]

    def at_corner(self, corner: Corner, *, given: bool = False) -> ClauseAlone:
        """Return the program of one case at a corner of its tolerances.

        Args:
            corner: The corner.
            given: Whether to take for given that the case is asked at all.
        """
        key = (*corner.key, given)
        if key not in self.alone:
            steps, case = cornered(self.drawn, corner)
            self.alone[key] = self._made(_asked(case, given=given), steps)
        return self.alone[key]

    def _made(self, case: Case, steps: tuple[Step, ...]) -> ClauseAlone:
        margins = margins_of(case)
        asked = _with_steps(self.folded, (*steps, *_margin_steps(case, margins)))
        off = {name for step in steps for name in leaves(step.drawn) if name.startswith(OFF)}
        more = {name: _off(name, case) for name in (*off, SPARE)}
        asked = replace(asked, leaves={**asked.leaves, **more})
        return ClauseAlone(
            case=case,
            program=compile_boxes(self.library, _asking(asked, case, len(margins))),
            margins=len(margins),
            nodes=margins,
            hair=hair_of(case),
            steps=steps,
        )


def space_for(library: Library, drawn: Plan, plan: Plan, moving: Iterable[str]) -> Space:
    """Return a plan taken apart for levers; made once a library for each shape and set of levers.

    Args:
        library: The books, as the code sets amend them.
        drawn: The plan of the job.
        plan: The same, with what follows as workings.
        moving: Facts of the levers that are searched together.
    """
    moved = frozenset(moving)
    follows = frozenset((s.name, s.drawn) for s in plan.steps if s.name in drawn.leaves)
    key = (plan.shape, moved, follows)
    space = library.kept.get(Space, key, lambda: _made(library, drawn, plan, moved))
    if space.library is not library:  # the same programs, other limits
        space = replace(space, library=library)
    return space


def _made(library: Library, drawn: Plan, plan: Plan, moving: frozenset[str]) -> Space:
    needs: dict[str, frozenset[str]] = {}
    dear: set[str] = set()
    for step in plan.steps:
        names = leaves(step.drawn)
        needs[step.name] = _reached(names, needs, moving)
        if _calls(step.drawn, library) or any(name in dear for name in names):
            dear.add(step.name)
    reach = tuple(_reached(names_of(case), needs, moving) for case in plan.cases)
    costly = frozenset(
        at
        for at, case in enumerate(plan.cases)
        if reach[at] and any(name in dear for name in names_of(case))
    )
    settled = tuple(at for at in range(len(plan.cases)) if not reach[at])
    opened = tuple(at for at in range(len(plan.cases)) if reach[at] and at not in costly)
    still = tuple(step for step in plan.steps if not needs[step.name])
    folded = Plan(
        leaves={**plan.leaves, **{step.name: leaf_of(step) for step in still}},
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
        drawn=drawn,
        told=_told(plan.cases),
    )


def _told(cases: Sequence[Case]) -> dict[int, int]:
    """Return for each case that asks for just what another one needs, that one's place."""
    needs = {
        case.needs: at
        for at, case in enumerate(cases)
        if case.when is None and case.softer is None and case.needs is not None
    }
    return {at: needs[case.when] for at, case in enumerate(cases) if case.when in needs}


def _asked(case: Case, *, given: bool) -> Case:
    return replace(case, when=None) if given else case


def _reached(
    names: Iterable[str], needs: Mapping[str, frozenset[str]], moving: frozenset[str]
) -> frozenset[str]:
    found: frozenset[str] = frozenset()
    for name in names:
        found |= needs.get(name, frozenset((name,)) & moving)
    return found


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


def _with_steps(plan: Plan, steps: tuple[Step, ...]) -> Plan:
    return replace(plan, steps=(*plan.steps, *steps))


def _margin_steps(case: Case, margins: tuple[Node, ...]) -> tuple[Step, ...]:
    place = case.clause.place
    return tuple(step_of(f"{MARGIN}{at}", node, place) for at, node in enumerate(margins))


def _off(name: str, case: Case) -> Leaf:
    place = case.clause.place
    number = KINDS["number"]
    fact = Fact(name=name, means=name, kind=number, stage="", who="", place=place)
    return Leaf(name=name, fact=fact, kind=number)


def _asking(plan: Plan, case: Case, margins: int) -> Plan:
    """Return the steps of a plan that a case or its margins need, in order."""
    wanted = set(names_of(case)) | {f"{MARGIN}{at}" for at in range(margins)}
    kept: list[Step] = []
    for step in reversed(plan.steps):
        if step.name in wanted:
            kept.append(step)
            wanted.update(leaves(step.drawn))
    return replace(plan, steps=tuple(reversed(kept)), cases=(case,))
