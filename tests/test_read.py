"""Every fact that is asked for is read: what nobody reads would let an error pass unseen."""

import pytest

from ruleset.book import braces
from ruleset.hands import shapes
from ruleset.library import Library
from ruleset.plan import plan
from validator import Rules
from validator.verdict import program_for

ELSEWHERE = {
    "survey.receptor.": "the receptor's least size is a clause of upc-2024 alone",
    "kit.hinge.adjusts": "how far the hinges take up a gap is read by the sheet of tolerances",
    "kit.hinge.least_carrier": "of a door that hangs on glass alone",
    "kit.hinge.half_plate": "of a door that hangs on a wall alone",
    "kit.bulb.free": "how far a bulb stands out is asked of sliding doors",
    "kit.sweep.": "overhang and skin of a sweep are asked of sliding doors",
    "kit.channel.stock": "how long a channel comes is read by the sheet of several jobs",
    "kit.channel.t": "a slider's kit has one range for fittings and channel, `kit.panel`",
    "order.": "the order is held against the take-off by the sheet order-check",
    "as_built.": "a hold point shows it, and the bar as set is read where the work is judged",
    "survey.left.shower": "where the water comes from is asked where a lap may let it through",
    "survey.right.shower": "as on the left",
    "survey.right.tile_outward": "nothing is fixed to that wall but the seal's stop",
    "survey.left.tile_outward": "as on the right, by the hand",
    "survey.curb.joint_under_glass": "a joint is asked about under a panel's channel",
}
"""Facts that no clause of some arrangement reads, and why that is right."""


def read_by_rules(library: Library) -> set[str]:
    """Return the facts that programs read, and those that sentences name."""
    lists = tuple(sorted((one.name, 2) for one in library.facts.values() if one.rows))
    found: set[str] = set()
    for shape in shapes(library, lists):
        program = program_for(library, plan(library, shape))
        found |= {*program.facts}
        for case in program.plan.cases:
            for name in braces(case.clause.says) + braces(case.clause.do):
                found.add(case.rename(name))
    return found


@pytest.mark.parametrize(
    "name",
    [
        "in-line slider",
        "hinged between walls",
        "hinged with panel hung on the wall",
        "hinged with panel hung on the glass",
        "walk-in screen",
    ],
)
def test_every_fact_is_read_or_it_is_said_why_not(rules: Rules, name: str) -> None:
    (one,) = (one for one in rules.arrangements() if one.name == name)
    library = rules.bound(one)
    read = read_by_rules(library)
    kinds = {fact.split(".")[1] for fact in read if fact.startswith("kit.")}
    unread = [
        fact.name
        for fact in library.facts.values()
        if fact.kind is not None
        and fact.kind.name != "text"
        and fact.name not in read
        and (fact.source != "kit" or fact.path.split(".")[0] in kinds)
    ]
    assert len(read) > 100
    assert [one for one in unread if not one.startswith(tuple(ELSEWHERE))] == []
