"""Stack-ups over small books: worst corner, chance and who takes what, each summed up by hand."""

import itertools
import math
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

import pytest

from ruleset.assembly import assemble
from ruleset.book import Book
from ruleset.book_reader import read_book
from ruleset.formula.check import Function
from ruleset.kinds import KINDS
from ruleset.layers import read_layer
from ruleset.reader import read_text
from validator import Job, Rules, judge
from validator.finding import Stack
from validator.stackup import FEW_CORNERS, Stacking, said_at_worst, stack_of, stack_up
from validator.toleranced import Toleranced
from validator.tolerances import Adjuster, Allowance, DeclaredTolerance, Tolerances

INCH = 25.4
MANY = 10
OFF = tuple((at + 1) / 64 for at in range(MANY))
"""What each of the sizes a0 to a9 is off by, in."""
CLAUSE = """
  asked:
    title: It asks
    needs: {needs}
    limits: {{{limits}}}
    {more}
    level: error
    stage: survey
    basis: {{standing: memory}}
    why: It must be.
    says: "It is {said}."
"""
OTHER = """
  other:
    title: Another
    needs: survey.a9 >= limit.least
    limits: {least: {is: 4 7/8 in, basis: {standing: memory}}}
    level: error
    stage: survey
    why: It must be.
    says: It is not.
"""
EMPTY = read_layer(read_text("code: ours\ntitle: Ours", "codes.yaml"))


def _bent(one: float) -> float:
    return one * one / INCH


BENT = Function(
    name="bent",
    takes=(KINDS["length"],),
    gives=KINDS["length"],
    call=_bent,
    means="a size that grows faster than what it is of",
    source="made up",
)
BARRED = replace(BENT, name="barred", call=lambda one: -one if one < 5 * INCH else one)


def book(needs: str, more: str, said: str) -> Book:
    """Return a book with one clause; each length in its formula becomes a limit."""
    lengths: list[str] = []

    def named(found: re.Match[str]) -> str:
        lengths.append(found[0])
        return f"limit.n{len(lengths)}"

    needs, more = (re.sub(r"-?\d[\d./]* in", named, text) for text in (needs, more))
    own = (
        f"n{at}: {{is: {text}, basis: {{standing: memory}}}}"
        for at, text in enumerate(lengths, start=1)
    )
    facts = (
        f"  survey.a{at}: {{means: Size {at}, kind: length, range: [0 in, 99 in], absent: 5 in}}"
        for at in range(MANY)
    )
    offs = (f"{size:.10f} in" for size in OFF)
    limits = (
        f"  t{at}: {{is: {size}, basis: {{standing: memory}}}}" for at, size in enumerate(offs)
    )
    text = "\n".join(
        (
            "book: sums\ntitle: Sums\nfacts:",
            *facts,
            "limits:",
            "  grid: {is: 1 in, basis: {standing: memory}}",
            "  turn: {is: 1/64 in, basis: {standing: memory}}",
            *limits,
            "sorts: {rope: {}, spare: {}}",
            "parts: {rope: {means: the rope, sorts: [rope]}}",
            "workings:",
            "  rope.sum: {means: Both, is: survey.a0 + survey.a1, kind: length}",
            "  rope.seen: {means: Seen, is: survey.a0, built: rope.cut + survey.a3, kind: length}",
            "  rope.cut: {means: Cut, is: survey.a0 - survey.a1, kind: length, frozen: order}",
            "clauses:",
            CLAUSE.format(needs=needs, more=more, said=said, limits=", ".join(own)),
            OTHER,
        )
    )
    return read_book(read_text(text, "sums.yaml"))


Working = Callable[..., Toleranced]


@pytest.fixture
def work(shelf: Rules, made: Callable[..., Job]) -> Working:
    """Return what makes the work of a job that one clause is asked of."""

    def working(
        needs: str,
        off: Sequence[int],
        sizes: Mapping[int, float] | None = None,
        *,
        more: str = "",
        said: str = "so",
        turn: bool = False,
        means: str = "tape {}",
    ) -> Toleranced:
        library = assemble([book(needs, more, said)], [BENT, BARRED])
        rules = replace(shelf, library=library, codes={"ours": EMPTY}, laid={}, made={})
        job = replace(made(), values={}, rows={})
        like = next(iter(made().values.values()))
        facts = {f"survey.a{at}": INCH * size for at, size in (sizes or {}).items()}
        values = {name: replace(like, value=size, tolerance=None) for name, size in facts.items()}
        verdict = judge(replace(job, values=values), rules)
        declared = tuple(
            DeclaredTolerance(means=means.format(at), by=f"sums.limit.t{at}", of=(f"survey.a{at}",))
            for at in off
        )
        adjusters = (
            (Adjuster(means="screws", by="sums.limit.turn", clauses=("sums.asked",)),)
            if turn
            else ()
        )
        return Toleranced(verdict, Tolerances(declared=declared, adjusters=adjusters, not_for=()))

    return working


