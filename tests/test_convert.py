"""Files of the format before: what becomes of them, and what only a person can turn."""

import io
import json
import signal
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from ruleset.errors import RulesetError
from ruleset.node import Table, plain
from ruleset.reader import read_text
from ruleset.written import comments
from validator.command import main
from validator.convert import convert
from validator.renames import read_renames

OLD = Path(__file__).parent / "format1"
FILES = sorted(path for path in OLD.rglob("*") if path.is_file())
HALF = OLD / "jobs" / "unknown-half-surveyed.yaml"
MM = OLD / "jobs" / "holds-millimetres.yaml"

BEFORE = """\
# Our own slider.
job: A7        # the shop's number
arrangement: in-line slider
kit: ours
units: in

survey:
  # Measured with the long level.
  head_height: 78
  width: {sill: 60, middle: 59 15/16, head: 59 7/8}   # twice
  # Both walls by laser.
  lean: {fixed: 1/16, strike: 1/8}
  shower: {wall: fixed}  # asked the client
  curb:
    flat_width: 4 3/8
    fall:  # toward the drain
      fixed: 1/8
      strike:   # still to be read
    # The split is over the third tile.
    drop: {fixed: 0, split: 1/16, strike: 1/16}

design:
  hand: right
  split: 30     # over the joint
  handle:
    kind: pull
    # as the client likes it
    height: 36
  door: {thickness: 3/8, glass: toughened}
  overlap: 1 1/2
  # end of the design

waivers:
  - {clause: papers.order-door, why: It is a copy., by: the foreman}
  - clause: opening.backing   # old wall
    subject: strike_wall
    why: It is brick.
    by: the foreman
"""
# The panel stands on the right, so "fixed" was the right wall and "strike" the left one.
AFTER = """\
# Our own slider.
job: A7        # the shop's number
format: 2
arrangement: in-line slider
kit: ours
units: in

survey:
  front:
    # Measured with the long level.
    head_height: 78
    width: {sill: 60, middle: 59 15/16, head: 59 7/8}  # twice
  left:
    lean: 1/8
    shower: no
    fall:  # still to be read
    drop: 1/16
  right:
    # Both walls by laser.
    lean: 1/16
    shower: yes  # asked the client
    # toward the drain
    fall: 1/8
    # The split is over the third tile.
    drop: 0
  fixed: {drop: 1/16}
  curb:
    flat_width: 4 3/8

design:
  hand: right
  fixed:
    split: 30  # over the joint
  door:
    thickness: 3/8
    glass: toughened
    handle:
      kind: pull
      # as the client likes it
      height: 36
    overlap: 1 1/2
  # end of the design

waivers:
  - {subject: door, clause: papers.order, why: It is a copy., by: the foreman}
  - clause: opening.backing   # old wall
    subject: left
    why: It is brick.
    by: the foreman
"""


def turned(text: str, file: str = "job.yaml", hand: str = "") -> str:
    """Return a text in the new format."""
    made = convert(text.encode(), file, hand=hand)
    assert made.data is not None
    return made.data.decode()


def test_comments_go_with_what_they_are_beside() -> None:
    assert turned(BEFORE) == AFTER


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.name)
def test_every_kept_file_of_the_old_format(path: Path) -> None:
    raw = path.read_bytes()
    made = convert(raw, path.name, hand="left")
    assert made.data is not None
    old, new = raw.decode(), made.data.decode()
    assert sorted(comments(old)) == sorted(comments(new))
    assert convert(made.data, path.name).data is None
    if path.suffix == ".json":
        assert json.loads(new)["format"] == 2
    again = read_text(new, path.name)
    if made.kind != "job":
        before = plain(read_text(old, path.name))
        renamed = json.dumps(before).replace("papers.goods-door", "papers.goods")
        assert plain(again) == {"format": "2", **json.loads(renamed)}


