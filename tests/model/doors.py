"""The door shut and open: laps, gaps, stops, seals, and the way in."""

import math

from .draw import Drawn
from .glass import Answers
from .hang import (
    Hang,
    above,
    far_hole,
    handle_stop,
    handle_top,
    hang,
    level,
    passes,
    reach,
    to_grid,
)
from .shape import best, least_on_travel, narrowest, under, widest


def doors(job: Drawn, made: Hang, told: Answers) -> Answers:
    """Return what can be told of the hung door: mm, rad and words."""
    turned = _turned(job, made)
    return {
        **_sizes(job, made),
        **turned,
        **_gaps(job, made, turned),
        **_runs(job, made),
        **_second(job, made.door.wide),
        "door finger room": float(told["ceiling over door"]) - made.door.top - job.n["lift"],
    }


def _sizes(job: Drawn, made: Hang) -> Answers:
    n, hole, door = job.n, made.opening, made.door
    hung = made.axle + n["axle_to_top"] - door.high
    hole_y = door.high - n["axle_to_top"]
    return {
        "door width": door.wide,
        "door height": door.high,
        "door axle": made.axle,
        "door floor gap": hung,
        "door wheel hole y": hole_y,
        "door retainer hole y": hole_y - n["retainer_pitch"],
        "door wheel pitch": door.wide - 2 * n["inset"],
        "door faces apart": n["panel_face"] + n["door_face"],
        "door to bar": n["door_face"] - n["bar_diameter"] / 2,
        "door to fitting": n["door_face"] - n["end_radius"],
        "door handle reach": reach(job, door.wide),
        "door handle passes": "yes" if passes(job) else "no",
        "door handle top": handle_top(job, door.wide),
        "door foot thickness": n["door_thickness"] + 2 * n["sweep_skin"],
        "door sweep": door.wide + n["sweep_overhang"],
        "door bulb": door.high - n["sweep_cover"],
        "door dam": hole.right.off(0.0) - made.edge - n["guide_front"],
        "door closed needs": n["stop_length"] + n["end_reach"],
        "guide far edge": made.edge + n["guide_front"],
        "guide near edge": made.edge - n["guide_rear"],
    }


def _turned(job: Drawn, made: Hang) -> Answers:
    """Return what the tilt does to the door, and what it takes of the eccentrics."""
    n, hole, door = job.n, made.opening, made.door
    v = door.high - n["axle_to_top"]
    wheels = [door.place(0.0, u, v) for u in (n["inset"], door.wide - n["inset"])]
    trailing, leading = (z - made.axle for _, z in wheels)
    spent = max(abs(leading), abs(trailing))
    gap = made.bar - n["bar_diameter"] / 2 - made.axle + n["retainer_pitch"] - n["retainer_radius"]
    heights = (n["handle_height"], handle_top(job, door.wide))
    handle = [door.place(0.0, door.wide, up)[0] for up in heights]
    strike = door.place(0.0, door.wide - n["handle_setback"], n["handle_height"])
    return {
        "door tilt": door.turn,
        "door wheel shift": door.place(0.0, door.wide, v)[0],
        "door head shift": door.place(0.0, door.wide, door.high)[0],
        "door handle shift": min(handle),
        "door foot rise": door.place(0.0, 0.0, 0.0)[1] - door.foot,
        "door foot": door.foot,
        "door top": door.top,
        "door follows": made.shut + n["strike_gap"] - hole.plumb_right,
        "door wheel rise": trailing - leading,
        "door setting leading": leading,
        "door setting trailing": trailing,
        "door eccentric spent": spent,
        "door eccentric left": max(0.0, n["eccentric"] - spent),
        "door adjustment left": max(0.0, n["eccentric"] - max(leading, trailing)),
        "door retainer gap": gap,
        "door retainer gap leading": gap - leading,
        "door retainer gap trailing": gap - trailing,
        "door wheels apart": wheels[1][0] - wheels[0][0],
        "door leading wheel": -wheels[1][0],
        "door trailing wheel": -wheels[0][0],
        "door handle above floor": n["above_floor"] + strike[1],
    }


