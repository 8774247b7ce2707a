"""Standard output and standard error: how text reaches the person, and never raw."""

import errno
import os
import sys
import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ruleset.errors import RulesetError

    from .report.layout import Look


def look() -> "Look":
    """Return how to write for whatever standard output is."""
    from .report.layout import look_for  # noqa: PLC0415

    out = sys.stdout
    terminal = out is not None and out.isatty()
    try:
        columns = os.get_terminal_size(out.fileno()).columns if terminal else 0
    except OSError:
        columns = 0
    encoding = None if out is None else out.encoding
    return look_for(os.environ, terminal=terminal, columns=columns, encoding=encoding)


def put(text: str) -> None:
    """Write findings to standard output; a reader that has gone away is no fault of ours."""
    if sys.stdout is None:
        return
    try:
        sys.stdout.write(text)
        sys.stdout.flush()
    except OSError as error:
        # Python flushes once more as it exits, and would complain then.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        if not isinstance(error, BrokenPipeError):
            raise OSError(error.errno, error.strerror, "standard output") from None


def tell(text: str) -> None:
    """Write what is no finding to standard error, a line for each of the text's."""
    from .report.layout import visible  # noqa: PLC0415

    if sys.stderr is not None:
        for line in text.split("\n"):
            print(visible(line), file=sys.stderr)  # noqa: T201  # this is the command line


def tell_faults(error: "RulesetError") -> None:
    """Write each fault to standard error on a line of its own, whatever its file's name holds."""
    for fault in error.faults:
        tell(" ".join(str(fault).splitlines()))


def os_words(error: OSError) -> str:
    """Return an error of the system as a sentence."""
    reason = error.strerror or str(error)
    return f"{error.filename}: {reason}." if error.filename else f"{reason}."


def write_new(path: Path, data: bytes) -> None:
    """Write a file whole, or not at all; one that is there already stays as it is.

    Args:
        path: The new file.
        data: What it holds.

    Raises:
        OSError: The file is there already, or cannot be written.
    """
    if not path.parent.is_dir():
        says = "its folder is not there; make that first, or choose another"
        raise FileNotFoundError(errno.ENOENT, says, str(path))
    if path.exists():
        raise FileExistsError(errno.EEXIST, "is there already; choose another name", str(path))
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")
    made = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        # A link fails where the name is taken meanwhile; a rename would put it out of the way.
        made.chmod(0o644)
        path.hardlink_to(made)
    finally:
        made.unlink(missing_ok=True)
