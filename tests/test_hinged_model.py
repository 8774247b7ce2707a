"""A second model of hinged doors: turned step by step as polygons, hung, weighed and taped.

Nothing here reads a formula of the books; jobs of all three arrangements and both hands are drawn
by chance, and every working of the book is held against what the model finds.

Outside checks: polygons, their distances and turning by shapely; statics by strips of glass.
"""

import math
import random
import re
from collections.abc import Iterator, Mapping
from functools import cache
from pathlib import Path

import pytest
from shapely import affinity
from shapely.geometry import LineString, Polygon, box

from validator import Verdict, judge, load_job, load_rules
from validator.drawing.sizes import Sizes

JOBS = Path(__file__).parent.parent / "fixtures" / "jobs"
NAMES = (
    "holds-hinged-walls",
    "holds-hinged-panel-wall",
    "holds-hinged-right-hand",
    "holds-hinged-panel-glass",
    "holds-hinged-glass-right",
)
BY_CHANCE = 30  # jobs of each
GRAVITY = 9.80665  # N/kg, the standard acceleration of free fall
MARGIN, HAND, PUSH, PUSH_HEIGHT = 20.0, 300.0, 220.0, 1067.0  # mm, N: the shop's own
STEP = math.radians(0.25)
RULES = load_rules(installed=False)


@cache
def verdict_of(name: str) -> Verdict:
    return judge(load_job(JOBS / f"{name}.yaml", RULES), RULES)


def drawn(verdict: Verdict, seed: int) -> dict[str, float]:
    """Return the facts of a job moved by chance, by their names."""
    rng = random.Random(seed)  # noqa: S311  # not for secrets
    facts = {name: verdict.answer(name).value for name in verdict.program.facts}
    words = verdict.library.words

    def move(name: str, low: float, high: float) -> None:
        if name in facts:
            facts[name] = rng.uniform(low, high)

    for wall in ("left", "right"):
        move(f"survey.{wall}.lean", -12, 12)
        move(f"survey.{wall}.bow", -6, 6)
        move(f"survey.{wall}.drop", 0, 8)
        move(f"survey.{wall}.tile_outward", 20, 900)
    sill = facts["survey.front.width.sill"]
    move("survey.front.width.sill", sill - 40, sill + 120)
    move("survey.fixed.drop", 0, 8)
    move("design.height", 1850, 2150)
    move("design.fixed.split", 650, 850)
    move("design.fixed.sill_lift", 3, 10)
    door = "design.door"
    move(f"{door}.hinge_gap", 2, 10)
    move(f"{door}.strike_gap", 2, 10)
    move(f"{door}.floor_gap", 4, 16)
    move(f"{door}.hinge.bottom", 150, 320)
    move(f"{door}.hinge.top", 150, 320)
    facts[f"{door}.hinge.count"] = rng.choice((2.0, 3.0))
    facts[f"{door}.hinge.third"] = rng.uniform(800, 1500)
    facts[f"{door}.thickness"] = rng.choice((8.0, 10.0, 12.0))
    facts[f"{door}.stop_angle"] = math.radians(rng.uniform(30, 150))
    facts[f"{door}.opens"] = words[rng.choice(("outward", "inward", "both"))]
    for key in ("outside", "inside"):
        move(f"{door}.handle.{key}", 0, 90)
    move(f"{door}.handle.setback", 40, 120)
    move("kit.hinge.pin", -20, 40)
    facts["kit.hinge.opens"] = math.radians(rng.uniform(80, 180))
    way = rng.choice((1, -1))
    at = (rng.uniform(-400, 900), way * rng.uniform(60, 900))
    to = (at[0] + rng.uniform(-500, 500), at[1] + rng.uniform(-300, 300))
    foot = rng.choice((0.0, 0.0, 950.0, 2400.0))
    top = foot + rng.choice((300.0, 2000.0))
    obstacle = dict(
        zip(
            ("x", "y", "to_x", "to_y", "rise", "foot", "top"), (*at, *to, 0, foot, top), strict=True
        )
    )
    facts |= {f"survey.door.obstacles[1].{key}": float(value) for key, value in obstacle.items()}
    return facts


