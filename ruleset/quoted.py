"""A text of a file as a sentence quotes it."""

_MOST_QUOTED = 60


def quoted(text: str) -> str:
    """Return a text in quotation marks on one line, cut where it is long."""
    line = " ".join(text.split())
    return f"'{line if len(line) <= _MOST_QUOTED else line[: _MOST_QUOTED - 3] + '...'}'"
