"""What code sets cover, and whose word a finding is, over all shipped books and code sets."""

from collections.abc import Callable
from pathlib import Path

import pytest

from ruleset.layers import in_order
from validator import Finding, Review, Rules, load_job_text, review
from validator.report.data import finding_data
from validator.report.layout import Look
from validator.report.text import review_text

ORDINARY = Path(__file__).parent.parent / "fixtures" / "jobs" / "holds-ordinary.yaml"
NO_WORD = "o code set of this job has a word of its own here"
SETS = ("ada-2010", "en-12150", "ibc-2021", "ipc-2021", "irc-2021", "upc-2024")
MODELS = {
    "2010 ADA Standards",
    "International Building Code",
    "International Plumbing Code",
    "International Residential Code",
    "Uniform Plumbing Code",
}

Reviewed = Callable[..., Review]


@pytest.fixture
def reviewed(rules: Rules) -> Reviewed:
    def made(code: str, *changes: tuple[str, str]) -> Review:
        text = ORDINARY.read_text(encoding="utf-8")
        for old, new in (("code: irc-2021", f"code: {code}"), *changes):
            assert text.count(old) == 1, old
            text = text.replace(old, new)
        job = load_job_text(text, "job.yaml", rules, beside=ORDINARY.parent)
        return review(job, rules, tolerance=False)

    return made


def test_a_clause_that_a_set_drops_is_told_with_the_rest(rules: Rules) -> None:
    text = ORDINARY.read_text(encoding="utf-8").replace("code: irc-2021", "code: upc-2024")
    job = load_job_text(text, "job.yaml", rules, beside=ORDINARY.parent)
    brief, whole = (review(job, rules, tolerance=False, every=every) for every in (False, True))
    told = fault(whole, "compartment.least-dimension")
    assert told is not None
    assert told.outcome == "exempt"
    assert "The circle takes the place of the least dimension." in told.says
    assert fault(brief, "compartment.least-dimension") is None
    assert brief.counts == whole.counts
    said = " ".join(review_text(whole, Look(), every=True).split())
    assert "upc-2024 drops it: The circle takes the place of the least dimension." in said


def fault(found: Review, clause: str) -> Finding | None:
    return next((one for one in found.findings if one.clause == clause), None)


# The residential code is for one- and two-family dwellings, the building code with its plumbing
# code for the rest; drilling of glass and accessibility are no code of a building.
@pytest.mark.parametrize(
    ("code", "dwelling", "other"),
    [
        ("irc-2021", True, False),
        ("ipc-2021", False, True),
        ("ibc-2021", False, True),
        ("upc-2024", True, True),
        ("en-12150", False, False),
        ("[irc-2021, ibc-2021]", True, True),
        ("[irc-2021, en-12150]", True, False),
    ],
)
def test_a_set_that_does_not_cover_the_building_is_told(
    reviewed: Reviewed, code: str, *, dwelling: bool, other: bool
) -> None:
    for occupancy, covered in (("dwelling", dwelling), ("other building", other)):
        found = reviewed(code, ("occupancy: dwelling", f"occupancy: {occupancy}"))
        told = fault(found, "adopted.covers-building")
        assert (told is None) is covered
        if told is not None:
            assert (told.outcome, told.level) == ("fails", "error")
            assert "adopted.covers-building" in found.release.because


def test_what_is_asked_of_another_building_is_not_switched_off(reviewed: Reviewed) -> None:
    found = reviewed("irc-2021", ("occupancy: dwelling", "occupancy: other building"))
    assert fault(found, "glass.engineer") is not None
    assert fault(reviewed("irc-2021"), "glass.engineer") is None


def test_an_adopted_standard_of_access_bites(reviewed: Reviewed) -> None:
    both, other = "[ibc-2021, ada-2010]", ("occupancy: dwelling", "occupancy: other building")
    contradicted = reviewed(both, other)
    assert "adopted.serves-wheelchair" in contradicted.release.because
    asked = reviewed(both, other, ("accessible: no", "accessible: "))
    assert "adopted.serves-wheelchair" in asked.release.because
    assert "survey.accessible" in [one.fact for one in asked.asked]
    served = reviewed(both, other, ("accessible: no", "accessible: yes"))
    assert fault(served, "adopted.serves-wheelchair") is None
    assert {"compartment.accessible-threshold", "compartment.threshold-agrees"} <= set(
        served.release.because
    )
    assert fault(reviewed("irc-2021"), "adopted.serves-wheelchair") is None


def test_a_standard_of_access_is_a_choice_in_a_dwelling(reviewed: Reviewed) -> None:
    told = fault(reviewed("[irc-2021, ada-2010]"), "adopted.accessible-by-choice")
    assert told is not None
    assert (told.outcome, told.level) == ("fails", "note")


@pytest.mark.parametrize("name", SETS)
def test_each_clause_says_whose_word_it_is(rules: Rules, name: str) -> None:
    layers = in_order(rules.codes, (name,), rules.codes[name].place)
    adopted = {document for layer in layers for document in layer.documents}
    own = others = 0
    for checked in rules.under(layers).clauses.values():
        basis = checked.clause.basis
        own += basis.document in adopted
        others += basis.document in MODELS - adopted
        assert (NO_WORD in basis.note) is (basis.document in MODELS - adopted), basis
    assert own > 2
    assert others > 2


def test_a_finding_shows_that_the_adopted_code_has_no_word(reviewed: Reviewed) -> None:
    low = ("above_drain: 5", "above_drain: 1")
    theirs = fault(reviewed("ipc-2021", low), "compartment.curb-height")
    assert theirs is not None
    assert theirs.basis.document == "International Residential Code"
    assert f"n{NO_WORD}" in str(finding_data(theirs)["basis"])
    said = " ".join(review_text(reviewed("ipc-2021", low), Look()).split())
    assert f"(published text); n{NO_WORD}" in said
    ours = fault(reviewed("upc-2024", low), "compartment.curb-height")
    assert ours is not None
    assert (ours.basis.document, ours.basis.clause) == ("Uniform Plumbing Code", "408.5")
    assert NO_WORD not in ours.basis.note


# UPC 408.5 asks for 1/4 to 1/2 in per ft (corroborated); the IRC rounds the lesser to 2 %.
@pytest.mark.parametrize(
    ("code", "slope", "holds"),
    [
        ("irc-2021", "2 %", True),
        ("upc-2024", "2 %", False),
        ("upc-2024", "1/4 in/ft", True),
        ("upc-2024", "1/2 in/ft", True),
        ("upc-2024", "4.3 %", False),
    ],
)
def test_the_floors_slope_is_the_adopted_codes(
    reviewed: Reviewed, code: str, slope: str, *, holds: bool
) -> None:
    told = fault(reviewed(code, ("slope: 1/4 in/ft", f"slope: {slope}")), "compartment.floor-slope")
    assert (told is None) is holds
    if told is not None:
        assert told.basis.document == "Uniform Plumbing Code"
