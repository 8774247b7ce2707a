"""What the parts of a sort show: how far they reach, and a function for each view."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from .found import Found
from .part import Part
from .pen import Pen

Painter = Callable[[Pen, Part, Found], None]
"""Draws a part with a pen, and tells of what it drew."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Facing:
    """How the run is drawn, seen from outside.

    Attributes:
        direction: 1 where its lengths count to the right, -1 to the left.
        says: Which hand it is, in words.
        note: What is to be said where the hand is not known; "" for nothing.
    """

    direction: float
    says: str
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """How far a part reaches, mm of the run's measures; what is not known is left out.

    Attributes:
        along: Places along the run.
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
        focus: The point along the run that is brought to `share` of the window, mm.
        share: From 0 at the end that the run counts from to 1 at the other.
        wide: Whether it takes the whole column, sizes across beside it.
        chained: Whether its chains are drawn.
    """

    part: str
    title: str
    focus: float
    share: float
    wide: bool = False
    chained: bool = True


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
        facing: Tells how the run is drawn; None where it is not the sort's to say.
        reach: Tells how far a part reaches.
        elevation: Draws a part seen from outside.
        plan: Draws a part cut through just over the curb.
        details: Tells which pieces of the plan are enlarged.
    """

    sort: str
    facing: Callable[[Part], Facing] | None = None
    reach: Callable[[Part], Reach] = _nowhere
    elevation: Painter = _unseen
    plan: Painter = _unseen
    details: Callable[[Part], Iterable[Detail]] = _none
