"""Where the jobs are: folders, files and lines, named one by one and never held."""

import os
import stat
from collections.abc import Iterable, Iterator
from hashlib import sha256
from pathlib import Path
from typing import NamedTuple

from ruleset.errors import Fault, ReadError
from ruleset.place import Place
from ruleset.reader import bytes_of

from ..kit import ENDINGS

LINES = (".jsonl", ".ndjson")
SHOP = ("arrangements", "codes", "kits", "policies", "sheets")
"""Folders of what belongs to the shop and is no job; a stock stands beside jobs as a file."""
KEPT = b'{"audit":1}\n'
"""The first line of what an audit keeps: no job, wherever it lies."""
MOST_LINE = 10_000_000  # bytes; as any file of a job


class Entry(NamedTuple):
    """One thing to be read: a file, or a piece of one.

    Attributes:
        file: The file.
        number: Its line, from 1; 0 for the whole file.
        at: Where the piece begins, bytes.
        size: How long it is, bytes.
        wrong: Why it cannot be read at all; "" otherwise.
        passing: Whether a file that is plainly no job is passed over.
    """

    file: str
    number: int = 0
    at: int = 0
    size: int = 0
    wrong: str = ""
    passing: bool = False

    @property
    def name(self) -> str:
        """Return what its row is called."""
        return f"{self.file}#{self.number}" if self.number else self.file


def entries(paths: Iterable[str]) -> Iterator[Entry]:
    """Yield what there is to be read, in the order of the call, folders in the order of names."""
    for path in paths:
        if Path(path).is_dir():
            yield from _in_folder(path)
        else:
            yield from _in_file(path, passing=False)


def _in_folder(folder: str) -> Iterator[Entry]:
    try:
        with os.scandir(folder) as inside:
            found = sorted((one.name, one.is_dir(follow_symlinks=False)) for one in inside)
    except OSError as error:
        says = f"The folder cannot be read ({error.strerror}); check who may read it."
        yield Entry(file=folder, wrong=says)
        return
    for name, is_folder in found:
        if name.startswith("."):
            continue
        path = os.path.join(folder, name)  # noqa: PTH118  # names may be no text; a Path costs more
        if is_folder and name not in SHOP:
            yield from _in_folder(path)
        elif not is_folder:
            yield from _in_file(path, passing=True)


def _in_file(path: str, *, passing: bool) -> Iterator[Entry]:
    ending = os.path.splitext(path)[1].lower()  # noqa: PTH122  # as above
    if ending in LINES:
        yield from _lines(path)
    elif ending in ENDINGS or not passing:
        yield Entry(file=path, passing=passing)


def _lines(path: str) -> Iterator[Entry]:
    """Yield each line of a file as it was when it was opened: what is added meanwhile waits."""
    try:
        status = os.stat(path)  # noqa: PTH116  # as above
        if not stat.S_ISREG(status.st_mode):
            yield Entry(file=path, wrong="This is not an ordinary file; name another.")
            return
        with open(path, "rb") as opened:  # noqa: PTH123  # as above
            yield from _cut(path, opened, status.st_size)
    except OSError as error:
        says = f"The file cannot be opened ({error.strerror}); check its name and who may read it."
        yield Entry(file=path, wrong=says)


def _cut(path: str, opened: Iterable[bytes], end: int) -> Iterator[Entry]:
    at = 0
    for number, line in enumerate(opened, start=1):
        size = min(len(line), end - at)
        if size <= 0 or (number == 1 and line == KEPT):
            return
        if line[:size].strip():
            yield Entry(file=path, number=number, at=at, size=size)
        at += size


def bytes_in(entry: Entry) -> bytes:
    """Return what an entry holds.

    Raises:
        ReadError: It cannot be read.
    """
    if not entry.number:
        return bytes_of(Path(entry.file))
    place = Place(file=entry.name)
    if entry.size > MOST_LINE:
        raise ReadError(
            Fault(place, f"The line has {entry.size:,} bytes; a job has 10 MB at most.")
        )
    try:
        with open(entry.file, "rb") as opened:  # noqa: PTH123  # as above
            opened.seek(entry.at)
            return opened.read(entry.size).strip()
    except OSError as error:
        says = f"The file cannot be opened ({error.strerror}); check its name and who may read it."
        raise ReadError(Fault(place, says)) from None


def digest_of(data: bytes) -> str:
    """Return the SHA-256 of what was read."""
    return sha256(data).hexdigest()
