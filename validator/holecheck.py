"""Holes on the papers held against the take-off: the amount, the cause they share, what follows."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from .as_built import built_verdict
from .desk import Desk
from .drilled import EDGE, HOLES, drilled, holes_of
from .finding import Finding
from .papers import Paper, fact_on
from .phrases import listed
from .slips import (
    Glass,
    Spot,
    alike,
    all_same,
    apart,
    hole_slip,
    inward,
    turned,
    unmatched,
    upended,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pair:
    """A hole that is not as the take-off has it.

    Attributes:
        name: What it is.
        at: Its row on the paper, from 0.
        meant: Where the take-off has it.
        written: Where the paper has it.
        slip: What it was mistaken for; "" where that cannot be told.
    """

    name: str
    at: int
    meant: Spot
    written: Spot
    slip: str


def check_holes(desk: Desk, paper: Paper, part: str) -> Iterator[Finding]:
    """Yield what is wrong with a pane's holes on a paper.

    Args:
        desk: The job's papers.
        paper: The paper.
        part: The pane.
    """
    fact = fact_on(desk.verdict, paper, part, HOLES)
    glass, meant = desk.glass[part], holes_of(desk.verdict, part)
    if fact not in desk.verdict.job.rows or glass is None or meant is None:
        return
    rows = _rows(desk, fact)
    if isinstance(rows, _Lack):
        says = (
            f"{paper.named} has hole {rows.row} of {desk.means[part]} without {rows.lacks}, so "
            f"that no hole of {desk.means[part]} is held against the take-off."
        )
        yield desk.finding(paper, part, "hole", says, rows.fact, level="warning")
        return
    names, drawn = list(meant), list(meant.values())
    within = desk.verdict.library.limits[paper.apart].value
    left, right = unmatched(drawn, rows, within)
    if not left and not right:
        return
    if all_same(turned(drawn, glass), rows, within):
        level, remark = desk.turning((part,))
        says = (
            f"{paper.named} has the holes of {desk.means[part]} on the other hand, as in a "
            f"mirror. {remark}"
        )
        yield desk.finding(paper, part, "mirrored", says, fact, level=level)
        return
    if all_same(upended(drawn, glass), rows, within):
        says = (
            f"{paper.named} has every hole of {desk.means[part]} measured from the top; the "
            "take-off measures from the foot."
        )
        yield desk.finding(paper, part, "hole", says, fact)
        return
    lacking, added = {names[at]: drawn[at] for at in left}, {at: rows[at] for at in right}
    pairs = list(_pairs(lacking, added, glass, within))
    for group in _by_cause(pairs, glass, within):
        says = _told(desk, paper, part, group)
        yield desk.finding(paper, part, "hole", says, f"{fact}[{group[0].at + 1}].x")
    for name, spot in lacking.items():
        (at,) = _at(desk, part, spot)
        lacks = f"lacks {_called(name)} of {desk.means[part]}"
        says = f"{paper.named} {lacks}; the take-off has it at {at}."
        yield desk.finding(paper, part, "hole", says, fact)
    for row, spot in added.items():
        (at,) = _at(desk, part, spot)
        says = f"{paper.named} has a hole in {desk.means[part]} at {at} that the take-off has not."
        yield desk.finding(paper, part, "hole", says, f"{fact}[{row + 1}].x")


def _called(name: str) -> str:
    """Return what a hole is called in a sentence: `the upper wheel's hole`, but `hole 6`."""
    return name if name[-1].isdecimal() else f"the {name}"


@dataclass(frozen=True, slots=True)
class _Lack:
    """What a row of a paper lacks.

    Attributes:
        row: The row, from 1.
        lacks: The sizes that are not filled in, in words.
        fact: The first of them.
    """

    row: int
    lacks: str
    fact: str


def _rows(desk: Desk, fact: str) -> list[Spot] | _Lack:
    """Return the holes of a paper; what the first row lacks that is not filled in."""
    found: list[Spot] = []
    for at in range(1, (desk.verdict.job.rows[fact] or 0) + 1):
        names = {key: f"{fact}[{at}].{key}" for key in ("x", "y", "across")}
        lacks = [key for key, name in names.items() if name not in desk.given]
        if lacks:
            return _Lack(at, listed(lacks), names[lacks[0]])
        found.append(Spot(*(desk.given[name].value for name in names.values())))
    return found


def _pairs(
    left: dict[str, Spot], right: dict[int, Spot], glass: Glass, within: float
) -> Iterator[_Pair]:
    """Yield holes that belong together though they differ, and take them out of both lists."""
    for named in (True, False):  # a slip that can be named says which holes belong together
        for name, spot in list(left.items()):
            told = {at: hole_slip(spot, one, glass, within) for at, one in right.items()}
            fits = [at for at, slip in told.items() if slip or not named]
            if not fits:
                continue
            at = min(fits, key=lambda one: (len(told[one]), _far(spot, right[one])))
            del left[name]
            yield _Pair(name=name, at=at, meant=spot, written=right.pop(at), slip=told[at])


def _far(one: Spot, other: Spot) -> float:
    return abs(one.x - other.x) + abs(one.y - other.y)


def _by_cause(pairs: Sequence[_Pair], glass: Glass, within: float) -> Iterator[list[_Pair]]:
    """Yield pairs that one slip explains, together: the same word for it, or the same amount."""
    slips = dict.fromkeys(one.slip for one in pairs if one.slip)
    yield from ([one for one in pairs if one.slip == slip] for slip in slips)
    rest = [one for one in pairs if not one.slip]
    one_way = alike([apart(one.meant, one.written) for one in rest], within)
    from_edges = alike([inward(one.meant, one.written, glass) for one in rest], within)
    for group in min(one_way, from_edges, key=len):
        yield [rest[at] for at in group]


def _told(desk: Desk, paper: Paper, part: str, group: Sequence[_Pair]) -> str:
    """Return what is wrong with holes of one cause, and what comes of it."""
    first, pane = group[0], desk.means[part]
    written, meant = _at(desk, part, first.written, first.meant)
    slip = first.slip or _amount(desk, paper, part, group)
    follows = ""
    if not first.slip or paper.cut:  # a slip of the pen on a paper was never cut
        follows = f" {_follows(desk, part, {one.name: one.written for one in group})}"
    if len(group) == 1:
        return (
            f"{paper.named} has {_called(first.name)} of {pane} at {written}; the take-off says "
            f"{meant}: {slip}.{follows}"
        )
    names = listed([one.name for one in group])
    return (
        f"{paper.named} has {len(group)} holes of {pane} wrong in one way, {slip}: {names}. The "
        f"first is at {written}; the take-off says {meant}.{follows}"
    )


def _follows(desk: Desk, part: str, moved: Mapping[str, Spot]) -> str:
    made = drilled(desk.verdict, part, moved)
    return made.unfit or desk.what_follows(built_verdict(desk.verdict, {}, moved=made.facts))


def _amount(desk: Desk, paper: Paper, part: str, group: Sequence[_Pair]) -> str:
    """Return how far holes of one cause are off, in words."""
    offs = [apart(one.meant, one.written) for one in group]
    one_way = len(alike(offs, desk.verdict.library.limits[paper.apart].value)) == 1
    off, glass, edge = offs[0], desk.glass[part], _edge(desk, part)
    ways = [
        (off.x, f"too far from {edge}", f"too near {edge}"),
        (off.y, "too high", "too low"),
        (off.across, "too wide", "too small"),
    ]
    if not one_way and glass is not None:
        off = inward(group[0].meant, group[0].written, glass)
        ways[0] = (off.x, "too far from its own side edge", "too near its own side edge")
    told = [
        f"{desk.texts(abs(size), 0.0)[0]} {more if size > 0 else less}"
        for size, more, less in ways
        if abs(size) > _HAIR
    ]
    return f"{'each ' if len(group) > 1 else ''}{listed(told)}"


_HAIR = 1e-3  # mm; finer than anybody writes a hole


def _edge(desk: Desk, part: str) -> str:
    name = f"{part}.{EDGE}"
    if not desk.verdict.answer(name).known:
        return "the edge on the side of the hand"
    return f"the {desk.verdict.teller().value(name).text} edge"


def _at(desk: Desk, part: str, *spots: Spot) -> list[str]:
    """Return where holes are, each size on a grid on which unlike ones differ."""
    xs, ys, widths = (
        desk.texts(*(float(getattr(spot, key)) for spot in spots)) for key in ("x", "y", "across")
    )
    edge = _edge(desk, part)
    sizes = zip(xs, ys, widths, strict=True)
    return [f"{x} from {edge} and {y} from the foot, {wide} across" for x, y, wide in sizes]
