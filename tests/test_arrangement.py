"""Arrangements: read, bound to books, refused, and worked out for each hand and for none."""

import math
import random
from pathlib import Path

import pytest

from ruleset import Library, RulesetError, assemble
from ruleset.arrangement import read_arrangement
from ruleset.bind import bind
from ruleset.book_form import ARRANGEMENT
from ruleset.book_reader import read_book
from ruleset.form import schema
from ruleset.formula.answer import Answer, Answering
from ruleset.hands import Joined, joined, shapes
from ruleset.layers import lay, read_layer
from ruleset.plan import Plan, plan
from ruleset.program import EXEMPT, FAILS, HOLDS, SOFTER, UNKNOWN, Run, compile_plan
from ruleset.reader import read_text
from ruleset.schema_faults import faults_by_schema

BOOKS = Path(__file__).parent / "books"
FENCE = (BOOKS / "fence.yaml").read_text(encoding="utf-8")
HUNG = (BOOKS / "hung.yaml").read_text(encoding="utf-8")
IN = 25.4


def bound(text: str = HUNG, *books: str) -> Library:
    texts = (FENCE, *books)
    library = assemble(read_book(read_text(one, f"book{at}")) for at, one in enumerate(texts))
    return bind(library, read_arrangement(read_text(text, "hung")))


NUMBERS = {
    "survey.length": 100 * IN,
    "survey.left.lean": 1 * IN,
    "survey.right.lean": 2 * IN,
    "design.wing.width": 20 * IN,
    "design.tail.width": 30 * IN,
    "design.door.gap": 1 / 4 * IN,
    **{f"design.{name}.thickness": 1 * IN for name in ("wing", "tail", "door")},
}
WORDS = {
    "design.wing.head": "free",
    "design.tail.head": "rail",
    "design.wing.wood": "oak",
    "design.tail.wood": "larch",
    "design.door.wood": "pine",
}


def run_of(library: Library, made: Plan, **words: str) -> Run:
    program = compile_plan(library, made)
    given = {**WORDS, **{name.replace("_", ".", 1): word for name, word in words.items()}}
    facts = {**NUMBERS, **{name: library.words[word] for name, word in given.items()}}
    limits = [library.limits[name].value for name in program.limits]
    return program.run([facts.get(name, math.nan) for name in program.facts], limits)


def rows(library: Library) -> tuple[tuple[str, int | None], ...]:
    return tuple((fact.name, 0) for fact in library.facts.values() if fact.rows)


def of_hand(hand: str, text: str = HUNG) -> tuple[dict[str, float], dict[tuple[str, str], int]]:
    """Return the values by name, and the outcomes by clause and subject."""
    library = bound(text)
    (shape,) = shapes(library, rows(library), hand)
    made = plan(library, shape)
    run = run_of(library, made, design_hand=hand)
    values = dict(zip((step.name for step in made.steps), run.values, strict=True))
    keys = [(case.clause.name.partition(".")[2], case.subject) for case in made.cases]
    return values, dict(zip(keys, run.outcomes, strict=True))


def test_the_hand_chooses_who_fills_a_role() -> None:
    left, outcomes = of_hand("left")
    right, other = of_hand("right")
    # By hand: the wing ends at 1 + 20 in, the tail at 98 - 30 in; two gaps of 1/4 in.
    assert left["door.width"] == right["door.width"] == pytest.approx((68 - 21 - 1 / 2) * IN)
    mass = (46.5 * 0.0254) ** 2 * 0.0254 * 700
    assert left["wing.carried"] == right["tail.carried"] == pytest.approx(mass)
    assert left["tail.carried"] == right["wing.carried"] == 0
    assert outcomes["held", "door"] == FAILS  # the wing's head is free, the tail's is not
    assert other["held", "door"] == HOLDS
    assert outcomes["gates-alike", "tail"] == other["gates-alike", "wing"] == EXEMPT


