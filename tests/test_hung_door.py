"""How the door hangs and rolls, upright or tilted, against drawn rectangles that are moved.

Nothing here knows the books' formulas. A door is a rectangle with its holes, turned until its
strike edge is parallel to the strike wall and lifted until its wheels stand on the bar; then it is
rolled in small steps, and gaps are measured where they are.
"""

import math
import random
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

import pytest

from validator import Rules, Verdict, judge, load_job

JOBS = Path(__file__).parent.parent / "fixtures" / "jobs"
NAMES = ("holds-ordinary", "holds-millimetres", "holds-walls-only")
INCH = 25.4  # mm
MANY = 400
STEPS = 40
THICK = 2 * INCH  # a handle that cannot pass behind the panel; the other one drawn can
BESIDE = 3 * INCH
HAIR = 1e-6  # mm
NEAR = 0.02  # mm; what steps of the travel and of the foot may miss of an extreme


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """A door on its bar between its walls, everything in mm from the fixed side's plumb line."""

    facts: Mapping[str, float]
    value: Mapping[str, float]
    angle: float

    def point(self, edge: float, along: float, up: float) -> tuple[float, float]:
        """Return where a point of the glass is with the leading bottom corner at `edge`.

        Args:
            edge: x of the leading bottom corner.
            along: From the trailing edge toward the leading one, in the glass.
            up: From the foot, in the glass.
        """
        back, corner = self.value["door.width"] - along, self.corner
        x = edge - back * math.cos(self.angle) + up * math.sin(self.angle)
        return x, corner + back * math.sin(self.angle) + up * math.cos(self.angle)

    @property
    def corner(self) -> float:
        """Return the height of the leading bottom corner: the wheels are level in the mean."""
        width, facts = self.value["door.width"], self.facts
        up = self.value["door.height"] - facts["kit.wheel.axle_to_top"]
        heights = [
            (width - along) * math.sin(self.angle) + up * math.cos(self.angle)
            for along in (facts["kit.wheel.inset"], width - facts["kit.wheel.inset"])
        ]
        axle = self.value["bar.height"] + facts["kit.bar.diameter"] / 2 + facts["kit.wheel.tread"]
        return axle + facts["design.door.eccentric"] - sum(heights) / 2

    def wall(self, up: float) -> float:
        """Return the face of the strike wall at a height."""
        share = up / self.facts["survey.front.head_height"]
        bow = self.facts["survey.far.bow"] * 4 * share * (1 - share)
        return self.foot - self.facts["survey.far.lean"] * share - bow

    @property
    def foot(self) -> float:
        """Return where the strike wall's foot is: the sill's width less the fixed wall's part."""
        lean, bow = self.facts["survey.near.lean"], self.facts["survey.near.bow"]
        return self.facts["survey.front.width.sill"] - max(0.0, lean, lean / 2 + bow)

    def depth(self, x: float) -> float:
        """Return how deep the curb lies at a place, straight between its three readings."""
        lean, bow = self.facts["survey.near.lean"], self.facts["survey.near.bow"]
        places = (-max(0.0, lean, lean / 2 + bow), self.value["fixed.edge"], self.foot)
        drops = [self.facts[f"survey.{at}.drop"] for at in ("near", "fixed", "far")]
        first = 0 if x <= places[1] else 1
        share = (x - places[first]) / (places[first + 1] - places[first])
        return drops[first] + share * (drops[first + 1] - drops[first])

    def gap(self, edge: float, along: float) -> float:
        """Return the gap under a point of the foot."""
        x, up = self.point(edge, along, 0.0)
        return up + self.depth(x)

    def gaps(self, edge: float) -> list[float]:
        """Return the gaps under the foot: many places, and the one over the split's reading."""
        width, split = self.value["door.width"], self.value["fixed.edge"]
        over = width - (edge - split) / math.cos(self.angle)
        places = [width * at / STEPS for at in range(STEPS + 1)] + [over]
        return [self.gap(edge, along) for along in places if -HAIR <= along <= width + HAIR]


