"""Turning the bytes of a file into characters that a YAML parser reads as JSON's author meant."""

import re

from .errors import Fault, ReadError
from .place import Place

# What YAML may not hold (all but its production c-printable), and what some programs count as a
# line break. The set of what it may hold takes ten times as long to compile.
UNWRITABLE = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff\ufeff\ufffe\uffff]"
)
_PAIR = re.compile(
    r"(?<!\\)((?:\\\\)*)(\\u([dD][89abAB][0-9a-fA-F]{2})\\u([dD][c-fC-F][0-9a-fA-F]{2}))"
)
_JOINED = re.compile(r"\\U[0-9A-F]{8}\\e")
MARK = "\ue03f"
"""Stands for a question mark while a text is parsed; a text that has it of its own keeps it."""
_LONE_MARK = re.compile(r"(:[ \t]+)\?(?=[ \t]*(?:[,}\]#\r\n]|\Z))")
_JOINED_READ = re.compile("([\U00010000-\U0010ffff])\x1b")


def refusal(place: Place, says: str) -> ReadError:
    """Return the error for one fault that ends the reading."""
    return ReadError(Fault(place, says))


def decoded(text: str | bytes, file: str, most: int) -> str:
    """Return the characters of a file, without a byte order mark.

    Args:
        text: The file's content.
        file: Its name, for places.
        most: How many bytes it may have.

    Raises:
        ReadError: It is too big, empty, not UTF-8, or holds control characters.
    """
    whole = Place(file=file)
    size = len(text)
    if isinstance(text, str) and size <= most:
        size = len(text.encode(errors="replace"))
    if size > most:
        raise refusal(whole, f"The file is over {most // 1000:,} kB; split it.")
    written = text if isinstance(text, str) else _from_bytes(text, whole)
    written = written.removeprefix("\ufeff")
    if not written.strip():
        raise refusal(whole, "The file is empty; write its fields into it.")
    if found := UNWRITABLE.search(written):
        says = f"The control character U+{ord(found[0]):04X} stands here; remove it."
        raise refusal(place_at(written, found.start(), file), says)
    return written


def _from_bytes(text: bytes, whole: Place) -> str:
    if text.startswith((b"\xff\xfe", b"\xfe\xff", b"\x00\x00\xfe\xff")):
        raise refusal(whole, "The file is in UTF-16 or UTF-32; save it as UTF-8.")
    if b"\x00" in text:
        raise refusal(whole, "The file is not text (it holds a zero byte); give YAML or JSON.")
    try:
        return text.decode()
    except UnicodeDecodeError as error:
        before = text[: error.start].decode().removeprefix("\ufeff")
        says = f"The byte {text[error.start]:#04x} here is not UTF-8; save the file as UTF-8."
        raise refusal(place_at(before, len(before), whole.file), says) from None


def place_at(text: str, index: int, file: str) -> Place:
    r"""Return the line and column of a character, whichever line endings the file has.

    Example:
        >>> str(place_at("a\r\nbc", 4, "job.yaml"))
        'job.yaml:2:2'
    """
    before = text[:index].replace("\r\n", "\n").replace("\r", "\n")
    column = len(before) - before.rfind("\n")
    return Place(file=file, line=before.count("\n") + 1, column=column)


def flow_without_tabs(text: str) -> str:
    """Return a text that is JSON as a whole with spaces for the tabs it is indented with.

    Inside brackets indentation means nothing; the pure parser still stumbles over a tab there.
    """
    if not text.lstrip().startswith(("{", "[")) or "\t" not in text:
        return text
    return re.sub(r"^[ \t]+", lambda indent: " " * len(indent[0]), text, flags=re.MULTILINE)


def with_marks_kept(text: str) -> str:
    """Return the text with a stand-in for each question mark that is a whole value.

    People write `lean: ?` for what is not known yet; to YAML it begins a table's name.

    Example:
        >>> with_marks_kept("{lean: ?, bow: 0}").replace(MARK, "!")
        '{lean: !, bow: 0}'
    """
    if "?" not in text or MARK in text:
        return text
    return _LONE_MARK.sub(rf"\1{MARK}", text)


def with_pairs_joined(text: str) -> str:
    r"""Return the text with each pair of JSON surrogate escapes as one escape YAML knows.

    The two-character escape of a character that no value may hold fills the new escape up, so that
    every character of the text keeps its column.

    Source:
        RFC 8259, section 7: a character beyond U+FFFF is written as a UTF-16 surrogate pair.

    Example:
        >>> with_pairs_joined(r'"\ud83d\ude00"')
        '"\\U0001F600\\e"'
    """
    if "\\ud" not in text and "\\uD" not in text:
        return text
    return _PAIR.sub(_joined, text)


def with_pairs_restored(text: str, source: str, *, escaped: bool) -> str:
    """Return a scalar of a text with pairs joined and marks kept as its author meant it.

    Args:
        text: The scalar as the parser read it.
        source: The same scalar as it stands in the file, before it was changed.
        escaped: Whether the scalar stands in double quotes, where the parser resolved escapes.
    """
    if MARK not in source:
        text = text.replace(MARK, "?")
    if escaped:
        return _JOINED_READ.sub(r"\1", text)
    written = (found[2] for found in _PAIR.finditer(source))
    return _JOINED.sub(lambda found: next(written, found[0]), text)


def _joined(found: re.Match[str]) -> str:
    high, low = int(found[3], 16), int(found[4], 16)
    return f"{found[1]}\\U{0x10000 + ((high - 0xD800) << 10) + (low - 0xDC00):08X}\\e"
