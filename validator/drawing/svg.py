"""One page of SVG, written line by line; the door to the XML library."""

import math
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from xml.etree.ElementTree import Element, SubElement, tostring

from .drafting import LETTER, THIN, LineStyle, PageSize
from .geometry import Box, Point
from .letters import ABOVE, BELOW, clean, is_measured, width

NAMESPACE = "http://www.w3.org/2000/svg"
_FACES = "Arial, Helvetica, 'Liberation Sans', sans-serif"


def number(value: float) -> str:
    """Return a length on the page as text, to a thousandth of a mm.

    Example:
        >>> number(12.50000001), number(-0.0001)
        ('12.5', '0')
    """
    return f"{round(value, 3) + 0.0:.3f}".rstrip("0").rstrip(".")


@dataclass(slots=True, kw_only=True)
class Canvas:
    """A page being drawn.

    Attributes:
        root: The SVG element.
        labels: Box of each text so far: nothing else may be written over one.
        busy: Boxes that labels had better leave free.
        wires: Leader lines so far, which labels had better not cover.
    """

    root: Element
    labels: list[Box] = field(default_factory=list)
    busy: list[Box] = field(default_factory=list)
    wires: list[tuple[Point, Point]] = field(default_factory=list)
    _open: list[Element] = field(default_factory=list)

    @contextmanager
    def group(self, name: str) -> Iterator[None]:
        """Draw what follows into a group of that id."""
        self._open.append(SubElement(self._into, "g", {"id": name}))
        yield
        self._open.pop()

    @property
    def many(self) -> int:
        """Return how many lines and the like the open group has."""
        return len(self._into)

    @property
    def _into(self) -> Element:
        return self._open[-1] if self._open else self.root

    def line(self, points: Sequence[Point], line: LineStyle) -> None:
        """Draw a line through points."""
        self._path("polyline", points, {"fill": "none", **_stroke(line)})

    def outline(self, points: Sequence[Point], line: LineStyle, *, fill: str = "none") -> None:
        """Draw a closed line."""
        self._path("polygon", points, {"fill": fill, **_stroke(line)})

    def solid(self, points: Sequence[Point], *, fill: str = "black", name: str = "solid") -> None:
        """Fill a polygon."""
        self._path("polygon", points, {"class": name, "fill": fill, "stroke": "none"})

    def arrow(self, tail: Point, tip: Point, long: float, half: float) -> None:
        """Draw an arrow head at the tip of a line, none where the line has no length.

        Args:
            tail: Where the line comes from.
            tip: Where it ends.
            long: Length of the head, mm.
            half: Half its width, mm.
        """
        away = math.dist(tail, tip)
        if away:
            x, y = (tail.x - tip.x) / away, (tail.y - tip.y) / away
            foot = Point(tip.x + x * long, tip.y + y * long)
            one = Point(foot.x + y * half, foot.y - x * half)
            other = Point(foot.x - y * half, foot.y + x * half)
            self.solid((tip, one, other), name="arrow")

    def lines(self, pairs: Iterable[tuple[Point, Point]], line: LineStyle) -> None:
        """Draw many short lines as one element."""
        moves = [f"M{number(a.x)} {number(a.y)}L{number(b.x)} {number(b.y)}" for a, b in pairs]
        if moves:
            SubElement(self._into, "path", {"d": "".join(moves), "fill": "none", **_stroke(line)})

    def circle(self, at: Point, radius: float, line: LineStyle, *, fill: str = "none") -> None:
        """Draw a circle."""
        where = {"cx": number(at.x), "cy": number(at.y), "r": number(radius)}
        SubElement(self._into, "circle", {**where, "fill": fill, **_stroke(line)})

    def dot(self, at: Point, radius: float = 0.4) -> None:
        """Draw a filled dot."""
        where = {"cx": number(at.x), "cy": number(at.y), "r": number(radius)}
        SubElement(self._into, "circle", {**where, "fill": "black"})

    def text(  # noqa: PLR0913  # what, where and how
        self,
        text: str,
        at: Point,
        *,
        anchor: str = "middle",
        size: float = LETTER,
        bold: bool = False,
        turned: bool = False,
        plate: bool = False,
        fill: str = "black",
    ) -> Box:
        """Write a text with its base line at a point, and keep its box.

        Args:
            text: The text; cleaned here, not shortened.
            at: Start, middle or end of the base line.
            anchor: Which of the three: start, middle or end.
            size: Font size, mm.
            bold: Whether the letters are bold.
            turned: Whether it reads upward, from the right-hand side of the page.
            plate: Whether to cover with white what lies under it.
            fill: Colour of the letters.
        """
        text = clean(text)
        box = text_box(text, at, anchor=anchor, size=size, bold=bold, turned=turned)
        if plate:
            self.solid(box.grown(0.3).corners, fill="white", name="plate")
        told = {
            "x": number(at.x),
            "y": number(at.y),
            "font-size": number(size),
            "text-anchor": anchor,
            "fill": fill,
        }
        if bold:
            told["font-weight"] = "bold"
        if turned:
            told["transform"] = f"rotate(-90 {number(at.x)} {number(at.y)})"
        if not is_measured(text):
            # A letter of unknown width may not leave its box.
            told["textLength"] = number(width(text, size, bold=bold))
            told["lengthAdjust"] = "spacingAndGlyphs"
        SubElement(self._into, "text", told).text = text
        self.labels.append(box)
        return box

    def leader(self, from_: Point, to: Point) -> None:
        """Draw a thin line from a label to a dot at what it tells of."""
        self.line((from_, to), THIN)
        self.dot(to)
        self.wires.append((from_, to))

    def written(self) -> str:
        """Return the page as text, in ASCII alone."""
        made: bytes = tostring(self.root, encoding="us-ascii", xml_declaration=True)
        return made.decode("ascii") + "\n"

    def _path(self, tag: str, points: Sequence[Point], how: dict[str, str]) -> None:
        through = " ".join(f"{number(p.x)},{number(p.y)}" for p in points)
        SubElement(self._into, tag, {"points": through, **how})


