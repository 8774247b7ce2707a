"""What is left of bars and channels on a shop's shelves, and what a cut takes: of stock.yaml."""

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from ruleset.errors import ShapeError
from ruleset.fields import Faults, Fields
from ruleset.kinds import KINDS
from ruleset.node import Node
from ruleset.place import Place
from ruleset.quantity import QuantityError, read_quantity
from ruleset.reader import read_file

FILE = "stock.yaml"
LENGTH = KINDS["length"]
LONGEST = 12_000.0  # mm; no stock is longer, and a slip of unit is


@dataclass(frozen=True, slots=True, kw_only=True)
class Offcut:
    """A length that is left of a kit's bar or channel.

    Attributes:
        name: What the shop calls it.
        kit: The kit whose stock it is of.
        of: What it is of, as the cut list calls it.
        length: mm.
        hole: From its first end to its first tapped hole, mm; None where it has none.
        place: Where it stands.
    """

    name: str
    kit: str
    of: str
    length: float
    hole: float | None
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelf:
    """What there is to cut from besides new lengths.

    Attributes:
        offcuts: What is left.
        kerf: What one cut takes, mm; None where it is not given.
        file: The stock's file; "" where there is none.
    """

    offcuts: tuple[Offcut, ...] = ()
    kerf: float | None = None
    file: str = ""


def take_shelf(fields: Fields, units: str) -> tuple[tuple[Offcut, ...], float | None]:
    """Return the offcuts of a stock, and its kerf, mm; faults are kept by its fields.

    Args:
        fields: The stock.
        units: What a bare length in it is in: in, mm, or "" for none.
    """
    kerf = _length(fields, "kerf", units)
    rows = fields.table("offcuts").items()
    return tuple(_offcut(name, node, fields.faults, units) for name, node in rows), kerf


def load_shelf(folders: Iterable[Path]) -> Shelf:
    """Return what the stock of the first folder that has one leaves to cut from.

    Raises:
        RulesetError: The file cannot be read, or a length in it is none.
    """
    file = next((one / FILE for one in folders if (one / FILE).is_file()), None)
    if file is None:
        return Shelf()
    faults = Faults()
    fields = Fields(read_file(file), faults, "the shop's stock")
    offcuts, kerf = take_shelf(fields, fields.option("units", ("in", "mm")))
    if faults.found:
        raise ShapeError(faults.found)
    return Shelf(offcuts=offcuts, kerf=kerf, file=file.as_posix())


def one_shelf(shelves: Iterable[Shelf]) -> Shelf:
    """Return several shelves as one; of different kerfs the widest counts."""
    found = tuple(shelves)
    kerfs = [one.kerf for one in found if one.kerf is not None]
    return Shelf(
        offcuts=tuple(offcut for one in found for offcut in one.offcuts),
        kerf=max(kerfs, default=None),
        file=", ".join(one.file for one in found if one.file),
    )


def _offcut(name: str, node: Node, faults: Faults, units: str) -> Offcut:
    fields = Fields(node, faults, f"the offcut {name}")
    kit, of = fields.text("kit", need=True), fields.text("of", need=True)
    length = _length(fields, "length", units, need=True) or 0.0
    hole = _length(fields, "first_hole", units)
    if hole is not None and hole >= length > 0:
        fields.wrong("first_hole", f"The first hole of {name} stands past its end.")
    fields.done()
    return Offcut(name=name, kit=kit, of=of, length=length, hole=hole, place=fields.place)


def _length(fields: Fields, name: str, units: str, *, need: bool = False) -> float | None:
    text = fields.text(name, need=need)
    if not text:
        return None
    try:
        value = read_quantity(text, LENGTH, units=units or None).value
    except QuantityError as error:
        fields.wrong(name, f"{name}: {error}")
        return None
    if not 0 <= value <= LONGEST:
        fields.wrong(name, f"{name} is {text}; a length of stock goes from 0 to 40 ft.")
        return None
    return value