def test_a_whole_job_in_millimetres() -> None:
    again = plain(read_text(turned(MM.read_text(encoding="utf-8")), "job.yaml"))
    assert isinstance(again, dict)
    walls = {"bow": "0", "fall": "3", "backing": "yes", "pipes_known": "yes", "hollow": "no"}
    walls |= {"tile_outward": "140", "tile_upward": "2300"}
    ceiling = {"ceiling": {"inside": "2400", "outside": "2400"}}
    survey, built = again["survey"], again["as_built"]
    left = {"lean": "0", "diagonal": "2472", "drop": "2", "shower": "yes"}
    right = {"lean": "2", "diagonal": "2471", "drop": "0", "shower": "no"}
    assert survey["left"] == {**walls, **ceiling, **left}
    assert survey["right"] == {**walls, **ceiling, **right}
    assert survey["fixed"] == {"drop": "1"}
    assert survey["front"]["width"] == {"sill": "1452", "middle": "1451", "head": "1450"}
    assert set(survey["curb"]) == {
        "flat_width",
        "above_floor",
        "above_drain",
        "lined",
        "joint_under_glass",
    }
    assert set(again["design"]) == {"finish", "hand", "height", "door", "fixed", "curb"}
    assert again["order"]["fixed"]["acknowledged"] == {"width": "727", "height": "1995"}
    assert built["door"]["floor_gap"] == {"leading": "11", "trailing": "10", "open": "9"}
    assert built["bar"] == {"height": "1905", "level": "1", "stops_fitted": "2"}
    goods = {"width": "727", "height": "1995"}
    own = {"out_of_plumb": "1", "setting_blocks": "yes", "head_held": "yes"}
    assert built["fixed"] == {"goods": goods, **own}


def test_line_ends_and_a_byte_order_mark_stay() -> None:
    raw = b"\xef\xbb\xbf" + BEFORE.replace("\n", "\r\n").encode()
    made = convert(raw, "job.yaml").data
    assert made == b"\xef\xbb\xbf" + AFTER.replace("\n", "\r\n").encode()


def test_json_keeps_the_way_it_is_set_in() -> None:
    data = {
        "job": "A7",
        "survey": {"lean": {"fixed": 2, "strike": 0}},
        "design": {"hand": "left", "door": {"thickness": 10}, "overlap": 38},
    }
    wide = turned(json.dumps(data, indent=3), "job.json")
    assert wide == (
        '{\n   "job": "A7",\n   "format": 2,\n   "survey": {\n      "left": {"lean": 2},\n'
        '      "right": {"lean": 0}\n   },\n   "design": {\n      "hand": "left",\n'
        '      "door": {\n         "thickness": 10,\n         "overlap": 38\n      }\n   }\n}'
    )
    assert json.loads(turned(json.dumps(data), "job.json")) == json.loads(wide)


def test_a_name_left_empty_is_still_there_to_be_filled_in() -> None:
    text = "job: A\nsurvey:\n  lean:\n  shower:  # where?\ndesign: {hand: left, door: }\n"
    new = turned(text)
    assert new == (
        "job: A\nformat: 2\nsurvey:\n  left:\n    lean:\n    shower:  # where?\n"
        "  right:\n    lean:\n    shower:\ndesign: {hand: left, door: }\n"
    )


def test_a_heading_that_there_still_is_stays_empty() -> None:
    text = "job: A\nsurvey:\n  curb:\ndesign: {hand: left, fixed: }\norder:\n"
    assert turned(text) == text.replace("A\n", "A\nformat: 2\n")


@pytest.mark.parametrize("old", ["null", "~", "", '""'])
def test_a_table_left_empty_gets_what_belongs_there(old: str) -> None:
    text = f"job: A\ndesign:\n  hand: left\n  door: {old}  # to come\n  overlap: 1\n"
    new = turned(text)
    assert plain(read_text(new, "")) == {
        "format": "2",
        "job": "A",
        "design": {"hand": "left", "door": {"overlap": "1"}},
    }
    assert comments(new) == ["# to come"]


def test_a_file_that_says_it_is_of_the_first_format() -> None:
    for said in ("1", "", '""', "1  # the first", " # old"):
        new = turned(f"format: {said}\nkit: ours\ntitle: Ours\n")
        assert plain(read_text(new, "")) == {"format": "2", "kit": "ours", "title": "Ours"}


