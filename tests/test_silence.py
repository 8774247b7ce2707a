"""Silence decides nothing: what a job leaves out is asked for, or is a plain choice that is told.

The law, over every fact of every book: with a fact left out that is no plain choice of the design,
no error clause holds or is exempt that another value in the fact's range would fail.
"""

import math
import shutil
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path

import pytest

from ruleset.book import Fact
from ruleset.errors import RulesetError
from ruleset.library import Library
from ruleset.program import EXEMPT, FAILS, HOLDS, SOFTER, Program
from validator import Review, Rules, Verdict, judge, load_job, load_job_text, review
from validator.job_sheet import sheet_html
from validator.report import takeoff_data, takeoff_text
from validator.report.layout import Look
from validator.report.text import review_text
from validator.reviewing import review_verdict
from validator.take_off import takeoff
from validator.usual import value_of

JOBS = Path(__file__).resolve().parent.parent / "fixtures" / "jobs"
CHOICES = {
    "design.bar.offset",
    "design.door.holes",
    "design.door.notches",
    "design.door.tilted",
    "design.door.eccentric",
    "design.fixed.holes",
    "design.fixed.notches",
}
"""Plain choices of the design: the bar over the middle, an upright door, its eccentrics
in their middle, nothing further cut."""
NAMES = ("holds-ordinary", "holds-millimetres", "holds-walls-only", "holds-replacement")
CODES = ("irc-2021", "upc-2024", "ibc-2021", "ipc-2021", "ada-2010", "en-12150")


def test_only_a_plain_choice_of_the_design_has_a_value_of_its_own(bound: Library) -> None:
    taken = {name for name, fact in bound.facts.items() if fact.absent is not None}
    assert taken == CHOICES


def test_what_is_taken_from_elsewhere_is_of_the_design_or_the_kit(bound: Library) -> None:
    follow = (fact for fact in bound.facts.values() if fact.follows)
    assert [fact.name for fact in follow if fact.source not in ("design", "kit")] == []


def values(fact: Fact, words: Mapping[str, float]) -> Iterator[float]:
    """Yield values all over a fact's range."""
    kind = fact.kind
    assert kind is not None
    if kind.name == "word":
        yield from (words[word] for word in fact.words)
    elif kind.name == "yes/no":
        yield from (0.0, 1.0)
    else:
        yield from (fact.low, fact.high, *(fact.usual or ()), min(max(0.0, fact.low), fact.high))
        yield from (fact.low + (fact.high - fact.low) * part / 8 for part in range(1, 8))


def outcomes(program: Program, facts: Mapping[str, float], verdict: Verdict) -> tuple[int, ...]:
    limits = [verdict.library.limits[name].value for name in program.limits]
    return program.run([facts[name] for name in program.facts], limits).outcomes


@pytest.mark.parametrize(
    ("name", "code"),
    [*((name, CODES[0]) for name in NAMES), *((NAMES[0], code) for code in CODES[1:])],
)
def test_no_error_clause_rests_on_a_fact_that_was_left_out(
    rules: Rules, name: str, code: str
) -> None:
    verdict = judge(load_job(JOBS / f"{name}.yaml", rules), rules, codes=(code,))
    clauses = [verdict.clause(case) for case in verdict.plan.cases]
    asked = 0
    for left_out in verdict.program.facts:
        fact = verdict.plan.leaves[left_out].fact
        if left_out in CHOICES or fact.rows or fact.follows or fact.source == "job":
            continue
        less = {name: one for name, one in verdict.job.values.items() if name != left_out}
        taken = value_of(verdict.library, left_out, less)
        without = outcomes(verdict.program, {**verdict.facts, left_out: taken}, verdict)
        for value in values(fact, verdict.library.words):
            given = outcomes(verdict.program, {**verdict.facts, left_out: value}, verdict)
            asked += 1
            for clause, before, after in zip(clauses, without, given, strict=True):
                passed = before in (EXEMPT, HOLDS) and after in (FAILS, SOFTER)
                assert not passed, (clause.name, left_out, value)
    assert asked > 1000


