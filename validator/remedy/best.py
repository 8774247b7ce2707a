"""The best value that a clause reaches with this kit where no design meets it."""

import itertools
import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from .options import grid_of
from .ranges import Node
from .result import Best
from .search import HAIR, Search, Task
from .solve import Solver
from .trial import Trying
from .wanted_change import ANY

MOST_NODES = 300  # nodes for one look; it is told as the best found where they run out
MOST_ALONE = 2000  # nodes for one lever by itself: all its options
MOST_ROUNDS = 2  # times that pairs of levers are moved from the best found so far

Reached = tuple[tuple[int, ...], float, bool]
"""A point, the margin there, and whether it is proved that no point of the look has more."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reaching:
    """Looks for the point at which a clause has its greatest margin, all else holding.

    Attributes:
        solver: The search that found no cure.
        trying: What changes are tried with.
    """

    solver: Solver
    trying: Trying

    def best(self, target: int) -> Best | None:
        """Return the best value the clause reaches with this kit, None where it is no better.

        Args:
            target: Place of the case.

        Raises:
            Ended: The caller said so.
        """
        solver, chosen = self.solver, self.solver.present
        now = tuple(lever.at for lever in solver.levers.narrow)
        if target in chosen.settled:
            return None
        present = chosen.cell(target).said(tuple((at, at) for at in now)).low
        if math.isnan(present) or self.most(solver, target) <= present + self.worth(target):
            return None
        found = self._greatest(target, (now, present, False))
        if found[1] <= present + HAIR:
            return None
        trial = self.trying.trial(solver.solution(chosen, found[0], proved=True))
        told = trial.verdict.teller().tell(trial.verdict.plan.cases[target])
        if told.actual is None or told.limit is None:
            return None
        return Best(actual=told.actual, limit=told.limit, changes=trial.changes, proved=found[2])

    def _greatest(self, target: int, found: Reached) -> Reached:
        """Return the best of a look at all levers, each alone, and pairs from the best so far.

        One lever or two are soon gone through to the end, where all of them together are not. Pairs
        are left out where a clause takes long to ask.
        """
        now = found[0]
        whole = self._look(target, self.solver.bounds(self.solver.dearest), MOST_NODES)
        if whole is not None and whole[2]:
            return whole
        found = _better(found, whole)
        for free in self._alone(target):
            found = _better(found, self._look(target, self._around(now, free), MOST_ALONE))
        for _ in range(0 if target in self.solver.space.costly else MOST_ROUNDS):
            before = found
            for free in self._pairs(target):
                found = _better(found, self._look(target, self._around(found[0], free), MOST_NODES))
            if found is before:
                break
        return (*found[:2], False)

    def _alone(self, target: int) -> Iterator[tuple[int, ...]]:
        return ((which,) for which in self.solver.present.cell(target).levers)

    def _pairs(self, target: int) -> Iterator[tuple[int, ...]]:
        levers = self.solver.present.cell(target).levers
        many = range(len(self.solver.levers.narrow))
        pairs = itertools.combinations(many, 2)
        return (pair for pair in pairs if not set(pair).isdisjoint(levers))

    def _around(self, at: tuple[int, ...], free: Iterable[int]) -> Node:
        """Return ranges in which some levers may move, the others staying at a point."""
        ends = self.solver.bounds(self.solver.dearest)
        return tuple(ends[w] if w in free else (one, one) for w, one in enumerate(at))

    def _look(self, target: int, bounds: Node, most: int) -> Reached | None:
        """Return the best of one look in some ranges; None where it found nothing."""
        solver, chosen = self.solver, self.solver.present
        allowed = list(solver.allowed)
        allowed[target] = ANY
        active = {target, *(at for at in solver.guards if at not in chosen.settled)}
        while True:
            task = Task(
                chosen=chosen,
                cases=tuple(sorted(active)),
                allowed=allowed,
                bounds=bounds,
                cured=frozenset((target,)),
            )
            found = Search(task=task, effort=solver.effort).greatest(target, most)
            if found is None:
                return None
            broken = solver.broken(chosen, found[0], allowed) - active
            if not broken:
                return found
            active |= broken

    def worth(self, target: int) -> float:
        """Return how much more of a margin is worth telling: a step of the grid, for a length."""
        verdict = self.trying.verdict
        told = verdict.teller().tell(verdict.plan.cases[target])
        is_length = told.margin is not None and told.margin.kind.name == "length"
        return float(grid_of(verdict)) if is_length else HAIR

    def most(self, solver: Solver, target: int) -> float:
        """Return what the target's margin surely does not exceed over one choice.

        Args:
            solver: The search; of this job, or of one like it.
            target: Place of the case.
        """
        chosen = solver.present
        if target in chosen.settled:
            return -math.inf
        allowed = list(solver.allowed)
        allowed[target] = ANY
        guards = (at for at in solver.guards if at not in chosen.settled)
        task = Task(
            chosen=chosen,
            cases=tuple(sorted({target, *guards})),
            allowed=allowed,
            bounds=solver.bounds(solver.dearest),
        )
        return Search(task=task, effort=solver.effort).most(target)


def _better(found: Reached, other: Reached | None) -> Reached:
    return found if other is None or other[1] <= found[1] + HAIR else other
