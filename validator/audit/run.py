"""An audit from the first entry to the last row: what changed is judged, all of it is kept."""

import os
import time
from collections.abc import Callable, Iterable, Iterator
from pathlib import Path

from ruleset.errors import RulesetError

from .kept import Kept
from .question import Fingerprint, Question
from .sources import Entry, bytes_in, digest_of, entries
from .working import judged

Watch = Callable[[str], None]


def audit(  # noqa: PLR0913  # all but three have a usual value, and go by name
    paths: Iterable[str],
    question: Question,
    kept: Kept,
    *,
    version: str,
    workers: int = 0,
    watch: Watch | None = None,
) -> int:
    """Judge what is not kept yet, keep it, and return how many entries that were.

    Args:
        paths: Folders, files of jobs, files with a job a line.
        question: What is asked.
        kept: Where rows are kept; it tells them afterwards.
        version: The version of the program, which is part of what a row stands on.
        workers: How many processes judge; 0 for as many as there are processors.
        watch: Told how far it is.

    Raises:
        RulesetError: The rules cannot be used.
    """
    fingerprint = Fingerprint(question=question, version=version)
    todo = _changed(paths, kept, fingerprint)
    begun, done = time.monotonic(), 0
    for line in judged(todo, question, version, workers or os.cpu_count() or 1):
        kept.add(line)
        done += 1
        if watch is not None:
            watch(f"{done:,} judged, {done / max(time.monotonic() - begun, 1e-9):,.0f} a second")
    return done


def _changed(paths: Iterable[str], kept: Kept, fingerprint: Fingerprint) -> Iterator[Entry]:
    for entry in entries(paths):
        if kept.is_new(entry.name) and not _is_kept(entry, kept, fingerprint):
            yield entry


def _is_kept(entry: Entry, kept: Kept, fingerprint: Fingerprint) -> bool:
    if entry.wrong or not kept.has(entry.name):
        return False
    try:
        digest = digest_of(bytes_in(entry))
    except RulesetError:
        return False
    return kept.still(entry.name, digest, fingerprint.of(Path(entry.file).parent))
