"""What a book holds: facts, limits, workings, clauses and their proofs, with sorts and parts."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field

from .kinds import Kind
from .node import Node as Written
from .part import Formula, Part, Sort
from .place import Place

STAGES = ("survey", "design", "order", "fabricate", "install", "handover")
LEVELS = ("note", "warning", "error")
STANDINGS = (
    "published",
    "corroborated",
    "memory",
    "common practice",
    "shop policy",
    "kit",
)
OF_PARTS = ("survey", "design", "order", "as_built")
"""Sources of facts that parts may have; those of the kit and the job are of the whole job."""
SOURCES: Mapping[str, tuple[str, str]] = {
    # source: (stage a fact of it must be known at, who supplies it)
    "survey": ("survey", "surveyor"),
    "design": ("design", "designer"),
    "kit": ("design", "the hardware maker's sheet"),
    "order": ("order", "the office"),
    "as_built": ("install", "installer"),
    "job": ("survey", "the office"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Basis:
    """By whose word something holds.

    Attributes:
        document: The document; "" for policies and practice.
        edition: Its edition.
        clause: The clause in it.
        standing: How sure the word is, one of `STANDINGS`.
        note: What a reader should know besides.
    """

    document: str = ""
    edition: str = ""
    clause: str = ""
    standing: str = "shop policy"
    note: str = ""

    def __str__(self) -> str:
        """Return the basis on one line, its standing in brackets."""
        named = " ".join(part for part in (self.document, self.edition) if part)
        clause = f", {self.clause}" if self.clause else ""
        said = f"{named}{clause}" if named else self.clause
        return f"{said} ({self.standing})" if said else self.standing


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """A number that formulas compare with or work from; a code set may amend it.

    Attributes:
        name: Full name, such as sliding.clear-opening.access or sliding.limit.gravity.
        kind: Kind of the value.
        value: Value, internal units.
        text: The value as written.
        step: How far a proof goes past it, internal units; None where there is no usual step.
        basis: By whose word; None where the clause's basis is meant.
        place: Where it stands.
    """

    name: str
    kind: Kind
    value: float
    text: str
    step: float | None
    basis: Basis | None
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """A value that a job or a kit may give.

    Attributes:
        name: Full name, such as survey.width.sill; of a sort's every part as its book has it, such
            as pane.design.glass.
        means: What it is, for people.
        kind: Its kind; None for a list.
        words: What a word may be.
        also: Other words that people write for one of them, and which.
        low: Least value that is read, internal units.
        high: Greatest value that is read, internal units.
        usual: Where ordinary jobs lie, internal units.
        stage: When it must be known.
        who: Who supplies it.
        absent: What is taken when it is not given, as text; None where it is then missing.
        follows: The fact or limit whose value is taken when it is not given, by its full name;
            "" where `absent` is a value.
        stated: Whose word `absent` is, a sentence, where a shop's policy states it; "" otherwise.
        rows: Sort of the rows, for a list; "" otherwise.
        most: Most rows of a list.
        sort: The sort whose every part has it; "" for one of the whole job, or of one part.
        place: Where it is declared.
    """

    name: str
    means: str
    kind: Kind | None
    words: tuple[str, ...] = ()
    also: Mapping[str, str] = field(default_factory=dict)
    low: float = 0.0
    high: float = 0.0
    usual: tuple[float, float] | None = None
    stage: str
    who: str
    absent: str | None = None
    stated: str = ""
    follows: str = ""
    rows: str = ""
    most: int = 0
    sort: str = ""
    place: Place

    @property
    def source(self) -> str:
        """Return where it comes from: survey, design, kit, order, as_built or job."""
        return (self.path if self.sort else self.name).partition(".")[0]

    @property
    def path(self) -> str:
        """Return its name as a part of its sort has it, such as design.glass."""
        return self.name.partition(".")[2]


@dataclass(frozen=True, slots=True, kw_only=True)
class Loop:
    """Which parts a clause or working is for.

    Attributes:
        sorts: Sort of each variable, the outer last: hole, pane.
        pairs: Whether it is for each two of the inner sort.
        subject: The one part it is for, where there is no loop.
    """

    sorts: tuple[str, ...] = ()
    pairs: bool = False
    subject: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Proof:
    """An example inside a clause or working.

    Attributes:
        name: Its name.
        expects: "holds", "fails", "exempt", "unknown", or "is" for a working.
        given: Each given name and the value as written; a group's value is a list of rows.
        limits: Limits given other values, by short name, as written.
        says: The exact sentence of a clause that fails.
        result: The value of a working, as written.
        without: What follows when a given name is dropped, where it is not unknown.
        units: "in" or "mm": how sentences print.
        place: Where it stands.
    """

    name: str
    expects: str
    given: Mapping[str, Written]
    limits: Mapping[str, str]
    says: str = ""
    result: str = ""
    without: Mapping[str, str]
    units: str = "in"
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Working:
    """How a quantity follows from others.

    Attributes:
        name: Full name, or variable.field for a working of every part of a sort.
        means: What it is, for people.
        formula: The formula as drawn.
        built: The formula in the built program, used where its facts are known.
        kind: Kind of the result.
        frozen: Stage from which the value is cut and no longer follows; "" for never.
        loop: Which parts it is for.
        proofs: Its proofs.
        place: Where it stands.
        book: Id of its book.
    """

    name: str
    means: str
    formula: Formula
    built: Formula | None
    kind: Kind
    frozen: str
    loop: Loop
    proofs: tuple[Proof, ...]
    place: Place
    book: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Softer:
    """A lower level under a condition, such as a replacement."""

    level: str
    when: Formula


@dataclass(frozen=True, slots=True, kw_only=True)
class Clause:
    """One requirement.

    Attributes:
        name: Full name, book.clause.
        title: What it asks, in a line.
        loop: Which parts it is for.
        when: Where it applies; None for always.
        needs: What must hold.
        limits: Its limits, by short name.
        level: error, warning or note.
        softer: A lower level under a condition.
        stage: When it must be decided.
        basis: By whose word.
        why: What goes wrong otherwise.
        says: The sentence when it fails, with names in braces.
        do: What to do, in words.
        caution: What may hurt someone.
        levers: Facts a person would change, best first.
        waivable: Whether a job may depart from it.
        proofs: Its proofs.
        unmoved: Changes that cannot matter, each with the reason.
        place: Where it stands.
        book: Id of its book.
    """

    name: str
    title: str
    loop: Loop
    when: Formula | None
    needs: Formula
    limits: Mapping[str, Limit]
    level: str
    softer: Softer | None
    stage: str
    basis: Basis
    why: str
    says: str
    do: str
    caution: str
    levers: tuple[str, ...]
    waivable: bool
    proofs: tuple[Proof, ...]
    unmoved: Mapping[str, str]
    place: Place
    book: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """One book file."""

    name: str
    title: str
    about: str
    facts: tuple[Fact, ...]
    sorts: tuple[Sort, ...]
    parts: tuple[Part, ...]
    limits: Mapping[str, Limit]
    workings: tuple[Working, ...]
    clauses: tuple[Clause, ...]
    place: Place


_BRACES = re.compile(r"\{([^{}]*)\}")


def braces(text: str) -> tuple[str, ...]:
    """Return the names that stand in braces in a sentence.

    Example:
        >>> braces("It is {actual}; {limit} is needed.")
        ('actual', 'limit')
    """
    return tuple(_BRACES.findall(text))
