"""The frame, the title block and the notes around the views."""

from collections.abc import Sequence
from dataclasses import dataclass

from ..finding import Review
from .drafting import FAINT, LETTER, MARGIN, TITLE, VISIBLE, PageSize
from .geometry import Box, Point
from .key import LEADING
from .letters import fit, wrap
from .svg import Canvas

BLOCK = 26.0
"""Height of the title block, mm."""
_BAR = 50.0  # length of the line that a print is measured by, mm
_PAD = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """What the title block says beside the review's own words.

    Attributes:
        unit: Unit of every size.
        scale: The scales, in words.
        hand: Which side the fixed panel stands on, in words.
        paper: The sheet.
    """

    unit: str
    scale: str
    hand: str
    paper: PageSize


def frame(paper: PageSize) -> Box:
    """Return the frame of a sheet."""
    return Box(MARGIN, MARGIN, paper.width - MARGIN, paper.height - MARGIN)


def title_block(canvas: Canvas, review: Review, facts: Facts) -> None:
    """Draw the frame and, along its foot, who and what the drawing is for.

    Source:
        ISO 7200 for what a title block holds; from memory.
    """
    around = frame(facts.paper)
    canvas.outline(around.corners, VISIBLE)
    top = around.bottom - BLOCK
    split = around.right - 76.0
    canvas.line((Point(around.left, top), Point(around.right, top)), VISIBLE)
    canvas.line((Point(split, top), Point(split, around.bottom)), FAINT)
    _left(canvas, review, Box(around.left + _PAD, top, split - _PAD, around.bottom))
    _right(canvas, facts, Box(split + _PAD, top, around.right - _PAD, around.bottom))


def _left(canvas: Canvas, review: Review, room: Box) -> None:
    titles = wrap(review.title or f"Job {review.job}", room.width, TITLE, most=2, bold=True)
    for at, line in enumerate(titles):
        where = Point(room.left, room.top + 5.2 + at * 5.0)
        canvas.text(line, where, anchor="start", size=TITLE, bold=True)
    release = review.release
    ready = "ready" if release.ready else "NOT ready"
    code = review.sizes_code
    sizes = f"code of the sizes {code}" if code else "sizes not all known"
    lines = (
        f"Job {review.job}; kit {review.kit or 'not chosen'}; {sizes}",
        f"Codes {', '.join(review.codes) or 'none named'}",
        f"By the review: {ready} for the stage {release.stage}",
    )
    for at, line in enumerate(lines):
        where = Point(room.left, room.top + 14.8 + at * LEADING)
        canvas.text(fit(line, room.width, LETTER), where, anchor="start")


def _right(canvas: Canvas, facts: Facts, room: Box) -> None:
    unit = {"in": "inches", "mm": "millimetres"}[facts.unit]
    lines = (f"All sizes in {unit}", f"{facts.scale} ({facts.paper.name})", facts.hand)
    for at, line in enumerate(lines):
        where = Point(room.left, room.top + 4.6 + at * LEADING)
        canvas.text(fit(line, room.width, LETTER), where, anchor="start")
    level = room.top + 19.0
    ends = Point(room.left, level), Point(room.left + _BAR, level)
    canvas.line(ends, VISIBLE)
    for end in ends:
        canvas.line((Point(end.x, level - 1.2), Point(end.x, level + 1.2)), FAINT)
    says = "50 mm when printed to scale"
    canvas.text(says, Point(room.left, level + 4.6), anchor="start")


def notes(canvas: Canvas, said: Sequence[str], room: Box) -> None:
    """Write notes, the last line cut where there is no room for all.

    Args:
        canvas: The page.
        said: The notes.
        room: Where they stand.
    """
    lines = note_lines(said, room.width)
    most = max(0, int((room.height + 0.1) // LEADING))
    if len(lines) > most > 0:
        lines = (*lines[: most - 1], fit(" ".join(lines[most - 1 :]), room.width, LETTER))
    for at, line in enumerate(lines[:most]):
        where = Point(room.left, room.top + (at + 1) * LEADING - 1.0)
        canvas.text(line, where, anchor="start")


def note_lines(said: Sequence[str], room: float) -> tuple[str, ...]:
    """Return notes in lines of a width."""
    return tuple(line for note in said for line in wrap(note, room, LETTER, most=5))
