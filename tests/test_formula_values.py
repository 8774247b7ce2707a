"""Random formulas: the program, the plain interpreter and Python itself agree.

Python's own `eval` runs the very text of a formula, outside of the project. With facts missing,
every filling of them from a few values is tried: what is known stays as it is.
"""

import ast
import itertools
import math
import random
from collections.abc import Callable, Iterator, Mapping
from fractions import Fraction
from types import SimpleNamespace

import pytest
from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from ruleset.formula.answer import Answer, Answering
from ruleset.formula.check import check
from ruleset.formula.grammar import parse
from ruleset.formula.tree import Node
from ruleset.formula.unroll import Members, unroll
from ruleset.kinds import KINDS
from ruleset.library import Library
from ruleset.names import InFormula
from ruleset.place import Place
from ruleset.plan import Leaf, Plan, Step
from ruleset.program import compile_plan

PLACE = Place(file="formula")
BOOK = """
book: random
title: Facts for random formulas
about: None of it means anything.
facts:
  survey.a: {means: a, kind: number, range: [-99, 99]}
  survey.b: {means: b, kind: number, range: [-99, 99]}
  survey.c: {means: c, kind: number, range: [-99, 99]}
  survey.p: {means: p, kind: yes/no}
  survey.q: {means: q, kind: yes/no}
  survey.w: {means: w, kind: word, words: [red, green, blue]}
  survey.v: {means: v, kind: word, words: [red, green, blue]}
  survey.rows: {means: rows, list: row, most: 4}
parts:
  box: {means: the box, sorts: [], groups: {rows: {sort: row, more: survey.rows}}}
sorts:
  row: {plural: rows, fields: {x: number, y: number}}
"""
NUMBERS = ("survey.a", "survey.b", "survey.c")
YES_NO = ("survey.p", "survey.q")
WORDS = ("survey.w", "survey.v")
ROWS = "survey.rows"
GROUP = "box.rows"
Value = float | bool | str | list[tuple[float, float]]
Facts = Mapping[str, Value | None]


# --- formulas ------------------------------------------------------------------------------------


def number(draw: st.DrawFn, depth: int, *, row: bool = False) -> str:  # noqa: C901, PLR0911
    leaf = st.sampled_from((*NUMBERS, "2", "0.5", "1 / 2", "0", "3", *(("r.x", "r.y") * row)))
    how = draw(st.integers(0, 12)) if depth > 0 else 12

    def one() -> str:
        return number(draw, depth - 1, row=row)

    match how:
        case 0 | 1 | 2:
            return f"({one()} {draw(st.sampled_from('+-*'))} {one()})"
        case 3:
            return f"({one()} / {one()})"
        case 4:
            return f"(-{one()})"
        case 5:
            return f"({one()}) ** {draw(st.integers(2, 4))}"
        case 6:
            return f"{draw(st.sampled_from(('min', 'max')))}({one()}, {one()}, {one()})"
        case 7:
            return f"{draw(st.sampled_from(('abs', 'sqrt')))}({one()})"
        case 8:
            ways = ("round_to", "round_up", "round_down")
            return f"{draw(st.sampled_from(ways))}({one()}, {draw(st.sampled_from(('0.25', '3')))})"
        case 9 | 10:
            return f"({one()} if {question(draw, depth - 1, row=row)} else {one()})"
        case 11 if not row:
            if draw(st.booleans()):
                return f"count({GROUP})"
            how_ = draw(st.sampled_from(("min", "max", "sum")))
            return f"{how_}({number(draw, depth - 1, row=True)} for r in {GROUP})"
    return draw(leaf)


def question(draw: st.DrawFn, depth: int, *, row: bool = False) -> str:  # noqa: C901, PLR0911
    how = draw(st.integers(0, 11)) if depth > 0 else draw(st.integers(0, 4))

    def one() -> str:
        return question(draw, depth - 1, row=row)

    def value() -> str:
        return number(draw, depth - 1, row=row)

    match how:
        case 0 | 1:
            return draw(st.sampled_from(YES_NO))
        case 2:
            word = draw(st.sampled_from(("'red'", "'blue'", "survey.v")))
            return f"survey.w {draw(st.sampled_from(('==', '!=')))} {word}"
        case 3:
            return f"survey.v {draw(st.sampled_from(('in', 'not in')))} ('red', 'green')"
        case 4 | 5 | 6:
            op = draw(st.sampled_from(("<", "<=", ">", ">=", "==", "!=")))
            return f"{value()} {op} {value()}"
        case 7:
            ops = st.sampled_from(("<", "<=", ">", ">="))
            return f"{value()} {draw(ops)} {value()} {draw(ops)} {value()}"
        case 8:
            return f"(not {one()})"
        case 9:
            return f"({one()} {draw(st.sampled_from(('and', 'or')))} {one()})"
        case 10:
            return f"({one()} if {one()} else {one()})"
    if row:
        return f"({one()} or {one()} and {one()})"
    how_ = draw(st.sampled_from(("any", "all")))
    return f"{how_}({question(draw, depth - 1, row=True)} for r in {GROUP})"


