"""Remedies in files: written into a job's own text, as JSON Patch, and from a shop's stock."""

import json
import shutil
from dataclasses import replace
from pathlib import Path

import jsonpatch
import pytest

from ruleset.errors import RulesetError
from ruleset.node import plain
from ruleset.place import Place
from ruleset.reader import read_file
from validator import Rules, judge, load_job, review
from validator.remedy import Remedies, Remedy, json_patch, remedies, write_remedy
from validator.report.remedy_text import write

FIXTURES = Path(__file__).resolve().parent.parent / "fixtures"


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """Return a folder with kits and an empty jobs folder."""
    shutil.copytree(FIXTURES / "kits", tmp_path / "kits")
    (tmp_path / "jobs").mkdir()
    return tmp_path


def job_file(shop: Path, name: str, *swaps: tuple[str, str], ending: str = ".yaml") -> Path:
    """Return a copy of a fixture with some of its text replaced."""
    text = (FIXTURES / "jobs" / f"{name}{ending}").read_text()
    for old, new in swaps:
        assert old in text
        text = text.replace(old, new)
    path = shop / "jobs" / f"{name}{ending}"
    path.write_text(text)
    return path


def found(path: Path, rules: Rules) -> Remedies:
    """Return the remedies at size: what is written is the same whatever the size."""
    return remedies(load_job(path, rules), rules, tolerance=False)


def joint(path: Path, rules: Rules) -> Remedy:
    remedy = found(path, rules).joint
    assert remedy is not None
    return remedy


def test_only_the_values_change_and_comments_stay(shop: Path, rules: Rules) -> None:
    path = job_file(shop, "fails-open-door-too-narrow", ("  split: 27", "  split: 27   # as sold"))
    remedy, out = joint(path, rules), shop / "jobs" / "cured.yaml"
    assert write_remedy(path, remedy, out) is None
    before, after = path.read_text().splitlines(), out.read_text().splitlines()
    changed = [(one, two) for one, two in zip(before, after, strict=True) if one != two]
    assert ("    split: 27   # as sold", "    split: 26 3/16   # as sold") in changed
    # The split, two order sizes, the pull's further hole; and what was checked and signed before.
    assert len(changed) == 6
    told = review(load_job(out, rules), rules)
    errors = {one.clause for one in told.findings if one.level == "error"}
    assert errors == {"papers.second-check", "papers.drawing-signed"}
    assert not told.release.ready


def test_a_fact_that_is_not_given_is_added_to_its_table(shop: Path, rules: Rules) -> None:
    path = job_file(shop, "fails-curb-too-narrow")
    remedy, out = joint(path, rules), shop / "jobs" / "cured.yaml"
    write_remedy(path, remedy, out)
    before, after = path.read_text().splitlines(), out.read_text().splitlines()
    new = ["  bar: {offset: 1/16 in}", "  second_check: no", "  drawing_signed: no"]
    assert [line for line in after if line not in before] == new
    old = ["  second_check: HKNCF", "  drawing_signed: HKNCF"]
    assert [line for line in after if line in before] == [o for o in before if o not in old]
    assert load_job(out, rules).values["design.bar.offset"].value == pytest.approx(25.4 / 16)


def test_a_fact_is_added_to_a_table_in_braces_and_behind_an_empty_name(
    shop: Path, rules: Rules
) -> None:
    path = job_file(
        shop, "fails-bulb-cannot-seal", ("  door:\n", "  bar:\n    offset:\n  door:\n    tilted:\n")
    )
    out = shop / "jobs" / "cured.yaml"
    write_remedy(path, joint(path, rules), out)
    assert "    tilted: yes\n" in out.read_text()
    text = path.read_text().replace("    tilted:\n", "")
    start = text.index("  door:\n")
    end = text.index("  fixed:\n", start)
    rows = [one.strip() for one in text[start:end].splitlines()[1:] if "#" not in one]
    path.write_text(f"{text[:start]}  door: {{{', '.join(rows)}}}\n{text[end:]}")
    out.unlink()
    write_remedy(path, joint(path, rules), out)
    assert "  door: {tilted: yes, overlap: 1 1/2" in out.read_text()