def inches(*values: float) -> list[float]:
    return [round(value / INCH, 6) for value in values]


def corner(stack: Stack) -> dict[str, float]:
    return {
        one.name.removeprefix("survey."): round(one.amount / INCH * 64, 6) for one in stack.corner
    }


def test_a_sum_loses_all_tolerances_at_worst_and_their_root_by_chance(work: Working) -> None:
    # 5 + 5 - 5 is 5 in; 1/64, 2/64 and 3/64 in of tolerance, each the wrong way.
    stack = stack_of(work("survey.a0 + survey.a1 - survey.a2 >= 4.95 in", (0, 1, 2)), 0)
    assert inches(stack.margin, stack.worst) == [0.05, round(0.05 - 6 / 64, 6)]
    root = math.sqrt(1 + 4 + 9) / 64
    assert inches(stack.rss) == [round(0.05 - root, 6)]
    assert corner(stack) == {"a0": -1, "a1": -2, "a2": 3}
    likely = {one.name[-2:]: one.likely / INCH * 64 for one in stack.corner}
    # Chance takes most where each is off in proportion to what it takes: its square over the root.
    assert likely == pytest.approx(
        {"a0": -1 / math.sqrt(14), "a1": -4 / math.sqrt(14), "a2": 9 / math.sqrt(14)}
    )
    assert [(one.means, one.names) for one in stack.contributors] == [
        ("tape 2", ("survey.a2",)),
        ("tape 1", ("survey.a1",)),
        ("tape 0", ("survey.a0",)),
    ]
    assert [one.loss / INCH * 64 for one in stack.contributors] == pytest.approx([3, 2, 1])
    assert [one.share * 14 for one in stack.contributors] == pytest.approx([9, 4, 1])
    assert (stack.at, stack.fails, stack.fails_rss, stack.taken_up) == (0, True, True, 0)
    assert stack.tried == "the worst of 8 corners, proved"


def test_what_fails_and_by_how_little(work: Working) -> None:
    def fails(spare: float, *, turn: bool = False) -> tuple[bool, bool]:
        needs = f"survey.a0 + survey.a1 - survey.a2 >= {5 - spare:.10f} in"
        one = work(needs, (0, 1, 2), turn=turn)
        assert [found.fails for found in stack_up(one)] in ([True], [])
        stack = stack_of(one, 0)
        assert bool(list(stack_up(one))) == stack.fails
        return stack.fails, stack.fails_rss

    # 6/64 in at worst, 3.74/64 in by chance.
    assert fails(3.7 / 64) == (True, True)
    assert fails(3.8 / 64) == (True, False)
    assert fails(5.9 / 64) == (True, False)
    assert fails(6.0 / 64) == (False, False)
    assert fails(6.1 / 64) == (False, False)
    # Screws take up 1/64 in of either.
    assert fails(2.7 / 64, turn=True) == (True, True)
    assert fails(2.8 / 64, turn=True) == (True, False)
    assert fails(5.1 / 64, turn=True) == (False, False)


def test_screws_take_up_loss_at_most_to_nothing(work: Working) -> None:
    stack = stack_of(work("survey.a0 - survey.a1 >= -0.01 in", (0, 1), turn=True), 0)
    assert inches(stack.taken_up) == [round(1 / 64, 6)]
    assert inches(stack.worst) == [round(0.01 - 3 / 64 + 1 / 64, 6)]
    assert inches(stack.rss) == [round(0.01 - (math.sqrt(5) - 1) / 64, 6)]
    alone = stack_of(work("survey.a0 >= 4.99 in", (0,), turn=True), 0)
    assert inches(alone.worst, alone.rss) == [0.01, 0.01]
    assert not alone.fails


def test_the_least_of_several_loses_by_chance_what_one_branch_loses(work: Working) -> None:
    needs = "min(survey.a0 + survey.a1, survey.a2 + survey.a3) >= 9.99 in"
    stack = stack_of(work(needs, (0, 1, 2, 3)), 0)
    assert inches(stack.worst) == [round(0.01 - 7 / 64, 6)]
    assert inches(stack.rss) == [round(0.01 - 5 / 64, 6)]  # the root of 3 and 4 squared
    assert [one.means for one in stack.contributors] == ["tape 3", "tape 2"]
    assert sum(one.share for one in stack.contributors) == pytest.approx(1)


