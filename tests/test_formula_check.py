"""Names and dimensions are right before any job is seen."""

import math
from collections.abc import Iterable, Mapping

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ruleset.errors import FormulaError
from ruleset.formula.check import Function, Type, Typed, check, type_of_kind
from ruleset.formula.grammar import parse
from ruleset.formula.tree import Both, Choose, Compare, Either, Truth
from ruleset.kinds import KINDS, Dims
from ruleset.place import Place

PLACE = Place(file="book.yaml", line=3, column=5)
NAMES: Mapping[str, Type] = {
    "door.width": type_of_kind(KINDS["length"]),
    "door.height": type_of_kind(KINDS["length"]),
    "door.mass": type_of_kind(KINDS["mass"]),
    "door.lean": type_of_kind(KINDS["angle"]),
    "door.fall": type_of_kind(KINDS["slope"]),
    "door.load": type_of_kind(KINDS["line load"]),
    "door.tilted": type_of_kind(KINDS["yes/no"]),
    "door.glass": type_of_kind(KINDS["word"], ("toughened", "laminated")),
    "door.note": type_of_kind(KINDS["word"]),
    "holes[*].x": type_of_kind(KINDS["length"]),
    "holes[*].round": type_of_kind(KINDS["yes/no"]),
    "limit.gravity": type_of_kind(KINDS["load per mass"]),
}
FUNCTIONS = {
    "sag": Function(
        name="sag",
        takes=(KINDS["length"], KINDS["number"]),
        gives=KINDS["length"],
        call=max,
        means="a sag",
        source="none",
    ),
    "ready": Function(
        name="ready",
        takes=(),
        gives=KINDS["yes/no"],
        call=lambda: 1.0,
        means="readiness",
        source="none",
    ),
}


class Scope:
    """Names of the table above, and one group."""

    def type_of(self, name: str) -> Type | None:
        return NAMES.get(name)

    def lacking(self, name: str) -> str:  # noqa: ARG002  # every scope gets it
        return ""

    def is_group(self, name: str) -> bool:
        return name == "holes"

    def names(self) -> Iterable[str]:
        return NAMES


def typed(text: str) -> Typed:
    return check(parse(text, PLACE), Scope(), FUNCTIONS, PLACE)


def refusal(text: str) -> tuple[str, int]:
    with pytest.raises(FormulaError) as refused:
        typed(text)
    (fault,) = refused.value.faults
    assert fault.place.line == 3
    return fault.says, fault.place.column - 5


GIVES = {
    "1": "number",
    "pi / 2": "number",
    "door.width": "length",
    "door.width + door.height": "length",
    "0 + door.width - 0": "length",
    "-door.width / 2": "length",
    "door.width * door.height": "area",
    "door.width ** 4": "inertia",
    "door.mass / door.width ** 2": "areal mass",
    "door.mass * limit.gravity": "force",
    "door.mass * limit.gravity / door.width": "line load",
    "door.width / door.height": "number",
    "min(door.width, door.height, 0)": "length",
    "max(0, 1)": "number",
    "abs(door.mass)": "mass",
    "sqrt(door.width * door.height)": "length",
    "sqrt(door.width ** 4)": "area",
    "round_to(door.width, door.height)": "length",
    "round_up(door.fall, 1)": "number",
    "round_down(door.width, door.height)": "length",
    "sin(door.lean)": "number",
    "cos(door.lean)": "number",
    "tan(door.lean)": "number",
    "atan(door.fall)": "angle",
    "atan(0)": "angle",
    "door.width if door.tilted else door.height": "length",
    "door.width if door.tilted else 0": "length",
    "door.glass if door.tilted else door.note": "word",
    "sum(hole.x for hole in holes)": "length",
    "min(hole.x * hole.x for hole in holes)": "area",
    "count(holes)": "number",
    "sag(door.width, 2)": "length",
    "sag(0, 0)": "length",
    "ready()": "yes/no",
    "door.width > 0": "yes/no",
    "0 < door.width <= door.height": "yes/no",
    "door.tilted": "yes/no",
    "not door.tilted or door.width < door.height": "yes/no",
    "door.glass == 'toughened'": "yes/no",
    "door.glass in ('toughened', 'laminated')": "yes/no",
    "door.note == 'anything'": "yes/no",
    "door.glass != door.note": "yes/no",
    "door.tilted if door.width > 0 else not door.tilted": "yes/no",
    "any(hole.x > door.width for hole in holes)": "yes/no",
    "all(hole.round for hole in holes)": "yes/no",
}


