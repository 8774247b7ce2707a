"""First files to fill in: what `start` writes, and that editors help with it.

The real client is the YAML language server of the npm registry; the test of it is skipped where
YAML_LANGUAGE_SERVER does not name its program, and fails there under CI.
"""

import io
import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
import yaml

from ruleset.patterns import KIT_ID
from validator import Rules, load_job, load_rules, review
from validator.blank import blank_job, blank_kit
from validator.command import main
from validator.walk import sections

ROOT = Path(__file__).resolve().parent.parent
JOBS, KITS = ROOT / "fixtures" / "jobs", ROOT / "fixtures" / "kits"
HOLDS = {
    "bath slider": "holds-bath-slider",
    "in-line slider": "holds-ordinary",
    "hinged between walls": "holds-hinged-walls",
    "hinged with panel hung on the wall": "holds-hinged-panel-wall",
    "hinged with panel hung on the glass": "holds-hinged-panel-glass",
    "walk-in screen": "holds-walk-in-screen",
}
KIT_OF = {"in-line slider": "ostrel-inch", "hinged between walls": "marden-wall"}
SERVER = os.environ.get("YAML_LANGUAGE_SERVER", "")


def tree(text: str) -> Any:  # noqa: ANN401 - a tree of texts
    return yaml.load(text, Loader=yaml.BaseLoader)  # noqa: S506 - every scalar stays text


def paths(node: Any, above: str = "") -> Iterator[str]:  # noqa: ANN401 - a tree of texts
    for key, one in node.items():
        path = f"{above}{key}"
        if isinstance(one, dict):
            yield from paths(one, f"{path}.")
        else:
            yield path


def paths_of(text: str) -> list[str]:
    return list(paths(tree(text)))


