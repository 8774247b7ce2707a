"""Random jobs and kits: values drawn in the model's words, written down in the tool's."""

import datetime as dt
import math
import random
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction

from .names import ARRANGEMENT, CODE, FACTS, ROW_FIELDS, ROWS, of_hand

INCH = Fraction(254, 10)  # mm, exactly: NIST SP 811, B.8
EPOCH = dt.date(1970, 1, 1)
THICKNESSES = {
    "in": (("1/4", 6.35), ("5/16", 7.9375), ("3/8", 9.525), ("1/2", 12.7), ("5/8", 15.875)),
    "mm": (("6", 6.0), ("8", 8.0), ("10", 10.0), ("12", 12.0), ("16", 16.0), ("19", 19.0)),
}
GLASSES = ("toughened", "laminated toughened", "laminated", "heat strengthened", "annealed")
SURFACES = ("clear", "clear", "etched", "coated", "patterned")

Row = tuple[float, ...]
"""A hole's centre from the pane's left lower corner and its diameter; or a notch's left lower
corner, width, height and inside radius; mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """One job with its kit: what the model reads, and what the tool reads.

    Attributes:
        n: Numbers by the model's names: mm, kg, MPa, kg/mm3, s.
        w: Words by the model's names; yes/no among them.
        rows: Further holes and notches of each pane.
        grid: What a cut size is rounded to, mm.
        job: The job as a file holds it, to be written as JSON.
        kit: The kit, likewise.
    """

    n: Mapping[str, float]
    w: Mapping[str, str]
    rows: Mapping[str, tuple[Row, ...]]
    grid: float
    job: Mapping[str, object]
    kit: Mapping[str, object]


@dataclass(slots=True, kw_only=True)
class Pen:
    """Draws values one after another, lengths in parts of the unit; keeps how each is written."""

    rng: random.Random
    units: str
    parts: int
    n: dict[str, float] = field(default_factory=dict)
    w: dict[str, str] = field(default_factory=dict)
    text: dict[str, str] = field(default_factory=dict)

    def length(self, name: str, low: float, high: float) -> float:
        """Draw a length between two bounds in mm and return it in mm."""
        return self.put(name, self.rng.uniform(low, high))

    def put(self, name: str, size: float) -> float:
        """Keep a length given in mm, on the job's step."""
        self.text[name], self.n[name] = self.written(size)
        return self.n[name]

    def written(self, size: float) -> tuple[str, float]:
        """Return how a length is written, and its value as written, mm."""
        parts = self.parts
        step = (INCH if self.units == "in" else 1) * Fraction(1, parts)
        count = round(size / float(step))
        sign, value = "-" if count < 0 else "", count * step.numerator / step.denominator
        if parts == 100:
            return f"{sign}{abs(count) / 100:.2f}", value
        whole, over = divmod(abs(count), parts)
        share = math.gcd(over, parts)
        part = f"{over // share}/{parts // share}" if over else ""
        return sign + (f"{whole or ''} {part}".strip() or "0"), value

    def other(self, name: str, low: float, high: float, unit: str, factor: float) -> None:
        """Draw a value in a unit of its own, with two decimals."""
        size = round(self.rng.uniform(low, high), 2)
        self.text[name], self.n[name] = f"{size} {unit}", size * factor

    def word(self, name: str, *words: str) -> None:
        self.text[name] = self.w[name] = self.rng.choice(words)

    def day(self, name: str, day: dt.date) -> None:
        self.text[name], self.n[name] = day.isoformat(), (day - EPOCH).days * 86400.0


