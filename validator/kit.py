"""One hardware system's constants, from the maker's sheet."""

import contextlib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from ruleset.errors import Fault, ReadError, ShapeError
from ruleset.fields import Faults, Fields
from ruleset.layers import FORMAT
from ruleset.library import Library
from ruleset.nearest import did_you_mean
from ruleset.node import Node
from ruleset.patterns import KIT_ID
from ruleset.place import Place
from ruleset.quantity import Style
from ruleset.reader import read_file

from .facts import Given, Taken, take
from .phrases import folders_named

ENDINGS = (".yaml", ".yml", ".json")
MOST_TOLD = 3  # facts of two kits that a sentence names


@dataclass(frozen=True, slots=True, kw_only=True)
class Kit:
    """A hardware system.

    Attributes:
        name: Its id, which is its file's name.
        title: What it is.
        units: What a bare length in its file is in: in, mm, or "" for none.
        values: Its constants, by fact name.
        rows: Rows of each list it gives.
        tables: Where each of its tables stands.
        place: Where it starts.
        of: The kits that it joins, where a job names several.
    """

    name: str
    title: str
    units: str
    values: Mapping[str, Given]
    rows: Mapping[str, int | None]
    tables: Mapping[str, Place]
    place: Place
    of: "tuple[Kit, ...]" = ()

    @property
    def kinds(self) -> frozenset[str]:
        """Return the kinds of hardware that it speaks of, such as hinge and channel.

        A table that is written down and blank is of a kind whose measures are still to come.
        """
        return frozenset(n.split(".")[1] for n in (*self.values, *self.rows, *self.tables))


def read_kit(node: Node, library: Library) -> Kit:
    """Return the kit that a file holds.

    Raises:
        ShapeError: Fields are unknown or missing, or values cannot be read; all at once.
    """
    faults = Faults()
    fields = Fields(node, faults, "a kit", blanks=True)
    name = fields.text("kit", need=True, looks=KIT_ID)
    title = fields.text("title", need=True)
    for note in ("maker", "sheet", "notes"):
        fields.text(note)
    fields.option("format", (FORMAT,))
    units = units_of(fields)
    taken = Taken(units=units, style=Style())
    for key in fields.names():
        if key in KIT_FIELDS:
            continue
        path, part = f"kit.{key}", fields.node(key)
        if not any(fact == path or fact.startswith(f"{path}.") for fact in library.facts):
            known = [fact for fact in library.facts if fact.startswith("kit.")]
            hint = did_you_mean(path, known)
            faults.add(fields.key_place(key), f"There is no fact {path}.{hint}")
        elif part is not None:
            take(library, path, part, taken)
    fields.done()
    found = faults.found + taken.faults
    if found:
        raise ShapeError(found)
    return Kit(
        name=name,
        title=title,
        units=units,
        values=taken.values,
        rows=taken.rows,
        tables=taken.tables,
        place=fields.place,
    )


def load_kit(path: Path, library: Library) -> Kit:
    """Return the kit that a file holds.

    Args:
        path: A YAML or JSON file, named by the kit's id.
        library: Tells which facts there are.

    Raises:
        RulesetError: The file cannot be read, or its kit has another id.
    """
    return kit_of(read_file(path), library, path)


def kit_of(node: Node, library: Library, path: Path) -> Kit:
    """Return the kit that a file's node holds; its id is the file's name.

    Raises:
        ShapeError: It is none, or has another id.
    """
    kit = read_kit(node, library)
    if kit.name != path.stem:
        says = f"The file is named {path.name}, but its kit is {kit.name}."
        raise ShapeError(Fault(kit.place, says))
    return kit


def units_of(fields: Fields) -> str:
    """Return what a bare length of a file is in: in, mm, or "" where it is refused."""
    units = fields.option("units", ("in", "mm"))
    # Other words than these two are told once, not again at every length.
    return units or ("in" if fields.node("units") is not None else "")


KIT_FIELDS = ("kit", "title", "maker", "sheet", "notes", "units", "format")


def around(folder: Path) -> tuple[Path, Path]:
    """Return a folder and the one it stands in, by names that a person can follow.

    Example:
        >>> [[one.as_posix() for one in around(Path(name))] for name in ("jobs", ".", "../jobs")]
        [['jobs', '.'], ['.', '..'], ['../jobs', '..']]
    """
    # What stands above "." and ".." cannot be read off their names.
    above = folder / ".." if folder.name in ("", "..") else folder.parent
    return folder, above