def test_tolerances_of_one_name_are_told_together(work: Working) -> None:
    needs = "survey.a0 + survey.a1 + survey.a2 >= 14.99 in"
    stack = stack_of(work(needs, (0, 1, 2), means="the tape"), 0)
    (tape,) = stack.contributors
    assert (tape.means, tape.names) == ("the tape", ("survey.a0", "survey.a1", "survey.a2"))
    assert (tape.loss / INCH * 64, tape.share) == pytest.approx((math.sqrt(14), 1))
    equal = work("survey.a0 - survey.a1 >= -0.01 in", (0, 1))
    equal.allowed = {
        name: replace(one, amount=INCH / 64) for name, one in sorted(equal.allowed.items())
    }
    assert [one.means for one in stack_of(equal, 0).contributors] == ["tape 0", "tape 1"]


def test_the_worst_of_many_corners_is_proved(work: Working) -> None:
    every = tuple(range(MANY))
    total = " + ".join(f"survey.a{at}" for at in every)
    one = work(f"{total} >= 49.9 in", every)
    stack = stack_of(one, 0)
    assert inches(stack.worst) == [round(0.1 - 55 / 64, 6)]
    assert corner(stack) == {f"a{at}": -(at + 1) for at in every}
    assert stack.tried == "the worst of 1024 corners, proved"
    few = tuple(range(FEW_CORNERS))
    total = " + ".join(f"survey.a{at}" for at in few)
    few_stack = stack_of(work(f"{total} >= 39.9 in", few), 0)
    assert few_stack.tried == "the worst of 256 corners, proved"


PAIRS = [
    f"(survey.a{at} - survey.a{at + 1}) * (survey.a{at + 2} - survey.a{at + 3})"
    for at in (1, 2, 3, 4, 5, 6)
]
NEEDS = f"({' + '.join(PAIRS)}) / 1 in + (survey.a9 - survey.a0) / 32 >= -0.001 in"


def by_formula(signs: Sequence[float]) -> float:
    """Return the margin of what is needed above, worked out by the test itself."""
    a = [5.0, *(5 + sign * off for sign, off in zip(signs, OFF[1:], strict=True))]
    pairs = [(a[at] - a[at + 1]) * (a[at + 2] - a[at + 3]) for at in (1, 2, 3, 4, 5, 6)]
    return sum(pairs) + (a[9] - a[0]) / 32 + 0.001


def test_the_worst_corner_of_what_no_tolerance_alone_points_to(work: Working) -> None:
    # Outside check: every corner, by a formula of the test's own. The first size is not off.
    stack = stack_of(work(NEEDS, tuple(range(1, MANY))), 0)
    least = min(itertools.product((-1, 1), repeat=MANY - 1), key=by_formula)
    assert inches(stack.worst) == [round(by_formula(least), 6)]
    assert corner(stack) == {f"a{at}": sign * (at + 1) for at, sign in enumerate(least, start=1)}
    assert stack.tried == "the worst of 512 corners, proved, and of points between"


def test_each_valley_is_followed_inward_from_its_own_corner(work: Working) -> None:
    # Outside check: a fine grid over both. A lean beside a bow: the highest place of the wall is
    # where neither end of the bow is worst, and the other corner's valley is the shallower one.
    def margin(lean: float, bow: float) -> float:
        return 1 - max(0.0, lean / 2 - 3 * abs(bow - lean / 2)) - max(0.0, -lean) / 3

    needs = (
        "max(0 in, (survey.a0 - 5 in) / 2"
        " - 3 * abs(survey.a1 - 5 in - (survey.a0 - 5 in) / 2))"
        " + max(0 in, 5 in - survey.a0) / 3 <= 1 in"
    )
    ends = [at / 40 for at in range(-40, 41)]
    least = min(margin(lean / 64, bow / 32) for lean in ends for bow in ends)
    stack = stack_of(work(needs, (0, 1)), 0)
    assert inches(stack.worst) == [round(least, 6)]


