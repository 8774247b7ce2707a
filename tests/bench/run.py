"""Measures the project against other ways of doing the same, and prints a table.

    .venv/bin/python tests/bench/run.py

Needs the `bench` extra. Takes some two minutes; every contestant's answers are compared with the
others' before anything is timed. Nothing here is a test, and no test runs it.
"""

import importlib
import sys
from pathlib import Path

if __name__ == "__main__":
    # As a script this file stands outside the package that it starts.
    sys.path.insert(0, str(Path(__file__).resolve().parent.parent))
    importlib.import_module("bench.table").main()
