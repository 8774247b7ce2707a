"""How what was moved is written where it goes: on lines of its own, or in braces."""

from collections.abc import Iterable

from ruleset.written import BREAK, Entry, Piece, Written

from .taken import New, Taken

WIDE = 100
"""How many columns a table may take in one line; a longer one gets a line for each entry."""
STEP = 2


class Laying:
    """How one file is laid out, and new entries as they are written in it."""

    def __init__(self, file: Written) -> None:
        """Take the ways of a file."""
        self.ending = file.ending
        self.step = step_of(file.root)

    def on_lines(self, one: New | Taken, column: int) -> Entry:
        """Return an entry that has lines of its own."""
        if isinstance(one, Taken):
            raw = one.raw
            if raw[1:2] not in ("", " ", "\t", "\r", "\n"):
                raw = f": {raw[1:]}"
            return Entry(
                name=one.name,
                key=one.key,
                lead=self.lines(one.above, column),
                between="",
                value=Piece(text=_shifted(raw, column - one.column)),
                trail=f"  {one.beside}" if one.beside else "",
                stop=self.ending,
            )
        blanks = self._blanks(one)
        line = self.one_line(one)
        if one.goes_in_braces() and column + len(line) <= WIDE:
            text = line.removeprefix(f"{one.key}: ")
            between, value, stop = ": ", Piece(text=text), self.ending
        else:
            between, stop = f":{self.ending}", ""
            inner = column + self.step
            entries = [self.on_lines(inside, inner) for inside in one.inside]
            value = Piece(entries=entries, column=inner)
        return Entry(
            name=one.name, key=one.key, lead=blanks, between=between, value=value, stop=stop
        )

    def in_braces(self, one: New | Taken, gap: str, column: int) -> Entry:
        """Return an entry for a table in braces.

        Args:
            one: What it is to hold.
            gap: What stands before an entry there.
            column: How far the table is set in.
        """
        has_lines = bool(BREAK.search(gap))
        if isinstance(one, Taken):
            inner = len(gap) - len(gap.rstrip(" ")) if has_lines else column + self.step
            above = [f"{self.ending}{' ' * inner}{line}" for line in one.above if line]
            if above or (one.commented and not has_lines):
                gap = f"{''.join(above)}{self.ending}{' ' * inner}"
            text = one.raw if one.raw != ":" else ": "
            trail = f"  {one.beside}" if one.beside else ""
            made = Piece(text=text)
            return Entry(name=one.name, key=one.key, lead=gap, between="", value=made, trail=trail)
        line = self.one_line(one).removeprefix(f"{one.key}: ")
        own = len(gap) - len(gap.rstrip(" ")) if has_lines else column
        made = Piece(text=line)
        if one.commented or (has_lines and own + len(one.key) + 2 + len(line) > WIDE):
            inner_gap = f"{self.ending}{' ' * (own + self.step)}"
            entries = [self.in_braces(inside, inner_gap, own) for inside in one.inside]
            tail = f"{self.ending}{' ' * own}"
            made = Piece(entries=entries, braces=True, column=own, tail=tail)
        return Entry(name=one.name, key=one.key, lead=gap, between=": ", value=made)

    def one_line(self, one: New | Taken) -> str:
        """Return an entry that stands in one line with others."""
        if isinstance(one, Taken):
            return f"{one.key}{one.raw}" if one.raw != ":" else f"{one.key}: "
        inside = ", ".join(self.one_line(inner) for inner in one.inside)
        return f"{one.key}: {{{inside}}}"

    def _blanks(self, new: New) -> str:
        """Return the blank lines above a table's first value, which go above the table."""
        first = next(new.taken())
        many = next((at for at, line in enumerate(first.above) if line), len(first.above))
        del first.above[:many]
        return self.ending * many

    def lines(self, lines: Iterable[str], column: int) -> str:
        """Return comments and blank lines, set in."""
        indent = " " * column
        return "".join(f"{indent}{line}{self.ending}" if line else self.ending for line in lines)


def _shifted(raw: str, by: int) -> str:
    """Return lines set further in, or out; the first line stays."""
    first, *rest = raw.splitlines(keepends=True) or [""]
    return "".join([first, *(_shifted_line(line, by) for line in rest)])


def _shifted_line(line: str, by: int) -> str:
    if not line.strip():
        return line
    room = len(line) - len(line.lstrip(" "))
    return f"{' ' * by}{line}" if by >= 0 else line[min(-by, room) :]


def gap_of(piece: Piece, ending: str) -> str:
    """Return what stands before a new entry of a table in braces."""
    leads = [one.lead for one in piece.entries or ()]
    for lead in leads:
        if BREAK.search(lead):
            return f"{ending}{BREAK.split(lead)[-1]}"
    return leads[1] if len(leads) > 1 else " " if leads else ""


def step_of(piece: Piece) -> int:
    """Return how far a table inside another is set in."""
    for one in piece.entries or ():
        inner = one.value
        if inner.plain_table and piece.plain_table:
            return inner.column - piece.column
        if piece.braces and BREAK.search(one.lead):
            return max(len(one.lead) - len(one.lead.rstrip(" ")) - piece.column, 0) or STEP
    return STEP
