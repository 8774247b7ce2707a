"""Whole sheets said by sort, written out for an arrangement with two panels of one sort.

What comes out is compared with sheets written by hand.
"""

from pathlib import Path

import pytest

from ruleset import Fault, Library, assemble
from ruleset.arrangement import read_arrangement
from ruleset.bind import bind
from ruleset.book_reader import read_book
from ruleset.fields import Faults, Fields
from ruleset.node import plain
from ruleset.reader import read_text
from validator import judge, load_job, load_rules
from validator.remedy.levers import amended, read_levers
from validator.sheet_rows import put_together, written_out
from validator.take_off import takeoff

BOOKS = Path(__file__).parent / "books"
JOB = Path(__file__).parent.parent / "fixtures" / "jobs" / "holds-ordinary.yaml"


@pytest.fixture(scope="module")
def library() -> Library:
    book = read_book(read_text((BOOKS / "fence.yaml").read_text(encoding="utf-8"), "fence"))
    hung = read_arrangement(read_text((BOOKS / "hung.yaml").read_text(encoding="utf-8"), "hung"))
    return bind(assemble([book]), hung)


def written(library: Library, sheet: str, hand: str = "left") -> object:
    faults: list[Fault] = []
    made = plain(written_out(read_text(sheet, "sheet"), library, faults, hand))
    assert not faults, faults
    return made


def faults_of(library: Library, sheet: str) -> list[str]:
    faults: list[Fault] = []
    written_out(read_text(sheet, "sheet"), library, faults, "left")
    return [f"{fault.place}: {fault.says}" for fault in faults]


def test_a_row_comes_for_each_of_two_boards(library: Library) -> None:
    sheet = """
tables:
  lengths:
    title: Lengths
    rows:
      - {item: Fence, length: survey.length}
      - for: each board
        item: "Rail on {board.beside}"
        part: board
        from: "{board}"
        length: board.width
      - {for: each board gate, item: "Strip on {gate}", part: gate, length: gate.width}
"""
    rows = [
        {"item": "Fence", "length": "survey.length"},
        {
            "item": "Rail on the left post",
            "part": "wing",
            "from": "the wing",
            "length": "wing.width",
        },
        {
            "item": "Rail on the right post",
            "part": "tail",
            "from": "the tail",
            "length": "tail.width",
        },
        {"item": "Strip on the door", "part": "door", "length": "door.width"},
    ]
    assert written(library, sheet) == {"tables": {"lengths": {"title": "Lengths", "rows": rows}}}


def test_a_table_that_is_for_each_hole_is_left_to_its_reader(library: Library) -> None:
    sheet = "tables: {holes: {for: each hole of each sheet, columns: {x: {is: hole.x}}}}"
    assert written(library, sheet) == plain(read_text(sheet, "sheet"))


def test_what_stands_under_a_key_is_named_by_its_part_where_there_are_several(
    library: Library,
) -> None:
    sheet = """
levers:
  width: {for: each board, means: "{board} as drawn", fact: board.design.width, class: board}
  gap: {for: each gate, means: "the gap of {gate}", fact: gate.design.gap}
  beam: {for: each start post, means: "the beam", fact: post.survey.lean}
  hand: {means: the hand}
"""
    assert written(library, sheet) == {
        "levers": {
            "width.wing": {
                "means": "the wing as drawn",
                "fact": "design.wing.width",
                "class": "board",
            },
            "width.tail": {
                "means": "the tail as drawn",
                "fact": "design.tail.width",
                "class": "board",
            },
            "gap": {"means": "the gap of the door", "fact": "design.door.gap"},
            "beam": {"means": "the beam", "fact": "survey.left.lean"},
            "hand": {"means": "the hand"},
        }
    }


def test_a_list_goes_through_roles_and_rows_of_a_job_stay_open(library: Library) -> None:
    sheet = """
follows:
  - for: each gate
    facts: [gate.hung_on.design.width]
    as: ["gate.design.holes[*].x", "gate.holes[1].x"]
"""
    row = {"facts": ["design.tail.width"], "as": ["design.door.holes[*].x", "door.holes[1].x"]}
    assert written(library, sheet, "right") == {"follows": [row]}


def test_where_the_hand_is_not_known_what_it_decides_stays_a_path(library: Library) -> None:
    sheet = """
rows:
  - for: each board gate
    item: "On {gate.hung_on}"
    head: gate.hung_on.design.head
    gap: gate.design.gap
"""
    row = {
        "item": "On the wing or the tail",
        "head": "door.hung_on.design.head",
        "gap": "design.door.gap",
    }
    assert written(library, sheet, "") == {"rows": [row]}


def test_a_sentence_for_each_part_is_said_once_where_it_names_none(library: Library) -> None:
    sheet = """
notes:
  - Always.
  - {for: each board, says: Boards are sawn.}
  - {for: each board, says: "{board} is sawn."}
"""
    notes = ["Always.", "Boards are sawn.", "The wing is sawn.", "The tail is sawn."]
    assert written(library, sheet) == {"notes": notes}


