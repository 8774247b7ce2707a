"""Sorts: their facts, roles and groups, those above them, and what is refused of them."""

import math
from dataclasses import dataclass
from pathlib import Path

import pytest

from ruleset import KINDS, Library, RulesetError, assemble
from ruleset.book_reader import read_book
from ruleset.explain import Teller
from ruleset.formula.answer import Answer, Answering
from ruleset.formula.cone import leaves
from ruleset.patterns import FACT_NAME
from ruleset.plan import Plan, plan
from ruleset.program import EXEMPT, FAILS, Run, compile_plan
from ruleset.prove import faults_of, prove
from ruleset.reader import read_text
from ruleset.show import Style

FENCE = (Path(__file__).parent / "books/fence.yaml").read_text(encoding="utf-8")


def fence(*more: str) -> Library:
    return assemble(
        read_book(read_text(text, f"book{at}")) for at, text in enumerate((FENCE, *more))
    )


def test_a_book_without_parts_proves_itself() -> None:
    assert list(faults_of(prove(fence()))) == []


BUILT = """
book: yard
title: A yard
parts:
  left: {means: the left post, sorts: [start post]}
  right: {means: the right post, sorts: [end post]}
  wing: {means: the wing, sorts: [board], roles: {beside: left}}
  tail: {means: the tail, sorts: [board], roles: {beside: right}}
  door: {means: the door, sorts: [board gate], roles: {hung_on: wing, shuts_on: tail}}
  flap: {means: the flap, sorts: [gate], roles: {hung_on: tail, shuts_on: left}}
"""
IN = 25.4
JOB = {
    "survey.length": 100 * IN,
    "survey.left.lean": 1 * IN,
    "survey.right.lean": 2 * IN,
    "design.wing.width": 20 * IN,
    "design.tail.width": 30 * IN,
    "design.door.gap": 1 / 4 * IN,
    "design.flap.gap": 0.0,
    **{f"design.{name}.thickness": 1 * IN for name in ("wing", "tail", "door", "flap")},
}
WORDS = {
    "design.wing.head": "free",
    "design.tail.head": "rail",
    "design.wing.wood": "oak",
    "design.tail.wood": "larch",
    "design.door.wood": "pine",
    "design.flap.wood": "oak",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Worked:
    """What a job of a library comes to."""

    plan: Plan
    run: Run

    def value(self, name: str) -> float:
        at = [step.name for step in self.plan.steps].index(name)
        return self.run.values[at]

    def outcome(self, clause: str, subject: str) -> int:
        cases = [(case.clause.name, case.subject) for case in self.plan.cases]
        return self.run.outcomes[cases.index((f"fence.{clause}", subject))]


def worked(library: Library, **rows: int) -> Worked:
    lists = sorted(fact.name for fact in library.facts.values() if fact.rows)
    made = plan(library, tuple((name, rows.get(name.split(".")[1], 0)) for name in lists))
    program = compile_plan(library, made)
    words = {name: library.words[word] for name, word in WORDS.items()}
    facts = {**JOB, **words}
    limits = [library.limits[name].value for name in program.limits]
    run = program.run([facts.get(name, math.nan) for name in program.facts], limits)
    return Worked(plan=made, run=run)


def test_facts_of_sorts_stand_under_each_part_s_name() -> None:
    facts = fence(BUILT).facts
    assert list(facts) == [
        "survey.length",
        "survey.left.lean",
        "survey.right.lean",
        *(f"design.{name}.thickness" for name in ("wing", "tail", "door", "flap")),
        *(f"design.{name}.wood" for name in ("wing", "tail")),
        *(f"design.{name}.holes" for name in ("wing", "tail", "door", "flap")),
        *(f"design.{name}.width" for name in ("wing", "tail")),
        *(f"design.{name}.head" for name in ("wing", "tail")),
        *(f"design.{name}.gap" for name in ("door", "flap")),
        *(f"design.{name}.wood" for name in ("door", "flap")),
        *(f"design.{name}.edge" for name in ("door", "flap")),
    ]
    assert facts["design.wing.thickness"].means == "Thickness of the wing"
    assert facts["design.wing.width"].means == "The wing from edge to edge"
    assert facts["survey.left.lean"].absent == "0 in"
    assert facts["design.door.edge"].follows == "design.door.thickness"


def test_the_nearest_sort_s_fact_counts() -> None:
    facts = fence(BUILT).facts
    assert facts["design.door.wood"].words == ("oak", "pine")
    assert facts["design.door.wood"].means == "Wood of the frame of the door"
    assert facts["design.wing.wood"].words == ("oak", "pine", "larch")


def test_paths_go_through_roles_by_sums_by_hand() -> None:
    job = worked(fence(BUILT))
    assert job.value("left.at") == pytest.approx(1 * IN)
    assert job.value("right.at") == pytest.approx(98 * IN)
    assert job.value("wing.at") == pytest.approx(21 * IN)
    assert job.value("tail.at") == pytest.approx(68 * IN)
    assert job.value("right.toward") == -1  # given anew for end posts
    assert job.value("left.toward") == 1
    assert job.value("door.width") == pytest.approx((68 - 21 - 1 / 2) * IN)
    assert job.value("flap.width") == pytest.approx((68 - 1) * IN)


def test_a_group_by_a_role_has_those_that_name_the_part() -> None:
    job = worked(fence(BUILT))
    door = (46.5 * 0.0254) ** 2 * 0.0254 * 700  # kg
    assert job.value("door.mass") == pytest.approx(door)
    assert job.value("wing.carried") == pytest.approx(door)
    assert job.value("tail.carried") == 0  # the flap is no board gate
    assert job.outcome("gates-alike", "wing") == FAILS
    assert job.outcome("gates-alike", "tail") == EXEMPT


def test_a_clause_is_asked_of_the_parts_of_its_sort_and_of_those_below() -> None:
    cases = [(case.clause.name, case.subject) for case in worked(fence(BUILT)).plan.cases]
    assert cases == [
        ("fence.held", "door"),
        ("fence.gates-alike", "wing"),
        ("fence.gates-alike", "tail"),
        *(("fence.wide-enough", name) for name in ("wing", "tail", "door", "flap")),
        *(("fence.latch-first", name) for name in ("wing", "tail", "door", "flap")),
    ]


def test_levers_are_named_plainly_and_left_out_where_a_part_has_none() -> None:
    levers = {case.subject: case.levers for case in worked(fence(BUILT)).plan.cases[3:7]}
    assert levers["wing"] == ("design.wing.width", "design.wing.thickness")
    assert levers["door"] == ("design.door.thickness",)
    held = worked(fence(BUILT)).plan.cases[0].levers
    assert held == ("design.wing.head", "design.wing.width", "design.door.thickness")


def test_members_of_a_sort_s_group_and_rows_of_the_part_s_list() -> None:
    job = worked(fence(BUILT), door=2)
    steps = {step.name: step for step in job.plan.steps}
    assert job.value("door.holes[1].x") == pytest.approx(46.5 / 2 * IN)
    assert leaves(steps["door.holes[3].rim"].drawn)[0] == "design.door.holes[2].x"
    assert "design.door.holes[2].x" in job.plan.leaves
    first = next(one for one in job.plan.cases if one.clause.name == "fence.latch-first")
    assert first.needs is None  # no rows: nothing to check
    asked = [one.needs for one in job.plan.cases if one.needs and one.clause is first.clause]
    assert [leaves(needs)[:2] for needs in asked] == [
        ("design.door.holes[1].x", "fence.latch-first.least")
    ]
    assert steps["door.holes[3].rim"].means == "From the edge, hole 3 of the door"


def test_a_working_names_its_part_where_there_are_several() -> None:
    one = BUILT.replace("  tail: {means: the tail, sorts: [board], roles: {beside: right}}\n", "")
    one = one.replace("shuts_on: tail", "shuts_on: right").replace(
        "hung_on: tail", "hung_on: right"
    )
    assert "tail" not in one
    several, single = (
        {step.name: step.means for step in worked(fence(text)).plan.steps} for text in (BUILT, one)
    )
    assert several["wing.at"] == "Free edge, the wing"
    assert single["wing.at"] == "Free edge"
    assert single["door.width"] == "Width of the door"  # said by the working itself


def test_sentences_say_what_parts_are() -> None:
    library = fence(BUILT)
    job = worked(library)
    case = job.plan.cases[0]
    values = {name: library.words[word] for name, word in WORDS.items()}
    answering = Answering(lambda name: Answer(values[name]), library.words, {})
    kinds = dict.fromkeys(WORDS, KINDS["word"])
    told = Teller(answering, kinds.get, {}, library.words, Style()).tell(case)
    assert told.says == "The door hangs on the wing, whose head is free; it shuts on the tail."
    assert told.do == "Give the wing a rail."
    assert job.outcome("held", "door") == FAILS


def told(*books: str) -> list[str]:
    """Return the faults of books that do not fit together."""
    with pytest.raises(RulesetError) as caught:
        worked(fence(*books))
    for fault in caught.value.faults:
        assert fault.place.column
        assert fault.says.endswith((".", "?"))
    return [f"{f.place.file}:{f.place.line}: {f.says}" for f in caught.value.faults]


def book(**sections: str) -> str:
    """Return a book beside the fence, from line 3 on a section a line."""
    lines = (f"{name}: {text}" for name, text in sections.items())
    return "book: more\ntitle: More\n" + "\n".join(lines)


def formula(text: str, sort: str = "gate", variable: str = "gate") -> str:
    means = f"for: each {sort}, means: It, kind: length"
    return book(workings=f'{{{variable}.it: {{{means}, is: "{text}"}}}}')


CLAUSE = "title: T, level: note, stage: design, basis: {standing: memory}, why: W"


@pytest.mark.parametrize(
    ("more", "says"),
    [
        (
            book(sorts="{shed: {is: hous}}"),
            "book1:3: There is no sort hous.",
        ),
        (
            book(sorts="{shed: {is: hut}, hut: {is: shed}}"),
            (
                "book1:3: Each shed is a hut, and that is a shed: this is a circle. "
                "Take out one of them."
            ),
        ),
        (
            book(sorts="{shed: {roles: {by: pots}}}"),
            "book1:3: There is no sort pots. Did you mean 'post'?",
        ),
        (
            book(sorts="{rail gate: {is: gate, roles: {hung_on: sheet}}}"),
            (
                "book1:3: No sheet may be the hung_on of a rail gate; of every sort above it a "
                "side is."
            ),
        ),
        (
            book(sorts="{shed: {groups: {gates: {sort: gate, by: hangs_on}}}}"),
            (
                "book1:3: No gate has a role hangs_on by which it could be of gates. "
                "Did you mean 'hung_on'?"
            ),
        ),
        (
            book(sorts="{shed: {groups: {gates: {sort: gate, by: hung_on}}}}"),
            "book1:3: No shed may be the hung_on of a gate; only a side may.",
        ),
        (
            book(sorts="{shed: {groups: {gates: {sort: gate, by: hung_on, more: x}}}}"),
            (
                "book1:3: The group gates is of the parts that name it by hung_on; leave out are "
                "and more."
            ),
        ),
        (
            book(sorts="{shed: {groups: {holes: {sort: hole, more: sheet.design.holes}}}}"),
            "book1:3: There is no list sheet.design.holes.",
        ),
        (
            book(sorts="{wide limit: {}}"),
            "book1:3: A sort may not be called wide limit; facts and limits begin so.",
        ),
        (
            book(sorts="{shed: {fields: {design: length}}}"),
            "book1:3: What each shed has may not be called design; facts begin so.",
        ),
        (
            book(sorts="{shed: {is: [board, post]}}"),
            (
                "book1:3: Each shed has toward as a board and a post, and neither extends the "
                "other; give it anew for one sort."
            ),
        ),
        (
            book(sorts="{low board: {is: board, fields: {width: mass}}}"),
            "book1:3: width of each low board is a mass here, and a length of what it extends.",
        ),
        (
            book(sorts="{low board: {is: board, roles: {width: side}}}"),
            "book1:3: width of each low board is a role here, and a working of what it extends.",
        ),
        (
            book(
                facts="{gate.design.thickness: {for: each gate, means: T, kind: mass, range: "
                "[1 kg, 2 kg]}}"
            ),
            (
                "book1:3: design.thickness of each gate is a mass here, and a length of what it "
                "extends."
            ),
        ),
        (
            book(
                facts="{board.design.wood: {for: each board, means: W, kind: word, words: "
                "[oak, ash]}}"
            ),
            "book1:3: design.wood of each board is ash here, which is no word of what it extends.",
        ),
        (
            book(
                facts="{gate.design.new: {for: each gate, means: G, kind: yes/no, "
                "absent: gate.design.nought}}"
            ),
            "book1:3: There is no gate.design.nought.",
        ),
        (
            book(
                facts="{gate.design.new: {for: each gate, means: G, kind: yes/no, "
                "absent: gate.design.new}}"
            ),
            (
                "book1:3: gate.design.new is taken from itself: gate.design.new from "
                "gate.design.new."
            ),
        ),
        (
            book(facts="{gate.design.gap: {for: each gate, means: G, kind: yes/no}}"),
            "book1:3: The fact design.gap of each gate is declared twice; first at book0:13:20.",
        ),
        (
            book(facts="{gate.design.gap.left: {for: each gate, means: G, kind: yes/no}}"),
            (
                "book1:3: gate.design.gap.left stands under the fact gate.design.gap, which has a "
                "value of its own."
            ),
        ),
        (
            book(
                sorts="{slot: {}, slotted: {is: sheet, groups: {holes: {sort: slot}}}}",
            ),
            "book1:3: holes of each slotted is of slot here, and of hole of what it extends.",
        ),
        (
            book(
                sorts="{slot: {}, slotted: {is: sheet}}",
                facts="{slotted.design.holes: {for: each slotted, means: S, list: slot}}",
            ),
            (
                "book1:4: design.holes of each slotted is a list of slot here, and of hole of what "
                "it extends."
            ),
        ),
        (
            book(
                sorts="{slot: {}, shed: {groups: {slots: {sort: slot, more: design.holes}}}}",
                facts="{design.holes: {means: H, list: hole}}",
            ),
            "book1:3: design.holes is a list of hole; the group is of slot.",
        ),
        (
            book(sorts="{shed: {roles: {gates: side}, groups: {gates: {sort: gate}}}}"),
            "book1:3: Each shed has gates twice, as a role, a group or a field; rename one.",
        ),
        (
            book(facts='{gate.design.new: {for: each gate, means: "{door}", kind: yes/no}}'),
            "book1:3: means has {door}; in a fact of each gate it may be {gate}.",
        ),
        (
            book(facts="{door.design.new: {for: each gate, means: G, kind: yes/no}}"),
            "book1:3: door.design.new is for each gate; its name begins gate.design.",
        ),
        (
            book(facts="{gate.design.new: {means: G, kind: yes/no}}"),
            "book1:3: gate.design.new begins with no source; of each part of a sort it has a for.",
        ),
        (
            book(facts="{design.new: {for: each gate, means: G, kind: yes/no}}"),
            "book1:3: design.new is of the whole job; leave out its for.",
        ),
        (
            book(facts="{gate.design.new: {for: each gatte, means: G, kind: yes/no}}"),
            "book1:3: There is no sort gatte. Did you mean 'gate'?",
        ),
        (
            book(facts="{gate.kit.new: {for: each gate, means: G, kind: yes/no}}"),
            f"book1:3: 'gate.kit.new' may not stand in facts. {FACT_NAME.says}",
        ),
        (
            book(
                workings="{gate.width: {for: each gate, means: W, kind: length, "
                "is: gate.design.gap}}"
            ),
            "book1:3: The working width of each gate is declared twice; first at book0:47:15.",
        ),
        (
            book(
                workings='{gate.it: {for: each gate, means: "It of {door}", kind: length, '
                "is: gate.design.gap}}"
            ),
            "book1:3: means has {door}, which is no part; it may be one of each SORT.",
        ),
        (
            formula("gate.width", "gate of each post"),
            "book1:3: No post has a group of what is a gate.",
        ),
        (
            formula("gate.hung_on.width"),
            (
                "book1:3: There is no gate.hung_on.width here. A side may be its hung_on and has "
                "no width."
            ),
        ),
        (
            formula("gate.hungon.at"),
            "book1:3: There is no gate.hungon.at here. Did you mean 'gate.hung_on.at'?",
        ),
        (
            formula("gate.hung_on"),
            "book1:3: There is no gate.hung_on here. That is a part; name what it has.",
        ),
        (
            formula("sum(one.width for one in board.gates)", "board gate"),
            "book1:3: There is no group board.gates here. Did you mean 'board_gates'?",
        ),
        (
            formula("board.gates[1].width", "board", "board"),
            "book1:3: There is no board.gates[1].width here. Did you mean 'board.design.width'?",
        ),
        (
            book(
                sorts="{odd gate: {is: gate, roles: {near: [start post, sheet]}, fields: {}}}",
                facts="{start_post.design.it: {for: each start post, means: A, kind: yes/no}, "
                "sheet.design.it: {for: each sheet, means: A, kind: length, range: [0 in, 1 in]}}",
                workings="{gate.it: {for: each odd gate, means: A, kind: length, "
                "is: gate.near.design.it}}",
            ),
            (
                "book1:5: There is no gate.near.design.it here. It may be a yes/no or a length, by "
                "which part stands on its way."
            ),
        ),
        (
            book(
                clauses=f'{{it: {{{CLAUSE}, for: each gate, needs: gate.width > 0, says: "S", '
                "levers: [gate.design.gapp]}}"
            ),
            "book1:3: There is no fact gate.design.gapp. Did you mean 'gate.design.gap'?",
        ),
        (
            book(
                clauses=f"{{it: {{{CLAUSE}, for: each gate, needs: gate.width > 0, "
                'says: "{gate.hung_up}"}}'
            ),
            (
                "book1:3: The sentence of more.it has {gate.hung_up}, which has no value. "
                "Did you mean 'gate.hung_on'?"
            ),
        ),
    ],
)
def test_a_book_of_sorts_with_one_fault(more: str, says: str) -> None:
    faults = told(more)
    assert says in faults
    assert len(faults) < 3  # a circle and a conflict are told of both


def read_with_fence(more: str) -> Library:
    return assemble(read_book(read_text(text, "book")) for text in (FENCE, more))


def test_a_member_of_a_group_is_one_that_every_part_has() -> None:
    first = formula("gate.holes[1].x").replace("It,", "It, proofs: {a: {is: 1 in}},")
    assert "more" in read_with_fence(first).books
    second = first.replace("holes[1]", "holes[2]")
    assert told(second) == ["book1:3: There is no gate.holes[2].x here. Did you mean 'gate.holes'?"]


def test_a_list_given_anew_is_of_the_same_sort_or_of_one_below() -> None:
    rows = "{for: each board, means: Slots, list: slot, most: 2, absent: none}"
    more = book(sorts="{slot: {is: hole}}", facts=f"{{board.design.holes: {rows}}}")
    assert "more" in read_with_fence(more).books
    assert told(more.replace("{is: hole}", "{fields: {x: length}}")) == [
        (
            "book1:4: design.holes of each board is a list of slot here, and of hole of what it "
            "extends."
        )
    ]


def test_a_word_asked_through_a_role_may_be_any_of_those_that_may_fill_it() -> None:
    sorts = "{shed: {roles: {to: [board, gate]}}}"
    proofs = "proofs: {a: {given: {shed.to.design.wood: larch}, is: yes}}"
    means = f"for: each shed, means: It, kind: yes/no, {proofs}"
    more = book(
        sorts=sorts, workings=f"{{shed.it: {{{means}, is: \"shed.to.design.wood == 'larch'\"}}}}"
    )
    # Boards are of oak, pine or larch, a gate's frame of oak or pine only.
    assert not faults_of(prove(read_with_fence(more)))
    (says,) = told(more.replace("== 'larch'", "== 'iron'"))
    assert "iron" in says


def test_faults_of_sorts_stand_where_they_are_written() -> None:
    named = "book: more\ntitle: More\nsorts:\n  shed:\n    roles:\n      design: side\n"
    assert told(named) == ["book1:6: What each shed has may not be called design; facts begin so."]
    assert told(formula("gate.width", "gate", "board")) == [
        "book1:3: The working board.it is for each gate; its name begins with gate."
    ]
    assert told(formula("hole.x", "hole of each hut", "hole")) == ["book1:3: There is no sort hut."]
    of_none = "{hut.design.it: {for: each hut, means: It, kind: length, range: [0 in, 1 in]}}"
    assert told(book(facts=of_none)) == ["book1:3: There is no sort hut."]


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        (
            "roles: {beside: left}",
            "roles: {}",
            "book1:6: wing has no beside; it needs one, a side.",
        ),
        (
            "roles: {beside: left}",
            "roles: {beside: left, under: left}",
            "book1:6: wing has no role under. Its roles are beside.",
        ),
        (
            "roles: {beside: left}",
            "roles: {beside: left, besides: left}",
            "book1:6: wing has no role besides. Did you mean 'beside'?",
        ),
        (
            "sorts: [start post]",
            "sorts: [start post], roles: {under: right}",
            "book1:4: left has no role under.",
        ),
        (
            "hung_on: wing",
            "hung_on: left",
            "book1:8: left may not be the hung_on of door; only a board may.",
        ),
        (
            "hung_on: wing",
            "hung_on: wign",
            "book1:8: There is no part wign. Did you mean 'wing'?",
        ),
        ("beside: left", "beside: wing", "book1:6: wing may not be its own beside."),
        (
            "title: A yard",
            "title: A yard\nfacts: {design.wing.wood: {means: W, kind: yes/no}}",
            "book1:3: The fact design.wing.wood is declared twice; first at book0:9:22.",
        ),
    ],
)
def test_parts_of_a_book_with_one_fault(old: str, new: str, says: str) -> None:
    assert old in BUILT
    assert told(BUILT.replace(old, new, 1).lstrip()) == [says]


