"""What a YAML parser's complaint means, in words for whoever wrote the file."""

import re

from .decode import place_at
from .errors import Fault
from .nearest import no_space

DIRECTIVE = "A line that starts with '%' instructs the parser; remove it."
SECOND = "A second document starts here; a file holds one, so move this one to a file of its own."
AFTER_THE_END = "Nothing may stand here, after the end of the value; remove it or quote the value."
_TAB = "A tab stands where spaces are needed; indent with spaces."
_NOT_YAML = "The text is not YAML from here on; look for a missing quote, colon, comma or bracket."
_TAG = "'!' puts a type on a value; remove it, or put the text in quotes if it starts so."
_ANCHOR = "'&' marks a value for repeating; remove it, or put the text in quotes if it starts so."
_ALIAS = "'*' repeats another value; write that out, or put the text in quotes if it starts so."
_COLON = "A colon may not stand here; put the text in quotes, or correct the indentation."
_NO_COLON = "A name stands without its colon and space; write 'name: value'."
_OPEN_QUOTE = "The quotation mark here is never closed; close it."
_QUOTE_BEFORE = "The quotation mark before this line is never closed; close it."
_ESCAPE = "This backslash starts no known escape; write two backslashes, or use single quotes."
_START = "No text may start with this character unless it is in quotes; put it in quotes."
_BRACKET = "The list in brackets lacks a comma or its closing bracket before here."
_BRACE = "The table in braces lacks a comma or its closing brace before here."
_BLOCK = "Only '+', '-' and a digit may stand after '|' or '>'; start the text on the next line."
_FIELDS = "This does not fit under the fields above; line it up with them, or quote the whole text."
_LIST = "This does not fit under the rows above; start each row with '- ' at one indentation."
_ROW = "A row of a list may not start here; start it on a line of its own."
_NO_VALUE = "A value is missing before this character; write it, or use quotes."
_DEEP = "Far too many brackets are open here; write the values flatter."

_AFTER_RUN_ON = ("expected ':'", "mapping values", "block mapping")
_RUN_ON = re.compile(r"[ \t]*(?:- +)*([A-Za-z_]\w*):([^\s:/][^\n\r]*)")
"""A name with its value run on to it, as the first of a line; no address such as https://."""

# A piece of the C or of the pure parser's complaint, and what to tell the author instead.
_COMPLAINTS = (
    ("a tag", _TAG),
    ("tag handle", _TAG),
    ("an anchor", _ANCHOR),
    ("an alias", _ALIAS),
    ("maximum", _DEEP),
    ("nesting", _DEEP),
    ("mapping values are not allowed", _COLON),
    ("could not find expected ':'", _NO_COLON),
    ("end of stream", _OPEN_QUOTE),
    ("document separator", _QUOTE_BEFORE),
    ("document indicator", _QUOTE_BEFORE),
    ("escape", _ESCAPE),
    ("hexdecimal", _ESCAPE),
    ("cannot start any token", _START),
    ("node content", _NO_VALUE),
    ("flow sequence", _BRACKET),
    ("flow mapping", _BRACE),
    ("block scalar", _BLOCK),
    ("block mapping", _FIELDS),
    ("block collection", _LIST),
    ("entries are not allowed", _ROW),
    ("document start", AFTER_THE_END),
)


def complaint(said: str, text: str, index: int, file: str) -> Fault:
    """Return a parser's complaint as a fault in our own words.

    Args:
        said: What the parser says, with what it was doing.
        text: The whole text of the file.
        index: Where in the text it stopped, in characters from 0.
        file: The file's name.
    """
    start = max(text.rfind("\n", 0, index), text.rfind("\r", 0, index)) + 1
    indent = text[start : index + 1]
    if "\t" in indent and not indent.strip():
        return Fault(place_at(text, start + indent.index("\t"), file), _TAB)
    place = place_at(text, index, file)
    if text.startswith("\t", index):
        return Fault(place, _TAB)
    run_on = _run_on(text, start) if any(piece in said for piece in _AFTER_RUN_ON) else None
    if run_on is not None:
        says = no_space(run_on[1], run_on[2].partition(" #")[0]).strip()
        return Fault(place_at(text, run_on.start(1), file), says)
    return Fault(place, next((says for piece, says in _COMPLAINTS if piece in said), _NOT_YAML))


def _run_on(text: str, start: int) -> re.Match[str] | None:
    """Return the name and value that lack a space between them, on this line or the one before.

    The parser takes such a line for a text that goes on, and stops at the next colon.
    """
    here = _RUN_ON.match(text, start)
    end = start - 1
    while here is None and end > 0:
        first = max(text.rfind("\n", 0, end), text.rfind("\r", 0, end)) + 1
        line = text[first:end].strip()
        if line and not line.startswith("#"):
            return _RUN_ON.match(text, first, end)
        end = first - 1
    return here
