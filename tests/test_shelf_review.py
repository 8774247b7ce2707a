"""A small job reviewed: each outcome with its whole sentence, its place, and what it holds up."""

import datetime as dt
from collections.abc import Callable
from contextlib import AbstractContextManager
from unittest.mock import patch

import pytest

from ruleset.place import Place
from validator import Finding, Job, Review, Rules, judge, review
from validator.release import BUILT_SO
from validator.reviewing import review_kit, review_verdict
from validator.tolerances import Adjuster, DeclaredTolerance, Tolerances

REACH = "reach: 10\n"
ALL = ("deep", "wide", "roomy", "carried", "long", "level", "sunk")
Made = Callable[..., Job]


def told(said: Review) -> dict[str, tuple[str, str, str]]:
    """Return outcome, level and sentence of each clause that is told."""
    return {
        one.clause.partition(".")[2]: (one.outcome, one.level, one.says) for one in said.findings
    }


def finding(said: Review, name: str) -> Finding:
    (found,) = (one for one in said.findings if one.clause == f"shelf.{name}")
    return found


def at(place: Place) -> str:
    return f"{place.file.rpartition('/')[2]}:{place.line}:{place.column}"


# --- outcomes ------------------------------------------------------------------------------------


def test_a_job_that_holds_says_nothing_and_with_every_all_there_is(
    shelf: Rules, made: Made
) -> None:
    said = review(made(), shelf)
    assert (said.findings, said.asked, said.broken, said.past) == ((), (), (), 0)
    assert (said.release.ready, said.release.because, said.exit_code) == (True, (), 0)
    counts = {"fails": 0, "tight": 0, "unknown": 1, "holds": 6, "exempt": 1}
    assert said.counts == counts
    assert list(said.counts) == ["fails", "tight", "unknown", "holds", "exempt"]
    every = review(made(), shelf, every=True)
    assert every.counts == counts
    assert told(every) == {
        "level": ("unknown", "error", "Not known yet: It does not sag. Missing: sag."),
        "wide": ("holds", "error", "The shelf is wide enough"),
        "roomy": ("holds", "warning", "Half of it and the spare are enough"),
        "deep": ("holds", "error", "The niche is deeper than the shelf"),
        "either": ("holds", "warning", "The wall is sound, or the niche deeper"),
        "sunk": ("exempt", "warning", "Does not apply: It is let in deep enough"),
        "long": ("holds", "error", "The bracket is no longer than the shelf stands out"),
        "carried": ("holds", "warning", "A bracket carries enough"),
    }
    # By line and column of the job, and those of other files last; a clause's levers come first.
    assert [(one.clause.partition(".")[2], at(one.place)) for one in every.findings] == [
        ("level", "job.yaml:2:1"),
        ("roomy", "job.yaml:10:10"),
        ("wide", "job.yaml:10:10"),
        ("sunk", "job.yaml:11:10"),
        ("either", "job.yaml:12:10"),
        ("deep", "job.yaml:14:10"),
        ("long", "job.yaml:14:10"),
        ("carried", "plain.yaml:1:1"),
    ]
    assert finding(every, "deep").working == ("What the niche is deeper: 12 - 10 = 2 in",)
    assert (said.job, said.title, said.file, said.kit) == ("A1", "A shelf", "job.yaml", "plain")
    assert (said.codes, said.of, said.today, said.sizes_code) == (
        ("ours",),
        "job",
        "2026-03-02",
        "",
    )
    assert [(one.fact, one.says) for one in said.assumed] == [
        ("design.gap", "1/8 in"),
        ("design.sunk", "no"),
        ("kit.load", "20 lb, as shelf.limit.load"),
    ]


def test_what_fails_is_told_whole(shelf: Rules, made: Made) -> None:
    said = review(made((REACH, "reach: 11 1/2\n"), ("niche: 30", "niche: 18")), shelf)
    assert told(said) == {
        "wide": (
            "fails",
            "error",
            "The shelf is 17 3/4 in wide; at least 20 in is needed.",
        ),
        "deep": ("fails", "error", "The niche is 1/2 in deeper; at least 1 in is needed."),
    }
    assert (said.release.ready, said.exit_code) == (False, 1)
    assert said.release.because == ("shelf.deep", "shelf.wide")
    deep, wide = finding(said, "deep"), finding(said, "wide")
    assert (deep.do, deep.caution, deep.missing) == ("Make the shelf narrower.", "", ())
    assert (deep.why, deep.stage, deep.subject) == ("It would stand out.", "design", "board")
    assert (deep.title, deep.basis.document) == ("The niche is deeper than the shelf", "A code")
    assert (wide.do, wide.caution) == ("", "Lift it with two.")
    shown = [one and (one.text, round(one.value, 6)) for one in (deep.actual, deep.limit)]
    assert shown == [("1/2 in", 12.7), ("1 in", 25.4)]
    assert deep.margin
    assert round(deep.margin.value, 6) == -12.7
    assert deep.working == ("What the niche is deeper: 12 - 11 1/2 = 1/2 in",)
    # A limit from memory is marked where the clause's own word is a published one.
    assert [(name, basis.standing) for name, basis in wide.marked] == [
        ("shelf.wide.least", "memory")
    ]
    assert (deep.marked, deep.stack, deep.waived) == ((), None, None)