def test_parts_have_facts_and_the_hand_is_one() -> None:
    library = bound()
    assert [name for name in library.facts if name.startswith("design.door.")] == [
        "design.door.thickness",
        "design.door.holes",
        "design.door.gap",
        "design.door.wood",
        "design.door.edge",
    ]
    assert library.facts["design.hand"].words == library.hands == ("left", "right")
    assert library.facts["design.tail.width"].means == "The tail from edge to edge"
    assert set(library.hands) <= set(library.words)


def without_hand() -> tuple[Library, Joined]:
    library = bound()
    plans = [plan(library, shape) for shape in shapes(library, rows(library))]
    runs = [
        run_of(library, one, design_hand=hand)
        for one, hand in zip(plans, library.hands, strict=True)
    ]
    return library, joined(library, plans, runs)


def test_without_a_hand_what_is_alike_stands() -> None:
    _, both = without_hand()
    values = dict(zip((step.name for step in both.plan.steps), both.run.values, strict=True))
    assert values["door.width"] == pytest.approx(46.5 * IN)
    assert math.isnan(values["wing.carried"])
    assert "wing.carried" in both.differs
    assert "door.width" in both.differs  # the same, but on another way
    assert "wing.at" not in both.differs
    assert "door.mass" in both.differs
    outcomes = {
        (case.clause.name, case.subject): outcome
        for case, outcome in zip(both.plan.cases, both.run.outcomes, strict=True)
    }
    assert outcomes["fence.held", "door"] == UNKNOWN
    assert outcomes["fence.gates-alike", "wing"] == UNKNOWN
    assert outcomes["fence.wide-enough", "wing"] == HOLDS
    unlike = {both.plan.cases[at].clause.name for at in both.unlike}
    assert unlike == {"fence.held", "fence.gates-alike", "fence.wide-enough"}


def test_what_differs_is_unknown_for_want_of_the_hand() -> None:
    library, both = without_hand()
    steps = {step.name: step for step in both.plan.steps}
    values = dict(zip(steps, both.run.values, strict=True))
    facts = {**NUMBERS, **{name: library.words[word] for name, word in WORDS.items()}}

    def look_up(name: str) -> Answer:
        value = values.get(name, facts.get(name, math.nan))
        if value == value:
            return Answer(value)
        if name in steps:
            return answering.answer(steps[name].drawn)
        return Answer(math.nan, frozenset((name,)))

    answering = Answering(look_up, library.words, {})
    held = next(case for case in both.plan.cases if case.clause.name == "fence.held")
    assert held.needs is not None
    assert answering.answer(held.needs).missing == {"design.hand"}
    assert look_up("wing.carried").missing == {"design.hand"}
    assert held.parts == {
        "gate.hung_on": "the wing or the tail",
        "gate.shuts_on": "the tail or the wing",
    }


def test_a_plan_gives_the_plain_name_of_a_path() -> None:
    _, both = without_hand()
    left, right = planned(HUNG)
    path = "door.hung_on.design.head"
    assert (left.plain(path), right.plain(path)) == ("design.wing.head", "design.tail.head")
    assert both.plan.plain(path) == path
    assert both.plan.plain("wing.beside.survey.lean") == "survey.left.lean"


HANDED = """
book: handed
title: What goes by the hand
facts: {design.hand: {means: The hand, kind: word, words: [left, right]}}
workings:
  gate.way: {for: each gate, means: Way, is: 1 if design.hand == 'left' else 2, kind: number}
clauses:
  way:
    for: each board gate
    title: T
    needs: gate.way < limit.most
    limits: {most: {is: "2", basis: {standing: memory}}}
    level: error
    softer: {level: note, when: gate.hung_on.design.head == 'free'}
    stage: design
    why: W
    says: S
"""


def random_job(rng: random.Random, *, alike: bool) -> dict[str, float | str]:
    """Return facts of both boards and posts, the same on either side or each at random."""
    values: dict[str, float | str] = {"survey.length": rng.uniform(60, 100) * IN}
    heads, woods = ("free", "rail"), ("oak", "pine")
    for pair in (("left", "right"), ("wing", "tail"), ("door", "door")):
        for name in pair:
            same = random.Random(1) if alike else rng  # noqa: S311
            values[f"survey.{name}.lean"] = same.uniform(-1, 1) * IN
            values[f"design.{name}.width"] = same.uniform(1, 30) * IN
            values[f"design.{name}.thickness"] = 1.0 * IN
            values[f"design.{name}.gap"] = same.uniform(0, 1) * IN
            values[f"design.{name}.head"] = same.choice(heads)
            values[f"design.{name}.wood"] = same.choice(woods)
    return {name: value for name, value in values.items() if alike or rng.random() < 0.9}


