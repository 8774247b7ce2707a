"""Names of the format before in files of this one: each is refused with what it is called now."""

from pathlib import Path

import pytest

from ruleset.arrangement import Arrangement
from ruleset.errors import RulesetError
from ruleset.node import Node, Rows, Text
from ruleset.reader import read_file, read_text
from validator import Rules, load_job, load_job_text, review
from validator.books import read_layers
from validator.convert import convert
from validator.remedy.stock import stock_for
from validator.renames import below, renames
from validator.verdict import judge

FIXTURES = Path(__file__).parent.parent / "fixtures"
OLD = Path(__file__).parent / "format1"
JOBS = sorted(path for path in (OLD / "jobs").iterdir())
HEAD = "job: A\nformat: 2\narrangement: in-line slider\nkit: ostrel-inch\nunits: in\n"


def flat(node: Node, name: str = "") -> dict[str, str]:
    """Return each text of a file by its name."""
    if isinstance(node, Text):
        return {name: node.text}
    rows = enumerate(node.items) if isinstance(node, Rows) else node.entries.items()
    found: dict[str, str] = {}
    for key, one in rows:
        found |= flat(one, f"{name}.{key}")
    return found


def refused(text: str, rules: Rules) -> list[str]:
    """Return what is said of a job."""
    with pytest.raises(RulesetError) as told:
        load_job_text(text, "job.yaml", rules, beside=FIXTURES / "jobs")
    return [str(fault).removeprefix("job.yaml:") for fault in told.value.faults]


@pytest.mark.parametrize("path", JOBS, ids=lambda path: path.stem)
def test_an_old_job_converts_to_the_fixture_of_its_name(path: Path) -> None:
    made = convert(path.read_bytes(), path.name, hand="left").data
    assert made is not None
    assert flat(read_text(made, path.name)) == flat(read_file(FIXTURES / "jobs" / path.name))


def _slider(rules: Rules) -> Arrangement:
    return next(one for one in rules.arrangements() if one.name == "in-line slider")


def test_every_new_name_is_one_and_no_old_one_is(rules: Rules) -> None:
    sheet = renames()
    facts = rules.bound(_slider(rules)).facts
    known = {name.rsplit(".", end)[0] for name in facts for end in range(4)}
    for hand in sheet.sides:
        on = sheet.on(hand)
        now = {*on.facts.values(), *(new for word in on.words.values() for new in word.now)}
        assert now <= known
        assert now.isdisjoint(on.facts)
    assert known.isdisjoint({*sheet.facts, *sheet.words})
    clauses = rules.library.clauses
    assert {one.now for one in sheet.clauses.values()} <= set(clauses)
    assert set(sheet.clauses).isdisjoint(clauses)


def test_every_fact_that_a_policy_may_state_is_named_by_sort(rules: Rules) -> None:
    sheet = renames()
    of_sorts = {fact.name for book in rules.library.books.values() for fact in book.facts}
    known = {name.rsplit(".", end)[0] for name in of_sorts for end in range(3)}
    owns = {old: below(old, sheet.facts) or "" for old in sheet.facts}
    named = {
        old: below(own, sheet.shared) or below(own, sheet.states)
        for old, own in owns.items()
        if not own.startswith("as_built.")
    }
    assert len(named) > 40
    assert {old: new for old, new in named.items() if new not in known} == {}


