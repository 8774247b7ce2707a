"""Rows of sheets said once for each part of a sort: written out, and what is wrong with them."""

from pathlib import Path

import pytest

from ruleset import Fault, Library, assemble
from ruleset.arrangement import read_arrangement
from ruleset.bind import bind
from ruleset.book_reader import read_book
from ruleset.node import plain
from ruleset.reader import read_text
from ruleset.rows import RowWriter

BOOKS = Path(__file__).parent / "books"
PROSE = ("item", "notes")


@pytest.fixture(scope="module")
def library() -> Library:
    book = read_book(read_text((BOOKS / "fence.yaml").read_text(encoding="utf-8"), "fence"))
    hung = read_arrangement(read_text((BOOKS / "hung.yaml").read_text(encoding="utf-8"), "hung"))
    return bind(assemble([book]), hung)


def written(library: Library, row: str, hand: str = "left") -> tuple[dict[str, object], list[str]]:
    """Return a row by part, and what is wrong with it."""
    faults: list[Fault] = []
    writer = RowWriter(library, faults, hand, PROSE)
    rows = {one.part: plain(one.node) for one in writer.written(read_text(row, "sheet"))}
    return rows, [f"{fault.place}: {fault.says}" for fault in faults]


def test_paths_become_plain_names_and_parts_words(library: Library) -> None:
    row = (
        '{for: each board, item: "{board} beside {board.beside}", part: board, width: board.width}'
    )
    rows, faults = written(library, row)
    assert not faults
    assert rows == {
        "wing": {"item": "The wing beside the left post", "part": "wing", "width": "wing.width"},
        "tail": {"item": "The tail beside the right post", "part": "tail", "width": "tail.width"},
    }


@pytest.mark.parametrize(("hand", "board"), [("left", "wing"), ("right", "tail")])
def test_a_row_goes_through_the_roles_of_its_hand(library: Library, hand: str, board: str) -> None:
    row = '{for: each gate, item: "On {gate.hung_on}", of: [gate.hung_on.design.head, gate.width]}'
    rows, _ = written(library, row, hand)
    assert rows == {
        "door": {"item": f"On the {board}", "of": [f"design.{board}.head", "door.width"]}
    }


def test_what_a_part_has_not_leaves_its_row_out(library: Library) -> None:
    rows, faults = written(library, "{for: each sheet, fact: sheet.design.width}")
    assert not faults
    assert rows == {"wing": {"fact": "design.wing.width"}, "tail": {"fact": "design.tail.width"}}


def test_a_row_of_no_sort_stays_as_it_is(library: Library) -> None:
    rows, faults = written(library, "{item: board, length: survey.length}")
    assert not faults
    assert rows == {"": {"item": "board", "length": "survey.length"}}


def test_a_value_in_a_sentence_stays_in_braces_by_its_plain_name(library: Library) -> None:
    rows, _ = written(
        library, '{for: each gate, notes: ["{gate} is {gate.width} of {survey.length}"]}'
    )
    assert rows == {"door": {"notes": ["The door is {door.width} of {survey.length}"]}}


def test_prose_is_no_name(library: Library) -> None:
    rows, _ = written(library, "{for: each gate, item: gate, of: gate}")
    assert rows == {"door": {"item": "gate", "of": "door"}}


@pytest.mark.parametrize(
    ("row", "says"),
    [
        (
            "{for: each bord, width: board.width}",
            "sheet:1:7: for is 'each bord'; it is `each SORT`. Did you mean 'board'?",
        ),
        ("{for: board, width: board.width}", "sheet:1:7: for is 'board'; it is `each SORT`."),
        (
            "{for: each board, width: board.widht}",
            "sheet:1:26: No board has a name board.widht. Did you mean 'board.width'?",
        ),
        (
            '{for: each board, item: "{board.besides}"}',
            "sheet:1:25: No board has a name board.besides. Did you mean 'board.beside'?",
        ),
        (
            '{for: each board, item: "{gate}"}',
            "sheet:1:25: No board has a name gate. Did you mean 'gates'?",
        ),
        # told though the arrangement has no such part
        (
            "{for: each start post, width: post.width}",
            "sheet:1:31: No start post has a name post.width. Did you mean 'post.at'?",
        ),
    ],
)
def test_a_row_with_one_fault(library: Library, row: str, says: str) -> None:
    _, faults = written(library, row)
    assert faults == [says]
