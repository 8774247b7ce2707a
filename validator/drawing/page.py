"""One page for one job: elevation and plan, details, marks, key and notes."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from ..finding import Review
from ..report.groups import grouped, numbers
from ..verdict import Verdict
from .chains import Parts, above, below, fixed_side, lengths, strike_side, sums
from .details import Drawn, draw_details
from .dimension import Length, Row, draw_chains, offsets
from .drafting import FAINT, PAPERS, SCALES, Paper
from .elevation import NAMES, WALL, Anchors, draw_elevation, extent
from .key import LEADING, divide, draw_key
from .marks import Mark, marks_of, place_label, place_mark
from .places import places
from .plan_view import curb_lines, depth, draw_plan
from .shapes import Box, Point, box_of
from .sizes import Sizes
from .svg import blank
from .title_block import BLOCK, Facts, frame, note_lines, notes, title_block
from .view import Measure, View

_COLUMN = 48.0  # width of the details and the key
_BETWEEN = 3.0
_CAPTION = 5.5
_SIDE = 14.0  # least room beside the elevation for short sizes of level chains
_PLAN = 8.0  # around the plan, above and below, for its texts and marks
_MOST_NOTES = 12
_NOTHING = "Nothing is known yet that could be drawn."


def draw(verdict: Verdict, review: Review, *, paper: str = "letter") -> str:
    """Return a drawing of a job on one page, as SVG text in ASCII.

    Args:
        verdict: What the rules found; every place and size is a value of it.
        review: The review of the same job; its findings are marked with the numbers that the text
            report gives them.
        paper: letter or a4.

    Raises:
        ValueError: There is no such paper.
    """
    if paper not in PAPERS:
        raise ValueError(f"There is no paper {paper}; there are {', '.join(PAPERS)}.")
    page = _Page(Sizes(verdict), verdict, review, PAPERS[paper])
    said = note_lines(page.compose(0), page.left.width)
    if not said:
        return page.canvas.written()
    # What must be said is known only once everything is drawn, and it takes room of its own.
    page = _Page(Sizes(verdict), verdict, review, PAPERS[paper])
    page.compose(min(len(said), _MOST_NOTES))
    return page.canvas.written()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Fitted:
    """The elevation's view and the rows of dimensions around it."""

    view: View
    scale: int
    low: Measure
    high: Measure
    bottom: float
    rows: dict[str, tuple[tuple[Parts, float], ...]]