def check_folder(folder: Path) -> None:
    """Refuse a folder of kits that is not there: kits would be missed in it, unseen.

    Raises:
        ReadError: There is no such folder.
    """
    try:
        is_folder, is_there = folder.is_dir(), folder.exists()
    except OSError:
        is_folder = is_there = False
    if not is_folder:
        says = (
            "This is a file; name the folder that holds the kits."
            if is_there
            else "There is no such folder of kits; check its name."
        )
        raise ReadError(Fault(Place(file=folder.as_posix()), says))


def find_kit(
    name: str, folders: Iterable[Path], library: Library, place: Place, read: dict[Path, Kit]
) -> Kit:
    """Return the kit with an id from the first folder that has it.

    Args:
        name: The kit's id.
        folders: Where to look, in order.
        library: Tells which facts there are.
        place: Where the job names the kit.
        read: Kits read before, by file; added to.

    Raises:
        RulesetError: The id is none, no folder has it, or its file cannot be read.
    """
    if not KIT_ID.fits(name):
        says = f"The kit is {name!r}. {KIT_ID.says}"
        raise ShapeError(Fault(place, says))
    seen: list[str] = []
    looked = tuple(folders)
    for folder in looked:
        for ending in ENDINGS:
            path = folder / f"{name}{ending}"
            if path in read:
                return read[path]
            if _is_file(path):
                read[path] = load_kit(path, library)
                return read[path]
        seen += kits_in((folder,))
    where = folders_named(looked)
    known = f" There are: {', '.join(dict.fromkeys(seen))}." if seen else ""
    hint = did_you_mean(name, seen)
    raise ShapeError(Fault(place, f"There is no kit {name} in {where}.{known}{hint}"))


def joined(kits: Sequence[tuple[Kit, Place]]) -> Kit:
    """Return the kits of a job as one: hinges of one sheet, seals of another.

    Args:
        kits: Each with where the job names it; at least one.

    Raises:
        ShapeError: Two of them give the same fact, so that none of the two stands.
    """
    if len(kits) == 1:
        return kits[0][0]
    whose: dict[str, str] = {}
    faults: list[Fault] = []
    for kit, place in kits:
        twice = [fact for fact in (*kit.values, *kit.rows) if fact in whose]
        if twice:
            given = ", ".join(twice[:MOST_TOLD])
            says = f"The kits {whose[twice[0]]} and {kit.name} both give {given}"
            faults.append(Fault(place, f"{says}; a job names one kit for each kind of hardware."))
        whose |= dict.fromkeys((*kit.values, *kit.rows), kit.name)
    if faults:
        raise ShapeError(faults)
    every = [kit for kit, _ in kits]
    return Kit(
        name=", ".join(kit.name for kit in every),
        title="; ".join(kit.title for kit in every),
        units=every[0].units,
        values={name: one for kit in every for name, one in kit.values.items()},
        rows={name: one for kit in every for name, one in kit.rows.items()},
        tables={name: one for kit in every for name, one in kit.tables.items()},
        place=every[0].place,
        of=tuple(every),
    )


def in_place_of(kit: Kit, other: Kit) -> Kit | None:
    """Return a job's kit with another one in it; None where that is no other of one of its kinds.

    Args:
        kit: The job's kit, or several of them joined.
        other: The other one; it takes the place of the one kit whose every kind it has, and has
            none of another's. A kit that stands alone gives way to one that has most of its kinds.
    """
    if not kit.of:
        return other if 2 * len(kit.kinds & other.kinds) > len(kit.kinds) else None
    alike = [at for at, one in enumerate(kit.of) if one.kinds & other.kinds]
    if len(alike) != 1 or not kit.of[alike[0]].kinds <= other.kinds:
        return None
    (at,) = alike
    return joined([(one, one.place) for one in (*kit.of[:at], other, *kit.of[at + 1 :])])


def differs(kit: Kit, other: Kit) -> Kit:
    """Return the kit by which another choice of kits is another; itself where there is one."""
    pairs = zip(kit.of, other.of, strict=False)
    return next((two for one, two in pairs if one.name != two.name), other)


def kits_in(folders: Iterable[Path]) -> tuple[str, ...]:
    """Return the ids of the kits of folders, sorted; none where the system does not show them."""
    found: set[str] = set()
    for folder in folders:
        with contextlib.suppress(OSError):
            found |= {one.stem for one in folder.iterdir() if _is_kit(one)}
    return tuple(sorted(found))


def _is_kit(path: Path) -> bool:
    return path.suffix in ENDINGS and KIT_ID.fits(path.stem) and _is_file(path)


def _is_file(path: Path) -> bool:
    """Return whether there is such a file; a folder that may not be looked into has none."""
    try:
        return path.is_file()
    except OSError:
        return False
