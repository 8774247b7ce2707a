"""Files of arrangements: looked for by name, beside the jobs and among the books."""

from collections.abc import Iterator, Sequence
from pathlib import Path

from ruleset.arrangement import Arrangement, read_arrangement
from ruleset.errors import Fault, RulesetError, ShapeError
from ruleset.nearest import did_you_mean
from ruleset.node import Table, Text
from ruleset.patterns import ARRANGEMENT_NAME
from ruleset.place import Place
from ruleset.reader import read_file

from .phrases import folders_named
from .ready import read_shipped

FOLDER = "arrangements"
ENDINGS = (".yaml", ".yml", ".json")


def load_arrangement(path: Path) -> Arrangement:
    """Return the arrangement that a file holds; the file has its name, with dashes for spaces.

    Raises:
        RulesetError: The file cannot be read, or its arrangement has another name.
    """
    arrangement = read_arrangement(read_shipped(path))
    if path.stem != stem_of(arrangement.name):
        says = f"The file is named {path.name}, but its arrangement is {arrangement.name}."
        raise ShapeError(Fault(arrangement.place, says))
    return arrangement


def stem_of(name: str) -> str:
    """Return what the file of an arrangement is called.

    Example:
        >>> stem_of("gate between two boards")
        'gate-between-two-boards'
    """
    return name.replace(" ", "-")


def find_arrangement(
    name: str, folders: Sequence[Path], place: Place, read: dict[Path, Arrangement]
) -> Arrangement:
    """Return the arrangement with a name; only its own file is read.

    Args:
        name: Its name.
        folders: Where its file may be.
        place: Where the job names it.
        read: Arrangements read before, by file; added to.

    Raises:
        RulesetError: No folder or more than one has it, or its file cannot be used.
    """
    if not ARRANGEMENT_NAME.fits(name):
        raise ShapeError(Fault(place, f"The arrangement is {name!r}. {ARRANGEMENT_NAME.says}"))
    tried = (folder / f"{stem_of(name)}{ending}" for folder in folders for ending in ENDINGS)
    found = {one.resolve(): one for one in tried if _is_file(one)}
    if not found:
        raise ShapeError(Fault(place, _none(name, folders)))
    if len(found) > 1:
        every = " and ".join(one.as_posix() for one in found.values())
        says = f"The arrangement {name} has more than one file: {every}. Give one another name."
        raise ShapeError(Fault(place, says))
    (path,) = found.values()
    if path not in read:
        read[path] = load_arrangement(path)
    return read[path]


def arrangements_in(folders: Sequence[Path]) -> tuple[Arrangement, ...]:
    """Return every arrangement of some folders, in their order.

    Raises:
        RulesetError: A file cannot be used.
    """
    every = {one.resolve(): one for one in _files(folders)}
    return tuple(load_arrangement(path) for path in every.values())


def _none(name: str, folders: Sequence[Path]) -> str:
    where = folders_named(folders)
    known = tuple(dict.fromkeys(_name_in(path) for path in _files(folders)))
    there = f" There are: {', '.join(known)}." if known else ""
    return f"There is no arrangement {name} in {where}.{there}{did_you_mean(name, known)}"


def _is_file(path: Path) -> bool:
    """Return whether there is such a file; a folder that may not be looked into has none."""
    try:
        return path.is_file()
    except OSError:
        return False


def _files(folders: Sequence[Path]) -> Iterator[Path]:
    for folder in folders:
        try:
            inside = sorted(one for one in folder.iterdir() if one.suffix in ENDINGS)
        except OSError:
            continue  # most jobs have no such folder beside them
        yield from filter(_is_file, inside)


def _name_in(path: Path) -> str:
    """Return the name that a file gives its arrangement, the file's own where it gives none."""
    try:
        node = read_file(path)
    except RulesetError:
        return path.stem
    name = node.entries.get("arrangement") if isinstance(node, Table) else None
    return name.text if isinstance(name, Text) else path.stem
