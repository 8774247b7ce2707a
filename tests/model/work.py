"""One job worked out: every answer of the model, under its own names."""

import math

from . import glass
from .doors import doors, way_in
from .draw import Drawn, Row
from .glass import Answers
from .hang import Hang, hang
from .header import header

TAPE = ((6 * 304.8, 25.4 / 32), (30 * 304.8, 25.4 / 16))
"""Up to this length, mm, a tape may be off by, mm: NIST Handbook 44, 5.52."""


def work(job: Drawn) -> Answers:
    """Return all answers: mm, mm2, kg, N, MPa, rad, s, and words."""
    made = hang(job, job.n["split"], job.grid)
    told: Answers = {}
    told |= _readings(job, made)
    told |= _soffits(job)
    told |= _curb(job)
    told |= _stall(job)
    told |= _panel(job, made, told)
    told |= doors(job, made, told)
    told |= way_in(job, made)
    told |= header(job, made)
    told |= _panes(job, made, told)
    return told


def _readings(job: Drawn, made: Hang) -> Answers:
    n, hole = job.n, made.opening
    high, foot, head = n["read_height"], 0.0, n["read_height"]
    left, right = hole.left, hole.right
    rising = math.dist((left.off(foot), -n["drop_fixed"]), (right.off(head), high))
    falling = math.dist((left.off(head), high), (right.off(foot), -n["drop_strike"]))
    told: Answers = {
        "plumb width": hole.plumb_right - hole.plumb_left,
        "head error": abs(n["width_head"] - (right.off(head) - left.off(head))),
        "middle error": abs(n["width_middle"] - (right.off(high / 2) - left.off(high / 2))),
        "rising expected": rising,
        "falling expected": falling,
        "diagonal error": max(abs(n["rising"] - rising), abs(n["falling"] - falling)),
        "ends apart": abs(n["drop_fixed"] - n["drop_strike"]),
        "readings age": n["placed_on"] - n["read_on"],
        "door bay": hole.plumb_right - made.edge,
        "tolerance width": next(off for most, off in TAPE if n["width_sill"] <= most),
        "door cut tolerance": glass.cut_off(n["door_thickness"]),
        "fixed cut tolerance": glass.cut_off(n["fixed_thickness"]),
        "crew load": glass.crew_load(n["crew"]),
    }
    for wall, line, sign in (("fixed", left, 1), ("strike", right, -1)):
        foot_x = line.off(0.0)
        past = [sign * (line.off(z) - foot_x) for z in (0.0, high / 2, high)]
        told |= {
            f"wall {wall} into": max(past),
            f"wall {wall} spread": max(past) - min(past),
            f"wall {wall} foot past": past[0] - max(past),
            f"wall {wall} middle past": past[1] - max(past),
            f"wall {wall} head past": past[2] - max(past),
            f"wall {wall} anchor to tile edge": min(
                n[f"outward_{wall}"] - n["bar_offset"], n[f"upward_{wall}"] - made.bar
            ),
        }
    return told


def _soffits(job: Drawn) -> Answers:
    both = {
        side: [job.n[f"ceiling_{side}_{end}"] for end in ("fixed", "strike")]
        for side in ("inside", "outside")
    }
    door = job.w["door_side"]
    return {
        "ceiling inside": min(both["inside"]),
        "ceiling outside": min(both["outside"]),
        "ceiling over door": min(both[door]),
        "ceiling over panel": min(both["outside" if door == "inside" else "inside"]),
        "soffit error": max(max(ends) - min(ends) for ends in both.values()),
    }


def _curb(job: Drawn) -> Answers:
    """Lay out across the curb: y outward from its middle, mm."""
    n = job.n
    out = 1 if job.w["door_side"] == "inside" else -1  # which way the panel stands off the bar
    middle, edge = n["bar_offset"], n["curb_flat"] / 2
    margin = n["curb_margin"]
    panel = n["panel_face"] + n["fixed_thickness"] / 2
    door = n["door_face"] + n["door_thickness"] / 2
    panel_room = panel + n["channel_width"] / 2 + margin
    door_room = door + n["guide_half"] + margin
    outward, inward = (panel_room, door_room) if out > 0 else (door_room, panel_room)
    faces = (
        middle + out * (n["panel_face"] + n["fixed_thickness"]),
        middle - out * (n["door_face"] + n["door_thickness"]),
    )
    falls = (n["fall_fixed"], n["fall_strike"])
    drops = (n["drop_fixed"], n["drop_split"], n["drop_strike"])
    return {
        "curb panel room": panel_room,
        "curb door room": door_room,
        "curb outward room": outward,
        "curb inward room": inward,
        "curb width needed": 2 * max(outward + middle, inward - middle),
        "curb outer line": outward + middle,
        "curb fall least": min(falls),
        "curb rise most": -min(falls),
        "curb fall most": max(falls),
        "curb fall wanted": n["curb_flat"] * n["slope_least"] - n["fall_reading"],
        "curb fall allowed": n["curb_flat"] * n["slope_most"] + n["fall_reading"],
        "curb highest": min(drops),
        "curb out of level": max(drops) - min(drops),
        "curb before glass": edge - max(faces),
        "curb behind glass": min(faces) + edge,
        "curb outer glass": n["fixed_thickness" if out > 0 else "door_thickness"],
        "curb inner glass": n["door_thickness" if out > 0 else "fixed_thickness"],
        "fixed line": out * panel,
        "fixed from curb edge": edge - (middle + out * panel),
        "door guide line": out * door,
        "guide line": out * door,
        "guide from curb edge": edge - (middle - out * door),
        "bar from curb edge": edge - middle,
    }