def _gaps(job: Drawn, made: Hang, turned: Answers) -> Answers:
    """Return the gaps under the door and beside it."""
    n, hole, door = job.n, made.opening, made.door
    curb, edge = hole.curb, made.edge
    told: Answers = {}
    beside = narrowest(door, hole.right, made.shut)
    for name, lead in (("shut", made.shut), ("open", made.open)):
        for place, u in (("leading", door.wide), ("trailing", 0.0)):
            x, z = door.place(lead, u, 0.0)
            told[f"door gap {place} {name}"] = z + curb.off(x)
        told[f"door gap split {name}"] = door.under(lead, edge) + curb.off(edge)
    least = least_on_travel(door, curb, made.open, made.shut)
    most = max(under(door, curb, [made.shut]))
    hung = made.axle + n["axle_to_top"] - door.high
    low, high = (door.under(lead, edge) for lead in sorted((made.open, made.shut)))
    spare = float(turned["door adjustment left"])
    most_lower = least - n["sweep_least"] - hung
    cut = hole.curb.at[1], hole.curb.size[1]
    return told | {
        "curb deeper fixed": (curb.size[0] - cut[1]) / (cut[0] - curb.at[0]),
        "curb deeper strike": (curb.size[2] - cut[1]) / (curb.at[2] - cut[0]),
        "door floor gap least": least,
        "door floor gap most": most,
        "door gap spread": most - least,
        "door sweep range": n["sweep_most"] - n["sweep_least"],
        "door lowest floor gap": -to_grid(most_lower, job.grid, 0.0),
        "door highest floor gap": to_grid(hung + n["sweep_most"] - most, job.grid, 0.0),
        "door strike spread": widest(door, hole.right, made.shut) - beside,
        "door knuckle room": beside + n["handle_setback"] - n["handle_half"],
        "door strike gap widest": widest(door, hole.right, made.shut),
        "guide over base": min(low, high) + curb.off(edge) - n["guide_base"],
        "guide engagement": n["guide_height"] - curb.off(edge) - max(low, high) - spare,
    }


def _runs(job: Drawn, made: Hang) -> Answers:
    """Return where the door stands shut and open, and where its stops are."""
    n, hole, door = job.n, made.opening, made.door
    x0, v = hole.plumb_left, door.high - n["axle_to_top"]
    shut_face = door.place(made.shut, door.wide - n["inset"], v)[0] + n["flange"]
    open_face = door.place(made.open, n["inset"], v)[0] - n["flange"]
    trailing = [door.place(made.shut, 0.0, up)[0] for up in (0.0, door.high)]
    return {
        "door closed at": made.shut - x0,
        "door closed trailing": trailing[0] - x0,
        "door overlap": made.edge - trailing[0],
        "door overlap least": made.edge - max(trailing),
        "door open by guide": made.limits["the guide"] - x0,
        "door open by wall": made.limits["its wall"] - x0,
        "door open by stop": made.limits["the open stop"] - x0,
        "door open by handle": made.limits.get("its handle", x0) - x0,  # 0: it stops nothing
        "door handle past": handle_stop(job, door, made.edge, door.wide) - made.edge,
        "door open at": made.open - x0,
        "door stopped by": made.stopped_by,
        "door trailing": door.place(made.open, 0.0, 0.0)[0] - x0,
        "door travel": made.shut - made.open,
        "door open stop at": open_face - x0,
        "door open stop over": _over_fittings(job, made, open_face),
        "door closed stop at": shut_face - x0,
        "door closed room": hole.right.off(made.bar) - shut_face,
        "guide capture closed": made.edge - n["guide_rear"] - trailing[0],
        "bar open stop": open_face - hole.left.off(made.bar) - n["end_deduction"],
    }


def _second(job: Drawn, wide: float) -> Answers:
    """Return the holes that a second fixing of the handle has, and those of another kind's."""
    both = {"pull": len(above(job, wide)), "towel bar": min(1, len(level(job, wide)))}
    kind = job.w["handle_kind"]
    own = "pull" if kind == "pull" else "towel bar"  # a knob's would be as far away
    return {
        "door pull holes": both["pull"],
        "door far hole": far_hole(job, wide),
        "door second holes": both[own],
        # a towel bar may have a pull on the door's other face, through the handle's own hole
        "door stray holes": sum(
            many for other, many in both.items() if kind not in {other, "towel bar"}
        ),
    }


def _over_fittings(job: Drawn, made: Hang, face: float) -> float:
    """Return how far the open stop is from being off a panel's fitting; below 0 it is off."""
    n = job.n
    first = made.opening.plumb_left + n["wall_gap"] + n["hole_first"]
    half = n["panel_fitting_half"]
    return max(
        min(face - (at - half), at + half - (face - n["stop_length"]))
        for at in (first, first + n["bar_pitch"])
    )


def _way(job: Drawn, made: Hang) -> float:
    """Return the way in: from the open door to the wall with its bulb, where it is narrowest."""
    return narrowest(made.door, made.opening.right, made.open) - job.n["bulb_free"]


def way_in(job: Drawn, made: Hang) -> Answers:
    """Return the way in as it is and at the split where it is widest."""
    hole = made.opening

    def way(split: float) -> float:
        tried = hang(job, split, 0.0, made.door.wide)
        return _way(job, tried)

    wide = hole.plumb_right - hole.plumb_left
    split = best(way, 0.0, wide)
    past = max(made.limits.get(one, -math.inf) for one in ("the guide", "its handle")) - made.edge
    return {
        "door clear opening": _way(job, made),
        "door past panel": past,
        "door best split": split,
        "door widest way in": way(split),
    }
