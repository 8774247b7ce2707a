"""Dimensions: chains of lengths between extension lines, and whether they add up as printed."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from .drafting import DIMENSION, LETTER
from .geometry import Point, apart
from .letters import width
from .sizes import Sizes
from .svg import Canvas, text_box

ROW = 6.6
"""From one row of dimensions to the next, mm."""
RAISED = 4.6
"""How much more a row takes whose short lengths are written above it, mm."""
_ARROW = 2.2  # length of an arrow head
_GAP = 0.8  # from the dimension line to its text
_AIR = 1.0  # between texts side by side
_ROOM_FOR_ARROWS = 3 * _ARROW


@dataclass(frozen=True, slots=True, kw_only=True)
class Length:
    """One length of a chain.

    Attributes:
        start: Where it begins along the chain, mm on the page.
        end: Where it ends.
        text: Its number as printed.
        word: What it is, written before the number where there is room.
    """

    start: float
    end: float
    text: str
    word: str = ""

    @property
    def low(self) -> float:
        """Return its smaller end, mm on the page."""
        return min(self.start, self.end)

    @property
    def high(self) -> float:
        """Return its larger end, mm on the page."""
        return max(self.start, self.end)

    def label(self) -> str | None:
        """Return what is written between its ends, None where nothing fits."""
        room = self.high - self.low - _AIR
        for text in (f"{self.word} {self.text}".strip(), self.text):
            if width(text, LETTER) <= room:
                return text
        return None

    @property
    def full(self) -> str:
        """Return its number with what it is."""
        return f"{self.word} {self.text}".strip()


@dataclass(frozen=True, slots=True, kw_only=True)
class DimensionLine:
    """Where a chain stands.

    Attributes:
        across: Where its dimension line is, mm on the page: y of a level one, x of an upright one.
        upright: Whether it measures heights.
        feet: Where extension lines begin, mm on the page in the direction of `across`.
        low: Least position along the chain that a text may take, mm on the page.
        high: Greatest position that a text may take.
    """

    across: float
    upright: bool
    feet: float
    low: float
    high: float

    def point(self, along: float, out: float = 0.0) -> Point:
        """Return a point on the page.

        Args:
            along: Along the chain, mm.
            out: From the dimension line toward where its text is, mm.
        """
        if self.upright:
            return Point(self.across - out, along)
        return Point(along, self.across - out)


def is_crowded(lengths: Sequence[Length], *, upright: bool) -> bool:
    """Return whether a chain needs a second line of text above the first."""
    ordered = sorted(lengths, key=lambda one: one.low)
    inner = ordered if upright else ordered[1:-1]
    return any(one.label() is None for one in inner)


def offsets(
    chains: Sequence[Sequence[Length]], *, upright: bool, texts_inward: bool
) -> list[float]:
    """Return how far from the figure each row of dimensions stands, the nearest first.

    Args:
        chains: The lengths of each row; a row without any takes no room.
        upright: Whether they measure heights.
        texts_inward: Whether texts stand on the side of the figure: below it and right of it.

    Returns:
        Distances, mm, and last the distance at which everything is passed.
    """
    found: list[float] = []
    at = 1.0
    for lengths in chains:
        more = RAISED if is_crowded(lengths, upright=upright) else 0.0
        room = ROW + more if lengths else 0.0
        found.append(at + (room if texts_inward else ROW * bool(lengths) - 2.0))
        at += room
    return [*found, at]


def draw_chains(
    canvas: Canvas, rows: Sequence[tuple[DimensionLine, Sequence[Length]]]
) -> tuple[str, ...]:
    """Draw chains of dimensions; return the texts that found no place.

    All lines come first, so that a text covers the lines of another chain that cross it.

    A text stands above its line; where it is longer than its length it goes beside the chain's
    end, or above the others with a leader.

    Source:
        ISO 129-1: thin lines, filled arrow heads, points where there is no room for them, texts
        above their line to be read from the foot or from the right; from memory.
    """
    ordered = [(row, sorted(lengths, key=lambda one: one.low)) for row, lengths in rows]
    for row, chain in ordered:
        _lines(canvas, row, chain)
    return tuple(text for row, chain in ordered for text in _letters(canvas, row, chain))


def _letters(canvas: Canvas, row: DimensionLine, ordered: Sequence[Length]) -> tuple[str, ...]:
    """Write the texts of a chain; return those that found no place."""
    raised: list[Length] = []
    for at, one in enumerate(ordered):
        text = one.label()
        sides = [-1] * (at == 0) + [1] * (at == len(ordered) - 1)
        if text is not None:
            middle = row.point((one.low + one.high) / 2, _GAP)
            _plated(canvas, text, middle, turned=row.upright)
        elif row.upright or not any(_beside(canvas, row, one, side) for side in sides):
            raised.append(one)
    return _raise(canvas, row, raised)


def _lines(canvas: Canvas, row: DimensionLine, ordered: Sequence[Length]) -> None:
    ends = sorted({round(end, 4) for one in ordered for end in (one.low, one.high)})
    past = 1.2 if row.across > row.feet else -1.2
    for end in ends:
        foot, tip = row.point(end), row.point(end)
        if row.upright:
            foot, tip = Point(row.feet, end), Point(row.across + past, end)
        else:
            foot, tip = Point(end, row.feet), Point(end, row.across + past)
        canvas.line((foot, tip), DIMENSION)
    for one in ordered:
        canvas.line((row.point(one.low), row.point(one.high)), DIMENSION)
        if one.high - one.low >= _ROOM_FOR_ARROWS:
            _arrow(canvas, row, one.low, 1)
            _arrow(canvas, row, one.high, -1)
        else:
            canvas.dot(row.point(one.low))
            canvas.dot(row.point(one.high))


def _arrow(canvas: Canvas, row: DimensionLine, tip: float, back: int) -> None:
    half = _ARROW / 6
    end = tip + back * _ARROW
    canvas.solid((row.point(tip), row.point(end, half), row.point(end, -half)), name="arrow")


def _beside(canvas: Canvas, row: DimensionLine, one: Length, side: int) -> bool:
    """Write a length beside the chain's end; return whether there was room.

    Args:
        canvas: The page.
        row: Where the chain stands.
        one: The length.
        side: -1 before the chain, 1 after it.
    """
    for text in (one.full, one.text):
        long = width(text, LETTER)
        start = one.low - long - 2 * _AIR if side < 0 else one.high + 2 * _AIR
        fits = row.low <= start and start + long <= row.high
        if fits and _write(canvas, text, row, start + long / 2, _GAP):
            ends = (one.low, start) if side < 0 else (one.high, start + long)
            canvas.line([row.point(end) for end in ends], DIMENSION)
            return True
    return False


def _write(canvas: Canvas, text: str, row: DimensionLine, middle: float, out: float) -> bool:
    """Write a text unless it would stand over another; return whether it was written."""
    at = row.point(middle, out)
    box = text_box(text, at, anchor="middle", size=LETTER, turned=row.upright)
    if any(box.meets(label) for label in canvas.labels):
        return False
    _plated(canvas, text, at, turned=row.upright)
    return True


def _plated(canvas: Canvas, text: str, at: Point, *, turned: bool) -> None:
    """Write a text on white that ends at its base line, so that its own line stays."""
    box = text_box(text, at, anchor="middle", size=LETTER, turned=turned)
    under = replace(box, right=at.x + 0.2) if turned else replace(box, bottom=at.y + 0.2)
    canvas.solid(under.corners, fill="white", name="plate")
    canvas.text(text, at, turned=turned)


def _raise(canvas: Canvas, row: DimensionLine, raised: Sequence[Length]) -> tuple[str, ...]:
    """Write lengths above the others, each with a line to its middle; return what has no room."""
    wanted = [((o.low + o.high) / 2, width(o.text, LETTER) + _AIR) for o in raised]
    middles = apart(wanted, row.low, row.high)
    if middles is None:
        return tuple(one.full for one in raised)
    out = _GAP + RAISED
    lost: list[str] = []
    for one, middle in zip(raised, middles, strict=True):
        if _write(canvas, one.text, row, middle, out):
            foot = row.point((one.low + one.high) / 2)
            canvas.leader(row.point(middle, out - 0.9), foot)
        else:
            lost.append(one.full)
    return tuple(lost)


def sum_note(sizes: Sizes, what: str, parts: Sequence[str], whole: str) -> str:
    """Return what to say where a chain's printed numbers miss their printed total; "" otherwise.

    Args:
        sizes: The job's values.
        what: The chain, in words.
        parts: Names of its lengths.
        whole: Name of the total.
    """
    printed = [sizes.printed(name) for name in parts]
    over = sum(printed) - sizes.printed(whole)
    if abs(over) < 1e-4:  # noqa: PLR2004  # mm; far below any grid
        return ""
    worst = max(parts, key=lambda name: abs(sizes.printed(name) - (sizes.get(name) or 0.0)))
    more = "more" if over > 0 else "less"
    return (
        f"{what}: the lengths as rounded make {sizes.shown(abs(over))} {more} than "
        f"{sizes.bare(whole)}; the difference lies in the rounding of {sizes.bare(worst)}."
    )
