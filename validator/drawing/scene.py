"""The parts of a job that are drawn, each by the view of the nearest of its sorts."""

from collections.abc import Sequence

from .found import Found
from .part import Part
from .pen import FROM_START, Count, Measure, Pen
from .sizes import Sizes
from .sorts import VIEWS
from .view import Detail, Hand, Painter, View

_BARE = 25.0  # of a plan past its outermost lines where no edge of the ground is known, mm


class Scene:
    """Everything of a job that can be drawn, in the order in which it is painted."""

    def __init__(self, sizes: Sizes) -> None:
        """Find the view of each part; a part of no drawn sort has none."""
        self.sizes = sizes
        every = [Part(sizes, name) for name in sizes.parts]
        drawn = [(view, part) for part in every if (view := _nearest(part)) is not None]
        self.parts = tuple(sorted(drawn, key=lambda one: VIEWS.index(one[0])))
        self._counts = {part.name: view.counts(part) for view, part in self.parts}
        self._reaches = [(self._counts[part.name], view.reach(part)) for view, part in self.parts]

    def hand(self) -> Hand:
        """Return which hand the job has."""
        told = (view.hand(part) for view, part in self.parts if view.hand is not None)
        return next(told, _hand(self.sizes.hand, self.sizes.hands))

    def counts(self, part: str) -> Count:
        """Return where the lengths of a part count from."""
        return self._counts.get(self.sizes.plain(part), FROM_START)

    def extent(self) -> tuple[Measure, Measure] | None:
        """Return the two corners of all that an elevation shows, None where nothing can be drawn.

        Returns:
            Least and greatest (along, up), mm of the thing.
        """
        ends = [count.along(one) for count, reach in self._reaches for one in (0.0, *reach.along)]
        along = [0.0, *ends]
        up = [0.0, *(one for _, reach in self._reaches for one in reach.up)]
        if max(along) - min(along) <= 0 or max(up) <= 0:
            return None
        return (min(along), min(up)), (max(along), max(up))

    def depth(self) -> tuple[float, float] | None:
        """Return the outermost and innermost line of the plan, mm inward of where it is counted.

        Returns:
            The two, or None where neither glass nor the edges of the ground are known.
        """
        ground = [one for _, reach in self._reaches for one in reach.ground]
        lines = [*ground, *(one for _, reach in self._reaches for one in reach.across)]
        if not lines:
            return None
        room = 0.0 if ground else _BARE
        return min(lines) - room, max(lines) + room

    def elevation(self, pen: Pen) -> Found:
        """Draw the elevation; return where things are."""
        return self._drawn(pen, [view.elevation for view, _ in self.parts])

    def plan(self, pen: Pen) -> Found:
        """Draw the plan; return where things are."""
        return self._drawn(pen, [view.plan for view, _ in self.parts])

    def details(self) -> tuple[Detail, ...]:
        """Return the pieces of the plan that are enlarged, from where lengths count on."""
        found = [detail for view, part in self.parts for detail in view.details(part)]
        return tuple(sorted(found, key=lambda detail: detail.focus))

    def _drawn(self, pen: Pen, painters: Sequence[Painter]) -> Found:
        every = Found()
        for (_, part), paint in zip(self.parts, painters, strict=True):
            found = Found()
            lines, lacked = pen.canvas.many, self.sizes.lacked
            paint(pen.counted(self._counts[part.name]), part, found)
            if pen.canvas.many == lines and self.sizes.lacked > lacked:
                every.undrawn.add(part.name)
            every.add(part.name, found)
        return every


def _nearest(part: Part) -> View | None:
    """Return the view of a sort of the part that no other drawn sort of it extends."""
    fits = {view.sort: view for view in VIEWS if view.sort in part.sorts}
    extends = part.sizes.extends
    for sort, view in fits.items():
        if not any(other != sort and extends(other, sort) for other in fits):
            return view
    return None


def _hand(word: str, words: tuple[str, ...]) -> Hand:
    """Return what is said of a hand that no view speaks of."""
    if not words:
        return Hand(says="Seen from outside")
    note = f"The hand is not known (design.hand): drawn as for the hand {words[0]}."
    says = f"Hand {word or 'not known'}, seen from outside"
    return Hand(says=says, note="" if word else note)