STEPS = """
steps:
  posts: {do: Set the posts}
  wires:
    for: each sheet
    do: Strain the wires
    show: [sheet.design.head, sheet.design.gap]
    after: [posts]
  boards: {for: each board, do: "Stand {board}", after: [wires]}
  gates: {for: each board gate, do: "Hang {gate}", after: [boards, wires]}
"""


def test_a_step_left_out_hands_on_what_it_is_after(library: Library) -> None:
    """No sheet has both a head and a gap, so that nobody strains wires."""
    assert written(library, STEPS) == {
        "steps": {
            "posts": {"do": "Set the posts"},
            "boards.wing": {"do": "Stand the wing", "after": ["posts"]},
            "boards.tail": {"do": "Stand the tail", "after": ["posts"]},
            "gates": {"do": "Hang the door", "after": ["boards.wing", "boards.tail", "posts"]},
        }
    }


@pytest.mark.parametrize(
    ("sheet", "says"),
    [
        (
            "levers: {gap: {for: each gait, fact: gate.design.gap}}",
            "sheet:1:21: for is 'each gait'; it is `each SORT`. Did you mean 'gate'?",
        ),
        (
            "levers: {gap: {for: each gate, fact: gate.design.gab}}",
            "sheet:1:38: No gate has a name gate.design.gab. Did you mean 'gate.design.gap'?",
        ),
        (
            'rows: [{item: "Width of {board}"}]',
            "sheet:1:15: {board} stands in nothing that is `for: each SORT`.",
        ),
    ],
)
def test_a_sheet_with_one_fault(library: Library, sheet: str, says: str) -> None:
    assert faults_of(library, sheet) == [says]


def test_what_one_sheet_adds_to_another_stands_behind_it() -> None:
    first = "{title: Cut, tables: {one: {rows: [{item: a}]}}, steps: {set: {do: Set}}}"
    more = "{title: Cut, tables: {one: {rows: [{item: b}]}, two: {title: More}}}"
    faults: list[Fault] = []
    both = put_together(read_text(first, "first"), read_text(more, "more"), faults)
    assert not faults
    assert plain(both) == {
        "title": "Cut",
        "tables": {"one": {"rows": [{"item": "a"}, {"item": "b"}]}, "two": {"title": "More"}},
        "steps": {"set": {"do": "Set"}},
    }


def test_two_sheets_may_not_give_one_thing_two_ways() -> None:
    faults: list[Fault] = []
    put_together(read_text("{title: Cut}", "first"), read_text("{title: Sawn}", "more"), faults)
    assert [f"{one.place}: {one.says}" for one in faults] == [
        "more:1:9: This is given otherwise already, at first:1:9."
    ]


BOOK = """
book: mine
title: A book of the shop
facts:
  pane.design.crate: {for: each pane, means: "Crate of {pane}", kind: number, range: [1, 99]}
"""
SHEET = """
sheet: takeoff
tables:
  crates:
    title: Crates
    columns: {crate: Crate}
    rows:
      - {for: each pane, item: "Crate of {pane}", part: pane, crate: pane.design.crate}
"""


def test_a_sheet_beside_a_book_of_ones_own_joins_the_shipped_one(tmp_path: Path) -> None:
    (tmp_path / "sheets").mkdir()
    (tmp_path / "mine.yaml").write_text(BOOK, encoding="utf-8")
    (tmp_path / "sheets" / "takeoff.yaml").write_text(SHEET, encoding="utf-8")
    rules = load_rules(books=(tmp_path,), installed=False, proofs=False)
    found = takeoff(judge(load_job(JOB, rules), rules))
    assert {table.key for table in found.tables} >= {"glass", "crates"}
    (crates,) = (table for table in found.tables if table.key == "crates")
    assert {row.item for row in crates.rows} == {
        "Crate of the sliding door",
        "Crate of the fixed panel",
    }
    assert {row.cells[0].text for row in crates.rows} == {"not known"}


LEVERS = """
sheet: levers
classes: [place, board]
levers:
  width: {for: each board, means: the width, fact: board.design.width, class: place}
  gap: {for: each gate, means: the gap, fact: gate.design.gap, class: place}
"""


def test_a_shop_amends_a_lever_for_every_part_that_has_it(library: Library) -> None:
    faults = Faults()
    sheet = written_out(read_text(LEVERS, "sheet"), library, faults.found, "left")
    levers = read_levers(sheet, library, faults)
    assert [(one.name, one.means, one.fact) for one in levers.levers] == [
        ("width.wing", "the width of the wing", "design.wing.width"),
        ("width.tail", "the width of the tail", "design.tail.width"),
        ("gap", "the gap", "design.door.gap"),
    ]
    shop = "levers: {width: {easy: 1/2 in, class: board}, lean: {steps: 2}, gaps: {steps: 2}}"
    fields = Fields(read_text(shop, "stock"), faults, "the shop's stock")
    ours = amended(levers, fields, lambda: ("width", "gap", "lean"))
    assert [(one.easy, one.cost) for one in ours.levers] == [
        (12.7, "board"),
        (12.7, "board"),
        (None, "place"),
    ]
    # A lever of what this fence has not is no fault; one that no sheet has is.
    assert [one.says for one in faults.found] == ["There is no lever gaps. Did you mean 'gap'?"]
