"""What a file holds once it is read: texts, lists and tables that know where they stand."""

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from .place import Place


class Text(NamedTuple):
    """A scalar, exactly as written.

    Attributes:
        place: Where it stands.
        text: Its characters, without quotes; "" for a value left empty or written as null.
        quoted: Whether it stands in quotes or in a block, so that it can be nothing but text.
    """

    place: Place
    text: str
    quoted: bool = False


class Rows(NamedTuple):
    """A list.

    Attributes:
        place: Where it starts.
        items: Its rows, in the order of the file.
    """

    place: Place
    items: tuple["Node", ...]


class Table(NamedTuple):
    """A set of named values.

    Attributes:
        place: Where it starts.
        entries: The value of each field, in the order of the file.
        keys: Where each field's name stands, in the order of the file.
    """

    place: Place
    entries: Mapping[str, "Node"]
    keys: Mapping[str, Place]


Node = Text | Rows | Table


def plain(node: Node) -> object:
    """Return the node as dictionaries, lists and text, for a JSON writer or a schema checker."""
    match node:
        case Text():
            return node.text
        case Rows():
            return [plain(item) for item in node.items]
        case Table():
            return {key: plain(value) for key, value in node.entries.items()}


def node_at(node: Node, path: Iterable[str]) -> Node | None:
    """Return what stands at a path of tables."""
    for name in path:
        if not isinstance(node, Table) or name not in node.entries:
            return None
        node = node.entries[name]
    return node


def place_of(node: Node, path: Iterable[str]) -> Place:
    """Return where the name at a path stands, or what is there on the way to it."""
    place = node.place
    for part in path:
        if isinstance(node, Table) and part in node.entries:
            place, node = node.keys[part], node.entries[part]
        elif isinstance(node, Rows) and part.isdigit() and int(part) < len(node.items):
            node = node.items[int(part)]
            place = node.place
        else:
            break
    return place
