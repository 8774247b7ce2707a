"""The number at the head of a text, read exactly."""

import re
from dataclasses import dataclass
from fractions import Fraction

LONGEST_TEXT = 80
MOST_DIGITS = 40
LARGEST_EXPONENT = 99

_VULGAR = {
    "½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4", "⅕": "1/5", "⅖": "2/5",
    "⅗": "3/5", "⅘": "4/5", "⅙": "1/6", "⅚": "5/6", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8",
    "⅞": "7/8",
}  # fmt: skip
_PLAINER = str.maketrans(
    {
        "\N{FRACTION SLASH}": "/",
        "\N{PRIME}": "'",
        "\N{RIGHT SINGLE QUOTATION MARK}": "'",
        "\N{DOUBLE PRIME}": '"',
        "\N{RIGHT DOUBLE QUOTATION MARK}": '"',
        "\N{MINUS SIGN}": "-",
        "\N{PLUS-MINUS SIGN}": "+-",
        "\N{DEGREE SIGN}": " deg",
        "\N{MIDDLE DOT}": " ",
    }
)
_RAISED = {"²": "2", "³": "3", "⁴": "4"}

_NUMBER = re.compile(
    r"(?P<sign>[+-]?) ?"
    r"(?:(?:(?P<whole>[0-9]+)[ -])?(?P<over>[0-9]+)/(?P<under>[0-9]+)"
    r"|(?P<decimal>[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE](?P<exponent>[+-]?[0-9]+))?)"
)
_MORE_ARITHMETIC = re.compile(r"[-+*/x] ?[0-9.]")
_MORE_NUMBERS = re.compile(r"[0-9.]|.*[ '\"][+-]?\.?[0-9]")
_LETTER_FOR_DIGIT = re.compile(r"[OolI]+(?:[ 0-9./]|$)")


class QuantityError(ValueError):
    """A text that is not a value of the kind; `str()` is one sentence."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Numeral:
    """A number and what follows it.

    Attributes:
        value: The number, exactly, in whatever unit follows.
        rest: The text after the number, without spaces around it.
        scientific: Whether the number was written with a power of ten.
    """

    value: Fraction
    rest: str
    scientific: bool


def plain_text(text: str, need: str) -> str:
    """Return a text in plain ASCII, with typeset fractions and marks spelled out.

    Args:
        text: What a person wrote.
        need: What is needed instead, as the second half of a sentence.

    Raises:
        QuantityError: The text is empty, too long, or has a character that is not read.

    Example:
        >>> plain_text("59¾ in ±  1/16 in", "")
        '59 3/4 in +- 1/16 in'
    """
    if len(text) > LONGEST_TEXT:
        why = f"has {len(text)} characters, at most {LONGEST_TEXT} are read"
        msg = f"{ascii(text[:20])[1:-1]}... {why}; {need}."
        raise QuantityError(msg)
    if not text.isascii():
        text = "".join(_spelled(text, at) for at in range(len(text))).translate(_PLAINER)
    clean = " ".join(text.replace("''", '"').split())
    if not clean:
        msg = f"Nothing is written; {need}."
        raise QuantityError(msg)
    _refuse_odd_characters(clean, need)
    if len(clean) > MOST_DIGITS < sum(map(str.isdigit, clean)):
        msg = f"{clean[:20]}... has too many digits, at most {MOST_DIGITS} are read; {need}."
        raise QuantityError(msg)
    return clean


def read_numeral(text: str, need: str) -> Numeral:
    """Return the number at the head of a plain text.

    Args:
        text: A text that `plain_text` returned, or a piece of one.
        need: What is needed instead, as the second half of a sentence.

    Raises:
        QuantityError: There is no number, or it cannot be what was meant.

    Example:
        >>> read_numeral("-59-3/4 in", "")
        Numeral(value=Fraction(-239, 4), rest='in', scientific=False)
    """
    found = _NUMBER.match(text)
    if found is None:
        why = "has a letter in place of a digit" if _LETTER_FOR_DIGIT.match(text) else None
        msg = f"{text} {why or 'does not begin with a number'}; {need}."
        raise QuantityError(msg)
    rest = text[found.end() :]
    _refuse_more(text, rest, need)
    size = _fraction(found, text, need) if found["over"] else _decimal(found, text, need)
    return Numeral(
        value=-size if found["sign"] == "-" else size,
        rest=rest.strip(),
        scientific=found["exponent"] is not None,
    )


def _spelled(text: str, at: int) -> str:
    """Return one character, spelled out where it is a typeset fraction or power."""
    char = text[at]
    before = text[at - 1] if at else ""
    if char in _VULGAR:
        return f" {_VULGAR[char]}" if before.isdigit() else _VULGAR[char]
    # A raised figure after a digit is a power of a number, which is not read: 10² is not 102.
    return _RAISED.get(char, char) if before.isalpha() else char


def _refuse_odd_characters(text: str, need: str) -> None:
    """Refuse characters that are not printable ASCII, naming the first."""
    if text.isascii() and text.isprintable():
        return
    odd = next(char for char in text if not " " <= char <= "~")
    import unicodedata  # noqa: PLC0415  (a large table, of use only to say what is wrong)

    name = unicodedata.name(odd, f"U+{ord(odd):04X}").lower()
    shown = text if text.isprintable() else ascii(text)[1:-1]
    sort = "digit" if odd.isdigit() else "letter" if odd.isalpha() else "character"
    why = f"has the {sort} {name}, only plain letters, digits and signs are read"
    msg = f"{shown} {why}; {need}."
    raise QuantityError(msg)


def _refuse_more(text: str, rest: str, need: str) -> None:
    """Refuse a number that is followed by another number, or by something like one."""
    tail = rest.lstrip()
    if rest.startswith(","):
        why = "has a comma, and a decimal point is a full stop"
    elif _MORE_ARITHMETIC.match(tail):
        why = "is arithmetic, and only its result is read"
    elif _LETTER_FOR_DIGIT.match(rest):
        why = "has a letter in place of a digit"
    elif _MORE_NUMBERS.match(tail):
        why = "has two numbers with nothing to join them"
    else:
        return
    msg = f"{text} {why}; {need}."
    raise QuantityError(msg)


def _fraction(found: re.Match[str], text: str, need: str) -> Fraction:
    """Return the size of a fraction or of a whole number and a fraction."""
    over, under = int(found["over"]), int(found["under"])
    if under == 0:
        msg = f"{text} divides by zero; {need}."
        raise QuantityError(msg)
    if found["whole"] is None:
        return Fraction(over, under)
    if over >= under:
        msg = f"{text} has a fraction of one or more after a whole number; {need}."
        raise QuantityError(msg)
    return Fraction(int(found["whole"]) * under + over, under)


def _decimal(found: re.Match[str], text: str, need: str) -> Fraction:
    """Return the size of a decimal number, perhaps with a power of ten."""
    exponent = int(found["exponent"] or 0)
    if abs(exponent) > LARGEST_EXPONENT:
        msg = f"{text} is out of range, powers of ten go to {LARGEST_EXPONENT}; {need}."
        raise QuantityError(msg)
    return Fraction(found["decimal"]) * Fraction(10) ** exponent
