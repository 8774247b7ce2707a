"""The setting-out as text to carry to site, with a box for each reading."""

from collections.abc import Mapping

from ..settingout import HoldPoint, Reading, SettingOut, WorkStep
from .layout import USUAL_WIDTH, Look
from .takeoff_text import (
    cautions_of,
    cell_text,
    missing_lines,
    numbered,
    sheet_head,
    table_lines,
)

BOX = "[__________]"
SIGNED = "Signed ____________________  Day ____________"


def write(found: SettingOut, *, width: int = USUAL_WIDTH, look: Look | None = None) -> str:
    """Return the setting-out as text.

    Args:
        found: The setting-out.
        width: Columns.
        look: What the text may look like; plain and `width` wide for None.
    """
    look = look or Look(width=width)
    numbers = numbered(found.missing)
    lines = sheet_head(found.heading, found.job, found.title, look)
    lines += look.wrap(f"Kit {found.kit}; code {', '.join(found.codes)}.")
    lines += look.wrap(found.about)
    for table in found.tables:
        lines += table_lines(table, look, numbers)
    if found.steps:
        lines += look.heading("Order of work")
        for word in dict.fromkeys(step.basis for step in found.steps):
            lines += look.wrap(f"By whose word: {word}.")
    for step in found.steps:
        lines += _step(step, look, numbers)
    if found.others:
        lines += look.heading("Hold points of no step")
        for hold in found.others:
            lines += _hold(hold, look)
    lines += missing_lines(found.missing, look)
    lines += cautions_of(found.cautions, look)
    return "\n".join(lines).strip("\n") + "\n"


def _step(step: WorkStep, look: Look, numbers: Mapping[str, int]) -> list[str]:
    lines = ["", *look.wrap(step.do, first=f"{step.number:>2}. ")]
    if step.after:
        after = ", ".join(map(str, step.after))
        lines += look.wrap(f"After {after}.", first="    ")
    for cell in step.values:
        lines += look.wrap(f"{cell.title}: {cell_text(cell, numbers)}", first="    - ")
    for caution in step.cautions:
        lines += look.wrap(f"Caution: {caution}", first="    ")
    for hold in step.holds:
        lines += _hold(hold, look)
    return lines


def _hold(hold: HoldPoint, look: Look) -> list[str]:
    """Return a hold point with a box for each reading and a line to sign."""
    stage = "" if hold.stage == "install" else f" at {hold.stage}"
    lines = look.wrap(
        f"HOLD{stage}: {hold.title}: {hold.shows}. ({hold.clause}; {hold.basis})", first="    "
    )
    for reading in hold.readings:
        lines += look.wrap(_read(reading), first="      ", rest="        ")
    if hold.outcome == "fails":
        lines += look.wrap(f"FAILS: {hold.says}", first="      ")
    elif hold.outcome == "holds":
        lines += look.wrap("Holds by the readings given.", first="      ")
    if hold.caution:
        lines += look.wrap(f"Caution: {hold.caution}", first="      ")
    return [*lines, *look.wrap(f"{hold.signs.capitalize()}: {SIGNED}", first="      ")]


def _read(reading: Reading) -> str:
    expected = f" (as drawn {reading.expected})" if reading.expected else ""
    return f"{reading.means}{expected}: {reading.given or BOX}"
