"""What ships ready to be used: the shipped books as checked tables, made when a wheel is built.

A wheel has one generated module, `validator/made.py`: the bytes of the records and the hash of the
files they were made from. It stands in the package beside the code, so whoever can write it can
write the code too; nothing is taken from any other place. Where it is absent, as in a checkout, or
the files are not those of the hash, they are read in the ordinary way.
"""

import gc
import io
import pickle
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, fields
from functools import cache
from hashlib import sha256
from importlib import import_module
from pathlib import Path
from types import MappingProxyType
from typing import Any

from ruleset.kinds import KINDS, Kind
from ruleset.layers import Layer
from ruleset.library import Library
from ruleset.node import Node
from ruleset.reader import read_file

from .shipped import shipped_rules

MODULE = "made"


@dataclass(frozen=True, slots=True, kw_only=True)
class Ready:
    """The shipped books checked together, and the code sets by id; both without proofs."""

    library: Library
    codes: Mapping[str, Layer]


def ready() -> Ready | None:
    """Return the shipped books as they were made ahead, None where there are none that count.

    What it returns is new each time: a library keeps what is made of it.
    """
    kept = _kept()
    found = None if kept is None else _loaded(kept.BOOKS)
    return found if isinstance(found, Ready) else None


def read_shipped(path: Path) -> Node:
    """Return what a file holds, made ahead where it is a shipped one.

    Raises:
        ReadError: The file cannot be read.
    """
    kept, root = _kept(), shipped_rules()
    if kept is not None and path.is_relative_to(root):
        data = kept.FILES.get(path.relative_to(root).as_posix())
        if data is not None:
            node: Node = _loaded(data)
            return node
    return read_file(path)


@cache
def _kept() -> Any:  # noqa: ANN401  # a generated module, or None
    """Return the generated module where it was made from the files that are there."""
    try:
        found = import_module(f".{MODULE}", __package__)
    except ModuleNotFoundError:
        return None
    return found if sources_hash() == found.SOURCES else None


def sources_hash() -> str:
    """Return the hash of all shipped files, by name and content."""
    root, found = shipped_rules(), sha256()
    for file in sorted(root.glob("*/*.yaml")):
        data = file.read_bytes()
        found.update(f"{file.relative_to(root).as_posix()} {len(data)}\n".encode())
        found.update(data)
    return found.hexdigest()


def _loaded(data: bytes) -> Any:  # noqa: ANN401  # as it was made
    with _uncollected():
        return _Reading(io.BytesIO(data)).load()


@contextmanager
def _uncollected() -> Iterator[None]:
    """Let nothing be looked for that could be thrown away: all that is loaded stays."""
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()


class _Reading(pickle.Unpickler):
    """Reads records; a file's name is said from the folder of shipped books on."""

    def __init__(self, file: io.BytesIO) -> None:
        super().__init__(file)
        self._root = shipped_rules().as_posix()

    def persistent_load(self, pid: str) -> str:
        return f"{self._root}{pid}"


_SETTERS: dict[type, tuple[Callable[[Any, Any], None], ...]] = {}


def record(kind: type, *values: object) -> object:
    """Return a frozen record of a kind, its fields in their order.

    It goes past the record's own making, which costs four times as much.
    """
    setters = _SETTERS.get(kind)
    if setters is None:
        setters = tuple(getattr(kind, one.name).__set__ for one in fields(kind))
        _SETTERS[kind] = setters
    made: object = object.__new__(kind)
    for put, value in zip(setters, values, strict=True):
        put(made, value)
    return made


def kind_named(name: str) -> Kind:
    """Return the kind with a name: the one that there is, for kinds are told by identity."""
    return KINDS[name]


def proxy(table: dict[object, object]) -> Mapping[object, object]:
    """Return a table that cannot be written to."""
    return MappingProxyType(table)
