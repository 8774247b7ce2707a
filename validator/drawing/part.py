"""One part of a job, asked for what it has by path."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from .sizes import Sizes


@dataclass(frozen=True, slots=True)
class Part:
    """A part as a view asks it; which part it is, no view knows.

    A path begins at the part and goes through its roles: `beside.into` is a length of what the part
    stands beside. What the part does not have itself is the whole job's, such as a fact of the kit.

    Attributes:
        sizes: The job's values.
        name: Its name.
    """

    sizes: Sizes
    name: str

    @property
    def means(self) -> str:
        """Return what it is, for people, such as the sliding door."""
        return self.sizes.parts[self.name].means

    @property
    def title(self) -> str:
        """Return what it is without its article."""
        return self.means.removeprefix("the ")

    @property
    def sorts(self) -> tuple[str, ...]:
        """Return its sorts and all above them, the nearest first."""
        return self.sizes.parts[self.name].sorts

    def full(self, path: str) -> str:
        """Return the plain name for a path.

        Raises:
            LookupError: Neither the part nor the job has it.
        """
        own = self.sizes.plain(f"{self.name}.{path}")
        for name in (own, path):
            if self.sizes.has(name):
                return name
        raise LookupError(f"{self.name} has no {path}, and no job has it either.")

    def length(self, path: str) -> float | None:
        """Return a value in internal units (mm), None where it is not known."""
        return self.sizes.get(self.full(path))

    def need(self, what: str, *paths: str) -> tuple[float, ...] | None:
        """Return values that a part of the drawing cannot do without.

        Args:
            what: The part of the drawing, for the note that says it was left out.
            paths: Where the values are.

        Returns:
            The values, mm, or None where one of them is not known.
        """
        return self.sizes.need(what, *map(self.full, paths))

    def known(self, *paths: str) -> list[float]:
        """Return those of some values that are known, mm."""
        return self.sizes.known(map(self.full, paths))

    def word(self, path: str) -> str:
        """Return a word, "" where it is not known."""
        return self.sizes.word(self.full(path))

    def bare(self, path: str) -> str:
        """Return a length as it prints, without its unit."""
        return self.sizes.bare(self.full(path))

    def to(self, path: str) -> "Part":
        """Return the part that a path of roles leads to.

        Raises:
            LookupError: The path leads to no part.
        """
        name = self.sizes.plain(f"{self.name}.{path}")
        if name not in self.sizes.parts:
            raise LookupError(f"{self.name} has no role {path}.")
        return Part(self.sizes, name)

    def named_by(self, role: str) -> Iterator["Part"]:
        """Yield the parts that name this one by a role."""
        for other, part in self.sizes.parts.items():
            if role in part.roles and self.sizes.plain(f"{other}.{role}") == self.name:
                yield Part(self.sizes, other)

    def rows(self, path: str, what: str, *keys: str) -> Iterator[tuple[float, ...] | None]:
        """Yield some fields of each row of a list that the job gives; None where one is missing."""
        name = self.full(path)
        for at in range(1, self.sizes.rows(name) + 1):
            yield self.sizes.need(what, *(f"{name}[{at}].{key}" for key in keys))

    def children(self, group: str) -> Iterator["Child"]:
        """Yield each member of a group of the part's own, those that the job lists last."""
        own = self.sizes.parts[self.name].groups.get(group)
        if own is None:
            return
        start = f"{self.name}."
        always = {f"{start}{group}[{at}]" for at in range(1, len(own.are) + 1)}
        for name, fields in self.sizes.children(self.name, group):
            yield Child(self.sizes, name.removeprefix(start), fields, name not in always)


@dataclass(frozen=True, slots=True)
class Child:
    """A part of a part, such as a hole.

    Attributes:
        sizes: The job's values.
        name: Its name in its part, such as holes[2].
        fields: Full name of each of its fields.
        listed: Whether the job lists it, so that no other part tells of it.
    """

    sizes: Sizes
    name: str
    fields: Mapping[str, str]
    listed: bool

    def need(self, what: str, *keys: str) -> tuple[float, ...] | None:
        """Return values of its fields as `Part.need` does."""
        return self.sizes.need(what, *(self.fields[key] for key in keys))

    def bare(self, key: str) -> str:
        """Return a length as it prints, without its unit."""
        return self.sizes.bare(self.fields[key])
