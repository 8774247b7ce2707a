"""Workings that stand on workings, hundreds deep: every paper is still written."""

from pathlib import Path

import pytest

from validator import judge, load_job_text, load_rules, review
from validator.drawing import draw
from validator.job_sheet import sheet_html
from validator.remedy import remedies
from validator.settingout import setting_out
from validator.take_off import takeoff

FIXTURES = Path(__file__).resolve().parent.parent / "fixtures"
DEEP = 600


def book(deep: int, compared: str) -> str:
    """Return a book whose last working stands on a chain of others, and a clause that asks it."""
    lines = ["book: chain", "title: A chain", "workings:"]
    for at in range(deep):
        below = f"door.link{at - 1}" if at else "door.run.survey.head_height"
        lines.append(
            f"  door.link{at}: {{for: each sliding door, means: Link {at},"
            f" kind: length, is: {below} * 1}}"
        )
    lines += [
        "clauses:",
        "  end:",
        "    {title: The end of the chain, for: each sliding door, level: error, stage: survey,",
        f"     why: x, needs: door.link{deep - 1} {compared} door.design.overlap,",
        "     basis: {standing: memory}, says: '{actual}'}",
    ]
    return "\n".join(lines) + "\n"


@pytest.mark.parametrize(
    ("height", "compared", "outcome"),
    [("78", ">=", "holds"), ("78", "<=", "fails"), ("", ">=", "unknown")],
)
def test_a_long_chain_of_workings(tmp_path: Path, height: str, compared: str, outcome: str) -> None:
    (tmp_path / "chain.yaml").write_text(book(DEEP, compared), encoding="utf-8")
    rules = load_rules(books=(tmp_path / "chain.yaml",), installed=False)
    text = (FIXTURES / "jobs" / "holds-ordinary.yaml").read_text(encoding="utf-8")
    assert "head_height: 78" in text
    text = text.replace("head_height: 78", f"head_height: {height}")
    job = load_job_text(text, "job.yaml", rules, beside=FIXTURES / "jobs")
    said = review(job, rules, every=True)
    (end,) = (one for one in said.findings if one.clause == "chain.end")
    assert end.outcome == outcome
    assert end.missing == (() if height else ("survey.front.head_height",))
    verdict = judge(job, rules)
    assert takeoff(verdict).tables
    assert setting_out(verdict).steps
    assert draw(verdict, said)
    assert sheet_html(verdict, said)
    assert bool(remedies(job, rules, tolerance=False).singles) == (outcome == "fails")