class _Page:
    """One page being composed."""

    def __init__(self, sizes: Sizes, verdict: Verdict, review: Review, paper: Paper) -> None:
        self.sizes = sizes
        self.verdict = verdict
        self.review = review
        self.paper = paper
        inner = frame(paper)
        bottom = inner.bottom - BLOCK - 1.5
        split = inner.right - _COLUMN - 1.5
        self.left = Box(inner.left + 1.5, inner.top + 1.0, split - _BETWEEN, bottom)
        self.column = Box(split, inner.top + 1.0, inner.right - 1.5, bottom)
        self.mirrored = sizes.get("fixed.on_right") == 1.0
        self.canvas = blank(paper, self._title(), self._description())
        self.notes: list[str] = []

    def compose(self, reserved: int) -> list[str]:
        """Draw everything, with room for some lines of notes; return the notes."""
        details = draw_details(self.canvas, self.sizes, self.column, mirrored=self.mirrored)
        listed = replace(self.column, top=details.bottom + (2.0 if details.scale else 0.0))
        marks = marks_of(grouped(self.review))
        key = divide(marks, listed, self.left.width)
        foot = replace(self.left, top=self.left.bottom - reserved * LEADING)
        band = replace(self.left, top=foot.top - key.tall, bottom=foot.top)
        room = replace(self.left, bottom=band.top - 1.0)
        corners = extent(self.sizes)
        fitted = self._fit(corners, room) if corners is not None else None
        found: Anchors = {}
        if fitted is not None:
            found = self._views(fitted, room)
        elif details.scale == 0:
            where = Point(self.left.left, self.left.top + 12.0)
            self.canvas.text(_NOTHING, where, anchor="start", bold=True)
        unplaced = self._marks(found, details, room)
        waiting = self._waiting()
        none = "No findings yet" if waiting else "No findings"
        draw_key(self.canvas, key, "Findings" if marks else none, listed, band)
        self.notes = [*self._notes(details, unplaced, waiting), *self.notes]
        notes(self.canvas, self.notes, foot)
        title_block(self.canvas, self.review, self._facts(fitted, details))
        return self.notes

    def _fit(self, corners: tuple[Measure, Measure], room: Box) -> _Fitted | None:
        """Return the largest scale at which elevation and plan fit, with their dimensions."""
        for scale in SCALES:
            fitted = self._at_scale(scale, corners, room)
            if fitted is not None:
                return fitted
        self.notes.append("The opening is too large for a drawing of this size.")
        return None

    def _at_scale(self, scale: int, corners: tuple[Measure, Measure], room: Box) -> _Fitted | None:
        low, high = corners
        trial = View(
            canvas=self.canvas, origin=Point(0, 0), scale=1 / scale, mirrored=self.mirrored
        )
        sides = (fixed_side(self.sizes), strike_side(self.sizes))
        left, right = sides[::-1] if self.mirrored else sides
        rows = {
            "above": self._rows(trial, above(self.sizes), upright=False, texts_inward=False),
            "below": self._rows(trial, below(self.sizes), upright=False, texts_inward=True),
            "left": self._rows(trial, left, upright=True, texts_inward=False),
            "right": self._rows(trial, right, upright=True, texts_inward=True),
        }
        before = max(_SIDE, rows["left"][-1][1] + 1.0) + WALL
        after = max(_SIDE, rows["right"][-1][1] + 1.0) + WALL
        wide, tall = (high[0] - low[0]) / scale, (high[1] - low[1]) / scale
        lines = depth(self.sizes)
        plan = 0.0 if lines is None else (lines[1] - lines[0]) / scale + 2 * _PLAN + _CAPTION
        over, under = rows["above"][-1][1] + _CAPTION, rows["below"][-1][1]
        spare = room.width - before - wide - after
        if spare < 0 or over + tall + under + plan + 5.0 > room.height:
            return None
        first = room.left + before + spare / 2
        side = first + high[0] / scale if self.mirrored else first - low[0] / scale
        datum = room.top + over + 3.0 + high[1] / scale
        view = replace(trial, origin=Point(side, datum))
        bottom = datum - low[1] / scale + under
        return _Fitted(view=view, scale=scale, low=low, high=high, bottom=bottom, rows=rows)

    def _rows(
        self, view: View, chains: Sequence[Parts], *, upright: bool, texts_inward: bool
    ) -> tuple[tuple[Parts, float], ...]:
        """Return each chain with its distance from the figure, and last an empty one past all."""
        measured = [lengths(view, self.sizes, parts, upright=upright) for parts in chains]
        away = offsets(measured, upright=upright, texts_inward=texts_inward)
        return tuple(zip((*chains, ()), away, strict=True))

    def _views(self, fitted: _Fitted, room: Box) -> Anchors:
        """Draw elevation and plan with their dimensions and names; return the places in them."""
        view, low, high = fitted.view, fitted.low, fitted.high
        caption = f"Elevation from outside   1:{fitted.scale}"
        where = Point(room.left, room.top + 4.0)
        self.canvas.text(caption, where, anchor="start", bold=True)
        top = high[1] + 1.0 / view.scale
        with self.canvas.group("elevation"):
            found = draw_elevation(view, self.sizes, top)
        with self.canvas.group("dimensions"):
            self._dimensions(fitted, room)
        if depth(self.sizes) is not None:
            found = {**self._plan(fitted, room), **found}
        one, other = view.at(*low), view.at(*high)
        inside = Box(min(one.x, other.x), other.y, max(one.x, other.x), one.y).grown(-0.5)
        self._travel(view, high, inside)
        self._names(found, inside)
        return {place: at for place, at in found.items() if room.holds(Box(at.x, at.y, at.x, at.y))}

    def _dimensions(self, fitted: _Fitted, room: Box) -> None:
        view, low, high = fitted.view, fitted.low, fitted.high
        one, other = view.at(*low), view.at(*high)
        edges = {
            "above": other.y,
            "below": one.y,
            "left": min(one.x, other.x) - WALL,
            "right": max(one.x, other.x) + WALL,
        }
        placed: list[tuple[Row, tuple[Length, ...]]] = []
        for side, edge in edges.items():
            upright = side in ("left", "right")
            out = -1 if side in ("above", "left") else 1
            for parts, away in fitted.rows[side]:
                if not parts:
                    continue
                row = Row(
                    across=edge + out * away,
                    upright=upright,
                    feet=edge + out * 0.6,
                    low=other.y if upright else room.left,
                    high=one.y if upright else room.right,
                )
                measured = lengths(view, self.sizes, parts, upright=upright)
                placed.append((row, measured))
        texts = draw_chains(self.canvas, placed)
        if texts:
            self.notes.append(f"No room to write: {', '.join(texts)}.")

    def _plan(self, fitted: _Fitted, room: Box) -> Anchors:
        lines = depth(self.sizes) or (0.0, 0.0)
        caption = f"Plan section just over the curb   1:{fitted.scale}"
        # Room that is left over goes half between the two views.
        tall = (lines[1] - lines[0]) * fitted.view.scale + 2 * _PLAN + _CAPTION
        top = fitted.bottom + 3.0 + max(0.0, room.bottom - fitted.bottom - 5.0 - tall) / 2
        self.canvas.text(caption, Point(room.left, top + 4.0), anchor="start", bold=True)
        inner = top + _CAPTION + _PLAN
        origin = Point(fitted.view.origin.x, inner + lines[1] * fitted.view.scale)
        view = replace(fitted.view, origin=origin)
        with self.canvas.group("plan"):
            found = draw_plan(view, self.sizes, fine=False)
        outer = view.at(0.0, lines[0]).y
        for text, level in (("inside", inner + 0.5), ("outside", outer + 2.0)):
            beside = min(view.at(fitted.low[0], 0.0).x, view.at(fitted.high[0], 0.0).x)
            self.canvas.text(text, Point(beside - WALL - 1.5, level), anchor="end")
        self._falls(view, room)
        return found

    def _falls(self, view: View, room: Box) -> None:
        """Draw an arrow at either end of the curb the way its top falls, with how much."""
        edges = curb_lines(self.sizes)
        width = self.sizes.get("opening.plumb_width")
        if edges is None or width is None:
            return
        for end, along in (("fixed", 0.14), ("strike", 0.9)):
            name = f"survey.curb.fall.{end}"
            fall = self.sizes.get(name)
            if fall is None:
                continue
            low, high = (view.at(width * along, edge) for edge in edges)
            tail, tip = (low, high) if fall >= 0 else (high, low)
            if fall:
                back = 1.6 if tail.y > tip.y else -1.6
                self.canvas.line((tail, tip), FAINT)
                head = (tip, Point(tip.x - 0.6, tip.y + back), Point(tip.x + 0.6, tip.y + back))
                self.canvas.solid(head, name="arrow")
            way = " inward" if fall > 0 else " outward"
            text = f"fall {self.sizes.shown(abs(fall))}{way}" if fall else "level"
            zone = Box(room.left, low.y + 0.5, room.right, low.y + 9.0)
            place_label(self.canvas, text, Point(low.x, low.y + 3.0), zone, lead=False)

    def _travel(self, view: View, high: Measure, room: Box) -> None:
        """Draw which way the door rolls, and how far."""
        ends = self.sizes.need("the travel", "door.closed_at", "door.open_at", "door.travel")
        if ends is None:
            return
        level = high[1] * 0.28
        start, end = view.at(ends[0], level), view.at(ends[1], level)
        self.canvas.line((start, end), FAINT)
        back = 3.0 if start.x > end.x else -3.0
        head = (end, Point(end.x + back, end.y - 0.8), Point(end.x + back, end.y + 0.8))
        self.canvas.solid(head, name="arrow")
        self.canvas.labels.append(box_of((start, end)).grown(1.0))
        middle = Point((start.x + end.x) / 2, start.y - 3.5)
        text = f"opens, travel {self.sizes.bare('door.travel')}"
        place_label(self.canvas, text, middle, room, lead=False)

    def _names(self, found: Anchors, room: Box) -> None:
        for part, name in (("fixed", "fixed panel"), ("door", "sliding door")):
            at = found.get(part)
            if at is None:
                continue
            glass = self.sizes.word(f"design.{part}.glass")
            thick = self.sizes.get(f"design.{part}.thickness")
            more = f"{self.sizes.bare(f'design.{part}.thickness')} {glass}".strip()
            above_mark = Point(at.x, at.y - 12.0)
            if place_label(self.canvas, name, above_mark, room, lead=False) and thick is not None:
                under = self.canvas.labels[-1].centre
                under = Point(under.x, under.y + LEADING)
                place_label(self.canvas, more, under, room, lead=False)
        bar = found.get("bar")
        if bar is not None and bar.y + LEADING < room.bottom:
            room = replace(room, top=bar.y + 1.0)
        for place, name in (
            *NAMES.items(),
            ("open stop", f"open stop {self.sizes.bare('door.open_stop_at')}"),
            ("closed stop", f"closed stop {self.sizes.bare('door.closed_stop_at')}"),
        ):
            at = found.get(place)
            if at is not None:
                place_label(self.canvas, name, at, room)
        for part in ("fixed", "door"):
            for notch, fields in self.sizes.cuts(part, "notch"):
                wide, high, round_ = (
                    self.sizes.bare(fields[key]) for key in ("width", "height", "radius")
                )
                if notch in found:
                    says = f"notch {wide} x {high}, radius {round_}"
                    place_label(self.canvas, says, found[notch], room)

    def _marks(self, found: Anchors, details: Drawn, room: Box) -> list[Mark]:
        """Draw the marks; return those of no one place, or with no room at it."""
        unplaced: list[Mark] = []
        groups = grouped(self.review)
        findings = [one.finding for group in groups for one in group.findings]
        for mark, finding in zip(marks_of(groups), findings, strict=True):
            done = False
            for place in places(self.verdict, finding):
                spots = list(_spots(place, found, details, room))
                done = any(place_mark(self.canvas, mark, at, zone) for at, zone in spots)
                if done:
                    break
            if not done:
                unplaced.append(mark)
        return unplaced

    def _waiting(self) -> int:
        """Return how many findings wait for facts and are told elsewhere than in the list."""
        listed = numbers(self.review)
        unknown = sum(one.outcome == "unknown" for one in self.review.findings)
        return unknown - sum(one.finding.outcome == "unknown" for one in listed)

    def _notes(self, details: Drawn, unplaced: Sequence[Mark], waiting: int) -> Iterator[str]:
        if self.sizes.get("fixed.on_right") is None:
            yield "The hand is not known (design.hand): drawn with the fixed panel on the left."
        if unplaced:
            yield f"Of no one place: {', '.join(str(mark.number) for mark in unplaced)}."
        if waiting:
            yield f"{waiting} {'clause waits' if waiting == 1 else 'clauses wait'} for facts."
        if details.unwritten:
            yield f"No room to write: {', '.join(details.unwritten)}."
        if self.sizes.left_out:
            missing = sorted(frozenset().union(*self.sizes.left_out.values()))
            yield f"Not known: {', '.join(missing)}."
            yield f"Left out for want of them: {', '.join(self.sizes.left_out)}."
        yield from sums(self.sizes)

    def _facts(self, fitted: _Fitted | None, details: Drawn) -> Facts:
        scales = [f"1:{fitted.scale}"] if fitted is not None else []
        scales += [f"details 1:{details.scale}"] if details.scale else []
        hand = {None: "Hand not known", 1.0: "Fixed panel right", 0.0: "Fixed panel left"}
        return Facts(
            unit=self.sizes.unit,
            scale=f"Scale {', '.join(scales)}" if scales else "Not to scale",
            hand=f"{hand[self.sizes.get('fixed.on_right')]}, seen from outside",
            paper=self.paper,
        )

    def _title(self) -> str:
        return f"Drawing of job {self.review.job}: {self.review.title}".removesuffix(": ")

    def _description(self) -> str:
        sizes = self.sizes
        told = [
            "Elevation from outside and plan section of an in-line slider",
            f"fixed panel on the {'right' if self.mirrored else 'left'}",
        ]
        for name, words in (
            ("opening.plumb_width", "opening"),
            ("fixed.width", "fixed panel wide"),
            ("fixed.height", "fixed panel high"),
            ("door.width", "door wide"),
            ("door.height", "door high"),
            ("door.clear_opening", "way in"),
        ):
            if sizes.get(name) is not None:
                told.append(f"{words} {sizes.text(name)}")
        many = sum(len(group.findings) for group in grouped(self.review))
        told.append(f"{many} {'finding' if many == 1 else 'findings'} marked by number")
        return "; ".join(told) + "."


def _spots(place: str, found: Anchors, details: Drawn, room: Box) -> Iterator[tuple[Point, Box]]:
    """Yield where a place is drawn, with where its mark may stand; large views last."""
    for anchors, block in zip(details.anchors, details.blocks, strict=True):
        at = anchors.get(place)
        if at is not None and block.holds(Box(at.x, at.y, at.x, at.y)):
            yield at, block
    if place in found:
        yield found[place], room
