"""What the parts of a sort show: how far they reach, and a function for each view."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from .found import Found
from .part import Part
from .pen import FROM_START, Count, Pen

Painter = Callable[[Pen, Part, Found], None]
"""Draws a part with a pen, and tells of what it drew."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hand:
    """Which hand a job has.

    Attributes:
        says: That, in words.
        note: What is to be said where the hand is not known; "" for nothing.
    """

    says: str
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """How far a part reaches, mm; what is not known is left out.

    Attributes:
        along: Places along the run, from where the part's lengths count.
        up: Heights, those below the datum negative.
        across: Lines of a plan, inward positive.
        ground: Edges of what the glass stands on, inward positive.
    """

    along: tuple[float, ...] = ()
    up: tuple[float, ...] = ()
    across: tuple[float, ...] = ()
    ground: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Detail:
    """An enlarged piece of the plan.

    Attributes:
        part: The part that it is of.
        title: Its caption; rows of chains name it so.
        focus: The point that is brought to `share` of the window, from where the part's lengths
            count, mm.
        share: From 0 at the side that they count from to 1 at the other.
        wide: Whether it takes the whole column, sizes across beside it.
        chained: Whether its chains are drawn.
    """

    part: str
    title: str
    focus: float
    share: float
    wide: bool = False
    chained: bool = True


def _from_start(_: Part) -> Count:
    """Return that a part's lengths count from the left end of the run."""
    return FROM_START


def _nowhere(_: Part) -> Reach:
    """Return that a part reaches nowhere by itself."""
    return Reach()


def _unseen(_pen: Pen, _part: Part, _found: Found) -> None:
    """Draw nothing."""


def _none(_: Part) -> Iterator[Detail]:
    """Yield no detail."""
    yield from ()


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """What every part of a sort shows; a part shows what the nearest of its sorts does.

    Attributes:
        sort: The sort.
        hand: Tells which hand the job has; None where it is not the sort's to say.
        counts: Tells where a part's own lengths along the run count from: what it reaches, draws
            and is dimensioned by.
        reach: Tells how far a part reaches.
        elevation: Draws a part seen from outside.
        plan: Draws a part cut through just over the curb.
        details: Tells which pieces of the plan are enlarged.
    """

    sort: str
    hand: Callable[[Part], Hand] | None = None
    counts: Callable[[Part], Count] = _from_start
    reach: Callable[[Part], Reach] = _nowhere
    elevation: Painter = _unseen
    plan: Painter = _unseen
    details: Callable[[Part], Iterable[Detail]] = _none
