"""Panes as plates of glass: mass, strength, holes, hands that carry them."""

import math
from collections.abc import Mapping, Sequence

import numpy as np
from shapely import Point, box

from .draw import Row
from .shape import Array, integral

Answer = float | str
Answers = dict[str, Answer]

GRAVITY = 9.80665  # N/kg, standard: BIPM, the International System of Units, 9th ed., table 8
DENSITY = 2.5e-6  # kg/mm3: EN 572-1
YOUNG = 71700.0  # MPa: ASTM E1300
POISSON = 0.22  # ASTM E1300 (from memory)
WAVES = 60
SOLD = (
    # inch size, metric size, least allowed, mm: ASTM C1036 by way of E1300's table of thicknesses
    (6.35, 6.0, 5.56),
    (7.9375, 8.0, 7.42),
    (9.525, 10.0, 9.02),
    (12.7, 12.0, 11.91),
    (15.875, 16.0, 15.09),
    (19.05, 19.0, 18.26),
)
CUT_OFF = (
    # up to this inch size, off by, mm: 1/16, 5/64, 3/32, 1/8, 5/32, 3/16 in; usual North American
    # values (from memory), the first read
    (6.35, 1.5875),
    (8.0, 1.984375),
    (10.0, 2.38125),
    (12.7, 3.175),
    (16.0, 3.96875),
    (19.05, 4.7625),
)
SURFACE = {
    # MPa for 3 s at 8 in 1000: ASTM E1300, as structural glass guides give them
    "toughened": 93.1,
    "laminated toughened": 93.1,
    "heat strengthened": 46.6,
    "annealed": 23.3,
    "laminated": 23.3,
}
ETCHED = 0.5  # share of the strength left: the same guides
PARTITION = 5 * 4.4482216152605 / 304.8**2  # MPa; 5 psf: IBC 1607, interior walls and partitions
SIDE_LOAD = 50 * 4.4482216152605 / 304.8  # N/mm; 50 lbf/ft: IBC 2403.4
SIDE_HIGHEST = 42 * 25.4  # mm: IBC 2403.4
ONE, TWO = 25.0, 60.0  # kg that one and two people carry: HSE's filter figure; shop policy
EDGE = 1e-6  # mm; a notch's side as near as this to the edge of the pane is cut from it
TEAM = {1: 1.0, 2: 2 / 3}  # share of the sum: HSE L23; a half for three and more


def sold(thickness: float) -> tuple[float, float]:
    """Return metric size and least thickness of what is sold as a thickness, mm."""
    inch, metric, least = min(
        SOLD, key=lambda one: min(abs(one[0] - thickness), abs(one[1] - thickness))
    )
    del inch
    return metric, least


def cut_off(thickness: float) -> float:
    """Return what a pane may be cut off by, mm."""
    return next(off for most, off in CUT_OFF if thickness <= most + 1e-9)


def plies(thickness: float, glass: str) -> tuple[float, float]:
    """Return second moment and modulus for a unit of width, plies of laminate sliding freely."""
    each = thickness / 2 if "laminated" in glass else thickness
    many = round(thickness / each)
    inertia = many * integral(lambda off: off**2, -each / 2, each / 2)
    return inertia, inertia / (each / 2)


def pane(name: str, wide: float, high: float, about: Mapping[str, Answer], crew: float) -> Answers:
    """Return what can be told of a pane.

    Args:
        name: The pane.
        wide: Width, mm.
        high: Height, mm.
        about: Its thickness (mm), glass, surface, and the share of it that the shop weighs.
        crew: People who set it.
    """
    thickness, glass, surface = float(about["thickness"]), str(about["glass"]), about["surface"]
    metric, least = sold(thickness)
    inertia, modulus = plies(least, glass)
    heavy = float(about["weighed"]) * max(thickness, metric)
    areal = DENSITY * heavy
    mass = areal * wide * high
    told: Answers = {
        "area": wide * high,
        "diagonal": abs(complex(wide, high)),
        "treated": "no" if surface == "clear" else "yes",
        "shorter": min(wide, high),
        "longer": max(wide, high),
        "nominal": metric,
        "least thickness": least,
        "weighed thickness": heavy,
        "areal mass": areal,
        "glass mass": mass,
        "inertia": inertia,
        "modulus": modulus,
        "allowable stress": SURFACE[glass] * (ETCHED if surface == "etched" else 1.0),
        "people": 1 if mass <= ONE else 2 if mass <= TWO else 3,
        "lifting index": mass / crew_load(crew),
    }
    return {f"{name} {key}": value for key, value in told.items()}