def wrong(*books: str) -> list[str]:
    """Return what the proofs of books do not prove."""
    return [fault.says for fault in faults_of(prove(fence(*books)))]


def test_a_proof_says_who_is_in_a_group_by_a_role() -> None:
    text = book(
        workings="{board.many: {for: each board, means: Gates, kind: number, "
        "is: count(board.gates) + 2 * board.toward, "
        'proofs: {one: {given: {board.toward: "1"}, is: "2"}}}}'
    )
    assert wrong(text) == [
        "board.many, one: board.gates is not given; who is in it is known before any job."
    ]
    given = text.replace('"1"}', '"1", board.gates: [{}, {}]}').replace('is: "2"', 'is: "4"')
    assert wrong(given) == []


def test_a_proof_calls_a_part_what_its_sort_is_called() -> None:
    proofs = (
        "proofs: {holds: {it: {given: {post.at: 2 mm}}}, fails: {it: {given: {post.at: 0 mm}, "
        'says: "The post and the post stand out; %s."}}}'
    )
    clause = f"{CLAUSE}, for: each start post, needs: post.at > limit.nought, "
    clause += "limits: {nought: {is: 0 mm, step: 1 mm, basis: {standing: memory}}}, "
    clause += 'says: "{subject} and {start_post} stand out; {post.at}.", '
    assert wrong(book(clauses=f"{{out: {{{clause}{proofs % '0 in'}}}}}")) == [
        "more.out, change: limit nought up: No proof notices this change: limit nought up."
    ]


