"""Taking a table of a file field by field, and keeping everything that is wrong with it."""

from collections.abc import Callable, Mapping
from typing import TypeVar

from .errors import Fault, RulesetError, ShapeError
from .formula.grammar import parse
from .nearest import did_you_mean
from .node import Node, Rows, Table, Text
from .part import Formula
from .patterns import ANY_NAME, SOME_TEXT, Pattern
from .place import Place
from .quoted import quoted

T = TypeVar("T")
MOST_FAULTS = 100


def keep(faults: list[Fault], place: Place, says: str) -> None:
    """Keep one fault of a file; nobody reads more than a hundred, and each costs a search.

    Raises:
        ShapeError: They are so many that reading on is of no use.
    """
    faults.append(Fault(place, says))
    if len(faults) >= MOST_FAULTS:
        last = f"These are the first {MOST_FAULTS} faults; correct them first."
        raise ShapeError([*faults, Fault(place, last)])


class Faults:
    """The faults found so far in one file."""

    def __init__(self) -> None:
        """Begin with none."""
        self.found: list[Fault] = []

    def add(self, place: Place, says: str) -> None:
        """Keep one fault.

        Raises:
            ShapeError: They are so many that reading on is of no use.
        """
        keep(self.found, place, says)

    def catch(self, make: Callable[[], T]) -> T | None:
        """Return what is made, or None with its faults kept."""
        try:
            return make()
        except RulesetError as error:
            self.found += error.faults
            return None


