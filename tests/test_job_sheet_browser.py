"""The job sheet in a real browser: it prints on both papers, and a checker of access is content.

Skipped where there is no Chromium; the checker is skipped too where AXE_CORE does not name the
file axe.min.js of the package axe-core.
"""

import base64
import datetime as dt
import json
import os
import re
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from validator import Rules, judge, load_job, review
from validator.blank import blank_job
from validator.job_sheet import READERS, sheet_html
from validator.pane_drawing import panes

JOBS = Path(__file__).parents[1] / "fixtures" / "jobs"
NAMES = ("holds-ordinary", "fails-several-faults", "unknown-half-surveyed", "long-title")
LONG = "A title with <b>marks</b> & \u05e9\u05dc\u05d5\u05dd that goes on " * 250
DAY = dt.date(2026, 2, 3)
POINTS = {"letter": (612, 792), "a4": (595, 842)}
FLAGS = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--remote-debugging-pipe",
)
CHROMIUM = next(filter(None, map(shutil.which, ("chromium", "chromium-browser"))), None)
pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="There is no Chromium here.")
# Chromium listens on 3 and answers on 4; shells cannot be relied on to move numbers past 9.
START = """
import os, sys
read, write = (os.dup(int(one)) for one in sys.argv[1:3])
while read in (3, 4): read = os.dup(read)
while write in (3, 4): write = os.dup(write)
os.dup2(read, 3)
os.dup2(write, 4)
os.execv(sys.argv[3], sys.argv[3:])
"""
Answer = dict[str, Any]
OVER = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
CHECK = """
axe.run(document, {resultTypes: ['violations']}).then(found => JSON.stringify(
  found.violations.map(one => [one.id, one.nodes.length, one.nodes[0].html])))
"""


