"""How the hand-written sentences print numbers: the project's own printing, agreed the same way."""

from ruleset.kinds import KINDS, Kind
from ruleset.quantity import read_quantity
from ruleset.show import Style, said_as_given, show

ANGLE, COUNT, DURATION, FORCE = (KINDS[k] for k in ("angle", "count", "duration", "force"))
LENGTH, MASS, NUMBER = (KINDS[k] for k in ("length", "mass", "number"))
SLOPE, STRESS = KINDS["slope"], KINDS["stress"]

FAILS = (2, 4)
FINEST = 8


def about(value: float, kind: Kind, style: Style) -> str:
    """Return a value as text, said to be rounded where it is."""
    shown = show(value, kind, style)
    return f"about {shown.text}" if shown.rounded else shown.text


def given(value: float, kind: Kind, style: Style) -> str:
    """Return a limit or a reading as it was written, said to be rounded where it is not."""
    return said_as_given(value, kind, style)


def agree(have: float, need: float, kind: Kind, style: Style) -> tuple[str, str, str]:
    """Return two values and their difference, fine enough that the texts tell them apart."""
    hair = kind.hair or 0.0
    same = abs(have - need) <= hair
    finer = next((f for f in range(3) if not show(need, kind, style, finer=f).rounded), 0)
    while True:
        one, other = (show(value, kind, style, finer=finer) for value in (have, need))
        had, needed = read_quantity(one.text, kind).value, read_quantity(other.text, kind).value
        apart = had - needed
        agrees = same or (abs(apart) > hair and (have > need) == (apart > 0))
        lost = (not had and abs(have) > hair) or (not needed and abs(need) > hair)
        if finer == FINEST or (agrees and not lost):
            break
        finer += 1
    short = show(abs(apart), kind, style, finer=finer).text
    if one.rounded or other.rounded:
        short = f"about {short}"
    return (
        f"about {one.text}" if one.rounded else one.text,
        f"about {other.text}" if other.rounded else other.text,
        short,
    )


def nearer(value: float, least: float, most: float) -> float:
    """Return the end of a range that a value has the least room to, or is past; one may be nan."""
    if most != most or value - least <= most - value:  # nan
        return least
    return most
