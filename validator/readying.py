"""The shipped books made ready for a wheel: the text of the generated module.

    python -m validator.readying FILE

The hook `.ci/build_hook.py` runs it when a wheel is built.
"""

import io
import pickle
import sys
from dataclasses import fields, is_dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Any

from ruleset.kept import Kept
from ruleset.kinds import KINDS, Kind
from ruleset.reader import read_file

from .books import load_rules
from .ready import Ready, kind_named, proxy, record, sources_hash
from .shipped import shipped_rules

AHEAD = ("arrangements", "sheets")
"""Folders whose files are kept as they are read: what they come to depends on the job."""
PROTOCOL = 5


def module_text() -> str:
    """Return the generated module: the hash of the shipped files, and what they come to."""
    rules, root = load_rules(installed=False, proofs=False, ahead=False), shipped_rules()
    books = _written(Ready(library=rules.library, codes=rules.codes))
    files = sorted(file for name in AHEAD for file in (root / name).glob("*.yaml"))
    nodes = {file.relative_to(root).as_posix(): _written(read_file(file)) for file in files}
    return (
        '"""The shipped books, made ready when the wheel was built; see ready.py."""\n\n'
        f"SOURCES = {sources_hash()!r}\nBOOKS = {books!r}\nFILES = {nodes!r}\n"
    )


def _written(what: object) -> bytes:
    out = io.BytesIO()
    _Writing(out).dump(what)
    return out.getvalue()


class _Writing(pickle.Pickler):
    """Writes records; what is in no file, such as a plan that is kept, is left out."""

    def __init__(self, file: io.BytesIO) -> None:
        super().__init__(file, PROTOCOL)
        self._root = f"{shipped_rules().as_posix()}/"

    def persistent_id(self, obj: object) -> str | None:
        if type(obj) is str and obj.startswith(self._root):
            return obj.removeprefix(self._root[:-1])
        return None

    def reducer_override(self, obj: Any) -> Any:  # noqa: ANN401  # whatever a record holds
        kind = type(obj)
        if kind is Kept:
            return Kept, ()
        if isinstance(obj, Kind) and KINDS.get(obj.name) is obj:
            return kind_named, (obj.name,)
        if kind is MappingProxyType:
            return proxy, (dict(obj),)
        if not is_dataclass(kind) or "__slots__" not in vars(kind):
            return NotImplemented
        own = fields(kind)
        values = tuple(getattr(obj, one.name) for one in own)
        return (record, (kind, *values)) if any(f.kw_only for f in own) else (kind, values)


if __name__ == "__main__":
    Path(sys.argv[1]).write_text(module_text(), encoding="utf-8")
