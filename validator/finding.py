"""What a review finds: outcomes in words, with their places, numbers and basis."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from ruleset.book import Basis
from ruleset.explain import Amount
from ruleset.place import Place
from ruleset.show import Style

OUTCOMES = ("fails", "tight", "unknown", "holds", "exempt")


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiver:
    """A departure from one clause that the job states.

    Attributes:
        clause: Full name of the clause.
        subject: The part it is for; "" for every subject.
        why: The reason.
        by: Who answers for it.
        until: Last day it stands, ISO 8601; "" for no end.
        place: Where it stands in the job.
    """

    clause: str
    subject: str
    why: str
    by: str
    until: str
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Contributor:
    """What one tolerance does to a clause's margin.

    Attributes:
        means: What it is called.
        names: The names that it moves.
        loss: What it takes from the margin alone, internal units; 0 or more.
        share: Its part of the root-sum-square, 0 to 1.
    """

    means: str
    names: tuple[str, ...]
    loss: float
    share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Offset:
    """What one name is off by at the worst corner.

    Attributes:
        name: A fact, or a working that is cut.
        amount: What it is off by there, internal units; below 0 for less.
        likely: What it is off by where chance takes most, internal units.
    """

    name: str
    amount: float
    likely: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Stack:
    """How the tolerances stack up against one clause on one subject.

    Attributes:
        at: The case's place in the plan.
        margin: The margin at size, internal units; nan where the clause has none.
        worst: The margin at the worst corner, after the adjusters.
        rss: The margin by root-sum-square, after the adjusters; nan where the clause has none.
        fails: Whether it fails somewhere within the tolerances.
        fails_rss: Whether it fails within the root-sum-square, and not only at the worst corner.
        contributors: The tolerances that matter, the greatest first.
        corner: The worst corner, a name at a time.
        taken_up: What the adjusters take up, internal units.
        tried: How the worst corner was found, in words.
    """

    at: int
    margin: float
    worst: float
    rss: float
    fails: bool
    fails_rss: bool
    contributors: tuple[Contributor, ...]
    corner: tuple[Offset, ...]
    taken_up: float
    tried: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Amended:
    """A limit that a code set or a policy amends.

    Attributes:
        limit: Its full name.
        was: What the book has.
        now: What counts.
        by: The code set or policy.
    """

    limit: str
    was: str
    now: str
    by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One clause on one subject.

    Attributes:
        clause: Full name of the clause.
        subject: Name of the part, "job" for none.
        outcome: One of `OUTCOMES`.
        level: "error", "warning" or "note".
        stage: When it must be decided.
        title: What the clause asks.
        says: What is, what is allowed; a whole sentence.
        do: What to do, in words; may be "".
        why: What goes wrong otherwise.
        place: Where in the job, the kit or the book it belongs.
        actual: What the job has, where quantities are compared.
        limit: What it is compared with.
        margin: How far on the right side; negative when it fails.
        working: The arithmetic behind it, a line a step.
        basis: By whose word.
        marked: Limits it uses whose own word is weaker: from memory or common practice.
        amended: Limits it uses that a code set or a policy amends.
        missing: Facts that would have to be known.
        remedies: Changes that were tried and found to cure it.
        caution: What may hurt someone; may be "".
        waived: The waiver, where one stands.
        stack: How the tolerances stack up, where it is tight.
        instead_of: Findings that say the same less well: clause and subject of each.
    """

    clause: str
    subject: str
    outcome: str
    level: str
    stage: str
    title: str
    says: str
    do: str
    why: str
    place: Place
    actual: Amount | None
    limit: Amount | None
    margin: Amount | None
    working: tuple[str, ...]
    basis: Basis
    missing: tuple[str, ...]
    remedies: tuple[object, ...] = ()
    caution: str = ""
    marked: tuple[tuple[str, Basis], ...] = ()
    amended: tuple[Amended, ...] = ()
    waived: Waiver | None = None
    stack: Stack | None = None
    instead_of: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A fact still to be supplied, told once.

    Attributes:
        fact: Its name.
        means: What it is.
        who: Who supplies it.
        stage: When it must be known.
        place: Where it belongs in the job or kit.
        clauses: The clauses that wait for it.
    """

    fact: str
    means: str
    who: str
    stage: str
    place: Place
    clauses: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Assumed:
    """A value taken because the job does not give the fact.

    Attributes:
        fact: The fact.
        means: What it is, for people.
        text: The value, as it prints.
        source: The fact or limit that it is taken from, or the policy that states it and its word;
            "" where it is the book's own value.
    """

    fact: str
    means: str
    text: str
    source: str = ""

    @property
    def says(self) -> str:
        """Return the value, and where it is taken from."""
        return f"{self.text}, as {self.source}" if self.source else self.text


@dataclass(frozen=True, slots=True, kw_only=True)
class Release:
    """Whether the job is ready for a stage.

    Attributes:
        stage: The stage.
        ready: Every clause up to it is decided and no error stands.
        because: The clauses that stand in the way, each once.
    """

    stage: str
    ready: bool
    because: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Review:
    """Everything a review of one job says.

    Attributes:
        job: The job's id.
        title: Its title.
        file: Its file.
        kit: The kit's id.
        today: The day that it was held against, ISO 8601; "" where none was given.
        sizes_code: The code of the sizes, which a second check is given for; "" where not all are
            known.
        codes: Code sets and policies applied, in order.
        style: How values print.
        release: Ready or not, for the stage asked.
        counts: How many clauses and subjects came to each outcome.
        findings: Sorted by place and then clause.
        asked: Facts still to be supplied, up to the stage.
        past: How many warnings and notes on what is built by now are not told at handover.
        assumed: Values taken because facts were not given.
        cautions: Said at the end of every report.
        broken: Sentences about a book or a plugin that failed on this job; exit code 2.
        of: "job", or "kit" where a kit was reviewed by itself; `job` and `kit` are then its id.
    """

    job: str
    title: str
    file: str
    kit: str
    today: str = ""
    sizes_code: str = ""
    codes: tuple[str, ...]
    style: Style
    release: Release
    counts: Mapping[str, int]
    findings: tuple[Finding, ...]
    asked: tuple[Asked, ...]
    past: int = 0
    assumed: tuple[Assumed, ...]
    cautions: tuple[str, ...]
    broken: tuple[str, ...] = field(default=())
    of: str = "job"

    @property
    def exit_code(self) -> int:
        """Return 0 with nothing at error level, 1 with errors, 2 for a broken book or plugin."""
        if self.broken:
            return 2
        errors = (f.outcome == "fails" and f.level == "error" for f in self.findings)
        return int(any(errors))