class Model:
    """One job, worked out without the books."""

    def __init__(self, facts: Mapping[str, float], verdict: Verdict) -> None:
        """Keep the facts."""
        self.facts = facts
        self.words = {number: word for word, number in verdict.library.words.items()}
        name = verdict.job.arrangement.name
        self.hand = self.word("design.hand")
        self.other = {"left": "right", "right": "left"}[self.hand]
        self.on_glass, self.has_panel = name.endswith("glass"), "panel" in name
        self.grid = facts["job.grid"]
        self.areal = verdict.answer("door.areal_mass").value  # what glass weighs is another book's

    def f(self, name: str) -> float:
        return self.facts[name]

    def word(self, name: str) -> str:
        return self.words[self.facts[name]]

    def d(self, name: str) -> float:
        return self.facts[f"design.door.{name}"]

    # --- walls ----------------------------------------------------------------------------------

    def face(self, wall: str, z: float) -> float:
        """Return how far a wall stands into the opening at a height past its foot."""
        lean, bow = self.f(f"survey.{wall}.lean"), self.f(f"survey.{wall}.bow")
        share = z / self.f("survey.front.head_height")
        return lean * share + bow * (1 - (2 * share - 1) ** 2)

    def read(self, wall: str) -> list[float]:
        height = self.f("survey.front.head_height")
        return [self.face(wall, z) for z in (0.0, height / 2, height)]

    def plumb(self, wall: str) -> float:
        return max(self.read(wall))

    def spread(self, wall: str) -> float:
        return max(self.read(wall)) - min(self.read(wall))

    def rounded(self, size: float) -> float:
        return round(size / self.grid) * self.grid

    # --- sizes ----------------------------------------------------------------------------------

    def work(self) -> dict[str, object]:
        walls = self.f("survey.front.width.sill") - self.plumb("left") - self.plumb("right")
        panel = 0.0
        if self.has_panel:
            gap = self.f("design.fixed.wall_gap")
            panel = gap + self.rounded(self.f("design.fixed.split") - gap)
        bay = walls - panel
        x, t, pin = self.d("hinge_gap"), self.d("thickness"), self.f("kit.hinge.pin")
        w = self.rounded(bay - x - self.d("strike_gap"))
        h = self.rounded(self.f("design.height") - self.d("floor_gap"))
        foot, three = self.d("floor_gap"), self.d("hinge.count") == 3
        hinges = [self.d("hinge.bottom"), h - self.d("hinge.top")]
        third = self.d("hinge.third") if three else hinges[0]
        strike = bay - x - w
        strike_wall = None if self.has_panel and not self.on_glass else self.other
        spread = self.spread(strike_wall) if strike_wall else 0.0
        gaps = [self.gap(x, foot + y) for y in (*hinges, third)]
        drops = [self.drop("hung"), self.drop("strike")]
        glass, handle = self.areal * w * h, self.d("handle.mass")
        apart = hinges[1] - hinges[0]
        moment = self.moment(w, pin, glass, handle)
        pull = moment / apart
        arm = w - pin - self.d("handle.setback")
        found: dict[str, object] = {
            "bay": bay,
            "width": w,
            "height": h,
            "top": foot + h,
            "thinnest": self.f("kit.hinge.thinnest"),
            "hung_mass": glass + handle,
            "pivot": x + pin,
            "past_pivot": w - pin,
            "strike_gap": strike,
            "strike_gap_widest": strike + spread,
            "hinge_low": hinges[0],
            "hinge_high": hinges[1],
            "hinge_third": third,
            "hinges_apart": apart,
            "third_between": self.rounded(hinges[0] + apart / 2),
            "third_above": self.rounded(
                hinges[1] - max(apart / 3, 2 * self.f("kit.hinge.half_length"))
            ),
            "gap_low": gaps[0],
            "gap_high": gaps[1],
            "gap_third": gaps[2],
            "hinge_gap_least": min(gaps),
            "hinge_gap_most": max(gaps),
            "heel_needs": self.heel(w, t, pin),
            "swing_needs": self.past_edge(w, t, pin),
            "moment": moment,
            "pull": pull,
            "pull_by_hand": pull + HAND * arm / apart,
            "rating": self.f(f"kit.hinge.rating.{'three' if three else 'two'}"),
            "widest": self.f(f"kit.hinge.width.{'three' if three else 'two'}"),
            "handle_above_floor": self.f("survey.curb.above_floor")
            + foot
            + self.d("handle.height"),
            "floor_gap_least": foot + min(drops),
            "floor_gap_most": foot + max(drops),
            "over_floor": foot - self.f("survey.door.floor_rise"),
            "sweep": w,
            "bulb": h - self.f("kit.sweep.cover"),
            "datum_edge": self.hand,
            "line": 0.0,
        }
        return {**found, **self.swing(w, h, t, x + pin, bay)}

    def gap(self, x: float, z: float) -> float:
        """Return the gap at a height: to the wall behind it, or to a plumb pane."""
        if self.on_glass:
            return x
        return x + self.plumb(self.hand) - self.face(self.hand, z)

    def drop(self, side: str) -> float:
        panel = side == ("hung" if self.on_glass else "strike") and self.has_panel
        wall = self.hand if side == "hung" else self.other
        return self.f("survey.fixed.drop") if panel else self.f(f"survey.{wall}.drop")

    def moment(self, w: float, pin: float, glass: float, handle: float) -> float:
        """Return the moment about the pins, the glass taken in strips."""
        strips = 400
        arms = ((at + 0.5) / strips * w - pin for at in range(strips))
        of_glass = sum(glass / strips * GRAVITY * arm for arm in arms)
        return of_glass + handle * GRAVITY * (w - self.d("handle.setback") - pin)

    # --- swinging -------------------------------------------------------------------------------

    @staticmethod
    def heel(w: float, t: float, pin: float) -> float:
        """Return how far the edge behind the pins reaches past where it stands shut."""
        leaf = box(-pin, -t / 2, w - pin, t / 2)
        angles = [math.radians(at / 20) for at in range(1801)]
        least = min(affinity.rotate(leaf, a, (0, 0), use_radians=True).bounds[0] for a in angles)
        if pin < 0:  # pins outside the glass: it stands off as far as at a right angle
            return t / 2 - pin
        return -pin - float(least)

    @staticmethod
    def past_edge(w: float, t: float, pin: float) -> float:
        """Return how far the free edge reaches past where it stands shut."""
        leaf = box(-pin, -t / 2, w - pin, t / 2)
        most = math.atan2(t / 2, w - pin)
        turned = affinity.rotate(leaf, -most, (0, 0), use_radians=True)
        return float(turned.bounds[2]) - (w - pin)

    def swing(self, w: float, h: float, t: float, pivot: float, bay: float) -> dict[str, float]:
        pin, setback = self.f("kit.hinge.pin"), self.d("handle.setback")
        half, foot = self.d("handle.half_width"), self.d("floor_gap")
        stop = min(self.d("stop_angle"), self.f("kit.hinge.opens"))
        glass = box(-pin, -t / 2, w - pin, t / 2)
        far = w - pin - setback
        handle = box(
            far - half,
            -t / 2 - self.d("handle.inside"),
            far + half,
            t / 2 + self.d("handle.outside"),
        )
        keys = ("x", "y", "to_x", "to_y", "foot", "top")
        x, y, to_x, to_y, low, high = (self.f(f"survey.door.obstacles[1].{k}") for k in keys)
        line = LineString([(x - pivot, y), (to_x - pivot, to_y)])
        at_glass = low < foot + h and high > foot
        hand_low = foot + self.d("handle.height")
        hand_high = hand_low + self.handle_long()
        at_handle = low < hand_high + MARGIN and high > hand_low - MARGIN
        found: dict[str, float] = {"free_to": stop}
        for way, sign in (("outward", 1), ("inward", -1)):
            for what, part, counts in (("glass", glass, at_glass), ("handle", handle, at_handle)):
                angle = self.meets(_grown(part), line, sign, stop) if counts else stop
                found[f"{what}_meets_{way}"] = angle
            wall = self.wall_beside(pivot, w, t, way)
            at_wall = {"glass": glass, "handle": _grown(handle)}
            for what, part in at_wall.items():
                angle = stop if wall is None else self.meets(part, wall, sign, stop)
                found[f"{what}_at_wall_{way}"] = angle
            kinds = ("glass_meets", "handle_meets", "glass_at_wall", "handle_at_wall")
            found[f"meets_{way}"] = min(found[f"{kind}_{way}"] for kind in kinds)
            found[f"glass_free_{way}"] = min(
                found[f"glass_meets_{way}"], found[f"glass_at_wall_{way}"]
            )
        ways = {"both": ("outward", "inward")}.get(
            self.word("design.door.opens"), (self.word("design.door.opens"),)
        )
        meets = [found[f"meets_{way}"] for way in ways]
        found["opens_to"] = max(meets)
        found["narrower"] = min(meets)
        found["glass_meets"] = min(found[f"glass_free_{way}"] for way in ways)
        opened = affinity.rotate(glass, found["opens_to"], (0, 0), use_radians=True)
        reaches = float(opened.bounds[2])
        found["clear_opening"] = bay - pivot - reaches
        return found

    def wall_beside(self, pivot: float, w: float, t: float, way: str) -> LineString | None:
        """Return the wall that the door hangs on, as far as it surely runs; None for a pane."""
        if self.on_glass:
            return None
        long = w if way == "inward" else self.f(f"survey.{self.hand}.tile_outward")
        sign = 1 if way == "outward" else -1
        return LineString([(-pivot, -sign * t / 2), (-pivot, sign * long)])

    def handle_long(self) -> float:
        """Return how far a pull's second hole stands above its first."""
        second = self.f("design.door.holes[1].y") - self.d("handle.height")
        beside = abs(self.f("design.door.holes[1].x") - self.width_of_handle())
        return second if 76.2 <= second <= 457.2 and beside <= 76.2 else 0.0

    def width_of_handle(self) -> float:
        return self.now_width - self.d("handle.setback")

    now_width: float = 0.0

    @staticmethod
    def meets(part: Polygon, line: LineString, sign: int, stop: float) -> float:
        """Return the angle at which a part first touches a line, turned step by step."""

        def touches(angle: float) -> bool:
            return bool(
                affinity.rotate(part, sign * angle, (0, 0), use_radians=True).intersects(line)
            )

        if touches(0.0):
            return 0.0
        angle = 0.0
        while angle < stop:
            following = min(angle + STEP, stop)
            if touches(following):
                low, high = angle, following
                for _ in range(40):
                    middle = (low + high) / 2
                    low, high = (low, middle) if touches(middle) else (middle, high)
                return high
            angle = following
        return stop


