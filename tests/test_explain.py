"""Sentences never contradict themselves, and pencilled arithmetic adds up."""

import math
import re
from collections.abc import Callable, Iterator, Mapping
from fractions import Fraction

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from ruleset.explain import Teller, Told
from ruleset.formula.answer import Answer, Answering, compared
from ruleset.kinds import KINDS
from ruleset.library import Library
from ruleset.plan import plan
from ruleset.quantity import read_quantity
from ruleset.show import Style

INCHES = Style()
MILLIMETRES = Style(units="mm", grid=Fraction(1))
STYLES = (INCHES, MILLIMETRES, Style(grid=Fraction(1, 8)), Style(units="mm", grid=Fraction(1, 2)))
OPS = (">=", "<=", ">", "<", "==", "!=")
SIZES = {  # a usual size of each kind that may be compared, internal units
    "length": 558.8,
    "area": 5.8e5,
    "mass": 36.3,
    "force": 445.0,
    "stress": 120.0,
    "angle": 0.02,
    "duration": 86400.0,
    "number": 2.0,
    "slope": 0.02,
    "count": 3.0,
}
FACTS = "\n".join(
    f"  design.{name}_{kind}: {{means: {kind}, kind: {kind}, range: [RANGE {kind}]}}"
    for kind in SIZES
    for name in ("have", "bound", "top")
)
UNITS = {
    "length": "mm",
    "area": "mm2",
    "mass": "kg",
    "force": "N",
    "stress": "MPa",
    "angle": "rad",
    "slope": "%",
    "duration": "s",
}


def ranges(text: str) -> str:
    def written(found: re.Match[str]) -> str:
        unit = UNITS.get(found[1], "")
        return f"{-(10**9)} {unit}, {10**9} {unit}".replace(" ,", ",").rstrip()

    return re.sub(r"RANGE (\w+)", written, text)


def clause(name: str, needs: str) -> str:
    return f"""
  {name}:
    title: It asks
    needs: {needs}
    level: warning
    stage: design
    why: It must be.
    says: "{{actual}}|{{limit}}|{{short}}"
    basis: {{standing: memory}}
    levers: []
    proofs: {{}}
"""


BOOK = (
    "book: small\ntitle: Comparisons\nabout: None of it means anything.\nfacts:\n"
    + ranges(FACTS)
    + "\n  design.glass: {means: glass, kind: word, words: [clear, etched]}\nclauses:"
    + "".join(
        clause(f"{kind}-{at}", f"design.have_{kind} {op} design.bound_{kind}")
        for kind in SIZES
        for at, op in enumerate(OPS)
    )
    + "".join(
        clause(f"{kind}-chain", f"design.bound_{kind} <= design.have_{kind} < design.top_{kind}")
        for kind in SIZES
    )
    + clause("word", "design.glass == 'clear'")
)


class Written:
    """A library, its plan and its cases; prints short where Hypothesis shows it."""

    def __init__(self, library: Library) -> None:
        """Plan a library without lists."""
        self.library = library
        self.plan = plan(library, ())
        self.cases = {case.clause.name: case for case in self.plan.cases}


@pytest.fixture(scope="module")
def small(library_of: Callable[..., Library]) -> Written:
    return Written(library_of(BOOK))


def teller(written: Written, values: Mapping[str, float], style: Style = INCHES) -> Teller:
    """Return what puts values into words; steps are worked out as they are asked for."""
    library, made = written.library, written.plan
    steps = {step.name: step for step in made.steps}

    def look_up(name: str) -> Answer:
        if name in steps and name not in values:
            return answering.answer(steps[name].drawn)
        limit = library.limits.get(name)
        value = limit.value if limit else values.get(name, math.nan)
        return Answer(value, frozenset((name,)) if math.isnan(value) else frozenset())

    answering = Answering(look_up, library.words, {})
    kinds = {leaf.name: leaf.kind for leaf in made.leaves.values()}
    kinds |= {limit.name: limit.kind for limit in library.limits.values()}
    kinds |= {step.name: step.kind for step in made.steps}
    return Teller(answering, kinds.get, steps, library.words, style, library.limits)