class Browser:
    """Chromium, spoken to over two pipes."""

    def __init__(self, home: Path) -> None:
        """Start it with a profile of its own."""
        read, self.write = os.pipe()
        self.read, write = os.pipe()
        start = (sys.executable, "-c", START, str(read), str(write), str(CHROMIUM))
        self.process = subprocess.Popen(  # noqa: S603  # the program that was found
            [*start, *FLAGS, f"--user-data-dir={home}", "about:blank"],
            pass_fds=(read, write),
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        os.close(read)
        os.close(write)
        self.number = 0
        self.heard = b""
        self.asked: list[str] = []
        self.session: str | None = None
        target = self.call("Target.createTarget", url="about:blank")["targetId"]
        attached = self.call("Target.attachToTarget", targetId=target, flatten=True)
        self.session = str(attached["sessionId"])
        self.call("Page.enable")
        self.call("Network.enable")

    def call(self, method: str, **how: object) -> Answer:
        """Return the answer to one command."""
        self.number += 1
        said: dict[str, object] = {"id": self.number, "method": method, "params": how}
        if self.session:
            said["sessionId"] = self.session
        rest = json.dumps(said).encode() + b"\0"
        while rest:
            rest = rest[os.write(self.write, rest) :]
        while True:
            answer = self.next()
            if answer.get("id") == self.number:
                assert "error" not in answer, answer
                result: Answer = answer["result"]
                return result
            if answer.get("method") == "Network.requestWillBeSent":
                self.asked.append(answer["params"]["request"]["url"])

    def next(self) -> Answer:
        """Return the next thing it says."""
        while b"\0" not in self.heard:
            more = os.read(self.read, 1 << 16)
            assert more, "Chromium has gone away"
            self.heard += more
        one, _, self.heard = self.heard.partition(b"\0")
        answer: Answer = json.loads(one)
        return answer

    def ask(self, script: str) -> Any:  # noqa: ANN401  # whatever the page answers
        """Return what a script comes to on the page."""
        found = self.call("Runtime.evaluate", expression=script, awaitPromise=True)
        assert "exceptionDetails" not in found, found
        return found["result"].get("value")

    def open(self, page: Path) -> None:
        """Open a page and wait until it is there."""
        address = page.resolve().as_uri()
        self.asked.clear()
        self.call("Page.navigate", url=address)
        until = time.monotonic() + 20
        while self.ask("location.href + document.readyState") != f"{address}complete":
            assert time.monotonic() < until, "the page does not load"
            time.sleep(0.05)

    def printed(self, **how: object) -> bytes:
        """Return the page as it prints."""
        return base64.b64decode(self.call("Page.printToPDF", **how)["data"])

    def close(self) -> None:
        """Stop it."""
        self.process.terminate()
        self.process.wait(20)
        os.close(self.read)
        os.close(self.write)


@pytest.fixture(scope="module")
def browser(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Browser]:
    """Start a browser once."""
    made = Browser(tmp_path_factory.mktemp("profile"))
    yield made
    made.close()


@pytest.fixture(scope="module")
def sheets(tmp_path_factory: pytest.TempPathFactory, rules: Rules) -> Mapping[str, Path]:
    """Write a sheet of each job for each paper."""
    folder = tmp_path_factory.mktemp("sheets")
    found: dict[str, Path] = {}
    for name in NAMES:
        file = "holds-ordinary" if name == "long-title" else name
        job = load_job(JOBS / f"{file}.yaml", rules)
        verdict, told = judge(job, rules), review(job, rules, today=DAY)
        if name == "long-title":
            told = replace(told, title=LONG)
        for paper in POINTS:
            page = folder / f"{name}-{paper}.html"
            page.write_text(sheet_html(verdict, told, paper=paper), encoding="utf-8")
            found[page.stem] = page
    return found


EACH = pytest.mark.parametrize("name", [f"{name}-{paper}" for name in NAMES for paper in POINTS])


@EACH
def test_it_prints_on_its_paper(name: str, browser: Browser, sheets: Mapping[str, Path]) -> None:
    browser.open(sheets[name])
    made = browser.printed(preferCSSPageSize=True)
    boxes = re.findall(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", made)
    sizes = {tuple(round(float(side)) for side in box) for box in boxes}
    assert sizes == {POINTS[name.rpartition("-")[2]]}
    assert 8 <= len(re.findall(rb"/Type /Page\b", made)) <= 24
    assert [one for one in browser.asked if not one.startswith("file:")] == []
    assert browser.asked[0].startswith("file:")
    assert len(browser.asked) == 1


@EACH
def test_it_fits_narrow_and_wide_windows(
    name: str, browser: Browser, sheets: Mapping[str, Path]
) -> None:
    browser.open(sheets[name])
    assert browser.ask("document.title").startswith("Job sheet ")
    for wide in (360, 800, 1600):
        browser.call(
            "Emulation.setDeviceMetricsOverride",
            width=wide,
            height=600,
            deviceScaleFactor=1,
            mobile=False,
        )
        assert browser.ask(OVER) <= 0
    browser.call("Emulation.clearDeviceMetricsOverride")
    assert browser.ask("document.querySelectorAll('script').length") == 0


@EACH
def test_a_checker_finds_nothing(name: str, browser: Browser, sheets: Mapping[str, Path]) -> None:
    checker = os.environ.get("AXE_CORE", "")
    if not Path(checker).is_file():
        if os.environ.get("CI"):
            pytest.fail("AXE_CORE names no file; .ci/run installs it.")
        pytest.skip("AXE_CORE does not name the file axe.min.js of the package axe-core.")
    browser.open(sheets[name])
    browser.ask(Path(checker).read_text(encoding="utf-8"))
    assert json.loads(browser.ask(CHECK)) == []


BEGUN = "just begun"
HOLDS = (
    BEGUN,
    "holds-ordinary",
    "holds-walls-only",
    "holds-hinged-walls",
    "holds-hinged-panel-glass",
)


def _begun(folder: Path, rules: Rules) -> Path:
    """Write a job that was just begun."""
    (slider,) = (one for one in rules.arrangements() if one.name == "in-line slider")
    head = {"job": "1", "arrangement": slider.name, "units": "in", "kit": "ostrel-inch"}
    file = folder / "begun.yaml"
    text = blank_job(rules.bound(slider), {**head, "code": "irc-2021"}, "a.schema.json")
    file.write_text(text, encoding="utf-8")
    return file


MOST = {"client": 1, "site": 3, "office": 9, "survey": 2}
"""Pages that an ordinary job takes for each reader; for the glass one a pane and one for all."""


@pytest.mark.parametrize("paper", POINTS)
@pytest.mark.parametrize(
    ("name", "reader"),
    [(BEGUN, "survey"), *((name, one) for name in HOLDS if name != BEGUN for one in READERS)],
)
def test_an_ordinary_job_takes_so_many_pages(
    name: str, reader: str, paper: str, browser: Browser, rules: Rules, tmp_path: Path
) -> None:
    file = _begun(tmp_path, rules) if name == BEGUN else JOBS / f"{name}.yaml"
    job = load_job(file, rules, folders=(JOBS.parent / "kits",))
    verdict, told = judge(job, rules), review(job, rules, today=DAY)
    page = tmp_path / "sheet.html"
    html = sheet_html(verdict, told, paper=paper, reader=reader, digest="0badcafe")
    page.write_text(html, encoding="utf-8")
    browser.open(page)
    made = browser.printed(preferCSSPageSize=True)
    many = len(re.findall(rb"/Type /Page\b", made))
    if reader == "glass":
        assert many == 1 + len(panes(verdict))
    else:
        assert many <= MOST[reader]
    checker = os.environ.get("AXE_CORE", "")
    if Path(checker).is_file():
        browser.ask(Path(checker).read_text(encoding="utf-8"))
        assert json.loads(browser.ask(CHECK)) == []
    assert "job file 0badcafe" in html


SMALL = """
(() => {
  const texts = [...document.querySelectorAll('main *')].filter(one => !one.closest('svg')
    && [...one.childNodes].some(node => node.nodeType === 3 && node.data.trim()));
  const sizes = texts.map(one => parseFloat(getComputedStyle(one).fontSize));
  const past = [...document.querySelectorAll('td, th')].filter(one =>
    !one.closest('svg') && one.getBoundingClientRect().right > innerWidth + 1);
  return JSON.stringify([Math.min(...sizes), past.length]);
})()
"""


@pytest.mark.parametrize("reader", ["office", "site", "client"])
@pytest.mark.parametrize("name", ["holds-ordinary", "fails-several-faults"])
def test_a_telephone_shows_words_that_can_be_read_and_every_column(
    name: str, reader: str, browser: Browser, rules: Rules, tmp_path: Path
) -> None:
    job = load_job(JOBS / f"{name}.yaml", rules)
    page = tmp_path / "sheet.html"
    html = sheet_html(judge(job, rules), review(job, rules, today=DAY), reader=reader)
    page.write_text(html, encoding="utf-8")
    browser.open(page)
    browser.call(
        "Emulation.setDeviceMetricsOverride",
        width=390,
        height=844,
        deviceScaleFactor=2,
        mobile=True,
    )
    least, past = json.loads(browser.ask(SMALL))
    browser.call("Emulation.clearDeviceMetricsOverride")
    assert least >= 12  # px
    assert past == 0
