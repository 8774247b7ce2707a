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
from dataclasses import dataclass

from .place import Place


@dataclass(frozen=True, slots=True)
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


class Stopped(SystemExit):
    """The person has stopped the run; a stranger's code that asks for an end is not that."""


STOPS = (KeyboardInterrupt, GeneratorExit, Stopped)
"""What passes through wherever a stranger's code is called; all else it raises is its own fault."""


def fault_of(error: BaseException) -> str:
    """Return what a stranger's code raised, in a few words, whatever it makes of itself.

    Example:
        >>> fault_of(ValueError("no such pane"))
        'ValueError: no such pane'
        >>> fault_of(SystemExit())
        'SystemExit'
    """
    try:
        said = " ".join(str(error).split())
    except Exception:  # noqa: BLE001  # even its words are a stranger's code
        said = ""
    return f"{type(error).__name__}: {said}" if said else type(error).__name__
