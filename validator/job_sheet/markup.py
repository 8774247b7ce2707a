"""HTML put together from elements; whatever is not an element is escaped."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from html import escape

from ..drawing.letters import ELLIPSIS, clean

MOST_TITLE = 160
"""Characters of a name or title that a page has room for."""
_VOID = frozenset(("br", "col", "meta"))
# A number stays on one line with its fraction and its unit.
_TIED = re.compile(r"(?<=\d) (?=\d+/\d|(?:in|ft|mm|m2|mm2|lb|kg|N|lbf|psi|MPa|deg|%)(?![\w']))")
_TIE = "\xa0"


@dataclass(frozen=True, slots=True)
class Markup:
    """HTML that is written as it stands."""

    html: str


Piece = Markup | str | None


def el(name: str, /, *inside: Piece, **attributes: str | None) -> Markup:
    """Return an element.

    Args:
        name: Its name.
        inside: What stands in it; texts are escaped, None is left out.
        attributes: Its attributes; `_` stands for `-`, one at the end is dropped, None leaves the
            attribute out.

    Example:
        >>> el("td", "1 < 2", el("b", "!"), class_="size", aria_label=None).html
        '<td class="size">1 &lt; 2<b>!</b></td>'
    """
    told = "".join(
        f' {key.rstrip("_").replace("_", "-")}="{escape(_printable(value))}"'
        for key, value in attributes.items()
        if value is not None
    )
    if name in _VOID:
        return Markup(f"<{name}{told}>")
    return Markup(f"<{name}{told}>{joined(inside).html}</{name}>")


def joined(pieces: Iterable[Piece]) -> Markup:
    """Return pieces one after the other."""
    return Markup("".join(_written(one) for one in pieces if one is not None))


def section(title: str, *inside: Piece, opening: tuple[Piece, ...] = ()) -> Markup:
    """Return a section of the sheet.

    Args:
        title: Its heading.
        inside: What stands in it.
        opening: What stays on one page with the heading.
    """
    return el("section", el("div", el("h2", title), *opening, class_="together"), *inside)


def job_text(text: str, *, most: int = MOST_TITLE) -> Markup:
    """Return a text that the job gives, its direction of writing kept to itself.

    Args:
        text: Any text.
        most: Characters, past which it is cut.

    Example:
        >>> job_text("<b>" + "long " * 9, most=12).html
        '<bdi>&lt;b&gt;long lon…</bdi>'
    """
    said = clean(text)
    if len(said) > most:
        said = said[: most - 1].rstrip() + ELLIPSIS
    return el("bdi", said)


def css_string(text: str) -> str:
    r"""Return a text as a string of a style sheet, every sign that could end it written out.

    Example:
        >>> css_string('24-117"}</style>')
        '"24\\00002d 117\\000022 \\00007d \\00003c \\00002f style\\00003e "'
    """
    said = clean(text)
    if len(said) > MOST_TITLE:
        said = said[: MOST_TITLE - 1] + ELLIPSIS
    plain = (c if (c.isascii() and c.isalnum()) or c == " " else f"\\{ord(c):06x} " for c in said)
    return f'"{"".join(plain)}"'


def _written(piece: Markup | str) -> str:
    return piece.html if isinstance(piece, Markup) else escape(_printable(piece))


def _printable(text: str) -> str:
    """Return a text cleaned, the blanks at its ends kept."""
    before = " " if text[:1].isspace() else ""
    after = " " if text[-1:].isspace() and text.strip() else ""
    return before + _TIED.sub(_TIE, clean(text)) + after
