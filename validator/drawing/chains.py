"""Lengths of a chain before they are on the page, each the value of a name of the books."""

from collections.abc import Iterator
from dataclasses import dataclass

from .dimension import Length, sum_note
from .pen import Pen
from .rows import Chain, DrawingRows
from .sizes import Sizes


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """A length of a chain where the thing is.

    Attributes:
        start: Where it begins, mm of the thing.
        end: Where it ends.
        name: The name it is the value of.
        word: What it is.
    """

    start: float
    end: float
    name: str
    word: str = ""


Spans = tuple[Span, ...]


def spans(sizes: Sizes, chain: Chain) -> Spans:
    """Return the lengths of a chain that follow each other, none where one is not known."""
    measured = [one for one in chain.lengths if not one.none or sizes.get(one.name)]
    if not measured:
        return ()
    before = chain.before if len(measured) == len(chain.lengths) else ""
    names = [name for name in (chain.start, before, *(m.to for m in measured)) if name]
    got = sizes.need(chain.what, *names, *(m.name for m in measured))
    if got is None:
        return ()
    value = dict(zip((*names, *(m.name for m in measured)), got, strict=True))
    at = value.get(chain.start, 0.0) - value.get(before, 0.0)
    found: list[Span] = []
    for one in measured:
        end = value[one.to] if one.to else at + value[one.name]
        found.append(Span(start=at, end=end, name=one.name, word=one.word))
        at = end
    return tuple(found)


def lengths(pen: Pen, sizes: Sizes, parts: Spans, *, upright: bool) -> tuple[Length, ...]:
    """Return a chain on the page."""
    found: list[Length] = []
    for part in parts:
        if upright:
            start, end = pen.at(0.0, part.start).y, pen.at(0.0, part.end).y
        else:
            start, end = pen.at(part.start, 0.0).x, pen.at(part.end, 0.0).x
        text = sizes.bare(part.name)
        found.append(Length(start=start, end=end, text=text, word=part.word))
    return tuple(found)


def sums(sizes: Sizes, rows: DrawingRows) -> Iterator[str]:
    """Yield what to say of chains whose printed numbers miss the printed opening or pane."""
    for chain in rows.chains:
        parts = spans(sizes, chain) if chain.whole else ()
        if parts and sizes.get(chain.whole) is not None:
            said = sum_note(sizes, chain.title, [part.name for part in parts], chain.whole)
            if said:
                yield said
