"""The day that a job is looked at: a fact like any other, so that no clause reads a clock."""

import datetime as dt
from dataclasses import replace

from ruleset.kinds import KINDS
from ruleset.quantity import read_quantity

from .facts import Given
from .job import Job

TODAY = "job.today"
USUAL: dt.date | None = None
"""The day where none is given: not known, and so asked for. Only the command line reads a clock."""


def on_day(job: Job, today: dt.date | None = None) -> Job:
    """Return a job as it is looked at on a day.

    Args:
        job: The job.
        today: The day; the job's own, or else `USUAL`, where it is None.
    """
    day = today or (None if TODAY in job.values else USUAL)
    if day is None:
        return job
    text = day.isoformat()
    value = read_quantity(text, KINDS["date"]).value
    given = Given(value=value, tolerance=None, text=text, place=job.place)
    return replace(job, values={**job.values, TODAY: given})


def day_of(job: Job) -> str:
    """Return the day that a job is looked at, ISO 8601; "" where none was given."""
    return job.values[TODAY].text if TODAY in job.values else ""
