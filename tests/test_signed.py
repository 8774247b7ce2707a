"""A second check counts for the sizes it was given for, and for no others."""

import random
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from ruleset.errors import RulesetError
from ruleset.library import Library
from validator import Review, Rules, judge, load_job, load_job_text, review
from validator.signed import LETTERS, LONG, code_of

FIXTURES = Path(__file__).resolve().parent.parent / "fixtures"
ORDINARY = (FIXTURES / "jobs" / "holds-ordinary.yaml").read_text(encoding="utf-8")
CODE = "HKNCF"
CLAUSES = {"papers.second-check", "papers.drawing-signed"}

Reviewed = Callable[..., Review]


@pytest.fixture
def reviewed(rules: Rules) -> Reviewed:
    """Return what reviews the ordinary job with pieces of its text swapped."""

    def made(*swaps: tuple[str, str]) -> Review:
        text = ORDINARY
        for old, new in swaps:
            assert old in text
            text = text.replace(old, new)
        job = load_job_text(text, "job.yaml", rules, beside=FIXTURES / "jobs")
        return review(job, rules, tolerance=False)

    return made


def failing(said: Review) -> set[str]:
    return {one.clause for one in said.findings if one.outcome == "fails"} & CLAUSES


def test_the_code_of_the_sizes_lets_the_job_go(reviewed: Reviewed) -> None:
    said = reviewed()
    assert (said.sizes_code, said.release.ready) == (CODE, True)
    assert reviewed((CODE, CODE.lower())).release.ready


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("split: 30", "split: 29 7/8"),
        ("overlap: 1 1/2", "overlap: 1 9/16"),
        ("y: 42,", "y: 41 15/16,"),
        ("across: 1/2}]", "across: 5/8}]"),
        ("    surface: clear\n", "    surface: frosted inside\n"),
        ("    mark: in sight\n", "    mark: covered\n"),
    ],
)
def test_whatever_is_ordered_otherwise_has_another_code(
    reviewed: Reviewed, bound: Library, old: str, new: str
) -> None:
    words = {"surface": "design.door.surface", "mark": "design.door.mark"}
    fact = words.get(old.strip().partition(":")[0])
    if fact is not None:
        others = [word for word in bound.facts[fact].words if word not in old]
        new = f"{old.partition(':')[0]}: {others[0]}\n"
    said = reviewed((old, new))
    assert said.sizes_code not in ("", CODE)
    assert failing(said) == CLAUSES
    told = " ".join(one.says for one in said.findings if one.clause in CLAUSES)
    assert f"The second check {CODE} was given for other sizes; the code of these is" in told
    assert f"The client's signature {CODE} was given for other sizes" in told
    again = reviewed((old, new), (CODE, said.sizes_code))
    assert not failing(again)


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("title: Slider", "title: A slider"),
        ("crew: 2", "crew: 3"),
        ("placed_on: 2026-02-16", "placed_on: 2026-02-17"),
    ],
)
def test_what_is_no_size_leaves_the_code(reviewed: Reviewed, old: str, new: str) -> None:
    said = reviewed((old, new))
    assert said.sizes_code == CODE
    assert not failing(said)


@pytest.mark.parametrize("word", ["yes", "true"])
def test_a_bare_yes_is_told_in_one_line_with_the_code(reviewed: Reviewed, word: str) -> None:
    said = reviewed((f"check: {CODE}", f"check: {word}"))
    (found,) = (one for one in said.findings if one.clause == "papers.second-check")
    assert found.outcome == "fails"
    assert found.says.endswith(
        f"The second check says yes, but not for which sizes; write {CODE}, the code of these."
    )


@pytest.mark.parametrize("word", ["HKNC", "HKNCFF", "HKNC0", "maybe", "12345"])
def test_what_is_no_code_is_refused_with_its_place(reviewed: Reviewed, word: str) -> None:
    with pytest.raises(RulesetError, match="is neither no nor a code of sizes") as refused:
        reviewed((f"check: {CODE}", f"check: {word}"))
    (fault,) = refused.value.faults
    assert fault.place.pointer == "/order/second_check"


def test_while_the_sizes_are_not_known_a_check_is_not_either(reviewed: Reviewed) -> None:
    said = reviewed(("split: 30", "split: "))
    assert said.sizes_code == ""
    assert not failing(said)
    assert set(said.release.because) >= CLAUSES
    assert failing(reviewed(("split: 30", "split: "), (f"check: {CODE}", "check: no"))) == {
        "papers.second-check"
    }


def test_a_code_is_the_same_however_sums_were_rounded() -> None:
    seed = random.Random(5)  # noqa: S311  # any sizes will do
    for _ in range(2000):
        size = seed.randrange(1, 500_000) * 25.4 / 128  # mm, on the finest grid there is
        near = {code_of({"door.width": size + off}, "kit") for off in (-1e-9, 0.0, 1e-9)}
        assert len(near) == 1
        assert code_of({"door.width": size + 25.4 / 128}, "kit") not in near


def test_letters_are_those_that_nobody_mistakes() -> None:
    assert not set(LETTERS) & set("0O1IL2Z5SUVB")
    assert len(set(LETTERS)) == len(LETTERS)
    assert re.fullmatch(f"[{LETTERS}]{{{LONG}}}", code_of({}, "kit"))


def test_every_fixture_that_is_checked_names_its_sizes(
    rules: Rules, ran: Callable[[], None]
) -> None:
    for path in sorted((FIXTURES / "jobs").glob("holds-*")):
        if ".findings." not in path.name:
            verdict = judge(load_job(path, rules), rules)
            assert verdict.facts["order.second_check"] == 1.0
            ran()
