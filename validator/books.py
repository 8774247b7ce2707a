"""The rules of a run: books checked together, code sets by name."""

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from ruleset.arrangement import Arrangement
from ruleset.assembly import assemble
from ruleset.bind import bind
from ruleset.book import Book
from ruleset.book_reader import read_book
from ruleset.errors import BookError, Fault, PluginError, ReadError, RulesetError
from ruleset.formula.check import Function
from ruleset.layers import Layer, lay, read_layer, whose_word
from ruleset.library import Library
from ruleset.place import Place
from ruleset.reader import read_file

from . import builtin
from .arrangements import FOLDER as ARRANGEMENTS
from .arrangements import arrangements_in
from .hooks import PluginManager, call_each
from .kit import Kit
from .old_names import faults_of_layers
from .plugins import checked_functions, checked_paths, load_plugins
from .ready import Ready, ready
from .signed import SIGNED

ENDINGS = (".yaml", ".yml", ".json")
CODE_FOLDERS = ("codes", "policies")


@dataclass(frozen=True, slots=True, kw_only=True)
class Rules:
    """Everything a job is reviewed by.

    Attributes:
        library: The books, checked; they have no parts.
        codes: Code sets and policies by id.
        plugins: The plugins, for findings that YAML cannot say.
        folders: Where files of arrangements are looked for, after those beside a job.
    """

    library: Library
    codes: Mapping[str, Layer]
    plugins: PluginManager
    folders: tuple[Path, ...] = ()
    laid: dict[tuple[str, ...], Library] = field(default_factory=dict, repr=False, compare=False)
    made: dict[tuple[str, ...], Library] = field(default_factory=dict, repr=False, compare=False)
    read: dict[Path, Arrangement] = field(default_factory=dict, repr=False, compare=False)
    kits: dict[Path, Kit] = field(default_factory=dict, repr=False, compare=False)

    def __repr__(self) -> str:
        """Return its code sets' names: with what it keeps it would be millions of letters."""
        return f"<Rules: {self.library!r}, code sets {', '.join(self.codes)}>"

    def bound(self, arrangement: Arrangement, layers: Sequence[Layer] = ()) -> Library:
        """Return the books with an arrangement's parts, amended first; made once for each choice.

        Raises:
            BookError: A layer does not fit the books, or the arrangement does not.
        """
        key = (str(arrangement.place), *_names(layers))
        if key not in self.made:
            laid = self.under(layers)
            bound = bind(laid, arrangement)
            if laid.kept is self.library.kept and layers:  # the same programs, other limits
                bound = replace(bound, kept=self.bound(arrangement).kept)
            self.made[key] = bound
        return self.made[key]

    def arrangements(self) -> tuple[Arrangement, ...]:
        """Return every arrangement that ships or comes with further books.

        Raises:
            RulesetError: A file of one cannot be used.
        """
        return arrangements_in(self.folders)

    def under(self, layers: Sequence[Layer]) -> Library:
        """Return the books as the layers amend them; made once for each choice.

        Raises:
            BookError: A layer names nothing known, or a policy loosens.
        """
        names = _names(layers)
        if names not in self.laid:
            _refuse_signed(layers)
            of_sorts = {f.name for b in self.library.books.values() for f in b.facts if f.sort}
            if old := tuple(faults_of_layers(layers, of_sorts)):
                raise BookError(old)
            known = {one for layer in (*self.codes.values(), *layers) for one in layer.documents}
            self.laid[names] = whose_word(lay(self.library, layers), layers, known)
        return self.laid[names]


def _names(layers: Iterable[Layer]) -> tuple[str, ...]:
    return tuple(f"{layer.place.file}#{layer.name}" for layer in layers)


def _refuse_signed(layers: Sequence[Layer]) -> None:
    """Refuse a policy that gives a check or a signature for every job: nobody has looked at one."""
    faults = [
        Fault(
            one.place,
            f"{one.fact} is nothing that a policy may state: a {SIGNED[one.fact]} is given for the "
            "sizes of one job, by its code.",
        )
        for layer in layers
        for one in layer.stated
        if one.fact in SIGNED
    ]
    if faults:
        raise BookError(faults)


