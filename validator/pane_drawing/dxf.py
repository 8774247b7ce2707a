"""A pane as DXF for a cutting or drilling machine; needs the extra `dxf`."""

import io
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from ..drawing.letters import clean
from .outline import outline
from .shape import PaneError, PaneShape

if TYPE_CHECKING:
    from ezdxf.layouts.layout import Modelspace

OUTLINE, HOLES, CUTOUTS, NOTES = "OUTLINE", "HOLES", "CUTOUTS", "NOTES"
LAYERS = {OUTLINE: 7, HOLES: 1, CUTOUTS: 5, NOTES: 8}
"""Layers and their colours by index; a machine cuts the first three and leaves the last."""
MILLIMETRES = 4  # of $INSUNITS
LETTERS = 20.0  # height of the notes, mm
PLACES = 4  # decimals of a coordinate: finer than any machine


def pane_dxf(shape: PaneShape, notes: tuple[str, ...] = ()) -> str:
    """Return a pane as DXF text: true size in millimetres, the same text each time.

    The outline is one closed line with its notches in it, and true arcs; each hole is a circle;
    what is cut out inside stands on a layer of its own. Nothing but these is on their layers.

    Args:
        shape: The pane.
        notes: What else is to be said; each a line under the pane, on the layer of notes.

    Raises:
        PaneError: The library that writes DXF is not installed, or there is no one outline.

    Source:
        The DXF reference, AC1024 (R2010): LWPOLYLINE, CIRCLE and TEXT; $INSUNITS 4 is millimetres.
    """
    try:
        import ezdxf  # noqa: PLC0415  # an extra, and slow to start
    except ImportError as error:
        raise PaneError(
            "A DXF file needs the library ezdxf, which is not installed; install it with "
            '`python -m pip install "paneproof[dxf]"`, or use the SVG.'
        ) from error
    with _same_each_time(ezdxf):
        drawing = ezdxf.new("R2010", units=MILLIMETRES)  # type: ignore[attr-defined]
        drawing.header["$MEASUREMENT"] = 1  # metric
        for name, colour in LAYERS.items():
            drawing.layers.add(name, color=colour)
        _draw(drawing.modelspace(), shape, notes)
        stream = io.StringIO()
        drawing.write(stream)
    return stream.getvalue()


def _draw(space: "Modelspace", shape: PaneShape, notes: tuple[str, ...]) -> None:
    cut = outline(shape)
    lines = [(OUTLINE, cut.glass), *((CUTOUTS, one) for one in cut.cutouts)]
    for layer, loop in lines:
        vertices = [(_exact(x), _exact(y), bulge) for x, y, bulge in loop]
        space.add_lwpolyline(vertices, format="xyb", close=True, dxfattribs={"layer": layer})
    for hole in shape.holes:
        middle = (_exact(shape.at(hole.x)), _exact(hole.y))
        space.add_circle(middle, _exact(hole.across / 2), dxfattribs={"layer": HOLES})
    for at, note in enumerate(notes, start=1):
        where = (0.0, -2 * at * LETTERS)
        attributes = {"layer": NOTES, "height": LETTERS, "insert": where}
        space.add_text(clean(note), dxfattribs=attributes)


def _exact(value: float) -> float:
    return round(value, PLACES) + 0.0


@contextmanager
def _same_each_time(library: Any) -> Iterator[None]:  # noqa: ANN401  # a module
    """Write no clock and no chance into the file."""
    before = library.options.write_fixed_meta_data_for_testing
    library.options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        library.options.write_fixed_meta_data_for_testing = before
