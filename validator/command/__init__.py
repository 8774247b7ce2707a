"""The command line: reads, calls, prints and exits. The only importer of typer."""
# ruff: noqa: I001  # commands are imported in the order that --help lists them in

import signal
import sys
from typing import Annotated, NoReturn

import typer

from ruleset.errors import RulesetError, Stopped

from ..terminal import os_words, put, tell, tell_faults
from . import start, propose, jobs, audit, shop, gather, books, convert
from .options import BROKEN, FINE, STOPPED, app, own_version

__all__ = [
    "app",
    "audit",
    "books",
    "convert",
    "gather",
    "jobs",
    "main",
    "propose",
    "shop",
    "start",
]


def main() -> None:
    """Run the command line and exit.

    Exit codes: 0 for nothing at error level, 1 for errors found, 2 for a broken file, book,
    plugin or call.
    """
    # Typer would end a stopped run with the code of errors found.
    signal.signal(signal.SIGINT, _stop)
    try:
        app()
    except SystemExit as ended:
        if not isinstance(ended.__context__, BrokenPipeError):
            raise
        sys.exit(FINE)  # whoever asked for help has read enough of it; Typer would end with 1
    except RulesetError as error:
        tell_faults(error)
    except OSError as error:
        tell(os_words(error))
    except Exception as error:
        if sys.flags.dev_mode:
            raise
        tell(
            f"paneproof itself failed: {type(error).__name__}: {error}. Nothing was decided. "
            "Please report it, with what `python -X dev -m validator.command` prints."
        )
    sys.exit(BROKEN)


def _version(wanted: bool) -> None:  # noqa: FBT001  # typer passes the option's value
    if wanted:
        put(f"paneproof {own_version()}\n")
        raise typer.Exit


@app.callback()
def _every_command(
    *,
    version: Annotated[  # its callback does the work
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Show the version.")
    ] = False,
) -> None:
    """Check the design of a glass shower enclosure against trade rules."""


def _stop(_signal: int, _frame: object) -> NoReturn:
    raise Stopped(STOPPED)
