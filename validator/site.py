"""A site: one file that holds several jobs, each whole, and how one of them is named."""

import re
from pathlib import Path

from ruleset.errors import Fault, RulesetError, ShapeError
from ruleset.fields import Faults, Fields
from ruleset.layers import FORMAT
from ruleset.nearest import did_you_mean
from ruleset.node import Node, Table, Text
from ruleset.reader import read_file

MARK = "#"
"""Stands between a site's file and a job of it, as between a page and a place on it (RFC 3986)."""


HEAD = 10_000
LOOKS = re.compile(rb'^\s*"?site"?\s*:', re.MULTILINE)
"""What a site's file has near its beginning: so that other files are not read twice."""


def parted(name: str) -> tuple[str, str]:
    """Return the file that a name names, and the job of a site after its mark; "" for none.

    A file whose own name has the mark, and that is there, is itself.

    Example:
        >>> parted("alder-lane.yaml#24-117"), parted("24-117.yaml")
        (('alder-lane.yaml', '24-117'), ('24-117.yaml', ''))
    """
    try:
        whole = MARK not in name or Path(name).exists()
    except OSError:  # no file has such a name, and its reader says why
        whole = True
    file, _, job = name.rpartition(MARK)
    return (name, "") if whole else (file, job)


def names_in(name: str) -> tuple[str, ...]:
    """Return a name for each job that a file holds; of a file that is no site its own.

    What is wrong with a file is told when its job is read.
    """
    file, job = parted(name)
    try:
        if job or not Path(file).is_file():  # what never ends is told by the reader
            return (name,)
        with Path(file).open("rb") as opened:
            begins = opened.read(HEAD)
        if not LOOKS.search(begins):
            return (name,)
        node = read_file(Path(file))
        return tuple(f"{name}{MARK}{one}" for one in jobs_of(node)) if is_site(node) else (name,)
    except (OSError, RulesetError):
        return (name,)


def is_site(node: Node) -> bool:
    """Return whether a file is one of a site."""
    return isinstance(node, Table) and "site" in node.entries and "job" not in node.entries


def jobs_of(node: Node) -> dict[str, Node]:
    """Return the jobs of a site by their numbers, in the order of the file.

    Raises:
        ShapeError: A field is unknown or missing, a job has no number, or two have one.
    """
    faults, found = Faults(), dict[str, Node]()
    fields = Fields(node, faults, "a site")
    fields.text("site", need=True)
    fields.option("format", (FORMAT,), need=True)
    fields.text("title")
    fields.text("notes")
    rows = fields.rows("jobs")
    if not rows:
        faults.add(
            fields.place, "A site has `jobs:`, a list of jobs, each as in a file of its own."
        )
    for row in rows:
        number = row.entries.get("job") if isinstance(row, Table) else None
        if not isinstance(number, Text) or not number.text:
            faults.add(row.place, "A job of a site begins with `job:`, the shop's number for it.")
        elif number.text in found:
            first = found[number.text].place
            faults.add(number.place, f"Job {number.text} stands twice; the first is at {first}.")
        else:
            found[number.text] = row
    fields.done()
    if faults.found:
        raise ShapeError(faults.found)
    return found


def one_of(node: Node, job: str) -> Node:
    """Return the job that is meant: the file's own, or the one of a site.

    Args:
        node: What the file holds.
        job: The number of a job of a site; "" for the only one.

    Raises:
        ShapeError: The file is no site, or has not that job, or has several and none is named.
    """
    if not is_site(node):
        if job:
            says = f"This file is no site, so that it has no job {job} after a `{MARK}`."
            raise ShapeError(Fault(node.place, says))
        return node
    jobs = jobs_of(node)
    if job in jobs or (not job and len(jobs) == 1):
        return jobs[job or next(iter(jobs))]
    such = f"{node.place.file}{MARK}{next(iter(jobs))}"
    has = f"This file is a site of {len(jobs)} jobs: {', '.join(jobs)}."
    hint = did_you_mean(job, jobs) if job else f" Name one of them, such as {such}."
    missing = f" It has no job {job}." if job else ""
    raise ShapeError(Fault(node.place, f"{has}{missing}{hint}"))
