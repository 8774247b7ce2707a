"""Members that a part has only where a condition holds: in sums, clauses, pairs and on papers."""

import math

import pytest

from ruleset import Library, RulesetError, assemble
from ruleset.book_reader import read_book
from ruleset.explain import Teller
from ruleset.formula.answer import Answer, Answering
from ruleset.plan import Plan, plan
from ruleset.program import EXEMPT, FAILS, HOLDS, UNKNOWN, Run, compile_plan
from ruleset.reader import read_text
from ruleset.show import Style

BOOK = """
book: rail
title: A rail with two pegs, and a third where it is long
facts:
  peg_rail.design.long: {for: each peg rail, means: It is long, kind: yes/no}
  peg_rail.design.length: {for: each peg rail, means: Length, kind: length, range: [1 in, 99 in]}
sorts:
  peg: {fields: {at: length}}
  rail: {groups: {pegs: {sort: peg}}}
  peg rail:
    is: rail
    groups:
      pegs:
        sort: peg
        are:
          - {means: first peg, at: 1 * rail.first}
          - {means: last peg, at: rail.design.length - rail.first}
          - {means: middle peg, if: rail.design.long, at: rail.design.length / 2}
  bare rail:
    is: rail
    groups:
      pegs:
        sort: peg
        are: [{means: lone peg, if: count(rails) > 9, at: 0}]
parts:
  long: {means: the rail, sorts: [peg rail]}
  bare: {means: the bare rail, sorts: [bare rail]}
workings:
  rail.first: {for: each peg rail, means: First peg, is: rail.design.length / 10, kind: length}
  rail.pegs_there: {for: each rail, means: Pegs, is: count(rail.pegs), kind: count}
  rail.least:
    {for: each rail, means: Nearest peg, is: min(peg.at for peg in rail.pegs), kind: length}
  rail.most:
    {for: each rail, means: Furthest peg, is: max(peg.at for peg in rail.pegs), kind: length}
  rail.total: {for: each rail, means: All pegs, is: sum(peg.at for peg in rail.pegs), kind: length}
  peg.twice: {for: each peg of each rail, means: Twice, is: 2 * peg.at, kind: length}
clauses:
  near:
    title: T
    for: each peg of each rail
    needs: peg.twice <= limit.most
    limits: {most: {is: 10 in, basis: {standing: memory}}}
    level: error
    stage: design
    why: W
    says: "{subject} stands at {peg.at}; {actual}."
  apart:
    title: T
    for: each two pegs of each rail
    needs: abs(one.at - other.at) >= limit.least
    limits: {least: {is: 5 in, basis: {standing: memory}}}
    level: error
    stage: design
    why: W
    says: "{actual}"
  every:
    title: T
    for: each rail
    needs: all(peg.at < limit.most for peg in rail.pegs)
    limits: {most: {is: 9 in, basis: {standing: memory}}}
    level: error
    stage: design
    why: W
    says: S
  some:
    title: T
    for: each rail
    needs: any(peg.at == rail.most for peg in rail.pegs)
    level: error
    basis: {standing: memory}
    stage: design
    why: W
    says: S
"""
IN = 25.4


def library(text: str = BOOK) -> Library:
    return assemble([read_book(read_text(text, "rail"))])


def ran(**facts: float) -> tuple[Plan, dict[str, float], dict[tuple[str, str], int], Run]:
    books = library()
    made = plan(books, ())
    program = compile_plan(books, made)
    given = {"design.long.long": math.nan, "design.long.length": 10 * IN} | {
        f"design.long.{name}": value for name, value in facts.items()
    }
    run = program.run(
        [given[name] for name in program.facts],
        [books.limits[name].value for name in program.limits],
    )
    values = dict(zip((step.name for step in made.steps), run.values, strict=True))
    keys = [(case.clause.name.partition(".")[2], case.subject) for case in made.cases]
    return made, values, dict(zip(keys, run.outcomes, strict=True)), run


def test_a_member_counts_where_it_is_there() -> None:
    _, values, outcomes, _ = ran(long=1.0)
    # By hand: pegs at 1, 9 and 5 in.
    assert values["long.pegs_there"] == 3
    assert (values["long.least"], values["long.most"]) == pytest.approx((1 * IN, 9 * IN))
    assert values["long.total"] == pytest.approx(15 * IN)
    assert outcomes["near", "long.pegs[3]"] == HOLDS
    assert outcomes["near", "long.pegs[2]"] == FAILS
    assert outcomes["apart", "long.pegs[1]+pegs[3]"] == FAILS
    assert outcomes["every", "long"] == FAILS


def test_a_member_that_is_not_there_is_asked_nothing_and_adds_nothing() -> None:
    _, values, outcomes, _ = ran(long=0.0, length=12 * IN)
    # By hand: pegs at 1.2 and 10.8 in.
    assert values["long.pegs_there"] == 2
    assert values["long.total"] == pytest.approx(12 * IN)
    assert (values["long.least"], values["long.most"]) == pytest.approx((1.2 * IN, 10.8 * IN))
    assert outcomes["near", "long.pegs[3]"] == EXEMPT
    assert outcomes["apart", "long.pegs[1]+pegs[3]"] == EXEMPT
    assert outcomes["apart", "long.pegs[1]+pegs[2]"] == HOLDS
    assert outcomes["some", "long"] == HOLDS
    # Of the bare rail's one peg nothing is there: every one of none, and none of them.
    assert values["bare.pegs_there"] == values["bare.total"] == 0
    assert outcomes["every", "bare"] == HOLDS
    assert outcomes["some", "bare"] == FAILS
    assert outcomes["near", "bare.pegs[1]"] == EXEMPT


def test_where_it_is_not_known_whether_it_is_there_nothing_is() -> None:
    _, values, outcomes, _ = ran(length=4 * IN)
    assert math.isnan(values["long.pegs_there"])
    assert math.isnan(values["long.least"])
    assert outcomes["near", "long.pegs[2]"] == HOLDS
    assert outcomes["near", "long.pegs[3]"] == HOLDS  # there or not, at 2 in
    assert outcomes["every", "long"] == HOLDS
    assert ran()[2]["every", "long"] == FAILS  # by the peg at 9 in, whatever the other
    assert ran(length=30 * IN)[2]["near", "long.pegs[3]"] == UNKNOWN


def test_arithmetic_is_told_without_what_is_not_there() -> None:
    made, values, _, _ = ran(long=0.0)
    books = library()

    def look_up(name: str) -> Answer:
        known = {"design.long.long": 0.0, "design.long.length": 10 * IN} | values
        return Answer(known.get(name, math.nan))

    answering = Answering(look_up, books.words, {})
    steps = {step.name: step for step in made.steps}
    teller = Teller(answering, lambda name: steps[name].kind, steps, books.words, Style())
    line = teller.line(steps["long.least"])
    assert line.endswith(": the least of (1, 9) = 1 in")
    assert teller.line(steps["long.pegs_there"]).endswith(": 2 + 0 = 2")


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("if: rail.design.long", "if: rail.design.length", "A condition is a yes/no; this is len"),
        ("if: rail.design.long", "if: rail.design.lnog", "There is no rail.design.lnog here"),
        ("if: rail.design.long", "in: rail.design.long", "'in' is no name of a field."),
    ],
)
def test_a_condition_is_refused_at_its_place(old: str, new: str, says: str) -> None:
    with pytest.raises(RulesetError) as caught:
        library(BOOK.replace(old, new))
    column = BOOK.splitlines()[17].index(old) + (1 if new.startswith("in") else 5)
    assert str(caught.value).startswith(f"rail:18:{column}: ")
    assert says in str(caught.value)
