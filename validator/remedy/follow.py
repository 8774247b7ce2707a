"""What repeats a size of the drawing, and so is written anew when the drawing changes."""

import math
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from graphlib import TopologicalSorter

from ruleset.formula.cone import leaves
from ruleset.formula.tree import Name
from ruleset.kinds import KINDS
from ruleset.plan import Plan, Step

from ..verdict import Verdict
from .levers import Follow

HAIR = 1e-6  # mm; also told apart by it: two words, which are whole numbers


@dataclass(frozen=True, slots=True, kw_only=True)
class Follower:
    """A given fact that repeats a name.

    Attributes:
        fact: The fact.
        source: The working or fact it repeats.
        agreed: Whether it agreed with it before.
    """

    fact: str
    source: str
    agreed: bool


def followers(verdict: Verdict, follows: Iterable[Follow]) -> tuple[Follower, ...]:
    """Return the facts that a job gives and that repeat something else.

    Args:
        verdict: The verdict of the job as it stands.
        follows: What may repeat what.
    """
    names = [step.name for step in verdict.plan.steps] + list(verdict.plan.leaves)
    found = {}
    for follow in follows:
        sources = [name for text in follow.sources for name in _matching(text, names)]
        for fact in (name for text in follow.facts for name in _matching(text, names)):
            if fact in verdict.job.values and fact in verdict.plan.leaves:
                one = _nearest(verdict, fact, [name for name in sources if name != fact], follow)
                if one is not None:
                    found[fact] = one
    return tuple(found.values())


def _matching(text: str, names: Iterable[str]) -> Iterator[str]:
    pattern = re.compile(re.escape(text).replace(r"\[\*\]", r"\[\d+\]"))
    return (name for name in names if pattern.fullmatch(name))


def _nearest(verdict: Verdict, fact: str, sources: list[str], follow: Follow) -> Follower | None:
    have = verdict.job.values[fact].value
    off = {name: abs(verdict.answer(name).value - have) for name in sources}
    known = [name for name, apart in off.items() if not math.isnan(apart)]
    if not known:
        return None
    source = min(known, key=lambda name: off[name])
    agreed = off[source] <= follow.within + HAIR
    if not agreed and (len(sources) > 1 or "[" in fact):
        return None  # a hole that stands by itself repeats nothing
    return Follower(fact=fact, source=source, agreed=agreed)


def with_followers(plan: Plan, sources: Mapping[str, str]) -> Plan:
    """Return a plan in which some facts are workings that repeat other names.

    Args:
        plan: The plan.
        sources: What each of the facts repeats.
    """
    if not sources:
        return plan
    steps = {step.name: step for step in plan.steps}
    for fact, source in sources.items():
        leaf = plan.leaves[fact]
        steps[fact] = Step(
            name=fact,
            means=leaf.fact.means,
            kind=leaf.kind or KINDS["number"],
            drawn=Name(source),
            built=None,
            frozen="",
            working=None,
            place=leaf.fact.place,
        )
    graph = {
        name: [one for one in leaves(step.drawn) if one in steps] for name, step in steps.items()
    }
    return replace(
        plan,
        leaves={name: leaf for name, leaf in plan.leaves.items() if name not in sources},
        steps=tuple(steps[name] for name in TopologicalSorter(graph).static_order()),
    )