@st.composite
def formulas(draw: st.DrawFn, of: str) -> str:
    depth = draw(st.integers(0, 3))
    text = number(draw, depth) if of == "number" else question(draw, depth)
    assume(len(text) <= 600)
    return text


QUARTERS = st.integers(-12, 12).map(lambda n: n / 4)
FACTS: dict[str, st.SearchStrategy[Value]] = {
    **dict.fromkeys(NUMBERS, QUARTERS),
    **dict.fromkeys(YES_NO, st.booleans()),
    **dict.fromkeys(WORDS, st.sampled_from(("red", "green", "blue"))),
    ROWS: st.lists(st.tuples(QUARTERS, QUARTERS), max_size=3),
}
ALL_FACTS = st.fixed_dictionaries(FACTS)
SOME_FACTS = st.fixed_dictionaries({name: st.none() | one for name, one in FACTS.items()})


# --- Python's own answer -------------------------------------------------------------------------


class TooClose(Exception):
    """A comparison or a rounding so near its edge that floats and hairs may differ."""


def on_grid(way: Callable[[Fraction], int]) -> Callable[[float, float], float]:
    def rounded(value: float, grid: float) -> float:
        steps = Fraction(value) / Fraction(grid)
        twice = steps * 2
        if 0 < abs(twice - round(twice)) < Fraction(1, 10**6):
            raise TooClose
        return float(way(steps) * Fraction(grid))

    return rounded


PYTHON = {
    "__builtins__": {},
    "min": min,
    "max": max,
    "sum": sum,
    "any": any,
    "all": all,
    "abs": abs,
    "count": len,
    "sqrt": math.sqrt,
    "round_down": on_grid(math.floor),
    "round_up": on_grid(math.ceil),
    "round_to": on_grid(lambda steps: math.floor(steps + Fraction(1, 2))),
}


class Guarded(ast.NodeTransformer):
    """Puts a guard around the values that are compared."""

    def visit_Compare(self, node: ast.Compare) -> ast.AST:  # the name ast asks for
        self.generic_visit(node)
        if isinstance(node.ops[0], ast.In | ast.NotIn):
            return node
        pairs = itertools.pairwise((node.left, *node.comparators))
        links: list[ast.expr] = [
            ast.Call(
                func=ast.Name(id=f"op_{type(op).__name__}", ctx=ast.Load()),
                args=[left, right],
                keywords=[],
            )
            for op, (left, right) in zip(node.ops, pairs, strict=True)
        ]
        return links[0] if len(links) == 1 else ast.BoolOp(op=ast.And(), values=links)


def guarded(op: Callable[[object, object], bool]) -> Callable[[object, object], bool]:
    def compared(left: object, right: object) -> bool:
        if isinstance(left, float | int) and isinstance(right, float | int):
            near = 0 < abs(left - right) < 1e-5
            if near or max(abs(left), abs(right)) > 1e5:
                raise TooClose
        return op(left, right)

    return compared


OPS: Mapping[str, Callable[[object, object], bool]] = {
    "op_Lt": guarded(lambda a, b: a < b),  # type: ignore[operator]  # as the text says
    "op_LtE": guarded(lambda a, b: a <= b),  # type: ignore[operator]
    "op_Gt": guarded(lambda a, b: a > b),  # type: ignore[operator]
    "op_GtE": guarded(lambda a, b: a >= b),  # type: ignore[operator]
    "op_Eq": guarded(lambda a, b: a == b),
    "op_NotEq": guarded(lambda a, b: a != b),
}


def python_of(text: str) -> Callable[[Facts], float | None]:
    """Return what works a formula out by Python itself; None where Python cannot."""
    tree = ast.fix_missing_locations(Guarded().visit(ast.parse(text, mode="eval")))
    code = compile(tree, "<formula>", "eval")

    def answer(facts: Facts) -> float | None:
        given = {name.removeprefix("survey."): value for name, value in facts.items()}
        rows = given.pop("rows")
        assert isinstance(rows, list)
        box = SimpleNamespace(rows=[SimpleNamespace(x=x, y=y) for x, y in rows])
        scope = {**PYTHON, **OPS, "survey": SimpleNamespace(**given), "box": box}
        try:
            return float(eval(code, scope))  # noqa: S307  # the formula of a test
        except (ZeroDivisionError, ValueError, OverflowError, TooClose):
            return None

    return answer


