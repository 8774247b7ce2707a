"""What was judged is kept, an entry a line: a stopped audit goes on, another reads what changed."""

import json
import os
from collections.abc import Iterable, Iterator
from hashlib import blake2b
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from ruleset.errors import Fault, ReadError
from ruleset.place import Place

from .row import Row, as_text, data_of, row_from
from .sources import KEPT


def line_of(name: str, digest: str, rules: str, rows: Iterable[Row], passed: str = "") -> str:
    """Return the line of one entry.

    Args:
        name: The entry's name.
        digest: SHA-256 of what was read.
        rules: The fingerprint of what it was asked.
        rows: A row for each of its jobs.
        passed: What it is where it was passed over; "" for a job.
    """
    made = {"entry": name, "digest": digest, "rules": rules, "passed": passed}
    return as_text({**made, "rows": [data_of(one) for one in rows]}) + "\n"


class Kept:
    """The file of what is kept, open; one audit at a time may have it.

    Of each entry two short digests are held, and nothing of its rows.
    """

    def __init__(self, path: Path) -> None:
        """Open a file that is there, or begin one.

        Raises:
            ReadError: It is some other file, or another audit writes it.
            OSError: It cannot be read or written.
        """
        self.path = path
        self._known: dict[bytes, bytes] = {}
        self._wanted: dict[bytes, bytes] = {}
        how = os.O_RDWR | os.O_CREAT | getattr(os, "O_BINARY", 0)
        self._file = os.fdopen(os.open(path, how, 0o666), "r+b")
        try:
            _lock(self._file.fileno(), path)
            self._read()
        except BaseException:
            self._file.close()
            raise

    def __enter__(self) -> Self:
        """Return the file."""
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Close the file."""
        self._file.close()

    def _read(self) -> None:
        first = self._file.readline()
        if first != KEPT:
            if first and not (KEPT.startswith(first) and not self._file.read(1)):
                says = "This file was not kept by an audit; name another, so that it stays."
                raise ReadError(Fault(Place(file=self.path.as_posix()), says))
            self._file.seek(0)
            self._file.write(KEPT)
        end = self._file.tell()
        for line in self._file:
            found = _data(line)
            if found is None:
                break  # torn as it was written: it and what follows is judged again
            self._known[_short(found["entry"])] = _state(found["digest"], found["rules"])
            end += len(line)
        self._file.seek(end)
        self._file.truncate()

    def is_new(self, name: str) -> bool:
        """Return whether an entry was not met in this audit, and meet it."""
        key = _short(name)
        if key in self._wanted:
            return False
        self._wanted[key] = b""
        return True

    def has(self, name: str) -> bool:
        """Return whether anything is kept of an entry."""
        return _short(name) in self._known

    def still(self, name: str, digest: str, rules: str) -> bool:
        """Return whether an entry is kept as it is now, and count it in then."""
        key, state = _short(name), _state(digest, rules)
        if self._known.get(key) != state:
            return False
        self._wanted[key] = state
        return True

    def add(self, line: str) -> None:
        """Keep an entry's line, at once and whole."""
        found: dict[str, Any] = json.loads(line)
        self._wanted[_short(found["entry"])] = _state(found["digest"], found["rules"])
        self._file.write(line.encode())
        self._file.flush()

    def rows(self) -> Iterator[tuple[str, Row | None]]:
        """Yield what is passed over and None, or "" and a row, for all entries that were met."""
        self._file.flush()
        told: set[bytes] = set()
        with self.path.open("rb") as opened:
            opened.readline()
            for line in opened:
                found = _data(line)
                if found is None:
                    raise AssertionError(line)
                key = _short(found["entry"])
                state = _state(found["digest"], found["rules"])
                if self._wanted.get(key) != state or key in told:
                    continue
                told.add(key)
                if found["passed"]:
                    yield found["passed"], None
                for one in found["rows"]:
                    yield "", row_from(one)


def _data(line: bytes) -> dict[str, Any] | None:
    if not line.endswith(b"\n"):
        return None
    try:
        found = json.loads(line)
    except ValueError:
        return None
    return found if isinstance(found, dict) and {"entry", "digest", "rows"} <= set(found) else None


def _short(name: str) -> bytes:
    return blake2b(name.encode("utf-8", "surrogatepass"), digest_size=16).digest()


def _state(digest: str, rules: str) -> bytes:
    return _short(f"{digest} {rules}")


def _lock(handle: int, path: Path) -> None:
    try:
        import fcntl  # noqa: PLC0415  # not on every system
    except ImportError:
        return
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        says = "Another audit writes this file; wait for it, or name another by --keep."
        raise ReadError(Fault(Place(file=path.as_posix()), says)) from None


def all_rows(path: Path) -> Iterator[Row]:
    """Yield the last rows that a file has of each entry; a torn last line is left out.

    Raises:
        ReadError: It was not kept by an audit.
        OSError: It cannot be read.
    """
    last: dict[bytes, int] = {}
    with path.open("rb") as opened:
        if opened.readline() != KEPT:
            says = "This file was not kept by an audit; name the file that one kept."
            raise ReadError(Fault(Place(file=path.as_posix()), says))
        at = opened.tell()
        for line in opened:
            if (found := _data(line)) is not None:
                last[_short(found["entry"])] = at
            at += len(line)
        for start in last.values():
            opened.seek(start)
            found = _data(opened.readline())
            yield from (row_from(one) for one in (found or {"rows": ()})["rows"])
