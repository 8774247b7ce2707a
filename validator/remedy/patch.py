"""A remedy as JSON Patch: operations that apply to the data of the job's file.

Source:
    RFC 6902; pointers are RFC 6901.
"""

from collections.abc import Iterable

from ..job import Job
from .result import Change

Operation = dict[str, object]


def json_patch(changes: Iterable[Change], job: Job) -> tuple[Operation, ...]:
    """Return the operations that make the changes in the data of a job's file.

    A value that the file gives is replaced; one that it does not give is added, and so is each
    table around it that is not there.

    Args:
        changes: What a remedy writes.
        job: The job as it was read.
    """
    found: list[Operation] = []
    made: set[str] = set()
    for change in changes:
        if not change.given:
            for path in _missing_tables(change.fact, job):
                if path not in made:
                    made.add(path)
                    pointer = "/" + path.replace(".", "/")
                    found.append({"op": "add", "path": pointer, "value": {}})
        found.append(
            {
                "op": "replace" if change.given else "add",
                "path": change.place.pointer,
                "value": change.new,
            }
        )
    return tuple(found)


def _missing_tables(fact: str, job: Job) -> tuple[str, ...]:
    parts = fact.split(".")
    paths = [".".join(parts[:length]) for length in range(1, len(parts))]
    return tuple(path for path in paths if path not in job.tables)
