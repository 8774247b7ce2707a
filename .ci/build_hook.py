"""Adds the shipped books, made ready, to a wheel; an editable install reads them as they are."""

import subprocess
import sys
import tempfile
from pathlib import Path

from hatchling.builders.hooks.plugin.interface import BuildHookInterface


class ReadyBooks(BuildHookInterface):
    """Runs `validator.readying` in a process of its own, so that it is the checkout's."""

    def initialize(self, version: str, build_data: dict) -> None:
        if self.target_name != "wheel" or version == "editable":
            return
        self._folder = tempfile.TemporaryDirectory()
        made = Path(self._folder.name) / "made.py"
        command = [sys.executable, "-m", "validator.readying", str(made)]
        subprocess.run(command, check=True, cwd=self.root)
        build_data["force_include"][str(made)] = "validator/made.py"

    def finalize(self, version: str, build_data: dict, artifact_path: str) -> None:
        folder = getattr(self, "_folder", None)
        if folder is not None:
            folder.cleanup()
