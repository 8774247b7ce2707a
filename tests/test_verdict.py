"""One job judged: which layer counts, where a fact's range ends, in which order findings stand."""

import itertools
from pathlib import Path

import pytest

from ruleset.errors import RulesetError
from ruleset.kinds import KINDS
from ruleset.library import Library
from ruleset.quantity import QuantityError, read_quantity
from validator import Rules, judge, load_job_text, load_rules, review

JOBS = Path(__file__).resolve().parent.parent / "fixtures" / "jobs"
ORDINARY = (JOBS / "holds-ordinary.yaml").read_text(encoding="utf-8")
LIMIT = "sliding.clear-opening.access"
CODE = """
code: house-of-codes
title: A code of the tests' own
under: [irc-2021]
amends:
  sliding.clear-opening:
    limits: {access: {is: 20 in, basis: {document: A code, standing: published}}}
    why: It says so.
"""
POLICY = """
policy: wide-shop
title: A policy of the tests' own
amends:
  sliding.clear-opening:
    limits: {access: {is: 26 in, basis: {standing: shop policy, note: no source}}}
    why: A wider way in is wanted.
"""


@pytest.fixture
def beside(tmp_path: Path) -> Path:
    for folder, name, text in (
        ("codes", "house-of-codes", CODE),
        ("policies", "wide-shop", POLICY),
    ):
        (tmp_path / folder).mkdir()
        (tmp_path / folder / f"{name}.yaml").write_text(text, encoding="utf-8")
    kits = tmp_path / "kits"
    kits.mkdir()
    shipped = JOBS.parent / "kits" / "ostrel-inch.yaml"
    (kits / "ostrel-inch.yaml").write_bytes(shipped.read_bytes())
    return tmp_path


def test_a_policy_counts_over_any_code_set_in_whatever_order_they_are_named(beside: Path) -> None:
    rules = load_rules(installed=False)
    orders = list(itertools.permutations(("irc-2021", "house-of-codes", "wide-shop")))
    found = set()
    for names in orders:
        text = ORDINARY.replace("code: irc-2021", f"code: [{', '.join(names)}]")
        verdict = judge(load_job_text(text, "job", rules, beside=beside), rules)
        found.add((verdict.library.limits[LIMIT].value, verdict.layers[-1].name))
    assert found == {(26 * 25.4, "wide-shop")}
    text = ORDINARY.replace("code: irc-2021", "policy: wide-shop\ncode: house-of-codes")
    verdict = judge(load_job_text(text, "job", rules, beside=beside), rules)
    assert [layer.name for layer in verdict.layers] == ["irc-2021", "house-of-codes", "wide-shop"]
    job = load_job_text(text, "job", rules, beside=beside)
    called = judge(job, rules, codes=("house-of-codes",))
    assert called.library.limits[LIMIT].value == 26 * 25.4


def test_a_policy_that_a_code_set_overtakes_is_refused(beside: Path) -> None:
    code = CODE.replace("is: 20 in", "is: 28 in")
    (beside / "codes" / "house-of-codes.yaml").write_text(code, encoding="utf-8")
    rules = load_rules(installed=False)
    text = ORDINARY.replace("code: irc-2021", "policy: wide-shop\ncode: house-of-codes")
    job = load_job_text(text, "job", rules, beside=beside)
    with pytest.raises(RulesetError, match="28 in"):
        judge(job, rules)


@pytest.mark.parametrize(
    ("name", "was", "least", "most", "past"),
    [
        ("design.fixed.split", "split: 30", "6 in", "12 ft", ("5 63/64 in", "144 1/64 in")),
        ("design.door.overlap", "overlap: 1 1/2", "-6 in", "24 in", ("-6 1/64 in", "24 1/64 in")),
        ("design.door.handle.height", "height: 36", "0 in", "8 ft", ("-1/64 in", "96 1/64 in")),
    ],
)
def test_a_value_at_either_end_of_its_range_is_read_and_one_past_it_is_not(
    name: str, was: str, least: str, most: str, past: tuple[str, str], rules: Rules, bound: Library
) -> None:
    assert ORDINARY.count(was) == 1
    field = was.partition(":")[0]

    def read(text: str) -> float:
        job = ORDINARY.replace(was, f"{field}: {text}")
        return load_job_text(job, "job", rules, beside=JOBS).values[name].value

    fact = bound.facts[name]
    assert (read(least), read(most)) == (fact.low, fact.high)
    for text in past:
        with pytest.raises(RulesetError, match="it lies between"):
            read(text)


@pytest.mark.parametrize("text", ["4' 12 in", "4' 12\"", "4 ft 12 in", "4' 12 1/4\""])
def test_twelve_inches_are_a_foot(text: str) -> None:
    with pytest.raises(QuantityError, match="12 in or more after the feet"):
        read_quantity(text, KINDS["length"])
    below = text.replace("12 1/4", "11 15/16").replace("12", "11")
    assert read_quantity(below, KINDS["length"]).value < 5 * 12 * 25.4


def test_findings_stand_by_the_job_s_lines_and_then_by_those_of_other_files(
    rules: Rules, beside: Path
) -> None:
    kit = beside / "kits" / "ostrel-inch.yaml"
    lines = _without(kit.read_text(encoding="utf-8"), "rating")
    kit.write_text("\n".join(lines), encoding="utf-8")
    job = "\n".join(_without(ORDINARY, "hand:", "first_hole:", "read_on:"))
    # A name that comes before the kit's, and one that comes after it, in the order of names.
    for file in ("a.yaml", "zz.yaml"):
        found = review(load_job_text(job, file, load_rules(installed=False), beside=beside), rules)
        places = [
            (one.place.file != file, one.place.line, one.place.column) for one in found.findings
        ]
        assert places == sorted(places)
        assert {elsewhere for elsewhere, _, _ in places} == {False, True}


def _without(text: str, *fields: str) -> list[str]:
    return [line for line in text.splitlines() if not line.strip().startswith(fields)]


def test_rules_print_short_where_a_test_fails(rules: Rules) -> None:
    # All of a library, its parts named again and again, would be gigabytes.
    judge(load_job_text(ORDINARY, "job", rules, beside=JOBS), rules)
    assert len(repr(rules)) < 1000
    assert repr(rules.library).startswith("<Library of ")
