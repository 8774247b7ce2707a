"""Branch and bound over ranges of levers: the least move that some clauses allow, or that none is.

Nodes are taken up by the least they could cost. One is dropped only when a clause of it surely
fails anywhere in its ranges, and the first point found is the least one.
"""

import heapq
import itertools
import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from ruleset.program import FAILS, SOFTER, UNKNOWN

from .effort import Effort, TooMany
from .narrow import Empty
from .ranges import Node, Range, Said, alone
from .wide_choice import Cell, WideChoice

FAILED = frozenset((FAILS, SOFTER))

EASY = 24  # nodes after which it pays to cut off what single clauses forbid


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


Cost = tuple[int, int]
"""Levers moved, and steps in all."""
Entry = tuple[Cost, int, Node]
"""What a node costs at least, its number, and the node."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Met:
    """A point that every clause allows.

    Attributes:
        point: An option for each lever.
        cost: What it costs.
        rank: What decides between points of equal cost; the least goes first.
    """

    point: tuple[int, ...]
    cost: Cost
    rank: tuple[float, ...]


@dataclass(slots=True, kw_only=True)
class Search:
    """One search.

    Attributes:
        task: What is asked.
        effort: Counts the work.
        cells: The clauses that count.
        levers: Places of the levers that any of them depends on.
        heap: Nodes that are still to be taken up, by what they cost at least.
        done: Nodes whose nearest point was found to do.
        best: The best point found so far.
        taken: Nodes taken up so far.
    """

    task: Task
    effort: Effort
    cells: tuple[Cell, ...] = ()
    levers: tuple[int, ...] = ()
    heap: list[Entry] = field(default_factory=list)
    done: list[Entry] = field(default_factory=list)
    best: Met | None = None
    taken: int = 0
    tie: Iterator[int] = field(default_factory=itertools.count)

    def __post_init__(self) -> None:
        """Look up the clauses; those that count for the cure come first."""
        self._look_up()

    def _look_up(self) -> None:
        order = sorted(self.task.cases, key=lambda at: (at not in self.task.cured, at))
        chosen, given = self.task.chosen, self.task.given
        self.cells = tuple(chosen.cell(at, given=at in given) for at in order)
        self.levers = tuple(dict.fromkeys(lever for cell in self.cells for lever in cell.levers))

    def join(self, task: Task) -> None:
        """Take up further clauses, and go on from where the search is.

        What the clauses so far forbid stays forbidden, whatever further levers play.

        Args:
            task: All the clauses, over the same chosen and in the same bounds.
        """
        before = set(self.levers)
        self.task = task
        self._look_up()
        free = {which: task.bounds[which] for which in self.levers if which not in before}
        nodes = [(cost, tie, _with(node, free)) for cost, tie, node in (*self.heap, *self.done)]
        heapq.heapify(nodes)
        self.heap, self.done, self.best = nodes, [], None

    def least(self, most: int | None = None) -> tuple[int, ...] | None:
        """Return the least point that every clause allows, an option for each lever; or None.

        Args:
            most: How many nodes may be taken up; any number for None.

        Raises:
            Ended: The caller said so.
            TooMany: There were more nodes.
        """
        until = math.inf if most is None else self.taken + most
        if not self.taken:
            self._push(self._root())
        while self.heap and (self.best is None or self.heap[0][0] <= self.best.cost):
            entry = heapq.heappop(self.heap)
            self.effort.count()
            self.taken += 1
            if self.taken > until:
                raise TooMany
            if self.taken == EASY:
                self._begin_anew()
            else:
                self._take_up(entry)
        return self.best.point if self.best else None

    def _begin_anew(self) -> None:
        """Begin again without what single clauses forbid."""
        self.heap, self.done, self.best = [], [], None
        root = self._shaved(self._root())
        if root is not None:
            self._push(root)

    def _take_up(self, entry: Entry) -> None:
        """Look at a node: its nearest point does, or its parts are to be taken up."""
        _, _, node = entry
        undecided = self._undecided(node)
        if undecided is None:
            return
        nearest = self._nearest(node)
        broken = self._broken(nearest, undecided)
        if not broken:
            self._keep(nearest, node)
            # Nothing else in it costs less. What ties with it may leave more margin, so that a node
            # with ties goes on until its clauses are decided all over.
            if not undecided or not self._has_ties(node):
                self.done.append(entry)
                return
        part = self._narrowed(node, undecided)
        # A node made narrower may cost more now, as its nearest point has moved: it waits its turn
        # among the others again, and is taken apart only once nothing narrows it.
        if part == node:
            for one in self._children(node, broken or undecided):
                self._push(one)
        elif part is not None:
            self._push(part)

    def _keep(self, point: tuple[int, ...], node: Node) -> None:
        rank = self._rank(point)
        if self.best is None or rank < self.best.rank:
            self.best = Met(point=point, cost=self._cost(node), rank=rank)

    def _push(self, node: Node) -> None:
        heapq.heappush(self.heap, (self._cost(node), next(self.tie), node))

    def _has_to_hold(self, cell: Cell) -> bool:
        return cell.may_fail and self.task.allowed[cell.at].isdisjoint(FAILED)

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
            broken = self._broken(nearest, undecided)
            if not broken:
                return nearest
            stack += sorted(self._children(node, broken), key=self._cost, reverse=True)
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
                # Rounded, so that bounds that only floats tell apart go by cost.
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
        ranges, within = list(node), self.task.chosen.within(node)
        try:
            for cell in cells:
                if self._has_to_hold(cell):
                    cell.narrow(ranges, within)
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
        # Sums take long to bound: only the clause likeliest to forbid it all is asked by them.
        nearest = self._nearest_to_no(node, (one for one in found if self._has_to_hold(one)))
        return None if nearest is not None and nearest.surely_fails(node) else tuple(found)

    def _nearest_to_no(self, node: Node, cells: Iterable[Cell]) -> Cell | None:
        """Return the clause of which the least share of its margins is on its right side."""
        bounded = (one for one in cells if one.sums)
        return min(bounded, key=lambda one: _chance(one.said(node)), default=None)

    def _broken(self, point: tuple[int, ...], cells: Sequence[Cell]) -> tuple[Cell, ...]:
        """Return the clauses that a point breaks, of those that are open around it."""
        node = alone(point)
        return tuple(
            cell for cell in cells if cell.said(node).code not in self.task.allowed[cell.at]
        )

    def _has_ties(self, node: Node) -> bool:
        """Return whether another point of a node may cost as little as its nearest one."""
        narrow = self.task.chosen.narrow
        return any(
            low < high and not low <= narrow[which].at <= high and not narrow[which].rising
            for which, (low, high) in enumerate(node)
        )

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
        # Where the lever may stay as it is, that is a part of its own: the rest costs a move more.
        if low <= now <= high:
            parts: tuple[Range, ...] = ((now, now), (low, now - 1), (now + 1, high))
        else:
            middle = (low + high) // 2
            parts = ((low, middle), (middle + 1, high))
        for part in parts:
            if part[0] <= part[1]:
                yield (*node[:which], part, *node[which + 1 :])

    def _branch(self, node: Node, cells: Sequence[Cell]) -> int | None:
        """Return the lever to take apart: what takes the clause that is nearest to no furthest."""
        narrow = self.task.chosen.narrow
        # Choices first: what depends on them is told poorly while they are open.
        for cell in cells:
            for which in cell.levers:
                if not narrow[which].rising and node[which][0] < node[which][1]:
                    return which
        point = self._nearest(node)
        at = alone(point)
        wide = [which for which, (low, high) in enumerate(node) if low < high]
        for one in sorted(cells, key=lambda one: _chance(one.said(node))):
            own = [which for which in wide if which in one.levers]
            if own:
                sways = {which: one.said(_with(at, {which: node[which]})) for which in own}
                return max(own, key=lambda which: (_sway(sways[which]), self._width(node, which)))
        return max(wide, key=lambda which: self._width(node, which), default=None)

    def _width(self, node: Node, which: int) -> tuple[bool, int]:
        """Return whether a lever may stay as it is, and how many options it has beside one."""
        low, high = node[which]
        return low <= self.task.chosen.narrow[which].at <= high, high - low


def _sway(said: Said) -> float:
    """Return how far a margin goes; 0 where that is not told."""
    return said.high - said.low if said.high > said.low else 0.0


def _chance(said: Said) -> float:
    """Return which share of its margins is on a clause's right side."""
    share = said.high / (said.high - said.low) if said.high > said.low else math.inf
    return share if share == share else math.inf  # nan


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
