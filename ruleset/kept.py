"""What is made once and kept, by what it is and what it was made for."""

from collections.abc import Callable, Hashable
from typing import TypeVar

T = TypeVar("T")


class Kept:
    """Keeps what is made from books: a plan for each shape, its program, a sheet as it is read."""

    def __init__(self) -> None:
        """Begin with nothing."""
        self._made: dict[tuple[type, Hashable], object] = {}

    def get(self, kind: type[T], key: Hashable, make: Callable[[], T]) -> T:
        """Return what is kept of a kind under a key; made where it is not there yet.

        Args:
            kind: Its class.
            key: What it was made for; of one kind each key has one.
            make: Makes it.

        Example:
            >>> kept = Kept()
            >>> kept.get(str, "a", lambda: "made"), kept.get(str, "a", lambda: "made again")
            ('made', 'made')
        """
        found = self._made.get((kind, key))
        if not isinstance(found, kind):
            found = self._made[kind, key] = make()
        return found