NO_HAND = "Which wall survey.lean.strike is of depends on the hand, and design.hand is not given"


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("job: A\nsurvey: {lean: {strike: 1}}\n", f"job.yaml:2:17: {NO_HAND}; write it there, or"),
        ("job: A\nsurvey: {shower: {wall: strike}}\n", "2:19: Which wall survey.shower.wall is of"),
        ("job: A\nwaivers: [{clause: a.b, subject: fixed_wall}]\n", "2:34: Which wall fixed_wall"),
        ("job: A\ndesign: {hand: lefft}\n", "2:16: design.hand is lefft; it may be left or right."),
        ("format: 3\njob: A\n", "1:9: The format of a file is 2, or not said where it is older"),
        ("format: [2]\njob: A\n", "1:9: The format of a file is 2, or not said"),
        ("a: b\n", "1:1: This is no job, kit, code set, policy or stock of a shop"),
        ("- job\n", "1:1: This is no job, kit, code set, policy or stock of a shop"),
        ("book: b\ntitle: B\n", "1:1: A book is not converted: it says by sort what it said by"),
        ("job: 'A\n", "1:6: "),
        ("job: A\ndesign: {hand: left}\nsurvey: {lean: 1}\n", "3:10: survey.lean is a table in a"),
        (
            "job: A\ndesign: {hand: left}\nsurvey: {shower: {wall: north}}\n",
            "3:19: survey.shower.wall is north; it may be fixed, strike, opposite, ceiling.",
        ),
        (
            "job: A\ndesign: {hand: left}\nsurvey: {shower: {wall: [a]}}\n",
            "3:19: survey.shower.wall is no word; it may be fixed, strike, opposite, ceiling.",
        ),
        (
            "job: A\ndesign: {overlap: 1, door: {overlap: 2}}\n",
            "2:10: design.overlap is now design.door.overlap, which stands here as well; keep one.",
        ),
        (
            "job: A\ndesign: {overlap: 1, door: wide}\n",
            "2:10: design.overlap is now design.door, which stands here as well; keep one.",
        ),
        (
            "job: A\nwaivers:\n  - {clause: papers.order-door, subject: fixed}\n",
            "3:5: papers.order-door was asked of door alone, and this waives it of fixed.",
        ),
        ("? job\n: A\n", "1:1: This stands in a form that is not edited; write it in another."),
        (
            "job: A\ndesign:\n  hand: left\n  ? overlap\n  : 1\n",
            "2:1: This stands in a form that is not edited; write it in another.",
        ),
    ],
)
def test_what_a_person_has_to_do_is_one_sentence(text: str, says: str) -> None:
    with pytest.raises(RulesetError) as refused:
        convert(text.encode(), "job.yaml")
    assert len(refused.value.faults) == 1
    assert says in str(refused.value)


def test_nothing_of_a_wall_needs_no_hand() -> None:
    assert turned("job: A\ndesign: {overlap: 1}\n") == (
        "job: A\nformat: 2\ndesign: {door: {overlap: 1}}\n"
    )
    text = "job: A\nsurvey: {lean: {fixed: , strike: }}\n"
    assert plain(read_text(turned(text), "")) == {
        "format": "2",
        "job": "A",
        "survey": {"left": {"lean": ""}, "right": {"lean": ""}},
    }


def test_a_hand_asked_for_counts_where_the_job_gives_none() -> None:
    text = "job: A\nsurvey: {lean: {fixed: 1, strike: 2}}\n"
    for hand, near in (("left", "1"), ("right", "2")):
        again = read_text(turned(text, hand=hand), "")
        assert isinstance(again, Table)
        survey = plain(again.entries["survey"])
        assert survey == {"left": {"lean": near}, "right": {"lean": "2" if near == "1" else "1"}}
    given = f"{text}design: {{hand: left}}\n"
    assert turned(given, hand="right") == turned(given)


def test_a_policy_for_the_door_alone_is_told_to_be_for_every_pane() -> None:
    text = "policy: p\ntitle: P\namends:\n  papers.goods-door: {level: error, why: x}  # strict\n"
    made = convert(text.encode(), "p.yaml")
    assert made.data == (
        b"policy: p\nformat: 2\ntitle: P\namends:\n"
        b"  papers.goods: {level: error, why: x}  # strict\n"
    )
    assert made.notes == (
        (
            "p.yaml:4:3: papers.goods-door was for door alone, papers.goods is for each pane; "
            "see whether the policy means them all."
        ),
    )