# --- the project's answers -----------------------------------------------------------------------


@pytest.fixture(scope="module")
def library(library_of: Callable[..., Library]) -> Library:
    return library_of(BOOK)


def floats(facts: Facts, library: Library) -> tuple[dict[str, float], Members]:
    found: dict[str, float] = {}
    rows: list[str] = []
    for name, value in facts.items():
        if isinstance(value, list):
            for at, (x, y) in enumerate(value, start=1):
                rows.append(f"{name}[{at}]")
                found |= {f"{name}[{at}].x": x, f"{name}[{at}].y": y}
        elif isinstance(value, str):
            found[name] = library.words[value]
        elif value is not None:
            found[name] = float(value)
    return found, Members(names=tuple(rows), missing=ROWS if facts[ROWS] is None else "")


def tree_of(text: str, library: Library, members: Members) -> Node:
    scope = InFormula(library.names, "random", {}, {})
    typed = check(parse(text, PLACE), scope, {}, PLACE)
    return unroll(typed.node, lambda name: name, lambda _: members)


def by_program(tree: Node, values: Mapping[str, float], library: Library) -> float:
    step = Step(
        name="result",
        means="",
        kind=KINDS["number"],
        drawn=tree,
        built=None,
        frozen="",
        working=None,
        place=PLACE,
    )
    fact = library.facts[ROWS]
    names = (*library.facts, *(f"{ROWS}[{n}].{f}" for n in range(1, 5) for f in "xy"))
    leaves = {name: Leaf(name=name, fact=fact, kind=None) for name in names}
    plan = Plan(leaves=leaves, steps=(step,), cases=(), shape=())
    program = compile_plan(library, plan)
    facts = [values.get(name, math.nan) for name in program.facts]
    (value,) = program.run(facts, []).values
    return value


def by_interpreter(tree: Node, values: Mapping[str, float], library: Library) -> Answer:
    def look_up(name: str) -> Answer:
        value = values.get(name, math.nan)
        return Answer(value, frozenset() if name in values else frozenset((name,)))

    return Answering(look_up, library.words, {}).answer(tree)


def same(one: float, other: float) -> bool:
    return (math.isnan(one) and math.isnan(other)) or math.isclose(one, other, abs_tol=1e-12)


def agreed(text: str, facts: Facts, library: Library) -> float:
    """Return the value that the program and the interpreter agree on."""
    values, members = floats(facts, library)
    tree = tree_of(text, library, members)
    said = by_interpreter(tree, values, library)
    ran = by_program(tree, values, library)
    assert same(said.value, ran), (text, facts, said, ran)
    if said.known:
        assert not math.isinf(said.value)
    else:
        missing = {name for name, value in facts.items() if value is None}
        assert said.missing <= missing
    return ran


def answered(text: str, facts: Facts, library: Library) -> float:
    """Return what the interpreter makes of a formula."""
    values, members = floats(facts, library)
    return by_interpreter(tree_of(text, library, members), values, library).value


@settings(max_examples=250)
@given(formulas("number"), ALL_FACTS)
def test_a_quantity_is_what_python_makes_of_its_text(
    ran: Callable[[], None], library: Library, text: str, facts: Facts
) -> None:
    expected = python_of(text)(facts)
    got = agreed(text, facts, library)
    if expected is not None and abs(expected) < 1e9:
        ran()
        assert math.isclose(got, expected, rel_tol=1e-9, abs_tol=1e-9)


@settings(max_examples=250)
@given(formulas("question"), ALL_FACTS)
@example("survey.a >= survey.b", dict.fromkeys(FACTS, 0.0) | {ROWS: []})
def test_a_question_is_what_python_makes_of_its_text(
    ran: Callable[[], None], library: Library, text: str, facts: Facts
) -> None:
    expected = python_of(text)(facts)
    got = agreed(text, facts, library)
    if expected is not None:
        ran()
        assert got == expected


FILLINGS: Mapping[str, tuple[Value, ...]] = {
    **dict.fromkeys(NUMBERS, (-1.5, 0.0, 2.0)),
    **dict.fromkeys(YES_NO, (True, False)),
    **dict.fromkeys(WORDS, ("red", "blue")),
    ROWS: ([], [(0.0, 2.0)], [(1.0, 1.0), (-3.0, 0.5)]),
}
MOST_FILLINGS = 60


def fillings(facts: Facts) -> Iterator[Facts]:
    missing = [name for name, value in facts.items() if value is None]
    every = itertools.product(*(FILLINGS[name] for name in missing))
    for values in itertools.islice(every, MOST_FILLINGS):
        yield {**facts, **dict(zip(missing, values, strict=True))}