def draw(seed: int) -> Drawn:
    """Return the job that a seed gives."""
    rng = random.Random(seed)  # noqa: S311  # seeded, so that a job can be had again
    units = rng.choice(("in", "mm"))
    parts = 100 if rng.random() < 0.2 else {"in": 32, "mm": 2}[units]
    pen = Pen(rng=rng, units=units, parts=parts)
    _kit(pen)
    _survey(pen)
    _design(pen)
    _order(pen)
    rows, written = {}, {}
    many = {"more": rng.choice((0, 1, 2)), "notches": rng.choice((0, 1))}
    for listed, names in ROW_FIELDS.items():
        _, _, sort = listed.partition("_")
        drawn = [_row(pen, _spans(pen, listed), names) for _ in range(many[sort])]
        rows[listed] = tuple(values for _, values in drawn)
        written[listed] = [texts for texts, _ in drawn] or "none"
    job, kit = _files(pen, f"drawn-{seed}", written)
    grid = float(INCH / 16) if units == "in" else 1.0  # shop policy, no source: the job's default
    return Drawn(n=pen.n, w=pen.w, rows=rows, grid=grid, job=job, kit=kit)


def _row(
    pen: Pen, spans: Mapping[str, tuple[float, float]], names: tuple[str, ...]
) -> tuple[dict[str, str], Row]:
    drawn = {name: pen.written(pen.rng.uniform(*spans[name])) for name in names}
    if "radius" in names:  # a notch is cut from an edge, as a rule from a corner
        drawn |= {name: pen.written(0) for name in ("x", "y") if pen.rng.random() < 0.6}
    return {name: drawn[name][0] for name in names}, tuple(drawn[name][1] for name in names)


def _spans(pen: Pen, listed: str) -> dict[str, tuple[float, float]]:
    """Return what the sizes of a pane's holes and notches lie between, mm."""
    n = pen.n
    wide = n["split"] if "fixed" in listed else n["width_sill"] - n["split"]
    x, y = (0.02 * wide, 0.98 * wide), (30.0, n["height"] - 40)
    if listed == "door_more" and pen.rng.random() < 0.7:  # about where a second fixing is
        handle = (wide + n["overlap"] - n["handle_setback"], n["handle_height"])
        above = pen.rng.random() < 0.5
        x = (handle[0] - (30 if above else 500), handle[0] + (30 if above else -40))
        y = (handle[1] + (60 if above else -30), handle[1] + (480 if above else 30))
    return {
        "x": (max(x[0], 20.0), max(x[1], 30.0)),
        "y": y,
        "across": (8, 60),
        "width": (24, 0.6 * wide),
        "height": (24, 400),
        "radius": (3, 12),
    }


