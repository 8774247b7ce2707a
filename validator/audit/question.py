"""What an audit asks, and its fingerprint: what has to be the same for a kept row to count."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, field
from functools import cache
from hashlib import sha256
from pathlib import Path

from ruleset.errors import RulesetError
from ruleset.reader import bytes_of

from ..books import CODE_FOLDERS, ENDINGS, Rules, load_rules
from ..kit import around
from ..shipped import shipped_rules

OWN = 1
"""Changes when rows come to hold something else."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What is asked of every job; it is sent to each worker once.

    Attributes:
        stage: What the jobs are to be released for.
        today: The day that waivers and readings are held against.
        codes: Code sets in place of those the jobs name.
        kits: Further folders of kits.
        books: Further books.
        tolerance: Whether what holds only at size is told.
        where: Which jobs are meant, a formula; "" for all.
        installed: Whether plugins of installed packages are taken.
    """

    stage: str
    today: dt.date
    codes: tuple[str, ...] = ()
    kits: tuple[Path, ...] = ()
    books: tuple[Path, ...] = ()
    tolerance: bool = True
    where: str = ""
    installed: bool = True

    def rules(self) -> Rules:
        """Return the rules that are asked.

        Raises:
            RulesetError: Books, code sets or plugins cannot be used.
        """
        return load_rules(books=self.books, installed=self.installed, proofs=False)


@dataclass(slots=True, kw_only=True)
class Fingerprint:
    """The fingerprint of a question: of its rules, and of what stands beside a job.

    Attributes:
        question: What is asked.
        version: The version of the program.
    """

    question: Question
    version: str
    _own: str = field(default="", init=False)
    _beside: dict[Path, str] = field(default_factory=dict, init=False)

    def of(self, folder: Path) -> str:
        """Return the fingerprint for the jobs of a folder."""
        if folder not in self._beside:
            said = f"{self._rules()} {_folders_digest(_beside(folder))}"
            self._beside[folder] = sha256(said.encode()).hexdigest()[:32]
        return self._beside[folder]

    def _rules(self) -> str:
        if not self._own:
            asked = self.question
            folders = (shipped_rules(), *asked.books, *asked.kits)
            said = f"{OWN} {self.version} {asked!r} {_folders_digest(folders)}"
            self._own = sha256(said.encode("utf-8", "surrogateescape")).hexdigest()
        return self._own


def _beside(folder: Path) -> Iterable[Path]:
    parts = ("kits", "arrangements", *CODE_FOLDERS)
    return (near / part for near in around(folder) for part in parts)


def _folders_digest(folders: Iterable[Path]) -> str:
    """Return the digest of all YAML and JSON files of folders, and of those below them."""
    made = sha256()
    for folder in folders:
        for name, digest in _files_of(folder):
            made.update(f"{name} {digest}\n".encode("utf-8", "surrogateescape"))
    return made.hexdigest()


@cache
def _files_of(folder: Path) -> tuple[tuple[str, str], ...]:
    files = sorted(folder.rglob("*")) if folder.is_dir() else [folder]
    return tuple(
        (file.as_posix(), _digest(file))
        for file in files
        if file.suffix in ENDINGS and file.is_file()
    )


def _digest(file: Path) -> str:
    try:
        return sha256(bytes_of(file)).hexdigest()
    except RulesetError as error:  # whoever needs it says so
        return str(error)
