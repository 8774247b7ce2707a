"""Which kits, or kits that go together, have all that an arrangement needs."""

import itertools
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from ruleset.arrangement import Arrangement
from ruleset.hands import shapes
from ruleset.library import Library
from ruleset.plan import plan

from ..books import Rules
from ..kit import Kit, around, find_kit, kits_in
from ..verdict import program_for
from .wishes import Survey

TOGETHER = 3
"""Kits that may go together."""


def kit_choices(
    survey: Survey, rules: Rules, arrangement: Arrangement, folders: Sequence[Path]
) -> tuple[tuple[str, ...], ...]:
    """Return the kits that are tried for an arrangement: those that are wished, or all that fit.

    Args:
        survey: The survey; kits are looked for in kits/ beside it and beside its folder.
        rules: The rules.
        arrangement: What would be built.
        folders: Further folders of kits.

    Raises:
        RulesetError: A kit that is wished is not there, or one cannot be read.
    """
    looked = (*(folder / "kits" for folder in around(survey.path.parent)), *folders)
    wished = dict.fromkeys(name for row in survey.kits for name in row)
    read: dict[str, Kit] = {
        name: find_kit(name, looked, rules.library, survey.node.place, rules.kits)
        for name in wished or kits_in(looked)
    }
    needed = _kinds(rules.bound(arrangement))
    mostly = {n: one for n, one in read.items() if 2 * len(one.kinds & needed) >= len(one.kinds)}
    fits = tuple(_choices({name: kit.kinds & needed for name, kit in mostly.items()}))
    rows = {frozenset(row) for row in survey.kits}
    return tuple(one for one in fits if not rows or frozenset(one) in rows)


def _kinds(library: Library) -> frozenset[str]:
    """Return the kinds of hardware that an arrangement asks facts of."""
    lists = tuple((fact.name, 0) for fact in library.facts.values() if fact.rows)
    asked = program_for(library, plan(library, shapes(library, lists)[0])).facts
    return frozenset(
        name.split(".")[1]
        for name in asked
        if name.startswith("kit.") and name.count(".") > 1 and library.facts[name].absent is None
    )


def _choices(kinds: Mapping[str, frozenset[str]]) -> Iterator[tuple[str, ...]]:
    """Yield kits that together have every kind that any of them has, and none of it twice."""
    whole = frozenset[str]().union(*kinds.values())
    for many in range(1, TOGETHER + 1):
        for names in itertools.combinations(sorted(kinds), many):
            given = [kinds[name] for name in names]
            every = frozenset[str]().union(*given)
            if all(given) and every == whole and sum(map(len, given)) == len(whole):
                yield names
