"""The generated program: what it is made of, how it compares, and that built equals drawn."""

import io
import keyword
import math
import re
import tokenize
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from ruleset.formula.answer import PLAIN_FUNCTIONS, compared
from ruleset.formula.check import Function
from ruleset.kinds import KINDS
from ruleset.library import Library
from ruleset.plan import plan
from ruleset.program import (
    EXEMPT,
    FAILS,
    HOLDS,
    SOFTER,
    UNKNOWN,
    Program,
    compile_plan,
    guarded,
    prelude,
)
from ruleset.quantity import read_quantity
from validator import Rules, Verdict, judge, load_job

FIXTURES = Path(__file__).parent.parent / "fixtures"
ORDINARY = FIXTURES / "jobs" / "holds-ordinary.yaml"
HOLDING = sorted(
    path for path in (FIXTURES / "jobs").glob("holds-*.yaml") if ".findings" not in path.name
)

OURS = re.compile(r"[a-z][0-9]+")
WORDS = {"def", "return", "if", "else", "and", "or", "not", "True", "False"}
HELPERS = {"program", "facts", "limits", "nan", "fabs", *(f"of_{name}" for name in PLAIN_FUNCTIONS)}
SIGNS = {*"+-*/()=<>,:", "<=", ">=", "==", "!="}


def test_no_text_of_any_file_stands_in_generated_code(rules: Rules) -> None:
    named = [
        FIXTURES / "jobs" / f"{name}.yaml" for name in ("holds-ordinary", "fails-notch-radius")
    ]
    one, other = (judge(load_job(path, rules), rules) for path in named)
    assert one.plan.shape != other.plan.shape
    for verdict in (one, other):
        for built in (False, True):
            program = compile_plan(verdict.library, verdict.plan, built=built)
            for token in tokenize.generate_tokens(io.StringIO(program.source).readline):
                assert_ours(token)


def assert_ours(token: tokenize.TokenInfo) -> None:
    match token.type:
        case tokenize.NAME if keyword.iskeyword(token.string):
            assert token.string in WORDS, token
        case tokenize.NAME:
            assert OURS.fullmatch(token.string) or token.string in HELPERS, token
        case tokenize.NUMBER:
            assert token.string == repr(float(token.string)) or token.string in "01234", token
        case tokenize.OP:
            assert token.string in SIGNS, token
        case kind:
            ends = (tokenize.NEWLINE, tokenize.NL, tokenize.INDENT, tokenize.DEDENT)
            assert kind in (*ends, tokenize.ENDMARKER), token


def test_generated_code_reaches_no_builtins(rules: Rules) -> None:
    verdict = judge(load_job(ORDINARY, rules), rules)
    scope = prelude({}, {}, [])
    assert scope["__builtins__"] == {}
    assert set(scope) == {"__builtins__"} | (HELPERS - {"program", "facts", "limits"})
    with pytest.raises(NameError):
        eval("open", scope)  # noqa: S307  # that it cannot is what is tested
    code = verdict.program.call.__globals__
    assert code["__builtins__"] == {}
    assert "open" not in code


def test_programs_of_one_plan_are_alike(rules: Rules) -> None:
    verdict = judge(load_job(ORDINARY, rules), rules)
    again = compile_plan(verdict.library, verdict.plan)
    assert again.source == verdict.program.source
    assert again.facts == verdict.program.facts


# --- one clause ----------------------------------------------------------------------------------

BOOK = """
book: small
title: One clause
about: None of it means anything.
facts:
  design.size: {means: a size, kind: length, range: [-99 in, 99 in]}
  design.other: {means: another, kind: length, range: [-99 in, 99 in]}
  design.sure: {means: whether so, kind: yes/no}
  design.glass: {means: a glass, kind: word, words: [clear, etched]}
clauses:
  asks:
    title: It asks
    WHEN
    needs: NEEDS
    SOFTER
    limits: {least: {is: LIMIT, basis: {standing: memory}}}
    level: warning
    stage: design
    why: It must be.
    says: It does not.
    levers: [design.size]
    proofs: {}
"""


def asking(
    library_of: Callable[..., Library],
    needs: str,
    *,
    limit: str = "2 in",
    when: str = "",
    softer: str = "",
) -> Callable[..., int]:
    text = BOOK.replace("NEEDS", needs).replace("LIMIT", limit)
    text = text.replace("WHEN", f"when: {when}" if when else "")
    text = text.replace("SOFTER", f"softer: {{level: note, when: {softer}}}" if softer else "")
    library = library_of(text)
    program = compile_plan(library, plan(library, ()))

    def outcome(**facts: float | str) -> int:
        given = {f"design.{k}": v for k, v in facts.items()}
        values = [given.get(name, math.nan) for name in program.facts]
        read = [library.words[v] if isinstance(v, str) else v for v in values]
        (got,) = program.run(read, [library.limits[n].value for n in program.limits]).outcomes
        return got

    return outcome