def drawn(verdict: Verdict, moved: Mapping[str, float]) -> Drawn:
    """Return a job with some facts moved, worked out by the books and drawn here.

    What was read at the fixed panel's wall has near in its name here, the strike wall's has far.
    """
    sides = {"near": verdict.plan.plain("fixed.beside"), "far": verdict.plan.plain("door.shuts_on")}
    named = {f"survey.{wall}.": f"survey.{side}." for side, wall in sides.items()}
    facts = {**{_named(name, named): one for name, one in verdict.facts.items()}, **moved}
    limits = [verdict.library.limits[name].value for name in verdict.program.limits]
    run = verdict.program.run(
        [facts[_named(name, named)] for name in verdict.program.facts], limits
    )
    value = dict(zip((step.name for step in verdict.plan.steps), run.values, strict=True))
    lean = facts["survey.far.lean"] / facts["survey.front.head_height"]
    angle = -math.atan(lean) if facts["design.door.tilted"] else 0.0
    return Drawn(facts=facts, value=value, angle=angle)


def _named(name: str, named: Mapping[str, str]) -> str:
    start = next((start for start in named if name.startswith(start)), "")
    return f"{named[start]}{name.removeprefix(start)}" if start else name


def moves(rng: random.Random) -> dict[str, float]:
    """Draw walls that lean and bow, a curb that falls, and a door that is hung one way or other."""
    inches = {
        "survey.far.lean": rng.uniform(-0.75, 0.75),
        "survey.near.lean": rng.uniform(-0.5, 0.5),
        "survey.far.bow": rng.choice((0.0, rng.uniform(-0.2, 0.2))),
        "survey.near.bow": rng.choice((0.0, rng.uniform(-0.2, 0.2))),
        "survey.front.width.sill": rng.uniform(56, 66),
        "design.fixed.split": rng.uniform(27, 32),
        "design.door.overlap": rng.uniform(1.25, 2.5),
        "design.door.floor_gap": rng.uniform(0.2, 0.6),
        "design.door.eccentric": rng.choice((0.0, rng.uniform(-0.2, 0.2))),
        "design.door.handle.panel_side": rng.choice((0.5, 3.0)),
        "design.door.handle.setback": rng.uniform(2, 4),
    }
    falls = {f"survey.{at}.drop": rng.uniform(0, 0.5) for at in ("near", "fixed", "far")}
    tilted = {"design.door.tilted": float(rng.random() < 0.7)}
    return {**{name: size * INCH for name, size in (inches | falls).items()}, **tilted}


@pytest.fixture(scope="module")
def doors(rules: Rules) -> list[Drawn]:
    verdicts = [judge(load_job(JOBS / f"{name}.yaml", rules), rules) for name in NAMES]
    rng = random.Random(11)  # noqa: S311  # seeded, so that a run can be had again
    made = [drawn(rng.choice(verdicts), moves(rng)) for _ in range(MANY)]
    leans = {(one.angle > 0.0) - (one.angle < 0.0) for one in made}
    assert leans == {-1, 0, 1}
    return made


def test_both_wheels_stand_on_the_bar_with_their_eccentrics_as_set(
    ran: Callable[[], None], doors: list[Drawn]
) -> None:
    for door in doors:
        ran()
        facts, value = door.facts, door.value
        up = value["door.height"] - facts["kit.wheel.axle_to_top"]
        inset, width = facts["kit.wheel.inset"], value["door.width"]
        axle = value["bar.height"] + facts["kit.bar.diameter"] / 2 + facts["kit.wheel.tread"]
        for name, along in (("leading", width - inset), ("trailing", inset)):
            _, height = door.point(0.0, along, up)
            assert value[f"door.setting_{name}"] == pytest.approx(height - axle, abs=1e-6)
        assert value["door.foot"] == pytest.approx(door.corner, abs=1e-6)
        tops = [door.point(0.0, along, value["door.height"])[1] for along in (0.0, width)]
        assert value["door.top"] == pytest.approx(max(tops), abs=1e-6)