def _grown(part: Polygon) -> Polygon:
    low_x, low_y, high_x, high_y = part.bounds
    return box(low_x - MARGIN, low_y - MARGIN, high_x + MARGIN, high_y + MARGIN)


def told(verdict: Verdict, facts: Mapping[str, float]) -> Iterator[tuple[str, float, str]]:
    """Yield the workings of the door that the book has, run on some facts."""
    program = verdict.program
    limits = [verdict.library.limits[name].value for name in program.limits]
    run = program.run([facts[name] for name in program.facts], limits)
    for step, value in zip(program.plan.steps, run.values, strict=True):
        if step.working is not None and re.fullmatch(r"door\.\w+", step.name):
            yield step.name.removeprefix("door."), value, step.kind.name


OTHERS = {
    # of other books, each with a model or a check of its own
    "area", "diagonal", "treated", "shorter", "longer", "least_thickness", "nominal",
    "weighed_thickness", "areal_mass", "glass_mass", "hole_count", "allowable_stress", "inertia",
    "modulus", "people", "lifting_index", "cut_tolerance", "handle_top", "pull_holes", "far_hole",
    "second_holes", "stray_holes",
    # shares of a height on the way to a gap
    "share_low", "share_high", "share_third",
}  # fmt: skip


@pytest.mark.parametrize("name", NAMES)
def test_the_book_and_the_model_agree_on_jobs_drawn_by_chance(name: str) -> None:
    verdict = verdict_of(name)
    stopped = 0
    for seed in range(BY_CHANCE):
        facts = drawn(verdict, seed)
        values = {key: (value, kind) for key, value, kind in told(verdict, facts)}
        model = Model(facts, verdict)
        model.now_width = values["width"][0]
        model.areal = values["areal_mass"][0]
        ours = model.work()
        assert set(values) - OTHERS == set(ours)
        for key, mine in ours.items():
            theirs, kind = values[key]
            if kind == "word":
                assert verdict.library.words[str(mine)] == theirs, (seed, key)
            else:
                near = 2e-3 if kind == "angle" else 0.02 if key in ROUGH else 1e-6
                assert theirs == pytest.approx(mine, rel=1e-9, abs=near), (seed, key)
        stopped += values["narrower"][0] < values["free_to"][0]
    assert stopped > BY_CHANCE / 10


ROUGH = {"heel_needs", "clear_opening", "moment", "pull", "pull_by_hand"}
"""What the model finds by steps and strips."""


def test_the_first_hand_is_the_mirror_of_the_second() -> None:
    # The same room seen in a mirror: every length of the door is the same, and so is every verdict.
    for left, right in (
        ("holds-hinged-panel-wall", "holds-hinged-right-hand"),
        ("holds-hinged-panel-glass", "holds-hinged-glass-right"),
    ):
        one, other = verdict_of(left), verdict_of(right)
        assert list(one.run.outcomes) == list(other.run.outcomes)
        for name in (
            "door.width",
            "door.clear_opening",
            "door.gap_high",
            "door.pull",
            "fixed.width",
        ):
            assert one.answer(name).value == pytest.approx(other.answer(name).value)
        assert Sizes(one).hand != Sizes(other).hand