def mm(text: str) -> float:
    return read_quantity(text, KINDS["length"]).value


@pytest.mark.parametrize(
    ("limit", "step"),
    [("2 in", "1/64 in"), ("50.8 mm", "0.1 mm"), ("1/3 in", "1/64 in"), ("33.3 mm", "0.1 mm")],
)
def test_exactly_at_the_limit_passes_and_a_step_past_it_fails(
    library_of: Callable[..., Library], limit: str, step: str
) -> None:
    at, past = mm(limit), mm(step)
    least = asking(library_of, "design.size >= limit.least", limit=limit)
    most = asking(library_of, "design.size <= limit.least", limit=limit)
    # The same size again as sums of floats that do not quite meet it.
    sums = [at, at / 3 + at / 3 + at / 3, sum([at / 10] * 10), at + 0.1 - 0.1, at - 5e-7, at + 5e-7]
    for size in sums:
        assert least(size=size) == HOLDS
        assert most(size=size) == HOLDS
    for far in (past, 2e-6):
        assert (least(size=at - far), least(size=at + far)) == (FAILS, HOLDS)
        assert (most(size=at - far), most(size=at + far)) == (HOLDS, FAILS)


def test_lengths_in_inches_and_in_mm_are_one_float() -> None:
    for sixty_fourths in range(1, 64 * 12, 7):
        inches = Fraction(sixty_fourths, 64)
        exact = inches * Fraction(254, 10)
        assert mm(f"{sixty_fourths}/64 in") == mm(f"{float(inches)!r} in") == float(exact)


@pytest.mark.parametrize(("one", "other"), [(">=", "<"), ("<=", ">"), ("==", "!=")])
def test_opposites_are_exact(library_of: Callable[..., Library], one: str, other: str) -> None:
    is_so = asking(library_of, f"design.size {one} design.other")
    is_not = asking(library_of, f"design.size {other} design.other")
    denied = asking(library_of, f"not design.size {other} design.other")
    for base in (0.0, 50.8, -7.3, 1e5):
        for apart in (0.0, 1e-7, 9e-7, 1e-6, 1.1e-6, 1e-5, 0.1, 3.0, -1e-7, -1e-6, -2e-6, -0.1):
            for spread in (apart, math.nextafter(apart, 1), math.nextafter(apart, -1)):
                got = is_so(size=base + spread, other=base)
                said = [compared(op, base + spread, base, 1e-6) for op in (one, other)]
                assert said == ([1.0, 0.0] if got == HOLDS else [0.0, 1.0])
                assert {got, is_not(size=base + spread, other=base)} == {HOLDS, FAILS}
                assert denied(size=base + spread, other=base) == got
    assert is_so(size=1.0) == is_not(size=1.0) == denied(other=1.0) == UNKNOWN


def test_words(library_of: Callable[..., Library]) -> None:
    same = asking(library_of, "design.glass == 'clear'")
    apart = asking(library_of, "design.glass != 'clear'")
    among = asking(library_of, "design.glass in ('clear',)")
    without = asking(library_of, "design.glass not in ('clear',)")
    for outcome in (same, among):
        assert (outcome(glass="clear"), outcome(glass="etched"), outcome()) == (HOLDS, FAILS, 3)
    for outcome in (apart, without):
        assert (outcome(glass="clear"), outcome(glass="etched"), outcome()) == (FAILS, HOLDS, 3)


def test_when_implies_needs(library_of: Callable[..., Library]) -> None:
    asked = asking(library_of, "design.size >= limit.least", when="design.sure")
    below, above = 1.0, 99.0
    assert asked(sure=0.0, size=below) == asked(sure=0.0, size=above) == asked(sure=0.0) == EXEMPT
    assert (asked(sure=1.0, size=below), asked(sure=1.0, size=above)) == (FAILS, HOLDS)
    assert asked(sure=1.0) == asked() == asked(size=below) == UNKNOWN
    assert asked(size=above) == HOLDS


def test_the_softer_level_is_taken_only_where_it_is_surely_meant(
    library_of: Callable[..., Library],
) -> None:
    asked = asking(library_of, "design.size >= limit.least", softer="design.sure")
    assert asked(size=1.0, sure=1.0) == SOFTER
    assert asked(size=1.0, sure=0.0) == asked(size=1.0) == FAILS
    assert asked(size=99.0, sure=1.0) == HOLDS


