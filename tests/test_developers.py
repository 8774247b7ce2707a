"""The developers' page: its example of the engine runs."""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
GUIDE = ROOT / "DEVELOPERS.md"


@pytest.fixture
def text() -> str:
    if not GUIDE.exists():
        pytest.skip("no checkout: DEVELOPERS.md is not beside the tests")
    return GUIDE.read_text(encoding="utf-8")


def test_the_example_of_the_engine_runs(
    text: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    found = re.search(r"```python\n(import math\n.*?)```", text, re.DOTALL)
    assert found is not None
    monkeypatch.chdir(ROOT)
    exec(compile(found[1], "DEVELOPERS.md", "exec"), {})  # noqa: S102  # our own text
    # By hand, in inches: from 1 + 20 to 100 - 2 - 30, less a gap of 1/4 on either side.
    assert capsys.readouterr().out == "left 46.5\nright 46.5\n"
