"""The papers that glass sizes stand on: order, acknowledgement, measured on the rack."""

from collections.abc import Mapping

from ruleset.record import record

from .as_built import ACKNOWLEDGED, ORDER, RACK, Frozen, paper_sizes
from .slips import is_near
from .verdict import Verdict


@record
class Paper:
    """One paper that sizes stand on.

    Attributes:
        sizes: Facts of its sizes, with {part} and {side}.
        holes: Facts of its holes, with {part}.
        clause: The clause that asks for its sizes.
        apart: The limit for holes.
        named: What it is, to begin a sentence.
        do: What to do about a slip on it.
    """

    sizes: str
    holes: str
    clause: str
    apart: str
    named: str
    do: str


PAPERS = (
    Paper(
        sizes=ORDER,
        holes="order.{part}.holes",
        clause="papers.order",
        apart="papers.limit.hole_apart",
        named="The order",
        do="Correct the order before it is placed.",
    ),
    Paper(
        sizes=ACKNOWLEDGED,
        holes="order.{part}.acknowledged.holes",
        clause="papers.acknowledged",
        apart="papers.limit.hole_apart",
        named="The acknowledgement",
        do="Stop the order and have the acknowledgement corrected.",
    ),
    Paper(
        sizes=RACK,
        holes="as_built.{part}.goods.holes",
        clause="papers.goods",
        apart="papers.limit.hole_apart_goods",
        named="The glass on the rack",
        do="Measure again, seen from outside, before the pane goes to site.",
    ),
)


def within(verdict: Verdict, paper: Paper) -> float:
    """Return how far a size on a paper may be from the take-off, mm."""
    return verdict.library.limits[f"{paper.clause}.most"].value


def is_right(verdict: Verdict, paper: Paper, size: Frozen) -> bool:
    """Return whether a size on a paper is the take-off's, within what is allowed."""
    drawn = verdict.answer(size.step)
    allowed = within(verdict, paper)
    return drawn.known and is_near(drawn.value, size.value, allowed)


def glass_sizes(verdict: Verdict) -> Mapping[str, Frozen]:
    """Return the sizes that the glass has: as measured on the rack, else as rightly ordered."""
    order, rack = PAPERS[0], PAPERS[-1]
    ordered = paper_sizes(verdict, order.sizes)
    return {
        **{size.step: size for size in ordered if is_right(verdict, order, size)},
        **{size.step: size for size in paper_sizes(verdict, rack.sizes)},
    }