class Fields:
    """One table of a file, taken field by field; what is not taken is a fault."""

    def __init__(self, node: Node, faults: Faults, what: str, *, blanks: bool = False) -> None:
        """Take a table; anything else is a fault and reads as an empty table.

        Args:
            node: The table.
            faults: Where what is wrong goes.
            what: What the table is, for sentences.
            blanks: Whether a field left empty counts as one that is not there.
        """
        self.faults = faults
        self.what = f"{what[:1].upper()}{what[1:]}"
        self.place = node.place
        self._blanks = blanks
        self._taken: list[str] = []
        self._table: Mapping[str, Node] = {}
        self._keys: Mapping[str, Place] = {}
        self._is_table = isinstance(node, Table)
        if isinstance(node, Table):
            self._table, self._keys = node.entries, node.keys
        else:
            faults.add(node.place, f"{self.what} is a table of fields; here is {form_of(node)}.")

    def node(self, name: str) -> Node | None:
        """Return the field's node, or None."""
        self._taken.append(name)
        node = self._table.get(name)
        empty = self._blanks and isinstance(node, Text) and not node.text
        return None if empty else node

    def key_place(self, name: str) -> Place:
        """Return where the field's name stands, or the table."""
        return self._keys.get(name, self.place)

    def names(self) -> tuple[str, ...]:
        """Return the names of the fields given."""
        return tuple(self._table)

    def wrong(self, name: str, says: str) -> None:
        """Keep a fault at a field's value, or at the table where it is not given."""
        node = self._table.get(name)
        self.faults.add(node.place if node else self.place, says)

    def _raw(self, name: str, *, need: bool) -> str | None:
        """Return the field's text as written, None with its fault kept."""
        node = self.node(name)
        if node is None:
            if need and self._is_table:
                self.faults.add(self.place, f"{self.what} has no {name}; it needs one.")
            return None
        if isinstance(node, Text) and SOME_TEXT.fits(node.text):
            return node.text
        self.faults.add(node.place, f"{name} is text; here is {form_of(node)}.")
        return None

    def text(
        self, name: str, *, need: bool = False, default: str = "", looks: Pattern | None = None
    ) -> str:
        """Return the field's text on one line."""
        text = self._raw(name, need=need)
        if text is None:
            return default
        if looks is not None and not looks.fits(text):
            self.wrong(name, f"{name} is {quoted(text)}. {looks.says}")
            return default
        return " ".join(text.split())

    def word(self, name: str, words: tuple[str, ...], *, default: str = "") -> str:
        """Return the field's text, which must be one of the words; needed without a default."""
        return self.option(name, words, need=not default) or default or words[0]

    def option(self, name: str, words: tuple[str, ...], *, need: bool = False) -> str:
        """Return the field's text, which must be one of the words, or "" where it is not given."""
        found = self._raw(name, need=need)
        if found is None or found in words:
            return found or ""
        hint = did_you_mean(found, words)
        self.wrong(name, f"{name} is {quoted(found)}; it may be {', '.join(words)}.{hint}")
        return ""

    def table(self, name: str, keys: Pattern = ANY_NAME) -> Mapping[str, Node]:
        """Return the fields of a table whose names look so, empty where it is not given."""
        node = self.node(name)
        if node is None:
            return {}
        if not isinstance(node, Table):
            self.faults.add(node.place, f"{name} is a table; here is {form_of(node)}.")
            return {}
        for key, place in node.keys.items():
            if not keys.fits(key):
                self.faults.add(place, f"{quoted(key)} may not stand in {name}. {keys.says}")
        return {key: one for key, one in node.entries.items() if keys.fits(key)}

    def texts_of(self, name: str, keys: Pattern = ANY_NAME) -> Mapping[str, str]:
        """Return the texts of a table, empty where it is not given."""
        found = {}
        for key, one in self.table(name, keys).items():
            if isinstance(one, Text) and SOME_TEXT.fits(one.text):
                found[key] = one.text
            else:
                says = f"{quoted(key)} in {name} is text; here is {form_of(one)}."
                self.faults.add(one.place, says)
        return found

    def texts(self, name: str, *, looks: Pattern = SOME_TEXT) -> tuple[str, ...]:
        """Return the texts of a list, empty where it is not given."""
        found = []
        for item in self.rows(name):
            if isinstance(item, Text) and looks.fits(item.text):
                found.append(item.text)
            elif isinstance(item, Text) and item.text:
                says = f"{quoted(item.text)} may not stand in {name}. {looks.says}"
                self.faults.add(item.place, says)
            else:
                says = f"{name} is a list of texts; here is {form_of(item)}."
                self.faults.add(item.place, says)
        return tuple(found)

    def one_or_more(self, name: str, *, looks: Pattern = SOME_TEXT) -> tuple[str, ...]:
        """Return a field that is one text or a list of them, empty where it is not given."""
        node = self._table.get(name)
        if not isinstance(node, Text):
            if isinstance(node, Rows) and not node.items:
                self.wrong(name, f"{name} is an empty list; write at least one.")
            return self.texts(name, looks=looks)
        text = self.text(name, looks=looks)
        return (text,) if text else ()

    def rows(self, name: str) -> tuple[Node, ...]:
        """Return the rows of a list, empty where it is not given."""
        node = self.node(name)
        if isinstance(node, Rows):
            return node.items
        if node is not None:
            self.faults.add(node.place, f"{name} is a list; here is {form_of(node)}.")
        return ()

    def formula(self, name: str, *, need: bool = False) -> Formula | None:
        """Return the field's formula."""
        node = self.node(name)
        if isinstance(node, Text):
            return self.faults.catch(lambda: formula_of(node))
        if node is not None:
            self.faults.add(node.place, f"{name} is a formula; here is {form_of(node)}.")
        elif need and self._is_table:
            self.faults.add(self.place, f"{self.what} has no {name}; it needs a formula.")
        return None

    def done(self) -> None:
        """Keep a fault for each field that nobody took."""
        for name, place in self._keys.items():
            if name not in self._taken:
                allowed = f" It may have {', '.join(dict.fromkeys(self._taken))}."
                hint = did_you_mean(name, self._taken) or allowed
                self.faults.add(place, f"{self.what} has no field {quoted(name)}.{hint}")


def form_of(node: Node) -> str:
    """Return what stands there, as the end of a sentence."""
    if isinstance(node, Text):
        return "text" if node.text.strip() else "nothing"
    return "a list" if isinstance(node, Rows) else "a table"


def formula_of(node: Text) -> Formula:
    """Return a node's formula, parsed.

    Raises:
        FormulaError: The text is not in the language.
    """
    shift = 1 if node.quoted else 0
    place = Place(
        file=node.place.file,
        line=node.place.line,
        column=node.place.column + shift,
        pointer=node.place.pointer,
    )
    return Formula(text=" ".join(node.text.split()), place=place, tree=parse(node.text, place))
