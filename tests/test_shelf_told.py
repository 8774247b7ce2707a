"""A small job reviewed under other code sets, with plugins, and with what is tight in odd ways."""

from collections.abc import Callable
from dataclasses import replace
from unittest.mock import patch

import pytest

from validator import Finding, Job, Review, Rules, review
from validator.cautions import CAUTIONS
from validator.hooks import hook
from validator.plugins import register
from validator.reviewing import review_kit
from validator.tolerances import DeclaredTolerance, Tolerances

REACH = "reach: 10\n"
Made = Callable[..., Job]


def finding(said: Review, name: str) -> Finding:
    (found,) = (one for one in said.findings if one.clause == name)
    return found


def tight(shelf: Rules, job: Job, *off: str, stage: str = "order") -> Review:
    row = DeclaredTolerance(means="the tape", by="shelf.limit.tape", of=off)
    sheet = Tolerances(declared=(row,))
    with patch("validator.reviewing.load_tolerances", return_value=sheet):
        return review(job, shelf, stage=stage)


def test_code_sets_that_are_asked_for_count_in_place_of_the_jobs(shelf: Rules, made: Made) -> None:
    said = review(made((REACH, "reach: 9 1/2\n")), shelf, codes=("theirs",))
    assert (said.codes, said.release.because) == (("theirs",), ("shelf.deep",))
    kit = made(kit="load: 12 lb").kit
    assert (review_kit(kit, shelf).codes, len(review_kit(kit, shelf).findings)) == ((), 1)
    lenient = review_kit(kit, shelf, codes=("lenient",))
    assert (lenient.codes, lenient.findings) == (("lenient",), ())
    assert review_kit(made(kit="load: 18 lb").kit, shelf).findings == ()


def test_what_a_code_set_drops_is_counted_and_told_with_the_rest(shelf: Rules, made: Made) -> None:
    job = made(kit="load: 12 lb")
    plain, lenient = review(job, shelf), review(job, shelf, codes=("lenient",))
    assert (plain.counts["fails"], lenient.counts["fails"]) == (1, 0)
    assert lenient.counts["exempt"] == plain.counts["exempt"] + 1
    assert lenient.findings == ()
    every = review(job, shelf, codes=("lenient",), every=True)
    carried = finding(every, "shelf.carried")
    assert (carried.outcome, carried.subject) == ("exempt", "job")
    assert carried.says == (
        "Does not apply: A bracket carries enough. Set lenient drops it: Nobody looks."
    )
    assert every.counts == lenient.counts
    assert finding(review(job, shelf, every=True), "shelf.carried").outcome == "fails"


def test_a_review_says_how_it_prints_and_what_to_heed(shelf: Rules, made: Made) -> None:
    said = review(made(), shelf)
    assert (said.style.units, said.cautions) == ("in", CAUTIONS)
    held = review(made(), shelf, every=True)
    # A limit is marked where its word is weak, not where it only is another.
    assert {one.clause: [name for name, _ in one.marked] for one in held.findings} == {
        "shelf.deep": [],
        "shelf.wide": ["shelf.wide.least"],
        "shelf.roomy": [],
        "shelf.carried": ["shelf.limit.load"],
        "shelf.long": [],
        "shelf.level": [],
        "shelf.sunk": [],
        "shelf.either": [],
    }


def test_a_waiver_for_one_part(shelf: Rules, made: Made) -> None:
    text = "waivers: [{clause: shelf.deep, subject: board, why: agreed, by: the owner}]"
    said = review(made((REACH, "reach: 11 1/2\n"), more=text), shelf)
    assert finding(said, "shelf.deep").outcome == "exempt"