@pytest.fixture
def start(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> Callable[..., tuple[int, str, str]]:
    """Return what runs `start` in a folder of its own that has the kits of the fixtures."""
    shutil.copytree(KITS, tmp_path / "kits")
    monkeypatch.chdir(tmp_path)

    def ran(*args: str, typed: str | None = None) -> tuple[int, str, str]:
        stdin = io.StringIO(typed or "")
        stdin.isatty = lambda: typed is not None  # type: ignore[method-assign]
        monkeypatch.setattr(sys, "stdin", stdin)
        monkeypatch.setattr(sys, "argv", ["paneproof", *args])
        with pytest.raises(SystemExit) as ended:
            main()
        said = capsys.readouterr()
        return int(ended.value.code or 0), said.out, said.err

    return ran


@pytest.mark.parametrize("name", HOLDS)
def test_a_first_file_asks_all_that_a_job_gives_and_a_review_asks(
    name: str, rules: Rules, tmp_path: Path
) -> None:
    (one,) = (one for one in rules.arrangements() if one.name == name)
    given = tree((JOBS / f"{HOLDS[name]}.yaml").read_text(encoding="utf-8"))
    head = {"job": "1", "arrangement": name, "units": "in", "code": "irc-2021"}
    text = blank_job(rules.bound(one), {**head, "kit": given["kit"]}, "a.schema.json")
    asked = paths_of(text)
    sources = ("survey", "design", "order")
    facts = [path for path in asked if path.startswith(tuple(f"{one}." for one in sources))]
    mine = {source: given.get(source, {}) for source in sources}
    assert set(paths(mine)) <= set(facts)
    assert all(len(line) <= 110 for line in text.splitlines())

    file = tmp_path / "job.yaml"
    file.write_text(text, encoding="utf-8")
    found = review(load_job(file, rules, folders=(KITS,)), rules)
    assert not found.release.ready
    assert found.asked
    assert {one.fact for one in found.asked} <= set(facts)


@pytest.mark.parametrize("name", HOLDS)
def test_the_walk_names_every_fact_once_and_in_the_order_of_the_file(
    name: str, rules: Rules
) -> None:
    (one,) = (one for one in rules.arrangements() if one.name == name)
    found = sections(rules.bound(one))
    assert "Further" not in {section.title for section in found}
    names = [fact.name for section in found for fact in section.facts]
    assert len(names) == len(set(names))
    assert names[:3] == ["survey.client", "survey.site", "survey.read_on"]
    text = blank_job(rules.bound(one), {"units": "in"}, "a.schema.json")
    assert sorted(path for path in paths_of(text) if path in names) == sorted(names)
    assert text.index("survey:") < text.index("\ndesign:") < text.index("\norder:")
    assert text.index("-- The left wall, foot") < text.index("-- The right wall, foot")


def test_what_no_row_of_the_walk_names_is_asked_last(tmp_path: Path) -> None:
    (tmp_path / "odd.yaml").write_text(
        "book: odd\ntitle: Odd\nabout: A book of the tests' own.\nfacts:\n"
        "  survey.odd: {means: Something odd, kind: yes/no}\n",
        encoding="utf-8",
    )
    rules = load_rules(books=(tmp_path,), installed=False)
    (slider,) = (one for one in rules.arrangements() if one.name == "in-line slider")
    last = [one for one in sections(rules.bound(slider)) if one.source == "survey"][-1]
    assert (last.title, [one.name for one in last.facts]) == ("Further", ["survey.odd"])


@pytest.mark.parametrize("name", KIT_OF)
@pytest.mark.parametrize("units", ["in", "mm"])
def test_a_kit_s_first_file_asks_what_its_arrangement_needs(
    name: str, units: str, rules: Rules
) -> None:
    (one,) = (one for one in rules.arrangements() if one.name == name)
    text = blank_kit(rules.bound(one), {"kit": "new", "units": units}, "kit.schema.json")
    asked = set(paths_of(text))
    given = set(paths_of((KITS / f"{KIT_OF[name]}.yaml").read_text(encoding="utf-8")))
    unasked = {path for path in given - asked if path not in ("notes", "sheet", "maker")}
    assert not {path for path in unasked if f"kit.{path}" in rules.bound(one).facts}
    other = "wheel.tread" if name != "in-line slider" else "hinge.pin"
    assert other not in asked
    assert (" 25.375 mm" in text) is False


def test_a_job_is_begun_and_a_schema_stands_beside_it(
    start: Callable[..., tuple[int, str, str]], tmp_path: Path
) -> None:
    args = ("--arrangement", "in-line slider", "--units", "in", "--kit", "ostrel-inch")
    code, out, err = start(
        "start", "24-201.yaml", *args, "--title", "Hall: back", "--code", "irc-2021"
    )
    assert (code, err) == (0, "")
    assert "paneproof review 24-201.yaml" in out
    text = (tmp_path / "24-201.yaml").read_text(encoding="utf-8")
    beside = tmp_path / "in-line-slider.schema.json"
    assert text.startswith(f"# yaml-language-server: $schema={beside.name}\n")
    job = tree(text)
    assert (job["job"], job["title"], job["kit"]) == ("24-201", "Hall: back", "ostrel-inch")
    assert json.loads(beside.read_text(encoding="utf-8"))["title"] == "A job"

    beside.write_text('{"$id": "an older one"}', encoding="utf-8")
    assert start("start", "24-202.yaml", *args)[0] == 0
    assert json.loads(beside.read_text(encoding="utf-8"))["title"] == "A job"
    (tmp_path / "24-202.yaml").write_text("mine\n", encoding="utf-8")
    code, out, err = start("start", "24-202.yaml", *args)
    assert (code, out) == (2, "")
    assert "24-202.yaml" in err
    assert (tmp_path / "24-202.yaml").read_text(encoding="utf-8") == "mine\n"


def test_what_is_not_given_is_asked_for_at_a_terminal(
    start: Callable[..., tuple[int, str, str]], tmp_path: Path
) -> None:
    code, _, err = start("start", "a.yaml", typed="9\nin-line slider\n2\nostrel-inch\n")
    assert code == 0
    assert f"write a number from 1 to {len(HOLDS)}" in err
    job = tree((tmp_path / "a.yaml").read_text(encoding="utf-8"))
    assert (job["arrangement"], job["units"], job["kit"]) == ("in-line slider", "mm", "ostrel-inch")


@pytest.mark.parametrize(
    ("args", "says"),
    [
        (["a.yaml"], "Say which arrangement with --arrangement: bath slider, "),
        (["a.yaml", "--arrangement", "in-line slidr"], "Did you mean 'in-line slider'?"),
        (["a.yaml", "--arrangement", "in-line slider"], "Say which unit with --units: in, mm."),
        (["a.yaml", "b.yaml"], "Name one new file"),
        (
            ["kit", "A b.yaml", "--arrangement", "in-line slider", "--units", "in"],
            f"here is 'A b'. {KIT_ID.says}",
        ),
        (
            ["a.yaml", "--arrangement", "in-line slider", "--units", "in", "--kit", "ostrl"],
            "There is no kit 'ostrl'.",
        ),
    ],
)
def test_a_wrong_beginning_writes_nothing(
    start: Callable[..., tuple[int, str, str]], tmp_path: Path, args: list[str], says: str
) -> None:
    code, out, err = start("start", *args)
    assert (code, out) == (2, "")
    assert says in err
    assert [one.name for one in tmp_path.iterdir()] == ["kits"]


def test_a_kit_is_begun_and_asks_for_all_it_lacks(
    start: Callable[..., tuple[int, str, str]],
) -> None:
    args = ("--arrangement", "in-line slider", "--units", "mm", "--title", "From a sheet")
    assert start("start", "kit", "kits/new-one.yaml", *args)[0] == 0
    code, out, _ = start("review", "kits/new-one.yaml")
    assert code == 0
    assert "Sound by itself: NO" in out
    assert "hardware maker's sheet" in out


def test_a_kit_that_gives_nothing_is_not_sound(
    start: Callable[..., tuple[int, str, str]], tmp_path: Path
) -> None:
    (tmp_path / "kits" / "bare.yaml").write_text("kit: bare\ntitle: Bare\n", encoding="utf-8")
    code, out, err = start("review", "kits/bare.yaml")
    assert (code, out) == (2, "")
    assert "kits/bare.yaml:1:1: The kit bare gives no measure; " in err


class Server:
    """A language server that is spoken to as an editor does."""

    def __init__(self, process: "subprocess.Popen[bytes]") -> None:
        """Keep the process."""
        self._process = process
        self._asked = 0
        self.told: dict[str, Any] = {}

    def send(self, message: dict[str, Any]) -> None:
        """Send one message."""
        data = json.dumps({"jsonrpc": "2.0", **message}).encode()
        assert self._process.stdin is not None
        self._process.stdin.write(b"Content-Length: %d\r\n\r\n%s" % (len(data), data))
        self._process.stdin.flush()

    def notify(self, method: str, params: dict[str, Any]) -> None:
        """Tell it something."""
        self.send({"method": method, "params": params})

    def ask(self, method: str, params: dict[str, Any]) -> Any:  # noqa: ANN401 - as it answers
        """Return what it answers."""
        self._asked += 1
        self.send({"id": self._asked, "method": method, "params": params})
        return self._until(lambda one: one.get("id") == self._asked and "method" not in one)[
            "result"
        ]

    def diagnostics(self, uri: str) -> list[dict[str, Any]]:
        """Return what it underlines in a file that was just opened."""
        message = self._until(
            lambda one: (
                one.get("method") == "textDocument/publishDiagnostics"
                and one["params"]["uri"] == uri
            )
        )
        found: list[dict[str, Any]] = message["params"]["diagnostics"]
        return found

    def _until(self, wanted: Callable[[dict[str, Any]], bool]) -> dict[str, Any]:
        while True:
            message = self._read()
            if wanted(message):
                return message
            if "id" in message and "method" in message:  # it asks the editor
                asked = message["method"] == "workspace/configuration"
                many = len(message["params"]["items"]) if asked else 0
                settings = {"validate": True, "hover": True, "completion": True}
                self.send({"id": message["id"], "result": [settings] * many if asked else None})

    def _read(self) -> dict[str, Any]:
        out = self._process.stdout
        assert out is not None
        length = 0
        while line := out.readline().strip():
            name, _, value = line.partition(b":")
            length = int(value) if name.lower() == b"content-length" else length
        assert length, "the server has ended"
        message: dict[str, Any] = json.loads(out.read(length))
        return message


@contextmanager
def serving() -> Iterator[Server]:
    command = [SERVER, "--stdio"]
    with subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE) as process:  # noqa: S603
        try:
            yield Server(process)
        finally:
            process.kill()


