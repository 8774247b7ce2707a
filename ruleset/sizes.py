"""Which names in a clause can never be below 0, whatever the job is."""

from collections.abc import Mapping

from .book import Clause, Fact, Limit
from .formula.direction import never_negative
from .library import Library
from .names import InFormula
from .part import Group, Role
from .sorts import Asked, Thing


class Sizes:
    """Tells which names in a clause can never be below 0."""

    def __init__(self, library: Library, clause: Clause, amended: str, value: float) -> None:
        """Keep the clause and the limit that is to be another.

        Args:
            library: All books.
            clause: The clause.
            amended: Full name of the limit.
            value: Its other value, internal units.
        """
        self.library = library
        self.clause = clause
        self.amended = amended
        self.value = value
        self.nodes = {id(one.working): one.drawn.node for one in library.workings}
        self.open: set[int] = set()

    def never_negative(self, name: str) -> bool:
        """Return whether a name in the clause is never below 0."""
        variables = self.library.names.variables(self.clause.loop)
        return self._is(name, self.clause.book, self.clause.limits, variables)

    def _is(
        self, name: str, book: str, own: Mapping[str, Limit], variables: Mapping[str, str]
    ) -> bool:
        names = self.library.names
        limit = InFormula(names, book, own, {}).limit(name)
        if limit is not None:
            amended = limit.name == self.amended
            return limit.value >= 0 and (not amended or self.value >= 0)
        known = names.facts.get(name) or names.workings.get(name)
        things = [one for end in names.ends(name, variables) for one in names.given(end)]
        every = [known] if known else things
        return bool(every) and all(map(self._of, every))

    def _of(self, thing: Thing) -> bool:
        """Return whether what a part has is never below 0."""
        if isinstance(thing, Fact):
            return thing.low >= 0
        if isinstance(thing, Asked | Role | Group) or id(thing) in self.open:
            return False  # through a circle nothing is sure
        self.open.add(id(thing))
        variables = self.library.names.variables(thing.loop)

        def positive(name: str) -> bool:
            return self._is(name, thing.book, {}, variables)

        found = never_negative(self.nodes[id(thing)], positive)
        self.open.discard(id(thing))
        return found