@pytest.mark.parametrize("name", NAMES)
def test_every_fact_that_is_left_out_is_asked_for_or_told(
    rules: Rules, name: str, ran: Callable[[], None]
) -> None:
    job = load_job(JOBS / f"{name}.yaml", rules)
    told = {one.fact for one in review(job, rules).assumed}
    verdict = judge(job, rules)
    for fact in verdict.program.facts:
        ran()
        known = not math.isnan(verdict.facts[fact])
        assert (fact in told) == (known and fact not in job.values), fact


@pytest.fixture
def ordinary(rules: Rules) -> Callable[..., Verdict]:
    text = (JOBS / "holds-ordinary.yaml").read_text(encoding="utf-8")

    def made(*changes: tuple[str, str]) -> Verdict:
        new = text
        for old, replaced in changes:
            assert new.count(old) == 1, old
            new = new.replace(old, replaced)
        return judge(load_job_text(new, "job.yaml", rules, beside=JOBS), rules)

    return made


def outcome(verdict: Verdict, clause: str) -> int:
    (found,) = [
        code
        for case, code in zip(verdict.plan.cases, verdict.run.outcomes, strict=True)
        if case.clause.name == clause
    ]
    return found


PULL = "holes: [{x: 28 11/16, y: 42, across: 1/2}]"


def test_a_towel_bar_cannot_hide_behind_another_name(ordinary: Callable[..., Verdict]) -> None:
    # The far hole is level with the handle's own: 31 3/16 - 11 3/16 = 20 in from the strike edge,
    # so that the bar's far side stands 20 + 1/2 in from it, whatever the handle is called.
    bar = (PULL, "holes: [{x: 11 3/16, y: 36, across: 1/2}]")
    for kind in ("pull", "knob", "finger hole"):
        found = ordinary(bar, ("kind: pull", f"kind: {kind}"))
        assert outcome(found, "doors.stray-hole") == FAILS
        assert outcome(found, "sliding.clear-opening") == FAILS
    found = ordinary(bar, ("kind: pull", "kind: towel bar"))
    assert outcome(found, "doors.stray-hole") == HOLDS
    assert outcome(found, "doors.second-hole") == HOLDS
    assert outcome(found, "sliding.clear-opening") == FAILS
    assert found.answer("door.handle_reach").value == pytest.approx(20.5 * 25.4)


def test_a_pull_has_both_of_its_holes(ordinary: Callable[..., Verdict]) -> None:
    assert outcome(ordinary(), "doors.second-hole") == HOLDS
    assert outcome(ordinary((PULL, "holes: none")), "doors.second-hole") == FAILS
    knob = ordinary((PULL, "holes: none"), ("kind: pull", "kind: knob"))
    assert outcome(knob, "doors.second-hole") == EXEMPT
    assert outcome(knob, "doors.stray-hole") == HOLDS
    assert outcome(ordinary(("kind: pull", "kind: knob")), "doors.stray-hole") == FAILS


@pytest.mark.parametrize(
    ("given", "clause"),
    [
        ("  hand: left\n", "fixed.side-chosen"),
        ("kind: pull, ", "doors.second-hole"),
        (", cut: 0", "compartment.area"),
        (", sides_above_curb: 1 1/2", "compartment.curb-below-sides"),
        (" bow: 0, diagonal: 98 3/8,", "opening.middle-width-agrees"),
        ("  steam: no\n", "compartment.steam"),
        ("  window: {near: no}\n", "compartment.window-near"),
        ("  tiled_since: no\n", "opening.nothing-tiled-since"),
        ("  crew: 2\n", "handling.crew"),
    ],
)
def test_what_was_once_taken_for_granted_is_asked_for(
    rules: Rules, given: str, clause: str
) -> None:
    text = (JOBS / "holds-ordinary.yaml").read_text(encoding="utf-8")
    assert text.count(given) == 1
    job = load_job_text(text.replace(given, ""), "job.yaml", rules, beside=JOBS)
    found = review(job, rules)
    errors = rules.library.clauses[clause].clause.level == "error"
    assert (clause in found.release.because) is errors  # what only warns is told
    assert clause in [one.clause for one in found.findings if one.outcome == "unknown"]
    assert any(clause in one.clauses for one in found.asked)