def test_a_softer_level_is_taken_where_it_is_surely_meant(shelf: Rules, made: Made) -> None:
    narrow = ("niche: 30", "niche: 18")
    pine = review(made(narrow, ("wood: oak", "wood: pine")), shelf)
    assert told(pine)["wide"][:2] == ("fails", "note")
    assert (pine.release.ready, pine.exit_code) == (True, 0)
    holds = review(made(("wood: oak", "wood: pine")), shelf, every=True)
    assert told(holds)["wide"][:2] == ("holds", "note")
    for wood in ("wood: oak", "wood:"):
        assert told(review(made(narrow, ("wood: oak", wood)), shelf))["wide"][1] == "error"
    assert told(review(made(), shelf, every=True))["deep"][1] == "error"


def test_what_is_not_known_is_asked_for_once(shelf: Rules, made: Made) -> None:
    job = made(("  depth: 12\n", ""), ("  niche: 30\n", ""), ("wood: oak", "pegs: [{x: 3}, {}]"))
    said = review(job, shelf)
    assert told(said) == {
        "wide": (
            "unknown",
            "error",
            "Not known yet: The shelf is wide enough. Missing: width of the niche.",
        ),
        "deep": (
            "unknown",
            "error",
            "Not known yet: The niche is deeper than the shelf. Missing: depth of the niche.",
        ),
        "roomy": (
            "unknown",
            "warning",
            (
                "Not known yet: Half of it and the spare are enough. "
                "Missing: depth of the niche; width of the niche."
            ),
        ),
        "pegged": (
            "unknown",
            "note",
            "Not known yet: No peg is at the very end. Missing: the x of peg 2 of the shelf.",
        ),
    }
    assert [(one.fact, one.means, one.who, one.stage, one.clauses) for one in said.asked] == [
        (
            "design.pegs[2].x",
            "The x of peg 2 of the shelf",
            "designer",
            "design",
            ("shelf.pegged",),
        ),
        ("survey.depth", "Depth of the niche", "surveyor", "survey", ("shelf.deep", "shelf.roomy")),
        (
            "survey.niche",
            "Width of the niche",
            "whoever measures",
            "survey",
            ("shelf.roomy", "shelf.wide"),
        ),
    ]
    assert {one.fact: at(one.place) for one in said.asked}["survey.niche"] == "job.yaml:10:3"
    deep = finding(said, "deep")
    assert (deep.do, deep.working, deep.marked) == ("", (), ())
    assert (deep.missing, at(deep.place)) == (("survey.depth",), "job.yaml:10:3")
    assert said.release.because == ("shelf.deep", "shelf.wide")


def test_what_fails_whatever_is_still_to_be_measured_fails_now(shelf: Rules, made: Made) -> None:
    # A niche is at most 99 in deep, and half of the shelf's width is 14 7/8 in.
    job = made(("depth: 12", "depth:"), (REACH, "reach: 99\n"))
    said = review(job, shelf)
    assert told(said)["deep"] == (
        "fails",
        "error",
        (
            "The niche is at most 0 in deeper; at least 1 in is needed. "
            "It is so whatever is still to be measured."
        ),
    )
    assert told(said)["roomy"][0] == "unknown"


def test_a_formula_without_a_value_is_the_books_fault(shelf: Rules, made: Made) -> None:
    sunk = (("depth: 12", "depth: 30"), ("wood: oak", "sunk: yes"))
    said = review(made(*sunk), shelf)
    formula = "survey.depth / (survey.niche - survey.depth) >= limit.least"
    assert told(said)["sunk"] == (
        "unknown",
        "warning",
        "Undefined: It is let in deep enough. Its formula has no value on this job.",
    )
    (broken,) = said.broken
    assert broken.startswith(
        f"shelf.sunk on board is undefined on this job though nothing is missing: {formula}. "
        "This is the book's fault, at "
    )
    assert (said.exit_code, said.release.ready) == (2, False)
    assert said.release.because == ("shelf.sunk",)
    # Where the job is wrong elsewhere, the formula may well have no value.
    wrong = review(made(*sunk, (REACH, "reach: 29 1/2\n")), shelf)
    assert (wrong.broken, wrong.exit_code) == ((), 1)


