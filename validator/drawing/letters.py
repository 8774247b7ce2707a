"""Text made safe to print, and how wide it comes out."""

import unicodedata
from collections.abc import Iterator

# Advance widths in thousandths of the font size, of the metrics that Arial, Helvetica and
# Liberation Sans share; a test holds them against a font's own.
_REGULAR = {
    191: "'",
    222: "ijl\u2018\u2019\u0142",
    260: "|",
    278: " !,./:;I[\\]ft\u0131",
    333: "()-`r\u201c\u201d",
    334: "{}",
    355: '"',
    389: "*",
    400: "\u00b0",
    469: "^",
    500: "Jcksvxyz",
    549: "\u00b1\u2264\u2265",
    556: "#$0123456789?L_abdeghnopqu\u2013\u0111\u0141\u00fe\u00f0",
    584: "+<=>~\u00d7",
    611: "FTZ\u00df\u00f8",
    667: "&ABEKPSVXY",
    722: "CDHNRUw",
    778: "GOQ\u00d8",
    833: "Mm",
    834: "\u00bd\u00bc\u00be",
    889: "%\u00e6",
    944: "W\u0153",
    1000: "\u2014\u2026\u00c6\u0152",
    1015: "@",
}
_BOLD = {
    238: "'",
    278: " ,./I\\ijl\u2018\u2019\u0142\u0131",
    280: "|",
    333: "!()-:;[]`ft",
    389: "*r{}",
    400: "\u00b0",
    474: '"',
    500: "z\u201c\u201d",
    549: "\u00b1\u2264\u2265",
    556: "#$0123456789J_aceksvxy\u2013",
    584: "+<=>^~\u00d7",
    611: "?FLTZbdghnopqu\u00df\u00f8\u0111\u0141\u00fe\u00f0",
    667: "EPSVXY",
    722: "&ABCDHKNRU",
    778: "GOQw\u00d8",
    833: "M",
    834: "\u00bd\u00bc\u00be",
    889: "%m\u00e6",
    944: "W\u0153",
    975: "@",
    1000: "\u2014\u2026\u00c6\u0152",
}
_WIDTH_OF = {char: width for width, chars in _REGULAR.items() for char in chars}
_BOLD_OF = {char: width for width, chars in _BOLD.items() for char in chars}
_UNKNOWN = 1000  # a letter of another writing, which is forced into it
_NARROWED = "\u00ec\u00ed\u00ee\u00ef\u0129\u012b\u012d"
"""Letters i with an accent, wider than an i: as wide as one without its dot."""
_CARONED = {"\u010f": (615, 719), "\u013e": (292, 385), "\u0165": (375, 479)}
"""Letters whose caron stands beside them: regular and bold."""
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
    """Return how wide a text is.

    Args:
        text: Clean text.
        size: Font size, mm.
        bold: Whether the letters are bold.

    Returns:
        Width, mm.

    Example:
        >>> width("1/2", 10.0)
        13.9
    """
    total = sum(_width_of(char, bold=bold) for char in unicodedata.normalize("NFC", text))
    return round(total * size / 1000, 3)


def _width_of(char: str, *, bold: bool) -> int:
    """Return a letter's width in thousandths of the font size; an accent takes none of its own."""
    known = _BOLD_OF if bold else _WIDTH_OF
    if char in known:
        return known[char]
    if char in _CARONED:
        return _CARONED[char][bold]
    if char in _NARROWED:
        return known["\u0131"]
    if unicodedata.combining(char):
        return 0
    return known.get(unicodedata.normalize("NFD", char)[0], _UNKNOWN)


def is_measured(text: str) -> bool:
    """Return whether the width of every letter is known; others are forced into their width."""
    return all(unicodedata.normalize("NFD", char)[0] in _WIDTH_OF for char in text)


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