def blank(paper: PageSize, title: str, desc: str) -> Canvas:
    """Return an empty page with its alternative text.

    Args:
        paper: The size of page.
        title: Its title; any text.
        desc: What it shows, for those who cannot see it; any text.
    """
    root = Element(
        "svg",
        {
            "xmlns": NAMESPACE,
            "width": f"{number(paper.width)}mm",
            "height": f"{number(paper.height)}mm",
            "viewBox": f"0 0 {number(paper.width)} {number(paper.height)}",
            "role": "img",
            "aria-labelledby": "drawing-title drawing-desc",
            "font-family": _FACES,
        },
    )
    SubElement(root, "title", {"id": "drawing-title"}).text = clean(title)
    SubElement(root, "desc", {"id": "drawing-desc"}).text = clean(desc)
    canvas = Canvas(root=root)
    page = Box(0, 0, paper.width, paper.height)
    canvas.solid(page.corners, fill="white", name="page")
    return canvas


def text_box(  # noqa: PLR0913  # what, where and how
    text: str, at: Point, *, anchor: str, size: float, bold: bool = False, turned: bool = False
) -> Box:
    """Return the box that a text takes up at most; arguments as for `Canvas.text`."""
    long = width(text, size, bold=bold)
    back = {"start": 0.0, "middle": long / 2, "end": long}[anchor]
    up, down = ABOVE * size, BELOW * size
    if turned:
        return Box(at.x - up, at.y + back - long, at.x + down, at.y + back)
    return Box(at.x - back, at.y - up, at.x - back + long, at.y + down)


def _stroke(line: LineStyle) -> dict[str, str]:
    told = {"class": line.name, "stroke": "black", "stroke-width": number(line.width)}
    if line.dashes:
        told["stroke-dasharray"] = " ".join(map(number, line.dashes))
    return told
