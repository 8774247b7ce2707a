"""How text is laid out: its width, hanging indents, colour, and what may reach a terminal."""

import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

USUAL_WIDTH = 80
WIDEST = 100
NARROWEST = 40
_DIGITS = 6  # of a width that can be meant
_ONE_BYTE, _TWO_BYTES = 0x100, 0x10000
LABEL = 9  # columns of the label before a field, its gap included

_CODES: Mapping[str, str] = MappingProxyType(
    {"bold": "1", "dim": "2", "red": "31", "green": "32", "yellow": "33", "head": "1;36"}
)
_TIE = "\xa0"
# A number stays on one line with its fraction and its unit.
_TIED = re.compile(
    r"(?<=\d) (?=\d+/\d|(?:in|ft|mm|m2|mm2|lb|kg|N|lbf|psi|MPa|deg|sq|%)(?![\w']))"
    r"|(?<=\d sq) (?=ft|in)"
)
_PLAINER = str.maketrans(
    {
        "\u2018": "'",
        "\u2019": "'",
        "\u201c": '"',
        "\u201d": '"',
        "\u2010": "-",
        "\u2011": "-",
        "\u2013": "-",
        "\u2014": "-",
        "\u2026": "...",
        "\u00d7": "x",
        "\u2264": "<=",
        "\u2265": ">=",
        "\u00b1": "+-",
    }
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """What the text may look like where it goes.

    Attributes:
        width: Columns.
        colour: Whether colour codes may be used; no meaning hangs on them.
        ascii_only: Whether nothing but ASCII may be written.
    """

    width: int = USUAL_WIDTH
    colour: bool = False
    ascii_only: bool = False

    def paint(self, text: str, how: str) -> str:
        """Return a text in a colour, or as it is where there is none.

        Args:
            text: The text, laid out already.
            how: "bold", "dim", "red", "green", "yellow" or "head".
        """
        return f"\x1b[{_CODES[how]}m{text}\x1b[0m" if self.colour and text else text

    def clean(self, text: str) -> str:
        """Return a text that may be written: on one line, nothing hidden, nothing that steers."""
        safe = visible(text)
        return plainer(safe) if self.ascii_only else safe

    def wrap(self, text: str, *, first: str = "", rest: str | None = None) -> list[str]:
        """Return a text as lines no wider than the look, save where one word is wider.

        Args:
            text: What to write, as it came.
            first: What stands before the first line.
            rest: What stands before each further line; as many blanks as `first` is wide for None.
        """
        hang = " " * cells(first) if rest is None else rest
        words = [word for word in _TIED.sub(_TIE, self.clean(text)).split(" ") if word]
        lines, line = [], first
        empty = True
        for word in words:
            wider = f"{line}{word}" if empty else f"{line} {word}"
            if empty or cells(wider) <= self.width:
                line, empty = wider, False
            else:
                lines.append(line)
                line = f"{hang}{word}"
        return [one.replace(_TIE, " ").rstrip() for one in (*lines, line)]

    def field(self, label: str, text: str, *, indent: int, how: str = "") -> list[str]:
        """Return a labelled text whose lines hang beside its label.

        Args:
            label: A short word.
            text: What it says.
            indent: Columns before the label.
            how: Colour of the text; "" for none.
        """
        lead = " " * indent + label.ljust(LABEL - 1) + " "
        lines = self.wrap(text, first=" " * len(lead))
        bodies = [line[len(lead) :] for line in lines]
        painted = [self.paint(body, how) if how else body for body in bodies]
        mark = " " * indent + self.paint(label, "dim") + " " * (LABEL - len(label))
        return [mark + painted[0], *(" " * len(lead) + body for body in painted[1:])]

    def heading(self, text: str) -> list[str]:
        """Return a heading and its rule, with an empty line before."""
        said = self.clean(text)
        return ["", self.paint(said, "head"), "-" * min(cells(said), self.width)]


def look_for(
    environ: Mapping[str, str], *, terminal: bool, columns: int = 0, encoding: str | None = None
) -> Look:
    """Return the look that fits where output goes.

    NO_COLOR (set, not empty) forbids colour, FORCE_COLOR (set, not empty, not 0) asks for it
    anywhere, and otherwise a terminal that is not "dumb" gets it. COLUMNS is honoured up to 100.

    Args:
        environ: The environment.
        terminal: Whether output goes to a terminal.
        columns: The terminal's width, 0 where it is not known.
        encoding: How output is encoded; None for text that is not encoded.

    Example:
        >>> look_for({"COLUMNS": "300"}, terminal=False)
        Look(width=100, colour=False, ascii_only=False)
        >>> look_for({"TERM": "dumb"}, terminal=True, encoding="ascii")
        Look(width=80, colour=False, ascii_only=True)
    """
    if environ.get("NO_COLOR"):
        colour = False
    elif environ.get("FORCE_COLOR", "0") not in ("", "0"):
        colour = True
    else:
        colour = terminal and environ.get("TERM") != "dumb"
    asked = environ.get("COLUMNS", "")
    width = int(asked) if asked.isascii() and asked.isdigit() and len(asked) <= _DIGITS else columns
    unicode = encoding is None or encoding.lower().replace("-", "").startswith("utf8")
    return Look(
        width=max(NARROWEST, min(width, WIDEST)) if width else USUAL_WIDTH,
        colour=colour,
        ascii_only=not unicode,
    )


def visible(text: str) -> str:
    r"""Return a text on one line, with every character that hides or steers written out.

    Control characters, escapes, marks that turn the direction of writing and lone surrogates
    come out as a backslash and their number; every blank is a plain one.

    Example:
        >>> visible("bath\x1b[31m \u202egnp.exe")
        'bath\\x1b[31m \\u202egnp.exe'
        >>> visible("two\nlines")
        'two lines'
    """
    if text.isascii() and text.isprintable():
        return text
    return "".join(
        one if one.isprintable() else " " if one.isspace() else _number(one) for one in text
    )


def plainer(text: str) -> str:
    r"""Return a text in ASCII: quotes, dashes and signs by their likes, all else by its number.

    Example:
        >>> plainer("10 \u00d7 20 \u2013 caf\u00e9")
        '10 x 20 - caf\\xe9'
    """
    return text.translate(_PLAINER).encode("ascii", "backslashreplace").decode("ascii")


def cells(text: str) -> int:
    """Return how many columns a text takes.

    Example:
        >>> cells("glass"), cells("\u73bb\u7483")
        (5, 4)
    """
    if text.isascii():
        return len(text)
    return sum(_cell(one) for one in text)


def shortened(text: str, width: int) -> str:
    """Return a text that fits a column; where it is too long, its end after three dots.

    Example:
        >>> shortened("jobs/2024/hall-bath.yaml", 16)
        '...all-bath.yaml'
    """
    if cells(text) <= width:
        return text
    kept = text[-(width - 3) :]
    while cells(kept) > width - 3:
        kept = kept[1:]
    return f"...{kept}"


def cut(text: str, room: int) -> str:
    """Return a text that fits, its last words left out where it is too long."""
    if cells(text) <= room:
        return text
    while text and cells(text) > room - 4:
        text = text.rpartition(" ")[0] or text[:-1]
    return f"{text} ..."


def counted(number: int, one: str, many: str = "") -> str:
    """Return a number with its noun.

    Example:
        >>> counted(1, "clause"), counted(3, "clause"), counted(0, "pass", "passes")
        ('1 clause', '3 clauses', '0 passes')
    """
    return f"{number:,} {one if number == 1 else many or f'{one}s'}"


def _cell(one: str) -> int:
    if unicodedata.combining(one):
        return 0
    return 2 if unicodedata.east_asian_width(one) in ("W", "F") else 1


def _number(one: str) -> str:
    code = ord(one)
    if code < _ONE_BYTE:
        return f"\\x{code:02x}"
    return f"\\u{code:04x}" if code < _TWO_BYTES else f"\\U{code:08x}"