def test_an_old_file_is_told_in_one_sentence(rules: Rules) -> None:
    old = (OLD / "jobs" / "holds-millimetres.yaml").read_text(encoding="utf-8")
    assert refused(old, rules) == [
        (
            "2:1: This file has no `format: 2`, and so is of format 1; run `paneproof convert "
            "job.yaml`, which writes it in format 2."
        )
    ]
    said = refused(f"format: 1\n{old}", rules)
    assert said[0].startswith("1:9: This file is of format 1; run `paneproof convert job.yaml`")
    assert refused(f"format: 3\n{old}", rules) == [
        "1:9: The format is '3'; files of format 2 are read."
    ]


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (
            "survey: {head_height: 78}",
            ["6:10: survey.head_height is now survey.front.head_height."],
        ),
        (
            "design: {hand: right}\nsurvey: {lean: {fixed: 1, strike: }}",
            [
                "7:17: survey.lean.fixed is now survey.right.lean with the hand right.",
                "7:27: survey.lean.strike is now survey.left.lean with the hand right.",
            ],
        ),
        (
            "survey: {bow: {fixed: 1}}",
            [
                (
                    "6:16: survey.bow.fixed is now survey.left.bow with the hand left, "
                    "survey.right.bow with the hand right."
                )
            ],
        ),
        (
            "design: {hand: left, handle: {kind: pull}}\nsurvey: {shower: {wall: fixed}}",
            [
                "6:31: design.handle.kind is now design.door.handle.kind.",
                (
                    "7:19: survey.shower.wall is now told, yes or no, by survey.left.shower and "
                    "survey.right.shower with the hand left."
                ),
            ],
        ),
        ("survey: {lean: {other: 1}}", ["6:10: There is no fact survey.lean."]),
        ("survey: {lean: 1}", ["6:10: There is no fact survey.lean."]),
        (
            "waivers: [{clause: papers.goods-fixed, why: x, by: y}]",
            [
                (
                    "6:20: papers.goods-fixed is now papers.goods, for each pane; this was for "
                    "fixed alone."
                )
            ],
        ),
    ],
)
def test_an_old_name_is_refused_with_its_new_one(rules: Rules, text: str, says: list[str]) -> None:
    found = refused(f"{HEAD}{text}\n", rules)
    assert len(found) == len(says)
    assert all(one.startswith(said) for one, said in zip(found, says, strict=True))


def test_a_waiver_for_an_old_part_is_told_the_wall(rules: Rules) -> None:
    waiver = "{clause: opening.backing, subject: fixed_wall, why: x, by: y}"
    text = f"{HEAD}code: irc-2021\nwaivers: [{waiver}]\n"
    job = load_job_text(text, "job.yaml", rules, beside=FIXTURES / "jobs")
    with pytest.raises(RulesetError, match="fixed_wall is now left with the hand left, right with"):
        review(job, rules)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        (
            "amends: {papers.goods-door: {level: error, why: x}}",
            (
                "shop: papers.goods-door is now papers.goods, for each pane; this was for door "
                "alone."
            ),
        ),
        (
            "states: {survey.wall.fixed.backing: {is: yes, why: x}}",
            "shop: survey.wall.fixed.backing is stated as wall.survey.backing now.",
        ),
        (
            "states: {survey.shower.wall: {is: strike, why: x}}",
            "shop: survey.shower.wall is stated as wall.survey.shower now.",
        ),
        (
            "states: {design.fixed.mark: {is: in sight, why: x}}",
            "shop: design.fixed.mark is stated as pane.design.mark now.",
        ),
    ],
)
def test_an_old_name_in_a_policy(rules: Rules, tmp_path: Path, text: str, says: str) -> None:
    (tmp_path / "shop.yaml").write_text(f"policy: shop\ntitle: S\n{text}\n", encoding="utf-8")
    layer = read_layers([tmp_path])["shop"]
    with pytest.raises(RulesetError) as told:
        rules.under([layer])
    assert [fault.says for fault in told.value.faults] == [says]


def test_an_old_lever_of_a_stock(rules: Rules, tmp_path: Path) -> None:
    path = tmp_path / "job.yaml"
    path.write_bytes((FIXTURES / "jobs" / "holds-ordinary.yaml").read_bytes())
    (tmp_path / "stock.yaml").write_text("stock: s\nlevers: {door-glass: {steps: 1}}\n")
    verdict = judge(load_job(path, rules, folders=[FIXTURES / "kits"]), rules)
    with pytest.raises(RulesetError) as told:
        stock_for(verdict, rules)
    says = "door-glass is now glass, for each pane; this was for door alone."
    assert [fault.says for fault in told.value.faults] == [says]


def test_what_is_converted_is_reviewed(rules: Rules, tmp_path: Path) -> None:
    path = tmp_path / "job.yaml"
    old = OLD / "jobs" / "holds-millimetres.yaml"
    made = convert(old.read_bytes(), old.name).data
    assert made is not None
    path.write_bytes(made)
    job = load_job(path, rules, folders=[FIXTURES / "kits"])
    assert review(job, rules, stage="handover").exit_code == 0