def test_line_endings_and_a_byte_order_mark_stay(shop: Path, rules: Rules) -> None:
    path = job_file(shop, "fails-curb-too-narrow")
    path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes().replace(b"\n", b"\r\n"))
    out = shop / "jobs" / "cured.yaml"
    write_remedy(path, joint(path, rules), out)
    raw = out.read_bytes()
    assert raw.startswith(b"\xef\xbb\xbf")
    assert raw.count(b"\n") == raw.count(b"\r\n")
    assert b"  bar: {offset: 1/16 in}\r\n" in raw


def test_a_job_in_json_stays_json(shop: Path, rules: Rules) -> None:
    data = json.loads((FIXTURES / "jobs" / "holds-written-in-json.json").read_text())
    data["design"]["door"]["overlap"] = 20
    path = shop / "jobs" / "narrow.json"
    path.write_text(json.dumps(data, indent=1))
    remedy = joint(path, rules)
    added = replace(
        remedy.changes[0],
        new="2 mm",
        given=False,
        place=Place(file=path.as_posix(), pointer="/design/door/floor_gap"),
    )
    out = shop / "jobs" / "cured.json"
    write_remedy(path, replace(remedy, changes=(*remedy.changes, added)), out)
    again = json.loads(out.read_text())
    assert again["design"]["door"]["overlap"] == 27
    assert again["design"]["door"]["floor_gap"] == "2 mm"
    assert again["order"]["door"]["width"] == 742
    before = {**data["design"]["door"], "floor_gap": "2 mm"}
    assert {**again["design"]["door"], "overlap": 20} == before


def test_the_job_itself_is_replaced_only_with_a_backup_that_replaces_nothing(
    shop: Path, rules: Rules
) -> None:
    path = job_file(shop, "fails-curb-too-narrow")
    remedy, before = joint(path, rules), path.read_bytes()
    with pytest.raises(RulesetError, match="This is the job itself"):
        write_remedy(path, remedy, path)
    assert path.read_bytes() == before
    kept = write_remedy(path, remedy, path, backup=True)
    assert kept == path.with_name(f"{path.name}.bak")
    assert kept.read_bytes() == before
    assert path.read_bytes() != before
    written = path.read_bytes()
    with pytest.raises(RulesetError, match="There is a backup already"):
        write_remedy(path, remedy, path, backup=True)
    assert (path.read_bytes(), kept.read_bytes()) == (written, before)
    other = shop / "jobs" / "other.yaml"
    other.write_text("mine")
    with pytest.raises(RulesetError, match="There is such a file already"):
        write_remedy(path, remedy, other)
    assert other.read_text() == "mine"


def test_a_value_in_a_form_that_is_not_edited_is_refused(shop: Path, rules: Rules) -> None:
    path = job_file(
        shop, "fails-open-door-too-narrow", ("  split: 27\n", "  split: >-\n      27\n")
    )
    with pytest.raises(RulesetError, match=r"narrow\.yaml:\d+:\d+: The value stands in a form"):
        write_remedy(path, joint(path, rules), shop / "jobs" / "cured.yaml")
    assert not (shop / "jobs" / "cured.yaml").exists()


def test_quotes_around_a_value_stay(shop: Path, rules: Rules) -> None:
    path = job_file(
        shop, "fails-open-door-too-narrow", ("  split: 27\n", "  split: '27 in'  # sold\n")
    )
    out = shop / "jobs" / "cured.yaml"
    write_remedy(path, joint(path, rules), out)
    assert "  split: '26 3/16 in'  # sold\n" in out.read_text()