def each_hand(library: Library, job: dict[str, float | str]) -> tuple[list[Plan], list[Run]]:
    plans = [plan(library, shape) for shape in shapes(library, rows(library))]
    runs = []
    for made, hand in zip(plans, library.hands, strict=True):
        program = compile_plan(library, made)
        given = {**job, "design.hand": hand}
        facts = [given.get(name, math.nan) for name in program.facts]
        values = [library.words[one] if isinstance(one, str) else one for one in facts]
        limits = [library.limits[name].value for name in program.limits]
        runs.append(program.run(values, limits))
    return plans, runs


def test_nothing_is_told_without_a_hand_that_one_hand_denies() -> None:
    library = bound(HUNG, HANDED)
    rng = random.Random(20)  # noqa: S311
    denied = stood = 0
    for _ in range(200):
        plans, runs = each_hand(library, random_job(rng, alike=False))
        both = joined(library, plans, runs)
        for at, outcome in enumerate(both.run.outcomes):
            each = {run.outcomes[at] for run in runs}
            stood += outcome != UNKNOWN and len(each) == 1
            fine = (
                outcome == UNKNOWN
                or each
                <= {
                    HOLDS: {HOLDS, EXEMPT},
                    EXEMPT: {EXEMPT},
                    FAILS: {FAILS},
                    SOFTER: {FAILS, SOFTER},
                }[outcome]
            )
            denied += not fine
    assert denied == 0
    assert stood > 1000


def test_what_follows_from_the_hand_waits_for_it() -> None:
    library = bound(HUNG, HANDED.replace("clauses:", MORE))
    plans, runs = each_hand(library, random_job(random.Random(5), alike=True))  # noqa: S311
    both = joined(library, plans, runs)
    assert {"door.way", "door.twice", "door.thrice"} <= both.differs
    assert not {"wing.at", "wing.mass", "left.at"} & both.differs
    values = dict(zip((step.name for step in both.plan.steps), both.run.values, strict=True))
    assert math.isnan(values["door.thrice"])
    assert values["wing.mass"] > 0
    assert both.plan.shape == tuple(sorted(rows(library)))
    of_hand = [("design.hand", 1), *rows(library)]
    assert shapes(library, tuple(of_hand), "left") == (plans[0].shape,)


MORE = """
  gate.thrice: {for: each gate, means: T, is: gate.twice + gate.way / 2, kind: number}
  gate.twice: {for: each gate, means: T, is: gate.way + gate.way, kind: number}
clauses:"""
BARRED = """
book: barred
title: What hangs on a board
sorts: {bar: {is: board, groups: {hung: {sort: gate, by: hung_on}}}}
limits: {one: {is: 1 in, basis: {standing: memory}}}
workings:
  gate.bite:
    {for: each gate of each bar, means: B, is: gate.design.gap + barred.limit.one, kind: length}
clauses:
  bite:
    for: each gate of each bar
    title: T
    needs: gate.bite >= limit.least
    limits: {least: {is: 2 in, basis: {standing: memory}}}
    level: error
    stage: design
    why: W
    says: S
"""


