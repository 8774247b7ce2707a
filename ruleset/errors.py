"""What can be wrong with a file that somebody wrote.

    RulesetError            every fault found, each with its place
    |- ReadError            the text cannot be read: bytes, YAML, size, nesting
    |- ShapeError           a field is unknown, missing, of the wrong form
    |- FormulaError         a formula, a name or a dimension in it
    |- BookError            books, layers or proofs that do not fit together
    `- PluginError          a plugin that may not be registered

Exceptions are for authors; what is wrong with a job's design is a finding and never raises.
"""

from collections.abc import Iterable

from .place import Place
from .record import ordered_record


@ordered_record
class Fault:
    """One thing that is wrong, as one sentence.

    Attributes:
        place: Where it stands.
        says: The sentence, without the place; ends with a full stop.
    """

    place: Place
    says: str

    def __str__(self) -> str:
        """Return the place and the sentence on one line."""
        return f"{self.place}: {self.says}"


class RulesetError(Exception):
    """Files that cannot be used; carries all faults, sorted by place."""

    def __init__(self, faults: Iterable[Fault] | Fault) -> None:
        """Keep the faults in the order of their places."""
        found = (faults,) if isinstance(faults, Fault) else tuple(faults)
        self.faults = tuple(
            sorted(found, key=lambda f: (f.place.file, f.place.line, f.place.column, f.says))
        )
        super().__init__("\n".join(map(str, self.faults)))


class ReadError(RulesetError):
    """The text of a file cannot be read at all."""


class ShapeError(RulesetError):
    """A file is readable but its fields are not what that kind of file has."""


class FormulaError(RulesetError):
    """A formula is not in the language, or names or adds what it may not."""


class BookError(RulesetError):
    """Books, code sets or proofs do not fit together."""


class PluginError(RulesetError):
    """A plugin was refused at registration."""
