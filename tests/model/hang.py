"""Panel and door hung in the opening, and how far the door can go."""

import math
from dataclasses import dataclass

from .draw import Drawn, Row
from .shape import Door, Opening, against, hung, opening

HAIR = 1e-6  # mm; what is at a limit exactly is within it
STOPS = ("its handle", "the guide", "its wall", "the open stop")


@dataclass(frozen=True, slots=True, kw_only=True)
class Hang:
    """Panel and door in the opening.

    Attributes:
        opening: The opening.
        edge: x of the panel's free edge.
        bar: Height of the bar's centre.
        door: The door.
        axle: Height of the axles with the eccentrics in their middle.
        shut: Leading corner's x of the shut door.
        limits: Leading corner's x that each thing lets the open door go to.
    """

    opening: Opening
    edge: float
    bar: float
    axle: float
    door: Door
    shut: float
    limits: dict[str, float]

    @property
    def open(self) -> float:
        return max(self.limits.values())

    @property
    def stopped_by(self) -> str:
        """What stops the opening door; of two at once the one that a hand notices first."""
        return next(name for name in STOPS if self.open - self.limits.get(name, -math.inf) < HAIR)


def to_grid(size: float, grid: float, up_from: float = 0.5) -> float:
    """Return a size as it is cut: up from a half step, or from another share; no grid leaves it."""
    return math.floor(size / grid + up_from + 1e-9) * grid if grid else size


def hang(job: Drawn, split: float, grid: float, drawn_on: float = 0.0) -> Hang:
    """Return the panel set and the door hung for a place of the split.

    Args:
        job: The job.
        split: Where the panel is to end, from its wall's plumb line, mm.
        grid: What widths are cut to, mm; 0 for any.
        drawn_on: Width of the door that the handle's holes are drawn on, mm; 0 for the one hung.
    """
    n = job.n
    edge = n["wall_gap"] + to_grid(split - n["wall_gap"], grid)
    top = n["sill_lift"] + to_grid(n["height"] - n["sill_lift"], job.grid)
    hole = opening(job, edge)
    bar = top - n["drop"]
    axle = bar + n["bar_diameter"] / 2 + n["tread"]
    high = to_grid(axle + n["axle_to_top"] - n["floor_gap"], job.grid)
    bay = hole.plumb_right - hole.plumb_left
    wide = to_grid(bay - n["strike_gap"] - edge + n["overlap"], grid)
    turn = math.atan2(-n["lean_strike"], n["read_height"]) if job.w["tilted"] == "yes" else 0.0
    door = hung(wide, high, turn, (n["inset"], high - n["axle_to_top"]), axle + n["set_at"])
    shut = against(door, hole.right, n["strike_gap"])
    panel = hole.plumb_left + edge
    return Hang(
        opening=hole,
        edge=panel,
        bar=bar,
        axle=axle,
        door=door,
        shut=shut,
        limits=_limits(job, hole, door, (panel, bar), drawn_on or wide),
    )


def _limits(
    job: Drawn, hole: Opening, door: Door, at: tuple[float, float], drawn_on: float
) -> dict[str, float]:
    n, (panel, bar) = job.n, at
    found = {
        "the guide": panel + n["guide_front"] + n["capture"],
        "its wall": hole.plumb_left + n["edge_room"] - min(x for x, _ in door.corners(0.0)),
        "the open stop": door.slid(
            n["inset"],
            door.high - n["axle_to_top"],
            hole.left.off(bar) + n["end_reach"] + n["stop_length"] + n["flange"],
        ),
    }
    if not passes(job):
        found["its handle"] = handle_stop(job, door, panel, drawn_on)
    return found


def handle_stop(job: Drawn, door: Door, panel: float, drawn_on: float) -> float:
    """Return where the leading corner stands with the handle as near the panel as it may come."""
    back = door.wide - reach(job, drawn_on)
    heights = (job.n["handle_height"], handle_top(job, drawn_on))
    return max(door.slid(back, v, panel + job.n["handle_clear"]) for v in heights)


def above(job: Drawn, wide: float) -> list[Row]:
    """Return the further holes that a pull's second fixing would have: over the handle's own."""
    n = job.n
    return [
        row
        for row in job.rows["door_more"]
        if abs(row[0] - (wide - n["handle_setback"])) <= n["second_beside"] + HAIR
        and n["second_over"] - HAIR <= row[1] - n["handle_height"] <= n["second_reach"] + HAIR
    ]


def level(job: Drawn, wide: float) -> list[Row]:
    """Return the further holes that a towel bar's second fixing would have: behind the handle's."""
    n = job.n
    return [
        row
        for row in job.rows["door_more"]
        if abs(row[1] - n["handle_height"]) <= n["second_beside"] + HAIR
        and (wide - n["handle_setback"]) - row[0] >= n["second_over"] - HAIR
    ]


def handle_top(job: Drawn, wide: float) -> float:
    """Return the height of the handle's highest hole above the foot of the door."""
    seconds = [row[1] for row in above(job, wide)]
    return max(job.n["handle_height"], *seconds) if seconds else job.n["handle_height"]


def far_hole(job: Drawn, wide: float) -> float:
    """Return how far behind the strike edge the far hole of a towel bar is; 0 without one.

    A hole there counts under whatever name the handle goes: what is mounted in it meets the panel.
    """
    return max((wide - row[0] for row in level(job, wide)), default=0.0)


def reach(job: Drawn, wide: float) -> float:
    """Return how far behind the strike edge the handle goes on the panel's side."""
    return max(job.n["handle_setback"], far_hole(job, wide)) + job.n["handle_half"]


def passes(job: Drawn) -> bool:
    """Tell whether the handle goes by the panel with the margin to spare."""
    free = job.n["panel_face"] + job.n["door_face"] - job.n["pass_margin"]
    return job.n["handle_stands_off"] <= free + HAIR
