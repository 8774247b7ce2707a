"""Which kind a value prints as: a share of a length is a length, a ratio of two is none."""

import pytest

from ruleset.formula.grammar import parse
from ruleset.formula.kind_of import kind_of
from ruleset.kinds import KINDS, Kind
from ruleset.place import Place

DECLARED: dict[str, Kind] = {
    "width": KINDS["length"],
    "height": KINDS["length"],
    "mass": KINDS["mass"],
    "many": KINDS["count"],
    "share": KINDS["number"],
}


@pytest.mark.parametrize(
    ("formula", "kind"),
    [
        ("width + height", "length"),
        ("0 + width", "length"),
        ("width - 0", "length"),
        ("2 * width", "length"),
        ("width * 2", "length"),
        ("width / 2", "length"),
        ("share * width", "length"),
        ("width * share", "length"),
        ("width / share", "length"),
        ("2 / width", None),
        ("share / width", None),
        ("width * height", None),
        ("mass * width", None),
        ("width / height", None),
        ("-width", "length"),
        ("width ** 2", None),
        ("max(0, width)", "length"),
        ("min(width, height) / 2", "length"),
        ("round_to(width, height)", "length"),
        ("sqrt(share)", None),
        ("width if many > 1 else 0", "length"),
        ("0 if many > 1 else width", "length"),
        ("width < height", "length"),
        ("2 * 3", None),
        ("share", "number"),
    ],
)
def test_the_kind_that_a_value_prints_as(formula: str, kind: str | None) -> None:
    found = kind_of(parse(formula, Place(file="f")), DECLARED.get)
    assert (None if found is None else found.name) == kind
