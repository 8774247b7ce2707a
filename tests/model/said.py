"""From the tool's names to the model's values, and back."""

from collections.abc import Mapping

from .draw import Drawn
from .glass import Answer, Answers
from .names import (
    FACTS,
    FACTS_AGAIN,
    GROUPS,
    MIRRORED,
    OWN_WORKINGS,
    PARTS,
    ROW_FIELDS,
    ROWS,
    SORT_WORKINGS,
    WALLS,
    of_hand,
)

YES_NO = {"yes": 1.0, "no": 0.0}


def fact_values(drawn: Drawn, words: Mapping[str, float]) -> dict[str, float]:
    """Return a job's facts as the tool's program takes them: names, and words by number."""
    values = {"job.grid": drawn.grid}
    for called, ours in FACTS.items():
        name = of_hand(called, drawn.w["hand"])
        word = drawn.w.get(ours)
        if word is None:
            values[name] = drawn.n[ours]
        else:
            values[name] = YES_NO[word] if word in YES_NO else words[word]
    for name, ours in ROWS.items():
        for at, row in enumerate(drawn.rows[ours], start=1):
            for key, value in zip(ROW_FIELDS[ours], row, strict=True):
                values[f"{name}[{at}].{key}"] = value
    return values


def model_of(name: str, working: str, told: Answers, drawn: Drawn) -> Answer:
    """Return the model's answer for one step of the tool's plan.

    Args:
        name: The step, such as door.holes[5].rim_to_edge.
        working: The working it is made from, such as hole.rim_to_edge; "" for a field of a row.
        told: The model's answers.
        drawn: The job.
    """
    if working in FACTS_AGAIN:
        fact = FACTS_AGAIN[working]
        return drawn.w[fact] if fact in drawn.w else drawn.n[fact]
    hand = drawn.w["hand"]
    if working in OWN_WORKINGS:
        ours = OWN_WORKINGS[working]
        return told[MIRRORED.get(ours, ours) if hand == "right" else ours]
    whole, _, field = name.rpartition(".")
    key = SORT_WORKINGS[working] if working else field
    part, _, row = whole.partition(".")
    part = dict(zip(WALLS[hand], ("near", "far"), strict=True)).get(part, part)
    group, _, at = row.rstrip("]").partition("[")
    return told[f"{PARTS[part]} {GROUPS[group]} {at} {key}" if row else f"{PARTS[part]} {key}"]
