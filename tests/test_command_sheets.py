"""The commands for the shop: take-off and drawing, as text and as files."""

import csv
import io
import json
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from typer.testing import CliRunner

from ruleset.node import plain
from ruleset.reader import read_file
from validator.command import app

JOBS = Path(__file__).parent.parent / "fixtures" / "jobs"
ORDINARY = str(JOBS / "holds-ordinary.yaml")


def _run(*words: str) -> tuple[int, str, str]:
    done = CliRunner().invoke(app, list(words))
    return done.exit_code, done.stdout, done.stderr


def test_the_take_off_is_printed_with_setting_out() -> None:
    code, out, err = _run("takeoff", ORDINARY)
    assert (code, err) == (0, "")
    assert "31 3/16 in" in out
    assert "Setting-out" in out
    assert max(map(len, out.splitlines())) <= 80


def test_the_take_off_as_data_and_as_a_table() -> None:
    code, out, _ = _run("takeoff", ORDINARY, "--format", "json")
    assert code == 0
    assert set(json.loads(out)) > {"paneproof", "setting_out"}
    code, out, _ = _run("takeoff", ORDINARY, "--format", "csv")
    rows = list(csv.DictReader(io.StringIO(out)))
    widths = [row["text"] for row in rows if row["name"] == "door.width"]
    assert code == 0
    assert widths == ["31 3/16 in"]


def test_a_file_is_written_whole_and_never_over_another(tmp_path: Path) -> None:
    out = tmp_path / "job.csv"
    assert _run("takeoff", ORDINARY, "--format", "csv", "--out", str(out))[0] == 0
    before = out.read_bytes()
    assert before.startswith(b"job,")
    with pytest.raises(FileExistsError, match="There is such a file already"):
        CliRunner().invoke(app, ["takeoff", ORDINARY, "--out", str(out)], catch_exceptions=False)
    assert out.read_bytes() == before
    assert [one.name for one in tmp_path.iterdir()] == ["job.csv"]


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_a_drawing_is_svg(paper: str) -> None:
    code, out, err = _run("draw", ORDINARY, "--paper", paper)
    assert (code, err) == (0, "")
    root = ET.fromstring(out)  # noqa: S314  # our own text
    assert root.tag.endswith("svg")
    assert root.get("width") == {"letter": "215.9mm", "a4": "210mm"}[paper]


def test_a_picture_needs_a_file() -> None:
    code, out, err = _run("draw", ORDINARY, "--format", "png")
    assert (code, out) == (2, "")
    assert "--out" in err


def test_the_sheet_is_one_page_of_html(tmp_path: Path) -> None:
    out = tmp_path / "job.html"
    code, said, err = _run("sheet", ORDINARY, "--out", str(out))
    assert (code, said, err) == (0, "", "")
    text = out.read_text(encoding="utf-8")
    assert text.startswith("<!DOCTYPE html>")
    assert "31 3/16 in" in text
    assert "<script" not in text


def test_a_pdf_needs_a_file() -> None:
    code, out, err = _run("sheet", ORDINARY, "--format", "pdf")
    assert (code, out) == (2, "")
    assert "--out" in err


@pytest.mark.parametrize(
    "words", [["takeoff", ORDINARY, "--format", "pdf"], ["draw", ORDINARY, "--paper", "a3"]]
)
def test_a_wrong_word_is_told(words: list[str]) -> None:
    code, out, err = _run(*words)
    assert (code, out) == (2, "")
    assert "There are:" in err


def test_each_error_carries_its_cure_and_the_patch_applies() -> None:
    import jsonpatch  # noqa: PLC0415  # an independent library: RFC 6902

    path = JOBS / "fails-open-door-too-narrow.yaml"
    code, out, _ = _run("review", str(path), "--format", "json")
    (finding,) = (f for f in json.loads(out)["findings"] if f["level"] == "error")
    (cure,) = finding["remedies"]
    assert code == 1
    data = plain(read_file(path))
    changed = jsonpatch.apply_patch(data, cure["operations"])
    assert isinstance(data, dict)
    assert changed["design"]["fixed"]["split"] != data["design"]["fixed"]["split"]
    code, out, _ = _run("review", str(path), "--no-remedy")
    assert code == 1
    assert "Cure " not in out


def test_a_remedy_is_saved_into_a_new_file_that_asks_for_the_check_again(tmp_path: Path) -> None:
    path = JOBS / "fails-open-door-too-narrow.yaml"
    out = tmp_path / "cured.yaml"
    code, said, told = _run("remedy", str(path), "--write", str(out))
    assert code == 0
    assert "Change the split" in said
    assert told.startswith(
        f"Saved as {out}. What was checked or signed for the old sizes is set to"
    )
    kits = ("--kits", str(JOBS.parent / "kits"))
    code, said, _ = _run("review", str(out), *kits)
    assert code == 1
    assert "Must change (2)" in said
    assert "papers.second-check" in said
    assert "papers.drawing-signed" in said
    _, taken, _ = _run("takeoff", str(out), *kits, "--format", "json")
    sizes = json.loads(taken)["sizes_code"]
    assert f"the code of these is {sizes}." in " ".join(said.split()).lower().replace(
        sizes.lower(), sizes
    )
    text = out.read_text(encoding="utf-8")
    for word, done in (("yes", 1), (sizes, 0)):
        given = text.replace("signed: no", f"signed: {word}")
        out.write_text(given.replace("check: no", f"check: {word}"), encoding="utf-8")
        assert _run("review", str(out), *kits)[0] == done


@pytest.mark.parametrize(
    ("name", "code", "says"),
    [
        ("holds-ordinary", 0, "There is no error to cure; nothing was saved."),
        ("fails-no-backing", 1, "No change of the design cures an error; nothing was saved."),
        ("fails-several-faults", 1, "4 errors of the job as it was are left in it."),
    ],
)
def test_what_cannot_be_saved_or_is_left_is_told(
    name: str, code: int, says: str, tmp_path: Path
) -> None:
    out = tmp_path / "cured.yaml"
    ended, _, told = _run("remedy", str(JOBS / f"{name}.yaml"), "--write", str(out))
    assert (ended, out.exists()) == (code, "left in it" in says)
    assert told.strip().endswith(says)


def test_tolerances_may_be_left_out_of_a_remedy() -> None:
    code, said, _ = _run("remedy", str(JOBS / "fails-curb-too-narrow.yaml"), "--no-tolerance")
    assert code == 0
    assert "from 0 in to 1/16 in" in said
    assert "tolerance" not in said
