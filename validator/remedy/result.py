"""What a search for remedies finds: changes that were tried, or why there are none."""

from dataclasses import dataclass

from ruleset.explain import Amount
from ruleset.place import Place
from ruleset.show import Style

WITHIN_TOLERANCE, WITHIN_LIKELY = "within tolerance", "within the likely tolerance"
AT_SIZE, UNWEIGHED = "at size", "at size, tolerances left out"


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One fact of the job that a remedy writes.

    Attributes:
        fact: Its name; "kit" for the job's kit.
        means: What it is.
        old: What the job says; "" where it says nothing.
        new: What it is to say.
        was: Its value as a person reads it.
        now: Its new value as a person reads it.
        follows: Whether it only repeats a size that moved, or a reading by its new name.
        place: Where it stands in the job, or where its table does.
        given: Whether the job gives it already.
        again: Whether it takes back what was done for the drawing as it was.
    """

    fact: str
    means: str
    old: str
    new: str
    was: str
    now: str
    follows: bool
    place: Place
    given: bool
    again: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Cured:
    """A finding that a remedy cures.

    Attributes:
        clause: Full name of the clause.
        subject: The part.
        title: What the clause asks.
        margin: How far it holds afterwards; None where it compares nothing.
        worst: How far it holds at the worst corner of its tolerances; None where that is not
            known.
    """

    clause: str
    subject: str
    title: str
    margin: Amount | None
    worst: Amount | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Tighter:
    """A clause that a remedy leaves tight.

    Attributes:
        clause: Full name of the clause.
        subject: The part.
        title: What the clause asks.
        likely: Whether tolerances eat it within their root-sum-square, not only at the worst.
    """

    clause: str
    subject: str
    title: str
    likely: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Remedy:
    """A set of changes that was applied to a copy, judged again and found to cure.

    Attributes:
        title: What to do, in the imperative.
        cures: The findings it cures.
        changes: What it writes; what moves first, then what follows, then what is taken back.
        dearest: The dearest class it touches; "" where nothing but papers is written anew.
        moved: How many levers it moves.
        steps: How many steps they move in all.
        reached: "within tolerance", at its worst; "within the likely tolerance", the
            root-sum-square; "at size"; or "at size, tolerances left out".
        proved: Whether it is proved the smallest that reaches so far, on the grid within reach; of
            what holds at size only, the smallest that leaves nothing else tight.
        again: What has to be done again because the drawing changed.
        tight: What is tight with it that was not before, and what it cures and leaves tight.
        settled: Whether it is settled that no change reaches further.
        smaller: A smaller change that holds at size; None where there is none.
        still: Clauses that were tight before, and are by another margin now.
        worse: Clauses that failed before, and fail by more now.
        held_by: Clauses other than those it cures that a step less would break or leave too tight.
    """

    title: str
    cures: tuple[Cured, ...]
    changes: tuple[Change, ...]
    dearest: str
    moved: int
    steps: int
    reached: str
    proved: bool
    again: tuple[str, ...]
    tight: tuple[Tighter, ...] = ()
    settled: bool = True
    smaller: "Remedy | None" = None
    still: tuple[str, ...] = ()
    worse: tuple[str, ...] = ()
    held_by: tuple[str, ...] = ()

    def __str__(self) -> str:
        """Return what to do."""
        return self.title


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """A lever that was tried, and how far."""

    name: str
    means: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Clash:
    """A clause of a set that cannot all hold; and whether it reads a measure of the kit."""

    clause: str
    subject: str
    title: str
    of_kit: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Best:
    """The best value that a clause reaches, all else holding.

    Attributes:
        actual: The value.
        limit: What is asked.
        changes: Where it is reached; none for the design as it stands.
        proved: Whether no better one is within reach.
    """

    actual: Amount
    limit: Amount
    changes: tuple[Change, ...]
    proved: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """The least reading of the site that would do, and the changes that go with it.

    Attributes:
        means: What is read.
        fact: The fact.
        have: What was read.
        need: The least that would do; judged again with the changes.
        changes: The design that goes with it.
        proved: Whether a step less is proved too little.
    """

    means: str
    fact: str
    have: Amount
    need: Amount
    changes: tuple[Change, ...]
    proved: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Nothing:
    """Why there is no remedy.

    Attributes:
        proved: Whether it is proved on the grid within reach.
        design: Whether the clause depends on anything a designer may change.
        tried: The levers tried.
        grid: The grid that lengths were tried on.
        clash: A smallest set of clauses that exclude each other with this kit; () where not found.
        best: The best value within reach with this kit.
        site: The least reading of the site that would do with this kit.
        missing: What has to be known before any design can be told to cure.
        do: What to do instead, in the clause's words.
        late: Whether the search takes more work than it is given.
        stopped: Whether the caller ended the search before it came to this.
        tight: Whether it is only within tolerance that nothing holds.
        besides: What else was moved as far as it goes, for what those break.
        held: What no option was there for, so that it was held as it is, with the reason.
    """

    proved: bool
    design: bool
    tried: tuple[Tried, ...] = ()
    grid: str = ""
    clash: tuple[Clash, ...] = ()
    best: Best | None = None
    site: Site | None = None
    missing: tuple[str, ...] = ()
    do: str = ""
    late: bool = False
    stopped: bool = False
    tight: bool = False
    besides: tuple[str, ...] = ()
    held: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Single:
    """One finding, with its remedy or the reason why there is none.

    Attributes:
        clause: Full name of the clause.
        subject: The part.
        outcome: "fails" or "tight".
        level: "error" or "warning".
        title: What the clause asks.
        says: What is wrong.
        remedy: The smallest change that cures it; None for none.
        nothing: Why there is none; None where there is one.
    """

    clause: str
    subject: str
    outcome: str
    level: str
    title: str
    says: str
    remedy: Remedy | None
    nothing: Nothing | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Remedies:
    """Everything that was found for one job.

    Attributes:
        job: The job's id.
        title: Its title.
        file: Its file.
        codes: Ids of the code sets and policies it was judged by.
        style: How values print.
        singles: Each finding that fails or is tight as an error or a warning, errors first.
        joint: One remedy for every error that design can cure; None for none.
        joint_nothing: Why there is none; None where there is one or none is needed.
        left: Errors that no change of the design cures, (clause, subject).
        stopped: Whether the search was ended before its end.
        unread: Kits that could not be read, with the reason.
        unfit: Handles of the stock that were not tried, each with the reason.
        unknown: What is not known yet at the stage, in words: what waits for it may still fail.
        seconds: After how many seconds it was ended; None where it was not for them.
        broken: Sentences about a book or a plugin that failed on this job; exit code 2.
    """

    job: str
    title: str
    file: str
    codes: tuple[str, ...]
    style: Style
    singles: tuple[Single, ...]
    joint: Remedy | None
    joint_nothing: Nothing | None
    left: tuple[tuple[str, str], ...]
    stopped: bool
    unread: tuple[str, ...] = ()
    unfit: tuple[str, ...] = ()
    unknown: tuple[str, ...] = ()
    seconds: float | None = None
    broken: tuple[str, ...] = ()

    @property
    def exit_code(self) -> int:
        """Return 0 with no error left, 1 with errors, 2 for a broken book or plugin."""
        if self.broken:
            return 2
        errors = [one for one in self.singles if one.level == "error"]
        return int(bool(self.left) or (self.joint is None and bool(errors)))
