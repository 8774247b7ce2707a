"""What several tests share: the shipped rules, books from text, and how Hypothesis runs."""

import datetime as dt
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from hypothesis import Phase, settings

from ruleset.assembly import assemble
from ruleset.book import Book
from ruleset.book_reader import read_book
from ruleset.layers import Layer, read_layer
from ruleset.library import Library
from ruleset.reader import read_file, read_text
from validator import Job, Rules, day, load_job_text, load_rules
from validator.plugins import load_plugins

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


@pytest.fixture(scope="session")
def calls() -> Callable[[Callable[[], object]], int]:
    """Return what counts the calls that a piece of work makes: no clock is in it."""

    def counted(work: Callable[[], object]) -> int:
        many = [0]

        def seen(_frame: object, event: str, _what: object) -> None:
            many[0] += event in ("call", "c_call")

        before = sys.getprofile()
        sys.setprofile(seen)
        try:
            work()
        finally:
            sys.setprofile(before)
        return many[0]

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
def bound(rules: Rules) -> Library:
    """Return the shipped books with the parts of the in-line slider."""
    (slider,) = (one for one in rules.arrangements() if one.name == "in-line slider")
    return rules.bound(slider)


@pytest.fixture(scope="session")
def library_of() -> Callable[..., Library]:
    """Return what puts books written as text together."""

    def made(*texts: str) -> Library:
        return assemble(_book(text, at) for at, text in enumerate(texts, start=1))

    return made


def _book(text: str, at: int) -> Book:
    return read_book(read_text(text, f"book{at}.yaml"))


BARE = Path(__file__).parent / "books" / "arrangements"
SHELF = """
job: A1
title: A shelf
units: in
format: 2
arrangement: bare
kit: plain
code: ours
survey:
  niche: 30
  depth: 12
  sound: yes
design:
  reach: 10
  wood: oak
"""
LENIENT = """
code: lenient
title: Set lenient
amends: {shelf.carried: {off: yes, why: Nobody looks.}}
"""


@pytest.fixture
def shelf() -> Rules:
    """Return rules that are one small book, with code sets and a policy; nothing is off."""
    library = assemble([read_book(read_file(Path(__file__).parent / "books" / "shelf.yaml"))])
    known = (
        _layer("ours", "code", "1 in"),
        _layer("theirs", "code", "3 in"),
        _layer("town", "code", "2 in", under="theirs"),
        _layer("shop", "policy", "4 in"),
        read_layer(read_text(LENIENT, "codes.yaml")),
    )
    codes = {one.name: one for one in known}
    return Rules(
        library=library, codes=codes, plugins=load_plugins(installed=False), folders=(BARE,)
    )


def _layer(name: str, kind: str, least: str, *, under: str = "") -> Layer:
    amends = f"{{shelf.deep: {{limits: {{least: {{is: {least}}}}}, why: It is so}}}}"
    text = f"{kind}: {name}\ntitle: Set {name}\nunder: [{under}]\namends: {amends}"
    return read_layer(read_text(text, "codes.yaml"))


@pytest.fixture
def made(shelf: Rules, tmp_path: Path) -> Callable[..., Job]:
    """Return what reads a job for a shelf: pieces of its text swapped, lines added to its kit."""

    def read(*swaps: tuple[str, str], kit: str = "", more: str = "") -> Job:
        folder = tmp_path / str(len(list(tmp_path.iterdir())))  # a kit that was read is kept
        (folder / "kits").mkdir(parents=True)
        text = f"kit: plain\ntitle: A bracket\nunits: in\nbracket: 6\n{kit}\n"
        (folder / "kits" / "plain.yaml").write_text(text, encoding="utf-8")
        text = SHELF
        for old, new in swaps:
            assert text.count(old) == 1
            text = text.replace(old, new)
        return load_job_text(text + more, "job.yaml", shelf, beside=folder)

    return read
