"""Branch and bound over ranges of levers: the least move that some clauses allow, or that none is.

Nodes are taken up by the least they could cost. One is dropped only when a clause of it surely
fails anywhere in its ranges, and the first point found is the least one.
"""

import heapq
import itertools
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from ruleset.errors import Stopped
from ruleset.program import FAILS, SOFTER, UNKNOWN

from .narrow import Empty
from .wide_choice import Cell, Node, Range, WideChoice

FAILED = frozenset((FAILS, SOFTER))

Cost = tuple[int, int]
"""Levers moved, and steps in all."""
EASY = 24  # nodes after which it pays to cut off what single clauses forbid
LEAF = 64  # nodes between two questions whether to go on


class Ended(Exception):
    """The caller ended the search before it was done."""


ENDED = (Ended, KeyboardInterrupt, Stopped)
"""What ends a search from outside; what was found by then is kept."""


class TooMany(Exception):
    """A search took up more nodes than it was given."""


@dataclass(slots=True, kw_only=True)
class Effort:
    """Counts the work of a search, which is so much and no more, the same on every machine.

    Attributes:
        is_over: Asked now and then whether the caller ends the search.
        nodes: Nodes taken up so far.
        ended: Whether the caller ended it.
    """

    is_over: Callable[[], bool] = lambda: False
    nodes: int = 0
    ended: bool = False

    def count(self) -> None:
        """Count one node."""
        self.nodes += 1
        if self.nodes % LEAF == 0:
            self.tick()

    def tick(self) -> None:
        """Ask whether to go on.

        Raises:
            Ended: The caller said no.
        """
        if self.ended or self.is_over():
            self.ended = True
            raise Ended


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """What is asked of a search.

    Attributes:
        chosen: The choice of kit, glass and hand.
        cases: Places of the clauses that count.
        allowed: The outcomes that each case may have.
        bounds: First and last option of each lever that may be used.
        given: Places of the cases that are taken for asked, as what they depend on is asked too.
        cured: Places of the cases whose margin decides between points of equal cost.
    """

    chosen: WideChoice
    cases: tuple[int, ...]
    allowed: Sequence[frozenset[int]]
    bounds: Node
    given: frozenset[int] = frozenset()
    cured: frozenset[int] = frozenset()