def test_what_is_tight_is_told_with_all_that_a_finding_has(shelf: Rules, made: Made) -> None:
    job = made(("niche: 30", "niche: 20 3/8"))  # 1/8 in more than is asked, a gap at each end
    wide = finding(tight(shelf, job, "survey.niche"), "shelf.wide")
    assert (wide.outcome, wide.level, wide.do) == ("tight", "warning", "")
    assert (wide.caution, [name for name, _ in wide.marked]) == (
        "Lift it with two.",
        ["shelf.wide.least"],
    )
    assert wide.stack
    assert round(wide.stack.margin / 25.4, 6) == 0.125
    pine = made(("niche: 30", "niche: 20 3/8"), ("wood: oak", "wood: pine"))
    assert finding(tight(shelf, pine, "survey.niche"), "shelf.wide").level == "note"


def test_what_is_no_round_size_is_told_as_about(shelf: Rules, made: Made) -> None:
    job = made((REACH, "reach: 10.9\n"))
    assert finding(tight(shelf, job, "survey.depth"), "shelf.deep").says == (
        "It holds by 0.1 in at size, but the tape (1/4 in) can eat it. At worst: the niche is "
        "about 27/32 in deeper; at least 1 in is needed."
    )


def test_what_is_tight_and_compares_nothing_has_no_amount(shelf: Rules, made: Made) -> None:
    job = made(("sound: yes", "sound: no"), (REACH, "reach: 10 7/8\n"))
    either = finding(tight(shelf, job, "survey.depth"), "shelf.either")
    assert (either.outcome, either.level, either.margin) == ("tight", "note", None)
    assert either.says == (
        "It holds at size, but the tolerances eat it if all fall the wrong way at once. At worst: "
        "the wall is not sound and the niche 7/8 in deeper."
    )


def test_what_is_tight_in_what_is_built_is_not_told_at_handover(shelf: Rules, made: Made) -> None:
    job = made((REACH, "reach: 10 7/8\n"), more="as_built: {sag: 0}")
    said = tight(shelf, job, "survey.depth", stage="handover")
    assert (said.findings, said.past, said.counts["tight"]) == ((), 1, 1)
    assert tight(shelf, job, "survey.depth").past == 0


class Plugin:
    """A plugin that gives what it was made with, or fails."""

    def __init__(self, given: object) -> None:
        """Keep what to give."""
        self.given = given

    @hook
    def paneproof_findings(self, verdict: object) -> object:
        """Return it; raise it where it is an error."""
        assert verdict
        if isinstance(self.given, Exception):
            raise self.given
        return self.given


def test_a_plugin_that_fails_hides_neither_the_books_nor_other_plugins(
    shelf: Rules, made: Made
) -> None:
    like = finding(review(made((REACH, "reach: 11 1/2\n")), shelf), "shelf.deep")
    for name, given in (
        ("first", [replace(like, clause="first.says", level="note")]),
        ("odd", 7),
        ("failing", ValueError("no reason")),
        ("last", [replace(like, clause="last.says", level="note")]),
    ):
        register(shelf.plugins, Plugin(given), name)
    said = review(made(("depth: 12", "depth: 30"), ("wood: oak", "sunk: yes")), shelf)
    assert {"first.says", "last.says"} <= {one.clause for one in said.findings}
    failing, odd, undefined = sorted(
        said.broken, key=lambda says: says.partition("plugin ")[2] or "z"
    )
    assert failing.startswith("The plugin failing failed on this job: ")
    assert "no reason" in failing
    assert odd == "The plugin odd gave findings that are no list."
    assert undefined.startswith("shelf.sunk on board is undefined on this job")
    assert (said.exit_code, said.release.ready) == (2, False)


@pytest.mark.parametrize("every", [False, True])
def test_every_part_is_told_once(shelf: Rules, made: Made, *, every: bool) -> None:
    said = review(made(("wood: oak", "pegs: [{x: 1}, {x: 3}]")), shelf, every=every)
    told = [(one.clause, one.subject) for one in said.findings]
    assert len(told) == len(set(told)) == (10 if every else 1)
    assert sum(said.counts.values()) == 10
