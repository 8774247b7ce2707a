"""Starting cold: a whole review in a process of its own against a bare typer program."""

import json
import os
import re
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from .samples import FIXTURES, ROOT

RUNS = 15
NEVER = ("numpy", "jsonschema", "rich", "pydantic")
"""Too slow to import for a review that finds nothing wrong."""
NOTABLE = 2.0  # ms; what takes less to import is not named
BARE = """import typer
app = typer.Typer(add_completion=False, pretty_exceptions_enable=False, rich_markup_mode=None)
@app.callback()
def every():
    "A program."
@app.command()
def hello(name: str):
    print(name)
app()
"""
_LINE = re.compile(r"import time:\s+(?P<own>\d+) \|\s+(?P<all>\d+) \|(?P<name>\s+\S+)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Took:
    """What one program took to start, run and end, the median of all runs, ms.

    Attributes:
        wall: By the clock on the wall.
        work: Processor time, which a busy machine changes least.
    """

    wall: float
    work: float


def review_command() -> list[str]:
    """Return the command that reviews a job that holds."""
    return [sys.executable, "-c", _MAIN, "review", str(FIXTURES[0])]


_MAIN = "import sys; sys.argv[0] = 'paneproof'; from validator.command import main; main()"


def environment() -> dict[str, str]:
    """Return an environment in which bytecode is kept, as on a user's machine."""
    return {name: text for name, text in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}


def starts() -> dict[str, Took]:
    """Return what Python alone, a bare typer program and a review take.

    They run in turns; each is run once untimed before.
    """
    with tempfile.TemporaryDirectory() as folder:
        bare = Path(folder) / "bare.py"
        bare.write_text(BARE)
        commands = {
            "python": [sys.executable, "-c", "pass"],
            "bare": [sys.executable, str(bare), "hello", "there"],
            "review": review_command(),
        }
        runs: dict[str, list[Took]] = {name: [] for name in commands}
        for turn in range(RUNS + 1):
            for name, command in commands.items():
                took = _run(command)
                if turn:
                    runs[name].append(took)
    return {
        name: Took(
            wall=statistics.median(one.wall for one in some),
            work=statistics.median(one.work for one in some),
        )
        for name, some in runs.items()
    }


def _run(command: Sequence[str]) -> Took:
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    start = time.perf_counter()
    subprocess.run(  # noqa: S603  # our own programs
        command, check=True, env=environment(), cwd=ROOT, stdout=subprocess.DEVNULL
    )
    wall = time.perf_counter() - start
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    work = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    return Took(wall=wall * 1000.0, work=work * 1000.0)


def imported() -> dict[str, float]:
    """Return what a review that holds imports: packages from outside, and slow standard modules.

    Returns:
        Milliseconds by name, with all that each one brings in turn: of a package from outside at
        its first import, of a standard module where it is notable.

    Raises:
        AssertionError: A review imports what it may not.
    """
    command = review_command()
    command[1:1] = ["-X", "importtime"]
    done = subprocess.run(  # noqa: S603  # our own program
        command, check=True, env=environment(), cwd=ROOT, capture_output=True, text=True
    )
    took: dict[str, float] = {}
    for line in _LINE.finditer(done.stderr):
        took.setdefault(line["name"].strip(), int(line["all"]) / 1000.0)
    wrong = [name for name in NEVER if name in took]
    if wrong:
        raise AssertionError(f"A review that holds imports {', '.join(wrong)}.")
    return dict(sorted(_kept(took).items(), key=lambda item: -item[1]))


def _kept(took: Mapping[str, float]) -> dict[str, float]:
    found = {}
    for name, ms in took.items():
        standard = name.partition(".")[0] in sys.stdlib_module_names
        own = name.partition(".")[0] in ("ruleset", "validator")
        if own or "." in name:
            continue
        if not standard or (ms >= NOTABLE and name != "site"):
            found[name] = ms
    return found


def phases() -> tuple[dict[str, float], str]:
    """Return ms of each phase, the median of five fresh processes, and how much was read."""
    here = Path(__file__).resolve().parent
    told = []
    for _ in range(6):
        done = subprocess.run(  # noqa: S603  # our own program
            [sys.executable, str(here / "phases.py"), str(FIXTURES[0])],
            check=True,
            env=environment(),
            cwd=ROOT,
            stdout=subprocess.PIPE,
        )
        told.append(json.loads(done.stdout))
    names = list(told[0]["took"])
    return {n: statistics.median([one["took"][n] for one in told[1:]]) for n in names}, told[0][
        "read"
    ]
