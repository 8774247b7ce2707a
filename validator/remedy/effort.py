"""The work of a search, which is so much and no more, the same on every machine."""

from collections.abc import Callable
from dataclasses import dataclass

from ruleset.errors import Stopped

LEAF = 64  # nodes between two questions whether to go on


class Ended(Exception):
    """The caller ended the search before it was done."""


ENDED = (Ended, KeyboardInterrupt, Stopped)
"""What ends a search from outside; what was found by then is kept."""


class TooMany(Exception):
    """A search took up more nodes than it was given."""


@dataclass(slots=True, kw_only=True)
class Effort:
    """Counts the work of a search.

    Attributes:
        is_over: Asked now and then whether the caller ends the search.
        nodes: Nodes taken up so far.
        ended: Whether the caller ended it.
    """

    is_over: Callable[[], bool] = lambda: False
    nodes: int = 0
    ended: bool = False

    def count(self) -> None:
        """Count one node."""
        self.nodes += 1
        if self.nodes % LEAF == 0:
            self.tick()

    def tick(self) -> None:
        """Ask whether to go on.

        Raises:
            Ended: The caller said no.
        """
        if self.ended or self.is_over():
            self.ended = True
            raise Ended
