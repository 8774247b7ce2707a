"""A library written out for one shape of job: every part named, every group counted.

A shape is how many rows each list of a job has. Parts are known when books are read and rows when
a job is, so that nothing in a program loops: jobs of one shape share one program.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from graphlib import CycleError, TopologicalSorter
from typing import cast

from .book import Clause, Fact, Loop, Working, braces
from .errors import BookError, Fault
from .formula.cone import leaves
from .formula.tree import Both, Name, Node, Number, Truth
from .formula.unroll import Members, unroll
from .kinds import Kind
from .library import Library
from .names import PAIR, InFormula
from .place import Place
from .record import record

Shape = tuple[tuple[str, int | None], ...]
"""Rows of each list, sorted by name; None for a list that was not given."""


@record
class Leaf:
    """A fact of one job: a declared one, or a field of one row of a list."""

    name: str
    fact: Fact
    kind: Kind | None


@record
class Step:
    """A working of one part.

    Attributes:
        name: Its name, such as door.width or door.holes[1].rim_to_edge.
        means: What it is, for people.
        kind: Kind of its value.
        drawn: Its formula as drawn.
        built: Its formula in the built program, or None.
        frozen: Stage from which it is cut, "" for never.
        working: The working it is made from; None for a field of a child.
        place: Where it is written.
    """

    name: str
    means: str
    kind: Kind
    drawn: Node
    built: Node | None
    frozen: str
    working: Working | None
    place: Place


@record
class Case:
    """A clause asked of one subject.

    Attributes:
        clause: The clause.
        subject: The part it is asked of, "job" for none.
        means: The part in words.
        when: Where it applies; None for always.
        needs: What must hold; None where there is nothing to check.
        softer: When the lower level is meant; None for never.
        rename: Gives the full name of a name in the clause's sentence.
    """

    clause: Clause
    subject: str
    means: str
    when: Node | None
    needs: Node | None
    softer: Node | None
    rename: Callable[[str], str]


@record
class Plan:
    """Everything a job of one shape is asked, in order of working out."""

    leaves: Mapping[str, Leaf]
    steps: tuple[Step, ...]
    cases: tuple[Case, ...]
    shape: Shape


def plan(library: Library, shape: Shape) -> Plan:
    """Return the plan for a shape, made once.

    Raises:
        BookError: Workings go in a circle, or a part lacks a field its sort must have.
    """
    if shape not in library.plans:
        library.plans[shape] = _Planner(library, shape).plan()
    return cast("Plan", library.plans[shape])


@record
class _Instance:
    """One turn of a loop: the part each variable is bound to."""

    bound: Mapping[str, str]
    subject: str
    missing: str = ""


class _Planner:
    def __init__(self, library: Library, shape: Shape) -> None:
        self.library = library
        self.shape = shape
        self.rows = dict(shape)
        self.names = library.names
        self.means: dict[str, str] = {name: part.means for name, part in library.parts.items()}
        self.alias: dict[str, str] = {}
        self.listed: dict[str, Members] = {}
        self.groups = self._groups()

    def _groups(self) -> dict[str, Members]:
        """Return the members of each group of each part, and name the rows of lists."""
        found: dict[str, Members] = {}
        attached: set[str] = set()
        for part in self.library.parts.values():
            for name, group in part.groups.items():
                path = f"{part.name}.{name}"
                members = [f"{path}[{at}]" for at in range(1, len(group.are) + 1)]
                for member, child in zip(members, group.are, strict=True):
                    self.means[member] = f"{child.means} of {part.means}"
                missing = ""
                if group.more:
                    attached.add(group.more)
                    missing = self._add_rows(members, group.more, path, part.means)
                    rows = tuple(members[len(group.are) :])
                    self.listed[group.more] = Members(names=rows, missing=missing)
                found[path] = Members(names=tuple(members), missing=missing)
        for fact in self.library.facts.values():
            if fact.rows and fact.name not in attached:
                members = []
                missing = self._add_rows(members, fact.name, fact.name, fact.means)
                found[fact.name] = Members(names=tuple(members), missing=missing)
        return found

    def _add_rows(self, members: list[str], fact: str, path: str, means: str) -> str:
        rows = self.rows.get(fact)
        sort = self.library.sorts[self.library.facts[fact].rows]
        for at in range(1, (rows or 0) + 1):
            member = f"{path}[{len(members) + 1}]"
            members.append(member)
            self.means[member] = f"{sort.bound} {len(members)} of {means}"
            for key in sort.fields:
                self.alias[f"{member}.{key}"] = f"{fact}[{at}].{key}"
        return fact if rows is None else ""

    def _of_sort(self, sort: str) -> tuple[tuple[str, ...], str]:
        """Return every part of a sort and the list that is missing, if any."""
        found = [part.name for part in self.library.parts.values() if sort in part.sorts]
        missing = ""
        for path, members in self.groups.items():
            if self._sort_of(path) == sort:
                found += members.names
                missing = missing or members.missing
        return tuple(found), missing

    def _sort_of(self, path: str) -> str:
        fact = self.library.facts.get(path)
        return fact.rows if fact else self.names.sort_of_group(path, {})

    def members(self, group: str) -> Members:
        """Return the members of a group named in a formula."""
        known = self.groups.get(group) or self.listed.get(group)
        if known is not None:
            return known
        sort = self.names.by_plural(group)
        if sort is None:
            return Members(names=())
        names, missing = self._of_sort(sort.name)
        return Members(names=names, missing=missing)

    def renamer(
        self, bound: Mapping[str, str], limit_of: Callable[[str], str]
    ) -> Callable[[str], str]:
        """Return what turns a name in a formula into a full name."""

        def rename(name: str) -> str:
            first, dot, rest = name.partition(".")
            if first in bound:
                name = f"{bound[first]}{dot}{rest}"
            elif "limit" in (first, rest.partition(".")[0]):
                return limit_of(name)
            return self.alias.get(name, name)

        return rename

    def _limits(self, book: str, clause: Clause | None) -> Callable[[str], str]:
        scope = InFormula(self.names, book, clause.limits if clause else {}, {})

        def limit_of(name: str) -> str:
            limit = scope.limit(name)
            return limit.name if limit else name

        return limit_of

    def _written(self, node: Node, rename: Callable[[str], str]) -> Node:
        made = unroll(node, rename, self.members)
        return unroll(made, lambda n: self.alias.get(n, n), self.members) if self.alias else made

    def instances(self, loop: Loop) -> Iterator[_Instance]:
        """Yield each turn of a loop."""
        if not loop.sorts:
            yield _Instance(bound={}, subject=loop.subject or "job")
        elif len(loop.sorts) == 1:
            names, missing = self._of_sort(self.names.inner(loop))
            yield from self._turns(loop, names, missing, {})
        else:
            outer = self.library.sorts[loop.sorts[1]]
            for part in self._of_sort(outer.name)[0]:
                for path, members in self.groups.items():
                    owner = path.rpartition(".")[0]
                    if owner == part and self._sort_of(path) == self.names.inner(loop):
                        bound = {outer.bound: part}
                        yield from self._turns(loop, members.names, members.missing, bound)

    def _turns(
        self, loop: Loop, names: tuple[str, ...], missing: str, bound: Mapping[str, str]
    ) -> Iterator[_Instance]:
        if loop.pairs:
            for at, one in enumerate(names):
                for other in names[at + 1 :]:
                    pair = dict(zip(PAIR, (one, other), strict=True))
                    subject = f"{one}+{other.rpartition('.')[2]}"
                    self.means[subject] = f"{self.means[one]} and {self.means[other]}"
                    yield _Instance(bound={**bound, **pair}, subject=subject)
        else:
            variable = self.library.sorts[loop.sorts[0]].bound
            for name in names:
                yield _Instance(bound={**bound, variable: name}, subject=name)
        if missing:
            yield _Instance(bound=bound, subject=missing, missing=missing)

    def plan(self) -> Plan:
        steps = {step.name: step for step in self._steps()}
        self._check_fields(steps)
        cases = tuple(self._cases())
        return Plan(
            leaves=self._leaves(),
            steps=tuple(self._in_order(steps)),
            cases=cases,
            shape=self.shape,
        )

    def _leaves(self) -> dict[str, Leaf]:
        found: dict[str, Leaf] = {}
        for fact in self.library.facts.values():
            found[fact.name] = Leaf(name=fact.name, fact=fact, kind=fact.kind)
            for at in range(1, (self.rows.get(fact.name) or 0) + 1):
                for key, kind in self.library.sorts[fact.rows].fields.items():
                    name = f"{fact.name}[{at}].{key}"
                    found[name] = Leaf(name=name, fact=fact, kind=kind)
        return found

    def _steps(self) -> Iterator[Step]:
        for (part, group, at, key), typed in self.library.children.items():
            book = next(b for b in self.library.books.values() if part in {p.name for p in b.parts})
            child = self.library.parts[part].groups[group].are[at - 1]
            rename = self.renamer({}, self._limits(book.name, None))
            yield Step(
                name=f"{part}.{group}[{at}].{key}",
                means=f"{key} of the {child.means}",
                kind=self.library.sorts[self.library.parts[part].groups[group].sort].fields[key],
                drawn=self._written(typed.node, rename),
                built=None,
                frozen="",
                working=None,
                place=child.place,
            )
        for checked in self.library.workings:
            working = checked.working
            limit_of = self._limits(working.book, None)
            for turn in self.instances(working.loop):
                if turn.missing:
                    continue
                rename = self.renamer(turn.bound, limit_of)
                built = checked.built
                of = f", {self.means[turn.subject]}" if working.loop.sorts else ""
                yield Step(
                    name=rename(working.name),
                    means=f"{working.means}{of}",
                    kind=working.kind,
                    drawn=self._written(checked.drawn.node, rename),
                    built=self._written(built.node, rename) if built else None,
                    frozen=working.frozen,
                    working=working,
                    place=working.place,
                )

    def _check_fields(self, steps: Mapping[str, Step]) -> None:
        faults = []
        for part in self.library.parts.values():
            for sort in part.sorts:
                faults += [
                    Fault(
                        part.place,
                        f"{part.name} is a {sort} and needs a working {part.name}.{name}.",
                    )
                    for name in self.library.sorts[sort].fields
                    if f"{part.name}.{name}" not in steps
                ]
        if faults:
            raise BookError(faults)

    def _cases(self) -> Iterator[Case]:
        for checked in self.library.clauses.values():
            clause = checked.clause
            limit_of = self._limits(clause.book, clause)
            for turn in self.instances(clause.loop):
                rename = self.renamer(turn.bound, limit_of)
                means = self.means.get(turn.subject, "the job")
                if turn.missing:
                    missing = Truth(Name(turn.missing))
                    yield Case(
                        clause=clause,
                        subject=turn.missing,
                        means=self.library.facts[turn.missing].means,
                        when=None,
                        needs=missing,
                        softer=None,
                        rename=rename,
                    )
                    continue
                needs: Node | None = self._written(checked.needs, rename)
                if isinstance(needs, Both) and not needs.parts:
                    needs = None
                yield Case(
                    clause=clause,
                    subject=turn.subject,
                    means=means,
                    when=self._written(checked.when, rename) if checked.when else None,
                    needs=needs,
                    softer=self._written(checked.softer, rename) if checked.softer else None,
                    rename=rename,
                )

    def _in_order(self, steps: Mapping[str, Step]) -> Iterator[Step]:
        graph = {
            name: [leaf for leaf in _needed(step) if leaf in steps] for name, step in steps.items()
        }
        try:
            for name in TopologicalSorter(graph).static_order():
                yield steps[name]
        except CycleError as error:
            raise BookError(_circle(error.args[1], steps)) from None


def _needed(step: Step) -> tuple[str, ...]:
    return leaves(step.drawn) + (leaves(step.built) if step.built else ())


def _circle(names: list[str], steps: Mapping[str, Step]) -> list[Fault]:
    way = " needs ".join(reversed(names))
    return [
        Fault(steps[name].place, f"The workings go in a circle: {way}. Break it at {name}.")
        for name in dict.fromkeys(names)
    ]


def undefined(node: Node | None) -> bool:
    """Return whether a formula is undefined whatever the job is, as the least of no members."""
    return isinstance(node, Number) and node.value != node.value  # nan


def sliced(plan: Plan, cases: Iterable[Case], *, built: bool = False, told: bool = False) -> Plan:
    """Return a plan with some cases only, and the steps that they depend on.

    Args:
        plan: The whole plan.
        cases: Cases of it.
        built: Whether it is for the built program, where a frozen step depends on nothing.
        told: Whether to keep what the cases' sentences name, too.
    """
    kept = tuple(cases)
    trees = [t for case in kept for t in (case.when, case.needs, case.softer) if t is not None]
    wanted = {name for tree in trees for name in leaves(tree)}
    if told:
        wanted |= {
            case.rename(name)
            for case in kept
            for name in braces(f"{case.clause.says}{case.clause.do}")
        }
    steps: list[Step] = []
    for step in reversed(plan.steps):
        if step.name in wanted:
            steps.append(step)
            if not (built and step.frozen):
                wanted.update(_needed(step))
    return Plan(leaves=plan.leaves, steps=tuple(reversed(steps)), cases=kept, shape=plan.shape)