def _kit(pen: Pen) -> None:  # noqa: PLR0915  # a list of sizes
    """Draw a kit whose sizes are those of the trade or a little past them (illustrations)."""
    across = pen.length("bar_diameter", 19, 50)
    pen.length("bar_wall", 1.5, 0.45 * across)
    pen.length("bar_stock", 1800, 2600)
    pen.length("bar_first_hole", 200, 420)
    pen.length("bar_pitch", 200, 420)
    pen.other("bar_elastic", 69, 210, "GPa", 1000.0)
    pen.other("bar_allowable", 80, 200, "MPa", 1.0)
    pen.other("bar_density", 2700, 8000, "kg/m3", 1e-9)
    pen.length("bar_shift", 0, 50)
    pen.length("drop", 60, 120)
    pen.length("panel_face", 12, 34)
    pen.length("panel_hole", 12, 20)
    pen.word("panel_holds_bar", "yes", "yes", "no")
    pen.length("panel_fitting_half", 10, 25)
    pen.other("panel_rating", 15, 80, "kg", 1.0)
    pen.put("panel_thinnest", 6)
    pen.put("panel_thickest", 19)
    cut = pen.length("end_deduction", 10, 26)
    pen.length("end_reach", cut + 8, cut + 34)
    pen.length("end_radius", 12, 32)
    pen.length("end_block", 3, cut)
    pen.length("end_least_reach", 8, 24)
    pen.word("door_side", "inside", "outside")
    pen.length("door_face", 15, 40)
    pen.put("door_thinnest", 6)
    pen.put("door_thickest", 19)
    pen.other("door_rating", 40, 90, "kg", 1.0)
    pen.other("hanger_mass", 1, 5, "kg", 1.0)
    tread = pen.length("tread", 22, 42)
    pen.length("flange", tread + 3, tread + 14)
    pen.length("inset", 80, 200)
    pen.length("wheel_hole", 12, 22)
    pen.length("axle_to_top", 38, 70)
    pen.length("eccentric", 0, 7)
    pen.length("lift", 8, 25)
    hook = pen.length("retainer_radius", 5, 16)
    pen.length("retainer_pitch", tread + across + hook, tread + across + hook + 9)
    pen.length("retainer_hole", 10, 20)
    pen.length("stop_length", 18, 50)
    pen.word("stop_captive", "yes", "no")
    pen.length("guide_slot", 10, 20)
    pen.length("guide_height", 18, 40)
    pen.length("guide_half", 12, 26)
    pen.length("guide_front", 8, 60 if pen.rng.random() < 0.3 else 24)
    pen.length("guide_rear", 5, 24)
    pen.length("guide_base", 1, 7)
    pen.length("channel_width", 12, 24)
    pen.length("channel_depth", 12, 30)
    pen.length("channel_bite", 6, 14)
    pen.length("strike_gap", 2, 9)
    pen.length("floor_gap_usual", 5, 16)
    pen.length("handle_clear", 30, 75)
    pen.length("pass_margin", 2, 12)
    pen.length("capture", 6, 20)
    pen.length("edge_room", 6, 25)
    pen.length("curb_margin", 0, 12)
    pen.length("hand_room", 12, 30)
    pen.length("hole_to_edge", 4, 30)
    pen.length("retainer_least", 0, 3)
    pen.length("retainer_most", 4, 9)
    pen.length("bulb_least", 1, 4)
    pen.length("bulb_most", 8, 14)
    pen.length("bulb_free", 5, 14)
    pen.length("sweep_overhang", 0, 8)
    pen.length("sweep_least", 2, 7)
    pen.length("sweep_most", 12, 22)
    pen.length("sweep_cover", 10, 25)
    pen.length("sweep_skin", 0.8, 3)


def _survey(pen: Pen) -> None:
    """Draw an opening between two walls that lean and bow, and readings that agree or nearly."""
    rng, n = pen.rng, pen.n
    pen.word("base", "curb", "floor")
    wide = pen.length("width_sill", 1050, 2100)
    high = pen.length("read_height", 1850, 2250)
    worst = rng.choice((0.0, 4.0, 12.0, 25.0))
    for wall in ("fixed", "strike"):
        pen.length(f"lean_{wall}", -worst, worst)
        pen.length(f"bow_{wall}", *rng.choice(((0.0, 0.0), (-6.0, 6.0))))
        pen.length(f"outward_{wall}", 20, 250)
        pen.length(f"upward_{wall}", 1700, 2500)
        for one in ("backing", "pipes", "hollow"):
            pen.word(f"{one}_{wall}", "yes", "no")
    lean = n["lean_fixed"] + n["lean_strike"]
    pen.put("width_head", wide - lean + rng.uniform(-4, 4))
    bow = n["bow_fixed"] + n["bow_strike"]
    pen.put("width_middle", wide - lean / 2 - bow + rng.uniform(-4, 4))
    pen.put("rising", (wide**2 + high**2) ** 0.5 + rng.uniform(-12, 12))
    pen.put("falling", (wide**2 + high**2) ** 0.5 + rng.uniform(-12, 12))
    pen.length("curb_flat", 70, 180)
    drops = ["drop_fixed", "drop_split", "drop_strike"]
    highest = rng.choice(drops)  # the datum is the highest point of the curb under the glass
    for name in drops:
        pen.put(name, 0.0 if name == highest else rng.uniform(0, rng.choice((0, 3, 14))))
    pen.length("fall_fixed", -3, 8)
    pen.length("fall_strike", -3, 8)
    pen.length("above_floor", 0, 160)
    pen.length("above_drain", 20, 200)
    pen.other("floor_slope", 1, 5, "%", 0.01)
    for side in ("inside", "outside"):
        over = pen.length(f"ceiling_{side}_fixed", 2050, 2700)
        pen.put(f"ceiling_{side}_strike", over + rng.uniform(-8, 8))
    pen.length("stall_width", 700, 2100)
    pen.length("stall_depth", 600, 1400)
    pen.length("stall_cut", 0, rng.choice((0, 300, 550)))
    pen.day("read_on", dt.date(2026, 1, 1) + dt.timedelta(days=rng.randrange(200)))


