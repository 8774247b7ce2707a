"""What is known of a job, under the names of the books, and what is missing."""

from collections.abc import Iterable, Iterator, Mapping

from ruleset.kinds import KINDS
from ruleset.plan import Plan, plan
from ruleset.quantity import read_quantity, show_bare
from ruleset.turns import HAND

from ..filled_tables import Filling
from ..sheet_rows import hand_of
from ..verdict import Verdict

LENGTH = KINDS["length"]


class Sizes:
    """Values of one verdict; it keeps what had to be left out and for want of what."""

    def __init__(self, verdict: Verdict) -> None:
        """Keep the verdict."""
        self._verdict = verdict
        self._plan = _first_hand(verdict)
        self._teller = verdict.teller()
        self._steps = frozenset(step.name for step in verdict.plan.steps)
        self._filling = Filling(verdict)
        self.parts = verdict.library.parts
        self.left_out: dict[str, frozenset[str]] = {}
        self.lacked = 0  # how often something could not be drawn

    def get(self, name: str) -> float | None:
        """Return a value in internal units (mm), None where it is not known."""
        answer = self._verdict.answer(self.plain(name))
        return answer.value if answer.known else None

    def need(self, what: str, *names: str) -> tuple[float, ...] | None:
        """Return values that a part of the drawing cannot do without.

        Args:
            what: The part, for the note that says it was left out.
            names: Names of the values.

        Returns:
            The values, mm, or None where one of them is not known.
        """
        answers = [self._verdict.answer(self.plain(name)) for name in names]
        if all(answer.known for answer in answers):
            return tuple(answer.value for answer in answers)
        missing = (answer.missing for answer in answers if not answer.known)
        self.lacked += 1
        self.left_out[what] = self.left_out.get(what, frozenset()).union(*missing)
        return None

    def word(self, name: str) -> str:
        """Return a word, "" where it is not known."""
        return self.text(name) if self.get(name) is not None else ""

    def text(self, name: str) -> str:
        """Return a value as it prints, with its unit."""
        return self._teller.value(self.plain(name)).text

    def bare(self, name: str) -> str:
        """Return a length as it prints, without its unit."""
        value = self.get(name)
        if value is None:
            return "?"
        return show_bare(value, LENGTH, self._verdict.job.style).text

    def printed(self, name: str) -> float:
        """Return the length, mm, that the printed text of a known name says."""
        return read_quantity(self.text(name), LENGTH).value

    def shown(self, value: float, *, finer: int = 0) -> str:
        """Return a length as it prints, without its unit.

        Args:
            value: The length, mm.
            finer: How many steps finer than usual.
        """
        return show_bare(value, LENGTH, self._verdict.job.style, finer=finer).text

    @property
    def unit(self) -> str:
        """Return what sizes are printed in: in or mm."""
        return self._verdict.job.style.units

    def known(self, names: Iterable[str]) -> list[float]:
        """Return those of some values that are known, mm."""
        return [value for value in map(self.get, names) if value is not None]

    def has(self, name: str) -> bool:
        """Return whether a job has a fact, working or limit of that name."""
        library = self._verdict.library
        return name in self._steps or name in library.facts or name in library.limits

    def rows(self, name: str) -> int:
        """Return how many rows a job gives of a list, 0 where it gives none."""
        return dict(self._plan.shape).get(name) or 0

    @property
    def hands(self) -> tuple[str, ...]:
        """Return the words that the hand may be; () where the arrangement has none."""
        return self._verdict.library.hands

    @property
    def hand(self) -> str:
        """Return the word of the hand, "" where it is not known."""
        return hand_of(self._verdict)

    def extends(self, sort: str, above: str) -> bool:
        """Return whether every part of a sort is of another, too."""
        return self._verdict.library.names.has.extends(sort, above)

    def plain(self, path: str) -> str:
        """Return the plain name for a path from a part; a plain name stays as it is.

        Where the hand is not known, a role is filled as it is for the first: so it is drawn. Values
        are those that stand for every hand, all the same.
        """
        return self._plan.plain(path)

    def children(self, part: str, group: str) -> Iterator[tuple[str, Mapping[str, str]]]:
        """Yield each member of a part's group: its name, and the full name of each field."""
        for name, _, fields in self._filling.children(part, group):
            yield name, fields


def _first_hand(verdict: Verdict) -> Plan:
    """Return the plan of a job, that of the first hand where the job does not say which."""
    shape = dict(verdict.plan.shape)
    if not verdict.library.hands or HAND in shape:
        return verdict.plan
    return plan(verdict.library, tuple(sorted({**shape, HAND: 0}.items())))