def test_an_editor_completes_explains_and_underlines(
    start: Callable[..., tuple[int, str, str]], tmp_path: Path
) -> None:
    if not Path(SERVER).is_file():
        if os.environ.get("CI"):
            pytest.fail("YAML_LANGUAGE_SERVER names no program; .ci/run installs it.")
        pytest.skip("YAML_LANGUAGE_SERVER does not name the program of the npm package.")
    args = ("--arrangement", "in-line slider", "--units", "in", "--kit", "ostrel-inch")
    assert start("start", "job.yaml", *args)[0] == 0
    file = tmp_path / "job.yaml"
    lines = file.read_text(encoding="utf-8").splitlines()
    sill = next(at for at, line in enumerate(lines) if line.lstrip().startswith("sill:"))
    base = next(at for at, line in enumerate(lines) if line.startswith("  base:"))
    lines[sill] = "      sill: "
    lines[base] = "  base: kerb"
    text = "\n".join(lines)
    uri = file.as_uri()
    with serving() as server:
        server.ask("initialize", {"processId": None, "rootUri": tmp_path.as_uri(), "capabilities": {
            "textDocument": {"completion": {}, "hover": {}, "publishDiagnostics": {}},
            "workspace": {"configuration": True},
        }})  # fmt: skip
        server.notify("initialized", {})
        document = {"uri": uri, "languageId": "yaml", "version": 1, "text": text}
        server.notify("textDocument/didOpen", {"textDocument": document})
        underlined = server.diagnostics(uri)
        assert [one["range"]["start"]["line"] for one in underlined] == [base]
        assert "curb" in underlined[0]["message"]

        def at(line: int, column: int) -> dict[str, Any]:
            return {
                "textDocument": {"uri": uri},
                "position": {"line": line, "character": column},
            }

        offered = server.ask("textDocument/completion", at(sill, len(lines[sill])))
        labels = {one["label"] for one in offered["items"]}
        assert {"59 3/4 in", "1518 mm"} <= labels
        assert not labels & {"true", "false", "null"}
        told = json.dumps(server.ask("textDocument/hover", at(sill, 8)))
        assert "Width at the sill between finished surfaces" in told
        assert "12 in to 240 in" in told