def test_operations_add_the_tables_that_are_missing(shop: Path, rules: Rules) -> None:
    path = job_file(shop, "fails-bulb-cannot-seal")
    job = load_job(path, rules)
    remedy = joint(path, rules)
    bare = load_job(path, rules)
    without = {n: p for n, p in bare.tables.items() if not n.startswith("design.door")}
    object.__setattr__(bare, "tables", without)
    operations = json_patch(remedy.changes, bare)
    assert operations[0] == {"op": "add", "path": "/design/door", "value": {}}
    data = plain(read_file(path))
    assert isinstance(data, dict)
    after = jsonpatch.apply_patch(data, list(json_patch(remedy.changes, job)))
    assert after["design"]["door"]["tilted"] == "yes"
    assert "tilted" not in data["design"]["door"]


STOCK = """
stock: test-shop
units: in
thicknesses: [3/8, 1/2]
kits: [ostrel-inch]
handles:
  low-pull: {title: a low pull, kind: pull, half_width: 1/2, panel_side: 3/4, hole: 1/2,
    mass: 0.5 lb, second_hole: 6}
"""


def test_what_the_shop_stocks_is_tried(shop: Path, rules: Rules) -> None:
    (shop / "stock.yaml").write_text(STOCK)
    thin = found(job_file(shop, "fails-thin-glass"), rules)
    assert thin.joint is not None
    assert thin.joint.title == "Change the thickness of the sliding door from 5/16 in to 3/8 in."
    assert thin.joint.dearest == "glass"
    narrow = found(job_file(shop, "fails-no-split-fits"), rules).singles[0].remedy
    assert narrow is not None
    assert (
        narrow.title
        == "Change the split from 23 7/16 in to 24 1/8 in and the handle to a low pull."
    )
    facts = {one.fact: one.new for one in narrow.changes}
    assert facts["design.door.handle.panel_side"] == "3/4 in"
    assert facts["design.door.handle.mass"] == "0.5 lb"
    assert "design.door.handle.hole" not in facts  # it is the same


def test_more_kits_beside_a_job_change_nothing_but_the_time(shop: Path, rules: Rules) -> None:
    path = job_file(shop, "fails-several-faults")
    before = found(path, rules)
    kit = (shop / "kits" / "tarrow-walls.yaml").read_text()
    for at in range(30):
        (shop / "kits" / f"walls-{at}.yaml").write_text(
            kit.replace("kit: tarrow-walls", f"kit: walls-{at}")
        )
    after = found(path, rules)
    told = [[(one.clause, one.remedy) for one in each.singles] for each in (before, after)]
    assert told[0] == told[1]
    assert before.joint == after.joint
    proofs = [[one.nothing and one.nothing.proved for one in x.singles] for x in (before, after)]
    assert proofs[0] == proofs[1]


def test_the_second_hole_of_a_pull_goes_with_another_pull(shop: Path, rules: Rules) -> None:
    (shop / "stock.yaml").write_text(STOCK.replace("second_hole: 6", "second_hole: 5"))
    path = job_file(shop, "fails-no-split-fits")
    remedy = found(path, rules).singles[0].remedy
    assert remedy is not None
    assert remedy.title.endswith("and the handle to a low pull.")
    follows = {one.fact: one.now for one in remedy.changes if one.follows}
    height = load_job(path, rules).values["design.door.handle.height"].value / 25.4
    assert follows["design.door.holes[1].y"] == f"{height + 5:g} in"
    out = shop / "jobs" / "cured.yaml"
    write_remedy(path, remedy, out)
    after = review(load_job(out, rules), rules)
    assert {one.clause for one in after.findings if one.level == "error"} <= {
        "papers.second-check",
        "papers.drawing-signed",
    }