def test_the_shut_door_stands_off_its_wall_as_the_books_say(
    ran: Callable[[], None], doors: list[Drawn]
) -> None:
    for door in doors:
        ran()
        facts, value = door.facts, door.value
        edge, width, height = value["door.closed_at"], value["door.width"], value["door.height"]
        places = [door.point(edge, width, height * at / STEPS) for at in range(STEPS + 1)]
        gaps = [door.wall(up) - x for x, up in places]
        if door.angle:
            assert min(gaps) == pytest.approx(facts["kit.strike_gap"], abs=0.2)
            assert max(gaps) == pytest.approx(value["door.strike_gap_widest"], abs=0.2)
        elif not facts["survey.far.bow"]:
            into = max(0.0, facts["survey.far.lean"])
            assert edge == pytest.approx(door.foot - into - facts["kit.strike_gap"], abs=1e-6)
        up = value["door.height"] - facts["kit.wheel.axle_to_top"]
        wheel, _ = door.point(edge, width - facts["kit.wheel.inset"], up)
        face = wheel + facts["kit.wheel.flange"]
        assert value["door.closed_stop_at"] == pytest.approx(face, abs=1e-6)
        room = door.wall(value["bar.height"]) - face
        assert value["door.closed_room"] == pytest.approx(room, abs=1e-6)


def test_the_lap_is_measured_at_foot_and_head(ran: Callable[[], None], doors: list[Drawn]) -> None:
    for door in doors:
        ran()
        edge, panel = door.value["door.closed_at"], door.value["fixed.edge"]
        laps = [panel - door.point(edge, 0.0, up)[0] for up in (0.0, door.value["door.height"])]
        assert door.value["door.overlap"] == pytest.approx(laps[0], abs=1e-6)
        assert door.value["door.overlap_least"] == pytest.approx(min(laps), abs=1e-6)
        behind = laps[0] - door.facts["kit.guide.rear"]
        assert door.value["guide.capture_closed"] == pytest.approx(behind, abs=1e-6)


def handle_from_panel(door: Drawn) -> float:
    """Return how far the open door's handle is from the panel: its side at each of its holes."""
    facts, width = door.facts, door.value["door.width"]
    setback, half = facts["design.door.handle.setback"], facts["design.door.handle.half_width"]
    ups = [facts["design.door.handle.height"]]
    x, y = (facts.get(f"design.door.holes[1].{at}", math.nan) for at in "xy")
    if abs(x - width + setback) < BESIDE:  # not where the handle was moved from its pull's hole
        ups.append(y)
    edge = door.value["door.open_at"]
    sides = [door.point(edge, width - setback - half, up)[0] for up in ups]
    return min(sides) - door.value["fixed.edge"]


def test_the_open_door_is_stopped_by_what_it_meets_first(
    ran: Callable[[], None], doors: list[Drawn], rules: Rules
) -> None:
    limit = {name: one.value for name, one in rules.library.limits.items()}
    stopped = set()
    for door in doors:
        ran()
        facts, value = door.facts, door.value
        edge, height = value["door.open_at"], value["door.height"]
        up = height - facts["kit.wheel.axle_to_top"]
        wheel, _ = door.point(edge, facts["kit.wheel.inset"], up)
        stop = wheel - facts["kit.wheel.flange"]
        assert value["door.open_stop_at"] == pytest.approx(stop, abs=1e-6)
        fitting = value["bar.fixed_end"] + facts["kit.end.fit_reach"]
        corners = [door.point(edge, 0.0, at)[0] for at in (0.0, height)]
        over = {
            "wall": min(corners) - limit["sliding.limit.edge_room"],
            "stop": stop - facts["kit.stop.length"] - fitting,
            "guide": edge
            - value["fixed.edge"]
            - facts["kit.guide.front"]
            - limit["sliding.limit.capture"],
        }
        if facts["design.door.handle.panel_side"] > THICK:
            over["handle"] = handle_from_panel(door) - limit["sliding.limit.handle_clear"]
        first = min(over, key=lambda name: over[name])
        assert over[first] == pytest.approx(0.0, abs=1e-6), over
        stopped.add(first)
        travel = value["door.closed_at"] - edge
        assert value["door.travel"] == pytest.approx(travel, abs=1e-6)
        way_in = travel + facts["kit.strike_gap"] - facts["kit.bulb.free"]
        assert value["door.clear_opening"] == pytest.approx(way_in, abs=1e-6)
    assert stopped >= {"wall", "handle"}


