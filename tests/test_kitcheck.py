"""A kit by itself: what concerns it alone is asked of it before any job is drawn with it."""

import json
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from ruleset.errors import ShapeError
from ruleset.formula.cone import leaves
from ruleset.hands import shapes
from ruleset.library import Library
from ruleset.plan import plan
from validator import Rules, judge, load_job, load_kit, review, review_kit
from validator.command import main
from validator.kitcheck import of_the_kit
from validator.remedy.options import job_levers
from validator.remedy.stock import stock_for
from validator.report.data import review_data
from validator.report.layout import Look
from validator.report.text import Elsewhere, review_text

ROOT = Path(__file__).resolve().parent.parent
KITS = sorted((ROOT / "fixtures" / "kits").glob("*.yaml"))
OSTREL = ROOT / "fixtures" / "kits" / "ostrel-inch.yaml"
JOB = ROOT / "fixtures" / "jobs" / "holds-ordinary.yaml"


@pytest.fixture
def kit(tmp_path: Path) -> Callable[..., Path]:
    """Write the good kit with some texts replaced, in kits/ of a folder."""

    def made(*changes: tuple[str, str]) -> Path:
        text = OSTREL.read_text(encoding="utf-8")
        for old, new in changes:
            assert text.count(old) == 1, old
            text = text.replace(old, new)
        path = tmp_path / "kits" / OSTREL.name
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")
        return path

    return made


def failing(path: Path, rules: Rules) -> list[str]:
    found = review_kit(load_kit(path, rules.library), rules)
    return [one.clause for one in found.findings if one.outcome == "fails"]


@pytest.mark.parametrize("path", KITS, ids=lambda path: path.stem)
def test_the_demonstration_kits_are_sound(path: Path, rules: Rules) -> None:
    found = review_kit(load_kit(path, rules.library), rules, every=True)
    assert found.release.ready
    assert {one.outcome for one in found.findings} <= {"holds", "exempt"}
    kinds = load_kit(path, rules.library).kinds
    alone = (
        10 if "wheel" in kinds else -1 if "brace" in kinds else 2
    )  # a brace is asked with its pane
    assert len(found.findings) > alone


def test_exactly_the_clauses_that_rest_on_the_kit_alone_are_asked(bound: Library) -> None:
    lists = tuple((one.name, 0) for one in bound.facts.values() if one.rows)
    whole = plan(bound, shapes(bound, lists)[0])
    steps = {step.name: step.drawn for step in whole.steps}

    def facts(names: tuple[str, ...]) -> set[str]:
        known = {name for name in names if name in whole.leaves}
        inner = [facts(leaves(steps[name])) for name in names if name in steps]
        return known.union(*inner)

    kit = load_kit(JOB.parent.parent / "kits" / "ostrel-inch.yaml", bound)
    of_kit = {case.clause.name for case in of_the_kit(whole, kit)}
    for case in whole.cases:
        trees = [tree for tree in (case.when, case.needs, case.softer) if tree is not None]
        found = set().union(*(facts(leaves(tree)) for tree in trees))
        sources = {name.partition(".")[0] for name in found}
        assert (sources == {"kit"}) == (case.clause.name in of_kit), case.clause.name
    assert {"hardware.flange", "sliding.door-to-fitting"} <= of_kit


def test_a_flange_no_deeper_than_the_tread_is_told(kit: Callable[..., Path], rules: Rules) -> None:
    path = kit(("flange: 1 3/8", "flange: 1 1/8"))
    assert {"hardware.flange", "hardware.retainer-under-flange"} <= set(failing(path, rules))


def test_the_retainers_gap_is_held_against_the_flange(
    kit: Callable[..., Path], rules: Rules
) -> None:
    # 2 3/4 - 1 1/8 - 1 1/8 - 3/8 = 1/8 in of gap; the flange is 1 1/4 - 1 1/8 = 1/8 in deep.
    assert failing(kit(("flange: 1 3/8", "flange: 1 1/4")), rules) == [
        "hardware.retainer-under-flange"
    ]
    assert failing(kit(("flange: 1 3/8", "flange: 1 5/16")), rules) == []


def test_what_the_sheet_leaves_out_is_asked_for(kit: Callable[..., Path], rules: Rules) -> None:
    found = review_kit(load_kit(kit(("  flange: 1 3/8\n", "")), rules.library), rules)
    assert not found.release.ready
    assert [one.fact for one in found.asked] == ["kit.wheel.flange"]