def test_what_is_rounded_anew_is_worst_between_the_ends(work: Working) -> None:
    # 5 1/32 in is on its grid of 1/16 in a quarter of its tolerance lower, and at neither end.
    needs = "round_up(survey.a7 - 1/32 in, 1/8 in) - survey.a7 <= 0.09 in"
    stack = stack_of(work(needs, (7,), {7: 5 + 1 / 32}), 0)
    assert inches(stack.margin) == [round(0.09 + 1 / 32, 6)]
    points = [
        0.09 - (math.ceil(round((5 + share * OFF[7]) * 8, 9)) / 8 - 5 - 1 / 32 - share * OFF[7])
        for share in (-1, -0.75, -0.5, -0.25, 0.0, 0.25, 0.5, 0.75, 1)
    ]
    assert inches(stack.worst) == [round(min(points), 6)]
    assert min(points) < min(points[0], points[-1])
    assert stack.fails == (min(points) < 0)


def test_a_clause_that_compares_nothing_has_no_margin(work: Working) -> None:
    needs = "survey.a0 >= 4.99 in or survey.a1 >= 6 in"
    stack = stack_of(work(needs, (0, 1)), 0)
    assert (stack.fails, stack.fails_rss, stack.tried) == (True, False, "all 4 corners")
    assert [math.isnan(one) for one in (stack.margin, stack.worst, stack.rss)] == [True] * 3
    assert corner(stack)["a0"] == -1
    assert not stack_of(work("survey.a0 >= 4.9 in or survey.a1 >= 6 in", (0, 1)), 0).fails
    assert list(stack_up(work(needs, (0, 1))))


def test_what_is_not_known_or_fails_at_size(work: Working) -> None:
    failing = stack_of(work("survey.a0 >= 5.1 in", (0,)), 0)
    assert (inches(failing.margin), failing.fails) == ([-0.1], True)
    assert list(stack_up(work("survey.a0 >= 5.1 in", (0,)))) == []
    when = work("survey.a0 >= 5.1 in", (0,), more="when: survey.a1 > 6 in")
    exempt = stack_of(when, 0)
    assert (exempt.fails, exempt.tried, math.isnan(exempt.margin)) == (False, "", True)


def test_a_costly_clause_is_led_by_each_tolerance_alone(work: Working) -> None:
    # Twice 5 in and a little is off by so much more: (5 - 1/64)^2 is 24.84 in.
    one = work("bent(survey.a0) + survey.a1 - survey.a2 >= 24.9 in", (0, 1, 2))
    stack = stack_of(one, 0)
    least = (5 - 1 / 64) ** 2 + 5 - 2 / 64 - 5 - 3 / 64
    assert inches(stack.margin, stack.worst) == [0.1, round(least - 24.9, 6)]
    assert corner(stack) == {"a0": -1, "a1": -2, "a2": 3}
    assert stack.tried == "the corner that each of 3 tolerances alone points to, improved"
    losses = (25 - (5 - 1 / 64) ** 2, 2 / 64, 3 / 64)
    assert inches(stack.rss) == [round(0.1 - math.sqrt(sum(n * n for n in losses)), 6)]
    far = stack_of(work("bent(survey.a0) + survey.a1 - survey.a2 >= 9 in", (0, 1, 2)), 0)
    assert corner(far) == {"a0": -1, "a1": -2, "a2": 3}
    # Far off only one way of each is tried, and the other taken to do the opposite.
    losses = ((5 + 1 / 64) ** 2 - 25, 2 / 64, 3 / 64)
    assert inches(far.rss) == [round(16 - math.sqrt(sum(n * n for n in losses)), 6)]
    assert not far.fails
    # Either way is worse than none, and less is the worst: both ways have to be tried.
    folded = work("barred(survey.a0) - survey.a1 >= -0.1 in", (0, 1), {0: 5, 1: 5})
    assert corner(stack_of(folded, 0))["a0"] == -1


def test_a_costly_corner_is_improved_one_tolerance_at_a_time(work: Working) -> None:
    # Alone neither of the first two takes anything; one up and one down they do.
    needs = "(survey.a8 - 5 in) * (survey.a9 - 5 in) / 1 in + bent(survey.a2) >= 24.99 in"
    stack = stack_of(work(needs, (2, 8, 9)), 0)
    found = corner(stack)
    assert found["a2"] == -3
    assert found["a8"] * found["a9"] == -90
    least = (5 - 3 / 64) ** 2 - 90 / 64**2 - 24.99
    assert inches(stack.worst) == [round(least, 6)]


def test_a_costly_corner_is_improved_only_where_it_is_near(work: Working) -> None:
    needs = "(survey.a8 - 5 in) * (survey.a9 - 5 in) / 1 in + bent(survey.a2) >= {} in"
    for least, improved in (("24.8", True), ("9", False)):
        found = corner(stack_of(work(needs.format(least), (2, 8, 9)), 0))
        assert (found["a8"] * found["a9"] < 0) == improved


