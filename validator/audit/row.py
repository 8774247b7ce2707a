"""What an audit keeps of one job: a row, written as JSON and read back."""

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, fields
from typing import Any, NamedTuple

READY, OPEN, BROKEN, NOT_MEANT, NOT_TOLD = "ready", "not ready", "broken", "not meant", "cannot say"
"""What becomes of a job. *Not meant* and *cannot say* are answers to a question of which jobs."""
VERDICTS = (READY, OPEN, BROKEN, NOT_MEANT, NOT_TOLD)


class Told(NamedTuple):
    """A clause that a job breaks, or keeps only without its tolerances.

    Attributes:
        clause: Its full name.
        subject: The part.
        outcome: fails or tight.
        level: error, warning or note.
        title: What the clause asks.
        says: What is, what is allowed.
        line: Where it stands in the job; 0 where it stands elsewhere.
        column: The same.
        margin: How far on the right side, internal units; None where nothing is compared.
    """

    clause: str
    subject: str
    outcome: str
    level: str
    title: str
    says: str
    line: int
    column: int
    margin: float | None

    @property
    def key(self) -> tuple[str, str]:
        """Return what two audits know it by."""
        return (self.clause, self.subject)


class Margin(NamedTuple):
    """How far a clause is on its right side, in internal units of a kind."""

    value: float
    kind: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """What an audit keeps of one job.

    Attributes:
        name: Its file; of a row or a line of a file, its number behind it.
        verdict: One of `VERDICTS`.
        why: Why it could not be used, or could not be said; "" otherwise.
        job: The shop's number for it.
        arrangement: What is built.
        kit: Its hardware.
        codes: Code sets and policies it was judged by.
        date: The day of its order, else of its newest reading; "" for no date.
        asked: How many facts are still to be supplied.
        waived: How many clauses it is let off.
        told: What fails or is tight.
        margins: The least margin of each clause that compares, by its full name.
    """

    name: str
    verdict: str
    why: str = ""
    job: str = ""
    arrangement: str = ""
    kit: str = ""
    codes: tuple[str, ...] = ()
    date: str = ""
    asked: int = 0
    waived: int = 0
    told: tuple[Told, ...] = ()
    margins: Mapping[str, Margin] = field(default_factory=dict)

    def failing(self, level: str) -> tuple[Told, ...]:
        """Return what fails at a level."""
        return tuple(one for one in self.told if one.outcome == "fails" and one.level == level)


def as_text(value: object) -> str:
    """Return a value as one line of JSON; names of files that are no text keep their bytes."""
    return json.dumps(value, ensure_ascii=True, separators=(",", ":"), allow_nan=False)


def data_of(row: Row) -> dict[str, object]:
    """Return a row as JSON has it."""
    return asdict(row)


def row_from(data: Mapping[str, Any]) -> Row:
    """Return the row that JSON has.

    Raises:
        KeyError, TypeError, ValueError: It is none.
    """
    if set(data) != _FIELDS or data["verdict"] not in VERDICTS:
        raise ValueError(data)
    told = tuple(Told(*one) for one in data["told"])
    margins = {name: Margin(*one) for name, one in data["margins"].items()}
    return Row(**{**data, "codes": tuple(data["codes"]), "told": told, "margins": margins})


_FIELDS = {one.name for one in fields(Row)}
