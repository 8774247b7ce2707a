"""What the formula language takes, what it refuses, and that nothing else can come of a text."""

import contextlib
from collections.abc import Callable

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from ruleset.errors import FormulaError
from ruleset.formula.grammar import DEEPEST, LONGEST, parse
from ruleset.formula.tree import Among, Arith, Both, Compare, Gather, Name, Not, Number, Word
from ruleset.place import Place

PLACE = Place(file="book.yaml", line=7, column=9)

REFUSED = {
    "": "empty",
    "   ": "empty",
    "a +": "not complete",
    "a b": "not complete",
    "(a": "not complete",
    "'a": "not complete",
    "yield a": "not complete",
    "import os": "not complete",
    "a = b": "not complete",
    "1if a else b": "not complete",
    "x.real()": "plain name",
    "a.b().c": "words joined by dots",
    "'a'.upper": "words joined by dots",
    "(1).real": "words joined by dots",
    "(a + b).c": "words joined by dots",
    "a[0]": "words joined by dots",
    "a[-1]": "words joined by dots",
    "a[b]": "words joined by dots",
    "a[1:2]": "words joined by dots",
    "a[True]": "words joined by dots",
    "a['b']": "words joined by dots",
    "a.__class__": "underscore",
    "__import__": "underscore",
    "_a": "underscore",
    "a._b": "underscore",
    "getattr(a, 'b')(c)": "plain name",
    "lambda: 1": "function of its own",
    "[a, b]": "a list",
    "[x for x in a]": "a list",
    "(a, b)": "a list",
    "{a}": "a set",
    "{a: b}": "a table",
    "(x for x in a)": "a group outside",
    "abs(x for x in a)": "a group outside",
    "{x: 1 for x in a}": "DictComp",
    "(a := 1)": "assignment",
    "f'{a}'": "filled-in",
    "await a": "await",
    "min(*a)": "in order",
    "min(a, key=b)": "in order",
    "min(**a)": "in order",
    "min(x for x in a if x)": "no condition",
    "min(x for x, y in a)": "no condition",
    "min(x for x in a for y in b)": "one group",
    "min(x for x in a + b)": "words joined by dots",
    "sum(x async for x in a)": "no condition",
    "a // b": "joined by",
    "a % b": "joined by",
    "a @ b": "joined by",
    "a | b": "joined by",
    "a << b": "joined by",
    "~a": "Only minus",
    "+a": "Only minus",
    "a is b": "compared by",
    "a < b in ('c',)": "a list",
    "a in b": "list of quoted words",
    "a in 'bc'": "list of quoted words",
    "a in ('b', 1)": "quoted words only",
    "a in ()": "is empty",
    "a ** 1": "no other",
    "a ** 5": "no other",
    "a ** 2.0": "no other",
    "a ** -2": "no other",
    "a ** b": "no other",
    "a ** True": "no other",
    "True": "no plain number",
    "None": "no plain number",
    "...": "no plain number",
    "1j": "no plain number",
    "b'a'": "no plain number",
    "1e400": "too large",
    "9" * 400: "too large",
    "9" * LONGEST: "too large",
    "é": "ASCII",
    "a \u00d7 b": "ASCII",
    "\uff41": "ASCII",
    "a\u00a0+ b": "ASCII",
    "\\": "backslash",
    r"'\'' == é": "backslash",
    "a # b\n+ c": "remarks",
    "a" * (LONGEST + 1): "1001 characters",
    "-" * (DEEPEST + 1) + "a": "levels",
    " + ".join("a" * (DEEPEST + 3)): "levels",
    "(" * 300 + "a" + ")" * 300: "",
    "\x00": "",
    "'\ud800' == a": "",
}


@pytest.mark.parametrize("text", REFUSED, ids=lambda text: ascii(text)[:30])
def test_what_is_not_in_the_language_is_refused(text: str) -> None:
    with pytest.raises(FormulaError) as refused:
        parse(text, PLACE)
    (fault,) = refused.value.faults
    assert REFUSED[text] in fault.says
    assert fault.says.endswith(".")
    assert fault.place.file == "book.yaml"
    assert fault.place.line == 7
    assert 9 <= fault.place.column <= 9 + len(text)


def test_the_column_is_where_the_fault_is() -> None:
    with pytest.raises(FormulaError) as refused:
        parse("  a + b % c", PLACE)
    assert refused.value.faults[0].place.column == 9 + 6
    with pytest.raises(FormulaError) as refused:
        parse("a +\n  b.c \u00d7 2", PLACE)
    assert refused.value.faults[0].place.column == 9 + 10


def test_what_is_in_the_language_is_read() -> None:
    a, b, c = Name("a"), Name("b"), Name("c")
    assert parse("a.b[1].c", PLACE) == Name("a.b[1].c")
    assert parse("a +\n b", PLACE) == Arith("+", a, b)
    assert parse("a < b <= c", PLACE) == Both((Compare("<", a, b), Compare("<=", b, c)))
    assert parse("a in ('x', 'é # ü')", PLACE) == Among(a, ("x", "é # ü"))
    assert parse("a not in ['x']", PLACE) == Not(Among(a, ("x",)))
    assert parse("a == 'ö'", PLACE) == Compare("==", a, Word("ö"))
    assert parse("count(a.b)", PLACE) == Gather("count", "a.b", None)
    assert parse("max(a.x + c for a in b.c)", PLACE) == Gather(
        "max", "b.c", Arith("+", Name("b.c[*].x"), c)
    )
    assert parse("2 * pi", PLACE) == Arith("*", Number(2.0), Number(3.141592653589793))


def test_depth_and_length_are_allowed_up_to_their_limit() -> None:
    assert parse("a" * LONGEST, PLACE) == Name("a" * LONGEST)
    assert parse("(" * 150 + "a" + ")" * 150, PLACE) == Name("a")  # brackets alone are no level
    assert parse("-" * DEEPEST + "a", PLACE) != Name("a")


BITS = (
    "a a.b door.holes[1].x 1 0.5 1e9 'w' ( ) [ ] { } , : := . + - * / ** // % @ | & ~ < <= == != "
    "in not and or if else for lambda min sum( any( all( f' \" \\ # \n \t \r \f \x00 é _ __ is "
    "await yield async def return * ** ... -> ; 0x1 1_0 1j None True"
)


@settings(max_examples=300)
@given(
    st.one_of(
        st.text(max_size=60), st.lists(st.sampled_from(BITS.split(" ")), max_size=40).map(" ".join)
    )
)
@example("a" + ".b" * 499)
@example("a" + "[1]" * 333)
@example("not " * 249 + "a")
@example("- " * 499 + "a")
@example("a if b else " * 83 + "a")
@example("(" * 499)
@example("[" * 1000)
@example("a<" * 499 + "a")
@example("a+" * 499 + "a")
@example("a**2" + "**2" * 300)
@example("abs(" * 199 + "a" + ")" * 199)
@example("1" * 1000)
@example("0x" + "f" * 900)
@example("'" * 1000)
@example("f'{f'{a}'}'")
def test_any_text_is_read_or_refused_and_quickly(
    calls: Callable[[Callable[[], object]], int], text: str
) -> None:
    def read() -> None:
        with contextlib.suppress(FormulaError):
            parse(text, PLACE)

    assert calls(read) < 200 + 20 * len(text)
