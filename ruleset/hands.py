"""One job for each hand it may have: what comes out alike stands, all else waits for the hand."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from .formula.cone import leaves
from .formula.tree import Both, Choose, Compare, Either, Name, Node, Not, Number, Word
from .library import Library
from .plan import Case, Plan, Step, plan
from .program import EXEMPT, FAILS, HOLDS, SOFTER, UNKNOWN, Run
from .turns import HAND, Shape


@dataclass(frozen=True, slots=True, kw_only=True)
class Joined:
    """What comes out for every hand.

    Attributes:
        plan: What any hand is asked. A case that differs asks which hand it is; a step on another
            way for each hand has no value of its own.
        run: Outcomes and values of the plan, unknown where the hands differ.
        differs: Steps whose value, or whose way to it, is not the same for every hand.
        unlike: Places of cases that come to one outcome, but by other numbers: no number of theirs
            may be told before the hand is known.
    """

    plan: Plan
    run: Run
    differs: frozenset[str]
    unlike: frozenset[int]


def shapes(library: Library, shape: Shape, hand: str = "") -> tuple[Shape, ...]:
    """Return the shape for a hand, or one for each hand where it is not known.

    Args:
        library: The books, an arrangement bound.
        shape: How many rows each list has.
        hand: The word of the hand; "" where it is not given.

    Raises:
        ValueError: The arrangement has no such hand.
    """
    hands = library.hands
    if hand and hands and hand not in hands:
        raise ValueError(f"There is no hand {hand}; there are {', '.join(hands)}.")
    rows = {name: count for name, count in shape if name != HAND}
    if not hands:
        return (tuple(sorted(rows.items())),)
    return tuple(
        tuple(sorted({**rows, HAND: at}.items()))
        for at, word in enumerate(hands)
        if hand in ("", word)
    )


def joined(library: Library, plans: Sequence[Plan], runs: Sequence[Run]) -> Joined:
    """Return what stands whichever hand it is.

    Args:
        library: The books, an arrangement bound.
        plans: The plan for each of its hands, in order.
        runs: What each came to.
    """
    return _Joining(library.hands, plans, runs).joined()


def asked(library: Library) -> Mapping[str, tuple[str, ...]]:
    """Return the clauses that jobs of a bound arrangement are asked, each with what it is asked of.

    Args:
        library: The books, an arrangement bound.

    Returns:
        The parts in words by the clause's full name, of whichever hand. Each list stands with two
        rows here, so that what is asked of two of them counts as asked.
    """
    rows = tuple((fact.name, 2) for fact in library.facts.values() if fact.rows)
    found: dict[str, dict[str, None]] = {}
    for shape in shapes(library, rows):
        for case in plan(library, shape).cases:
            found.setdefault(case.clause.name, {})[case.means] = None
    return {name: tuple(subjects) for name, subjects in found.items()}


class _Joining:
    def __init__(self, hands: tuple[str, ...], plans: Sequence[Plan], runs: Sequence[Run]) -> None:
        self.hands = hands
        self.plans = plans
        self.runs = runs
        self.steps = [{step.name: step for step in plan.steps} for plan in plans]
        self.values = [
            dict(zip(steps, run.values, strict=True))
            for steps, run in zip(self.steps, runs, strict=True)
        ]
        self.differs: set[str] = set()

    def joined(self) -> Joined:
        steps = self._steps()
        cases, outcomes, unlike = self._cases()
        shape = tuple(row for row in self.plans[0].shape if row[0] != HAND)
        faults = dict.fromkeys(fault for run in self.runs for fault in run.faults)
        return Joined(
            plan=Plan(
                leaves=self.plans[0].leaves,
                steps=steps,
                cases=cases,
                shape=shape,
                plain=self._plain,
            ),
            run=Run(
                outcomes=outcomes,
                values=tuple(self._value(step) for step in steps),
                faults=tuple(faults),
            ),
            differs=frozenset(self.differs),
            unlike=unlike,
        )

    def _plain(self, name: str) -> str:
        """Return the plain name for a path; one that leads elsewhere for each hand stays a path."""
        found = {plan.plain(name) for plan in self.plans}
        return found.pop() if len(found) == 1 else name

    def _steps(self) -> tuple[Step, ...]:
        found: dict[str, Step] = {}
        for steps in self.steps:  # each hand in its own order, so that what a step needs is known
            for name in steps:
                if name not in found:
                    found[name] = self._step(name)
        grown = True
        while grown:  # a step differs where what it needs does, in whichever order the hands go
            more = {n for n, step in found.items() if self.differs.intersection(leaves(step.drawn))}
            grown = not more <= self.differs
            self.differs |= more
        return tuple(found.values())

    def _step(self, name: str) -> Step:
        """Return a step; one on another way for each hand waits for the hand, whatever it needs."""
        every = [steps.get(name) for steps in self.steps]
        first = next(step for step in every if step is not None)
        alike = all(
            step is not None and (step.drawn, step.built) == (first.drawn, first.built)
            for step in every
        )
        if not alike or _apart(first, [values.get(name) for values in self.values]):
            self.differs.add(name)
        nothing = Number(_NAN)
        waits = Choose(_is(self.hands[0]), nothing, nothing)
        return first if alike else replace(first, drawn=waits, built=None)

    def _value(self, step: Step) -> float:
        values = [values.get(step.name, _NAN) for values in self.values]
        return _NAN if _apart(step, values) else values[0]

    def _cases(self) -> tuple[tuple[Case, ...], tuple[int, ...], frozenset[int]]:
        places = [
            {(case.clause.name, case.subject): at for at, case in enumerate(plan.cases)}
            for plan in self.plans
        ]
        cases: list[Case] = []
        outcomes: list[int] = []
        unlike: set[int] = set()
        for at, key in enumerate(dict.fromkeys(key for one in places for key in one)):
            asked: list[Case | None] = []
            found: list[int] = []
            for one, run, place in zip(self.plans, self.runs, places, strict=True):
                asked.append(one.cases[place[key]] if key in place else None)
                found.append(run.outcomes[place[key]] if key in place else EXEMPT)
            case = self._case(asked)
            cases.append(case)
            outcomes.append(_outcome(found))
            names = {name for tree in _trees(case) if tree is not None for name in leaves(tree)}
            if case is not asked[0] or self.differs.intersection(names):
                unlike.add(at)
        return tuple(cases), tuple(outcomes), frozenset(unlike)

    def _case(self, asked: Sequence[Case | None]) -> Case:
        known = [case for case in asked if case is not None]
        first = known[0]
        whole = len(known) == len(asked)
        if whole and all((*_trees(c), c.parts) == (*_trees(first), first.parts) for c in known):
            return first
        when, needs, softer = (
            self._question([_trees(case)[at] if case else None for case in asked])
            for at in range(3)
        )
        parts = {
            name: " or ".join(dict.fromkeys(case.parts[name] for case in known))
            for name in first.parts
        }
        return replace(first, when=when, needs=needs, softer=softer, parts=parts)

    def _question(self, trees: Sequence[Node | None]) -> Node | None:
        """Return the question of whichever hand it is; where all have one answer, that is it."""
        known = [tree if tree is not None else Both(()) for tree in trees]
        if all(tree is None for tree in trees) or all(tree == known[0] for tree in known):
            return trees[0]
        *hands, _ = self.hands
        asked = [_is(hand) for hand in hands]
        last = Both(tuple(Not(one) for one in asked))
        ways = [Both(pair) for pair in zip((*asked, last), known, strict=True)]
        return Either((*ways, Both(tuple(known))))


_NAN = float("nan")


def _is(hand: str) -> Node:
    return Compare("==", Name(HAND), Word(hand))


def _trees(case: Case) -> tuple[Node | None, Node | None, Node | None]:
    return case.when, case.needs, case.softer


def _apart(step: Step, values: Sequence[float | None]) -> bool:
    """Return whether a step's values are not the same for every hand; all unknown are the same."""
    known = [value for value in values if value is not None and value == value]  # nan
    if len(known) < len(values):
        return bool(known)
    hair = step.kind.hair or 0.0
    return max(known) - min(known) > hair


def _outcome(outcomes: Sequence[int]) -> int:
    """Return what stands whichever hand it is.

    Where a clause is exempt for one hand and holds for another it asks nothing, and holds.
    """
    found = set(outcomes)
    if len(found) == 1:
        return outcomes[0]
    if found <= {EXEMPT, HOLDS}:
        return HOLDS
    return SOFTER if found == {FAILS, SOFTER} else UNKNOWN
