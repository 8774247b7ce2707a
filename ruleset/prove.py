"""Books prove themselves: every example is run, and every change to a clause must be noticed."""

from collections.abc import Iterator
from dataclasses import dataclass, replace

from .book import Clause, Proof
from .errors import Fault
from .library import CheckedClause, CheckedWorking, Library
from .place import Place
from .proof_runner import ProofRunner, Variant, verb


@dataclass(frozen=True, slots=True, kw_only=True)
class Proved:
    """One proof that was run.

    Attributes:
        owner: The clause or working.
        proof: The proof's name.
        place: Where it stands.
        wrong: What was wrong; "" when it proved what it says.
    """

    owner: str
    proof: str
    place: Place
    wrong: str


def prove(library: Library) -> Iterator[Proved]:
    """Run every proof of every book, and the missing-fact cases made from them.

    Yields:
        One result for each proof and each dropped name, then one for each unnoticed change.
    """
    for working in library.workings:
        yield from prove_working(library, working)
    for clause in library.clauses.values():
        yield from prove_clause(library, clause)


def prove_working(library: Library, checked: CheckedWorking) -> Iterator[Proved]:
    """Run the proofs of one working."""
    runner = ProofRunner(library, checked.working.book, {}, checked.working.loop)
    if not checked.working.proofs:
        yield Proved(
            owner=checked.working.name,
            proof="is",
            place=checked.working.place,
            wrong="It has no proof; give an example of what follows from what.",
        )
    for proof in checked.working.proofs:
        wrong = runner.guard(lambda p=proof: runner.result(checked, p))  # type: ignore[misc]  # a default binds the loop's value
        yield _proved(checked.working.name, proof, wrong)


def prove_clause(library: Library, checked: CheckedClause) -> Iterator[Proved]:
    """Run the proofs of one clause, drop each given name, and change the clause."""
    clause = checked.clause
    runner = ProofRunner(library, clause.book, {}, clause.loop, clause)
    plain = runner.variant(checked)
    good = True
    for proof in clause.proofs:
        wrong = runner.guard(lambda p=proof: runner.failing(plain, p))  # type: ignore[misc]
        good = good and not wrong
        yield _proved(clause.name, proof, wrong)
        if not wrong:
            yield from _dropped(runner, plain, proof)
    if not _may_fail(clause) and CANNOT_FAIL not in clause.unmoved:
        yield Proved(
            owner=clause.name,
            proof="fails",
            place=clause.place,
            wrong="No proof shows it failing; a clause that cannot fail is no clause.",
        )
    if good:
        yield from _unnoticed(runner, checked, plain)


CANNOT_FAIL = "fails"
"""The mark among what is unmoved of a clause that is only there to ask for a fact."""


def _may_fail(clause: Clause) -> bool:
    return any(proof.expects == "fails" for proof in clause.proofs)


def _proved(owner: str, proof: Proof, wrong: str, name: str = "") -> Proved:
    return Proved(owner=owner, proof=name or proof.name, place=proof.place, wrong=wrong)


def _dropped(runner: ProofRunner, plain: Variant, proof: Proof) -> Iterator[Proved]:
    for name in proof.given:
        expected = None if runner.known_before(name) else runner.without(plain, proof, name)
        if expected is None:
            continue
        less = replace(proof, given={k: v for k, v in proof.given.items() if k != name})
        got = runner.outcome(plain, less)
        wrong = "" if got == expected else f"Without {name} it {verb(got)}, not {expected}."
        yield _proved(runner.owner, proof, wrong, f"{proof.name}, without {name}")


def _unnoticed(runner: ProofRunner, checked: CheckedClause, plain: Variant) -> Iterator[Proved]:
    clause = checked.clause
    done = set() if _may_fail(clause) else {CANNOT_FAIL}
    for variant in runner.changes(checked, plain):
        done.add(variant.change)
        noticed = any(runner.failing(variant, proof) for proof in clause.proofs)
        marked = variant.change in clause.unmoved
        wrong = ""
        if not noticed and not marked:
            wrong = f"No proof notices this change: {variant.change}."
        elif noticed and marked:
            wrong = f"A proof notices the change {variant.change!r}, which is marked as unmoved."
        yield Proved(
            owner=clause.name, proof=f"change: {variant.change}", place=clause.place, wrong=wrong
        )
    for name in clause.unmoved:
        if name not in done:
            yield Proved(
                owner=clause.name,
                proof=f"unmoved: {name}",
                place=clause.place,
                wrong=f"There is no change {name!r}; there are: {', '.join(sorted(done))}.",
            )


def faults_of(results: Iterator[Proved]) -> tuple[Fault, ...]:
    """Return a fault for each proof that is wrong."""
    return tuple(
        Fault(one.place, f"{one.owner}, {one.proof}: {one.wrong}") for one in results if one.wrong
    )