def holes(name: str, wide: float, high: float, rows: Sequence[Row]) -> Answers:
    """Return places and distances of a pane's holes, counted from 1."""
    told: Answers = {f"{name} hole count": len(rows)}
    for at, (x, y, across) in enumerate(rows, start=1):
        corners = [complex(a, b) for a in (0, wide) for b in (0, high)]
        for key, value in {
            "x": x,
            "y": y,
            "across": across,
            "rim to edge": min(x, wide - x, y, high - y) - across / 2,
            "rim to corner": min(abs(complex(x, y) - one) for one in corners) - across / 2,
        }.items():
            told[f"{name} hole {at} {key}"] = value
    return told


def notches(
    name: str, wide: float, high: float, cut: Sequence[Row], rows: Sequence[Row]
) -> Answers:
    """Return places of a pane's notches, counted from 1; `rows` are its holes."""
    told: Answers = {}
    for at, one in enumerate(cut, start=1):
        x, y, across, up, radius = one
        sides = (x, wide - x - across, y, high - y - up)
        past = [max(wide, high) if side <= EDGE else 0.0 for side in sides]
        grown = (x - past[0], x + across + past[1], y - past[2], y + up + past[3])
        rims = [to_rounded(*grown, radius, hole[0], hole[1]) - hole[2] / 2 for hole in rows]
        for key, value in {
            "x": x,
            "y": y,
            "width": across,
            "height": up,
            "radius": radius,
            "on pane": min(sides),
            "strip": min(side for side in sides if side > EDGE),
            "to hole": min(rims),
            "from level": "yes" if min(sides[2:]) <= EDGE else "no",
            "from side": "yes" if min(sides[:2]) <= EDGE else "no",
            "corner to hole": _corner_to_hole((wide, high), one, rows),
        }.items():
            told[f"{name} notch {at} {key}"] = value
    return told


def _corner_to_hole(size: tuple[float, float], notch: Row, rows: Sequence[Row]) -> float:
    """Return how near a hole comes to a corner that a notch leaves at an edge; inf for none."""
    whole = box(0, 0, *size)
    x, y, across, up, _ = notch
    cut = box(x, y, x + across, y + up)
    if whole.intersection(cut).area == 0:
        return math.inf
    left = whole.difference(cut)
    corners = [
        Point(at)
        for part in getattr(left, "geoms", [left])
        for at in part.exterior.coords
        if whole.exterior.distance(Point(at)) <= EDGE and at not in whole.exterior.coords
    ]
    return min(
        (corner.distance(Point(row[:2])) - row[2] / 2 for corner in corners for row in rows),
        default=math.inf,
    )


def to_rounded(
    left: float, right: float, low: float, top: float, radius: float, x: float, y: float
) -> float:
    """Return how far a point is outside a rectangle with round corners; below 0 inside."""
    core = (left + radius, right - radius, low + radius, top - radius)
    dx, dy = max(core[0] - x, x - core[1]), max(core[2] - y, y - core[3])
    if dx > 0 and dy > 0:
        return math.hypot(dx, dy) - radius
    return max(dx, dy) - radius


def crew_load(crew: float) -> float:
    """Return what a crew may lift together, kg, at the place the shop takes for setting glass.

    NIOSH 94-110: 23 kg at best; 300 mm out, hands at 750 mm, lifted 300 mm, no twist, seldom (once
    in five minutes, at most an hour), poor grip.
    """
    reach = 25 / max(25.0, 30.0)
    hands = 1 - 0.003 * abs(75 - 75)
    rise = 0.82 + 4.5 / 30.0
    grip = 0.90
    return 23 * reach * hands * rise * grip * crew * TEAM.get(round(crew), 0.5)


