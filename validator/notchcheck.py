"""Notches on the papers held against the take-off: which lack or are too many, and what is off."""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from .desk import Desk
from .drilled import EDGE
from .filled_tables import Filling
from .finding import Finding
from .papers import Paper, fact_on
from .phrases import listed
from .slips import Glass, is_near
from .verdict import Verdict

NOTCHES = "notches"
"""The group of a pane's notches, and what a paper lists of it."""


@dataclass(frozen=True, slots=True)
class Cut:
    """A notch by its lower corner nearest the edge that its pane counts from, mm.

    Attributes:
        x: From that edge.
        y: From the foot.
        width: How wide it is.
        height: How tall it is.
        radius: Radius of its inside corners.
    """

    x: float
    y: float
    width: float
    height: float
    radius: float


KEYS = ("x", "y", "width", "height", "radius")


def notches_of(verdict: Verdict, part: str) -> Mapping[str, Cut] | None:
    """Return a pane's notches as drawn, by what they are; None where one is not known."""
    found: dict[str, Cut] = {}
    for _, means, fields in Filling(verdict).children(part, NOTCHES):
        answers = [verdict.answer(fields[key]) for key in KEYS]
        if not all(answer.known for answer in answers):
            return None
        found[means] = Cut(*(answer.value for answer in answers))
    return found


def check_notches(desk: Desk, paper: Paper, part: str) -> Iterator[Finding]:
    """Yield what is wrong with a pane's notches on a paper.

    Args:
        desk: The job's papers.
        paper: The paper.
        part: The pane.
    """
    fact = fact_on(desk.verdict, paper, part, NOTCHES)
    glass, meant = desk.glass[part], notches_of(desk.verdict, part)
    if fact not in desk.verdict.job.rows or glass is None or meant is None:
        return
    pane = desk.means[part]
    rows, lacks = _rows(desk, fact)
    if lacks:
        row = lacks[0].removeprefix(fact)[1:].partition("]")[0]
        says = (
            f"{paper.named} has notch {row} of {pane} without "
            f"{listed([one.rpartition('.')[2] for one in lacks])}, so that no notch of {pane} is "
            "held against the take-off."
        )
        yield desk.finding(paper, part, "notch", says, lacks[0], level="warning")
        return
    within = desk.verdict.library.limits[paper.apart].value
    whole = _whole(tuple(meant.values()), rows, glass, within)
    if whole == "mirrored":
        level, remark = desk.turning((part,))
        says = (
            f"{paper.named} has the notches of {pane} on the other hand, as in a mirror. {remark}"
        )
        yield desk.finding(paper, part, "mirrored", says, fact, level=level)
        return
    if whole:
        says = (
            f"{paper.named} has every notch of {pane} measured from the top; the take-off measures "
            "from the foot."
        )
        yield desk.finding(paper, part, "notch", says, fact)
        return
    yield from _one_by_one(desk, paper, part, _Lists(fact, meant, rows, within))


@dataclass(frozen=True, slots=True)
class _Lists:
    """The notches of one pane, as drawn and as a paper has them."""

    fact: str
    meant: Mapping[str, Cut]
    rows: Sequence[Cut]
    within: float


def _one_by_one(desk: Desk, paper: Paper, part: str, lists: _Lists) -> Iterator[Finding]:
    """Yield each notch that is off, then those that lack, then those that are too many."""
    left, right = unmatched(lists.meant, lists.rows, lists.within)
    pane, fact = desk.means[part], lists.fact
    while left and right:
        name, at = min(
            ((name, at) for name in left for at in right),
            key=lambda pair: _apart(lists.meant[pair[0]], lists.rows[pair[1]]),
        )
        left.remove(name)
        right.remove(at)
        meant, has = lists.meant[name], lists.rows[at]
        off = [k for k in KEYS if not is_near(getattr(meant, k), getattr(has, k), lists.within)]
        texts = [desk.texts(getattr(has, key), getattr(meant, key)) for key in off]
        pairs = zip(off, texts, strict=True)
        wrong = [f"{_called(desk, part, k)} as {one}, which is {two}" for k, (one, two) in pairs]
        says = f"{paper.named} has the {name} of {pane} with {listed(wrong)} on the take-off."
        yield desk.finding(paper, part, "notch", says, f"{fact}[{at + 1}].{off[0]}")
    for name in left:
        says = (
            f"{paper.named} lacks the {name} of {pane}; the take-off has it "
            f"{_at(desk, part, lists.meant[name])}."
        )
        yield desk.finding(paper, part, "notch", says, fact)
    for at in right:
        says = (
            f"{paper.named} has a notch in {pane} {_at(desk, part, lists.rows[at])} that the "
            "take-off has not."
        )
        yield desk.finding(paper, part, "notch", says, f"{fact}[{at + 1}].x")


def _rows(desk: Desk, fact: str) -> tuple[list[Cut], list[str]]:
    """Return the notches of a paper, and what the first row lacks that is not filled in."""
    found: list[Cut] = []
    for at in range(1, (desk.verdict.job.rows[fact] or 0) + 1):
        names = [f"{fact}[{at}].{key}" for key in KEYS]
        lacks = [name for name in names if name not in desk.given]
        if lacks:
            return found, lacks
        found.append(Cut(*(desk.given[name].value for name in names)))
    return found, []


def unmatched(
    meant: Mapping[str, Cut], rows: Sequence[Cut], within: float
) -> tuple[list[str], list[int]]:
    """Return the names of the notches that a paper has not, and its rows that are none of them.

    Args:
        meant: Notches of the take-off.
        rows: Notches of the paper.
        within: How far two may be apart and be one, mm.
    """
    left, right = [], list(range(len(rows)))
    for name, cut in meant.items():
        found = next((at for at in right if _is_same(cut, rows[at], within)), None)
        if found is None:
            left.append(name)
        else:
            right.remove(found)
    return left, right


def _whole(meant: Sequence[Cut], rows: Sequence[Cut], glass: Glass, within: float) -> str:
    """Return "mirrored" or "upended" where all notches are so, and not right as they stand."""
    ways: Mapping[str, Sequence[Cut]] = {
        "": meant,
        "mirrored": [replace(one, x=glass.width - one.x - one.width) for one in meant],
        "upended": [replace(one, y=glass.height - one.y - one.height) for one in meant],
    }
    for way, cuts in ways.items():
        named = {str(at): one for at, one in enumerate(cuts)}
        if unmatched(named, rows, within) == ([], []):
            return way
    return ""


def _is_same(one: Cut, other: Cut, within: float) -> bool:
    return all(is_near(getattr(one, key), getattr(other, key), within) for key in KEYS)


def _apart(one: Cut, other: Cut) -> float:
    return math.fsum(abs(getattr(one, key) - getattr(other, key)) for key in KEYS)


def _edge(desk: Desk, part: str) -> str:
    name = f"{part}.{EDGE}"
    if not desk.verdict.answer(name).known:
        return "the edge on the side of the hand"
    return f"the {desk.verdict.teller().value(name).text} edge"


def _called(desk: Desk, part: str, key: str) -> str:
    """Return what a size of a notch is called in a sentence."""
    if key == "x":
        return f"its distance from {_edge(desk, part)}"
    return "its distance from the foot" if key == "y" else f"its {key}"


def _at(desk: Desk, part: str, cut: Cut) -> str:
    x, y, wide, high, radius = (desk.texts(getattr(cut, key))[0] for key in KEYS)
    where = f"at {x} from {_edge(desk, part)} and {y} from the foot"
    return f"{where}, {wide} wide and {high} high, radius {radius}"
