"""Several jobs: a line a job as it is reviewed, then what fails in them, by clause.

Of each job only a row is kept, and of all rows only counts: a hundred thousand jobs take no more
room than ten.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from ..finding import Review
from .groups import errors, warnings
from .layout import Look, cells, counted, cut, shortened

_GAP = "  "
_HEADS = ("Job", "File", "Ready", "Errors", "Warnings", "To measure")
_WIDTHS = (14, 0, 6, 6, 8, 10)
"""Columns of each; the file has what is left, so that a line can be printed before the next job."""
_LAST_WORD = 2  # the column up to which texts stand at the left
_LEAST_FILE = 8
NAMED = 3
"""Files that are named for each clause that fails."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Failing:
    """A clause that fails in a job.

    Attributes:
        clause: Its id.
        level: error or warning.
        title: What it asks.
    """

    clause: str
    level: str
    title: str


@dataclass(frozen=True, slots=True, kw_only=True)
class JobRow:
    """What is told of one file in a line.

    Attributes:
        file: Its name, as it was given.
        job: The job's id; "" where the file could not be used.
        ready: Whether it is ready for the stage; None where the file could not be used.
        errors: How many findings fail as errors.
        warnings: How many fail or are tight as warnings.
        asked: How many facts are still to be supplied.
        failing: Each clause that fails, once.
        code: What the command ends with for it.
    """

    file: str
    job: str = ""
    ready: bool | None = None
    errors: int = 0
    warnings: int = 0
    asked: int = 0
    failing: tuple[Failing, ...] = ()
    code: int = 2


def row_of(file: str, review: Review | None) -> JobRow:
    """Return what is told of a file in a line.

    Args:
        file: Its name.
        review: Its review; None where it could not be used.
    """
    if review is None:
        return JobRow(file=file)
    failing = {
        one.clause: Failing(clause=one.clause, level=one.level, title=one.title)
        for one in review.findings
        if one.outcome == "fails" and one.waived is None and one.level != "note"
    }
    return JobRow(
        file=file,
        job=review.job,
        ready=review.release.ready,
        errors=errors(review),
        warnings=warnings(review),
        asked=len(review.asked),
        failing=tuple(failing.values()),
        code=review.exit_code,
    )


@dataclass(slots=True, kw_only=True)
class _Clause:
    """In how many jobs a clause fails, and the first of them."""

    failing: Failing
    jobs: int = 0
    files: list[str] = field(default_factory=list)


@dataclass(slots=True, kw_only=True)
class Tally:
    """What several jobs come to.

    Attributes:
        ready: How many are ready.
        open: How many are not.
        broken: How many files could not be used.
        code: The worst code of any.
    """

    ready: int = 0
    open: int = 0
    broken: int = 0
    code: int = 0
    _clauses: dict[tuple[str, str], _Clause] = field(default_factory=dict)

    def add(self, row: JobRow) -> None:
        """Count one file."""
        self.ready += row.ready is True
        self.open += row.ready is False
        self.broken += row.ready is None
        self.code = max(self.code, row.code)
        for one in row.failing:
            key = (one.level, one.clause)
            found = self._clauses.setdefault(key, _Clause(failing=one))
            found.jobs += 1
            if len(found.files) < NAMED:
                found.files.append(row.file)

    @property
    def files(self) -> int:
        """Return how many files were counted."""
        return self.ready + self.open + self.broken

    def clauses(self) -> Sequence[_Clause]:
        """Return the clauses that fail, errors first, then those of the most jobs."""
        return sorted(
            self._clauses.values(),
            key=lambda one: (one.failing.level != "error", -one.jobs, one.failing.clause),
        )


def head_lines(stage: str, look: Look) -> list[str]:
    """Return what stands over the lines of the jobs.

    Args:
        stage: The stage asked about.
        look: Width, colour and characters.
    """
    asked = look.clean(_READY_FOR.get(stage, stage))
    return [look.paint(asked, "head"), look.paint(_line(_HEADS, look), "bold")]


_READY_FOR = {
    "survey": "Survey complete?",
    "design": "Design settled?",
    "order": "Ready to order?",
    "fabricate": "Ready to fabricate?",
    "install": "Ready to install?",
    "handover": "Ready to hand over?",
}


def row_line(row: JobRow, look: Look) -> str:
    """Return one job's line."""
    file = look.clean(row.file)
    if row.ready is None:
        return look.paint(_line(("-", file, "broken", "-", "-", "-"), look), "red")
    numbers = (str(row.errors), str(row.warnings), str(row.asked))
    line = _line((look.clean(row.job), file, "yes" if row.ready else "no", *numbers), look)
    return look.paint(line, "green" if row.ready else "red")


def _line(texts: Sequence[str], look: Look) -> str:
    """Return one line: words to the left, numbers to the right."""
    fixed = sum(_WIDTHS) + len(_GAP) * (len(_WIDTHS) - 1)
    room = max(_LEAST_FILE, look.width - fixed)
    found = []
    for at, (text, wide) in enumerate(zip(texts, _WIDTHS, strict=True)):
        width = wide or room
        short = shortened(text, width)
        blank = " " * (width - cells(short))
        found.append(f"{short}{blank}" if at <= _LAST_WORD else f"{blank}{short}")
    return _GAP.join(found).rstrip()


def tally_text(tally: Tally, look: Look) -> str:
    """Return what fails in several jobs by clause, and how many of them are ready.

    Args:
        tally: What they come to.
        look: Width, colour and characters.
    """
    lines: list[str] = []
    for level, paint in (("error", "red"), ("warning", "yellow")):
        found = [one for one in tally.clauses() if one.failing.level == level]
        if found:
            lines += look.heading(f"What fails as {_AS[level]} ({counted(len(found), 'clause')})")
            wide = max(len("Jobs"), *(len(f"{one.jobs:,}") for one in found))
            lines.append(look.paint(f"{'Jobs':>{wide}}  Clause, and the first files", "bold"))
            for one in found:
                said, named = _clause_lines(one, wide, look)
                lines += [look.paint(said, paint), look.paint(named, "dim")]
    return "\n".join([*lines, "", *look.wrap(_total(tally))]) + "\n"


_AS = {"error": "an error", "warning": "a warning"}


def _clause_lines(one: _Clause, wide: int, look: Look) -> tuple[str, str]:
    """Return what a clause asks, and the first files that it fails in, a line each."""
    clause = f" [{one.failing.clause}]"
    room = look.width - wide - 2 - cells(clause)
    said = f"{one.jobs:>{wide},}  {cut(look.clean(one.failing.title), room)}{clause}"
    more = f" and {one.jobs - len(one.files):,} more" if one.jobs > len(one.files) else ""
    room = look.width - wide - 2 - len(more)
    named = ", ".join(look.clean(file) for file in one.files)
    return said, f"{' ' * (wide + 2)}{cut(named, room)}{more}"


def _total(tally: Tally) -> str:
    said = [f"{tally.ready:,} ready", f"{tally.open:,} not ready"]
    if tally.broken:
        said.append(f"{tally.broken:,} could not be used (see the messages)")
    return f"{counted(tally.files, 'file')}: {', '.join(said)}."


def tallied(rows: Iterable[JobRow]) -> Tally:
    """Return what several rows come to."""
    tally = Tally()
    for row in rows:
        tally.add(row)
    return tally
