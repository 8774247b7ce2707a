"""Proposals as text, the best first, and for programs."""

from collections.abc import Iterator

from ..proposals.find import Proposal, Proposals
from ..several.jobs import enclosure
from .data import FORMAT, as_json
from .layout import Look
from .text import cautions_lines

FIRST = 3
"""Errors of a design that does not hold that are told."""
HOLDS = {
    "within tolerance": "Holds within tolerance.",
    "at size": "Holds at size; tolerances can eat what is told as tight.",
}


def propose_text(found: Proposals, look: Look) -> str:
    """Return proposals as text that ends with a line break."""
    whole = [one for one in found.found if one.holds]
    none = [one for one in found.found if not one.holds]
    said = f"{len(whole)} of {len(found.found)} arrangements with their kits hold."
    lines = [look.paint(said, "bold"), *look.wrap(found.file)]
    for number, one in enumerate(whole, start=1):
        lines += _proposal(number, one, look)
    if none:
        lines += look.heading("These do not")
    for one in none:
        lines += _none(one, look)
    for says in found.untried:
        lines += look.wrap(f"Not tried: {says}")
    cautions = dict.fromkeys(text for one in found.found for text in one.review.cautions)
    return "\n".join([*lines, *cautions_lines(cautions, look)]) + "\n"


def _name(one: Proposal) -> str:
    return f"{one.arrangement}, kit {' and '.join(one.kits)}"


def _proposal(number: int, one: Proposal, look: Look) -> list[str]:
    lines = look.heading(f"{number}. {_name(one)}")
    known = " as far as it is known" if one.review.asked else ""
    lines += look.wrap(HOLDS[one.reached].replace("Holds", f"Holds{known}", 1))
    for label, text in _details(one):
        lines += look.field(label, text, indent=2)
    return lines


def _details(one: Proposal) -> Iterator[tuple[str, str]]:
    moved = "; ".join(f"{c.means[:1].lower()}{c.means[1:]} {c.now}" for c in one.changes)
    yield "Design", f"Other than usual: {moved}." if moved else "As the shop usually builds it."
    for pane in enclosure(one.verdict, one.review).panes:
        cells = {cell.key: cell.text for cell in pane.cells}
        size = f"{cells['width']} by {cells['height']}"
        yield "Pane", f"{pane.means}: {size}, {cells['weight']}."
    spare = "; ".join(f"{title} ({text} to spare)" for title, text in one.nearest)
    yield "Nearest", f"{spare}."
    tight = [f.title for f in one.review.findings if f.outcome == "tight" and f.level != "note"]
    if tight:
        yield "Tight", f"{'; '.join(tight)}."
    look_at = [f for f in one.review.findings if f.outcome == "fails"]
    for finding in look_at:
        yield "Look", f"{finding.says} [{finding.clause}]"
    if one.review.asked:
        asked = "; ".join(f"{a.means} ({a.fact})" for a in one.review.asked)
        yield "Measure", f"Still to be known, and it may say no: {asked}."
    if one.left_out:
        yield "Left out", f"Readings that it has no place for: {', '.join(one.left_out)}."


def _none(one: Proposal, look: Look) -> list[str]:
    sure = "proved on the shop's grid" if one.proved else "none was found; there may be one"
    lines = look.wrap(f"{_name(one)}: no design holds, {sure}.")
    for single in one.failing[:FIRST]:
        lines += look.wrap(f"{single.says} [{single.clause}]", first="  - ")
    if len(one.failing) > FIRST:
        lines += look.wrap(f"and {len(one.failing) - FIRST} more.", first="  ")
    return lines


def propose_json(found: Proposals, version: str) -> str:
    """Return proposals as JSON.

    Args:
        found: The proposals.
        version: Version of the program that made them.
    """
    return as_json(
        {
            "paneproof": version,
            "format": FORMAT,
            "file": found.file,
            "proposals": [_data(one) for one in found.found],
            "untried": list(found.untried),
        }
    )


def _data(one: Proposal) -> dict[str, object]:
    return {
        "arrangement": one.arrangement,
        "kits": list(one.kits),
        "reached": one.reached,
        "proved": one.proved,
        "changes": [{"fact": c.fact, "means": c.means, "now": c.now} for c in one.changes],
        "panes": [
            {"part": pane.part, **{cell.key: cell.text for cell in pane.cells}}
            for pane in enclosure(one.verdict, one.review).panes
        ],
        "nearest": [{"title": title, "spare": text} for title, text in one.nearest],
        "failing": [{"clause": s.clause, "part": s.subject, "says": s.says} for s in one.failing],
        "asked": [a.fact for a in one.review.asked],
        "left_out": list(one.left_out),
        "job": one.text,
    }