POLICY = """
policy: shop
title: The shop's own word
states:
  survey.steam: {is: no, why: We build no steam stalls.}
  order.crew: {is: 2, why: We come in twos.}
"""


def stated(folder: Path, text: str, rules: Rules, *gone: str) -> Review:
    """Review the ordinary job under a policy, with some texts taken out of it."""
    job = (JOBS / "holds-ordinary.yaml").read_text(encoding="utf-8")
    for one in gone:
        assert job.count(one) == 1
        job = job.replace(one, "")
    shutil.copytree(JOBS.parent / "kits", folder / "kits")
    (folder / "policies").mkdir()
    (folder / "policies" / "shop.yaml").write_text(text, encoding="utf-8")
    (folder / "job.yaml").write_text(f"policy: shop\n{job}", encoding="utf-8")
    return review(load_job(folder / "job.yaml", rules), rules)


def test_a_policys_word_stands_where_the_job_is_silent_and_is_told_as_that(
    tmp_path: Path, rules: Rules
) -> None:
    found = stated(tmp_path, POLICY, rules, "  steam: no\n", "  crew: 2\n")
    assert found.release.ready
    told = {one.fact: (one.text, one.source) for one in found.assumed}
    assert told["survey.steam"] == ("no", "shop says: We build no steam stalls.")
    assert told["order.crew"] == ("2", "shop says: We come in twos.")
    said = " ".join(review_text(found, Look()).split())
    assert "survey.steam = no, as shop says: We build no steam stalls." in said


def test_what_the_job_gives_goes_before_a_policys_word(tmp_path: Path, rules: Rules) -> None:
    found = stated(tmp_path, POLICY.replace("is: no", "is: yes"), rules)
    assert not {"survey.steam", "order.crew"} & {one.fact for one in found.assumed}
    assert "compartment.steam" not in {one.clause for one in found.findings}


@pytest.mark.parametrize(
    ("states", "says"),
    [
        ("survey.steem: {is: no, why: Because.}", "There is no fact survey.steem. Did you mean"),
        ("kit.drop: {is: 3 in, why: Because.}", "kit.drop is nothing that a policy may state"),
        ("bar.as_built.level: {is: 0 in, why: A.}", "is nothing that a policy may state"),
        ("order.second_check: {is: yes, why: A.}", "a second check is given for the sizes of one"),
        ("pane.design.holes: {is: none, why: A.}", "is nothing that a policy may state"),
        ("opening.survey.head_height: {is: 78, why: A.}", "survey.head_height: 78 has no unit"),
        ("opening.survey.head_height: {is: 7 in, why: A.}", "which is outside what is read of it"),
        ("survey.base: {is: kerb, why: A.}", "survey.base is 'kerb'; it may be curb, floor"),
        ("survey.steam: {is: no}", "What is stated of survey.steam has no why"),
        ("survey.steam: {is: no, why: A., by: B}", "no field 'by'"),
    ],
)
def test_a_policy_states_only_what_can_be_read(
    tmp_path: Path, rules: Rules, states: str, says: str
) -> None:
    text = f"policy: shop\ntitle: A shop\nstates:\n  {states}\n"
    with pytest.raises(RulesetError) as refused:
        stated(tmp_path, text, rules)
    assert says in str(refused.value)


def test_a_code_set_states_nothing(tmp_path: Path, rules: Rules) -> None:
    with pytest.raises(RulesetError, match="A code set states nothing of a job"):
        stated(tmp_path, POLICY.replace("policy: shop", "code: shop"), rules)


def test_what_is_taken_stands_on_the_papers(rules: Rules) -> None:
    verdict = judge(load_job(JOBS / "holds-ordinary.yaml", rules), rules)
    told = {one.fact for one in verdict.assumed}
    assert {"design.bar.offset", "design.door.tilted"} <= told
    taken = takeoff(verdict)
    said = " ".join(takeoff_text.write(taken).split())
    page = sheet_html(verdict, review_verdict(verdict, rules))
    data = takeoff_data.takeoff_data(taken, "0")
    for fact in told:
        assert f"{fact} = " in said
        assert fact in page
        assert fact in str(data["assumed"])