def test_a_kits_fault_stands_in_every_job_and_is_told_at_length_once(
    kit: Callable[..., Path], rules: Rules, tmp_path: Path
) -> None:
    path = kit(("radius: 3/4", "radius: 7/8"))  # the end fitting, as fat as the hangers' offset
    reviews = []
    for name in ("one", "two"):
        job = tmp_path / f"{name}.yaml"
        job.write_text(JOB.read_text(encoding="utf-8").replace("24-117", name), encoding="utf-8")
        reviews.append(review(load_job(job, rules), rules))
    for found in reviews:
        assert found.release.because == ("sliding.door-to-fitting",)
        assert [one.place.file for one in found.findings] == [path.as_posix()]
    told: Elsewhere = {}
    first, second = (review_text(one, Look(), elsewhere=told) for one in reviews)
    assert "Basis" in first
    assert "at length under" not in first
    assert "Basis" not in second
    assert "at length under one" in second
    assert "1 clause fails (sliding.door-to-fitting)" in second


def test_the_command_reviews_a_kit(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], kit: Callable[..., Path]
) -> None:
    def call(*args: str | Path) -> tuple[int, str]:
        monkeypatch.setattr(sys, "argv", ["paneproof", "review", *map(str, args)])
        with pytest.raises(SystemExit) as ended:
            main()
        return int(ended.value.code or 0), capsys.readouterr().out

    code, said = call(OSTREL)
    assert code == 0
    assert said.startswith("Kit ostrel-inch: ")
    assert "Sound by itself: YES." in said
    code, said = call(kit(("flange: 1 3/8", "flange: 1 1/8")), "--format", "json")
    data = json.loads(said)
    assert code == 1
    assert data["kit"] == "ostrel-inch"
    assert "job" not in data
    assert "hardware.flange" in data["release"]["because"]


def test_a_kit_under_another_name_is_refused(
    kit: Callable[..., Path], rules: Rules, tmp_path: Path
) -> None:
    other = tmp_path / "other.yaml"
    kit().rename(other)
    with pytest.raises(ShapeError, match="its kit is ostrel-inch"):
        load_kit(other, rules.library)


def test_a_kit_needs_no_code_set_and_its_data_says_what_it_is(rules: Rules) -> None:
    found = review_kit(load_kit(OSTREL, rules.library), rules)
    assert found.codes == ()
    assert review_data(found, "0")["kit"] == "ostrel-inch"


OF_BRACES = {"kit.brace.angle": "held.limit.along"}
OF_HINGES = {
    "kit.hinge.least_carrier": "hinged.limit.carrier",
    "kit.hinge.plumb": "hinged.limit.plumb",
}
TERMS = {
    "kit.handle_clear": "sliding.limit.handle_clear",
    "kit.pass_margin": "sliding.limit.pass_margin",
    "kit.edge_room": "sliding.limit.edge_room",
    "kit.guide.capture": "sliding.limit.capture",
    "kit.curb_margin": "opening.limit.curb_margin",
    "kit.finger_room": "opening.limit.fingers",
    "kit.retainer.least": "hardware.limit.retainer_least",
    "kit.retainer.most": "hardware.limit.retainer_most",
    "kit.bar.shift": "hardware.limit.bar_shift",
    "kit.hole_to_edge": "hardware.limit.hole_to_edge",
}
"""Terms of a maker's sheet, and the limit of the shop that stands where the sheet is silent."""


def test_where_the_sheet_is_silent_the_shops_limit_stands_and_is_told(rules: Rules) -> None:
    facts = rules.library.facts.values()
    follows = {one.name: one.follows for one in facts if one.source == "kit" and one.follows}
    assert follows == {**TERMS, **OF_HINGES, **OF_BRACES}
    found = review(load_job(JOB, rules), rules)
    told = {one.fact: one.source for one in found.assumed if one.fact.startswith("kit.")}
    assert told == {name: limit for name, limit in TERMS.items() if name != "kit.bar.shift"}
    own = review(load_job(JOB.with_name("holds-walls-only.yaml"), rules), rules)
    assert not [one.fact for one in own.assumed if one.fact.startswith("kit.")]


def test_no_formula_goes_past_the_sheet_to_the_shops_limit(bound: Library) -> None:
    lists = tuple((one.name, 1) for one in bound.facts.values() if one.rows)
    whole = plan(bound, shapes(bound, lists)[0])
    trees = [step.drawn for step in whole.steps]
    trees += [step.built for step in whole.steps if step.built is not None]
    for case in whole.cases:
        trees += [tree for tree in (case.when, case.needs, case.softer) if tree is not None]
    assert len(trees) > 500
    assert not {name for tree in trees for name in leaves(tree)} & set(TERMS.values())