def load_rules(
    *,
    books: Sequence[Path] = (),
    installed: bool = True,
    proofs: bool = True,
    ahead: bool = True,
) -> Rules:
    """Return the shipped books and code sets, those of plugins, and further ones.

    Args:
        books: Files or folders of further books; a folder's codes/ and policies/ are read too.
        installed: Whether plugins of installed packages are taken.
        proofs: Whether the books' proofs are kept; a review has no use for them, and reading
            them takes as long as all else.
        ahead: Whether shipped books are taken as they were made ready, where no proofs are kept.

    Raises:
        RulesetError: Books, code sets or plugins cannot be used; all faults of a step at once.
    """
    plugins = load_plugins(installed=installed)
    failed: list[Fault] = []

    def told(name: str, why: str) -> None:
        place = Place(file=f"plugin {name}")
        failed.append(Fault(place, f"The plugin {name} failed: {why}."))

    folders: list[Path] = []
    for name, given in call_each(plugins, "paneproof_books", told=told):
        folders += checked_paths(name, given)
    for folder in books:
        _refuse_empty(folder)
    folders += books
    code_folders: list[Path] = []
    for name, given in call_each(plugins, "paneproof_codes", told=told):
        code_folders += checked_paths(name, given)
    code_folders += [folder / part for folder in books for part in CODE_FOLDERS]
    functions: list[Function] = []
    for name, given in call_each(plugins, "paneproof_functions", told=told):
        functions += checked_functions(name, given)
    if failed:
        raise PluginError(failed)
    skip = () if proofs else ("proofs",)
    made = None if proofs or not ahead else ready()
    if made is not None and _only_shipped(folders, code_folders, functions):
        library, codes = made.library, made.codes
    else:
        library = assemble(read_books(folders, skip=skip, made=made), functions)
        codes = read_layers(code_folders, skip=skip)
    arrangements = tuple(dict.fromkeys(one / ARRANGEMENTS for one in folders if one.is_dir()))
    return Rules(library=library, codes=codes, plugins=plugins, folders=arrangements)


def _only_shipped(
    folders: Sequence[Path], code_folders: Sequence[Path], functions: Sequence[Function]
) -> bool:
    """Return whether books, code sets and functions are those that ship, and no others."""
    given = (folders, code_folders, functions)
    shipped = (
        builtin.paneproof_books(),
        builtin.paneproof_codes(),
        builtin.paneproof_functions(),
    )
    return [list(one) for one in given] == [list(one) for one in shipped]


def _refuse_empty(folder: Path) -> None:
    """Refuse a folder without a book, code set or policy: it would change nothing, unseen."""
    parts = (folder, *(folder / part for part in (*CODE_FOLDERS, ARRANGEMENTS)))
    if folder.is_dir() and not any(files_in(part) for part in parts if part.is_dir()):
        says = (
            "There is no book in this folder, no code set in its codes/ or policies/ and nothing "
            "in its arrangements/."
        )
        raise ReadError(Fault(Place(file=folder.as_posix()), says))


def files_in(path: Path) -> tuple[Path, ...]:
    """Return the YAML and JSON files of a folder, sorted, or a file itself.

    Raises:
        ReadError: The system does not show what is in the folder.
    """
    try:
        if not path.is_dir():
            return (path,)
        inside = [one for one in path.iterdir() if one.suffix in ENDINGS and one.is_file()]
    except OSError as error:
        says = f"The folder cannot be read ({error.strerror}); check its name and who may read it."
        raise ReadError(Fault(Place(file=path.as_posix()), says)) from None
    return tuple(sorted(inside))


def read_books(
    paths: Iterable[Path], *, skip: Collection[str] = (), made: Ready | None = None
) -> tuple[Book, ...]:
    """Return the books of files and folders.

    Args:
        paths: Files and folders.
        skip: Fields that are not read.
        made: The shipped books made ready, which are taken as they are.

    Raises:
        BookError: Books cannot be read; the faults of all of them at once.
    """
    faults: list[Fault] = []
    found: list[Book] = []
    known = {one.place.file: one for one in made.library.books.values()} if made else {}
    for path in paths:
        try:
            files = files_in(path)
        except RulesetError as error:
            faults += error.faults
            continue
        for file in files:
            try:
                one = known.get(file.as_posix())
                found.append(one or read_book(read_file(file, skip=skip)))
            except RulesetError as error:
                faults += error.faults
    if faults:
        raise BookError(faults)
    return tuple(found)


def read_layers(paths: Iterable[Path], *, skip: Collection[str] = ()) -> Mapping[str, Layer]:
    """Return the code sets and policies of folders, by id; folders that are not there are skipped.

    Raises:
        BookError: They cannot be read, or two have one id; all faults at once.
    """
    faults: list[Fault] = []
    found: dict[str, Layer] = {}
    for file in (file for path in paths if path.is_dir() for file in files_in(path)):
        try:
            layer = read_layer(read_file(file, skip=skip))
        except RulesetError as error:
            faults += error.faults
            continue
        if layer.name in found:
            first = found[layer.name].place
            faults.append(Fault(layer.place, f"The id {layer.name} is taken; first at {first}."))
        found.setdefault(layer.name, layer)
    if faults:
        raise BookError(faults)
    return found