@pytest.mark.parametrize(
    ("gap", "left", "without"), [(1 / 2, FAILS, UNKNOWN), (3 / 2, HOLDS, HOLDS)]
)
@pytest.mark.parametrize("first", [True, False])
def test_what_only_one_hand_has(gap: float, left: int, without: int, *, first: bool) -> None:
    text = HUNG.replace("wing: {is: board", "wing: {is: bar").replace("is: board gate", "is: gate")
    text = text.replace("[wing, tail]", "[wing, right]" if first else "[right, wing]")
    text = text if first else text.replace("[tail, wing]", "[wing, tail]")
    library = bound(text, BARRED)
    plans, runs = each_hand(library, {"design.door.gap": gap * IN})
    both = joined(library, plans, runs)
    asked = [[c.clause.name for c in p.cases].count("barred.bite") for p in plans]
    assert asked == ([1, 0] if first else [0, 1])
    at = next(i for i, case in enumerate(both.plan.cases) if case.clause.name == "barred.bite")
    alone = next(run for run, many in zip(runs, asked, strict=True) if many)
    own = [c.clause.name for c in plans[0 if first else 1].cases].index("barred.bite")
    assert alone.outcomes[own] == left
    assert both.run.outcomes[at] == without
    assert at in both.unlike
    assert "door.bite" in both.differs
    values = dict(zip((step.name for step in both.plan.steps), both.run.values, strict=True))
    assert math.isnan(values["door.bite"])
    answering = Answering(lambda n: Answer(math.nan, frozenset((n,))), library.words, {})
    step = next(step for step in both.plan.steps if step.name == "door.bite")
    assert answering.answer(step.drawn).missing == {"design.hand"}


def test_a_symmetrical_job_comes_out_alike_for_both_hands() -> None:
    library = bound()
    rng = random.Random(3)  # noqa: S311
    plans, runs = each_hand(library, random_job(rng, alike=True))
    both = joined(library, plans, runs)
    assert UNKNOWN not in both.run.outcomes or UNKNOWN in runs[0].outcomes
    named = [
        dict(zip((s.name for s in p.steps), r.values, strict=True))
        for p, r in zip(plans, runs, strict=True)
    ]
    assert named[0]["door.width"] == pytest.approx(named[1]["door.width"])
    assert named[0]["wing.carried"] == pytest.approx(named[1]["tail.carried"])


@pytest.mark.parametrize("hand", ["left", "right"])
def test_the_joined_plan_says_nothing_that_a_hand_denies(hand: str) -> None:
    library, both = without_hand()
    again = run_of(library, both.plan)
    (shape,) = shapes(library, rows(library), hand)
    made = plan(library, shape)
    alone = run_of(library, made, design_hand=hand)
    keys = [(case.clause.name, case.subject) for case in made.cases]
    assert [(case.clause.name, case.subject) for case in both.plan.cases] == keys
    told = [*zip(both.run.outcomes, alone.outcomes, strict=True)]
    told += zip(again.outcomes, alone.outcomes, strict=True)
    assert all(one in (other, UNKNOWN) or {one, other} == {HOLDS, EXEMPT} for one, other in told)
    known = dict(zip((step.name for step in made.steps), alone.values, strict=True))
    values = zip((step.name for step in both.plan.steps), both.run.values, strict=True)
    assert all(value == known[name] for name, value in values if not math.isnan(value))


def test_a_plan_is_of_one_hand() -> None:
    library = bound()
    with pytest.raises(ValueError, match=r"^The shape has no design\.hand; each hand has a plan"):
        plan(library, rows(library))
    with pytest.raises(ValueError, match=r"^There is no hand up; there are left, right\.$"):
        shapes(library, rows(library), "up")


def planned(text: str, *books: str) -> list[Plan]:
    library = bound(text, *books)
    return [plan(library, shape) for shape in shapes(library, rows(library))]


def test_the_form_of_an_arrangement_is_what_its_reader_takes() -> None:
    made = schema(ARRANGEMENT, title="Arrangement", id="urn:arrangement")
    assert faults_by_schema(read_text(HUNG, "hung"), made) == ()
    (fault,) = faults_by_schema(read_text(HUNG.replace("is: board, ", "", 1), "hung"), made)
    assert "'is' is a required property" in fault.says
    assert made["required"] == ["arrangement", "title", "parts"]


def told(text: str, *books: str) -> list[str]:
    """Return the faults of an arrangement."""
    with pytest.raises(RulesetError) as caught:
        planned(text, *books)
    for fault in caught.value.faults:
        assert fault.place.column
        assert fault.says.endswith((".", "?"))
    return [f"{f.place.file}:{f.place.line}: {f.says}" for f in caught.value.faults]