def test_a_handle_goes_only_into_the_holes_that_the_door_has(shop: Path, rules: Rules) -> None:
    knob = STOCK.replace(", second_hole: 6", "").replace(
        "a low pull, kind: pull", "a low knob, kind: knob"
    )
    (shop / "stock.yaml").write_text(knob)
    pulled = found(job_file(shop, "fails-no-split-fits"), rules).singles[0]
    assert pulled.remedy is None or "knob" not in pulled.remedy.title  # a hole would be left over
    # With the height fixed as well nothing is left to try, and the knob is named.
    still = "levers:\n  height: {reach: [78 in, 78 in]}\n  split: {reach: [23 in, 24 in]}\n"
    (shop / "stock.yaml").write_text(knob + still)
    told = found(job_file(shop, "fails-no-split-fits"), rules)
    assert told.singles[0].nothing is not None
    said = " ".join(write(told).split())
    assert "A handle of the stock was not tried: a low knob, since it has one hole and the" in said
    (shop / "stock.yaml").write_text(knob)
    plain_door = ("    holes: [{x: 25 3/8, y: 42, across: 1/2}]\n", "    holes: none\n")
    single = found(job_file(shop, "fails-no-split-fits", plain_door), rules).singles[0].remedy
    assert single is not None
    assert single.title.endswith("the handle to a low knob.")


def test_another_handle_takes_all_of_the_old_one_with_it(shop: Path, rules: Rules) -> None:
    # The job calls the pull a towel bar; the holes are a pull's.
    (shop / "stock.yaml").write_text(STOCK.replace("low-pull", "pull"))
    bar = ("handle: {kind: pull,", "handle: {kind: towel bar,")
    remedy = joint(job_file(shop, "holds-ordinary", bar), rules)
    assert remedy.title == "Change the handle to a low pull."
    assert {one.fact: one.now for one in remedy.changes}["design.door.handle.kind"] == "pull"


def test_the_shop_may_reorder_classes_and_amounts(shop: Path, rules: Rules) -> None:
    path = job_file(shop, "fails-open-door-too-narrow")
    assert joint(path, rules).title.startswith("Change the split")
    (shop / "stock.yaml").write_text(
        "stock: careful\nlevers:\n  split: {easy: 1/4 in}\n  setback: {easy: 3 in}\n"
    )
    assert joint(path, rules).dearest == "place"
    assert {one.fact for one in joint(path, rules).changes} != {"design.fixed.split"}
    (shop / "stock.yaml").write_text(
        "stock: odd\nclasses: [kit, height, glass, place, arrangement]\n"
    )
    assert joint(path, rules).dearest in ("kit", "height", "glass", "place")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("stock: a\nlevers: {splt: {easy: 1 in}}\n", "There is no lever splt. Did you mean"),
        ("stock: a\nclasses: [kit]\n", "The classes are place, height, glass, kit, arrangement"),
        ("stock: a\nthicknesses: [3/8]\n", "thicknesses: 3/8 has no unit"),
        (
            "stock: a\nunits: in\nhandles: {k: {setback: 2}}\n",
            "design.door.handle.setback says where a handle goes, not what it is",
        ),
        (
            "stock: a\nunits: in\nhandles: {k: {half_width: 1}}\n",
            "The handle k lacks kind, hole, mass and panel_side",
        ),
        ("stock: a\nthicknesses: [3 in]\n", "3 in is no thickness of a pane; they go from"),
        ("stock: a\nkits: [ostrel-inhc]\n", "There is no kit ostrel-inhc beside the jobs"),
        ("stock: a\nhandles: {k: {second_hole: 6}}\n", "second_hole: 6 has no unit"),
        ("stock: a\nkitts: [b]\n", "The shop's stock has no field 'kitts'. Did you mean 'kits'?"),
        ("stock: a\nlevers: {split: {reach: [5 in]}}\n", "A reach is a least and a most"),
        ("stock: a\nlevers: {handle: {steps: 0}}\n", "steps is 0; write a whole number from 1"),
        ("stock: a\nlevers: {handle: {steps: 1e3}}\n", "steps is 1e3; write a whole number"),
    ],
)
def test_a_stock_file_that_is_wrong_is_refused_with_its_place(
    text: str, says: str, shop: Path, rules: Rules
) -> None:
    path = job_file(shop, "fails-curb-too-narrow")
    (shop / "stock.yaml").write_text(text)
    with pytest.raises(RulesetError) as error:
        found(path, rules)
    assert says in str(error.value)
    assert "stock.yaml:" in str(error.value)


