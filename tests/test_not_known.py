"""Words that people write: for what they do not know yet, and other words for the same thing."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import yaml

from ruleset.errors import RulesetError
from ruleset.reader import read_text, spans
from validator import Review, Rules, load_job_text, load_rules, review
from validator.facts import NOT_KNOWN

JOBS = Path(__file__).resolve().parent.parent / "fixtures" / "jobs"
SLIDER, HINGED = "holds-ordinary", "holds-hinged-panel-glass"


def _plain(name: str, folder: Path = JOBS) -> Any:  # noqa: ANN401 - a tree of texts
    text = (folder / f"{name}.yaml").read_text(encoding="utf-8")
    return yaml.load(text, Loader=yaml.BaseLoader)  # noqa: S506 - every scalar stays text


def _put(tree: dict[str, Any], name: str, value: str) -> None:
    *above, last = name.split(".")
    for key in above:
        tree = tree.setdefault(key, {})
    tree[last] = value


@pytest.fixture
def reviewed(rules: Rules, tmp_path: Path) -> Callable[[str, str, str], Review]:
    """Return what reviews a fixture with one fact written otherwise."""

    def made(name: str, fact: str, value: str) -> Review:
        job = _plain(name)
        beside = tmp_path / f"{len(list(tmp_path.iterdir()))}"
        (beside / "kits").mkdir(parents=True)
        kits = [job["kit"]] if isinstance(job["kit"], str) else job["kit"]
        of_kit, one = fact.partition(".")[::2]
        for kit in kits:
            tree = _plain(kit, JOBS.parent / "kits")
            if of_kit == "kit" and kit == kits[0]:
                _put(tree, one, value)
            (beside / "kits" / f"{kit}.yaml").write_text(json.dumps(tree), encoding="utf-8")
        if fact and of_kit != "kit":
            _put(job, fact, value)
        return review(load_job_text(json.dumps(job), "job", rules, beside=beside), rules)

    return made


@pytest.mark.parametrize("word", NOT_KNOWN)
@pytest.mark.parametrize(
    "fact",
    [
        "design.door.floor_gap",
        "design.door.eccentric",
        "design.door.tilted",
        "design.bar.offset",
        "design.fixed.holes",
        "design.door.notches",
        "kit.handle_clear",
        "kit.retainer.most",
        "survey.left.lean",
        "design.hand",
    ],
)
def test_what_is_said_not_to_be_known_is_asked_for_and_nothing_is_taken_in_its_place(
    reviewed: Callable[[str, str, str], Review], fact: str, word: str
) -> None:
    assert fact not in {name for one in reviewed(SLIDER, "", "").findings for name in one.missing}
    found = reviewed(SLIDER, fact, word)
    assert fact in {name for one in found.findings for name in one.missing}
    assert fact not in {one.fact for one in found.assumed}
    assert not found.release.ready


def test_a_whole_table_may_be_said_not_to_be_known(
    reviewed: Callable[[str, str, str], Review],
) -> None:
    missing = {n for one in reviewed(SLIDER, "design.door", "tbd").findings for n in one.missing}
    assert {"design.door.floor_gap", "design.door.holes", "design.door.overlap"} <= missing


@pytest.mark.parametrize("name", [SLIDER, HINGED])
def test_a_blank_is_taken_as_usual_and_told(
    reviewed: Callable[[str, str, str], Review], name: str
) -> None:
    found = reviewed(name, "design.door.notches", "")
    assert found.release.ready == reviewed(name, "", "").release.ready


@pytest.mark.parametrize(
    ("fact", "word"),
    [
        ("design.hand", "L"),
        ("design.hand", "R"),
        ("order.hand", "R"),
        ("design.door.glass", "tempered"),
        ("design.door.glass", "fully tempered"),
        ("design.fixed.glass", "laminated tempered"),
    ],
)
def test_another_word_says_the_same(
    reviewed: Callable[[str, str, str], Review], fact: str, word: str
) -> None:
    meant = {"L": "left", "R": "right", "laminated tempered": "laminated toughened"}
    other = reviewed(SLIDER, fact, word)
    plain = reviewed(SLIDER, fact, meant.get(word, "toughened"))
    told = [[(o.clause, o.subject, o.outcome, o.says) for o in r.findings] for r in (other, plain)]
    assert told[0] == told[1]
    assert other.sizes_code == plain.sizes_code


def test_a_word_that_is_none_is_told_the_nearest_of_both(
    reviewed: Callable[[str, str, str], Review],
) -> None:
    with pytest.raises(RulesetError, match="Did you mean 'tempered'"):
        reviewed(SLIDER, "design.door.glass", "temperd")


def test_a_question_mark_is_a_value() -> None:
    text = (
        'a: ?\nb: {c: ?, d: ? , e: ?}  # ?\nf: ?  # ask\ng: "is it: ?, or"\nh:   ?\ni: {j: ?\n }\n'
    )
    tree: Any = read_text(text, "file").entries  # type: ignore[union-attr]
    inner = tree["b"].entries
    given = [tree["a"], *inner.values(), tree["f"], tree["h"], tree["i"].entries["j"]]
    assert {one.text for one in given} == {"?"}
    assert tree["g"].text == "is it: ?, or"
    assert (inner["d"].place.line, inner["d"].place.column) == (2, 14)
    assert [text[s.start : s.end] for s in spans(text) if s.kind == "text"].count("?") == 7


def test_a_question_mark_stands_beside_pairs_of_escapes() -> None:
    tree: Any = read_text('{"a": "\\ud83d\\ude00", b: ?}', "file").entries  # type: ignore[union-attr]
    assert (tree["a"].text, tree["b"].text) == ("\U0001f600", "?")
    kept: Any = read_text("a: \ue03f\nb: x", "file").entries  # type: ignore[union-attr]
    assert kept["a"].text == "\ue03f"


@pytest.mark.parametrize("also", ["{smooth: flat}", "{plain: fine}", "[smooth]", "{smooth: {}}"])
def test_another_word_for_no_word_is_refused(tmp_path: Path, also: str) -> None:
    book = (
        "book: looks\ntitle: Looks\nabout: A book of the tests' own.\nfacts:\n"
        f"  design.look: {{means: Look, kind: word, words: [plain, fine], also: {also}}}\n"
    )
    (tmp_path / "looks.yaml").write_text(book, encoding="utf-8")
    with pytest.raises(RulesetError, match="also"):
        load_rules(books=(tmp_path,), installed=False)


@pytest.mark.parametrize(
    ("fact", "says"),
    [
        (
            "kit.wheel.diameter",
            (
                "Here is asked kit.wheel.tread (Radius of the wheel where it rolls on the bar) and "
                "kit.wheel.flange (Radius of the wheel's flanges): half the diameter."
            ),
        ),
        (
            "kit.bar.radius",
            "Here is asked kit.bar.diameter (Outside diameter of the bar): twice the radius.",
        ),
    ],
)
def test_a_diameter_for_a_radius_is_told(
    reviewed: Callable[[str, str, str], Review], fact: str, says: str
) -> None:
    with pytest.raises(RulesetError) as told:
        reviewed(SLIDER, fact, "2 in")
    assert [one.says for one in told.value.faults] == [f"There is no fact {fact}. {says}"]


def test_folders_looked_in_are_named_whole(
    rules: Rules, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    job = _plain(SLIDER) | {"kit": "none-such"}
    with pytest.raises(RulesetError) as told:
        load_job_text(json.dumps(job), "job", rules, beside=Path())
    folders = f"{(tmp_path / 'kits').as_posix()}, {(tmp_path.parent / 'kits').as_posix()}"
    assert f"There is no kit none-such in {folders}." in str(told.value)
    job = _plain(SLIDER) | {"arrangement": "none such"}
    with pytest.raises(RulesetError) as told:
        load_job_text(json.dumps(job), "job", rules, beside=Path())
    assert (tmp_path / "arrangements").as_posix() in str(told.value)