FLAP = "  flap: {is: gate, means: F, hung_on: [lone, left], shuts_on: [lone, left]}"


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        (
            "is: start post",
            "is: strat post",
            "There is no sort strat post. Did you mean 'start post'?",
        ),
        ("beside: left}", "besides: left}", "wing has no beside; it needs one, a side."),
        (
            "beside: left}",
            "beside: left, over: left}",
            "wing has no role over. Its roles are beside.",
        ),
        ("beside: left}", "beside: lift}", "There is no part lift. Did you mean 'left'?"),
        ("beside: left}", "beside: wing}", "wing may not be its own beside."),
        (
            "hung_on: [wing, tail]",
            "hung_on: [wing, right]",
            "right may not be the hung_on of door; only a board may.",
        ),
        (
            "hung_on: [wing, tail]",
            "hung_on: [wing, tail, left]",
            "hung_on has 3 parts; write one, or one for each hand, left and right.",
        ),
        (
            "hand: [left, right]",
            "hand: [left]",
            "hand is a list of at least two words, such as [left, right].",
        ),
        ("title: A", "tilte: A", "An arrangement has no title; it needs one."),
        ("  tail: {", "  tail_board: {", "There is no part tail."),
        ("means: the wing, ", "", "The part wing has no means; it needs one."),
        ("is: board, means: the wing", "means: the wing", "The part wing has no is; it needs one."),
        ("arrangement: gate", "arrangement: Gate", "arrangement is 'Gate between two boards'. "),
        (
            "  wing: {is: board",
            "  hand: {is: board",
            "A part may not be called hand; every job has that name.",
        ),
        ("  wing: {is: board", "  length: {is: board", "There is no part wing."),
        (
            "door: {is: board gate",
            "door: {is: [board gate, board], beside: left",
            "door has width as a gate and a board, and neither extends the other; ",
        ),
        (
            "beside: right}",
            "beside: right}\n  lone: {is: start post, means: a post}",
            "No role joins lone with the other parts; give it a role that one of them fills, or",
        ),
        (
            "shuts_on: [tail, wing]}",
            f"shuts_on: [tail, wing]}}\n{FLAP}\n  lone: {{is: start post, means: a post}}",
            "No role joins flap with the other parts for the hand left; give",
        ),
        (
            "parts:\n",
            "parts:\n  pole: {is: side, means: the pole}\n",
            "pole is a side, and no book gives pole.at, which each has. Write a working, or",
        ),
        (
            "{is: board, means: the wing, beside: left}",
            "{is: board, means: the wing, beside: tail}",
            "No role joins left with the other parts; ",
        ),
    ],
)
def test_an_arrangement_with_one_fault(old: str, new: str, says: str) -> None:
    assert old in HUNG
    faults = told(HUNG.replace(old, new, 1))
    assert any(says in fault for fault in faults), faults
    assert all(fault.startswith("hung:") for fault in faults)


@pytest.mark.parametrize(
    ("book", "says"),
    [
        (
            "facts: {design.wing: {means: W, kind: yes/no}}",
            "hung:7: design.wing.width of the part wing stands under the fact design.wing. Give",
        ),
        (
            "facts: {design.wing.wood.colour: {means: W, kind: yes/no}}",
            "hung:7: design.wing.wood of the part wing has design.wing.wood.colour under it. Give",
        ),
        (
            "facts: {design.wing.wood: {means: W, kind: yes/no}}",
            "hung:7: design.wing.wood of the part wing is a fact already, at book1:3:27.",
        ),
        (
            "facts: {design.hand: {means: H, kind: word, words: [left, up]}}",
            "hung:1: design.hand may be left or up, at book1:3:22; the hand right is none of them.",
        ),
        (
            "workings: {wing.it: {means: It, is: survey.length, kind: length}}",
            "hung:7: A part may not be called wing; wing.it is a working of the whole job.",
        ),
        (
            "parts: {wing: {means: another wing, sorts: []}}",
            "hung:7: There is a part wing already, at book1:3:15.",
        ),
    ],
)
def test_an_arrangement_that_a_book_has_no_room_for(book: str, says: str) -> None:
    faults = told(HUNG, f"book: more\ntitle: More\n{book}")
    assert any(fault.startswith(says) for fault in faults), faults


