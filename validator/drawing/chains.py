"""Which lengths are dimensioned, and in which chains; each one the value of a name of the books."""

from collections.abc import Iterator
from dataclasses import dataclass

from .dimension import Length, sum_note
from .sizes import Sizes
from .view import View


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A length of a chain before it is on the page.

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


Parts = tuple[Part, ...]


def _run(sizes: Sizes, start: float, what: str, *named: tuple[str, str]) -> Parts:
    """Return a chain of lengths that follow each other, none where one is not known.

    Args:
        sizes: The job's values.
        start: Where the first begins, mm.
        what: The chain, for the note that it was left out.
        named: Name and word of each length.
    """
    got = sizes.need(what, *(name for name, _ in named))
    if got is None:
        return ()
    parts: list[Part] = []
    for (name, word), long in zip(named, got, strict=True):
        parts.append(Part(start=start, end=start + long, name=name, word=word))
        start += long
    return tuple(parts)


def above(sizes: Sizes) -> tuple[Parts, ...]:
    """Return the level chains above the elevation, the nearest first."""
    gap = sizes.get("design.wall_gap")
    trailing = sizes.get("door.closed_trailing")
    return (
        ()
        if gap is None
        else _run(
            sizes,
            gap,
            "the sizes of the panel's holes",
            ("design.first_hole", "hole"),
            ("kit.bar.pitch", "pitch"),
            ("fixed.past_second_hole", ""),
        ),
        ()
        if trailing is None
        else _run(
            sizes,
            trailing,
            "the sizes of the rollers",
            ("kit.wheel.inset", ""),
            ("door.wheel_pitch", "rollers"),
            ("kit.wheel.inset", ""),
        ),
        _run(
            sizes,
            0.0,
            "the sizes of the open door",
            ("door.trailing", ""),
            ("door.width", "door open"),
            ("door.clear_opening", "way in"),
            ("kit.bulb.free", "bulb"),
        ),
    )


def below(sizes: Sizes) -> tuple[Parts, ...]:
    """Return the level chains below the elevation, the nearest first."""
    return (
        _run(
            sizes,
            0.0,
            "the sizes of the fixed panel",
            ("design.wall_gap", "gap"),
            ("fixed.width", "fixed glass"),
            ("opening.door_bay", ""),
        ),
        _run(
            sizes,
            0.0,
            "the sizes of the closed door",
            ("door.closed_trailing", ""),
            ("door.width", "door glass"),
            ("kit.strike_gap", "gap"),
        ),
        _run(
            sizes, 0.0, "the opening", ("opening.plumb_width", "opening, plumb line to plumb line")
        ),
    )


def fixed_side(sizes: Sizes) -> tuple[Parts, ...]:
    """Return the upright chains beside the fixed panel, the nearest first."""
    floor = sizes.get("survey.curb.above_floor")
    bar = _run(sizes, 0.0, "the bar's height", ("bar.height", "middle of bar"))
    if bar and floor:
        bar = _run(
            sizes,
            -floor,
            "the bar's height",
            ("survey.curb.above_floor", ""),
            ("bar.height", "middle of bar"),
        )
    return (
        _run(
            sizes,
            0.0,
            "the panel's height",
            ("design.sill_lift", ""),
            ("fixed.height", "fixed glass"),
        ),
        bar,
    )


def strike_side(sizes: Sizes) -> tuple[Parts, ...]:
    """Return the upright chains beside the door, the nearest first."""
    floor = sizes.get("survey.curb.above_floor")
    return (
        _run(sizes, 0.0, "the door's height", ("door.foot", ""), ("door.height", "door glass")),
        ()
        if floor is None
        else _run(
            sizes, -floor, "the handle's height", ("door.handle_above_floor", "handle over floor")
        ),
    )


def lengths(view: View, sizes: Sizes, parts: Parts, *, upright: bool) -> tuple[Length, ...]:
    """Return a chain on the page."""
    found: list[Length] = []
    for part in parts:
        if upright:
            start, end = view.at(0.0, part.start).y, view.at(0.0, part.end).y
        else:
            start, end = view.at(part.start, 0.0).x, view.at(part.end, 0.0).x
        text = sizes.bare(part.name)
        found.append(Length(start=start, end=end, text=text, word=part.word))
    return tuple(found)


def sums(sizes: Sizes) -> Iterator[str]:
    """Yield what to say of chains whose printed numbers miss the printed opening or pane."""
    width = "opening.plumb_width"
    checked = (
        ("Panel shut", below(sizes)[0], width),
        ("Door shut", below(sizes)[1], width),
        ("Door open", above(sizes)[2], width),
        ("Panel holes", above(sizes)[0], "fixed.width"),
        ("Rollers", above(sizes)[1], "door.width"),
        ("Across the curb", across_curb(sizes), "survey.curb.flat_width"),
    )
    for what, parts, whole in checked:
        if parts:
            said = sum_note(sizes, what, [part.name for part in parts], whole)
            if said:
                yield said


def across_curb(sizes: Sizes) -> Parts:
    """Return the chain across the curb, from its outer edge; mm inward of the bar's line."""
    start = sizes.get("bar.from_curb_edge")
    inward = sizes.get("guide.line")
    if start is None or inward is None:
        return ()
    panes = ("design.fixed.thickness", "design.door.thickness")
    outer, inner = panes if inward > 0 else panes[::-1]
    return _run(
        sizes,
        -start,
        "the sizes across the curb",
        ("curb.before_glass", ""),
        (outer, ""),
        ("door.faces_apart", ""),
        (inner, ""),
        ("curb.behind_glass", ""),
    )
