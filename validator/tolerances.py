"""What each reading, pane and part may be off by, as a sheet of the rules declares it."""

import re
from collections.abc import Mapping
from dataclasses import dataclass

from ruleset.book import Clause
from ruleset.fields import Faults, Fields
from ruleset.library import Library
from ruleset.nearest import did_you_mean
from ruleset.node import Node
from ruleset.plan import Case

from .sheet_rows import read_once
from .verdict import Verdict

SHEET = "tolerances"
ROW = "[*]"
"""Stands for each row of a list."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowance:
    """What one name may be off by, either way.

    Attributes:
        name: A fact, or a working that is cut.
        means: What it is called in a sentence.
        amount: Internal units; 0 or more.
    """

    name: str
    means: str
    amount: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DeclaredTolerance:
    """One row of the sheet: names that are off by the same.

    Attributes:
        means: What it is called in a sentence.
        by: Name of how much.
        of: The names; with [*] each row of a list.
        measured: For each of them the fact that it was measured as; () where none is. What was
            measured is taken as it is, and is off no more.
    """

    means: str
    by: str
    of: tuple[str, ...]
    measured: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Adjuster:
    """Hardware that is set last and takes up loss, at most to nothing.

    Attributes:
        means: What it is called.
        by: Name of how much it takes up.
        clauses: Clauses whose loss it takes up.
        part: The part that they are asked of; "" for any.
    """

    means: str
    by: str
    clauses: tuple[str, ...]
    part: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tolerances:
    """The sheet.

    Attributes:
        declared: What is off by what.
        adjusters: What takes up.
        not_for: Clauses and books that tolerances do not touch.
    """

    declared: tuple[DeclaredTolerance, ...] = ()
    adjusters: tuple[Adjuster, ...] = ()
    not_for: tuple[str, ...] = ()

    def measured(self, verdict: Verdict) -> Mapping[str, float]:
        """Return what each cut size was measured as, by its name; internal units."""
        pairs = (
            (name, verdict.answer(fact))
            for row in self.declared
            for name, fact in zip(row.of, row.measured, strict=False)
        )
        return {name: answer.value for name, answer in pairs if answer.known}

    def off(self, verdict: Verdict) -> tuple[tuple[DeclaredTolerance, str], ...]:
        """Return every name of a job's plan that may be off, with its row of the sheet."""
        return tuple(
            (row, name)
            for row in self.declared
            for of in row.of
            for name in (_rows(of, verdict) if ROW in of else (of,))
        )

    def spares(self, clause: Clause) -> bool:
        """Return whether tolerances do not touch a clause."""
        return clause.name in self.not_for or clause.book in self.not_for

    def taking(self, case: Case) -> tuple[Adjuster, ...]:
        """Return the adjusters that take up a case's loss."""
        asked = [one for one in self.adjusters if case.clause.name in one.clauses]
        return tuple(one for one in asked if one.part in ("", case.subject.partition(".")[0]))


def load_tolerances(verdict: Verdict) -> Tolerances:
    """Return the tolerances that the sheets beside a job's books declare.

    Raises:
        RulesetError: A file cannot be read, or names what there is not; all faults at once.
    """
    return read_once(SHEET, verdict, Tolerances, read_tolerances)


def read_tolerances(node: Node | None, library: Library, faults: Faults) -> Tolerances:
    """Return the tolerances that a sheet declares, none for None; faults are kept."""
    if node is None:
        return Tolerances()
    fields = Fields(node, faults, "the sheet of tolerances")
    fields.text("sheet", need=True)
    declared = tuple(_declared(row, library, faults) for row in fields.rows("tolerances"))
    adjusters = tuple(_adjuster(row, library, faults) for row in fields.rows("adjusters"))
    not_for = fields.texts("not_for")
    for name in not_for:
        if name not in library.clauses and name not in library.books:
            hint = did_you_mean(name, library.clauses)
            faults.add(fields.place, f"There is no clause and no book {name}.{hint}")
    fields.done()
    return Tolerances(declared=declared, adjusters=adjusters, not_for=not_for)


def _declared(node: Node, library: Library, faults: Faults) -> DeclaredTolerance:
    fields = Fields(node, faults, "a tolerance")
    row = DeclaredTolerance(
        means=fields.text("means", need=True),
        by=fields.text("by", need=True),
        of=fields.texts("of"),
        measured=fields.texts("measured"),
    )
    fields.done()
    _known((row.by, *row.of, *row.measured), fields, library)
    if row.measured and len(row.measured) != len(row.of):
        fields.wrong("measured", "measured names one fact for each name in `of`, in their order.")
    return row


def _adjuster(node: Node, library: Library, faults: Faults) -> Adjuster:
    fields = Fields(node, faults, "an adjuster")
    row = Adjuster(
        means=fields.text("means", need=True),
        by=fields.text("by", need=True),
        clauses=fields.texts("clauses"),
        part=fields.text("part"),
    )
    fields.done()
    if row.part and row.part not in library.parts:
        fields.wrong("part", f"There is no part {row.part}.{did_you_mean(row.part, library.parts)}")
    _known((row.by,), fields, library)
    for name in row.clauses:
        if name not in library.clauses:
            hint = did_you_mean(name, library.clauses)
            faults.add(fields.place, f"There is no clause {name}.{hint}")
    return row


def _rows(of: str, verdict: Verdict) -> tuple[str, ...]:
    pattern = re.compile(re.escape(of).replace(re.escape(ROW), r"\[\d+\]"))
    return tuple(name for name in verdict.plan.leaves if pattern.fullmatch(name))


def _known(names: tuple[str, ...], fields: Fields, library: Library) -> None:
    for name in names:
        listed = library.facts.get(name.partition(ROW)[0])
        if ROW in name and listed is not None and listed.rows:
            continue
        if name and name not in library.limits and library.names.kind_of(name, {}) is None:
            hint = did_you_mean(name, library.names.all_names())
            fields.faults.add(fields.place, f"There is no {name}.{hint}")


def allowances(verdict: Verdict, sheet: Tolerances) -> Mapping[str, Allowance]:
    """Return what each name of a job may be off by.

    A tolerance written in the job goes before the sheet's. A name whose own value or whose
    tolerance is not known has none.

    Args:
        verdict: The verdict of the job.
        sheet: The sheet of tolerances.
    """
    found: dict[str, Allowance] = {}
    measured = sheet.measured(verdict)
    for row, name in sheet.off(verdict):
        amount = verdict.answer(row.by)
        if amount.known and name not in measured and verdict.answer(name).known:
            found[name] = Allowance(name=name, means=row.means, amount=amount.value)
    for name, given in verdict.job.values.items():
        if given.tolerance is not None and name in verdict.plan.leaves:
            means = found[name].means if name in found else verdict.plan.leaves[name].fact.means
            found[name] = Allowance(name=name, means=means, amount=given.tolerance)
    return {name: one for name, one in found.items() if one.amount > 0}
