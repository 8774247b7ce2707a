"""Departures that a job states: which stand, and which would waive nothing."""

from collections.abc import Mapping, Sequence

from ruleset.book import Clause
from ruleset.errors import Fault, ShapeError
from ruleset.nearest import did_you_mean

from .finding import Waiver
from .old_names import new_part


def check_waivers(waivers: Sequence[Waiver], subjects: Mapping[str, Sequence[str]]) -> None:
    """Refuse a waiver for a part that its clause is not asked of: it would waive nothing, unseen.

    Args:
        waivers: The job's.
        subjects: The parts that each clause is asked of, by its name.

    Raises:
        ShapeError: A waiver names another part; all of them at once.
    """
    faults = []
    for waiver in waivers:
        asked = subjects.get(waiver.clause, ())
        if waiver.subject and asked and waiver.subject not in asked:
            new = new_part(waiver.subject)
            hint = f" {waiver.subject} {new}." if new else did_you_mean(waiver.subject, asked)
            says = (
                f"{waiver.clause} is not asked of {waiver.subject}; it is asked of "
                f"{', '.join(asked)}.{hint}"
            )
            faults.append(Fault(waiver.place, says))
    if faults:
        raise ShapeError(faults)


def waiver_for(
    waivers: Sequence[Waiver], clause: Clause, subject: str, today: str
) -> tuple[Waiver | None, str]:
    """Return the waiver that stands for a clause and a part, or why the one there is does not.

    Args:
        waivers: The job's.
        clause: The clause.
        subject: The part.
        today: The day, ISO 8601; "" where none was given.
    """
    for waiver in waivers:
        if waiver.clause != clause.name or waiver.subject not in ("", subject):
            continue
        if not clause.waivable:
            return None, f"The waiver by {waiver.by} does not stand: this may not be waived."
        if waiver.until and not today:
            says = f"The waiver by {waiver.by} stands until {waiver.until}; no day was given."
            return None, says
        if waiver.until and waiver.until < today:
            return None, f"The waiver by {waiver.by} ended on {waiver.until}."
        return waiver, ""
    return None, ""
