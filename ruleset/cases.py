"""Cases looked into: their names, how far they are on their right side, and steps beside them."""

from .book import Fact
from .formula.cone import leaves
from .formula.tree import Arith, Both, Call, Compare, Minus, Node
from .kinds import KINDS
from .library import is_chain
from .place import Place
from .plan import Case, Leaf, Step


def names_of(case: Case) -> tuple[str, ...]:
    """Return the names that a case's formulas have."""
    trees = (case.when, case.needs, case.softer)
    return tuple(name for tree in trees if tree is not None for name in leaves(tree))


def links_of(case: Case) -> tuple[Compare, ...]:
    """Return the comparisons of numbers that a case needs, all of them; none for any other case."""
    needs = case.needs
    if isinstance(needs, Compare):
        parts: tuple[Node, ...] = (needs,)
    elif isinstance(needs, Both) and is_chain(needs):
        parts = needs.parts
    else:
        return ()
    links = tuple(part for part in parts if isinstance(part, Compare) and part.hair)
    return links if len(links) == len(parts) else ()


def margins_of(case: Case) -> tuple[Node, ...]:
    """Return how far each comparison of a case is on its right side, as formulas."""
    found: list[Node] = []
    for link in links_of(case):
        if link.op in ("<=", "<"):
            found.append(Arith("-", link.right, link.left))
        elif link.op in (">=", ">"):
            found.append(Arith("-", link.left, link.right))
        else:
            found.append(Minus(Call("abs", (Arith("-", link.left, link.right),))))
    return tuple(found)


def hair_of(case: Case) -> float:
    """Return how little below zero a margin of a case still counts as none."""
    return max((link.hair for link in links_of(case)), default=0.0)


def step_of(name: str, formula: Node, place: Place) -> Step:
    """Return a number to be worked out beside a plan's own steps."""
    return Step(
        name=name,
        means=name,
        kind=KINDS["number"],
        drawn=formula,
        built=None,
        frozen="",
        working=None,
        place=place,
    )


def leaf_of(step: Step) -> Leaf:
    """Return a step as a leaf, for a plan in which its value is given."""
    fact = Fact(
        name=step.name, means=step.means, kind=step.kind, stage="", who="", place=step.place
    )
    return Leaf(name=step.name, fact=fact, kind=step.kind)


def margin_of(case: Case) -> Node | None:
    """Return how far a case is on its right side, as a formula; None where it compares nothing."""
    margins = margins_of(case)
    if len(margins) > 1:
        return Call("min", margins)
    return margins[0] if margins else None
