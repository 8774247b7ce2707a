"""The door shut and open: laps, gaps, stops, seals, and the way in."""

import math

from .draw import Drawn
from .glass import Answers
from .hang import Hang, above, far_hole, hang, level, passes, reach
from .shape import best, least_on_travel, under, widest


def doors(job: Drawn, made: Hang, told: Answers) -> Answers:
    """Return what can be told of the hung door: mm and words."""
    n, hole, door = job.n, made.opening, made.door
    x0 = hole.plumb_left
    gaps_shut = under(door, hole.curb, [made.shut])
    axle_v = door.high - n["axle_to_top"]
    lead_wheel = door.place(made.shut, door.wide - n["inset"], axle_v)
    trail_wheel = door.place(made.open, n["inset"], axle_v)
    wheels = [door.place(0.0, u, axle_v)[1] for u in (n["inset"], door.wide - n["inset"])]
    trailing_edge = [door.place(made.shut, 0.0, v)[0] for v in (0.0, door.high)]
    strike = n["handle_setback"] - n["handle_half"]
    foot = [door.place(0.0, u, 0.0)[1] for u in (0.0, door.wide)]
    axle = sum(wheels) / 2
    shut_face = lead_wheel[0] + n["flange"]
    handle = door.place(0.0, door.wide - n["handle_setback"], n["handle_height"])
    return {
        "door width": door.wide,
        "door height": door.high,
        "door closed at": made.shut - x0,
        "door closed trailing": trailing_edge[0] - x0,
        "door overlap": made.edge - trailing_edge[0],
        "door overlap least": made.edge - max(trailing_edge),
        "door strike spread": widest(door, hole.right, made.shut) - n["strike_gap"],
        "door strike gap widest": widest(door, hole.right, made.shut),
        "door axle": axle,
        "door top": axle + n["axle_to_top"],
        "door wheel hole y": axle_v,
        "door retainer hole y": axle_v - n["retainer_pitch"],
        "door wheel pitch": door.wide - 2 * n["inset"],
        "door floor gap": axle + n["axle_to_top"] - door.high,
        "door foot tilt": abs(foot[1] - foot[0]),
        "door floor gap least": least_on_travel(door, hole.curb, made.open, made.shut),
        "door floor gap most": max(gaps_shut),
        "door roller difference": abs(wheels[0] - wheels[1]),
        "door finger room": float(told["ceiling over door"])
        - max(z for _, z in door.corners(0.0))
        - n["lift"],
        "door retainer gap": n["retainer_pitch"]
        - n["tread"]
        - n["bar_diameter"]
        - n["retainer_radius"],
        "door faces apart": n["panel_face"] + n["door_face"],
        "door to bar": n["door_face"] - n["bar_diameter"] / 2,
        "door to fitting": n["door_face"] - n["end_radius"],
        "door handle reach": reach(job, door.wide),
        **_second(job, door.wide),
        "door handle passes": "yes" if passes(job) else "no",
        "door open by guide": made.limits["the guide"] - x0,
        "door open by wall": made.limits["its wall"] - x0,
        "door open by stop": made.limits["the open stop"] - x0,
        "door open by handle": made.limits.get("its handle", x0) - x0,  # 0: it stops nothing
        "door open at": made.open - x0,
        "door stopped by": max(made.limits, key=lambda name: made.limits[name]),
        "door trailing": door.place(made.open, 0.0, 0.0)[0] - x0,
        "door travel": made.shut - made.open,
        "door open stop at": trail_wheel[0] - n["flange"] - x0,
        "door open stop over": _over_fittings(job, made, trail_wheel[0] - n["flange"]),
        "door closed stop at": shut_face - x0,
        "door closed room": hole.right.off(made.bar) - shut_face,
        "door closed needs": n["stop_length"] + n["end_reach"],
        "door knuckle room": n["strike_gap"] + strike,
        "door handle above floor": n["above_floor"] + handle[1],
        "door foot thickness": n["door_thickness"] + 2 * n["sweep_skin"],
        "door sweep": door.wide + n["sweep_overhang"],
        "door bulb": door.high - n["sweep_cover"],
        "door dam": hole.right.off(0.0) - made.edge - n["guide_front"],
        "guide far edge": made.edge + n["guide_front"],
        "guide near edge": made.edge - n["guide_rear"],
        "guide capture closed": made.edge - n["guide_rear"] - trailing_edge[0],
        "guide engagement": _engagement(job, made),
        "bar open stop": trail_wheel[0]
        - n["flange"]
        - hole.left.off(made.bar)
        - n["end_deduction"],
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


def _engagement(job: Drawn, made: Hang) -> float:
    """Return the least glass between the guide's cheeks with the door turned up all the way."""
    n, door = job.n, made.door
    cheeks = n["guide_height"] - made.opening.curb.off(made.edge)
    feet = []
    for lead in (made.open, made.shut):
        (x0, z0), (x1, z1) = door.place(lead, 0.0, 0.0), door.place(lead, door.wide, 0.0)
        feet.append(z0 + (z1 - z0) * (made.edge - x0) / (x1 - x0))
    return cheeks - max(feet) - n["eccentric"]


def way_in(job: Drawn, made: Hang) -> Answers:
    """Return the way in as it is and at the split where it is widest."""
    n, hole, handle = job.n, made.opening, reach(job, made.door.wide)

    def way(split: float) -> float:
        tried = hang(job, split, 0.0, handle)
        return tried.opening.plumb_right - n["bulb_free"] - tried.open

    wide = hole.plumb_right - hole.plumb_left
    split = best(way, 0.0, wide)
    past = max(made.limits.get(one, -math.inf) for one in ("the guide", "its handle")) - made.edge
    return {
        "door clear opening": hole.plumb_right - n["bulb_free"] - made.open,
        "door past panel": past,
        "door best split": split,
        "door widest way in": way(split),
    }