def _design(pen: Pen) -> None:
    """Draw a design for the opening, good or middling."""
    rng, n = pen.rng, pen.n
    pen.word("hand", "left", "right")
    split = pen.length("split", 0.4 * n["width_sill"], 0.6 * n["width_sill"])
    pen.length("overlap", 10, 70)
    pen.length("height", 1750, n["read_height"] + 40)
    pen.length("wall_gap", 0, 8)
    pen.length("sill_lift", 2, 10)
    pen.length("hole_first", 40, max(60, split - n["bar_pitch"] - 40))
    pen.length("bar_offset", *rng.choice(((0.0, 0.0), (-20.0, 20.0))))
    for pane in ("door", "fixed"):
        text, size = rng.choice(THICKNESSES[pen.units])
        pen.text[f"{pane}_thickness"], n[f"{pane}_thickness"] = text, size
        pen.word(f"{pane}_glass", *GLASSES)
        pen.word(f"{pane}_surface", *SURFACES)
        pen.word(f"{pane}_face_treated", "inside", "outside")
        pen.word(f"{pane}_category", "I", "II", "none")
        pen.word(f"{pane}_mark", "in sight", "covered", "none")
        pen.word(f"{pane}_edges", "polished", "ground", "seamed", "cut")
    pen.word("tilted", "yes", "no", "no")
    pen.length("floor_gap", 4, 18)
    pen.length("set_at", *rng.choice(((0.0, 0.0), (-3.0, 3.0))))
    pen.word("handle_kind", "knob", "pull", "towel bar", "finger hole")
    pen.length("handle_setback", 40, 130)
    pen.length("handle_half", 5, 35)
    pen.length("handle_stands_off", 5, 80)
    pen.length("handle_height", 700, 1200)
    pen.length("handle_hole", 8, 25)
    pen.other("handle_mass", 0.1, 2.5, "kg", 1.0)


def _order(pen: Pen) -> None:
    pen.day("placed_on", dt.date(2026, 8, 1) + dt.timedelta(days=pen.rng.randrange(90)))
    crew = pen.rng.randrange(1, 6)
    pen.text["crew"], pen.n["crew"] = str(crew), float(crew)


def _files(
    pen: Pen, name: str, rows: Mapping[str, object]
) -> tuple[Mapping[str, object], Mapping[str, object]]:
    """Return job and kit as nested tables under the tool's names."""
    tops: dict[str, object] = {}
    written: dict[str, object] = {**pen.text, **rows}
    for called, ours in {**FACTS, **ROWS}.items():
        table, fact = tops, of_hand(called, pen.w["hand"])
        *path, last = fact.split(".")
        for part in path:
            inner = table.setdefault(part, {})
            assert isinstance(inner, dict), fact
            table = inner
        table[last] = written[ours]
    kit = tops.pop("kit")
    assert isinstance(kit, dict)
    head = {
        "job": name,
        "format": "2",
        "units": pen.units,
        "arrangement": ARRANGEMENT,
        "code": CODE,
    }
    return (
        {**head, "code": CODE, "kit": name, **tops},
        {"kit": name, "title": "A drawn kit", "units": pen.units, **kit},
    )