def told(
    written: Written, name: str, values: Mapping[str, float], style: Style
) -> tuple[Told, list[float]]:
    """Return a case in words, and the numbers that its sentence prints."""
    kind = KINDS[name.partition(".")[2].rpartition("-")[0]]
    said = teller(written, values, style).tell(written.cases[name])
    texts = [text.removeprefix("about ").removeprefix("About ") for text in said.says.split("|")]
    kind = KINDS["number"] if kind.name == "count" else kind
    return said, [read_quantity(text, kind).value for text in texts]


def near(kind: str) -> st.SearchStrategy[tuple[float, float]]:
    """Draw a limit and a value a little way from it, in steps small and large."""
    size = SIZES[kind]
    hair = KINDS[kind].hair or 0.0
    bounds = st.sampled_from((size, size / 3, size * 1.37, size / 7.7, -size / 3, 0.0))
    apart = st.one_of(
        st.sampled_from((0.0, 0.5 * hair, hair, 2.5 * hair, 7 * hair, 100 * hair)),
        st.floats(1e-7, 0.6).map(lambda share: share * size),
        st.sampled_from((1 / 64, 1 / 32, 1 / 16, 0.1, 0.04)).map(lambda n: n * size / 22),
    )
    signs = st.sampled_from((-1.0, 1.0))
    return st.builds(lambda bound, away, sign: (bound + sign * away, bound), bounds, apart, signs)


PAIRS = st.sampled_from(sorted(SIZES)).flatmap(
    lambda kind: st.tuples(st.just(kind), near(kind), st.sampled_from(range(len(OPS))))
)


@settings(max_examples=400)
@given(PAIRS, st.sampled_from(STYLES))
@example(("length", (558.8 - 0.1, 558.8), 0), INCHES)
@example(("length", (558.8 - 25.4 / 64, 558.8), 0), INCHES)
@example(("length", (558.8 + 0.79375, 558.8 + 0.79375 - 1e-6), 2), INCHES)
@example(("length", (559.5 - 1.2e-6, 559.5 - 2e-7), 2), MILLIMETRES)
@example(("duration", (86400.0 * 2 - 1.0, 86400.0 * 2), 0), INCHES)
def test_a_sentence_never_contradicts_itself(
    small: Written,
    drawn: tuple[str, tuple[float, float], int],
    style: Style,
) -> None:
    kind, (have, bound), op = drawn
    values = {f"design.have_{kind}": have, f"design.bound_{kind}": bound}
    said, (had, needed, short) = told(small, f"small.{kind}-{op}", values, style)
    hair = KINDS[kind].hair or 0.0
    real = compared(OPS[op], have, bound, hair)
    assert compared(OPS[op], had, needed, hair) == real, said.says
    assert math.isclose(abs(had - needed), short, rel_tol=1e-9, abs_tol=hair), said.says
    assert said.actual is not None
    assert said.limit is not None
    assert said.margin is not None
    assert (said.actual.value, said.limit.value) == (have, bound)
    assert "-0 " not in said.margin.text
    if abs(have - bound) > 2 * hair and op < 4:
        assert (said.margin.value > 0) == (real == 1.0)
        assert said.margin.text.startswith("-") == (real == 0.0)


@settings(max_examples=150)
@given(
    st.sampled_from(sorted(SIZES)).flatmap(lambda kind: st.tuples(st.just(kind), near(kind))),
    st.sampled_from((0.01, 0.3, 1.0)),
    st.sampled_from(STYLES),
)
def test_a_chain_tells_the_side_that_is_broken(
    small: Written,
    drawn: tuple[str, tuple[float, float]],
    wide: float,
    style: Style,
) -> None:
    kind, (have, bound) = drawn
    top = bound + wide * SIZES[kind]
    values = {
        f"design.have_{kind}": have,
        f"design.bound_{kind}": bound,
        f"design.top_{kind}": top,
    }
    said, (had, needed, short) = told(small, f"small.{kind}-chain", values, style)
    hair = KINDS[kind].hair or 0.0
    assert said.limit is not None
    assert math.isclose(abs(had - needed), short, rel_tol=1e-9, abs_tol=hair), said.says
    low = compared("<=", bound, have, hair)
    high = compared("<", have, top, hair)
    if not low:
        assert said.limit.value == bound
        assert had < needed
    elif not high:
        assert said.limit.value == top
        assert had >= needed
    else:
        assert said.margin is not None
        assert said.margin.value == pytest.approx(min(have - bound, top - have))


