"""A small job judged: every verdict, value and layer of it is worked out in the head."""

import itertools
import math
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from ruleset.errors import RulesetError
from ruleset.layers import read_layer
from ruleset.library import Library
from ruleset.program import FAILS, HOLDS, UNKNOWN
from ruleset.reader import read_text
from validator import Job, Rules, Verdict, judge

DEEP, WIDE = "depth: 12\n", "niche: 30\n"
ALL = ("deep", "wide", "roomy", "carried", "long", "level", "either")

EMPTY = read_layer(read_text("code: ours\ntitle: Ours", "codes.yaml"))
Made = Callable[..., Job]


def outcomes(verdict: Verdict) -> dict[str, int]:
    pairs = zip(verdict.plan.cases, verdict.run.outcomes, strict=True)
    return {case.clause.name.partition(".")[2]: code for case, code in pairs}


def case_of(verdict: Verdict, name: str) -> int:
    names = [case.clause.name for case in verdict.plan.cases]
    return names.index(f"shelf.{name}")


def test_what_is_left_out_is_unknown_and_what_needs_it_says_so(shelf: Rules, made: Made) -> None:
    def missing(*swaps: tuple[str, str], kit: str = "") -> dict[str, tuple[str, ...]]:
        verdict = judge(made(*swaps, kit=kit), shelf)
        said = {n: verdict.missing(verdict.plan.cases[case_of(verdict, n)]) for n in ALL}
        assert {name for name, code in outcomes(verdict).items() if code == UNKNOWN} == {
            name for name, names in said.items() if names
        }
        return {name: names for name, names in said.items() if names and name != "level"}

    assert missing() == {}
    assert missing((DEEP, "\n")) == {"deep": ("survey.depth",), "roomy": ("survey.depth",)}
    assert missing((DEEP, "\n"), (WIDE, "\n"), ("reach: 10", "gap: 1")) == {
        "deep": ("design.reach", "survey.depth"),
        "wide": ("survey.niche",),
        "roomy": ("design.reach", "survey.depth", "survey.niche"),
        "long": ("design.reach",),
    }
    assert missing(("sound: yes", "sound:"), ("reach: 10", "reach:")) == {
        "deep": ("design.reach",),
        "roomy": ("design.reach",),
        "long": ("design.reach", "survey.sound"),
        "either": ("design.reach", "survey.sound"),
    }


def test_the_answers_of_a_verdict(shelf: Rules, made: Made) -> None:
    verdict = judge(made((DEEP, "height: 40\n")), shelf)
    inch = 25.4
    known = {
        "board.width": 29.75 * inch,  # 30 in less 1/8 in at each end
        "board.half": 14.875 * inch,
        "survey.niche": 30 * inch,
        "design.gap": inch / 8,
        "kit.load": 20 * 0.45359237,
        "shelf.limit.load": 20 * 0.45359237,
        "shelf.deep.least": inch,
    }
    assert {name: verdict.answer(name).value for name in known} == pytest.approx(known)
    for name in ("board.both", "board.spare", "survey.depth"):
        answer = verdict.answer(name)
        assert answer.missing == {"survey.depth"}
    assert verdict.answer("design.none").missing == {"design.none"}
    kinds = {name: kind.name for name in known if (kind := verdict.kind(name)) is not None}
    masses = {"kit.load": "mass", "shelf.limit.load": "mass"}
    assert kinds == {**dict.fromkeys(known, "length"), **masses}
    assert verdict.kind("design.none") is None
    assert [one.fact for one in verdict.assumed] == ["design.gap", "design.sunk", "kit.load"]
    # No clause asks for the height; the papers show it all the same.
    assert verdict.facts["survey.height"] == 40 * inch
    assert math.isnan(verdict.facts["survey.depth"])


def test_what_a_clause_stands_on(shelf: Rules, made: Made) -> None:
    verdict = judge(made(), shelf)
    cases = {name: verdict.plan.cases[case_of(verdict, name)] for name in ALL}
    assert {name: set(verdict.cone(case)) for name, case in cases.items()} == {
        "deep": {"survey.depth", "design.reach"},
        "wide": {"survey.niche", "design.gap"},
        "roomy": {"survey.depth", "design.reach", "survey.niche", "design.gap"},
        "carried": {"kit.load"},
        "long": {"kit.bracket", "design.reach", "survey.sound"},
        "level": {"as_built.sag"},
        "either": {"survey.sound", "survey.depth", "design.reach"},
    }
    assert verdict.cone(cases["roomy"]) == (
        "survey.niche",
        "design.gap",
        "survey.depth",
        "design.reach",
    )
    assert {name: {one.name for one in verdict.limits(case)} for name, case in cases.items()} == {
        "deep": {"shelf.deep.least"},
        "wide": {"shelf.wide.least"},
        "roomy": {"shelf.roomy.least"},
        "carried": {"shelf.carried.least", "shelf.limit.load"},
        "long": set(),
        "level": {"shelf.level.most"},
        "either": {"shelf.either.least"},
    }
    given = judge(made(kit="load: 18 lb"), shelf)
    (carried,) = (one for one in given.plan.cases if one.clause.name == "shelf.carried")
    assert [one.name for one in given.limits(carried)] == ["shelf.carried.least"]


