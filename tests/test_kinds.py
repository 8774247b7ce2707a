"""Kinds: the table is whole, and dimensions read as words."""

import dataclasses
import math

import pytest

from ruleset.kinds import KINDS, PLAIN, Dims, Kind, dims_in_words, kind_for

NAMES = [
    "angle", "area", "areal mass", "count", "date", "density", "duration", "force", "inertia",
    "length", "line load", "load per mass", "mass", "moment", "number", "section modulus", "slope",
    "stiffness", "stress", "volume", "word", "yes/no",
]  # fmt: skip


def test_kinds_are_the_ones_that_books_may_name() -> None:
    assert sorted(KINDS) == NAMES


@pytest.mark.parametrize("kind", KINDS.values(), ids=KINDS)
def test_kind_stands_under_its_own_name(kind: Kind) -> None:
    assert KINDS[kind.name] is kind
    assert len(kind.dims) == 5


@pytest.mark.parametrize("kind", KINDS.values(), ids=KINDS)
def test_step_is_well_past_the_hair(kind: Kind) -> None:
    assert (kind.hair is None) == (kind.step is None)
    if kind.hair is not None and kind.step is not None:
        assert 0.0 < 100.0 * kind.hair < kind.step


def test_table_and_kind_cannot_be_changed() -> None:
    with pytest.raises(TypeError):
        KINDS["length"] = KINDS["mass"]  # type: ignore[index]
    with pytest.raises(dataclasses.FrozenInstanceError):
        KINDS["length"].hair = 1.0  # type: ignore[misc]


def test_steps_are_the_grid_of_the_trade() -> None:
    assert KINDS["length"].step == 25.4 / 16
    assert KINDS["area"].step == 25.4 * 25.4
    assert KINDS["angle"].step == math.radians(0.1)
    assert KINDS["date"].step == 24 * 60 * 60


@pytest.mark.parametrize(
    ("dims", "name"),
    [
        (PLAIN, "number"),
        ((3, 0, 0, 0, 0), "volume"),
        ((0, 0, 0, 0, 1), "duration"),
        ((-2, 0, 1, 0, 0), "stress"),
        ((0, -1, 1, 0, 0), "load per mass"),
    ],
)
def test_default_kind_of_a_dimension(dims: Dims, name: str) -> None:
    assert kind_for(dims) is KINDS[name]


def test_dimension_without_a_kind() -> None:
    assert kind_for((0, 2, 0, 0, 0)) is None


@pytest.mark.parametrize(
    ("dims", "words"),
    [
        (PLAIN, "a plain number"),
        ((1, 0, 0, 0, 0), "length"),
        ((2, 0, 0, 0, 0), "area"),
        ((4, 0, 0, 0, 0), "length^4"),
        ((-1, 0, 1, 0, 0), "force per length"),
        ((-2, 0, 1, 0, 0), "force per area"),
        ((-3, 1, 0, 0, 0), "mass per volume"),
        ((1, 0, 1, 0, 0), "force times length"),
        ((-1, 0, 0, 0, 0), "a plain number per length"),
        ((0, 0, 1, -1, -2), "force per angle per time^2"),
    ],
)
def test_dimension_in_words(dims: Dims, words: str) -> None:
    assert dims_in_words(dims) == words
