"""What many jobs come to: by verdict, by clause with where and when, and the worst margins.

Of each job only counts are kept, so that a hundred thousand take no more room than ten.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

from .row import BROKEN, OPEN, READY, VERDICTS, Row, Told

NO_DATE = "no date"
BY = ("kit", "code", "arrangement", "year")


@dataclass(slots=True, kw_only=True)
class Broken:
    """A clause, and the jobs that break it.

    Attributes:
        clause: Its full name.
        level: error or warning.
        title: What it asks.
        jobs: How many jobs break it.
        by: How many of them there are of each kit, code set, arrangement and year.
        worst: The least margin, internal units; None where nothing is compared.
        worst_in: The job that has it.
    """

    clause: str
    level: str
    title: str
    jobs: int = 0
    by: dict[str, Counter[str]] = field(default_factory=lambda: {one: Counter() for one in BY})
    worst: float | None = None
    worst_in: str = ""


@dataclass(slots=True, kw_only=True)
class Tally:
    """What many jobs come to.

    Attributes:
        only: The clause that alone is told; "" for all.
        verdicts: How many jobs came to each verdict.
        passed: How many files are plainly no jobs.
        years: How many jobs were judged of each year.
        kinds: The kind of each clause's margin.
    """

    only: str = ""
    verdicts: Counter[str] = field(default_factory=Counter)
    passed: int = 0
    years: Counter[str] = field(default_factory=Counter)
    kinds: dict[str, str] = field(default_factory=dict)
    _broken: dict[tuple[str, str], Broken] = field(default_factory=dict)

    def add(self, row: Row) -> None:
        """Count one job."""
        self.verdicts[row.verdict] += 1
        if row.verdict in (READY, OPEN):
            self.years[year_of(row)] += 1
        self.kinds |= {name: one.kind for name, one in row.margins.items()}
        counted = set[tuple[str, str]]()
        for one in row.told:
            key = (one.level, one.clause)
            if one.outcome == "fails" and one.level != "note" and self.only in ("", one.clause):
                self._count(one, row, again=key in counted)
                counted.add(key)

    def _count(self, one: Told, row: Row, *, again: bool) -> None:
        found = self._broken.setdefault(
            (one.level, one.clause), Broken(clause=one.clause, level=one.level, title=one.title)
        )
        if one.margin is not None and (found.worst is None or one.margin < found.worst):
            found.worst, found.worst_in = one.margin, row.name
        if again:
            return
        found.jobs += 1
        found.by["kit"][row.kit] += 1
        found.by["code"].update(row.codes)
        found.by["arrangement"][row.arrangement] += 1
        found.by["year"][year_of(row)] += 1

    @property
    def jobs(self) -> int:
        """Return how many jobs were read."""
        return sum(self.verdicts.values())

    @property
    def code(self) -> int:
        """Return what the command ends with: 2 for a broken job, 1 for an error, 0 for none."""
        if self.verdicts[BROKEN]:
            return 2
        return int(any(one.level == "error" for one in self._broken.values()))

    def clauses(self) -> Sequence[Broken]:
        """Return the clauses that are broken, errors first, then those of the most jobs."""
        return sorted(
            self._broken.values(), key=lambda one: (one.level != "error", -one.jobs, one.clause)
        )

    def counted(self) -> Sequence[tuple[str, int]]:
        """Return how many jobs came to each verdict, those of none left out."""
        return [(one, self.verdicts[one]) for one in VERDICTS if self.verdicts[one]]


def year_of(row: Row) -> str:
    """Return the year of a job, or that it has no date."""
    return row.date[:4] or NO_DATE
