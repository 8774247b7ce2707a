"""A kit by itself: what concerns it alone is asked of it before any job is drawn with it."""

import json
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from ruleset.errors import ShapeError
from ruleset.formula.cone import leaves
from ruleset.plan import plan
from validator import Rules, load_job, load_kit, review, review_kit
from validator.command import main
from validator.kitcheck import of_the_kit
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
    assert {one.outcome for one in found.findings} == {"holds"}
    assert len(found.findings) > 10


def test_exactly_the_clauses_that_rest_on_the_kit_alone_are_asked(rules: Rules) -> None:
    library = rules.library
    shape = tuple(sorted((one.name, 0) for one in library.facts.values() if one.rows))
    whole = plan(library, shape)
    steps = {step.name: step.drawn for step in whole.steps}

    def facts(names: tuple[str, ...]) -> set[str]:
        known = {name for name in names if name in whole.leaves}
        inner = [facts(leaves(steps[name])) for name in names if name in steps]
        return known.union(*inner)

    of_kit = {case.clause.name for case in of_the_kit(whole)}
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