def plate(size: tuple[float, float], at: float, rigidity: float) -> float:
    """Return how far the free edge of a panel moves under the side load across its width, mm.

    Foot, head and wall edge are hinged. Along the height the load is a sum of sine waves; across
    the width each wave has its particular answer and four that die away from the two edges, whose
    shares are found from the edges' conditions (Kirchhoff's thin plate).

    Args:
        size: Width and height, mm.
        at: Height of the load above the foot, mm.
        rigidity: Of the plate for each unit of width, N mm.
    """
    wide, high = size
    wave = np.arange(1, WAVES + 1) * math.pi / high
    flat = 2 * SIDE_LOAD / high * np.sin(wave * at) / (rigidity * wave**4)
    k = wave * wide
    gone = np.exp(-k)
    one, none = np.ones_like(k), np.zeros_like(k)
    # From either edge inward, s as a share of the width: exp(-k s) and k s exp(-k s). Value and
    # three slopes by k s, at the wave's own edge and at the other.
    own = [one, -one, one, -one], [none, one, -2 * one, 3 * one]
    far = [gone, -gone, gone, -gone], [k * gone, (1 - k) * gone, (k - 2) * gone, (3 - k) * gone]
    turned = (1, -1, 1, -1)
    wall = [*own, *([t * s for t, s in zip(turned, one_, strict=True)] for one_ in far)]
    free = [*far, *([t * s for t, s in zip(turned, one_, strict=True)] for one_ in own)]
    rows = [
        [part[0] for part in wall],
        [part[2] for part in wall],
        [part[2] - POISSON * part[0] for part in free],
        [part[3] - (2 - POISSON) * part[1] for part in free],
    ]
    known = np.stack([-flat, none, POISSON * flat, none], axis=-1)
    square = np.stack([np.stack(row, axis=-1) for row in rows], axis=-2)
    share = np.linalg.solve(square, known[:, :, None])[:, :, 0]
    edge = flat + sum(share[:, j] * free[j][0] for j in range(4))
    z = np.linspace(0, high, 401)
    return float((np.sin(np.outer(z, wave)) @ edge).max())


def strip(size: tuple[float, float], inertia: float, modulus: float, side_at: float) -> Answers:
    """Return how the panel bends: as a strip under the partition load, as a plate from the side.

    The strip's moments are put together from the load by integrating twice, its moves likewise.
    """
    high = size[1]
    z = np.linspace(0, high, 4001)
    step = z[1] - z[0]

    def twice(of: Array) -> Array:
        once = np.concatenate([[0.0], np.cumsum((of[1:] + of[:-1]) / 2) * step])
        again = np.concatenate([[0.0], np.cumsum((once[1:] + once[:-1]) / 2) * step])
        return np.asarray(again - again[-1] * z / high)

    even = -twice(np.full_like(z, PARTITION))
    stiff = YOUNG * inertia
    rigidity = stiff / (1 - POISSON**2)
    return {
        "fixed load stress": float(even.max()) / modulus,
        "fixed load deflection": float((-twice(even) / stiff).max()),
        "fixed side load height": side_at,
        "fixed rigidity": rigidity,
        "fixed edge deflection": plate(size, side_at, rigidity),
    }


def tube(across: float, wall: float) -> tuple[float, float]:
    """Return second moment (mm4) and area (mm2) of a tube, as an integral over its height."""

    def disc(radius: float) -> tuple[float, float]:
        def strip(angle: Array) -> Array:  # as high as its chord is long, seen from the middle
            return 2 * (radius * np.cos(angle)) ** 2

        def moment(angle: Array) -> Array:
            return strip(angle) * (radius * np.sin(angle)) ** 2

        half = math.pi / 2
        return integral(moment, -half, half), integral(strip, -half, half)

    outer, inner = disc(across / 2), disc(max(across / 2 - wall, 0.0))
    return outer[0] - inner[0], outer[1] - inner[1]
