"""The header bar: where it is cut and drilled, what hangs from it, how it bends."""

import math

from . import glass
from .bar import Bar, bend, greatest
from .draw import Drawn
from .glass import Answers
from .hang import Hang, to_grid


def header(job: Drawn, made: Hang) -> Answers:
    """Return what can be told of the bar: mm, kg, N, MPa, rad."""
    n, hole = job.n, made.opening
    left, right = hole.left.off(made.bar), hole.right.off(made.bar)
    first_end = left + n["end_deduction"]
    tapped = hole.plumb_left + n["wall_gap"] + n["hole_first"]
    cut = to_grid(right - left - 2 * n["end_deduction"], job.grid)
    last_end = first_end + cut
    off = n["bar_first_hole"] - (tapped - first_end)
    inertia, area = glass.tube(n["bar_diameter"], n["bar_wall"])
    door, hooks = made.door, made.door.high - n["axle_to_top"] - n["retainer_pitch"]
    # what a head may meet on its way in: the end fittings are at the walls
    lowest = min(
        made.bar - n["bar_diameter"] / 2,
        *(
            door.place(0.0, u, hooks)[1] - n["retainer_radius"]
            for u in (n["inset"], door.wide - n["inset"])
        ),
    )
    answers: Answers = {
        "hardware flange depth": n["flange"] - n["tread"],
        "hardware end reach": n["end_reach"] - n["end_deduction"],
        "hardware slot least": n["door_thinnest"] + 2 * n["sweep_skin"],
        "bar height": made.bar,
        "bar up": made.bar / n["read_height"],
        "bar fixed face": left - hole.plumb_left,
        "bar strike face": right - hole.plumb_left,
        "bar wall to wall": right - left,
        "bar cut": cut,
        "bar first end": first_end - hole.plumb_left,
        "bar last end": last_end - hole.plumb_left,
        "bar to first hole": tapped - first_end,
        "bar to second hole": tapped + n["bar_pitch"] - first_end,
        "bar first cut": off,
        "bar second cut": n["bar_stock"] - off - cut,
        "bar above curb fixed": made.bar + n["drop_fixed"],
        "bar above curb strike": made.bar + n["drop_strike"],
        "bar reach fixed": left + n["end_reach"] - first_end,
        "bar reach strike": last_end - (right - n["end_reach"]),
        "bar end play": right - left - 2 * n["end_block"] - cut,
        "bar underside above floor": lowest + n["above_floor"],
        "bar bore": n["bar_diameter"] - 2 * n["bar_wall"],
        "bar inertia": inertia,
        "bar modulus": inertia / (n["bar_diameter"] / 2),
        "bar mass": area * cut * n["bar_density"],
        "bar stiffness": inertia * n["bar_elastic"],
    }
    return answers | _statics(job, made, answers)


def _statics(job: Drawn, made: Hang, bar: Answers) -> Answers:
    n, door = job.n, made.door
    x0 = made.opening.plumb_left + float(bar["bar first end"])
    v = door.high - n["axle_to_top"]
    first = door.place(made.open, n["inset"], v)[0] - x0
    pitch = door.place(0.0, door.wide - n["inset"], v)[0] - door.place(0.0, n["inset"], v)[0]
    holds = (float(bar["bar to first hole"]), float(bar["bar to second hole"]))
    carried = job.w["panel_holds_bar"] == "yes"
    metric, _ = glass.sold(n["door_thickness"])
    thick = n["weighed"] * max(n["door_thickness"], metric)
    mass = glass.DENSITY * thick * door.wide * door.high + n["hanger_mass"] + n["handle_mass"]
    load = mass * glass.GRAVITY / 2
    span = float(bar["bar cut"])
    travel = made.shut - made.open
    answers: Answers = {"door hung mass": mass, "bar wheel load": load, "bar first wheel": first}
    if min(first, travel, span - first - travel - pitch, pitch) < 0:  # the door is not on its bar
        bent = ("sag", "slope", "moment", "stress", "panel push")
        return answers | {f"bar {one}": math.nan for one in bent}
    beam = Bar(
        span=span,
        holds=holds if carried else (),
        pitch=pitch,
        load=load,
        stiffness=float(bar["bar stiffness"]),
    )
    sag, moment, push = greatest(beam, first, travel)
    rest = bend(beam, [first, first + travel]).slope
    return answers | {
        "bar sag": sag,
        "bar slope": float(abs(rest).max()),
        "bar moment": moment,
        "bar stress": moment / float(bar["bar modulus"]),
        "bar panel push": push if carried else math.inf,  # it pushes on none
    }
