"""Reviews as JSON: exactly the fields, order and units that other programs rely on."""

import json
from dataclasses import dataclass, replace
from fractions import Fraction

import pytest

from ruleset.book import Basis
from ruleset.explain import Amount
from ruleset.kinds import KINDS
from ruleset.place import Place
from ruleset.show import Style
from validator.finding import Asked, Assumed, Finding, Release, Review, Waiver
from validator.report.data import as_json, plain, review_data, reviews_data, rounded, unit_of

PLACE = Place(file="jobs/hall.yaml", line=31, column=10, pointer="/design/split")
FINDING = Finding(
    clause="sliding.clear-opening",
    subject="door",
    outcome="fails",
    level="error",
    stage="design",
    title="The open door leaves room to walk in",
    says="The open door leaves 19 7/8 in; at least 22 in is needed, 2 1/8 in more.",
    do="Move the split.",
    why="A narrower way in traps a person who falls.",
    place=PLACE,
    actual=Amount(value=504.82500000004, kind=KINDS["length"], text="19 7/8 in"),
    limit=Amount(value=558.8, kind=KINDS["length"], text="22 in"),
    margin=Amount(value=-53.97499999996, kind=KINDS["length"], text="-2 1/8 in"),
    working=("Way in: 59 7/8 - 40 = 19 7/8 in",),
    basis=Basis(document="A Code", edition="2021", clause="7.1", standing="published"),
    missing=(),
    caution="Glass cuts.",
)
REVIEW = Review(
    job="24-117",
    title="Hall bath",
    file="jobs/hall.yaml",
    kit="ostrel-inch",
    today="2026-02-03",
    codes=("irc-2021",),
    style=Style(),
    release=Release(stage="order", ready=False, because=("sliding.clear-opening",)),
    counts={"holds": 61, "fails": 1},
    findings=(FINDING,),
    asked=(
        Asked(
            fact="survey.route",
            means="Longest pane that can be carried in",
            who="surveyor",
            stage="survey",
            place=PLACE,
            clauses=("handling.route",),
        ),
    ),
    assumed=(Assumed(fact="survey.steam", means="There is steam", text="no"),),
    cautions=("Glass can maim.",),
)
WRITTEN_PLACE = {
    "file": "jobs/hall.yaml",
    "pointer": "/design/split",
    "line": 31,
    "column": 10,
}


def test_the_whole_object() -> None:
    assert json.loads(as_json(review_data(REVIEW, "0.1.0"))) == {
        "paneproof": "0.1.0",
        "format": 2,
        "job": "24-117",
        "title": "Hall bath",
        "file": "jobs/hall.yaml",
        "kit": "ostrel-inch",
        "sha256": {"job": "", "books": ""},
        "today": "2026-02-03",
        "sizes_code": "",
        "code": ["irc-2021"],
        "release": {"stage": "order", "ready": False, "because": ["sliding.clear-opening"]},
        "counts": {"fails": 1, "tight": 0, "unknown": 0, "holds": 61, "exempt": 0},
        "past": 0,
        "findings": [
            {
                "clause": "sliding.clear-opening",
                "subject": "door",
                "outcome": "fails",
                "level": "error",
                "stage": "design",
                "title": "The open door leaves room to walk in",
                "says": FINDING.says,
                "do": FINDING.do,
                "why": FINDING.why,
                "place": WRITTEN_PLACE,
                "actual": {"value": 504.825, "unit": "mm", "text": "19 7/8 in"},
                "limit": {"value": 558.8, "unit": "mm", "text": "22 in"},
                "margin": {"value": -53.975, "unit": "mm", "text": "-2 1/8 in"},
                "working": ["Way in: 59 7/8 - 40 = 19 7/8 in"],
                "basis": {
                    "document": "A Code",
                    "edition": "2021",
                    "clause": "7.1",
                    "standing": "published",
                },
                "missing": [],
                "remedies": [],
                "caution": "Glass cuts.",
            }
        ],
        "to_measure": [
            {
                "fact": "survey.route",
                "means": "Longest pane that can be carried in",
                "who": "surveyor",
                "stage": "survey",
                "place": WRITTEN_PLACE,
                "clauses": ["handling.route"],
            }
        ],
        "assumed": [
            {"fact": "survey.steam", "means": "There is steam", "text": "no", "source": ""}
        ],
        "cautions": ["Glass can maim."],
        "broken": [],
    }


