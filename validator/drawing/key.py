"""The key of the marks: beside the views as far as it goes there, the rest in a band under them."""

from collections.abc import Sequence
from dataclasses import dataclass

from .drafting import LETTER, THIN
from .geometry import Box, Point
from .letters import fit, wrap
from .marks import BUBBLE, Mark, bubble, radius_of
from .svg import Canvas

LEADING = 4.6
"""From one line of text to the next, mm."""
_TO_TITLE = 8.0  # from an entry's edge, past its mark, to what it says, mm
_LINES = ((6, 6), (3, 3), (3, 2), (3, 1), (2, 1), (1, 1))
"""Most lines of an entry that must change, and of any other: the fewer the less room there is."""
_BETWEEN = 1.3  # two entries, one under the other
_APART = 3.0  # the two halves of the band
_HEAD = LEADING + 1.0
_TALLEST = 72.0  # of the band, mm: more would leave the views too small to read
_AIR = 2.0  # over the band

Entry = tuple[Mark, tuple[str, ...]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """What goes where.

    Attributes:
        legend: What the looks of the marks mean, in lines under the entries beside the views.
        column: Entries beside the views.
        halves: Entries of each half of the band under them.
        more: How many found no room.
        tall: Height of the band, mm; 0 for none.
    """

    legend: tuple[str, ...]
    column: tuple[Entry, ...]
    halves: tuple[tuple[Entry, ...], tuple[Entry, ...]]
    more: int
    tall: float


def divide(marks: Sequence[Mark], column: Box, band: float) -> Key:
    """Return what of a key goes where; what need not change is told shorter where room is scarce.

    Args:
        marks: All marks, in the order of their numbers.
        column: The room beside the views.
        band: Width of the band under them, mm.
    """
    key = _divided(marks, column, band, _LINES[0])
    for lines in _LINES[1:]:
        if not key.more:
            break
        key = _divided(marks, column, band, lines)
    return key


def _divided(marks: Sequence[Mark], column: Box, band: float, lines: tuple[int, int]) -> Key:
    beside = _entries(marks, column.width, lines)
    legend = wrap(_legend(marks), column.width, LETTER, most=4) if marks else ()
    fits = _fitting(beside, column.height - _HEAD - len(legend) * LEADING)
    rest = _entries(marks[fits:], (band - _APART) / 2, lines)
    for many in range(len(rest), -1, -1):
        half = (many + 1) // 2
        halves = (rest[:half], rest[half:many])
        more = len(rest) - many
        tall = max(map(_height, halves)) + LEADING * bool(more)
        if tall <= _TALLEST:
            break
    room = tall + _AIR if rest else 0.0
    return Key(legend=legend, column=beside[:fits], halves=halves, more=more, tall=room)


def draw_key(canvas: Canvas, key: Key, head: str, column: Box, band: Box) -> None:
    """Draw a key.

    Args:
        canvas: The page.
        key: What goes where.
        head: What stands over it.
        column: The room beside the views.
        band: The room under them, as tall as the key asks.
    """
    canvas.line((Point(column.left, column.top), Point(column.right, column.top)), THIN)
    canvas.text(head, Point(column.left, column.top + 4.0), anchor="start", bold=True)
    foot = _stack(canvas, key.column, Point(column.left, column.top + _HEAD))
    for at, line in enumerate(key.legend):
        canvas.text(line, Point(column.left, foot + 3.4 + at * LEADING), anchor="start")
    half = (band.width - _APART) / 2
    level = band.top + _AIR
    for entries, left in zip(key.halves, (band.left, band.left + half + _APART), strict=True):
        _stack(canvas, entries, Point(left, level))
    if key.more:
        text = fit(f"and {key.more} more in the report", band.width, LETTER)
        canvas.text(text, Point(band.left, band.bottom - 1.0), anchor="start")


def _entries(marks: Sequence[Mark], wide: float, lines: tuple[int, int]) -> tuple[Entry, ...]:
    """Return what the key says of each mark, in so many lines at most."""
    loud, quiet = lines
    return tuple(
        (
            mark,
            wrap(
                mark.title,
                wide - _TO_TITLE,
                LETTER,
                most=loud if mark.group == "Must change" else quiet,
            ),
        )
        for mark in marks
    )


def _deep(entry: Entry) -> float:
    return max(len(entry[1]) * LEADING, 2 * BUBBLE) + _BETWEEN


def _height(entries: Sequence[Entry]) -> float:
    return sum(map(_deep, entries))


def _fitting(entries: Sequence[Entry], room: float) -> int:
    """Return how many entries, from the first on, fit one under the other."""
    many = 0
    while many < len(entries) and _height(entries[: many + 1]) <= room:
        many += 1
    return many


def _stack(canvas: Canvas, entries: Sequence[Entry], at: Point) -> float:
    """Write entries one under the other, and return where they end."""
    level = at.y
    for mark, lines in entries:
        bubble(canvas, mark, Point(at.x + radius_of(mark) + 0.3, level + BUBBLE + 0.2))
        first = level + (4.0 if len(lines) == 1 else 3.2)
        for number, line in enumerate(lines):
            where = Point(at.x + _TO_TITLE, first + number * (LEADING - 0.2))
            canvas.text(line, where, anchor="start")
        level += _deep((mark, lines))
    return level


def _legend(marks: Sequence[Mark]) -> str:
    """Return what the looks of the marks mean, of those that there are."""
    looks = {
        "Must change": "black: must change",
        "To look at": "heavy ring: to look at",
        "Notes": "thin ring: note",
    }
    said = [text for group, text in looks.items() if any(one.group == group for one in marks)]
    said += ["struck: waived"] if any(one.waived for one in marks) else []
    return "; ".join(said)
