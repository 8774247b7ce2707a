"""Several jobs read, judged and put together."""

import datetime as dt
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from ruleset.errors import RulesetError

from ..books import Rules
from ..day import on_day
from ..job import read_job
from ..offcuts import Shelf, load_shelf, one_shelf
from ..reviewing import review_verdict
from ..take_off import style_in
from ..verdict import Verdict, judge
from .found import FoundJob, found_jobs
from .jobs import Enclosure, enclosure
from .lists import Together, together


@dataclass(frozen=True, slots=True, kw_only=True)
class Gathered:
    """The lists of several jobs, and what could not be used.

    Attributes:
        together: The lists.
        broken: A sentence for each file that could not be used, and for what failed on a job.
    """

    together: Together
    broken: tuple[str, ...]


def gather(  # noqa: PLR0913  # what a call may ask for, by name
    paths: Iterable[str],
    rules: Rules,
    *,
    codes: Sequence[str] = (),
    kits: Sequence[Path] = (),
    today: dt.date | None = None,
    units: str = "",
    progress: Callable[[str], None] = lambda _: None,
) -> Gathered:
    """Return one order list, one delivery and one cut list of several jobs.

    Args:
        paths: Files of jobs, sites, and folders of them.
        rules: The rules.
        codes: Code sets in place of those that the jobs name.
        kits: Further folders of kits.
        today: The day that readings and waivers are held against; none for None.
        units: in or mm; those of the first job where "".
        progress: Is told each job before it is looked at.
    """
    found: dict[str, Enclosure] = {}
    broken: list[str] = []
    shelves: dict[str, Shelf] = {}
    for one in found_jobs(paths):
        progress(one.name)
        try:
            verdict = _judged(one, rules, codes, kits, today)
            job = verdict.job
            units = units or job.style.units
            if job.style.units != units:
                verdict = replace(verdict, job=replace(job, style=style_in(units)))
            review = review_verdict(verdict, rules)
            broken += [f"{one.name}: {sentence}" for sentence in review.broken]
            if job.name in found:
                first = found[job.name].file
                broken.append(f"{one.name}: job {job.name} is in {first} already; left out here.")
                continue
            shelf = load_shelf(job.around)  # jobs of other folders may have other shelves
            shelves[shelf.file] = shelf
            found[job.name] = replace(enclosure(verdict, review), file=one.name)
        except RulesetError as error:
            broken += [" ".join(str(fault).splitlines()) for fault in error.faults]
    lists = together(tuple(found.values()), one_shelf(shelves.values()), style_in(units or "in"))
    return Gathered(together=lists, broken=tuple(broken))


def _judged(
    found: FoundJob,
    rules: Rules,
    codes: Sequence[str],
    kits: Sequence[Path],
    today: dt.date | None,
) -> Verdict:
    """Return a job that was found, judged.

    Raises:
        RulesetError: It cannot be used.
    """
    if isinstance(found.node, RulesetError):
        raise found.node
    job = read_job(found.node, rules, beside=found.beside, folders=tuple(kits))
    return judge(job if today is None else on_day(job, today), rules, codes=tuple(codes))