def test_keys_keep_their_order() -> None:
    data = review_data(REVIEW, "0.1.0")
    assert list(data) == [
        *("paneproof", "format", "job", "title", "file", "kit", "sha256", "today", "sizes_code"),
        *("code", "release"),
        *("counts", "past", "findings", "to_measure", "assumed", "cautions", "broken"),
    ]
    assert list(json.loads(as_json(data))) == list(data)


def test_no_comparison_gives_null() -> None:
    bare = replace(FINDING, actual=None, limit=None, margin=None)
    (found,) = json.loads(as_json(review_data(replace(REVIEW, findings=(bare,)), "1")))["findings"]
    assert (found["actual"], found["limit"], found["margin"]) == (None, None, None)


def test_a_waiver_is_told() -> None:
    waiver = Waiver(
        clause=FINDING.clause, subject="", why="agreed", by="the office", until="", place=PLACE
    )
    waived = replace(FINDING, outcome="exempt", waived=waiver)
    (found,) = json.loads(as_json(review_data(replace(REVIEW, findings=(waived,)), "1")))[
        "findings"
    ]
    assert found["waived"] == {
        "why": "agreed",
        "by": "the office",
        "until": "",
        "place": WRITTEN_PLACE,
    }


def test_several_jobs_are_one_object() -> None:
    data = reviews_data([REVIEW, REVIEW], "0.1.0")
    assert list(data) == ["paneproof", "format", "jobs"]
    assert data["jobs"] == [review_data(REVIEW, "0.1.0")] * 2


@pytest.mark.parametrize(
    ("kind", "unit"),
    [
        ("length", "mm"),
        ("area", "mm2"),
        ("mass", "kg"),
        ("force", "N"),
        ("stress", "MPa"),
        ("angle", "rad"),
        ("duration", "s"),
        ("number", ""),
        ("count", ""),
        ("slope", ""),
    ],
)
def test_units_are_the_internal_ones(kind: str, unit: str) -> None:
    assert unit_of(KINDS[kind]) == unit


def test_every_kind_with_a_dimension_has_a_unit() -> None:
    wrong = [kind.name for kind in KINDS.values() if bool(unit_of(kind)) != any(kind.dims)]
    assert (wrong, bool(KINDS)) == ([], True)


def test_json_has_no_word_for_what_is_not_finite() -> None:
    assert rounded(float("inf")) is None
    assert rounded(float("nan")) is None
    endless = Amount(value=float("inf"), kind=KINDS["length"], text="infinite")
    text = as_json(review_data(replace(REVIEW, findings=(replace(FINDING, margin=endless),)), "1"))
    assert json.loads(text)["findings"][0]["margin"]["value"] is None


def test_zero_has_no_sign() -> None:
    assert str(rounded(-1e-9)) == "0.0"


def test_json_is_ascii_whatever_the_job_says() -> None:
    text = as_json(review_data(replace(REVIEW, file="b\u00e4d\u202e\udc80\x1b"), "1"))
    assert text.isascii()
    assert "\x1b" not in text
    assert json.loads(text)["file"] == "b\u00e4d\u202e\udc80\x1b"


@dataclass(frozen=True, slots=True)
class _Change:
    fact: str
    by: Fraction
    steps: tuple[float, ...]


def test_remedies_of_any_class_become_json() -> None:
    change = _Change(fact="design.fixed.split", by=Fraction(1, 2), steps=(0.1234567, 2.0))
    assert plain(change) == {"fact": "design.fixed.split", "by": "1/2", "steps": [0.123457, 2.0]}
