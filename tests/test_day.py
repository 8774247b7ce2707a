"""The day that a job is held against: asked for, told, and never read off a clock but by a call."""

import datetime as dt
import json
from collections.abc import Callable
from pathlib import Path

import pytest
from typer.testing import CliRunner

from validator import Rules, day, load_job, review
from validator.command import app
from validator.remedy import remedies

JOBS = Path(__file__).resolve().parent.parent / "fixtures" / "jobs"
WAIVED = JOBS / "fails-waiver-does-not-stand.yaml"
LAST = "2025-12-31"  # the day its waiver ends
NEXT = "2026-01-01"

Call = Callable[..., tuple[int, str, str]]


@pytest.fixture
def call(rules: Rules, monkeypatch: pytest.MonkeyPatch) -> Call:
    """Return what calls the command by the shipped rules, on a clock that stands still."""
    monkeypatch.setattr("validator.load_rules", lambda **_: rules)

    class Clock(dt.date):
        """A clock that always says one day."""

        @classmethod
        def today(cls) -> "Clock":
            return cls(2031, 5, 6)

    monkeypatch.setattr(dt, "date", Clock)

    def called(*args: str | Path) -> tuple[int, str, str]:
        ran = CliRunner().invoke(app, [str(one) for one in args])
        return ran.exit_code, ran.stdout, ran.stderr

    return called


@pytest.mark.parametrize(("today", "ended"), [(LAST, False), (NEXT, True)])
def test_a_waiver_is_held_against_the_day_that_is_asked(
    call: Call, today: str, *, ended: bool
) -> None:
    _, out, _ = call("review", WAIVED, "--format", "json", "--today", today, "--no-remedy")
    said = json.loads(out)
    assert said["today"] == today
    told = " ".join(one["says"] for one in said["findings"])
    assert (f"ended on {LAST}" in told) is ended
    assert any("waived" in one for one in said["findings"]) is not ended
    _, out, _ = call("review", WAIVED, "--today", today, "--no-remedy")
    assert f"; as of {today}\n" in out
    _, out, _ = call("sheet", WAIVED, "--today", today)
    assert (f"ended on {LAST}" in out) is ended
    assert day_in_words(today) in out


def day_in_words(today: str) -> str:
    return {LAST: "As of 31 December 2025", NEXT: "As of 1 January 2026"}[today]


def test_a_remedy_says_the_day(call: Call) -> None:
    _, out, _ = call("remedy", WAIVED, "--format", "json", "--today", LAST)
    before = json.loads(out)
    _, out, _ = call("remedy", WAIVED, "--format", "json", "--today", NEXT)
    after = json.loads(out)
    assert (before["today"], after["today"]) == (LAST, NEXT)
    asked = [{one["clause"] for one in each["singles"]} for each in (before, after)]
    assert len(asked[1] - asked[0]) == 1  # what the waiver let off is to be cured once it has ended


def test_the_clock_is_read_where_no_day_is_asked(call: Call) -> None:
    assert json.loads(call("review", WAIVED, "--format", "json", "--no-remedy")[1])["today"] == (
        "2031-05-06"
    )


@pytest.mark.parametrize("command", ["review", "remedy", "sheet", "draw"])
@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("31/12/2026", "Write --today as a day such as 2027-03-31; here is '31/12/2026'.\n"),
        ("20261231", "Write --today as a day such as 2027-03-31; here is '20261231'.\n"),
        ("", "Write --today as a day such as 2027-03-31; here is ''.\n"),
        ("2026-02-30", "--today is 2026-02-30, which is no day of the calendar.\n"),
    ],
)
def test_what_is_no_day(call: Call, command: str, text: str, says: str) -> None:
    assert call(command, WAIVED, "--today", text) == (2, "", says)


def test_the_library_reads_no_clock(rules: Rules, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(day, "USUAL", None)
    job = load_job(WAIVED, rules)
    said = review(job, rules)
    assert said.today == ""
    assert not said.release.ready
    told = " ".join(one.says for one in said.findings)
    assert f"stands until {LAST}; no day was given." in told
    assert all(one.waived is None or not one.waived.until for one in said.findings)
    assert remedies(job, rules, tolerance=False).singles


def test_only_the_command_line_asks_for_the_day() -> None:
    package = Path(day.__file__).parent
    asking = [
        file.relative_to(package).as_posix()
        for file in package.rglob("*.py")
        if ".today()" in (text := file.read_text(encoding="utf-8")) or "datetime.now(" in text
    ]
    assert asking == ["command/options.py"]
