"""A formula with one thing changed, for each thing whose change must be noticed."""

from collections.abc import Iterator

from .formula.tree import Among, Compare, Either, Node, Rewrite, fold

STRICT = {">=": ">", "<=": "<", ">": ">=", "<": "<="}


class _Mutant(Rewrite):
    """The reading that changes the n-th place of a tree that can be changed."""

    def __init__(self, target: int) -> None:
        self.target = target
        self.seen = 0
        self.change = ""
        self._counts: dict[str, int] = {}

    def _here(self, change: str) -> bool:
        self.seen += 1
        if self.seen - 1 == self.target:
            self.change = change
            return True
        return False

    def _number(self, what: str) -> int:
        self._counts[what] = self._counts.get(what, 0) + 1
        return self._counts[what]

    def compare(self, node: Compare, left: Node, right: Node) -> Node:
        op = node.op
        if op in STRICT:
            at = self._number("comparison")
            if self._here(f"comparison {at} {'strict' if '=' in op else 'not strict'}"):
                op = STRICT[op]
        return Compare(op, left, right, node.hair, node.at)

    def among(self, node: Among, item: Node) -> Node:
        kept = tuple(word for word in node.words if not self._here(f"word {word} dropped"))
        return Among(item, kept, node.at)

    def either(self, node: Either, parts: tuple[Node, ...]) -> Node:
        kept = []
        for part in parts:
            at = self._number("operand")
            if not self._here(f"operand {at} dropped"):
                kept.append(part)
        return Either(tuple(kept), node.at)


def mutants(tree: Node) -> Iterator[tuple[str, Node]]:
    """Yield each change of a formula that a proof must notice: what it is, and the formula."""
    at = 0
    while True:
        mutant = _Mutant(at)
        node = fold(tree, mutant)
        if not mutant.change:
            return
        yield mutant.change, node
        at += 1