def test_each_row_is_asked(shelf: Rules, made: Made) -> None:
    assert "pegged" not in outcomes(judge(made(), shelf))
    pegs = made(("wood: oak", "wood: oak\n  pegs: [{x: 3}, {x: 1}, {}]"))
    verdict = judge(pegs, shelf)
    assert verdict.subjects["shelf.pegged"] == tuple(f"board.pegs[{at}]" for at in (1, 2, 3))
    found = zip(verdict.plan.cases, verdict.run.outcomes, strict=True)
    assert [code for case, code in found if case.clause.name == "shelf.pegged"] == [
        HOLDS,
        FAILS,
        UNKNOWN,
    ]
    assert verdict.subjects["shelf.deep"] == ("board",)


def test_which_code_sets_count_and_which_limit(shelf: Rules, made: Made) -> None:
    def laid(code: str, *asked: str) -> tuple[list[str], float]:
        verdict = judge(made(("code: ours", code)), shelf, codes=asked)
        least = verdict.library.limits["shelf.deep.least"].value
        assert verdict.clause(verdict.plan.cases[0]).limits["least"].value == least
        return [one.name for one in verdict.layers], round(least / 25.4, 9)

    assert laid("code: ours") == (["ours"], 1)
    assert laid("code: town") == (["theirs", "town"], 2)
    assert laid("code: [town, theirs]") == (["theirs", "town"], 2)
    assert laid("policy: shop\ncode: town") == (["theirs", "town", "shop"], 4)
    assert laid("policy: shop\ncode: ours", "town") == (["theirs", "town", "shop"], 4)
    assert laid("code: town", "ours") == (["ours"], 1)
    assert laid("code: nowhere", "theirs") == (["theirs"], 3)


def test_a_code_set_that_is_not_there_is_refused_where_it_is_named(
    shelf: Rules, made: Made
) -> None:
    def refusal(code: str, *asked: str) -> str:
        with pytest.raises(RulesetError) as refused:
            judge(made(("code: ours\n", code)), shelf, codes=asked)
        return str(refused.value)

    there = "there are: lenient, ours, shop, theirs, town."
    assert refusal("code: nowhere\n") == (
        f"job.yaml:8:7: There is no code set or policy nowhere; {there}"
    )
    assert refusal("code: ours\n", "twon").startswith(
        f"job.yaml:2:1: There is no code set or policy twon; {there} Did you mean"
    )
    assert refusal("") == (
        "job.yaml:2:1: The job names no code set, and none was asked for. Write one, such as "
        f"`code: irc-2021`; {there}"
    )


def test_one_program_serves_all_jobs_of_a_shape(shelf: Rules, made: Made) -> None:
    first, second = judge(made(), shelf), judge(made((DEEP, "depth: 10 1/2\n")), shelf)
    assert first.program is second.program
    assert (outcomes(first)["deep"], outcomes(second)["deep"]) == (HOLDS, FAILS)
    assert judge(made(("wood: oak", "pegs: [{x: 3}]")), shelf).program is not first.program


def test_what_a_chain_deeper_than_calls_may_be_lacks_is_told(
    shelf: Rules, made: Made, library_of: Callable[..., Library]
) -> None:
    deep = 2 * sys.getrecursionlimit()
    links = ["survey.head", *(f"rope.link{at}" for at in range(deep))]
    lines = [
        f"  {name}: {{means: A link, is: {below} * 1, kind: length}}"
        for below, name in itertools.pairwise(links)
    ]
    head = "{means: Head, kind: length, range: [1 in, 99 in]}"
    parts = "sorts: {rope: {}, spare: {}}\nparts: {rope: {means: the rope, sorts: [rope]}}\n"
    book = f"book: chain\ntitle: A chain\nfacts:\n  survey.head: {head}\n{parts}workings:\n"
    rules = replace(
        shelf, library=library_of(book + "\n".join(lines)), codes={"ours": EMPTY}, laid={}, made={}
    )
    verdict = judge(replace(made(), values={}, rows={}), rules)
    assert verdict.answer(f"rope.link{deep - 1}").missing == {"survey.head"}
    assert not verdict.answer(f"rope.link{deep // 2}").known


def test_a_list_that_has_to_be_given_is_asked_for(
    shelf: Rules, made: Made, library_of: Callable[..., Library]
) -> None:
    text = (Path(__file__).parent / "books" / "shelf.yaml").read_text(encoding="utf-8")
    assert text.count("most: 4, absent: none") == 1
    library = library_of(text.replace("most: 4, absent: none", "most: 4"))
    verdict = judge(made(), replace(shelf, library=library, laid={}, made={}))
    case = verdict.plan.cases[case_of(verdict, "pegged")]
    assert outcomes(verdict)["pegged"] == UNKNOWN
    assert verdict.missing(case) == ("design.pegs",)


def test_what_only_a_sentence_names_is_told_as_it_is_taken(
    shelf: Rules, made: Made, library_of: Callable[..., Library]
) -> None:
    text = (Path(__file__).parent / "books" / "shelf.yaml").read_text(encoding="utf-8")
    fact = "  design.nails: {means: Nails, kind: length, range: [0 in, 9 in], absent: 2 in}\n"
    text = text.replace("facts:\n", f"facts:\n{fact}").replace(
        "The niche is {actual} deeper", "With nails of {design.nails} the niche is {actual} deeper"
    )
    rules = replace(shelf, library=library_of(text), laid={}, made={})
    verdict = judge(made(("reach: 10\n", "reach: 11 1/2\n")), rules)
    case = verdict.plan.cases[case_of(verdict, "deep")]
    assert verdict.teller().tell(case).says.startswith("With nails of 2 in the niche is 1/2 in")
    assert verdict.answer("design.nails").value == 2 * 25.4