@pytest.mark.parametrize(
    ("line", "clause", "subject"),
    [
        # The handle stops the door at 30 + 5 + 3 = 38 in; 59 7/8 - 5/16 - 38 = 21 9/16 in is left.
        ("handle_clear: 5", "sliding.clear-opening", "door"),
        # 1 1/2 in of lap less 1/2 in behind the guide is 1 in.
        ("guide.capture: 1 1/16", "sliding.guide-closed", "guide"),
        # 4 3/8 in of curb; 2 x (7/8 + 3/16 + 3/4 + 1/2) = 4 5/8 in is needed.
        ("curb_margin: 1/2", "opening.curb-width", "curb"),
        # 96 in of ceiling less 78 and 5/8 in of lift is 17 3/8 in.
        ("finger_room: 6", "", ""),
        # The gap is 1/8 in.
        ("retainer.least: 3/16", "sliding.retainer-as-set", "door"),
        ("retainer.most: 1/16", "sliding.retainer-holds", "door"),
        # The pull's holes stand 2 1/2 - 1/4 = 2 1/4 in from the edge, the wheels' less.
        ("hole_to_edge: 2 1/4", "glass.rim-to-edge", "door.holes[1]"),
    ],
)
def test_what_the_sheet_gives_is_what_is_asked(
    kit: Callable[..., Path], rules: Rules, tmp_path: Path, line: str, clause: str, subject: str
) -> None:
    term, _, value = line.partition(": ")
    group, dot, name = term.rpartition(".")
    old, new = (
        (f"\n{group}:\n", f"\n{group}:\n  {name}: {value}\n")
        if dot
        else (
            "units: in\n",
            f"units: in\n{name}: {value}\n",
        )
    )
    kit((old, new))
    job = tmp_path / "job.yaml"
    job.write_text(JOB.read_text(encoding="utf-8"), encoding="utf-8")
    found = review(load_job(job, rules), rules, tolerance=False)
    failed = [(one.clause, one.subject) for one in found.findings if one.outcome == "fails"]
    assert ((clause, subject) in failed) is bool(clause)
    assert found.release.ready is not bool(clause)


def test_a_bar_stands_as_far_beside_the_middle_as_the_sheet_says(
    kit: Callable[..., Path], rules: Rules, tmp_path: Path
) -> None:
    kit(("shift: 2", "shift: 1/8"))
    text = JOB.read_text(encoding="utf-8")
    for offset, fails in (("1/8", False), ("-1/8", False), ("3/16", True)):
        job = tmp_path / "job.yaml"
        job.write_text(
            text.replace("design:\n", f"design:\n  bar: {{offset: {offset}}}\n"), "utf-8"
        )
        found = review(load_job(job, rules), rules)
        assert ("opening.bar-shift" in found.release.because) is fails


def test_a_limit_that_stands_for_the_sheet_is_marked_where_it_is_used(rules: Rules) -> None:
    found = review(load_job(JOB.with_name("fails-open-door-too-narrow.yaml"), rules), rules)
    (narrow,) = [one for one in found.findings if one.clause == "sliding.clear-opening"]
    assert "sliding.limit.handle_clear" in [name for name, _ in narrow.marked]


def test_the_sheets_terms_go_with_the_kit(
    kit: Callable[..., Path], rules: Rules, tmp_path: Path
) -> None:
    first = kit()
    text = first.read_text(encoding="utf-8").replace("kit: ostrel-inch", "kit: second")
    text = text.replace("units: in\n", "units: in\nhandle_clear: 1\n")
    first.with_name("second.yaml").write_text(text, encoding="utf-8")
    (tmp_path / "job.yaml").write_text(JOB.read_text(encoding="utf-8"), encoding="utf-8")
    job = load_job(tmp_path / "job.yaml", rules)
    verdict = judge(job, rules)
    board = job_levers(verdict, stock_for(verdict, rules))
    (lever,) = [one for one in board.wide if one.name == "kit"]
    by_kit = dict(zip(lever.labels, lever.columns["kit.handle_clear"], strict=True))
    assert by_kit == {"ostrel-inch": 2 * 25.4, "second": 25.4}  # the shop's 2 in, the sheet's 1 in


def test_a_wheel_s_diameter_for_its_radius_is_noticed(rules: Rules, tmp_path: Path) -> None:
    text = (ROOT / "fixtures" / "kits" / "ostrel-inch.yaml").read_text(encoding="utf-8")
    assert "  tread: 1 1/8\n  flange: 1 3/8\n" in text
    text = text.replace("  tread: 1 1/8\n  flange: 1 3/8\n", "  tread: 2 1/4\n  flange: 2 3/4\n")
    (tmp_path / "ostrel-inch.yaml").write_text(text, encoding="utf-8")
    found = review_kit(load_kit(tmp_path / "ostrel-inch.yaml", rules.library), rules)
    (one,) = (one for one in found.findings if one.outcome == "fails")
    assert one.clause == "hardware.retainer-below-bar"
    assert "its radius is asked, not its diameter" in one.do
