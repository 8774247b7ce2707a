"""The take-off as text, JSON and CSV, and the CSV in a spreadsheet program."""

import csv
import io
import json
import shutil
import subprocess
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from validator import Rules, judge, load_job, load_job_text
from validator.report import takeoff_csv, takeoff_data, takeoff_text
from validator.take_off import Takeoff, takeoff

JOBS = Path(__file__).resolve().parent.parent / "fixtures" / "jobs"
NAMES = (
    "fails-notch-radius.yaml",
    "holds-millimetres.yaml",
    "holds-ordinary.yaml",
    "holds-walls-only.yaml",
    "unknown-half-surveyed.yaml",
)
INCH = 25.4  # mm
HOSTILE = '=HYPERLINK(1),"x"\n@b'


def taken(rules: Rules, name: str = "holds-ordinary.yaml") -> Takeoff:
    return takeoff(judge(load_job(JOBS / name, rules), rules))


def hostile(rules: Rules, lead: str) -> Takeoff:
    text = (JOBS / "holds-ordinary.yaml").read_text(encoding="utf-8")
    # A handle past its edge makes a distance below zero.
    text = text.replace("job: 24-117", f"job: '{lead}1+1'").replace("x: 28 11/16", "x: -1/2")
    job = load_job_text(text, "hostile.yaml", rules, beside=JOBS)
    return takeoff(judge(job, rules))


def lines(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text, newline=""), strict=True))


@pytest.mark.parametrize("width", [60, 80, 100])
@pytest.mark.parametrize("name", NAMES)
def test_text_keeps_its_width(rules: Rules, name: str, width: int) -> None:
    text = takeoff_text.write(taken(rules, name), width=width)
    assert max(map(len, text.splitlines())) <= width
    assert text.endswith("\n")
    assert not any(line != line.rstrip() for line in text.splitlines())


def test_text_says_what_to_order(rules: Rules) -> None:
    text = takeoff_text.write(taken(rules))
    assert "Finished width, at foot and at head  31 3/16 in" in text
    assert "door: handle hole             28 11/16 in  left     36 in        1/2 in" in text
    assert "58 3/8 in (about 58.381 in)  1/32 in" in text
    assert takeoff_text.NO_RELEASE in text
    assert "Glass can maim." in text


def test_text_numbers_what_is_missing(rules: Rules) -> None:
    found = taken(rules, "unknown-half-surveyed.yaml")
    text = takeoff_text.write(found)
    assert found.missing
    number = next(n for n, one in enumerate(found.missing, 1) if one.fact == "design.hand")
    assert f"that is    not known [{number}]" in text
    assert f"[{number}] Hand, seen from outside" in text


def test_text_lets_nothing_steer_a_terminal(rules: Rules) -> None:
    text = (JOBS / "holds-ordinary.yaml").read_text(encoding="utf-8")
    text = text.replace("title: Slider", 'title: "\\u202e Slider')
    text = text.replace("Alder Lane (invented)", 'Alder Lane (invented)"')
    job = load_job_text(text, "job.yaml", rules, beside=JOBS)
    said = takeoff_text.write(takeoff(judge(job, rules)))
    assert "\u202e" not in said
    assert "\\u202e" in said


@pytest.mark.parametrize("name", NAMES)
def test_json_has_every_value(rules: Rules, name: str) -> None:
    found = taken(rules, name)
    data = json.loads(takeoff_data.write(found, "1"))
    assert [t["table"] for t in data["tables"]] == [t.key for t in found.tables]
    for told, table in zip(data["tables"], found.tables, strict=True):
        for written, row in zip(told["rows"], table.rows, strict=True):
            for cell in row.cells:
                if cell.text:
                    value = written["cells"][cell.key]["value"]
                    assert written["cells"][cell.key]["text"] == cell.text
                    assert (value is None) == (cell.value is None)
                    if cell.value is not None:
                        assert value["value"] == pytest.approx(cell.value.value, abs=1e-6)
    assert [one["fact"] for one in data["missing"]] == [one.fact for one in found.missing]


@pytest.mark.parametrize(
    ("name", "unit"), [("holds-ordinary.yaml", "in"), ("holds-millimetres.yaml", "mm")]
)
def test_csv_has_numbers_in_the_jobs_unit(rules: Rules, name: str, unit: str) -> None:
    found = taken(rules, name)
    text = takeoff_csv.write(found)
    assert text.count("\r\n") == text.count("\n") == len(lines(text)) + 1
    (width,) = (one for one in lines(text) if one["name"] == "door.width")
    assert width["unit"] == unit
    drawn = next(c for t in found.tables for r in t.rows for c in r.cells if c.name == "door.width")
    assert drawn.value is not None
    factor = INCH if unit == "in" else 1.0
    assert float(width["value"]) * factor == pytest.approx(drawn.value.value, abs=1e-4)
    assert width["text"] == drawn.text


@pytest.mark.parametrize("lead", ["=", "+", "-", "@"])
def test_csv_guards_texts_and_keeps_numbers(rules: Rules, lead: str) -> None:
    found = lines(takeoff_csv.write(hostile(rules, lead)))
    assert {one["job"] for one in found} == {f"'{lead}1+1"}
    (hole,) = (one for one in found if one["item"] == "hole 6" and one["what"] == "From edge")
    assert (float(hole["value"]), hole["text"]) == (-0.5, "'-1/2 in")


@given(st.text(max_size=20))
def test_no_guarded_text_starts_a_formula(text: str) -> None:
    said = takeoff_csv.guarded(text)
    assert not said.startswith(("=", "+", "-", "@", "\t", "\r"))
    assert said in (text, f"'{text}")
    assert said == text or text[0] in takeoff_csv.RISKY


OFFICE = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"
TABLE = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"


@pytest.mark.skipif(shutil.which("soffice") is None, reason="no spreadsheet program is installed")
def test_csv_in_a_spreadsheet_program(rules: Rules, tmp_path: Path) -> None:
    path = tmp_path / "takeoff.csv"
    text = takeoff_csv.write(hostile(rules, "="))
    path.write_bytes(text.encode("utf-8"))
    subprocess.run(  # noqa: S603  # our own file, read by a program that is there
        [
            str(shutil.which("soffice")),
            f"-env:UserInstallation=file://{tmp_path}/profile",
            "--headless",
            "--infilter=CSV:44,34,76,1",
            "--convert-to",
            "fods",
            "--outdir",
            str(tmp_path),
            str(path),
        ],
        check=True,
        capture_output=True,
        timeout=120,
    )
    root = ET.parse(tmp_path / "takeoff.fods").getroot()  # noqa: S314  # made just now
    cells = list(root.iter(f"{TABLE}table-cell"))
    assert not [one for one in cells if one.get(f"{TABLE}formula")]
    numbers = {float(v) for one in cells if (v := one.get(f"{OFFICE}value")) is not None}
    written = {float(one[key]) for one in lines(text) for key in ("value", "exact") if one[key]}
    assert written <= numbers
    assert -0.5 in numbers