def _stall(job: Drawn) -> Answers:
    wide, deep, cut = (job.n[f"stall_{one}"] for one in ("width", "depth", "cut"))
    low, high = 0.0, min(wide, deep) / 2
    while high - low > 1e-9:
        r = (low + high) / 2
        # pushed into the corner across from the cut, the circle is furthest from it
        clear = (wide - r + deep - r - cut) / math.sqrt(2) >= r
        low, high = (r, high) if clear else (low, r)
    return {
        "stall area": wide * deep - cut * cut / 2,
        "stall least": min(wide, deep),
        "stall circle": 2 * low,
        # the floor climbs from the drain in one corner to the end of the curb across from it
        "step inside": job.n["above_drain"] - job.n["floor_slope"] * math.hypot(wide, deep),
    }


def _panel(job: Drawn, made: Hang, told: Answers) -> Answers:
    n, hole = job.n, made.opening
    glass_edge = hole.plumb_left + n["wall_gap"]
    wide = made.edge - glass_edge
    top = made.bar + n["drop"]
    high = top - n["sill_lift"]
    first = glass_edge + n["hole_first"]
    drops = [drop for _, drop in hole.curb.within(0.0, made.edge)]
    # past the end of the channel that stands highest; glass that is not in it needs no lift
    lift_out = max(0.0, n["channel_depth"] - min(drops) - n["sill_lift"])
    return {
        "fixed lift out": lift_out,
        "fixed soffit room": float(told["ceiling over panel"]) - top - lift_out,
        "fixed on right": "yes" if job.w["hand"] == "right" else "no",
        "fixed width": wide,
        "fixed edge": made.edge - hole.plumb_left,
        "fixed height": high,
        "fixed top": top,
        "fixed hole y": made.bar - n["sill_lift"],
        "fixed second hole": n["hole_first"] + n["bar_pitch"],
        "fixed past second hole": wide - n["hole_first"] - n["bar_pitch"],
        "fixed hole a": first - hole.plumb_left,
        "fixed hole b": first + n["bar_pitch"] - hole.plumb_left,
        "fixed bite least": n["channel_depth"] - max(glass_edge - x for x in hole.left.size),
        "fixed sill bite least": n["channel_depth"] - n["sill_lift"] - max(drops),
        "fixed wall channel": top + n["drop_fixed"],
        "fixed sill channel": made.edge - hole.left.off(0.0),
    }


def _panes(job: Drawn, made: Hang, told: Answers) -> Answers:
    n, door = job.n, made.door
    first = n["hole_first"]
    y = float(told["fixed hole y"])
    wide, high = float(told["fixed width"]), float(told["fixed height"])
    in_panel: list[Row] = [(x, y, n["panel_hole"]) for x in (first, first + n["bar_pitch"])]
    v = door.high - n["axle_to_top"]
    in_door: list[Row] = [(u, v, n["wheel_hole"]) for u in (n["inset"], door.wide - n["inset"])]
    v -= n["retainer_pitch"]
    in_door += [(u, v, n["retainer_hole"]) for u in (n["inset"], door.wide - n["inset"])]
    in_door.append((door.wide - n["handle_setback"], n["handle_height"], n["handle_hole"]))
    found: Answers = {}
    for name, size, rows in (
        ("door", (door.wide, door.high), in_door),
        ("fixed", (wide, high), in_panel),
    ):
        about: Answers = {
            "thickness": n[f"{name}_thickness"],
            "glass": job.w[f"{name}_glass"],
            "weighed": n["weighed"],
            "surface": job.w[f"{name}_surface"],
        }
        found |= glass.pane(name, *size, about, n["crew"])
        every = [*rows, *job.rows[f"{name}_more"]]
        found |= glass.holes(name, *size, every)
        found |= glass.notches(name, *size, job.rows[f"{name}_notches"], every)
    inertia, modulus = float(found["fixed inertia"]), float(found["fixed modulus"])
    side = min(glass.SIDE_HIGHEST, high / 2)
    return found | glass.strip((wide, high), inertia, modulus, side)
