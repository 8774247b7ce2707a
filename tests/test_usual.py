"""What is taken for a fact that is not given: a value, or that of another fact or a limit."""

from collections.abc import Callable
from pathlib import Path

import pytest

from ruleset.errors import BookError
from validator import Review, Rules, judge, load_job_text, load_rules, review
from validator.remedy.options import job_levers
from validator.remedy.stock import stock_for

JOBS = Path(__file__).resolve().parent.parent / "fixtures" / "jobs"
ORDINARY = JOBS / "holds-ordinary.yaml"
BOOK = """
book: gaps
title: A gap that the kit's sheet gives, or the shop
about: A book of the tests' own.
facts:
  kit.small.gap: {means: "The kit's gap", kind: length, range: [0 in, 9 in], absent: limit.gap}
  kit.small.look: {means: "The kit's look", kind: word, words: [plain, fine]}
  kit.small.sure: {means: "The kit's say", kind: yes/no}
  design.gap: {means: The gap that is wanted, kind: length, range: [0 in, 9 in],
    absent: kit.small.gap}
  design.look: {means: The look, kind: word, words: [plain, fine, none], absent: kit.small.look}
limits: {gap: {is: 3 in, basis: {standing: shop policy, note: no source}}}
clauses:
  gap:
    title: The gap is wide enough
    for: each bar
    needs: design.gap >= limit.least
    limits: {least: {is: 4 in, basis: {standing: shop policy, note: no source}}}
    level: error
    stage: design
    why: It must be.
    says: "The gap is {actual}; at least {limit} is needed."
    levers: [design.gap]
    proofs: {}
  look:
    title: The look is fine
    for: each bar
    needs: design.look == 'fine'
    level: note
    stage: design
    basis: {standing: shop policy, note: no source}
    why: It must be.
    says: "The look is {design.look}."
    levers: [design.look]
    proofs: {}
"""


@pytest.fixture
def rules(tmp_path: Path) -> Rules:
    (tmp_path / "gaps.yaml").write_text(BOOK, encoding="utf-8")
    return load_rules(books=(tmp_path,), installed=False)


@pytest.fixture
def reviewed(rules: Rules, tmp_path: Path) -> Callable[[str, str], Review]:
    """Return what reviews the ordinary job with lines added to its design and its kit."""

    def made(design: str, kit: str) -> Review:
        beside = tmp_path / f"{len(list(tmp_path.iterdir()))}"  # a kit that was read is kept
        kits = beside / "kits"
        kits.mkdir(parents=True)
        text = (JOBS.parent / "kits" / "ostrel-inch.yaml").read_text(encoding="utf-8")
        (kits / "ostrel-inch.yaml").write_text(f"{text}\n{kit}\n", encoding="utf-8")
        job = ORDINARY.read_text(encoding="utf-8").replace("design:\n", f"design:\n{design}\n")
        return review(load_job_text(job, "job", rules, beside=beside), rules)

    return made


def test_what_the_job_gives_counts_before_the_kit_and_that_before_the_shop(
    reviewed: Callable[[str, str], Review],
) -> None:
    def told(design: str, kit: str) -> tuple[list[str], list[str]]:
        found = reviewed(design, kit)
        said = [one.says for one in found.findings if one.clause == "gaps.gap"]
        return said, [one.says for one in found.assumed if one.fact == "design.gap"]

    need = "at least 4 in is needed."
    assert told("  gap: 2", "small: {gap: 1}") == ([f"The gap is 2 in; {need}"], [])
    assert told("", "small: {gap: 1}") == ([f"The gap is 1 in; {need}"], ["1 in, as kit.small.gap"])
    assert told("", "") == ([f"The gap is 3 in; {need}"], ["3 in, as gaps.limit.gap"])
    assert told("", "small: {gap: 5}") == ([], ["5 in, as kit.small.gap"])


def test_what_is_taken_from_a_sheet_that_is_silent_is_asked_of_the_sheet(
    reviewed: Callable[[str, str], Review],
) -> None:
    found = reviewed("", "")
    assert [one.fact for one in found.asked if "look" in one.fact] == ["kit.small.look"]
    assert [one.fact for one in found.assumed if "look" in one.fact] == []
    taken = reviewed("", "small: {look: plain}")
    assert [one.says for one in taken.assumed if "look" in one.fact] == ["plain, as kit.small.look"]
    assert "The look is plain." in [one.says for one in taken.findings]


def test_another_kit_brings_what_the_job_leaves_to_it(rules: Rules, tmp_path: Path) -> None:
    kits = tmp_path / "kits"
    kits.mkdir()
    text = (JOBS.parent / "kits" / "ostrel-inch.yaml").read_text(encoding="utf-8")
    for name, gap in (
        ("ostrel-inch", "small: {gap: 1}"),
        ("second", ""),
        ("third", "small: {gap: 6}"),
    ):
        renamed = text.replace("kit: ostrel-inch", f"kit: {name}")
        (kits / f"{name}.yaml").write_text(f"{renamed}\n{gap}\n", encoding="utf-8")
    (tmp_path / "stock.yaml").write_text("stock: ours\nunits: in\n", encoding="utf-8")
    job = load_job_text(ORDINARY.read_bytes(), "job", rules, beside=tmp_path)
    verdict = judge(job, rules)
    board = job_levers(verdict, stock_for(verdict, rules))
    lever = next(one for one in board.wide if one.name == "kit")
    by_kit = dict(zip(lever.labels, lever.columns["design.gap"], strict=True))
    assert by_kit == {"ostrel-inch": 25.4, "second": 76.2, "third": 152.4}


@pytest.mark.parametrize(
    ("was", "becomes", "says"),
    [
        ("absent: kit.small.gap", "absent: kit.small.gab", "There is no kit.small.gab."),
        ("absent: limit.gap", "absent: limit.gab", "There is no gaps.limit.gab."),
        ("absent: kit.small.gap", "absent: kit.small.sure", "which is of another kind."),
        ("absent: kit.small.look", "absent: kit.small.gap", "which is of another kind."),
        (
            "absent: limit.gap",
            "absent: design.gap",
            "kit.small.gap is taken from itself: kit.small.gap from design.gap from kit.small.gap.",
        ),
    ],
)
def test_a_book_is_refused_that_takes_what_there_is_not(
    was: str, becomes: str, says: str, tmp_path: Path
) -> None:
    assert BOOK.count(was) == 1
    (tmp_path / "gaps.yaml").write_text(BOOK.replace(was, becomes), encoding="utf-8")
    with pytest.raises(BookError) as caught:
        load_rules(books=(tmp_path,), installed=False)
    assert says in str(caught.value)