def test_the_gap_under_the_rolling_door(ran: Callable[[], None], doors: list[Drawn]) -> None:
    for door in doors:
        ran()
        value = door.value
        shut, opened = value["door.closed_at"], value["door.open_at"]
        edges = [opened + (shut - opened) * at / STEPS for at in range(STEPS + 1)]
        least = min(gap for edge in edges for gap in door.gaps(edge))
        assert value["door.floor_gap_least"] == pytest.approx(least, abs=NEAR)
        assert value["door.floor_gap_most"] == pytest.approx(max(door.gaps(shut)), abs=NEAR)
        for name, edge in (("shut", shut), ("open", opened)):
            leading, trailing = door.gap(edge, value["door.width"]), door.gap(edge, 0.0)
            assert value[f"door.gap_leading_{name}"] == pytest.approx(leading, abs=1e-6)
            assert value[f"door.gap_trailing_{name}"] == pytest.approx(trailing, abs=1e-6)


def test_the_foot_in_its_guide(ran: Callable[[], None], doors: list[Drawn]) -> None:
    for door in doors:
        ran()
        facts, value = door.facts, door.value
        shut, opened, split = (value[n] for n in ("door.closed_at", "door.open_at", "fixed.edge"))
        edges = [opened + (shut - opened) * at / STEPS for at in range(STEPS + 1)]
        width, turned = value["door.width"], math.cos(door.angle)
        over = [door.gap(edge, width - (edge - split) / turned) for edge in edges]
        base = min(over) - facts["kit.guide.base"]
        assert value["guide.over_base"] == pytest.approx(base, abs=1e-6)
        spent = abs(value["door.wheel_pitch"] * math.sin(door.angle)) / 2
        still = max(0.0, facts["kit.wheel.eccentric"] - facts["design.door.eccentric"] - spent)
        held = facts["kit.guide.height"] - max(over) - still
        assert value["guide.engagement"] == pytest.approx(held, abs=1e-6)


def test_a_floor_gap_that_is_said_to_hold_holds(rules: Rules) -> None:
    verdict = judge(load_job(JOBS / "holds-ordinary.yaml", rules), rules)
    rng = random.Random(5)  # noqa: S311  # as above
    held = 0
    for _ in range(80):
        moved = moves(rng)
        said = drawn(verdict, moved).value
        low, high = said["door.lowest_floor_gap"], said["door.highest_floor_gap"]
        spread, room = said["door.gap_spread"], said["door.sweep_range"]
        if spread > room:
            continue
        for gap in (low, high) if low <= high else ():
            # The glass is cut on the grid; what that takes is given back here.
            at = drawn(verdict, {**moved, "design.door.floor_gap": gap, "job.grid": 0.001}).value
            assert at["door.floor_gap_least"] >= verdict.facts["kit.sweep.least"] - NEAR
            assert at["door.floor_gap_most"] <= verdict.facts["kit.sweep.most"] + NEAR
            held += 1
    assert held > 10