def test_circles_are_found_part_by_part() -> None:
    ring = HUNG.replace("beside: left}", "beside: tail}").replace("beside: right}", "beside: wing}")
    ring = ring.replace("shuts_on: [tail, wing]}", "shuts_on: [left, left]}")
    ring = ring.replace(
        "parts:\n", "parts:\n  flap: {is: gate, means: F, hung_on: right, shuts_on: wing}\n"
    )
    faults = told(ring)
    assert any(
        "The workings go in a circle: wing.at needs tail.at needs wing.at" in f for f in faults
    )


def test_code_sets_are_laid_before_an_arrangement_is_bound() -> None:
    library = assemble([read_book(read_text(FENCE, "fence"))])
    code = """
code: strict
title: Strict
amends:
  fence.wide-enough: {limits: {least: {is: 47 in}}, why: Why not}
  fence.held: {off: yes, why: Why}
"""
    laid = lay(library, [read_layer(read_text(code, "code"))])
    made = bind(laid, read_arrangement(read_text(HUNG, "hung")))
    (shape,) = shapes(made, rows(made), "left")
    whole = plan(made, shape)
    assert "fence.held" not in {case.clause.name for case in whole.cases}
    run = run_of(made, whole, design_hand="left")
    outcomes = {
        case.subject: o
        for case, o in zip(whole.cases, run.outcomes, strict=True)
        if "wide" in case.clause.name
    }
    assert outcomes["door"] == FAILS  # 46 1/2 in


def test_a_policy_may_tighten_what_a_sort_s_facts_show_never_to_be_negative() -> None:
    library = assemble([read_book(read_text(FENCE, "fence"))])
    policy = (
        "policy: ours\ntitle: O\namends: {fence.wide-enough: {limits: {least: {is: %s}}, why: Y}}"
    )
    tighter, looser = (read_layer(read_text(policy % least, "p")) for least in ("4 in", "2 in"))
    assert lay(library, [tighter]).limits["fence.wide-enough.least"].text == "4 in"
    with pytest.raises(RulesetError, match=r"A policy may only tighten; .* 2 in loosens it"):
        lay(library, [looser])


def test_books_may_be_bound_to_more_than_one_arrangement() -> None:
    library = assemble([read_book(read_text(FENCE, "fence"))])
    plain = HUNG.replace("hand: [left, right]\n", "").replace("[wing, tail]", "wing")
    one = bind(library, read_arrangement(read_text(HUNG, "hung")))
    two = bind(library, read_arrangement(read_text(plain.replace("[tail, wing]", "tail"), "plain")))
    assert (one.hands, two.hands) == (("left", "right"), ())
    assert "design.hand" not in two.facts
    assert not library.parts
    assert shapes(two, ()) == shapes(two, (), "left") == ((),)


def test_without_a_hand_a_role_has_one_part() -> None:
    one = HUNG.replace("hand: [left, right]\n", "").replace("[tail, wing]", "tail")
    assert told(one) == ["hung:8: hung_on has 2 parts; write one."]


@pytest.mark.parametrize(
    ("parts", "says"),
    [
        ("", ["arr:1:1: An arrangement is made of parts; it has none."]),
        ("parts: {}\n", ["arr:3:8: An arrangement is made of parts; it has none."]),
        # What is no table is told as that, and not besides as having none.
        ("parts: gate\n", ["arr:3:8: parts is a table; here is text."]),
    ],
)
def test_an_arrangement_of_nothing_is_refused(parts: str, says: list[str]) -> None:
    with pytest.raises(RulesetError) as refused:
        read_arrangement(read_text(f"arrangement: bare\ntitle: Nothing\n{parts}".encode(), "arr"))
    told = [str(fault) for fault in refused.value.faults]
    assert len(told) == len(says)
    assert all(one.startswith(start) for one, start in zip(told, says, strict=True)), told