def test_words_and_what_is_not_known(small: Written) -> None:
    etched = teller(small, {"design.glass": small.library.words["etched"]})
    assert etched.tell(small.cases["small.word"]).says == "Etched|clear|"
    nothing = teller(small, {})
    assert nothing.tell(small.cases["small.word"]).says.startswith("Not known|")
    said = nothing.tell(small.cases["small.length-0"])
    assert said.says == "Not known|not known|not known"
    assert said.actual is said.limit is said.margin is None


# --- pencilled arithmetic ------------------------------------------------------------------------

WORKINGS = {
    "door.width": "survey.a - survey.b - survey.c + survey.d",
    "door.half": "(survey.a - survey.b) / 2",
    "door.nested": "survey.a - (survey.b - (survey.c - survey.d))",
    "door.less": "-survey.a + survey.b - -survey.c",
    "door.mean": "(survey.a + survey.b + survey.c) / 3",
    "door.least": "min(survey.a, survey.b + survey.c, 2 * survey.d)",
    "door.apart": "abs(survey.a - survey.b) + survey.c",
    "door.rounded": "round_to(survey.a - survey.b, survey.d)",
    "door.chosen": "survey.a - survey.b if survey.a > survey.b else survey.b",
    "door.shared": "survey.a * (survey.b / survey.c)",
    "door.far": "sqrt(survey.a ** 2 + survey.b ** 2)",
}
SUMS = (
    "book: sums\ntitle: Sums\nabout: None of it means anything.\nparts:\n"
    "  door: {means: the door, sorts: []}\nfacts:\n"
    + "".join(
        f"  survey.{name}: {{means: {name}, kind: length, range: [-99 ft, 99 ft]}}\n"
        for name in "abcd"
    )
    + "workings:\n"
    + "".join(
        f"  {name}: {{means: Sum, is: '{text}', kind: length, proofs: {{}}}}\n"
        for name, text in WORKINGS.items()
    )
)


def lines(
    written: Written, values: Mapping[str, float], style: Style = INCHES
) -> Iterator[tuple[str, str]]:
    named = {f"survey.{name}": value for name, value in values.items()}
    words = teller(written, named, style)
    for step in written.plan.steps:
        yield step.name, words.line(step)


@pytest.fixture(scope="module")
def sums(library_of: Callable[..., Library]) -> Written:
    return Written(library_of(SUMS))


def inches(text: str) -> float:
    return read_quantity(text, KINDS["length"], units="in").value


def test_the_pencilled_line_is_what_a_person_writes(sums: Written) -> None:
    values = dict(zip("abcd", map(inches, ("60", "1/4", "31", "1 1/2")), strict=True))
    said = dict(lines(sums, values))
    assert said["door.width"] == "Sum: 60 - 1/4 - 31 + 1 1/2 = 30 1/4 in"
    assert said["door.half"] == "Sum: (60 - 1/4) / 2 = 29 7/8 in"
    assert said["door.nested"] == "Sum: 60 - (1/4 - (31 - 1 1/2)) = 89 1/4 in"
    assert said["door.chosen"] == "Sum: 60 - 1/4 = 59 3/4 in"
    assert said["door.shared"] == "Sum: 60 * ((1/4) / 31) = about 1/2 in"
    assert said["door.least"] == "Sum: the least of (60, 1/4 + 31, 2 * (1 1/2)) = 3 in"


