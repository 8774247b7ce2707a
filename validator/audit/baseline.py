"""What is new since an earlier audit: of each job, the clauses that it did not break then."""

from collections.abc import Iterator
from dataclasses import replace
from hashlib import blake2b
from pathlib import Path

from ruleset.errors import Fault, ReadError
from ruleset.place import Place

from .kept import all_rows
from .row import Row, Told

_Key = bytes


class Before:
    """What an earlier audit kept: a short digest of each finding, and nothing else."""

    def __init__(self, path: Path) -> None:
        """Read it.

        Raises:
            ReadError: The file is missing, or was not kept by an audit.
        """
        try:
            self._told = {one for row in all_rows(path) for one in _keys(row)}
        except OSError as error:
            says = f"The file cannot be read ({error.strerror}); name what an audit kept."
            raise ReadError(Fault(Place(file=path.as_posix()), says)) from None

    def new_in(self, row: Row) -> Row:
        """Return a job with what it did not break before; lines of the file do not matter."""
        return replace(row, told=tuple(one for one in row.told if _key(row, one) not in self._told))


def _keys(row: Row) -> Iterator[_Key]:
    return (_key(row, one) for one in row.told)


def _key(row: Row, one: Told) -> _Key:
    said = f"{row.name}\n{row.job}\n{one.clause}\n{one.subject}\n{one.outcome}\n{one.level}"
    return blake2b(said.encode("utf-8", "surrogatepass"), digest_size=16).digest()
