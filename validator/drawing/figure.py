"""Elevation and plan on the page, with their dimensions and what is written in them."""

from collections.abc import Collection, Iterable, Iterator
from dataclasses import replace

from .dimension import DimensionLine, Length, draw_chains
from .fit import CAPTION, PLAN, SIDES, Fitted
from .found import Anchors, Found, Label
from .geometry import Box, Point
from .key import LEADING
from .marks import place_label
from .rows import DrawingRows
from .scene import Scene
from .sorts.wall import WALL
from .svg import Canvas

_NEAR = 20.0  # from the middle of a mark's words to where they are wanted, at most, mm


class Figure:
    """The two large views of one job."""

    def __init__(
        self, canvas: Canvas, scene: Scene, rows: DrawingRows, fitted: Fitted, room: Box
    ) -> None:
        """Keep where they stand.

        Args:
            canvas: The page.
            scene: What can be drawn of the job.
            rows: What is dimensioned and written.
            fitted: The elevation's place and scale.
            room: Where they stand.
        """
        self.canvas = canvas
        self.scene = scene
        self.rows = rows
        self.fitted = fitted
        self.room = room
        self.notes: list[str] = []

    def draw(self) -> Anchors:
        """Draw both; return where things are, those of the elevation first."""
        self._caption(f"Elevation from outside   1:{self.fitted.scale}", self.room.top)
        with self.canvas.group("elevation"):
            found = self.scene.elevation(self.fitted.pen)
        self.notes += found.notes
        with self.canvas.group("dimensions"):
            self._dimensions(found.undrawn)
        below = self._plan()
        self._labels(found)
        spots = {**below, **found.spots}
        return {
            spot: at for spot, at in spots.items() if self.room.holds(Box(at.x, at.y, at.x, at.y))
        }

    def _caption(self, text: str, top: float) -> None:
        self.canvas.text(text, Point(self.room.left, top + 4.0), anchor="start", bold=True)

    def _dimensions(self, undrawn: Collection[str]) -> None:
        """Draw the dimensions of what is drawn."""
        box, room = self.fitted.box, self.room
        edges = dict(
            zip(SIDES, (box.top, box.bottom, box.left - WALL, box.right + WALL), strict=True)
        )
        placed: list[tuple[DimensionLine, tuple[Length, ...]]] = []
        for side, edge in edges.items():
            upright = side in SIDES[2:]
            out = -1 if side in ("above", "before") else 1
            for chain, away in self.fitted.rows[side]:
                if not chain.spans or chain.part in undrawn:
                    continue
                row = DimensionLine(
                    across=edge + out * away,
                    upright=upright,
                    feet=edge + out * 0.6,
                    low=box.top if upright else room.left,
                    high=box.bottom if upright else room.right,
                )
                sizes = self.scene.sizes
                placed.append((row, chain.lengths(self.fitted.pen, sizes, upright=upright)))
        texts = draw_chains(self.canvas, placed)
        if texts:
            self.notes.append(f"No room to write: {', '.join(texts)}.")

    def _plan(self) -> Anchors:
        """Draw the plan under the elevation; return where things are in it."""
        depth = self.scene.depth()
        if depth is None:
            return {}
        fitted, room, scale = self.fitted, self.room, self.fitted.scale
        # Room that is left over goes half between the two views.
        tall = (depth[1] - depth[0]) / scale + 2 * PLAN + CAPTION
        top = fitted.bottom + 3.0 + max(0.0, room.bottom - fitted.bottom - 5.0 - tall) / 2
        self._caption(f"Plan section at the foot of the glass   1:{scale}", top)
        inner = top + CAPTION + PLAN
        origin = Point(fitted.pen.frame.origin.x, inner + depth[1] / scale)
        frame = replace(fitted.pen.frame, origin=origin)
        pen = replace(fitted.pen, frame=frame, low=depth[0], high=depth[1])
        with self.canvas.group("plan"):
            found = self.scene.plan(pen)
        outer = pen.at(0.0, depth[0]).y
        for text, level in (("inside", inner + 0.5), ("outside", outer + 2.0)):
            beside = Point(fitted.box.left - WALL - 1.5, level)
            self.canvas.text(text, beside, anchor="end")
        for text, at in found.moves:
            zone = Box(room.left, at.y + 0.5, room.right, at.y + 9.0)
            self._write([Label(text, Point(at.x, at.y + 3.0))], zone, lead=False)
        return found.spots

    def _labels(self, found: Found) -> None:
        """Write how things move, what panes are, what is beside them, and their marks."""
        inside = self.fitted.box.grown(-0.5)
        self._write(found.moves, inside, lead=False)
        marks: list[tuple[Label, Label]] = []
        for at, title, glass, mark in found.names:
            over = Point(at.x, at.y - 12.0)
            if not place_label(self.canvas, title, over, inside, lead=False):
                said = ", ".join(filter(None, (title, glass, mark)))
                self._write([Label(said, at)], inside)
                continue
            middle = self.canvas.labels[-1].centre
            lines = [Point(middle.x, middle.y + line * LEADING) for line in (1, 2)]
            if glass:
                self._write([Label(glass, lines[0])], inside, lead=False)
            if mark:
                beside = Label(f"{title}: {mark}", at)
                marks.append((Label(mark, lines[1] if glass else lines[0]), beside))
        lower = inside
        if found.under is not None and found.under + LEADING < inside.bottom:
            lower = replace(inside, top=found.under + 1.0)
        self._write([*self._said(found), *found.cuts], lower)
        for under, beside in marks:
            # Further from its name it would be taken for another pane's.
            near = Box(*under.at, *under.at).grown(_NEAR).cut(inside)
            if near is None or not place_label(self.canvas, *under, near, lead=False):
                self._write([beside], inside)

    def _write(self, labels: Iterable[Label], zone: Box, *, lead: bool = True) -> None:
        """Write labels near what they tell of.

        What has no room there goes beside the figure with a leader, and is told where it has none
        there either.
        """
        crowded = [one for one in labels if not place_label(self.canvas, *one, zone, lead=lead)]
        lost = [text for text, at in crowded if not place_label(self.canvas, text, at, self.room)]
        if lost:
            self.notes.append(f"No room to write: {', '.join(lost)}.")

    def _said(self, found: Found) -> Iterator[Label]:
        for label in self.rows.labels:
            spot = self.scene.sizes.plain(label.spot)
            if not label.where and spot in found.spots:
                value = self.scene.sizes.bare(label.value) if label.value else ""
                yield Label(f"{label.says} {value}".strip(), found.spots[spot])