# --- stages --------------------------------------------------------------------------------------


def test_each_stage_waits_for_what_is_due(shelf: Rules, made: Made) -> None:
    def state(stage: str, *swaps: tuple[str, str]) -> tuple[bool, tuple[str, ...], set[str]]:
        said = review(made(*swaps), shelf, stage=stage)
        assert said.release.stage == stage
        return said.release.ready, said.release.because, {one.fact for one in said.asked}

    assert state("order") == (True, (), set())
    assert state("handover") == (False, ("shelf.level",), {"as_built.sag"})
    reach = ((REACH, "\n"),)
    assert state("survey", *reach) == (True, (), set())
    assert state("design", *reach) == (False, ("shelf.deep",), {"design.reach"})
    assert state("install", *reach) == (False, ("shelf.deep", "shelf.long"), {"design.reach"})
    # A survey that lacks a reading is not complete, although a clause of the design needs it.
    assert state("survey", ("depth: 12", "depth:")) == (False, ("shelf.deep",), {"survey.depth"})
    with pytest.raises(ValueError, match="no stage never; there are survey, design, order,"):
        review(made(), shelf, stage="never")


def test_at_handover_what_is_built_is_not_designed_again(shelf: Rules, made: Made) -> None:
    swaps = (("niche: 30", "niche: 8"), (REACH, "reach: 11 1/2\n"), ("wood: oak", "wood: pine"))
    sag = "as_built: {sag: 1/4}"
    order = review(made(*swaps, more=sag), shelf, stage="order")
    assert told(order).keys() == {"wide", "roomy", "deep", "level"}
    assert (finding(order, "deep").do, order.past) == ("Make the shelf narrower.", 0)
    handover = review(made(*swaps, more=sag), shelf, stage="handover")
    assert told(handover).keys() == {"deep", "level"}
    assert handover.past == 2
    assert (finding(handover, "deep").do, finding(handover, "level").do) == (
        BUILT_SO,
        "Turn it over.",
    )
    assert handover.release.because == ("shelf.deep", "shelf.level")
    every = review(made(*swaps, more=sag), shelf, stage="handover", every=True)
    assert (every.past, set(ALL) - told(every).keys()) == (0, set())
    assert finding(every, "wide").do == ""


# --- waivers -------------------------------------------------------------------------------------


def waiver(clause: str, until: str = "") -> str:
    end = f", until: {until}" if until else ""
    return f"waivers: [{{clause: shelf.{clause}, why: agreed, by: the owner{end}}}]"


@pytest.mark.parametrize(
    ("until", "day", "remark"),
    [
        ("", "", ""),
        ("2026-03-02", "2026-03-02", ""),
        ("2026-03-01", "2026-03-02", " The waiver by the owner ended on 2026-03-01."),
        ("2026-03-01", "", " The waiver by the owner stands until 2026-03-01; no day was given."),
    ],
)
def test_a_waiver_takes_a_failing_clause_out(
    shelf: Rules, made: Made, monkeypatch: pytest.MonkeyPatch, until: str, day: str, remark: str
) -> None:
    monkeypatch.setattr("validator.day.USUAL", None)
    job = made((REACH, "reach: 11 1/2\n"), more=waiver("deep", until))
    said = review(job, shelf, today=dt.date.fromisoformat(day) if day else None)
    deep, stands = finding(said, "deep"), not remark
    assert deep.outcome == ("exempt" if stands else "fails")
    assert deep.says == f"The niche is 1/2 in deeper; at least 1 in is needed.{remark}"
    assert (deep.waived is not None, said.release.ready) == (stands, stands)
    assert (said.counts["exempt"], said.counts["fails"]) == ((2, 0) if stands else (1, 1))
    assert (said.today, bool(deep.working)) == (day, True)