@dataclass(slots=True, kw_only=True)
class Search:
    """One search.

    Attributes:
        task: What is asked.
        effort: Counts the work.
        cells: The clauses that count.
        levers: Places of the levers that any of them depends on.
    """

    task: Task
    effort: Effort
    cells: tuple[Cell, ...] = ()
    levers: tuple[int, ...] = ()
    tie: Iterator[int] = field(default_factory=itertools.count)

    def __post_init__(self) -> None:
        """Look up the clauses; those that count for the cure come first."""
        order = sorted(self.task.cases, key=lambda at: (at not in self.task.cured, at))
        chosen, given = self.task.chosen, self.task.given
        self.cells = tuple(chosen.cell(at, given=at in given) for at in order)
        self.levers = tuple(dict.fromkeys(lever for cell in self.cells for lever in cell.levers))

    def least(self, most: int | None = None) -> tuple[int, ...] | None:
        """Return the least point that every clause allows, an option for each lever; or None.

        Args:
            most: How many nodes may be taken up; any number for None.

        Raises:
            Ended: The caller said so.
            TooMany: There were more nodes.
        """
        begun = self.effort.nodes
        heap = [(self._cost(self._root()), next(self.tie), self._root())]
        best: tuple[tuple[int, ...], tuple[float, ...]] | None = None
        limit: Cost | None = None
        while heap:
            cost, _, node = heapq.heappop(heap)
            if limit is not None and cost > limit:
                break
            self.effort.count()
            taken = self.effort.nodes - begun
            if most is not None and taken > most:
                raise TooMany
            if taken == EASY:  # begun again, without what single clauses forbid
                root = self._shaved(self._root())
                heap = [] if root is None else [(self._cost(root), next(self.tie), root)]
                best, limit = None, None
                continue
            undecided = self._undecided(node)
            if undecided is None:
                continue
            if not undecided:
                nearest = self._nearest(node)
                rank = self._rank(nearest)
                if best is None or rank < best[1]:
                    best, limit = (nearest, rank), cost
                continue
            part = self._narrowed(node, undecided)
            parts = (
                self._children(node, undecided) if part == node else [] if part is None else [part]
            )
            for one in parts:
                heapq.heappush(heap, (self._cost(one), next(self.tie), one))
        return best[0] if best else None

    def _forbids(self, cell: Cell, node: Node) -> bool:
        """Return whether a clause allows nothing in the ranges of a node."""
        code = cell.said(node).code
        return code not in self.task.allowed[cell.at] and (code != UNKNOWN or cell.is_point(node))

    def any(self, most: int) -> tuple[int, ...] | None:
        """Return some point that every clause allows, or None where few looks find none.

        Args:
            most: How many nodes are looked at.

        Raises:
            Ended: The caller said so.
        """
        root = self._shaved(self._root())
        stack = [] if root is None else [root]
        for _ in range(most):
            if not stack:
                return None
            node = stack.pop()
            self.effort.count()
            undecided = self._undecided(node)
            if undecided is None:
                continue
            nearest = self._nearest(node)
            if not undecided:
                return nearest
            stack += sorted(self._children(node, undecided), key=self._cost, reverse=True)
        return None

    def greatest(self, at: int, most: int) -> tuple[tuple[int, ...], float, bool] | None:
        """Return the point at which a case has its greatest margin, all clauses allowing it.

        Args:
            at: Place of the case; it is one of the clauses that count.
            most: How many nodes are looked at.

        Returns:
            The point, its margin, and whether none is proved to be greater by more than a hair.

        Raises:
            Ended: The caller said so.
        """
        cell = self.task.chosen.cell(at)
        root = self._shaved(self._root())
        heap = (
            []
            if root is None
            else [(-cell.said(root).high, self._cost(root), next(self.tie), root)]
        )
        best: tuple[tuple[int, ...], float] | None = None
        for _ in range(most):
            if not heap:
                break
            bound, _, _, node = heapq.heappop(heap)
            if best is not None and -bound <= best[1] + HAIR:
                return (*best, True)
            self.effort.count()
            undecided = self._undecided(node)
            if undecided is None:
                continue
            point = self._nearest(node)
            only = alone(point)
            if self._undecided(only) == ():
                margin = cell.said(only).low
                if best is None or margin > best[1] + HAIR:
                    best = (point, margin)
            for child in self._children(node, undecided or (cell,)):
                key = -round(cell.said(child).high, 6)
                heapq.heappush(heap, (key, self._cost(child), next(self.tie), child))
        return (*best, not heap) if best else None

    def most(self, at: int) -> float:
        """Return what a margin surely does not exceed, minus infinity where no point is left."""
        root = self._shaved(self._root())
        return -math.inf if root is None else self.task.chosen.cell(at).said(root).high

    def _root(self) -> Node:
        used = set(self.levers)
        return tuple(
            ends if which in used else (lever.at, lever.at)
            for which, (ends, lever) in enumerate(
                zip(self.task.bounds, self.task.chosen.narrow, strict=True)
            )
        )

    def _shaved(self, root: Node) -> Node | None:
        """Return a node without the ends of ranges that some clause surely forbids; None for none.

        A clause that one lever alone decides is told once here, not again in every part of the
        others' ranges.
        """
        node, before = root, None
        while node != before:
            before = node
            for cell in self.cells:
                code = cell.said(node).code
                if code != UNKNOWN and code in self.task.allowed[cell.at]:
                    continue  # allowed all over
                for which in cell.levers:
                    ends = self._shaved_ends(cell, node, which)
                    if ends is None:
                        return None
                    node = _with(node, {which: ends})
        return node

    def _shaved_ends(self, cell: Cell, node: Node, which: int) -> Range | None:
        low, high = node[which]

        def forbids(first: int, last: int) -> bool:
            return self._forbids(cell, _with(node, {which: (first, last)}))

        low += _longest(high - low + 1, lambda size: forbids(low, low + size - 1))
        high -= _longest(high - low + 1, lambda size: forbids(high - size + 1, high))
        return (low, high) if low <= high else None

    def _narrowed(self, node: Node, cells: Sequence[Cell]) -> Node | None:
        """Return a node without what clauses that are sums forbid in it; None for nothing left."""
        ranges, before = list(node), None
        try:
            while ranges != before:
                before = list(ranges)
                for cell in cells:
                    if self.task.allowed[cell.at].isdisjoint(FAILED):
                        cell.narrow(ranges, self.task.chosen.places)
        except Empty:
            return None
        return tuple(ranges)

    def _undecided(self, node: Node) -> tuple[Cell, ...] | None:
        """Return the clauses that the node leaves open, None where one forbids it all."""
        found = []
        for cell in self.cells:
            code = cell.said(node).code
            if code in self.task.allowed[cell.at] and (code != UNKNOWN or cell.is_point(node)):
                continue
            if code == UNKNOWN and not cell.is_point(node):
                found.append(cell)
            else:
                return None
        return tuple(found)

    def _nearest(self, node: Node) -> tuple[int, ...]:
        return tuple(
            _nearest(ends, lever.at)
            for ends, lever in zip(node, self.task.chosen.narrow, strict=True)
        )

    def _cost(self, node: Node) -> Cost:
        moved = steps = 0
        for which in self.levers:
            low, high = node[which]
            lever = self.task.chosen.narrow[which]
            if low <= lever.at <= high:
                continue
            moved += 1
            steps += lever.steps[low if low > lever.at else high]
        return (moved, steps)

    def _rank(self, point: tuple[int, ...]) -> tuple[float, ...]:
        """Return what decides between points of equal cost: the least margin, then the levers."""
        node = alone(point)
        margins = [
            said.low
            for cell in self.cells
            if cell.at in self.task.cured and (said := cell.said(node)).low == said.low
        ]
        moved = [
            which for which, lever in enumerate(self.task.chosen.narrow) if point[which] != lever.at
        ]
        return (-round(min(margins, default=0.0), 6), *moved)

    def _children(self, node: Node, undecided: Sequence[Cell]) -> Iterator[Node]:
        which = self._branch(node, undecided)
        if which is None:
            return
        low, high = node[which]
        now = self.task.chosen.narrow[which].at
        if low <= now <= high:
            parts: tuple[Range, ...] = ((now, now), (low, now - 1), (now + 1, high))
        else:
            middle = (low + high) // 2
            parts = ((low, middle), (middle + 1, high))
        for part in parts:
            if part[0] <= part[1]:
                yield (*node[:which], part, *node[which + 1 :])

    def _branch(self, node: Node, undecided: Sequence[Cell]) -> int | None:
        """Return the lever to take apart: one that is not yet decided, else the widest."""
        narrow = self.task.chosen.narrow
        groups: list[Sequence[int]] = [*(cell.levers for cell in undecided), self.levers]
        # Choices first: what depends on them is told poorly while they are open.
        choices = [w for cell in undecided for w in cell.levers if not narrow[w].rising]
        for levers in (choices, *groups):
            wide = [which for which in levers if node[which][0] < node[which][1]]
            if not wide:
                continue
            both = [which for which in wide if node[which][0] <= narrow[which].at <= node[which][1]]
            return max(both or wide, key=lambda which: node[which][1] - node[which][0])
        return None


def alone(options: Sequence[int]) -> Node:
    """Return a point as a node: each lever at one option."""
    return tuple([(option, option) for option in options])


def _with(node: Node, ranges: Mapping[int, Range]) -> Node:
    return tuple([ranges.get(which, ends) for which, ends in enumerate(node)])


def _longest(most: int, so: Callable[[int], bool]) -> int:
    """Return the greatest size that something is so of, where it is then so of each smaller one.

    Args:
        most: The greatest that may be asked; 0 or more.
        so: What is asked of a size of 1 or more.

    Example:
        >>> [_longest(10, lambda size: size <= so) for so in (0, 1, 7, 30)]
        [0, 1, 7, 10]
    """
    known, tried = 0, 1
    while tried <= most and so(tried):
        known, tried = tried, 2 * tried
    no = min(tried, most + 1)
    while no - known > 1:
        middle = (known + no) // 2
        if so(middle):
            known = middle
        else:
            no = middle
    return known


HAIR = 1e-6  # internal units of a margin; two margins nearer than this are one


def _nearest(ends: Range, at: int) -> int:
    return min(max(at, ends[0]), ends[1])