@settings(max_examples=250)
@given(formulas("question"), SOME_FACTS, st.randoms(use_true_random=False))
def test_filling_in_what_is_missing_never_changes_what_is_known(
    ran: Callable[[], None], library: Library, text: str, facts: Facts, order: random.Random
) -> None:
    known = agreed(text, facts, library)
    whole = list(fillings(facts))
    order.shuffle(whole)
    by_python = python_of(text)
    for filled in whole[:12]:
        if not math.isnan(known):
            ran()
            assert answered(text, filled, library) == known
        expected = by_python(filled)
        if expected is not None and not math.isnan(known):
            assert expected == known


@settings(max_examples=150)
@given(formulas("number"), SOME_FACTS)
def test_filling_in_what_is_missing_never_changes_a_known_quantity(
    ran: Callable[[], None], library: Library, text: str, facts: Facts
) -> None:
    known = agreed(text, facts, library)
    if math.isnan(known):
        return
    by_python = python_of(text)
    for filled in itertools.islice(fillings(facts), 8):
        ran()
        assert same(answered(text, filled, library), known)
        expected = by_python(filled)
        if expected is not None:
            assert math.isclose(expected, known, rel_tol=1e-9, abs_tol=1e-9)


# --- laws, one by one ----------------------------------------------------------------------------

NOTHING: Facts = dict.fromkeys(FACTS)


def value_of(text: str, library: Library, **facts: Value) -> float:
    return agreed(text, {**NOTHING, **{f"survey.{k}": v for k, v in facts.items()}}, library)


@pytest.mark.parametrize(
    "text",
    [
        "1 / survey.a",
        "survey.a / survey.a",
        "1 / (survey.a - survey.a)",
        "2 / 0",
        "0 / 0",
        "sqrt(survey.a - 1)",
        "min(1 / survey.a, 5)",
        "max(5, 1 / survey.a)",
        "round_to(survey.a, 0)",
        "round_up(1, survey.a)",
        "round_down(1, survey.a - 1)",
        "round_to(9e200, 9e-200)",
        "(9e200 * 9e200) * survey.a",
        "(9e200 + survey.a) ** 4",
        "9e200 / (survey.a + 9e-200)",
        "min(r.x for r in box.rows)",
        "max(r.x for r in box.rows)",
        "1 / survey.a > 2",
        "0 < 1 / survey.a < 2",
    ],
)
def test_nothing_raises_and_what_has_no_value_is_undefined(library: Library, text: str) -> None:
    facts = {**NOTHING, "survey.a": 0.0, ROWS: []}
    values, members = floats(facts, library)
    tree = tree_of(text, library, members)
    assert math.isnan(by_program(tree, values, library))
    assert by_interpreter(tree, values, library).missing == frozenset()


def test_groups_of_none_and_groups_not_given(library: Library) -> None:
    assert value_of(f"sum(r.x for r in {GROUP})", library, rows=[]) == 0.0
    assert value_of(f"count({GROUP})", library, rows=[]) == 0.0
    assert value_of(f"all(r.x > 0 for r in {GROUP})", library, rows=[]) == 1.0
    assert value_of(f"any(r.x > 0 for r in {GROUP})", library, rows=[]) == 0.0
    for text in (
        f"sum(r.x for r in {GROUP})",
        f"count({GROUP})",
        f"min(r.x for r in {GROUP})",
        f"all(r.x > 0 for r in {GROUP})",
        f"any(r.x > 0 for r in {GROUP})",
    ):
        assert math.isnan(value_of(text, library))


def test_missing_is_never_forgotten(library: Library) -> None:
    for text in ("min(1, survey.a)", "min(survey.a, 1)", "max(survey.a, 1)", "max(1, survey.a)"):
        assert math.isnan(value_of(text, library)), text
    for text in ("survey.w != 'red'", "survey.v not in ('red',)", "survey.a != 1", "not survey.p"):
        assert math.isnan(value_of(text, library)), text
    assert value_of("survey.p and survey.a > 1", library, a=0.0) == 0.0
    assert value_of("survey.p or survey.a > 1", library, a=2.0) == 1.0
    assert value_of("survey.a < survey.b < survey.c", library, b=2.0, c=1.0) == 0.0
    assert value_of("survey.p if survey.q else survey.p", library, p=True) == 1.0


def test_a_choice_takes_the_missing_of_its_branch_alone(library: Library) -> None:
    text = "survey.a if survey.p else survey.b"
    assert value_of(text, library, p=True, a=2.0) == 2.0
    assert math.isnan(value_of(text, library, p=False, a=2.0))
    values = {"survey.p": 0.0, "survey.a": 2.0}
    tree = tree_of(text, library, Members(names=()))
    assert by_interpreter(tree, values, library).missing == {"survey.b"}
