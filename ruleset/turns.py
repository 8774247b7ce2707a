"""Who is of a sort and who is in a group, and each turn of a loop over them.

A shape is how many rows each list of a job has. Parts are known when they are bound and rows when
a job is read, so that nothing in a program loops: jobs of one shape share one program.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass

from .book import OF_PARTS, Loop
from .formula.unroll import Members
from .library import Library
from .names import PAIR
from .part import THERE, Group, Part

Shape = tuple[tuple[str, int | None], ...]
"""Rows of each list, sorted by name; None for a list that was not given. Under `HAND` stands which
of the arrangement's hands it is, 0 for the first."""
HAND = "design.hand"


@dataclass(frozen=True, slots=True, kw_only=True)
class Turn:
    """One turn of a loop.

    Attributes:
        bound: The part that each variable is bound to.
        subject: The part that it is for, "job" for none.
        missing: The list that would have to be known instead; "" for none.
    """

    bound: Mapping[str, str]
    subject: str
    missing: str = ""


class Turns:
    """The parts of a library and the rows of one shape of job, by sort and by group."""

    def __init__(self, library: Library, shape: Shape) -> None:
        """Name every part and every row.

        Args:
            library: The books, their parts bound.
            shape: How many rows each list has, and which hand it is.
        """
        self.library = library
        self.names = library.names
        self.rows = dict(shape)
        self.hand = self.rows.get(HAND) or 0
        self.means: dict[str, str] = {name: part.means for name, part in library.parts.items()}
        self.alias: dict[str, str] = {}
        self.of_row: dict[str, str] = {}
        self._plain: dict[str, str] = {}
        self.listed: dict[str, Members] = {}
        """The rows that a job gives, by their list, where a part has others besides."""
        self.there: dict[str, str] = {}
        """What says whether a member is there at all, by the member; others always are."""
        self._sorts: dict[str, str] = {}
        """Sort of the members of each group, and of the rows of each list that no part has."""
        self.roles = {
            name: {role: self._filler(who) for role, who in part.roles.items()}
            for name, part in library.parts.items()
        }
        self.groups = self._groups()
        self._of: dict[str, tuple[tuple[str, ...], str]] = {}

    def _filler(self, who: tuple[str, ...]) -> str:
        return who[self.hand] if len(who) > 1 else who[0]

    def _groups(self) -> dict[str, Members]:
        """Return the members of each group of each part, and name the rows of lists."""
        found: dict[str, Members] = {}
        attached: set[str] = set()
        for part in self.library.parts.values():
            for name, group in part.groups.items():
                path = f"{part.name}.{name}"
                self._sorts[path] = group.sort
                if group.by:
                    found[path] = Members(names=self._by(part, group))
                    continue
                members = [f"{path}[{at}]" for at in range(1, len(group.are) + 1)]
                for member, child in zip(members, group.are, strict=True):
                    self.means[member] = f"{child.means} of {part.means}"
                    if child.there is not None:
                        self.there[member] = f"{member}.{THERE}"
                missing = ""
                if group.more:
                    attached.add(group.more)
                    missing = self._add_rows(members, group.more, path, part.means)
                    rows = tuple(members[len(group.are) :])
                    self.listed[group.more] = Members(names=rows, missing=missing)
                found[path] = Members(names=tuple(members), missing=missing, there=self.there)
        for fact in self.library.facts.values():
            if fact.rows and fact.name not in attached:
                members = []
                missing = self._add_rows(members, fact.name, fact.name, fact.means)
                found[fact.name] = Members(names=tuple(members), missing=missing)
                self._sorts[fact.name] = fact.rows
        return found

    def _by(self, part: Part, group: Group) -> tuple[str, ...]:
        """Return the parts of a sort that name a part by a role."""
        return tuple(
            other.name
            for other in self.library.parts.values()
            if group.sort in other.sorts and self.roles[other.name].get(group.by) == part.name
        )

    def _add_rows(self, members: list[str], fact: str, path: str, means: str) -> str:
        rows = self.rows.get(fact)
        sort = self.library.sorts[self.library.facts[fact].rows]
        for at in range(1, (rows or 0) + 1):
            member = f"{path}[{len(members) + 1}]"
            members.append(member)
            self.means[member] = f"{sort.bound} {len(members)} of {means}"
            for key in sort.fields:
                self.alias[f"{member}.{key}"] = f"{fact}[{at}].{key}"
                self.of_row[f"{fact}[{at}].{key}"] = f"The {key} of {self.means[member]}"
        return fact if rows is None else ""

    def plain(self, name: str) -> str:
        """Return the plain name for a path from a part: its roles gone through, its facts named."""
        found = self._plain.get(name)
        if found is None:
            found = self._plain[name] = self._walked(name)
        return found

    def _walked(self, name: str) -> str:
        first, _, path = name.partition(".")
        head, dot, tail = path.partition(".")
        roles = self.roles.get(first)
        if roles is not None and head in roles:
            return self.plain(f"{roles[head]}{dot}{tail}")
        if roles is not None and head in OF_PARTS:
            name = f"{head}.{first}.{tail}"
        return self.alias.get(name, name)

    def renamer(
        self, bound: Mapping[str, str], limit_of: Callable[[str], str]
    ) -> Callable[[str], str]:
        """Return what turns a name in a formula into a full name."""
        known = self._plain

        def rename(name: str) -> str:
            first, dot, rest = name.partition(".")
            if first == "limit" or rest.startswith("limit."):
                return limit_of(name)  # of a book, even where a sort is called like it
            if first in bound:
                name = f"{bound[first]}{dot}{rest}"
            return known.get(name) or self.plain(name)

        return rename

    def members(self, group: str) -> Members:
        """Return the members of a group named in a formula."""
        known = self.groups.get(group) or self.listed.get(group)
        if known is not None:
            return known
        sort = self.names.by_plural(group)
        if sort is None:
            return Members(names=())
        names, missing = self.of_sort(sort.name)
        return Members(names=names, missing=missing, there=self.there)

    def conditions(self, members: Iterable[str]) -> tuple[str, ...]:
        """Return what says whether some members are there, each once."""
        return tuple(dict.fromkeys(self.there[one] for one in members if one in self.there))

    def of_sort(self, sort: str) -> tuple[tuple[str, ...], str]:
        """Return every part of a sort and the list that is missing, if any."""
        if sort not in self._of:
            self._of[sort] = self._of_sort(sort)
        return self._of[sort]

    def _of_sort(self, sort: str) -> tuple[tuple[str, ...], str]:
        found = [part.name for part in self.library.parts.values() if sort in part.sorts]
        missing = ""
        for path, members in self.groups.items():
            if self.names.has.extends(self._sorts[path], sort) and not self._is_by(path):
                found += members.names
                missing = missing or members.missing
        return tuple(found), missing

    def _is_by(self, path: str) -> bool:
        owner, _, name = path.rpartition(".")
        part = self.library.parts.get(owner)
        return part is not None and bool(part.groups[name].by)

    def of(self, member: str) -> tuple[str, ...]:
        """Return the sorts of a part or of a row."""
        part = self.library.parts.get(member)
        if part is not None:
            return part.sorts
        return self.names.has.line((self._sorts[member.partition("[")[0]],))

    def turns(self, loop: Loop) -> Iterator[Turn]:
        """Yield each turn of a loop."""
        if not loop.sorts:
            yield Turn(bound={}, subject=loop.subject or "job")
            return
        inner = self.names.inner(loop)
        if len(loop.sorts) == 1:
            names, missing = self.of_sort(inner)
            yield from self._each(loop, names, missing, {})
            return
        outer = self.library.sorts[loop.sorts[1]]
        for part in self.of_sort(outer.name)[0]:
            for path, members in self.groups.items():
                if path.rpartition(".")[0] == part:
                    names = tuple(one for one in members.names if inner in self.of(one))
                    missing = members.missing if self._may_have(path, inner) else ""
                    bound = dict.fromkeys(outer.variables, part)
                    yield from self._each(loop, names, missing, bound)

    def _may_have(self, path: str, sort: str) -> bool:
        return self.names.has.extends(self._sorts[path], sort)

    def _each(
        self, loop: Loop, names: tuple[str, ...], missing: str, bound: Mapping[str, str]
    ) -> Iterator[Turn]:
        if loop.pairs:
            for at, one in enumerate(names):
                for other in names[at + 1 :]:
                    pair = dict(zip(PAIR, (one, other), strict=True))
                    subject = f"{one}+{other.rpartition('.')[2]}"
                    self.means[subject] = f"{self.means[one]} and {self.means[other]}"
                    yield Turn(bound={**bound, **pair}, subject=subject)
        else:
            sort = self.library.sorts[loop.sorts[0]]
            for name in names:
                own = {sort.whole: name}
                if sort.bound not in bound:
                    own[sort.bound] = name
                yield Turn(bound={**bound, **own}, subject=name)
        if missing:
            yield Turn(bound=bound, subject=missing, missing=missing)
