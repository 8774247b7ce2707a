"""Which jobs a call means: files, sites, and folders of them."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from ruleset.errors import RulesetError
from ruleset.node import Node, Table
from ruleset.reader import read_file

from ..kit import ENDINGS
from ..site import MARK, is_site, jobs_of, one_of, parted

OTHERS = ("book", "kit", "code", "policy", "stock", "arrangement", "sheet", "findings", "parts")
"""Fields by which a file of a folder shows that it is meant for something else than a job."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FoundJob:
    """A job that a call means.

    Attributes:
        name: Its file; of a site the job's number behind it.
        node: What it holds, or why it cannot be used.
        beside: The folder that its kits and policies are looked for in.
    """

    name: str
    node: Node | RulesetError
    beside: Path


def found_jobs(paths: Iterable[str]) -> Iterator[FoundJob]:
    """Yield every job of files, sites and folders, in the order of the call and then of names.

    In a folder other files that are plainly no jobs are passed over: kits, books, a stock.
    """
    for path in paths:
        if Path(path).is_dir():
            files = sorted(one for one in Path(path).iterdir() if one.suffix in ENDINGS)
            for file in files:
                yield from _of_file(file.as_posix(), passing=True)
        else:
            yield from _of_file(path, passing=False)


def _of_file(name: str, *, passing: bool) -> Iterator[FoundJob]:
    file, job = parted(name)
    path = Path(file)
    try:
        node = read_file(path)
        if passing and is_another(node):
            return
        if is_site(node) and not job:
            for number, one in jobs_of(node).items():
                yield FoundJob(name=f"{name}{MARK}{number}", node=one, beside=path.parent)
        else:
            yield FoundJob(name=name, node=one_of(node, job), beside=path.parent)
    except RulesetError as error:
        yield FoundJob(name=name, node=error, beside=path.parent)


def is_another(node: Node) -> bool:
    """Return whether a file shows that it is meant for something else than a job."""
    names = set(node.entries) if isinstance(node, Table) else set[str]()
    return not names & {"job", "site"} and bool(names & {*OTHERS})