def test_a_kit_that_cannot_be_read_is_left_out_and_named(shop: Path, rules: Rules) -> None:
    (shop / "kits" / "broken.yaml").write_text("kit: broken\n")
    told = found(job_file(shop, "fails-curb-too-narrow"), rules)
    assert told.joint is not None
    assert [one.partition(":")[0] for one in told.unread] == ["broken"]
    assert "broken" in write(told)


def test_a_thickness_of_the_stock_is_written_so_that_it_is_read_again(
    shop: Path, rules: Rules
) -> None:
    (shop / "stock.yaml").write_text("stock: a\nunits: in\nthicknesses: ['3/8\"']\n")
    path, out = job_file(shop, "fails-thin-glass"), shop / "jobs" / "cured.yaml"
    write_remedy(path, joint(path, rules), out)
    assert load_job(out, rules).values["design.door.thickness"].value == pytest.approx(9.525)


def test_holes_that_the_order_writes_follow_the_drawing(shop: Path, rules: Rules) -> None:
    path = job_file(shop, "fails-open-door-too-narrow")
    verdict = judge(load_job(path, rules), rules)
    holes = [
        [verdict.answer(f"door.holes[{row}].{of}").value for of in ("x", "y", "across")]
        for row in range(1, 6)
    ]
    holes.append([verdict.facts[f"design.door.holes[1].{of}"] for of in ("x", "y", "across")])
    rows = ", ".join(f"{{x: {x!r} mm, y: {y!r} mm, across: {d!r} mm}}" for x, y, d in holes)
    order = "  door: {width: 27 13/16, height: 77 5/8"
    job_file(shop, "fails-open-door-too-narrow", (order, f"{order}, holes: [{rows}]"))
    remedy = joint(path, rules)
    assert remedy.title == "Change the split from 27 in to 26 3/16 in."
    moved = {one.fact for one in remedy.changes if one.follows}
    # The leading wheel's, the leading retainer's and the pull's two go with the leading edge.
    assert {f"order.door.holes[{row}].x" for row in (2, 4, 5, 6)} <= moved
    assert not {f"order.door.holes[{row}].x" for row in (1, 3)} & moved


def test_the_other_hand_leaves_every_reading_and_its_tolerance(shop: Path, rules: Rules) -> None:
    stated = ("  left: {lean: 1/16,", "  left: {lean: 1/16 in +- 1/8 in,")
    path, out = job_file(shop, "fails-spray-into-lap", stated), shop / "jobs" / "cured.yaml"
    (single,) = found(path, rules).singles
    assert single.remedy is not None
    moved = [one for one in single.remedy.changes if not one.again]
    assert [(one.fact, one.old, one.new) for one in moved] == [("design.hand", "left", "right")]
    write_remedy(path, single.remedy, out)
    assert stated[1] in out.read_text()


def test_what_leaves_least_tight_is_told_as_that(shop: Path, rules: Rules) -> None:
    (shop / "stock.yaml").write_text(
        "stock: s\nunits: in\nkits: [ostrel-inch]\nlevers:\n  overlap: {reach: [0 in, 1 1/2 in]}\n"
        "  floor-gap: {reach: [1/4 in, 1/4 in]}\n  eccentric: {reach: [0 in, 0 in]}\n"
    )
    path = job_file(shop, "fails-several-faults")
    whole = remedies(load_job(path, rules), rules, seconds=60)
    remedy = whole.joint
    assert remedy is not None
    assert remedy.smaller is not None
    assert (
        remedy.reached == remedy.smaller.reached.removesuffix(", tolerances left out") == "at size"
    )
    assert {one.clause for one in remedy.tight} < {one.clause for one in remedy.smaller.tight}
    said = " ".join(write(whole).split())
    assert "Proved the least change that leaves nothing else tight" in said
