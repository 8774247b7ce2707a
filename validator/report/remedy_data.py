"""The remedies of a job for programs: the object that `remedy --format json` prints."""

from ..day import day_of
from ..job import Job
from ..remedy.patch import json_patch
from ..remedy.result import Remedies, Remedy
from .data import FORMAT, plain


def data(remedies: Remedies, job: Job, version: str) -> dict[str, object]:
    """Return the remedies of a job as dictionaries, lists, texts and numbers.

    Args:
        remedies: The remedies.
        job: The job, for the operations of each remedy.
        version: Version of the program that made them.
    """
    return {
        "paneproof": version,
        "format": FORMAT,
        "job": remedies.job,
        "file": remedies.file,
        "code": list(remedies.codes),
        "today": day_of(job),
        "stopped": remedies.stopped,
        "seconds": remedies.seconds,
        "joint": _remedy_data(remedies.joint, job),
        "joint_nothing": plain(remedies.joint_nothing),
        "left": [list(one) for one in remedies.left],
        "unread": list(remedies.unread),
        "unfit": list(remedies.unfit),
        "unknown": list(remedies.unknown),
        "singles": [
            {
                "clause": one.clause,
                "subject": one.subject,
                "outcome": one.outcome,
                "level": one.level,
                "title": one.title,
                "says": one.says,
                "remedy": _remedy_data(one.remedy, job),
                "nothing": plain(one.nothing),
            }
            for one in remedies.singles
        ],
        "broken": list(remedies.broken),
    }


def _remedy_data(remedy: Remedy | None, job: Job) -> dict[str, object] | None:
    if remedy is None:
        return None
    told = plain(remedy)
    if not isinstance(told, dict):
        raise TypeError(remedy.title)
    smaller = _remedy_data(remedy.smaller, job)
    return {**told, "smaller": smaller, "patch": list(json_patch(remedy.changes, job))}
