"""A turning leaf against what stands in its way, turned step by step by a general library too."""

import math
import random

import pytest
from shapely import affinity
from shapely.geometry import LineString, Point, box
from shapely.geometry.base import BaseGeometry

from validator.swing import first_contact

Leaf = tuple[float, float, float, float]
Obstacle = tuple[float, float, float, float, float]
LEAF = (-20.0, 700.0, -5.0, 5.0)
"""Near, far, back, front: a leaf 720 long and 10 thick, its pivot 20 inside its edge, mm."""
HALF_TURN = math.pi


def degrees(*obstacle: float, leaf: Leaf = LEAF, most: float = HALF_TURN) -> float:
    x, y, to_x, to_y, rise = obstacle
    return math.degrees(first_contact(*leaf, x, y, to_x, to_y, rise, most))


def test_a_corner_comes_to_a_wall() -> None:
    # By hand: the far front corner is hypot(700, 5) from the pivot and stands atan(5 / 700) ahead.
    reach, ahead = math.hypot(700, 5), math.degrees(math.atan2(5, 700))
    expected = math.degrees(math.asin(400 / reach)) - ahead
    assert degrees(-900, 400, 900, 400, 0) == pytest.approx(expected)


def test_the_face_comes_to_a_post() -> None:
    # By hand: a post straight out at 300 is met by the front face, 5 before the middle of the leaf.
    assert degrees(0, 300, 0, 300, 0) == pytest.approx(90 - math.degrees(math.asin(5 / 300)))


def test_the_face_comes_to_a_round_bowl() -> None:
    # By hand: a half circle of radius 150 about (0, 500), its middle toward the leaf: the face is
    # 155 from the centre where they touch.
    expected = 90 - math.degrees(math.asin(155 / 500))
    assert degrees(-150, 500, 150, 500, -150) == pytest.approx(expected)
    # The other half of the circle lies away; the leaf meets the nearer end of its straight side.
    bearing, off = math.degrees(math.atan2(500, 150)), math.degrees(math.asin(5 / 522.015))
    assert degrees(-150, 500, 150, 500, 150) == pytest.approx(bearing - off, abs=1e-4)


def test_the_side_of_a_handle_that_looks_to_the_pivot_comes_to_a_post() -> None:
    # By hand: a post 600 along and 30 before the leaf, once it has turned by 1 rad.
    handle = (600.0, 640.0, 5.0, 65.0)
    post = (600 * math.cos(1) - 30 * math.sin(1), 600 * math.sin(1) + 30 * math.cos(1))
    assert degrees(*post, *post, 0, leaf=handle) == pytest.approx(math.degrees(1))


@pytest.mark.parametrize(
    ("obstacle", "shows"),
    [
        ((300, 0, 300, 0, 0), "a post in the leaf"),
        ((300, -90, 300, 90, 0), "a line through it"),
        ((290, -90, 310, -90, 90), "the middle of an arc in it"),
        ((300, -90, 310, -90, 250), "an arc through it"),
        ((0, 0, 0, 0, 0), "a post on the pivot"),
    ],
)
def test_what_stands_in_the_shut_leaf_stops_it_at_once(obstacle: Obstacle, shows: str) -> None:
    assert degrees(*obstacle) == 0, shows


def test_what_is_not_reached_leaves_the_whole_turn() -> None:
    assert degrees(0, 800, 900, 800, 0) == pytest.approx(180)
    assert degrees(0, 800, 900, 800, 0, most=1.0) == pytest.approx(math.degrees(1.0))
    assert degrees(0, -200, 0, -200, 0) == pytest.approx(180)  # behind it, on the other side


def test_the_heel_comes_round_past_a_right_angle() -> None:
    leaf = (-60.0, 700.0, -5.0, 5.0)
    # By hand: the heel's corner is hypot(60, 5) from the pivot and comes to a wall 40 behind.
    reach, own = math.hypot(60, 5), math.atan2(-5, -60)
    expected = math.degrees((math.atan2(-1, 0) - math.acos(40 / reach) - own) % math.tau)
    assert degrees(-500, -40, 500, -40, 0, leaf=leaf) == pytest.approx(expected)


@pytest.mark.parametrize(
    ("leaf", "obstacle"),
    [((5, 5, -1, 1), (9, 9, 9, 9, 0)), ((0, 9, 1, 1), (9, 9, 9, 9, 0)), (LEAF, (9, 9, 9, 9, 1))],
)
def test_what_has_no_size_has_no_angle(leaf: Leaf, obstacle: Obstacle) -> None:
    with pytest.raises(ValueError, match=r"a leaf has|an arc has"):
        first_contact(*leaf, *obstacle, 1.0)


def drawn(x: float, y: float, to_x: float, to_y: float, rise: float) -> BaseGeometry:
    """Return an obstacle as many short lines through points of a circle by its ends and middle."""
    if (x, y) == (to_x, to_y):
        return Point(x, y)
    if not rise:
        return LineString([(x, y), (to_x, to_y)])
    chord = math.hypot(to_x - x, to_y - y)
    out = complex(-(to_y - y), to_x - x) / chord
    middle = complex(x + to_x, y + to_y) / 2 + rise * out
    radius = chord**2 / (8 * rise) + rise / 2
    centre = middle - radius * out
    begin, through = complex(x, y) - centre, middle - centre
    half = math.atan2((through / begin).imag, (through / begin).real)
    if half == 0 or (half > 0) == (rise > 0):  # the way over the middle is the other way round
        half -= math.copysign(math.tau, half)
    steps = (begin * complex(math.cos(a), math.sin(a)) for a in arc(2 * half))
    return LineString([((centre + step).real, (centre + step).imag) for step in steps])


def arc(whole: float) -> list[float]:
    return [whole * step / 3000 for step in range(3001)]


def marched(leaf: Leaf, obstacle: BaseGeometry, most: float) -> float:
    """Return the angle of the first contact: turned by no more than the gap lets it, each time."""
    near, far, back, front = leaf
    outline = box(near, back, far, front)
    reach = max(math.hypot(along, square) for along in (near, far) for square in (back, front))
    turned = 0.0
    while turned < most:
        gap = affinity.rotate(outline, turned, origin=(0, 0), use_radians=True).distance(obstacle)
        if gap < 1e-4:
            return turned
        turned += gap / reach
    return most


def test_it_is_where_a_leaf_turned_in_small_steps_meets_it() -> None:
    rng = random.Random(8)  # noqa: S311
    met = {"post": 0, "line": 0, "arc": 0}
    for _ in range(1000):
        thick, near = rng.uniform(4, 40), rng.choice([0.0, rng.uniform(-60, 30), 250.0])
        leaf = (near, rng.uniform(300, 900), -thick, thick + rng.choice([0, 60]))
        x, y = rng.uniform(-900, 1000), rng.uniform(-300, 1000)
        to_x, to_y = x + rng.uniform(-500, 500), y + rng.uniform(-500, 500)
        kind = rng.choice([*met])
        obstacle = {
            "post": (x, y, x, y, 0.0),
            "line": (x, y, to_x, to_y, 0.0),
            "arc": (x, y, to_x, to_y, rng.choice([-1, 1]) * rng.uniform(5, 300)),
        }[kind]
        most = rng.uniform(0.5, math.pi)
        found = first_contact(*leaf, *obstacle, most)
        assert found == pytest.approx(marched(leaf, drawn(*obstacle), most), abs=1e-4)
        met[kind] += 0 < found < most
    assert min(met.values()) > 30, met