def test_a_waiver_of_what_is_not_known_and_of_what_holds(shelf: Rules, made: Made) -> None:
    unknown = review(made(("depth: 12", "depth:"), more=waiver("deep")), shelf)
    deep = finding(unknown, "deep")
    assert (deep.outcome, deep.waived is not None, deep.working) == ("exempt", True, ())
    assert unknown.release.ready
    assert [one.clauses for one in unknown.asked] == [("shelf.roomy",)]
    holds = review(made(more=waiver("deep")), shelf, every=True)
    assert (finding(holds, "deep").outcome, finding(holds, "deep").waived) == ("holds", None)
    refused = review(made((REACH, "reach: 5\n"), more=waiver("long")), shelf)
    assert told(refused)["long"] == (
        "fails",
        "error",
        (
            "The bracket is 6 in long; the shelf stands out 5 in. "
            "The waiver by the owner does not stand: this may not be waived."
        ),
    )


# --- tolerances ----------------------------------------------------------------------------------

TAPE = DeclaredTolerance(means="the tape", by="shelf.limit.tape", of=("survey.depth",))
RULE = DeclaredTolerance(means="the rule", by="shelf.limit.rule", of=("design.reach",))
TURN = Adjuster(means="the screws", by="shelf.limit.turn", clauses=("shelf.deep",))


def tight(shelf: Rules, job: Job, *declared: DeclaredTolerance, turn: bool = False) -> Review:
    with off(*declared, turn=turn):
        return review(job, shelf)


def off(*declared: DeclaredTolerance, turn: bool = False) -> AbstractContextManager[object]:
    """Let the shelf's books have a sheet of tolerances beside them."""
    sheet = Tolerances(declared=declared, adjusters=(TURN,) if turn else ())
    return patch("validator.reviewing.load_tolerances", return_value=sheet)


def test_what_holds_at_size_and_not_within_tolerance_is_told(shelf: Rules, made: Made) -> None:
    job = made((REACH, "reach: 10 7/8\n"))  # 1 1/8 in is left where 1 in is needed
    said = tight(shelf, job, TAPE)
    assert told(said) == {
        "deep": (
            "tight",
            "warning",
            (
                "It holds by 1/8 in at size, but the tape (1/4 in) can eat it. "
                "At worst: the niche is 7/8 in deeper; at least 1 in is needed."
            ),
        )
    }
    deep = finding(said, "deep")
    assert (deep.do, deep.marked, deep.basis.document) == ("Make the shelf narrower.", (), "A code")
    assert deep.working == ("What the niche is deeper: 12 - 10 7/8 = 1 1/8 in",)
    assert (said.counts["tight"], said.counts["holds"]) == (1, 5)
    assert (said.release.ready, said.exit_code) == (True, 0)
    # The screws take 1/32 in of the loss.
    assert told(tight(shelf, job, TAPE, turn=True))["deep"][2] == (
        "It holds by 1/8 in at size, but the tape (1/4 in) can eat it. At worst: the niche is "
        "7/8 in deeper; at least 1 in is needed. Of that, the screws can take up 1/32 in."
    )
    assert told(tight(shelf, made(), TAPE)) == {}
    verdict = judge(job, shelf)
    assert told(review_verdict(verdict, shelf, tolerance=False)) == {}
    with off(TAPE):
        assert told(review_verdict(verdict, shelf)).keys() == {"deep"}


def test_what_only_fails_where_all_fall_the_wrong_way_is_a_note(shelf: Rules, made: Made) -> None:
    # 19/64 in is left: less than 1/4 + 1/16 in, and more than the root of their squares.
    said = tight(shelf, made((REACH, "reach: 10 45/64\n")), TAPE, RULE)
    assert told(said)["deep"] == (
        "tight",
        "note",
        (
            "It holds by 19/64 in at size, but the tape (1/4 in) and the rule (1/16 in) eat it if "
            "all fall the wrong way at once. At worst: the niche is 63/64 in deeper; at least 1 in "
            "is needed."
        ),
    )


def test_nothing_to_spare(shelf: Rules, made: Made) -> None:
    said = tight(shelf, made((REACH, "reach: 11\n")), TAPE)
    assert told(said)["deep"][2].startswith("It holds with nothing to spare at size, but the tape")


# --- kits ----------------------------------------------------------------------------------------


def test_a_kit_is_reviewed_by_itself(shelf: Rules, made: Made) -> None:
    said = review_kit(made(kit="load: 12 lb").kit, shelf)
    assert told(said) == {
        "carried": ("fails", "warning", "A bracket carries 12 lb; 15 lb is needed.")
    }
    assert (said.of, said.kit, said.job, said.release.stage) == ("kit", "plain", "plain", "install")
    every = review_kit(made(kit="load: 18 lb").kit, shelf, every=True)
    assert told(every) == {"carried": ("holds", "warning", "A bracket carries enough")}
    assert every.counts["exempt"] == 0
