"""Text made safe to print, and how wide it comes out at most."""

import unicodedata
from collections.abc import Iterator

# Advance widths in thousandths of the font size, at most: the widest of common sans-serif faces,
# rounded up. A face that a reader's system puts in their place is hardly ever wider.
_WIDTHS = {
    300: "'ijl",
    370: " ,.",
    460: '/:;\\|f-()[]rt!IJ"',
    560: "*_`scz",
    620: "?LFkvxyTaoe",
    690: "EPYSKhnubdgpq$0123456789{}BAVXZ",
    730: "RC",
    800: "UNHDG&OQ",
    870: "w#+<=>^~M",
    1080: "m%W@\u2026",
}
_WIDTH_OF = {char: width for width, chars in _WIDTHS.items() for char in chars}
_WIDEST = 1080
_BOLD = 1.2  # a bold letter is at most this much wider than the same one upright
ELLIPSIS = "\u2026"
_MOST_READ = 2000  # characters of any text that are looked at
_MOST_MARKS = 2  # accents that may stand on one letter
ABOVE = 0.78  # of the font size, from the base line to the top of capitals and digits
BELOW = 0.24  # from the base line to the foot of the longest letters


def clean(text: str) -> str:
    r"""Return text on one line without what a printed page must not take over.

    Control characters, marks that turn the direction of writing, invisible ones, halves of pairs,
    unassigned ones and heaps of accents go; spaces and line breaks become one space.

    Example:
        >>> clean("one\ttwo\u202ethree\x00")
        'one twothree'
    """
    kept: list[str] = []
    marks = 0
    for char in text[:_MOST_READ]:
        kind = unicodedata.category(char)
        if char.isspace():
            kept.append(" ")
        elif kind[0] == "M":
            marks += 1
            if kept and marks <= _MOST_MARKS:
                kept.append(char)
            continue
        elif kind[0] != "C":
            kept.append(char)
        marks = 0
    return " ".join("".join(kept).split()) + (ELLIPSIS if len(text) > _MOST_READ else "")


def width(text: str, size: float, *, bold: bool = False) -> float:
    """Return how wide a text is at most.

    Args:
        text: Clean text.
        size: Font size, mm.
        bold: Whether the letters are bold.

    Returns:
        Width, mm.

    Example:
        >>> width("1/2", 10.0)
        18.4
    """
    total = sum(_WIDTH_OF.get(char, _WIDEST) for char in text)
    return round(total * size * (_BOLD if bold else 1.0) / 1000, 3)


def is_measured(text: str) -> bool:
    """Return whether the width of every letter is known; others are forced into their width."""
    return all(char in _WIDTH_OF for char in text)


def fit(text: str, room: float, size: float, *, bold: bool = False) -> str:
    """Return a clean text cut to a width, with an ellipsis where it was cut.

    Args:
        text: Any text.
        room: Width there is, mm.
        size: Font size, mm.
        bold: Whether the letters are bold.
    """
    text = clean(text)
    if width(text, size, bold=bold) <= room:
        return text
    while text and width(text + ELLIPSIS, size, bold=bold) > room:
        text = text[:-1]
    return text.rstrip() + ELLIPSIS


def wrap(text: str, room: float, size: float, *, most: int, bold: bool = False) -> tuple[str, ...]:
    """Return a clean text in lines, the last cut where there are too many.

    Args:
        text: Any text.
        room: Width there is, mm.
        size: Font size, mm.
        most: Most lines.
        bold: Whether the letters are bold.
    """
    lines = list(_lines(clean(text), room, size, bold=bold))
    if len(lines) > most:
        lines[most - 1] = " ".join(lines[most - 1 :])
    return tuple(fit(line, room, size, bold=bold) for line in lines[:most])


def _lines(text: str, room: float, size: float, *, bold: bool) -> Iterator[str]:
    line = ""
    for word in text.split():
        longer = f"{line} {word}".strip()
        if line and width(longer, size, bold=bold) > room:
            yield line
            line = word
        else:
            line = longer
    if line:
        yield line
