"""The README: its examples run, its files exist."""

import json
import re
import shutil
from http.client import HTTPConnection
from http.server import ThreadingHTTPServer
from pathlib import Path
from threading import Thread
from typing import Any

import pytest

from validator import judge, load_job, load_job_text, load_rules, review
from validator.remedy.stock import stock_for

ROOT = Path(__file__).parent.parent
README = ROOT / "README.md"


@pytest.fixture
def text() -> str:
    if not README.exists():
        pytest.skip("no checkout: README.md is not beside the tests")
    return README.read_text(encoding="utf-8")


def _block(text: str, language: str, begins: str = "") -> str:
    found = re.search(rf"```{language}\n({begins}.*?)```", text, re.DOTALL)
    assert found is not None
    return found[1]


def test_the_example_of_embedding_runs(
    text: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(ROOT)
    exec(compile(_block(text, "python"), "README.md", "exec"), {})  # noqa: S102  # our own text
    printed = capsys.readouterr().out
    assert printed.startswith("False\n")
    assert "The open door leaves" in printed


def test_the_example_of_a_back_end_runs(text: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    names: dict[str, Any] = {"__name__": "back end"}
    code = _block(text, "python", "import json")
    exec(compile(code, "README.md", "exec"), names)  # noqa: S102  # our own text
    names["Desk"].log_message = lambda *_: None
    job = (ROOT / "fixtures" / "jobs" / "holds-ordinary.yaml").read_bytes()
    with ThreadingHTTPServer(("127.0.0.1", 0), names["Desk"]) as server:
        Thread(target=server.serve_forever, daemon=True).start()

        def asked(path: str, data: bytes) -> tuple[int, bytes]:
            call = HTTPConnection("127.0.0.1", server.server_address[1], timeout=60)
            call.request("POST", path, data)
            answer = call.getresponse()
            return answer.status, answer.read()

        code_, told = asked("/review", job)
        assert (code_, json.loads(told)["job"]) == (200, "24-117")
        assert asked("/drawing", job)[1].lstrip().startswith((b"<?xml", b"<svg"))
        assert asked("/review", b"job: [")[0] == 422
        assert asked("/else", job)[0] == 404
        server.shutdown()


def test_the_example_of_a_job_is_read_and_asks_for_the_rest(text: str) -> None:
    rules = load_rules()
    job = load_job_text(
        _block(text, "yaml", "job:"), "README.md", rules, beside=ROOT / "fixtures" / "jobs"
    )
    said = review(job, rules)
    assert not said.release.ready
    assert "survey.right.fall" in {asked.fact for asked in said.asked}


def test_the_example_of_a_stock_is_read(text: str, tmp_path: Path) -> None:
    rules, fixtures = load_rules(), ROOT / "fixtures"
    shutil.copytree(fixtures / "kits", tmp_path / "kits")
    path = tmp_path / "job.yaml"
    shutil.copy(fixtures / "jobs" / "fails-no-split-fits.yaml", path)
    (tmp_path / "stock.yaml").write_text(_block(text, "yaml", "stock:"), encoding="utf-8")
    job = load_job(path, rules)
    stock = stock_for(judge(job, rules), rules)
    assert [one.title for one in stock.handles] == ["our pull"]
    assert [one.name for one in stock.kits] == ["tarrow-walls"]
    split = next(one for one in stock.levers.levers if one.name == "split")
    assert split.easy == 2 * 25.4


def test_files_that_it_names_exist(text: str) -> None:
    named = set(re.findall(r"(?:fixtures|rules)/[\w/.-]+\w", text))
    assert named
    for name in named:
        assert (ROOT / name).exists(), name