# Sums by hand: plumb width 62 in, readings at 78 in, panel to 29 in, door 34 1/4 by 75 1/2 in with
# its axle 1 3/4 in below its top, wheels 4 1/2 in from its edges, and 1/2 in of room at its wall.
BY_HAND = {
    "survey.front.width.sill": 62.0,
    "survey.front.head_height": 78.0,
    "survey.near.lean": 0.0,
    "survey.near.bow": 0.0,
    "survey.far.bow": 0.0,
    "design.fixed.split": 29.0,
    "design.door.overlap": 1.5,
    "design.height": 76.0,
    "design.door.floor_gap": 0.25,
    "design.door.handle.panel_side": 0.5,
    "kit.drop": 3.5,
    "kit.strike_gap": 0.25,
    "kit.bar.diameter": 1.0,
    "kit.wheel.tread": 1.0,
    "kit.wheel.axle_to_top": 1.75,
    "kit.wheel.inset": 4.5,
    "kit.wheel.flange": 1.25,
}
TURNED = (
    ("door.closed_stop_at", 58.500, 58.974),
    ("door.closed_room", 3.500, 3.491),
    ("door.open_stop_at", 3.750, 4.223),
    ("door.foot", 0.250, 0.142),
    ("door.foot + rise", 0.250, 0.361),
    ("door.setting_leading", 0.0, -0.081),
    ("door.setting_trailing", 0.0, 0.081),
    ("door.overlap", 1.500, 1.498),
    ("door.overlap_least", 1.500, 1.014),
)


@pytest.mark.parametrize("tilted", [False, True], ids=["upright", "tilted"])
def test_a_strike_wall_that_falls_half_an_inch_away(rules: Rules, *, tilted: bool) -> None:
    lean = -0.5 if tilted else 0.0
    value = by_hand(rules, {"survey.far.lean": lean}, tilted=tilted)
    assert (value["door.width"], value["door.height"]) == pytest.approx((34.25, 75.5))
    value["door.foot + rise"] = value["door.foot"] + value["door.foot_rise"]
    for name, upright, turned in TURNED:
        assert value[name] == pytest.approx(turned if tilted else upright, abs=0.0006), name
    upright = by_hand(rules, {"survey.far.lean": 0.0}, tilted=False)["door.clear_opening"]
    assert value["door.clear_opening"] == pytest.approx(upright, abs=0.002)


def test_an_upright_door_is_not_credited_with_the_wall_that_falls_away(rules: Rules) -> None:
    # The bar's wall end goes back by 0.465 in, and only an upright door's wheel stays.
    lean = {"survey.far.lean": -0.5}
    upright, tilted = (
        by_hand(rules, lean, tilted=one)["door.closed_room"] for one in (False, True)
    )
    assert upright == pytest.approx(3.965, abs=0.0006)
    assert tilted == pytest.approx(3.491, abs=0.0006)


def test_a_curb_that_falls_five_sixteenths_evenly_to_the_strike_wall(rules: Rules) -> None:
    # d = 5/16 x / 62: 0.3112 at the shut edge, 0.0025 at the open one's tail; sweep 1/4 to 5/8.
    fall = {"near": 0.0, "fixed": 5 / 16 * 29 / 62, "far": 5 / 16}
    falls = {f"survey.{at}.drop": drop for at, drop in fall.items()}
    moved = {"survey.far.lean": 0.0, "job.grid": 1 / 2048, **falls}
    said = by_hand(rules, moved, tilted=False)
    assert said["door.trailing"] == pytest.approx(0.5)
    assert said["door.lowest_floor_gap"] == pytest.approx(0.2475, abs=0.001)
    assert said["door.highest_floor_gap"] == pytest.approx(0.3138, abs=0.001)
    for gap, most in ((3 / 8, 0.686), (5 / 16, 0.624), (1 / 4, 0.561)):
        at = by_hand(rules, {**moved, "design.door.floor_gap": gap}, tilted=False)
        assert at["door.floor_gap_most"] == pytest.approx(most, abs=0.0006)


def by_hand(rules: Rules, moved: Mapping[str, float], *, tilted: bool) -> dict[str, float]:
    """Return what the books say of the sums' door, lengths in inches."""
    verdict = judge(load_job(JOBS / "holds-ordinary.yaml", rules), rules)
    facts = {name: size * INCH for name, size in {**BY_HAND, **moved}.items()}
    said = drawn(verdict, {**facts, "design.door.tilted": float(tilted)}).value
    return {name: size / INCH for name, size in said.items()}