def test_what_a_stock_says_of_one_pane_s_glass_is_said_of_every_pane() -> None:
    text = "stock: s\nlevers: {split: {easy: 1 in}, door-glass: {steps: 9}}\n"
    made = convert(text.encode(), "s.yaml")
    assert made.data == (b"stock: s\nformat: 2\nlevers: {split: {easy: 1 in}, glass: {steps: 9}}\n")
    assert made.notes == (
        (
            "s.yaml:2:31: door-glass was for door alone, glass is for each pane; see whether the "
            "stock means them all."
        ),
    )


def test_what_a_policy_states_has_its_new_name() -> None:
    states = "{'design.overlap': {is: 1 in, why: x}, design.handle.kind: {is: knob, why: y}}"
    new = turned(f"policy: p\ntitle: P\nstates: {states}\n", "p.yaml")
    assert "{'door.design.overlap': {is: 1 in, why: x}, door.design.handle.kind: {is" in new


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (
            "policy: p\namends: {papers.goods-door: {why: x}, papers.goods-fixed: {why: x}}\n",
            (
                "p.yaml:2:39: papers.goods-door and papers.goods-fixed are one now, "
                "papers.goods; keep one of the two here."
            ),
        ),
        (
            "policy: p\namends: {papers.goods: {why: x}, papers.goods-fixed: {why: x}}\n",
            "p.yaml:2:34: papers.goods and papers.goods-fixed are one now",
        ),
        (
            "code: p\namends: {papers.order-door: {off: yes, why: x}}\n",
            (
                "p.yaml:2:10: papers.order-door was for door alone, papers.order is for each pane; "
                "amend that if the code means them all."
            ),
        ),
        (
            "policy: p\nstates: {survey.wall.fixed.backing: {is: yes, why: x}}\n",
            (
                "p.yaml:2:10: survey.wall.fixed.backing was of one part alone, and a policy states "
                "a value of every part now; write wall.survey.backing by hand, if it means them "
                "all."
            ),
        ),
        (
            "policy: p\nstates: {survey.shower.wall: {is: strike, why: x}}\n",
            "every part now; write wall.survey.shower by hand, if it means them all.",
        ),
        (
            "policy: p\nstates: {design.door.mark: {is: in sight, why: x}}\n",
            "p.yaml:2:10: design.door.mark was of one part alone, and a policy states a value of",
        ),
        (
            "code: p\nclauses: {a: {replaces: x.y, needs: design.overlap >= limit.least}}\n",
            (
                "p.yaml:2:37: design.overlap has another name now, by the sort of what it is of; "
                "write this clause anew by hand."
            ),
        ),
        (
            "code: p\nclauses: {a: {needs: fixed_wall.lean < strike_wall.lean}}\n",
            "p.yaml:2:22: strike_wall.lean has another name now, by the sort",
        ),
        (
            "code: p\nclauses: {a: {replaces: papers.order-door}}\n",
            "p.yaml:2:25: papers.order-door is papers.order now, for each pane; write this clause",
        ),
    ],
)
def test_what_a_code_set_says_of_one_part_is_left_to_a_person(text: str, says: str) -> None:
    with pytest.raises(RulesetError) as refused:
        convert(text.encode(), "p.yaml")
    assert says in str(refused.value)


def test_the_sheet_of_renames_is_read_whole() -> None:
    def wrong(text: str) -> str:
        with pytest.raises(RulesetError) as refused:
            read_renames(read_text(text, "r.yaml"))
        return str(refused.value)

    assert "has no sheet; it needs one" in wrong("facts: {}\n")
    assert "has no field 'fact'" in wrong("sheet: renames\nhand: {fact: a.b, sides: {}}\nfact: 1\n")


# The command.


@pytest.fixture(autouse=True)
def _signals() -> Iterator[None]:
    before = signal.getsignal(signal.SIGINT)
    yield
    signal.signal(signal.SIGINT, before)


