"""The sentences for a value that is not of the form its file asks for.

The form's own check and the check by JSON Schema both speak through these.
"""

from collections.abc import Collection, Iterable

from .nearest import did_you_mean
from .node import Node, Rows, Text

_MOST_SHOWN = 15
_MOST_QUOTED = 60
_ASKED = {"text": "text", "list": "a list of rows", "table": "a table of named fields"}


def kind_of(node: Node) -> str:
    """Return "text", "list" or "table"."""
    if isinstance(node, Text):
        return "text"
    return "list" if isinstance(node, Rows) else "table"


def quoted(text: str) -> str:
    """Return a text in quotation marks on one line, cut where it is long."""
    line = " ".join(text.split())
    return f"'{line if len(line) <= _MOST_QUOTED else line[: _MOST_QUOTED - 3] + '...'}'"


def wrong_kind(node: Node, asked: Collection[str]) -> str:
    """Return what to say of a text, list or table where another of the three is asked for."""
    needed = " or ".join(says for kind, says in _ASKED.items() if kind in asked)
    if isinstance(node, Text):
        found = f"The text {quoted(node.text)} stands here" if node.text else "Nothing stands here"
    else:
        found = f"A {kind_of(node)} stands here"
    return f"{found}; {needed or 'nothing'} is needed."


def unknown_field(name: str, known: Collection[str]) -> str:
    """Return what to say of a field that there is not."""
    allowed = f"Allowed are {_listed(known)}." if known else "No field may stand here."
    return f"There is no field {quoted(name)} here.{did_you_mean(name, known)} {allowed}"


def missing_field(name: str, means: str) -> str:
    """Return what to say of a field that has to be there and is not."""
    meaning = means.rstrip(".")
    return f"The field '{name}' is missing; add it{f' ({meaning})' if meaning else ''}."


def unknown_word(text: str, options: Collection[str]) -> str:
    """Return what to say of a text that is not among the words allowed."""
    found = f"The word {quoted(text)} is not known here." if text else "No word stands here."
    return f"{found}{did_you_mean(text, options)} Allowed are {_listed(options)}."


def too_short(count: int, least: int) -> str:
    """Return what to say of a text of too few characters."""
    if not count:
        return "Nothing stands here; write the text that belongs here."
    return f"The text has {_counted(count, 'character')}; at least {least} are needed."


def too_long(count: int, most: int) -> str:
    """Return what to say of a text of too many characters."""
    return f"The text has {_counted(count, 'character')}; at most {most} may stand here."


def no_match(text: str, says: str) -> str:
    """Return what to say of a text that does not match its pattern."""
    return f"{quoted(text)} does not fit here. {says}"


def too_few_rows(count: int, least: int) -> str:
    """Return what to say of a list of too few rows."""
    return f"The list has {_counted(count, 'row')}; at least {least} must stand here."


def too_many_rows(count: int, most: int) -> str:
    """Return what to say of a list of too many rows."""
    return f"The list has {_counted(count, 'row')}; at most {most} may stand here."


def _counted(count: int, noun: str) -> str:
    return f"{count or 'no'} {noun}{'' if count == 1 else 's'}"


def _listed(names: Iterable[str]) -> str:
    shown = tuple(names)
    more = len(shown) - _MOST_SHOWN
    rest = f" and {more} more" if more > 0 else ""
    return ", ".join(shown[:_MOST_SHOWN]) + rest