@pytest.mark.parametrize("text", GIVES)
def test_what_a_formula_gives(text: str) -> None:
    got, kind = typed(text).type, KINDS[GIVES[text]]
    assert got.of == (kind.name if kind.name in ("word", "yes/no") else "quantity")
    if got.of == "quantity":
        assert got.dims == kind.dims


def test_a_lone_zero_fits_any_dimension() -> None:
    assert typed("0").type.dims is None
    assert typed("min(0, 0)").type.dims is None


def test_a_length_and_a_mass_do_not_go_together() -> None:
    says, at = refusal("2 * door.width + door.mass")
    assert says == ("Length and mass do not go together here; both sides must be of one dimension.")
    assert at == 0
    says, at = refusal("door.tilted and door.width < door.mass")
    assert at == len("door.tilted and ")


def test_a_number_with_a_dimension_is_a_named_limit() -> None:
    says, _ = refusal("door.width + 1")
    assert says.endswith("A number with a dimension is a named limit.")


def test_a_wrong_name_is_told_with_its_column_and_the_nearest_known() -> None:
    says, at = refusal("0 < door.widht")
    assert says == "There is no door.widht here. Did you mean 'door.width'?"
    assert at == len("0 < ")
    says, at = refusal("0 + sqr(door.width)")
    assert says == "There is no function sqr. Did you mean 'sqrt'?"
    says, at = refusal("sum(h.x for h in holse)")
    assert "There is no group holse here" in says


REFUSED = {
    "door.width > door.mass": "do not go together",
    "door.load > 0": "are not compared in a book",
    "door.width ** 3 > 0": "are not compared in a book",
    "min(door.width, door.mass)": "do not go together",
    "min(door.width)": "2 or more",
    "max()": "2 or more",
    "abs(door.width, door.width)": "takes 1 values; here are 2",
    "abs()": "takes 1 values; here are 0",
    "sqrt(door.width)": "has no dimension in use",
    "sqrt(door.width, door.width)": "takes 1 values",
    "round_to(door.width)": "takes 2 values",
    "round_to(door.width, door.mass)": "do not go together",
    "sin(door.width)": "sin takes angle",
    "sin(1)": "sin takes angle",
    "tan()": "takes 1 values",
    "atan(door.lean)": "atan takes a plain number",
    "sag(door.width)": "sag takes 2 values; here are 1",
    "sag(door.mass, 1)": "Value 1 of sag is mass; length is needed",
    "sag(door.glass, 1)": "Arithmetic takes quantities",
    "door.width if door.mass else door.width": "A yes/no is needed",
    "door.width if door.tilted else door.mass": "do not go together",
    "door.width if door.tilted else door.glass": "this is a word",
    "door.width if door.tilted else door.tilted": "this is a yes/no",
    "door.tilted == door.tilted": "A yes/no is not compared",
    "door.tilted + 1": "this is a yes/no",
    "door.glass + 'a'": "this is a word",
    "-door.glass": "this is a word",
    "door.glass ** 2": "this is a word",
    "door.glass < 'toughened'": "by == or != only",
    "door.glass == 'tuoghened'": "Did you mean 'toughened'?",
    "'toughend' == door.glass": "Did you mean 'toughened'?",
    "door.glass in ('toughened', 'wood')": "'wood' is none of its words",
    "door.glass == door.width": "this is a word",
    "door.width in ('toughened',)": "Before `in` stands a word",
    "not door.width": "A yes/no is needed",
    "door.tilted and 1": "A yes/no is needed",
    "door.tilted or door.glass": "A yes/no is needed",
    "any(hole.x for hole in holes)": "A yes/no is needed",
    "all(door.width)": "no function all",
    "sum(hole.round for hole in holes)": "this is a yes/no",
    "count(hole.x for hole in holes)": "takes the group alone",
    "count(door.width)": "There is no group door.width",
    "count(holes, holes)": "There is no",
    "print(door.width)": "There is no function print",
    "eval('1')": "There is no function eval",
}