def test_a_loop_over_a_group_of_a_sort_takes_the_members_of_the_inner_sort() -> None:
    sorts = "{yard: {is: side, groups: {all_gates: {sort: gate, by: shuts_on}}}}"
    text = book(
        sorts=sorts,
        workings="{yard.at: {for: each yard, means: A, kind: length, is: survey.length}, "
        'yard.toward: {for: each yard, means: A, kind: number, is: "1"}, '
        "board_gate.run: {for: each board gate of each yard, means: A, kind: length, "
        "is: yard.at - gate.width}}",
    )
    parts = BUILT.replace(
        "sorts: [end post]}", "sorts: [end post]}\n  close: {means: C, sorts: [yard]}"
    )
    parts = parts.replace("hung_on: wing, shuts_on: tail", "hung_on: wing, shuts_on: close")
    parts = parts.replace("shuts_on: left", "shuts_on: close")
    job = worked(fence(text, parts))
    runs = [step.name for step in job.plan.steps if step.name.endswith(".run")]
    assert runs == ["door.run"]  # the flap is a gate, too, but no board gate
    assert job.value("door.run") == pytest.approx(21.5 * IN)  # back from 100 to 21, less two gaps


def test_a_limit_is_its_book_s_though_a_sort_is_called_like_it() -> None:
    text = (
        "book: gate\ntitle: G\nlimits: {most: {is: 9 in, basis: {standing: memory}}}\n"
        "workings: {gate.room: {for: each gate, means: R, kind: length, "
        "is: gate.limit.most - gate.design.gap}}"
    )
    assert worked(fence(text, BUILT)).value("door.room") == pytest.approx((9 - 1 / 4) * IN)


def test_what_a_name_means_is_said_of_the_sort() -> None:
    names = fence().names
    variables = {"gate": "board gate"}
    assert names.means_of("gate.design.wood", variables) == "Wood of the frame of the board gate"
    assert names.means_of("gate.hung_on.width", variables) == "Width of the board"
    assert names.means_of("survey.length", variables) == "From post to post"
    assert names.means_of("gate.hung_on", variables) == ""
