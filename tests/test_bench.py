"""The benchmark's own ground: what was written by hand agrees with the books, so that it races."""

import importlib
from pathlib import Path

import pytest


def test_the_clauses_written_by_hand_agree_with_the_books(monkeypatch: pytest.MonkeyPatch) -> None:
    # Outside check: seventy clauses written out by hand in plain Python, on random jobs.
    monkeypatch.syspath_prepend(Path(__file__).parent)
    race, samples = (
        importlib.import_module(f"bench.{name}") for name in ("verdict_race", "samples")
    )
    assert "all alike" in race.check(samples.ground())
