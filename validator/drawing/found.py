"""What a view tells of what it drew: where things are, and what is written beside them."""

from dataclasses import dataclass, field
from typing import NamedTuple

from .geometry import Point

Anchors = dict[str, Point]
"""Where each thing is on the page, by its part and its spot there, such as `bar.open stop`."""


class Label(NamedTuple):
    """A text and what it tells of."""

    text: str
    at: Point


class Name(NamedTuple):
    """What a pane is called, what glass it is and where its mark is; "" where that is not known."""

    at: Point
    title: str
    glass: str
    mark: str


@dataclass(slots=True, kw_only=True)
class Found:
    """What views of parts found.

    Attributes:
        spots: Where on the page each thing is that a finding may concern.
        moves: What arrows say.
        names: What panes are.
        cuts: What is cut out of panes.
        under: Labels stand lower than this on the page; None where nothing hangs above them.
        notes: Sentences for the foot of the page.
        undrawn: Parts that could not be drawn, and so are not dimensioned.
    """

    spots: Anchors = field(default_factory=dict)
    moves: list[Label] = field(default_factory=list)
    names: list[Name] = field(default_factory=list)
    cuts: list[Label] = field(default_factory=list)
    under: float | None = None
    notes: list[str] = field(default_factory=list)
    undrawn: set[str] = field(default_factory=set)

    def add(self, part: str, found: "Found") -> None:
        """Take over what the view of one part found."""
        self.spots |= {f"{part}.{spot}": at for spot, at in found.spots.items()}
        self.moves += found.moves
        self.names += found.names
        self.cuts += found.cuts
        self.notes += found.notes
        if found.under is not None:
            self.under = max(found.under, self.under or found.under)