def test_what_boxes_cannot_prove_says_so(work: Working) -> None:
    # A square is taken for a product of two sizes that may differ: the boxes stay too wide.
    squares = " + ".join(f"(survey.a{at} - 5 in) * (survey.a{at} - 5 in)" for at in range(MANY))
    stack = stack_of(work(f"9 * ({squares}) / 1 in + survey.a0 >= 4.9 in", range(MANY)), 0)
    assert (
        stack.tried == "the worst of 1024 corners, the worst of those tried, and of points between"
    )


def test_a_reading_of_the_work_takes_the_place_of_what_was_drawn(work: Working) -> None:
    stack = stack_of(work("rope.seen >= 4.99 in", (0, 3)), 0)
    assert inches(stack.worst) == [round(0.01 - 4 / 64, 6)]
    assert [one.means for one in stack.contributors] == ["tape 3"]


def test_what_is_cut_no_longer_follows_a_reading(work: Working) -> None:
    # The cut is frozen at 5 - 5 in: an error of a0 is not in it, one of a2 is beside it.
    stack = stack_of(work("survey.a2 - rope.cut >= 4.99 in", (0, 1, 2)), 0)
    assert inches(stack.worst) == [round(0.01 - 3 / 64, 6)]
    follows = stack_of(work("survey.a2 - rope.sum >= -5.01 in", (0, 1, 2)), 0)
    assert inches(follows.worst) == [round(0.01 - 6 / 64, 6)]


def test_each_clause_has_a_stack_of_its_own(work: Working) -> None:
    one = work("survey.a0 >= 4.99 in", (0, 9))
    assert [found.at for found in stack_up(one)] == [0, 1]
    assert inches(stack_of(one, 0).worst, stack_of(one, 1).worst) == [
        round(0.01 - 1 / 64, 6),
        round(1 / 8 - 10 / 64, 6),
    ]


def test_the_sentence_at_worst(work: Working) -> None:
    one = work("survey.a3 >= 4.99 in", (3,), said="{actual} where {limit} is asked")
    stack = stack_of(one, 0)
    assert said_at_worst(one, stack) == "It is 4 15/16 in where about 4 63/64 in is asked."
    # What the sentence alone names is told as it is at worst too, and what is not off as it is.
    said = "{actual}, with {rope.sum} and {survey.a5}"
    one = work("survey.a0 + survey.a6 >= 9.99 in", (0,), said=said)
    assert said_at_worst(one, stack_of(one, 0)) == (
        "It is about 9.984 in, with 9 63/64 in and 5 in."
    )


def test_what_was_stacked_up_is_kept_for_what_it_depends_on(work: Working) -> None:
    known: dict[object, Stack] = {}
    one = work("survey.a0 >= 4.99 in", (0,))
    first = stack_of(one, 0, known)
    assert stack_of(one, 0, known) is first
    assert len(known) == 1
    name = "survey.a0"
    wider = {name: Allowance(name=name, means="tape 0", amount=INCH)}
    other = Toleranced(one.verdict, one.tolerances, wider)
    assert stack_of(other, 0, known).worst < first.worst
    assert len(known) == 2
    assert list(stack_up(other, known)) == [stack_of(other, 0, known)]
    assert len(known) == 2
    assert Stacking(one, 0).stack() == first
    longer = work("survey.a0 >= 4.99 in", (0,), {0: 6})
    assert stack_of(longer, 0, known).margin > first.margin
    assert len(known) == 3
    kept: dict[object, Stack] = {}
    assert [found.at for found in stack_up(one, kept)] == [0]
    assert list(kept.values()) == [first]


def test_an_adjuster_takes_up_what_its_own_part_loses(work: Working) -> None:
    toleranced = work("survey.a0 - survey.a1 >= 0 in", (0, 1), turn=True)
    (case,) = (one for one in toleranced.verdict.plan.cases if one.clause.name == "sums.asked")
    (screws,) = toleranced.tolerances.taking(case)
    for part, counts in (("", True), (case.subject, True), ("another", False)):
        sheet = replace(toleranced.tolerances, adjusters=(replace(screws, part=part),))
        assert bool(sheet.taking(case)) is counts
    of_row = replace(case, subject=f"{case.subject}.holes[1]")
    own = replace(screws, part=case.subject)
    assert replace(toleranced.tolerances, adjusters=(own,)).taking(of_row) == (own,)
