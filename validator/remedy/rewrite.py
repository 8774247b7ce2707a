"""A remedy written into a job's text: only its values change, comments and layout stay."""

from collections.abc import Iterable, Mapping
from pathlib import Path

from ruleset.errors import Fault, ShapeError
from ruleset.node import plain
from ruleset.place import Place
from ruleset.reader import read_text

from ..editing import BOM, parts_of, with_values
from ..saving import save_new, save_over_kept
from .result import Change, Remedy


def write_remedy(
    job_path: Path, remedy: Remedy, out_path: Path, *, backup: bool = False
) -> Path | None:
    """Save a job with a remedy written into it.

    Args:
        job_path: The job's file; it is read again.
        remedy: The remedy.
        out_path: Where to save it: a new file, or the job's own with `backup`.
        backup: Whether the job's own file may be replaced, once it is kept as NAME.bak.

    Returns:
        The backup, where one was made.

    Raises:
        RulesetError: The file cannot be edited so or cannot be written, there is such a file
            already, or another backup already.
    """
    try:
        return _write(job_path, remedy, out_path, backup=backup)
    except OSError as error:
        raise _refusal(Path(error.filename or out_path), f"{error.strerror}.") from None


def _write(job_path: Path, remedy: Remedy, out_path: Path, *, backup: bool) -> Path | None:
    raw = job_path.read_bytes()
    text = rewritten(raw, job_path.as_posix(), remedy.changes)
    new = text.encode()
    own = out_path.exists() and out_path.samefile(job_path)
    if own and not backup:
        raise _refusal(
            out_path, "This is the job itself; save to another file, or ask for a backup."
        )
    if own:
        return save_over_kept(job_path, raw, new)
    save_new(out_path, new)
    return None


def _refusal(path: Path, says: str) -> ShapeError:
    return ShapeError(Fault(Place(file=path.as_posix()), says))


def rewritten(raw: bytes, file: str, changes: Iterable[Change]) -> str:
    """Return a job's text with changes written into it.

    Args:
        raw: The file's content.
        file: Its name, for places.
        changes: What is to be written.

    Raises:
        RulesetError: The text cannot be read, or a value stands in a form that cannot be edited.
    """
    text = raw.decode("utf-8", errors="replace")
    mark = BOM if text.startswith(BOM) else ""
    text = text.removeprefix(BOM)
    root = read_text(raw, file)
    wanted = {change.place.pointer: change.new for change in changes}
    text = with_values(text, file, root, wanted)
    again = plain(read_text(text, file))
    if again != _expected(plain(root), wanted):
        says = "The values cannot be written without changing others; write them by hand."
        raise ShapeError(Fault(Place(file=file), says))
    return mark + text


def _expected(data: object, wanted: Mapping[str, str]) -> object:
    for pointer, new in wanted.items():
        *tables, last = parts_of(pointer)
        at = data
        for part in tables:
            if isinstance(at, list):
                at = at[int(part)]
            elif isinstance(at, dict):
                if not at.get(part):
                    at[part] = {}
                at = at[part]
        if isinstance(at, dict):
            at[last] = new
        elif isinstance(at, list):
            at[int(last)] = new
    return data
