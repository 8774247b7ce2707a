"""The day that a job is looked at: a fact like any other, so that no clause reads a clock."""

import datetime as dt
from dataclasses import replace

from ruleset.kinds import KINDS
from ruleset.quantity import read_quantity

from .facts import Given
from .job import Job

TODAY = "job.today"


def on_day(job: Job, today: dt.date | None = None) -> Job:
    """Return a job as it is looked at on a day.

    Args:
        job: The job.
        today: The day; the job's own where it is None, else the clock's.
    """
    if today is None and TODAY in job.values:
        return job
    text = (today or _clock()).isoformat()
    value = read_quantity(text, KINDS["date"]).value
    given = Given(value=value, tolerance=None, text=text, place=job.place)
    return replace(job, values={**job.values, TODAY: given})


def day_of(job: Job) -> str:
    """Return the day that a job is looked at, ISO 8601; the clock's where it has none."""
    return job.values[TODAY].text if TODAY in job.values else _clock().isoformat()


def _clock() -> dt.date:
    return dt.date.today()  # noqa: DTZ011  # the shop's own day