@pytest.mark.parametrize("text", REFUSED)
def test_what_does_not_fit_is_refused(text: str) -> None:
    says, at = refusal(text)
    assert REFUSED[text] in says
    assert 0 <= at < len(text)


def test_comparisons_get_the_hair_of_their_kind() -> None:
    length = typed("door.width >= door.height").node
    plain = typed("door.fall >= 1").node
    word = typed("door.glass == door.note").node
    assert isinstance(length, Compare)
    assert isinstance(plain, Compare)
    assert isinstance(word, Compare)
    assert (length.hair, plain.hair, word.hair) == (1e-6, 1e-9, 0.0)


def test_a_yes_no_value_is_asked_wherever_it_stands() -> None:
    assert isinstance(typed("door.tilted").node, Truth)
    assert isinstance(typed("ready()").node, Truth)
    either = typed("door.tilted or ready()").node
    assert isinstance(either, Either)
    assert all(isinstance(part, Truth) for part in either.parts)
    chosen = typed("door.width if door.tilted else 0").node
    assert isinstance(chosen, Choose)
    assert isinstance(chosen.test, Truth)
    both = typed("door.tilted if door.width > 0 else ready()").node
    assert isinstance(both, Either)
    assert all(isinstance(part, Both) for part in both.parts)


BASES: Mapping[Dims, str] = {
    (1, 0, 0, 0, 0): "door.width",
    (0, 1, 0, 0, 0): "door.mass",
    (0, 0, 0, 1, 0): "door.lean",
    (-1, 0, 1, 0, 0): "door.load",
    (0, 0, 0, 0, 0): "door.fall",
}


def times(one: Dims, other: Dims, sign: int = 1) -> Dims:
    a, b, c, d, e = (x + sign * y for x, y in zip(one, other, strict=True))
    return (a, b, c, d, e)


@st.composite
def well_typed(draw: st.DrawFn) -> tuple[str, Dims]:
    """Draw a formula and the dimension that its steps were put together to have."""
    text, dims = draw(st.sampled_from([(name, dims) for dims, name in BASES.items()]))
    for _ in range(draw(st.integers(0, 6))):
        other = draw(st.sampled_from(list(BASES)))
        match draw(st.integers(0, 7)):
            case 0:
                text, dims = f"({text} * {BASES[other]})", times(dims, other)
            case 1:
                text, dims = f"({text} / {BASES[other]})", times(dims, other, -1)
            case 2:
                text = f"({text} - {draw(st.sampled_from(['0', text]))})"
            case 3:
                text = f"min(0, {text}, {text} / 2)"
            case 4:
                text = f"sqrt(({text}) ** 2)"
            case 5:
                text, dims = f"(({text}) ** 2)", times(dims, dims)
            case 6:
                text = f"({text} if door.tilted else -{text})"
            case _:
                text = f"round_to(abs({text}), {text})"
        if len(text) > 300:
            break
    return text, dims


@settings(max_examples=150)
@given(well_typed())
def test_well_typed_trees_have_the_dimension_they_were_built_with(made: tuple[str, Dims]) -> None:
    text, dims = made
    assert typed(text).type.dims == dims


@settings(max_examples=100)
@given(well_typed(), well_typed())
def test_a_sum_is_refused_exactly_when_dimensions_differ(
    one: tuple[str, Dims], other: tuple[str, Dims]
) -> None:
    text = f"{one[0]} + {other[0]}"
    if one[1] == other[1]:
        assert typed(text).type.dims == one[1]
    else:
        assert "do not go together" in refusal(text)[0]


def test_pi_is_the_only_constant() -> None:
    node = typed("pi").node
    assert getattr(node, "value", None) == math.pi
    assert "There is no e here" in refusal("e")[0]
