"""What several tests share: the shipped rules, books from text, and how Hypothesis runs."""

import datetime as dt
from collections.abc import Callable, Iterator

import pytest
from hypothesis import Phase, settings

from ruleset.assembly import assemble
from ruleset.book import Book
from ruleset.book_reader import read_book
from ruleset.library import Library
from ruleset.reader import read_text
from validator import Rules, day, load_rules

PHASES = (Phase.explicit, Phase.generate, Phase.shrink)
settings.register_profile("seeded", deadline=None, derandomize=True, database=None, phases=PHASES)
settings.load_profile("seeded")


_ran = [0]


@pytest.fixture(scope="session")
def ran() -> Callable[[], None]:
    """Return what a test calls beside an assertion that stands in a loop or under an `if`.

    A test that takes it fails where it never called it: it went through nothing.
    """

    def counted() -> None:
        _ran[0] += 1

    return counted


@pytest.hookimpl(wrapper=True)
def pytest_runtest_call(item: pytest.Item) -> Iterator[None]:
    """Fail a test that takes `ran` and did not call it."""
    _ran[0] = 0
    yield
    if "ran" in getattr(item, "fixturenames", ()) and not _ran[0]:
        pytest.fail("None of this test's assertions ran: what it goes through is empty.")


@pytest.fixture(autouse=True, scope="session")
def _usual_day() -> Iterator[None]:
    """Hold jobs against one day where a test gives none: the fixtures are of February 2026."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(day, "USUAL", dt.date(2026, 3, 2))
        yield


@pytest.fixture(scope="session")
def rules() -> Rules:
    """Return the shipped books and code sets; no plugin of another package."""
    return load_rules(installed=False)


@pytest.fixture(scope="session")
def library_of() -> Callable[..., Library]:
    """Return what puts books written as text together."""

    def made(*texts: str) -> Library:
        return assemble(_book(text, at) for at, text in enumerate(texts, start=1))

    return made


def _book(text: str, at: int) -> Book:
    return read_book(read_text(text, f"book{at}.yaml"))
