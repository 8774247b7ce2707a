"""A pane as it is cut: its size, holes and notches, from the values that the take-off prints."""

from collections.abc import Iterator
from dataclasses import dataclass

from ruleset.nearest import did_you_mean

from ..drawing.sizes import Sizes
from ..drawing.sorts import PANE
from ..drawing.sorts.pane import HOLES, NOTCHES
from ..drilled import EDGE
from ..filled_tables import Cell, Filling
from ..verdict import Verdict

SEEN = ("outside", "inside")


class PaneError(Exception):
    """A pane cannot be drawn as it is cut; the sentence says why and what to do."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """A hole by its centre.

    Attributes:
        means: What it is for.
        x: From the pane's datum edge, mm.
        y: From its foot, mm.
        across: Its diameter, mm.
        cells: Each of the three as it prints, with its name and what it was before rounding.
    """

    means: str
    x: float
    y: float
    across: float
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class NotchCut:
    """A notch by its lower corner nearest the datum edge.

    Attributes:
        means: What it is for.
        x: From the pane's datum edge, mm.
        y: From its foot, mm.
        width: Along the pane, mm.
        height: Up the pane, mm.
        radius: Of its inside corners, mm.
        cells: Each of the five as it prints, with its name and what it was before rounding.
    """

    means: str
    x: float
    y: float
    width: float
    height: float
    radius: float
    cells: tuple[Cell, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PaneShape:
    """One pane, seen from one side.

    Attributes:
        part: Its name in the job.
        means: What it is, such as the sliding door.
        width: mm.
        height: mm.
        holes: Its holes, those of the hardware first.
        notches: Its notches.
        datum: The upright edge that x counts from as it is seen: left or right.
        seen: The side that it is seen from: outside or inside.
    """

    part: str
    means: str
    width: float
    height: float
    holes: tuple[Hole, ...]
    notches: tuple[NotchCut, ...]
    datum: str
    seen: str

    def at(self, x: float) -> float:
        """Return how far from the left edge a place is that is so far from the datum edge, mm."""
        return x if self.datum == "left" else self.width - x


def panes(verdict: Verdict) -> tuple[str, ...]:
    """Return the names of a job's panes."""
    parts = verdict.library.parts.values()
    return tuple(part.name for part in parts if PANE in part.sorts)


def shape_of(verdict: Verdict, part: str, *, seen: str = "outside") -> PaneShape:
    """Return a pane as it is cut.

    Args:
        verdict: The job, judged.
        part: The pane's name.
        seen: The side that it is seen from: outside or inside.

    Raises:
        PaneError: There is no such pane, or something of it is not known.
    """
    known = panes(verdict)
    if part not in known:
        hint = did_you_mean(part, known)
        says = f"There is no pane '{part}' in job {verdict.job.name}.{hint}"
        raise PaneError(f"{says} There are: {', '.join(known)}.")
    return _Shaping(verdict, part).shape(seen)


class _Shaping:
    """One pane's values, asked for by name; what is missing is kept."""

    def __init__(self, verdict: Verdict, part: str) -> None:
        self.sizes = Sizes(verdict)
        self.filling = Filling(verdict)
        self.verdict = verdict
        self.part = part
        self.means = verdict.library.parts[part].means

    def shape(self, seen: str) -> PaneShape:
        size = [self.cell(f"{self.part}.{key}") for key in ("width", "height")]
        holes = list(self.children(HOLES, ("x", "y", "across")))
        notches = list(self.children(NOTCHES, ("x", "y", "width", "height", "radius")))
        self.refuse_missing()
        values = (
            [_value(cell) for cell in cells]
            for cells in (size, *(c for _, c in (*holes, *notches)))
        )
        width, height = next(values)
        made_holes = [
            Hole(means=means, x=x, y=y, across=across, cells=cells)
            for (means, cells), (x, y, across) in zip(holes, values, strict=False)
        ]
        made_notches = [
            NotchCut(means=means, x=x, y=y, width=wide, height=high, radius=radius, cells=cells)
            for (means, cells), (x, y, wide, high, radius) in zip(notches, values, strict=False)
        ]
        left = (self.sizes.word(f"{self.part}.{EDGE}") == "left") == (seen == "outside")
        return PaneShape(
            part=self.part,
            means=self.means,
            width=width,
            height=height,
            holes=tuple(made_holes),
            notches=tuple(made_notches),
            datum="left" if left else "right",
            seen=seen,
        )

    def cell(self, name: str) -> Cell:
        return self.filling.cell(self.sizes.plain(name), key=name, title=name)

    def children(self, group: str, keys: tuple[str, ...]) -> Iterator[tuple[str, tuple[Cell, ...]]]:
        for _, means, fields in self.filling.children(self.part, group):
            yield means, tuple(self.cell(fields[key]) for key in keys)
        own = self.verdict.library.parts[self.part].groups.get(group)
        if own is not None and own.more and own.more not in dict(self.verdict.plan.shape):
            self.filling.waits[own.more] = None

    def refuse_missing(self) -> None:
        """Refuse a pane of which something is not known: a machine cuts what it is given."""
        missing = [*self.filling.waits]
        if self.sizes.hands and not self.sizes.hand:
            missing.append("design.hand")
        if missing:
            names = ", ".join(dict.fromkeys(sorted(missing)))
            title = f"{self.means[:1].upper()}{self.means[1:]}"
            says = f"{title} cannot be drawn as it is cut; not known: {names}."
            raise PaneError(f"{says} Give what is missing in the job.")


def _value(cell: Cell) -> float:
    assert cell.value is not None  # noqa: S101  # what is not known was refused
    return cell.value.value
