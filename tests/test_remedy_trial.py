"""A change tried on a copy of a small job: what it writes, what it leaves, what it may not do."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from fractions import Fraction

import pytest

from ruleset.kinds import KINDS
from ruleset.program import EXEMPT, FAILS, HOLDS, SOFTER, UNKNOWN
from ruleset.quantity import Style, read_quantity
from validator import Job, Rules, judge
from validator.remedy.follow import Follower
from validator.remedy.options import JobLevers, Lever
from validator.remedy.trial import Trying, told, written
from validator.remedy.wanted_change import ANY, Solution, masks

INCH = 25.4
REACH = "reach: 10\n"
Made = Callable[..., Job]


def lever(fact: str, *inches: float, at: int = 0, **more: object) -> Lever:
    values = tuple(INCH * size for size in inches)
    made = Lever(
        name=fact,
        means=f"the {fact.rpartition('.')[2]}",
        columns={fact: values},
        costs=(0,) * len(values),
        steps=tuple(range(len(values))),
        at=at,
    )
    return replace(made, **more)  # type: ignore[arg-type]  # a few of its fields


def trying(
    shelf: Rules, job: Job, *narrow: Lever, wide: tuple[Lever, ...] = (), follow: object = None
) -> Trying:
    levers = JobLevers(classes=("cheap",), narrow=narrow, wide=wide)
    followers = (follow,) if isinstance(follow, Follower) else ()
    verdict = judge(job, shelf)
    return Trying(verdict=verdict, rules=shelf, codes=(), levers=levers, followers=followers)


def solution(*point: int, choice: tuple[int, ...] = ()) -> Solution:
    return Solution(choice=choice, point=point, cap=0, moved=1, steps=1)


def outcomes(job: Job, rules: Rules) -> dict[str, int]:
    verdict = judge(job, rules)
    pairs = zip(verdict.plan.cases, verdict.run.outcomes, strict=True)
    return {case.clause.name.partition(".")[2]: code for case, code in pairs}


def place_of(shelf: Rules, job: Job, name: str) -> int:
    cases = judge(job, shelf).plan.cases
    return [case.clause.name for case in cases].index(f"shelf.{name}")


# --- what a change may do ------------------------------------------------------------------------


def test_what_each_case_may_come_to(shelf: Rules, made: Made) -> None:
    def may(waived: str, *swaps: tuple[str, str]) -> dict[str, frozenset[int]]:
        job = made(*swaps)
        names = list(outcomes(job, shelf))
        out = frozenset(at for at, name in enumerate(names) if name == waived)
        return dict(zip(names, masks(judge(job, shelf), out), strict=True))

    cured = {EXEMPT, HOLDS}
    found = may("", (REACH, "reach: 11 1/2\n"), ("niche: 30", "niche:"))
    assert found["carried"] == cured  # it holds, and goes on holding
    assert found["deep"] == {*cured, FAILS, SOFTER}  # it fails, and may fail on, or softer
    assert found["wide"] == {*cured, UNKNOWN}  # it is not known, and may not come to fail
    assert found["sunk"] == cured  # a warning that did not apply may not come to fail
    softer = may("", ("niche: 30", "niche: 18"), ("wood: oak", "wood: pine"))
    assert softer["wide"] == {*cured, SOFTER}
    assert may("deep", (REACH, "reach: 11 1/2\n"))["deep"] == ANY
    assert may("deep", (REACH, "reach: 11 1/2\n"))["roomy"] == cured
    assert {EXEMPT, HOLDS, FAILS, SOFTER, UNKNOWN} == ANY


@pytest.mark.parametrize(
    ("level", "softer", "may"),
    [
        ("note", "", {EXEMPT, HOLDS, FAILS, SOFTER}),
        ("warning", "", {EXEMPT, HOLDS}),
        ("error", "note", {EXEMPT, HOLDS, SOFTER}),
        ("error", "warning", {EXEMPT, HOLDS}),
    ],
)
def test_what_did_not_apply_may_come_to_fail_as_a_note(
    shelf: Rules, made: Made, level: str, softer: str, may: set[int]
) -> None:
    verdict = judge(made(), shelf)
    at = place_of(shelf, made(), "sunk")
    checked = verdict.library.clauses["shelf.sunk"]
    other = verdict.library.clauses["shelf.wide"].clause.softer
    assert other is not None
    clause = replace(
        checked.clause, level=level, softer=replace(other, level=softer) if softer else None
    )
    clauses = {**verdict.library.clauses, "shelf.sunk": replace(checked, clause=clause)}
    library = replace(verdict.library, clauses=clauses)
    assert masks(replace(verdict, library=library), frozenset())[at] == may


# --- what a change writes ------------------------------------------------------------------------


def test_a_lever_writes_its_fact_and_the_job_is_judged_again(shelf: Rules, made: Made) -> None:
    job = made((REACH, "reach: 11 1/2 +- 1/8\n"))
    desk = trying(shelf, job, lever("design.reach", 11.5, 11, 10.5, then="Look again."))
    deep = place_of(shelf, job, "deep")
    trial = desk.trial(solution(1), [deep])
    (change,) = trial.changes
    assert (change.fact, change.means) == ("design.reach", "How far the shelf stands out")
    assert (change.old, change.new) == ("11 1/2 +- 1/8", "11 +- 1/8")
    assert (change.was, change.now) == ("11 1/2 in", "11 in")
    assert (change.follows, change.given, change.again) == (False, True, False)
    assert (change.place.line, change.place.column) == (14, 10)
    assert trial.moved == ("the reach from 11 1/2 in to 11 in",)
    assert trial.then == ("Look again.",)
    given = trial.job.values["design.reach"]
    assert (given.value / INCH, given.text) == (11, "11 +- 1/8")
    assert given.tolerance == INCH / 8
    assert (desk.verdict.run.outcomes[deep], trial.verdict.run.outcomes[deep]) == (FAILS, HOLDS)
    assert job.values["design.reach"].value == pytest.approx(11.5 * INCH)
    assert desk.trial(solution(1), [deep]) is trial
    assert desk.trial(solution(2), [deep]) is not trial
    (cured,) = desk.cured(trial, [deep])
    assert (cured.clause, cured.subject) == ("shelf.deep", "board")
    assert cured.title == "The niche is deeper than the shelf"
    assert cured.margin
    assert abs(cured.margin.value) < 1e-6  # 12 less 11 is the inch that is asked
    still = desk.trial(solution(0), [deep])
    assert (still.changes, still.moved, still.then) == ((), (), ())
    both = desk.cured(trial, [place_of(shelf, job, "roomy"), deep])
    assert [one.clause for one in both] == ["shelf.deep", "shelf.roomy"]


def test_a_fact_that_is_not_given_is_written_with_what_is_taken_for_it(
    shelf: Rules, made: Made
) -> None:
    desk = trying(shelf, made(), lever("design.gap", 0.125, 0.25))
    (change,) = desk.trial(solution(1)).changes
    assert (change.old, change.new, change.given) == ("", "1/4 in", False)
    assert (change.was, change.now) == ("1/8 in", "1/4 in")
    assert change.place.pointer == "/design/gap"


def test_words_and_lists_of_texts(shelf: Rules, made: Made) -> None:
    job = made()
    words = judge(job, shelf).library.words
    wood = replace(
        lever("design.wood", 0, 0),
        columns={"design.wood": (words["oak"], words["pine"])},
        texts=({"design.wood": "oak"}, {"design.wood": "pine"}),
        labels=("oak", "pine"),
    )
    trial = trying(shelf, job, lever("design.reach", 10, 11), wide=(wood,)).trial(
        solution(1, choice=(1,))
    )
    assert [(one.fact, one.new, one.was, one.now) for one in trial.changes] == [
        ("design.reach", "11", "10 in", "11 in"),
        ("design.wood", "pine", "oak", "pine"),
    ]
    assert trial.moved == ("the reach from 10 in to 11 in", "the wood from oak to pine")
    change, given = trying(shelf, job).change("design.wood", words["pine"], "", follows=True)
    assert (change.new, given.text, given.tolerance, change.follows) == ("pine", "pine", None, True)
    sunk, _ = trying(shelf, job).change("design.sunk", 1.0, "", follows=False)
    assert (sunk.new, sunk.was) == ("yes", "no")


def test_what_a_text_states_is_what_is_written(shelf: Rules, made: Made) -> None:
    job = made((REACH, "reach: 10 +- 1/8\n"))
    texts: tuple[Mapping[str, str], ...] = (
        {"design.reach": "10 +- 1/8"},
        {"design.reach": "10 +- 1/16"},
        {"design.reach": "10 +- 1/8", "design.gap": "1/4"},
        {},
    )
    piece = replace(
        lever("design.reach", 10, 10, 10, 10),
        columns={
            "design.reach": tuple(INCH * size for size in (10, 10, 10, 9)),
            "design.gap": tuple(INCH * size for size in (0.125, 0.125, 0.25, 0.5)),
        },
        texts=texts,
        labels=("as it is", "closer", "farther", "none"),
    )
    desk = trying(shelf, job, piece)

    def wrote(option: int) -> list[tuple[str, str]]:
        return [(one.fact, one.new) for one in desk.trial(solution(option)).changes]

    # Another tolerance is a change, the same value is not; what an option does not name is left.
    assert wrote(1) == [("design.reach", "10 +- 1/16")]
    assert wrote(2) == [("design.gap", "1/4")]
    assert wrote(3) == []
    assert desk.trial(solution(2)).moved == ("the reach to farther",)
    gap = replace(piece, texts=({}, {"design.gap": "1/8"}, {"design.gap": "1/4"}, {}))
    apart = trying(shelf, job, gap)
    assert apart.trial(solution(1)).changes == ()  # what is taken, written out, is no change
    assert [one.fact for one in apart.trial(solution(2)).changes] == ["design.gap"]
    tolerance = desk.trial(solution(1)).job.values["design.reach"].tolerance
    assert tolerance == INCH / 16
    assert desk.trial(solution(2)).job.values["design.gap"].tolerance is None


def test_several_facts_are_told_by_what_moves(shelf: Rules, made: Made) -> None:
    both = replace(
        lever("design.reach", 10, 9),
        columns={"design.reach": (10 * INCH, 9 * INCH), "survey.depth": (12 * INCH, 11 * INCH)},
    )
    trial = trying(shelf, made(), both).trial(solution(1))
    assert trial.moved == ("the reach",)
    # Each fact that a lever names is a change of its own; only a row's further size follows it.
    assert [(one.fact, one.follows) for one in trial.changes] == [
        ("design.reach", False),
        ("survey.depth", False),
    ]


def test_rows_follow_what_moves(shelf: Rules, made: Made) -> None:
    job = made(("wood: oak", "pegs: [{x: 3}]"))
    desk = trying(shelf, job, lever("board.pegs[1].x", 3, 4), lever("design.reach", 10, 10))
    fact = next(name for name in desk.verdict.plan.leaves if name.endswith("[1].x"))
    desk = trying(shelf, job, lever(fact, 3, 4))
    (change,) = desk.trial(solution(1)).changes
    assert (change.fact, change.follows, change.new) == (fact, True, "4")


def test_another_kit_brings_its_own_values(shelf: Rules, made: Made) -> None:
    job, other = made(kit="load: 12 lb"), made().kit
    longer = made(kit="load: 18 lb").kit
    kits = replace(
        lever("kit", 0, 0, 0),
        means="the kit",
        columns={"kit.load": (12 * 0.45359237, 20 * 0.45359237, 18 * 0.45359237)},
        kits=(job.kit, replace(other, name="silent"), replace(longer, name="stout")),
    )
    desk = trying(shelf, job, wide=(kits,))
    carried = place_of(shelf, job, "carried")
    assert desk.verdict.run.outcomes[carried] == FAILS
    silent = desk.trial(solution(choice=(1,)), [carried])
    assert silent.verdict.run.outcomes[carried] == HOLDS
    (change,) = silent.changes
    assert (change.fact, change.means, change.old, change.new) == (
        "kit",
        "the kit",
        "plain",
        "silent",
    )
    assert (change.was, change.now, change.follows, change.given) == (
        "plain",
        "silent",
        False,
        True,
    )
    assert (change.place.file, change.place.pointer) == ("job.yaml", "/kit")
    assert (change.place.line, change.place.column) == (job.place.line, job.place.column)
    assert silent.moved == ("the kit from plain to silent",)
    assert "kit.load" not in silent.job.values  # what the old sheet said goes with it
    assert silent.job.values["kit.bracket"].value == pytest.approx(6 * INCH)
    assert silent.job.values["survey.depth"] == job.values["survey.depth"]
    assert silent.job.kit.name == "silent"
    stout = desk.trial(solution(choice=(2,)), [carried])
    assert stout.job.values["kit.load"].text == "18 lb"
    assert {n for n in silent.job.tables if not n.startswith("kit.")} == {
        n for n in job.tables if not n.startswith("kit.")
    }


def test_a_kit_moves_beside_other_levers(shelf: Rules, made: Made) -> None:
    job = made()
    kits = replace(lever("kit", 0, 0), kits=(job.kit, replace(job.kit, name="other")))
    gap = lever("design.gap", 0.125, 0.25)
    trial = trying(shelf, job, wide=(kits, gap)).trial(solution(choice=(1, 1)))
    assert [one.fact for one in trial.changes] == ["kit", "design.gap"]
    assert trial.job.tables == job.tables


def test_a_trial_is_judged_by_the_code_sets_that_were_asked_for(shelf: Rules, made: Made) -> None:
    job = made(more="as_built: {sag: 2}")
    follow = Follower(fact="as_built.sag", source="board.spare", agreed=True)
    for desk in (
        trying(shelf, job, lever("design.reach", 10, 9)),
        trying(shelf, job, lever("design.reach", 10, 9), follow=follow),
    ):
        asked = replace(desk, codes=("theirs",), trials={})
        assert [one.name for one in asked.trial(solution(1)).verdict.layers] == ["theirs"]


def test_what_stands_nowhere_yet_is_placed_where_it_belongs(shelf: Rules, made: Made) -> None:
    change, given = trying(shelf, made()).change("as_built.sag", INCH, "", follows=False)
    assert (change.place.file, change.place.pointer) == ("job.yaml", "/as_built/sag")
    assert (given.place, given.text, given.tolerance) == (change.place, "1 in", None)
    assert (change.old, change.given) == ("", False)


def test_what_repeats_a_size_follows_it(shelf: Rules, made: Made) -> None:
    job = made(more="as_built: {sag: 2}")
    level = place_of(shelf, job, "level")
    agreed = Follower(fact="as_built.sag", source="board.spare", agreed=True)
    move = lever("design.reach", 10, 9)

    def wrote(follow: Follower, *cured: int, option: int = 1) -> list[tuple[str, str, bool]]:
        trial = trying(shelf, job, move, follow=follow).trial(solution(option), cured)
        for one in trial.changes:
            assert trial.job.values[one.fact].text == one.new
        return [(one.fact, one.new, one.follows) for one in trial.changes]

    reach, sag = ("design.reach", "9", False), ("as_built.sag", "3", True)
    assert wrote(agreed) == [reach, sag]
    assert wrote(agreed, option=0) == []
    # What did not agree before is written anew only where what it is read by is to be cured.
    apart = replace(agreed, agreed=False)
    assert wrote(apart) == [reach]
    assert wrote(apart, level) == [reach, sag]
    assert wrote(apart, level, option=0) == []  # 2 in stands already
    other = replace(apart, source="survey.depth")
    assert wrote(other, level, option=0) == [("as_built.sag", "12", True)]
    desk = trying(shelf, job, move, follow=agreed)
    assert desk.trial(solution(1)).verdict.answer("as_built.sag").value == pytest.approx(3 * INCH)


# --- in words ------------------------------------------------------------------------------------

LENGTH, MASS = KINDS["length"], KINDS["mass"]
METRIC = Style(units="mm", grid=Fraction(1))


def test_a_value_is_written_as_its_author_would() -> None:
    assert written(31.625 * INCH, LENGTH, Style(), "33") == "31 5/8"
    assert written(31.625 * INCH, LENGTH, Style(), "33 in") == "31 5/8 in"
    assert written(31.6328125 * INCH, LENGTH, Style(), "33") == "31.6328125"
    assert written(803.0, LENGTH, METRIC, "800") == "803"
    assert written(803.0, LENGTH, METRIC, "800 mm") == "803 mm"
    assert written(1e5 / 3, LENGTH, Style(), "33") == "1312.335958"
    assert written(2.0, None, Style(), "") == "2"
    assert written(20 * 0.45359237, MASS, Style(), "12 lb") == "20 lb"


@pytest.mark.parametrize("kind", ["length", "mass", "angle", "number", "slope", "force"])
@pytest.mark.parametrize("value", [1 / 3, 1e5 / 3, 12.5, 0.0])
def test_what_is_written_is_read_back_as_the_same_value(kind: str, value: float) -> None:
    units, of = Style().units, KINDS[kind]
    for like in ("33", "33 in"):
        text = written(value, of, Style(), like)
        assert read_quantity(text, of, units=units).value == pytest.approx(value, abs=1e-6)
    assert written(1 / 3, MASS, Style(), "33 lb") == f"{1 / 3!r} kg"


def test_a_value_is_told_without_rounding() -> None:
    words = {3.0: "oak"}
    assert told(3.0, None, Style(), words) == "oak"
    assert told(3.0, KINDS["word"], Style(), words) == "oak"
    assert told(4.5, None, Style(), words) == "4.5"
    assert told(31.6328125 * INCH, LENGTH, Style(), words) == "31.6328125 in"
    assert told(3.0, LENGTH, METRIC, words) == "3 mm"
    assert told(1 / 3, MASS, Style(), words) == "0.7 lb"
    assert told(1 / 3, LENGTH, Style(), words).endswith(" in")
