"""Standard output and standard error: how text reaches the person, and never raw."""

import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, TextIO

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


def look_of_file() -> "Look":
    """Return how to write for a file, or for standard output where that goes into one."""
    from .report.layout import Look  # noqa: PLC0415

    return Look()


def is_watched() -> bool:
    """Return whether a person looks at standard output."""
    return sys.stdout is not None and sys.stdout.isatty()


def put(text: str) -> None:
    """Write findings to standard output; a reader that has gone away is no fault of ours."""
    out = sys.stdout
    if out is not None:
        try:
            out.write(text)
            out.flush()
        except OSError as error:
            _failed(out, error)


def put_file(data: bytes) -> None:
    """Write what is a file to standard output, byte by byte, whatever the locale and the system."""
    out = sys.stdout
    if out is not None:
        try:
            out.flush()
            out.buffer.write(data)
            out.buffer.flush()
        except OSError as error:
            _failed(out, error)


def _failed(out: TextIO, error: OSError) -> None:
    hush(out)
    if not isinstance(error, BrokenPipeError):
        raise OSError(error.errno, error.strerror, "standard output") from None


def hush(stream: TextIO) -> None:
    """Let what is still to be written to a stream go nowhere: it cannot be written."""
    # Python flushes once more as it exits, and would complain then.
    os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


class Watch:
    """A line on standard error that tells how far long work is, where a person looks at it."""

    def __init__(self) -> None:
        """Tell nothing yet."""
        self._on = sys.stderr is not None and sys.stderr.isatty()
        self._wide = 0
        self._next = 0.0

    def __call__(self, said: str) -> None:
        """Show where the work is, in place of what was shown; too soon after that, nothing."""
        if not self._on or time.monotonic() < self._next:
            return
        from .report.layout import visible  # noqa: PLC0415

        text = visible(said)[:_SHOWN]
        self._write(f"\r{text}{' ' * (self._wide - len(text))}")
        self._wide, self._next = len(text), time.monotonic() + _EVERY

    def clear(self) -> None:
        """Take away what is shown."""
        if self._wide:
            self._write(f"\r{' ' * self._wide}\r")
            self._wide = 0

    def _write(self, text: str) -> None:
        try:
            sys.stderr.write(text)
            sys.stderr.flush()
        except OSError:
            self._on = False


_SHOWN = 70  # columns
_EVERY = 0.1  # seconds


@contextmanager
def watching() -> Iterator[Watch]:
    """Give what shows how far long work is, and clear it away at the end, however that comes."""
    watch = Watch()
    try:
        yield watch
    finally:
        watch.clear()


def tell(text: str) -> None:
    """Write what is no finding to standard error, a line for each of the text's."""
    from .report.layout import visible  # noqa: PLC0415

    if sys.stderr is not None:
        try:
            for line in text.split("\n"):
                print(visible(line), file=sys.stderr, flush=True)  # noqa: T201  # this is the command line
        except OSError:
            hush(sys.stderr)  # nobody can be told; the exit code still says so


def tell_faults(error: "RulesetError") -> None:
    """Write each fault to standard error on a line of its own, whatever its file's name holds."""
    for fault in error.faults:
        tell(" ".join(str(fault).splitlines()))


def os_words(error: OSError) -> str:
    """Return an error of the system as a sentence."""
    reason = error.strerror or str(error)
    return f"{error.filename}: {reason}." if error.filename else f"{reason}."
