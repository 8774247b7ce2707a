"""A value on its way to another name, with the comments that go along."""

from collections.abc import Iterator
from dataclasses import dataclass, field

from ruleset.reader import NOTHING
from ruleset.written import BREAK, Piece

Path = tuple[str, ...]
EMPTY = frozenset(("", '""', "''", *NOTHING))
"""How a value that there is not may be written."""
NOT_IN_BRACES = frozenset(",[]{}")
"""What text without quotes may not have in it between braces."""


@dataclass(slots=True, kw_only=True)
class Taken:
    """A value on its way.

    Attributes:
        to: Its new path.
        origin: Its old one.
        beginning: The old path of what its new table stands at.
        quote: What its name was quoted in.
        above: Comments that stand above it, and "" for a blank line.
        raw: All from its name on, value and line breaks included.
        beside: The comment behind it.
        column: How far its line was set in.
        braces: Whether it stood in braces.
    """

    to: Path
    origin: Path
    quote: str
    above: list[str]
    raw: str
    beside: str
    column: int
    braces: bool
    beginning: Path = ()

    def __post_init__(self) -> None:
        """Let its table stand where it stood itself."""
        self.beginning = self.beginning or self.origin

    @property
    def name(self) -> str:
        """Return its new name."""
        return self.to[-1]

    @property
    def key(self) -> str:
        """Return its new name as it is written."""
        return f"{self.quote}{self.name}{self.quote}"

    @property
    def commented(self) -> bool:
        """Return whether it needs lines of its own."""
        return any(self.above) or bool(self.beside) or bool(BREAK.search(self.raw))

    def goes_in_braces(self) -> bool:
        """Return whether it may be written in one line with others."""
        value = self.raw.lstrip(": ")
        is_text = value[:1] not in ("'", '"', "[", "{")
        return not self.commented and not (
            not self.braces and is_text and not NOT_IN_BRACES.isdisjoint(value)
        )


@dataclass(slots=True, kw_only=True)
class New:
    """A table that is not there yet.

    Attributes:
        name: Its name.
        origin: The old path of its first value.
        inside: What it gets.
    """

    name: str
    origin: Path
    inside: "list[New | Taken]" = field(default_factory=list)

    def taken(self) -> Iterator[Taken]:
        """Yield every value in it."""
        for one in self.inside:
            if isinstance(one, New):
                yield from one.taken()
            else:
                yield one

    @property
    def key(self) -> str:
        """Return its name as it is written, quoted as the first name in it is."""
        quote = next(self.taken()).quote
        return f"{quote}{self.name}{quote}"

    @property
    def commented(self) -> bool:
        """Return whether it needs lines of its own."""
        return any(one.commented for one in self.taken())

    def goes_in_braces(self) -> bool:
        """Return whether it may be written in one line, as some of it was."""
        every = list(self.taken())
        return all(one.goes_in_braces() for one in every) and (
            len(every) == 1 or any(one.braces for one in every)
        )


def quote_of(written_as: str) -> str:
    """Return what a name or a text is quoted in, "" for nothing."""
    return written_as[:1] if written_as[:1] in ("'", '"') else ""


def remarks(lead: str, piece: Piece) -> list[str]:
    """Return the comments before an entry, and "" for each blank line."""
    first, *lines = BREAK.split(lead)
    if piece.braces:
        return [one.strip() for one in ([first] if "#" in first else []) + lines[:-1]]
    return [one.strip() for one in [first, *lines][:-1]]


def remarks_in(*gaps: str) -> list[str]:
    """Return the comments of gaps."""
    lines = [line for gap in gaps for line in BREAK.split(gap) if "#" in line]
    return [line[line.index("#") :].rstrip() for line in lines]