def test_all_of_none_is_exempt_and_any_of_none_fails(library_of: Callable[..., Library]) -> None:
    book = """
book: {how}
title: A group
about: None of it means anything.
facts: {{design.{how}_holes: {{means: holes, list: {how} hole, most: 4}}}}
sorts: {{{how} hole: {{plural: {how}_holes, fields: {{x: length}}}}}}
parts:
  {how}_door:
    means: a door
    sorts: []
    groups: {{holes: {{sort: {how} hole, more: design.{how}_holes}}}}
clauses:
  asks:
    title: It asks
    needs: {how}(h.x > 0 for h in {how}_door.holes)
    level: warning
    stage: design
    why: It must be.
    says: It does not.
    basis: {{standing: memory}}
    levers: []
    proofs: {{}}
"""
    library = library_of(book.format(how="all"), book.format(how="any"))
    lists = ("design.all_holes", "design.any_holes")
    for rows, expected in ((0, (EXEMPT, FAILS)), (None, (UNKNOWN, UNKNOWN))):
        made = plan(library, tuple((name, rows) for name in lists))
        program = compile_plan(library, made)
        assert program.run([math.nan] * len(program.facts), []).outcomes == expected
    made = plan(library, (("design.all_holes", 1), ("design.any_holes", 2)))
    program = compile_plan(library, made)
    values = {"design.all_holes[1].x": 0.0, "design.any_holes[2].x": 1.0}
    facts = [values.get(name, math.nan) for name in program.facts]
    assert program.run(facts, []).outcomes == (FAILS, HOLDS)


# --- plugins' functions --------------------------------------------------------------------------


def test_a_function_that_fails_gives_nothing_and_says_so() -> None:
    def call(value: float) -> float:
        return {1.0: math.inf, 2.0: 7.0}[value] if value else math.sqrt(-1)

    function = Function(
        name="odd",
        takes=(KINDS["number"],),
        gives=KINDS["number"],
        call=call,
        means="nothing",
        source="none",
    )
    faults: list[tuple[str, str]] = []
    safe = guarded(function, faults)
    assert safe(2.0) == 7.0
    assert math.isnan(safe(math.nan))
    assert math.isnan(safe(1.0))
    assert math.isnan(safe(0.0))
    assert faults == []
    assert math.isnan(safe(5.0))
    assert faults == [("odd", "KeyError: 5.0")]


# --- built and drawn -----------------------------------------------------------------------------


def built_run(verdict: Verdict, values: dict[str, float]) -> tuple[Program, dict[str, float]]:
    program = compile_plan(verdict.library, verdict.plan, built=True)
    run = program.run(
        [values.get(name, math.nan) for name in program.facts],
        [verdict.library.limits[name].value for name in program.limits],
    )
    steps = (step.name for step in verdict.plan.steps)
    return program, dict(zip(steps, run.values, strict=True))


@pytest.mark.parametrize("path", HOLDING, ids=lambda path: path.stem)
def test_built_equals_drawn(rules: Rules, path: Path) -> None:
    job = load_job(path, rules)
    bare = {k: v for k, v in job.values.items() if not k.startswith("as_built.")}
    verdict = judge(replace(job, values=bare), rules)
    steps = verdict.plan.steps
    drawn = dict(zip((step.name for step in steps), verdict.run.values, strict=True))
    frozen = {step.name for step in steps if step.frozen}
    assert frozen
    program, built = built_run(verdict, {**verdict.facts, **drawn})
    assert frozen <= set(program.facts)
    for name, value in drawn.items():
        assert math.isclose(built[name], value, abs_tol=1e-6) or math.isnan(value), name
        assert math.isnan(built[name]) == math.isnan(value), name


def test_as_built_readings_act_on_the_built_program_only(rules: Rules) -> None:
    verdict = judge(load_job(ORDINARY, rules), rules)
    drawn = dict(zip((step.name for step in verdict.plan.steps), verdict.run.values, strict=True))
    values = {**verdict.facts, **drawn, "as_built.bar.height": drawn["bar.height"] + 1.0}
    _, built = built_run(verdict, values)
    assert built["bar.height"] == drawn["bar.height"] + 1.0
    assert built["door.top"] == pytest.approx(drawn["door.top"] + 1.0)
    assert built["door.height"] == drawn["door.height"]


def test_a_frozen_size_no_longer_follows(rules: Rules) -> None:
    verdict = judge(load_job(ORDINARY, rules), rules)
    drawn = dict(zip((step.name for step in verdict.plan.steps), verdict.run.values, strict=True))
    wider = {**verdict.facts, **drawn}
    for where in ("sill", "middle", "head"):
        wider[f"survey.front.width.{where}"] += 3.0
    _, built = built_run(verdict, wider)
    assert built["door.width"] == drawn["door.width"]
    assert built["door.overlap"] == pytest.approx(drawn["door.overlap"] - 3.0)
