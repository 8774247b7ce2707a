"""Where proofs are run: a clause or working with the given names as its leaves."""

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from .book import Clause, Fact, Loop, Proof, braces
from .explain import Teller
from .formula.answer import Answer, Answering
from .formula.cone import leaves
from .formula.tree import Both, Node
from .formula.unroll import Members, unroll
from .kinds import Kind
from .library import CheckedClause, CheckedWorking, Library
from .mutants import mutants
from .names import InFormula, any_member
from .node import Node as Written
from .node import Rows, Table, Text
from .place import Place
from .plan import Case, Leaf, Plan, Step
from .program import EXEMPT, FAILS, HOLDS, SOFTER, UNKNOWN, compile_plan, guarded
from .quantity import QuantityError, read_quantity
from .show import Style, show

SAID = {EXEMPT: "exempt", HOLDS: "holds", FAILS: "fails", UNKNOWN: "unknown", SOFTER: "fails"}
NO_FACT = Fact(name="", means="", kind=None, stage="", who="", place=Place(file="a proof"))
MILLIMETRES = Style(units="mm", grid=Fraction(1))


def verb(outcome: str) -> str:
    """Return an outcome as a sentence says it."""
    return outcome if outcome in ("holds", "fails") else f"is {outcome}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Variant:
    """A clause as it is proved: as written, or with one change."""

    when: Node | None
    needs: Node
    softer: Node | None
    limits: Mapping[str, float]
    change: str = ""


@dataclass(frozen=True, slots=True)
class _Given:
    """What a proof gives, read: values by name and members by group."""

    values: Mapping[str, float]
    groups: Mapping[str, Members]
    limits: Mapping[str, float]


class Refused(Exception):
    """A proof that cannot be run, and why."""


