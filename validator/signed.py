"""The short code of the sizes that are ordered: what a second check and a signature are given for.

A check that says only yes would still say so once the sizes are others. The code is worked out from
what the glass is ordered by, and stands on the papers; whoever checks them writes it down.
"""

import math
import re
from collections.abc import Iterable, Mapping
from hashlib import sha256

from ruleset.quantity import QuantityError

SIGNED: Mapping[str, str] = {
    "order.second_check": "second check",
    "order.drawing_signed": "client's signature",
}
"""Facts that are given for sizes, and what each is called."""

LETTERS = "346789ACDEFGHJKMNPQRTWXY"
"""Letters and digits that no hand and no ear takes for another: O, I, L, Z, S, U, V, B and 0, 1, 2,
5 are left out."""
LONG = 5
"""How many a code has: of eight million changes, one goes unseen."""
CODE = rf"[{LETTERS}{LETTERS.lower()}]{{{LONG}}}"
AGAIN = "checked again"
"""What a copy of a job says of a check that counted for the old sizes, while others are tried."""
_OLD = {"yes": "yes", "true": "yes", "no": "no", "false": "no"}
_GLASS = ("thickness", "glass", "category", "surface", "treated_face", "mark", "edges")
_CUT = (
    r"(?:design\.)?(?:{panes})\."
    r"(?:holes\[\d+\]\.(?:x|y|across)|notches\[\d+\]\.(?:x|y|width|height|radius))"
)
_MICRON = 1000.0  # in a mm
_OFF = 0.03  # microns: no size on a grid of inches or millimetres stands so near the next step


def read_signed(text: str) -> str:
    """Return what the job says of a check: no, yes, or the code it was given for.

    Raises:
        QuantityError: The text is none of these.

    Example:
        >>> read_signed("k7m4a"), read_signed("true")
        ('K7M4A', 'yes')
    """
    if text in _OLD:
        return _OLD[text]
    code = text.strip()
    if not re.fullmatch(CODE, code):
        says = f"{text[:20]!a} is neither no nor a code of sizes"
        raise QuantityError(f"{says}; write the {LONG} letters and digits of the take-off, or no.")
    return code.upper()


def ordered(panes: Iterable[str], names: Iterable[str]) -> tuple[str, ...]:
    """Return the names of what the glass is ordered by: sizes, holes, notches, glass and hand.

    Args:
        panes: The panes that are ordered.
        names: Every name the job has a value for.

    Example:
        >>> ordered(["door"], ["door.holes[1].x", "door.holes[1].rim_to_edge", "door.width"])
        ('door.holes[1].x', 'door.width')
    """
    parts = tuple(panes)
    cut = re.compile(_CUT.format(panes="|".join(map(re.escape, parts)))) if parts else None
    whole = {
        *(f"{pane}.{side}" for pane in parts for side in ("width", "height")),
        *(f"design.{pane}.{word}" for pane in parts for word in _GLASS),
        "design.hand",
    }
    return tuple(n for n in names if n in whole or (cut is not None and cut.fullmatch(n)))


def code_of(values: Mapping[str, float | str], kit: str) -> str:
    """Return the code of sizes.

    Args:
        values: What the glass is ordered by, each by its name: mm, or a word; nan where it is not
            known.
        kit: The kit's id.

    Example:
        >>> one = code_of({"door.width": 792.1624999999999}, "ostrel-inch")
        >>> one == code_of({"door.width": 792.1625}, "ostrel-inch")
        True
        >>> one == code_of({"door.width": 793.75}, "ostrel-inch")
        False
    """
    lines = [f"kit={kit}", *(f"{name}={_text(values[name])}" for name in sorted(values))]
    number = int.from_bytes(sha256("\n".join(lines).encode("utf-8")).digest(), "big")
    found = ""
    for _ in range(LONG):
        number, at = divmod(number, len(LETTERS))
        found += LETTERS[at]
    return found


def _text(value: float | str) -> str:
    if isinstance(value, str):
        return value
    return "?" if math.isnan(value) else str(math.floor(value * _MICRON + _OFF))


def remark(name: str, said: str, code: str) -> str:
    """Return what is said of a check that does not count, with the code to write.

    Args:
        name: The fact.
        said: What the job says of it.
        code: The code of the sizes as they are; "" where they are not all known.

    Example:
        >>> remark("order.second_check", "K7M4A", "QXR3C")
        'The second check K7M4A was given for other sizes; the code of these is QXR3C.'
        >>> remark("order.second_check", "yes", "QXR3C")
        'The second check says yes, but not for which sizes; write QXR3C, the code of these.'
    """
    these = f"the code of these is {code}" if code else "these are not all known yet"
    what = SIGNED[name]
    if said == "no":
        return f"{these[0].upper()}{these[1:]}."
    if said == "yes":
        write = f"write {code}, the code of these" if code else these
        return f"The {what} says yes, but not for which sizes; {write}."
    return f"The {what} {said} was given for other sizes; {these}."
