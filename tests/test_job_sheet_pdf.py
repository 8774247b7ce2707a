"""The job sheet as PDF: made where the library is, said in one sentence where it is not."""

import re
import sys
import zlib
from pathlib import Path

import pytest

from validator.job_sheet import PdfError, sheet_pdf

# WeasyPrint warns where the system has no library for cutting fonts down; it works without.
pytestmark = pytest.mark.filterwarnings("ignore:HarfBuzz-Subset:DeprecationWarning")

PAGE = (
    "<!DOCTYPE html><html lang='en'><head><title>Sheet</title><style>@page {{ size: {size} }}"
    "</style></head><body><h1>Sheet</h1><p>{text}</p></body></html>"
)


def test_a_missing_library_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "weasyprint", None)
    with pytest.raises(PdfError, match=r"not installed.*pip install \"paneproof\[pdf\]\""):
        sheet_pdf(PAGE.format(size="A4", text="1"))


def _library() -> None:
    try:
        import weasyprint  # noqa: F401, PLC0415  # what is tried
    except (ImportError, OSError) as error:
        pytest.skip(f"WeasyPrint is not here or finds no pango: {error}")


def _unpacked(made: bytes) -> bytes:
    """Return what the packed parts of a PDF hold."""
    found = [made]
    for part in re.findall(rb"stream\r?\n(.*?)endstream", made, re.DOTALL):
        try:
            found.append(zlib.decompress(part))
        except zlib.error:  # it is not packed
            continue
    return b"\n".join(found)


@pytest.mark.parametrize(
    ("size", "points"), [("215.9mm 279.4mm", (612, 792)), ("210mm 297mm", (595, 842))]
)
def test_a_page_has_its_size_and_its_tags(size: str, points: tuple[int, int]) -> None:
    _library()
    made = sheet_pdf(PAGE.format(size=size, text="31 3/16 in"))
    assert made.startswith(b"%PDF-")
    inside = _unpacked(made)
    box = re.search(rb"/MediaBox ?\[0 0 ([\d.]+) ([\d.]+)\]", inside)
    assert box is not None
    assert tuple(round(float(side)) for side in box.groups()) == points
    assert b"/StructTreeRoot" in inside


def test_nothing_is_fetched(tmp_path: Path) -> None:
    _library()
    from weasyprint import HTML  # noqa: PLC0415  # skipped above where it is not here

    picture = tmp_path / "picture.svg"
    square = "<rect width='9' height='9' fill='#003300'/>"
    drawn = f"<svg xmlns='http://www.w3.org/2000/svg' width='9' height='9'>{square}</svg>"
    picture.write_text(drawn, encoding="utf-8")
    asking = PAGE.format(size="A4", text=f"<img src='{picture.as_uri()}' alt=''>")
    green = re.compile(rb"\b0 0?\.2 0\b")
    assert green.search(_unpacked(HTML(string=asking).write_pdf(pdf_tags=True)))
    assert not green.search(_unpacked(sheet_pdf(asking)))