class ProofRunner:
    """Runs proofs of one clause or working, with the given names as leaves."""

    def __init__(
        self,
        library: Library,
        book: str,
        limits: Mapping[str, float],
        loop: Loop,
        clause: Clause | None = None,
    ) -> None:
        """Keep what is proved.

        Args:
            library: All books.
            book: Id of the book it stands in.
            limits: Values of limits that differ from the library's.
            loop: Which parts it is for.
            clause: The clause; None for a working.
        """
        self.library = library
        self.clause = clause
        self.named = library.clauses[clause.name].named if clause else ()
        self.owner = clause.name if clause else ""
        self.scope = InFormula(library.names, book, clause.limits if clause else {}, {})
        self.variables = library.names.variables(loop)
        self.limits = {name: limit.value for name, limit in library.limits.items()} | dict(limits)

    def guard(self, run: Callable[[], str]) -> str:
        try:
            return run()
        except Refused as refused:
            return str(refused)

    def variant(self, checked: CheckedClause) -> Variant:
        return Variant(
            when=checked.when, needs=checked.needs, softer=checked.softer, limits=self.limits
        )

    def _kind(self, name: str) -> Kind | None:
        limit = self.library.limits.get(name) or self.scope.limit(name)
        return limit.kind if limit else self.library.names.kind_of(name, self.variables)

    def _rename(self, name: str) -> str:
        limit = self.scope.limit(name)
        return limit.name if limit else name

    def _read(self, name: str, node: Written) -> float:
        kind = self._kind(name)
        if kind is None:
            message = f"{name} is given, but there is no such name."
            raise Refused(message)
        if not isinstance(node, Text):
            message = f"{name} is given as a list or table; it is one value."
            raise Refused(message)
        if kind.name == "word":
            known = self.library.words
            words = self._words(name) or tuple(known)
            if node.text not in words or node.text not in known:
                message = f"{node.text!r} is no word that {name} may be."
                raise Refused(message)
            return known[node.text]
        return self._quantity(name, node.text, kind)

    def _words(self, name: str) -> tuple[str, ...]:
        scope = InFormula(self.library.names, "", {}, self.variables)
        found = scope.type_of(any_member(name))
        return found.words if found else ()

    def _quantity(self, name: str, text: str, kind: Kind) -> float:
        try:
            return read_quantity(text, kind).value
        except QuantityError as error:
            message = f"{name}: {error}"
            raise Refused(message) from None

    def known_before(self, name: str) -> bool:
        """Return whether who is in a group is known before any job: a proof has to say it."""
        return self.library.names.is_by_role(name, self.variables)

    def given(self, proof: Proof, limits: Mapping[str, float]) -> _Given:
        values: dict[str, float] = {}
        groups: dict[str, Members] = {}
        for name, node in proof.given.items():
            if isinstance(node, Rows):
                groups[name] = self._rows(name, node, values)
            else:
                values[name] = self._read(name, node)
        own = dict(limits)
        for short, text in proof.limits.items():
            limit = self.scope.limit(f"limit.{short}")
            if limit is None:
                message = f"There is no limit {short} here."
                raise Refused(message)
            own[limit.name] = self._quantity(f"limit.{short}", text, limit.kind)
        return _Given(values, groups, own)

    def _rows(self, name: str, rows: Rows, values: dict[str, float]) -> Members:
        names = []
        for at, row in enumerate(rows.items, start=1):
            member = f"{name}[{at}]"
            names.append(member)
            if not isinstance(row, Table):
                message = f"A row of {name} is a table of fields."
                raise Refused(message)
            for key, node in row.entries.items():
                values[f"{member}.{key}"] = self._read(f"{member}.{key}", node)
        return Members(names=tuple(names))

    def _written(self, node: Node, given: _Given) -> Node:
        def members(group: str) -> Members:
            if group not in given.groups and self.known_before(group):
                message = f"{group} is not given; who is in it is known before any job."
                raise Refused(message)
            return given.groups.get(group) or Members(names=(), missing=group)

        return unroll(node, self._rename, members)

    def _plan(self, given: _Given, trees: tuple[Node, ...]) -> tuple[str, ...]:
        names = dict.fromkeys(name for tree in trees for name in leaves(tree))
        return tuple(name for name in names if name not in given.limits)

    def case(self, variant: Variant, given: _Given) -> Case:
        if self.clause is None:
            message = "only a clause is asked of a case"
            raise AssertionError(message)
        needs: Node | None = self._written(variant.needs, given)
        if isinstance(needs, Both) and not needs.parts:
            needs = None
        return Case(
            clause=self.clause,
            subject="proof",
            means=self._means(),
            when=self._written(variant.when, given) if variant.when else None,
            needs=needs,
            softer=self._written(variant.softer, given) if variant.softer else None,
            rename=self._rename,
            parts=self._parts(),
        )

    def _means(self) -> str:
        loop = self.clause.loop if self.clause else Loop()
        if loop.subject:
            return self.library.parts[loop.subject].means
        return self.library.sorts[self.library.names.inner(loop)].words if loop.sorts else "the job"

    def _parts(self) -> Mapping[str, str]:
        """Return what the parts in a clause's sentence are called where no one part is meant."""
        in_words = self.library.names.part_in_words
        return {name: in_words(name, self.variables) for name in self.named}

    def outcome(self, variant: Variant, proof: Proof) -> str:
        """Return what a proof comes to, run by a program made for it."""
        given = self.given(proof, variant.limits)
        return SAID[self._run(self.case(variant, given), given)]

    def _run(self, case: Case, given: _Given) -> int:
        trees = tuple(t for t in (case.when, case.needs, case.softer) if t is not None)
        plan = self._leafy(trees, given, cases=(case,), steps=())
        program = compile_plan(self.library, plan)
        facts = [given.values.get(name, math.nan) for name in program.facts]
        return program.run(facts, [given.limits[name] for name in program.limits]).outcomes[0]

    def _leafy(
        self,
        trees: tuple[Node, ...],
        given: _Given,
        *,
        cases: tuple[Case, ...],
        steps: tuple[Step, ...],
    ) -> Plan:
        names = self._plan(given, trees)
        found = {n: Leaf(name=n, fact=NO_FACT, kind=self._kind(n)) for n in names}
        return Plan(leaves=found, steps=steps, cases=cases, shape=())

    def failing(self, variant: Variant, proof: Proof) -> str:
        """Return how a proof of a clause is wrong, "" where it is right."""
        given = self.given(proof, variant.limits)
        case = self.case(variant, given)
        got = SAID[self._run(case, given)]
        if got != proof.expects:
            return f"It {verb(got)}; the proof says it {verb(proof.expects)}."
        unused = self._unused(variant, given)
        if unused and not variant.change:
            return f"{unused} is given, but the clause does not use it."
        odd = next((name for name in proof.without if name not in proof.given), "")
        if odd:
            return f"It says what follows without {odd}, which is not given."
        if got == "fails" and not variant.change:
            return self._sentence(case, given, proof)
        return ""

    def _unused(self, variant: Variant, given: _Given) -> str:
        case = self.case(variant, given)
        trees = [t for t in (case.when, case.needs, case.softer) if t is not None]
        used = {name for tree in trees for name in leaves(tree)}
        said = set() if self.clause is None else set(_said(self.clause))
        for name in given.values:
            if name not in used and name not in said and "[" not in name:
                return name
        return ""

    def _sentence(self, case: Case, given: _Given, proof: Proof) -> str:
        if not proof.says:
            return "A failing proof gives the exact sentence; this one has no says."
        told = self.teller(given, proof).tell(case)
        if told.says == proof.says:
            return ""
        return f"It says: {told.says!r}; the proof says: {proof.says!r}."

    def teller(self, given: _Given, proof: Proof) -> Teller:
        functions = {name: guarded(f, []) for name, f in self.library.functions.items()}

        def look_up(name: str) -> Answer:
            value = given.values.get(name, given.limits.get(name, math.nan))
            return Answer(value, frozenset(() if value == value else (name,)))  # nan

        answering = Answering(look_up, self.library.words, functions)
        words, limits = self.library.words, self.library.limits
        return Teller(answering, self._kind, {}, words, style_of(proof.units), limits)

    def without(self, variant: Variant, proof: Proof, name: str) -> str | None:
        """Return what is expected when a name is dropped, None where nothing is."""
        if name in proof.without:
            return proof.without[name]
        given = self.given(proof, variant.limits)
        case = self.case(variant, given)
        in_when = case.when is not None and _uses(case.when, name)
        in_needs = case.needs is not None and _uses(case.needs, name)
        if proof.expects == "exempt":
            if in_when:
                return None
            nothing_to_check = case.needs is None and name in given.groups
            return "unknown" if nothing_to_check else "exempt"
        if not in_when and not in_needs:
            return proof.expects
        if proof.expects == "holds" and not in_needs:
            return "holds"
        return "unknown"

    def result(self, checked: CheckedWorking, proof: Proof) -> str:
        """Return how a working's proof is wrong, "" where it is right."""
        given = self.given(proof, self.limits)
        tree = self._written(checked.drawn.node, given)
        working = checked.working
        step = Step(
            name=working.name,
            means=working.means,
            kind=working.kind,
            drawn=tree,
            built=None,
            frozen="",
            working=working,
            place=working.place,
        )
        program = compile_plan(self.library, self._leafy((tree,), given, cases=(), steps=(step,)))
        facts = [given.values.get(name, math.nan) for name in program.facts]
        (value,) = program.run(facts, [given.limits[n] for n in program.limits]).values
        used = set(leaves(tree))
        for name in given.values:
            if name not in used and "[" not in name:
                return f"{name} is given, but the formula does not use it."
        return self._compared(value, working.kind, proof)

    def _compared(self, value: float, kind: Kind, proof: Proof) -> str:
        known = value == value  # nan
        if proof.result == "unknown" or not known:
            wanted = proof.result == "unknown"
            return "" if wanted != known else f"It is {'known' if known else 'unknown'}."
        if kind.name == "word":
            found = next(word for word, n in self.library.words.items() if n == value)
            return "" if found == proof.result else f"It is {found!r}, not {proof.result!r}."
        try:
            expected = read_quantity(proof.result, kind).value
        except QuantityError as error:
            return str(error)
        near = max(kind.hair or 0.0, 1e-6 * abs(expected))
        if kind.hair is not None and kind.name not in ("number", "slope", "angle", "stress"):
            near = kind.hair
        if abs(value - expected) <= near:
            return ""
        return (
            f"It is {show(value, kind, style_of(proof.units), finer=6).text}, not {proof.result}."
        )

    def changes(self, checked: CheckedClause, plain: Variant) -> Iterator[Variant]:
        """Yield the clause with each change that a proof must notice."""
        yield from self._nudged(checked, plain)
        for change, node in mutants(plain.needs):
            yield replace(plain, change=change, needs=node)
        if plain.when is not None:
            for change, node in mutants(plain.when):
                yield replace(plain, change=f"when, {change}", when=node)
            yield replace(plain, when=None, change="when dropped")

    def _nudged(self, checked: CheckedClause, plain: Variant) -> Iterator[Variant]:
        used = {
            limit.name
            for tree in (checked.needs, checked.when)
            if tree is not None
            for name in leaves(tree)
            if (limit := self.scope.limit(name)) is not None
        }
        for short, limit in checked.clause.limits.items():
            if limit.name not in used:
                yield replace(plain, change=f"limit {short} is not used by the clause")
                continue
            step = limit.step or 0.0
            for way, move in (("up", step), ("down", -step)):
                moved = {**plain.limits, limit.name: limit.value + move}
                yield replace(plain, limits=moved, change=f"limit {short} {way}")


def style_of(units: str) -> Style:
    """Return the usual style of a unit system."""
    return Style() if units == "in" else MILLIMETRES


def _uses(tree: Node, name: str) -> bool:
    return any(leaf == name or leaf.startswith(f"{name}[") for leaf in leaves(tree))


def _said(clause: Clause) -> tuple[str, ...]:
    return braces(clause.says) + braces(clause.do)
