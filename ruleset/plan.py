"""A library written out for one shape of job: every part named, every group counted."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from graphlib import CycleError, TopologicalSorter

from .binding import fields_lacking, filled
from .book import Clause, Fact, Working, braces
from .errors import BookError, Fault
from .formula.cone import leaves
from .formula.tree import Both, Name, Node, Number, Truth
from .formula.unroll import unroll
from .kinds import KINDS, Kind
from .library import CheckedWorking, Library
from .names import InFormula
from .part import THERE
from .place import Place
from .turns import HAND, Shape, Turn, Turns


@dataclass(frozen=True, slots=True, kw_only=True)
class Leaf:
    """A fact of one job: a declared one, or a field of one row of a list."""

    name: str
    fact: Fact
    kind: Kind | None


@dataclass(frozen=True, slots=True, kw_only=True)
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


@dataclass(frozen=True, slots=True, kw_only=True)
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
        levers: Facts a person would change, best first.
        parts: What the parts that its sentence names are, for people, by what stands in braces.
    """

    clause: Clause
    subject: str
    means: str
    when: Node | None
    needs: Node | None
    softer: Node | None
    rename: Callable[[str], str]
    levers: tuple[str, ...] = ()
    parts: Mapping[str, str] = field(default_factory=dict)


def same(name: str) -> str:
    """Return a name as it is."""
    return name


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Everything a job of one shape is asked, in order of working out.

    Attributes:
        leaves: Facts, and fields of rows, by name.
        steps: Workings of every part, each after those it needs.
        cases: Clauses, each of one subject.
        shape: How many rows each list has, and which hand it is.
        plain: Gives the plain name for a path from a part, such as door.hung_on.design.head.
    """

    leaves: Mapping[str, Leaf]
    steps: tuple[Step, ...]
    cases: tuple[Case, ...]
    shape: Shape
    plain: Callable[[str], str] = same


def plan(library: Library, shape: Shape) -> Plan:
    """Return the plan for a shape, made once.

    Args:
        library: The books, their parts bound.
        shape: How many rows each list has; and which hand, where the arrangement has hands.

    Raises:
        BookError: Workings go in a circle, or a part lacks a field its sort must have.
        ValueError: The shape does not say which hand.
    """
    if library.hands and HAND not in dict(shape):
        raise ValueError(f"The shape has no {HAND}; each hand has a plan of its own.")
    return library.kept.get(Plan, shape, lambda: _Planner(library, shape).plan())


class _Planner:
    def __init__(self, library: Library, shape: Shape) -> None:
        self.library = library
        self.shape = shape
        self.rows = dict(shape)
        self.names = library.names
        self.turns = Turns(library, shape)
        self.means = self.turns.means

    def _limits(self, book: str, clause: Clause | None) -> Callable[[str], str]:
        scope = InFormula(self.names, book, clause.limits if clause else {}, {})

        def limit_of(name: str) -> str:
            limit = scope.limit(name)
            return limit.name if limit else name

        return limit_of

    def _written(self, node: Node, rename: Callable[[str], str]) -> Node:
        return unroll(node, rename, self.turns.members, self.turns.plain)

    def plan(self) -> Plan:
        self._check_fields()
        steps = {step.name: step for step in self._steps()}
        cases = tuple(self._cases())
        return Plan(
            leaves=self._leaves(),
            steps=tuple(self._in_order(steps)),
            cases=cases,
            shape=self.shape,
            plain=self.turns.plain,
        )

    def _leaves(self) -> dict[str, Leaf]:
        found: dict[str, Leaf] = {}
        for fact in self.library.facts.values():
            found[fact.name] = Leaf(name=fact.name, fact=fact, kind=fact.kind)
            for at in range(1, (self.rows.get(fact.name) or 0) + 1) if fact.rows else ():
                for key, kind in self.library.sorts[fact.rows].fields.items():
                    name = f"{fact.name}[{at}].{key}"
                    of_row = replace(fact, means=self.turns.of_row[name])
                    found[name] = Leaf(name=name, fact=of_row, kind=kind)
        return found

    def _steps(self) -> Iterator[Step]:
        yield from self._of_children()
        for checked in self.library.workings:
            working = checked.working
            limit_of = self._limits(working.book, None)
            turns = [one for one in self.turns.turns(working.loop) if not one.missing]
            if working.loop.sorts:
                turns = [one for one in turns if self._is_nearest(working, one.subject)]
            for turn in turns:
                rename = self.turns.renamer(turn.bound, limit_of)
                built = checked.built
                yield Step(
                    name=rename(working.name),
                    means=self._means_of(checked, turn, rename, several=len(turns) > 1),
                    kind=working.kind,
                    drawn=self._written(checked.drawn.node, rename),
                    built=self._written(built.node, rename) if built else None,
                    frozen=working.frozen,
                    working=working,
                    place=working.place,
                )

    def _means_of(
        self,
        checked: CheckedWorking,
        turn: Turn,
        rename: Callable[[str], str],
        *,
        several: bool,
    ) -> str:
        """Return what a working is of one part; the part is named where there are several."""
        means = checked.working.means
        if checked.named:
            return filled(means, {name: self.means[rename(name)] for name in checked.named})
        return f"{means}, {self.means[turn.subject]}" if several else means

    def _of_children(self) -> Iterator[Step]:
        for part in self.library.parts.values():
            for name, group in part.groups.items():
                sort = self.library.sorts.get(group.of)
                bound = dict.fromkeys(sort.variables, part.name) if sort else {}
                rename = self.turns.renamer(bound, self._limits(group.book, None))
                kinds = self.library.sorts[group.sort].fields
                for at, child in enumerate(group.are, start=1):
                    there = (THERE,) if child.there is not None else ()
                    for key in (*child.fields, *there):
                        typed = self.library.children[group.of or part.name, name, at, key]
                        of = f"whether there is a {child.means}"
                        yield Step(
                            name=f"{part.name}.{name}[{at}].{key}",
                            means=of if key == THERE else f"{key} of the {child.means}",
                            kind=kinds.get(key, KINDS["yes/no"]),
                            drawn=self._written(typed.node, rename),
                            built=None,
                            frozen="",
                            working=None,
                            place=child.place,
                        )

    def _is_nearest(self, working: Working, subject: str) -> bool:
        """Return whether a part has a field from this working, and not from a nearer one."""
        sort, key = working.loop.sorts[0], working.name.partition(".")[2]
        if f"{subject}.{key}" in self.names.workings:
            return False
        return self.names.has.givers(self.turns.of(subject), key)[0] == sort

    def _check_fields(self) -> None:
        has, workings = self.names.has, self.names.workings
        faults = [f for p in self.library.parts.values() for f in fields_lacking(p, has, workings)]
        if faults:
            raise BookError(faults)

    def _cases(self) -> Iterator[Case]:
        for checked in self.library.clauses.values():
            clause = checked.clause
            limit_of = self._limits(clause.book, clause)
            for turn in self.turns.turns(clause.loop):
                rename = self.turns.renamer(turn.bound, limit_of)
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
                    when=self._when(checked.when, turn, rename),
                    needs=needs,
                    softer=self._written(checked.softer, rename) if checked.softer else None,
                    rename=rename,
                    levers=self._levers(clause, rename),
                    parts={name: self.means[rename(name)] for name in checked.named},
                )

    def _when(self, when: Node | None, turn: Turn, rename: Callable[[str], str]) -> Node | None:
        """Return where a case applies: where its subject is there, and its clause's condition."""
        there = tuple(Truth(Name(name)) for name in self.turns.conditions(turn.bound.values()))
        asked = (*there, self._written(when, rename)) if when else there
        return Both(asked) if len(asked) > 1 else next(iter(asked), None)

    def _levers(self, clause: Clause, rename: Callable[[str], str]) -> tuple[str, ...]:
        """Return a clause's levers; one that the part has not is left out."""
        facts = self.library.facts
        plain = (lever if lever in facts else rename(lever) for lever in clause.levers)
        return tuple([lever for lever in plain if lever in facts])

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
    return Plan(
        leaves=plan.leaves,
        steps=tuple(reversed(steps)),
        cases=kept,
        shape=plan.shape,
        plain=plan.plain,
    )
