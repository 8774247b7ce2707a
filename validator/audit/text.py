"""An audit as a person reads it: the table first, then a line each job."""

from collections import Counter
from collections.abc import Iterator

from ruleset.kinds import KINDS
from ruleset.show import Style, show

from ..report.layout import Look, counted, cut
from ..report.summary import JobRow, head_lines, row_line
from .answers import BY, Broken, Tally
from .row import BROKEN, NOT_MEANT, NOT_TOLD, READY, Row

MOST_BY = 4
_PAINT = {"error": "red", "warning": "yellow"}
_STYLE = Style(units="in")


def table_text(tally: Tally, look: Look) -> str:
    """Return what the jobs come to, by verdict and by clause."""
    lines = look.heading(f"Jobs by verdict ({counted(tally.jobs, 'job')})")
    lines += [f"{many:>9,}  {verdict}" for verdict, many in tally.counted()]
    if tally.passed:
        lines.append(look.paint(f"{tally.passed:>9,}  files that are no jobs, passed over", "dim"))
    for level, what in (("error", "Errors"), ("warning", "Warnings")):
        found = [one for one in tally.clauses() if one.level == level]
        if found:
            lines += look.heading(f"{what} by how many jobs have them")
            for one in found:
                lines += _clause_lines(one, tally, look)
    return "\n".join(lines) + "\n"


def _clause_lines(one: Broken, tally: Tally, look: Look) -> Iterator[str]:
    said = f"{one.jobs:>9,}  {look.clean(one.title)} [{one.clause}]"
    yield look.paint(cut(said, look.width), _PAINT[one.level])
    if one.worst is not None:
        margin = margin_text(one.worst, tally.kinds.get(one.clause, "number"))
        yield look.paint(f"{'':11}worst: {margin} in {look.clean(one.worst_in)}", "dim")
    for by in BY:
        yield look.paint(cut(f"{'':11}by {by}: {_most(one.by[by])}", look.width), "dim")


def _most(counts: Counter[str]) -> str:
    ordered = sorted(counts.items(), key=lambda one: (-one[1], one[0]))
    said = [f"{name} {many:,}" for name, many in ordered[:MOST_BY]]
    more = len(ordered) - MOST_BY
    return ", ".join([*said, *([f"{more:,} more"] if more > 0 else [])])


def margin_text(value: float, kind: str) -> str:
    """Return a margin as it prints, lengths in inches."""
    return show(value, KINDS[kind], _STYLE).text


def job_line(row: Row, look: Look) -> str:
    """Return one job's line; of one that could not be used, why."""
    if row.verdict in (BROKEN, NOT_TOLD):
        said = f"{look.clean(row.name)}: {row.verdict}: {look.clean(row.why)}"
        return look.paint(said, "red")
    return row_line(_job_row(row), look)


def lines_head(stage: str, look: Look) -> str:
    """Return what stands over the jobs' lines."""
    return "\n".join(["", *head_lines(stage, look)])


def _job_row(row: Row) -> JobRow:
    warned = sum(one.level == "warning" for one in row.told)
    return JobRow(
        file=row.name,
        job=row.job,
        ready=row.verdict == READY,
        errors=len(row.failing("error")),
        warnings=warned,
        asked=row.asked,
    )


def is_told(row: Row, only: str) -> bool:
    """Return whether a job has a line of its own."""
    if row.verdict == NOT_MEANT:
        return False
    known = row.verdict not in (BROKEN, NOT_TOLD)
    return not (only and known) or any(one.clause == only for one in row.told)
