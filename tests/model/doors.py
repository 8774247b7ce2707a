"""The door shut and open: laps, gaps, stops, seals, and the way in."""

import math

from .draw import Drawn
from .glass import Answers
from .hang import Hang, above, far_hole, handle_top, hang, level, passes, past_panel, reach
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
    axle = sum(wheels) / 2 - n["eccentric_set"]  # with the eccentrics in their middle
    turned = _turned(job, made, axle)
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
        "door top": max(z for _, z in door.corners(0.0)),
        "door wheel hole y": axle_v,
        "door retainer hole y": axle_v - n["retainer_pitch"],
        "door wheel pitch": door.wide - 2 * n["inset"],
        "door floor gap": axle + n["axle_to_top"] - door.high,
        **turned,
        **_under(job, made),
        "door floor gap least": least_on_travel(door, hole.curb, made.open, made.shut),
        "door floor gap most": max(gaps_shut),
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
        **_in_guide(job, made, float(turned["door adjustment left"])),
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


def _turned(job: Drawn, made: Hang, axle: float) -> Answers:
    """Return what the door's turn moves, and how its eccentrics stand."""
    n, door = job.n, made.door
    axle_v, top = door.high - n["axle_to_top"], handle_top(job, door.wide)
    at = {u: door.place(0.0, u, axle_v) for u in (n["inset"], door.wide - n["inset"])}
    trailing, leading = at[n["inset"]], at[door.wide - n["inset"]]
    settings = leading[1] - axle, trailing[1] - axle
    spent = max(map(abs, settings))
    below = n["retainer_pitch"] - n["tread"] - n["bar_diameter"] - n["retainer_radius"]
    return {
        "door tilt": door.turn,
        "door wheel shift": door.place(0.0, door.wide, axle_v)[0],
        "door head shift": door.place(0.0, door.wide, door.high)[0],
        "door handle top": top,
        "door handle shift": min(
            door.place(0.0, door.wide, v)[0] for v in (n["handle_height"], top)
        ),
        "door foot rise": door.place(0.0, 0.0, 0.0)[1] - door.foot,
        "door foot": door.foot,
        "door follows": made.shut + n["strike_gap"] - made.opening.plumb_right,
        "door wheel rise": trailing[1] - leading[1],
        "door setting leading": settings[0],
        "door setting trailing": settings[1],
        "door eccentric spent": spent,
        "door eccentric left": max(0.0, n["eccentric"] - spent),
        "door adjustment left": max(0.0, n["eccentric"] - max(settings)),
        "door retainer gap leading": below - settings[0],
        "door retainer gap trailing": below - settings[1],
        "door leading wheel": -leading[0],
        "door trailing wheel": -trailing[0],
        "door wheels apart": leading[0] - trailing[0],
        "door handle past": past_panel(job, door, reach(job, door.wide)),
    }


def _under(job: Drawn, made: Hang) -> Answers:
    """Return the gaps under the door and the floor gaps at which its sweep works, on the grid."""
    n, door, curb = job.n, made.door, made.opening.curb
    told: Answers = {}
    for name, lead in (("shut", made.shut), ("open", made.open)):
        for edge, u in (("leading", door.wide), ("trailing", 0.0)):
            x, z = door.place(lead, u, 0.0)
            told[f"door gap {edge} {name}"] = z + curb.off(x)
        told[f"door gap split {name}"] = _foot_over(made, lead) + curb.off(made.edge)
    least = least_on_travel(door, curb, made.open, made.shut)
    most = max(under(door, curb, [made.shut]))
    axle = made.bar + n["bar_diameter"] / 2 + n["tread"]
    gap, grid = axle + n["axle_to_top"] - door.high, job.grid
    drops, places = curb.size, curb.at
    return told | {
        "curb deeper fixed": (drops[0] - drops[1]) / (places[1] - places[0]),
        "curb deeper strike": (drops[2] - drops[1]) / (places[2] - places[1]),
        "door sweep range": n["sweep_most"] - n["sweep_least"],
        "door gap spread": most - least,
        "door lowest floor gap": math.ceil((gap + n["sweep_least"] - least) / grid - 1e-9) * grid,
        "door highest floor gap": math.floor((gap + n["sweep_most"] - most) / grid + 1e-9) * grid,
    }


def _foot_over(made: Hang, lead: float) -> float:
    """Return how high the line of the door's foot is over the panel's edge."""
    door = made.door
    (x0, z0), (x1, z1) = door.place(lead, 0.0, 0.0), door.place(lead, door.wide, 0.0)
    return z0 + (z1 - z0) * (made.edge - x0) / (x1 - x0)


def _in_guide(job: Drawn, made: Hang, lift: float) -> Answers:
    """Return the glass between the guide's cheeks, turned up by `lift`, and over its base."""
    n = job.n
    floor = -made.opening.curb.off(made.edge)
    feet = [_foot_over(made, lead) for lead in (made.open, made.shut)]
    return {
        "guide engagement": floor + n["guide_height"] - max(feet) - lift,
        "guide over base": min(feet) - floor - n["guide_base"],
    }


def way_in(job: Drawn, made: Hang) -> Answers:
    """Return the way in as it is and at the split where it is widest."""
    n, hole, handle = job.n, made.opening, reach(job, made.door.wide)

    def way(split: float) -> float:
        tried = hang(job, split, 0.0, handle)
        return tried.shut + n["strike_gap"] - n["bulb_free"] - tried.open

    wide = hole.plumb_right - hole.plumb_left
    split = best(way, 0.0, wide)
    past = max(made.limits.get(one, -math.inf) for one in ("the guide", "its handle")) - made.edge
    return {
        "door clear opening": made.shut + n["strike_gap"] - n["bulb_free"] - made.open,
        "door past panel": past,
        "door best split": split,
        "door widest way in": way(split),
    }