class Call:
    """Calls `paneproof convert` in this process."""

    def __init__(self, patch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
        """Keep what sets the arguments and what reads the output."""
        self.patch = patch
        self.capsys = capsys

    def __call__(self, *args: str | Path) -> tuple[int, str, str]:
        self.patch.setattr(sys, "argv", ["paneproof", "convert", *map(str, args)])
        with pytest.raises(SystemExit) as ended:
            main()
        said = self.capsys.readouterr()
        return int(ended.value.code or 0), said.out, said.err


@pytest.fixture
def call(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Call:
    monkeypatch.chdir(tmp_path)
    return Call(monkeypatch, capsys)


def test_a_new_file_stands_beside_the_old_one(call: Call) -> None:
    old, new = Path("a.yaml"), Path("a.format2.yaml")
    old.write_text(BEFORE, encoding="utf-8")
    assert call("a.yaml") == (0, "a.yaml: converted; the new job is a.format2.yaml.\n", "")
    assert old.read_text(encoding="utf-8") == BEFORE
    assert new.read_text(encoding="utf-8") == AFTER
    told = (2, "", "a.format2.yaml: There is such a file already; choose another name.\n")
    assert call("a.yaml") == told
    done = "a.format2.yaml: nothing to do; this job is of format 2 already.\n"
    assert call("a.format2.yaml") == (0, done, "")
    assert new.read_text(encoding="utf-8") == AFTER


def test_a_file_is_written_over_once_it_is_kept(call: Call) -> None:
    path, kept = Path("a.yaml"), Path("a.yaml.bak")
    path.write_text(BEFORE, encoding="utf-8")
    said = "a.yaml: converted; as it was it is kept as a.yaml.bak.\n"
    assert call("--write-over", "a.yaml") == (0, said, "")
    assert path.read_text(encoding="utf-8") == AFTER
    assert kept.read_text(encoding="utf-8") == BEFORE
    path.write_text(f"{BEFORE}# more\n", encoding="utf-8")
    told = (2, "", "a.yaml.bak: There is a backup already; move it away first.\n")
    assert call("--write-over", "a.yaml") == told
    assert path.read_text(encoding="utf-8") == f"{BEFORE}# more\n"


def test_several_files_and_what_is_wrong_with_some(call: Call) -> None:
    Path("a.yaml").write_text(BEFORE, encoding="utf-8")
    Path("half.yaml").write_bytes(HALF.read_bytes())
    Path("folder").mkdir()
    Path("b.yaml").write_text("format: 2\nkit: b\n", encoding="utf-8")
    code, out, err = call("half.yaml", "a.yaml", "no.yaml", "folder", "b.yaml")
    assert code == 2
    assert out.splitlines() == [
        "a.yaml: converted; the new job is a.format2.yaml.",
        "b.yaml: nothing to do; this kit is of format 2 already.",
    ]
    assert err.splitlines() == [
        (
            "half.yaml:16:10: Which wall survey.lean.fixed is of depends on the hand, and "
            "design.hand is not given; write it there, or say --hand left to convert with."
        ),
        "no.yaml: There is no such file; check its name.",
        "folder: This is a folder; give the name of a YAML or JSON file.",
    ]
    assert not Path("half.format2.yaml").exists()
    assert call("half.yaml", "--hand", "right")[0] == 0
    wrong = (2, "", "There is no hand 'up'. There are: left, right.\n")
    assert call("half.yaml", "--hand", "up") == wrong


def test_standard_input_becomes_standard_output(
    call: Call, monkeypatch: pytest.MonkeyPatch
) -> None:
    for given in (BEFORE, AFTER):
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(given.encode())))
        assert call("-") == (0, AFTER, "")
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(b"a: b")))
    code, out, err = call("-")
    assert (code, out) == (2, "")
    assert err.startswith("standard input:1:1: This is no job")


def test_a_note_is_told_and_no_error(call: Call) -> None:
    policy = OLD / "policies" / "careful-shop.yaml"
    Path("p.yaml").write_bytes(policy.read_bytes())
    code, out, err = call("p.yaml")
    assert (code, out) == (0, "p.yaml: converted; the new policy is p.format2.yaml.\n")
    assert err.startswith("p.yaml:21:3: papers.goods-door was for door alone")