def test_what_is_missing_is_named(sums: Written) -> None:
    said = dict(lines(sums, {"a": 1524.0}))
    assert said["door.half"] == "Sum: not known without survey.b"
    said = dict(lines(sums, {"a": 1524.0, "b": 1.0, "c": 0.0}))
    assert said["door.shared"] == "Sum: undefined"


MIXED = re.compile(r"(?<![\d./])(\d+) (\d+/\d+)")
SIMPLE = re.compile(r"(?<![\d./])(\d+/\d+)(?![\d/])")


def worked(text: str, unit: float) -> float:
    """Return what a pencilled sum comes to, worked out by Python.

    Args:
        text: Sums, quotients and brackets, mixed numbers in them.
        unit: What one is, mm.
    """
    plain = MIXED.sub(r"(\1+\2)", text)
    plain = SIMPLE.sub(r"(\1)", plain)
    plain = re.sub(r"\|(.*)\|", r"abs(\1)", plain)
    return float(eval(plain, {"__builtins__": {}, "abs": abs})) * unit  # noqa: S307  # a test's own


PENCILLED = ("door.width", "door.half", "door.nested", "door.less", "door.mean", "door.apart")
SIXTEENTHS = st.integers(-2000, 2000).map(lambda n: n * 25.4 / 16)
LENGTHS = SIXTEENTHS | st.integers(-2000, 2000).map(float) | st.floats(-2000, 2000)


@settings(max_examples=60)
@given(st.tuples(LENGTHS, LENGTHS, LENGTHS, LENGTHS), st.sampled_from(STYLES))
def test_pencilled_lines_add_up(
    ran: Callable[[], None], sums: Written, drawn: tuple[float, float, float, float], style: Style
) -> None:
    values = dict(zip("abcd", drawn, strict=True))
    unit = 25.4 if style.units == "in" else 1.0
    for name, said in lines(sums, values, style):
        if name not in PENCILLED:
            continue
        ran()
        text, _, result = said.removeprefix("Sum: ").partition(" = ")
        if not result:
            continue  # the value alone: nothing to add up
        printed = read_quantity(result.removeprefix("about "), KINDS["length"]).value
        about = result.startswith("about ")
        step = unit * (float(style.grid) / 2 if about else 1e-9)
        assert abs(worked(text, unit) - printed) <= step + 1e-6, said


@pytest.mark.parametrize(
    ("units", "written", "document", "says"),
    [
        ("mm", "22 in", "A code", "558.8 mm (22 in)"),
        ("in", "22 in", "A code", "22 in"),
        ("in", "600 mm", "A code", "About 23 5/8 in (600 mm)"),
        ("mm", "600 mm", "A code", "600 mm"),
        ("mm", "22 in", "", "558.8 mm"),
    ],
)
def test_a_limit_of_a_document_is_told_as_the_document_has_it(
    units: str, written: str, document: str, says: str, library_of: Callable[..., Library]
) -> None:
    by = f"document: {document}, standing: published" if document else "standing: shop policy"
    library = library_of(
        "book: way\ntitle: Way\nabout: A book of the tests' own.\nsorts: {yard: {}}\n"
        "parts: {yard: {sorts: [yard], means: the yard}}\n"
        "facts: {design.way: {means: Way, kind: length, range: [0 in, 99 in]}}\n"
        "clauses:\n  wide:\n    title: Wide\n    for: yard\n"
        "    needs: design.way >= limit.least\n"
        f"    limits: {{least: {{is: {written}, basis: {{{by}}}}}}}\n"
        "    level: error\n    stage: design\n    why: It must be.\n"
        '    says: "{limit} is needed."\n    levers: [design.way]\n    proofs: {}\n'
        "    basis: {standing: shop policy, note: no source}\n"
    )
    way = Written(library)
    style = Style(units=units, grid=Fraction(1) if units == "mm" else Fraction(1, 16))
    said = teller(way, {"design.way": 1.0}, style).tell(way.cases["way.wide"]).says
    assert said == f"{says} is needed."
