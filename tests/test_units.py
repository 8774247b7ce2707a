"""Units: each agrees with an independent library and with what documents print."""

import math
from fractions import Fraction

import pint
import pytest

from ruleset.kinds import KINDS
from ruleset.quantity import read_quantity
from ruleset.units import UNITS


def value_of(text: str, kind: str = "length") -> float:
    """Return the value that a text states, in internal units."""
    return read_quantity(text, KINDS[kind]).value


def test_degree_is_the_nearest_float_to_its_share_of_pi() -> None:
    half_turn = UNITS["deg"].factor * 180
    assert float(half_turn) == math.pi
    assert abs(half_turn - Fraction(math.pi)) < Fraction(2, 10**16)


# What pint 0.25 knows of the same units (its default registry, default_en.txt).
PINT = {
    "in": "inch", "ft": "foot", "mm": "mm", "cm": "cm", "m": "m",
    "sq in": "inch**2", "sq ft": "foot**2", "mm2": "mm**2", "cm2": "cm**2", "m2": "m**2",
    "in3": "inch**3", "ft3": "foot**3", "mm3": "mm**3", "cm3": "cm**3", "m3": "m**3",
    "in4": "inch**4", "mm4": "mm**4", "cm4": "cm**4",
    "lb": "pound", "oz": "ounce", "kg": "kg", "g": "gram",
    "lb/ft2": "pound/foot**2", "kg/m2": "kg/m**2", "lb/ft3": "pound/foot**3", "kg/m3": "kg/m**3",
    "lbf": "pound_force", "N": "newton", "kN": "kilonewton",
    "lbf/ft": "pound_force/foot", "lbf/in": "pound_force/inch",
    "N/m": "newton/m", "N/mm": "newton/mm", "kN/m": "kilonewton/m",
    "psi": "psi", "ksi": "ksi", "psf": "pound_force/foot**2",
    "MPa": "megapascal", "GPa": "gigapascal", "kPa": "kilopascal", "Pa": "pascal",
    "lbf ft": "pound_force*foot", "lbf in": "pound_force*inch",
    "N mm": "newton*mm", "N m": "newton*m", "kN m": "kilonewton*m",
    "lbf in2": "pound_force*inch**2", "N mm2": "newton*mm**2", "N m2": "newton*m**2",
    "N/kg": "newton/kg", "lbf/lb": "pound_force/pound",
    "deg": "degree", "rad": "radian",
    "s": "second", "min": "minute", "h": "hour", "days": "day", "weeks": "week",
    "%": "percent", "in/ft": "inch/foot", "mm/m": "mm/m",
}  # fmt: skip
INTERNAL = {
    "length": "mm", "area": "mm**2", "volume": "mm**3", "inertia": "mm**4", "mass": "kg",
    "areal mass": "kg/mm**2", "density": "kg/mm**3", "force": "newton", "line load": "newton/mm",
    "stress": "megapascal", "moment": "newton*mm", "stiffness": "newton*mm**2",
    "load per mass": "newton/kg", "angle": "radian", "duration": "second", "number": "",
    "slope": "",
}  # fmt: skip


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry[float]:
    return pint.UnitRegistry()


@pytest.mark.parametrize("symbol", sorted({unit.symbol for unit in UNITS.values()}))
def test_unit_agrees_with_pint(registry: pint.UnitRegistry[float], symbol: str) -> None:
    kind = UNITS[symbol].kind
    judged = registry.Quantity(7.0, PINT[symbol]).to(INTERNAL[kind]).magnitude
    assert value_of(f"7 {symbol}", kind) == pytest.approx(judged, rel=1e-12)


@pytest.mark.parametrize("spelling", sorted(UNITS))
def test_every_spelling_is_read(spelling: str) -> None:
    unit = UNITS[spelling]
    assert value_of(f"3 {spelling}", unit.kind) == float(3 * unit.factor)


# Values of published documents. (calc): the document gives the first, the second is worked out.
@pytest.mark.parametrize(
    ("kind", "ours", "printed", "rel"),
    [
        ("moment", "400 ft-lbf", "542 N m", 1e-3),  # 16 CFR 1201.4, Category II (calc)
        ("moment", "150 ft-lbf", "203 N m", 2e-3),  # 16 CFR 1201.4, Category I (calc)
        ("line load", "50 lbf/ft", "730 N/m", 1e-3),  # IBC 2403.4; 729.7 before rounding
        ("line load", "50 lbf/ft", "729.7 N/m", 1e-5),  # the same (calc)
        ("stress", "5 psf", "0.240 kPa", 3e-3),  # IBC 1607, partitions; 239.4 Pa before rounding
        ("stress", "5 psf", "239.4 Pa", 1e-5),  # the same (calc)
        ("length", "22 in", "558.8 mm", 0.0),  # IRC P2708.1.1 prints 559 mm; exact by definition
        ("length", "60 in", "1524 mm", 0.0),  # IRC R308.4.5
        ("area", "900 sq in", "0.58 m2", 2e-3),  # IRC P2708.1
        ("stress", "10000 psi", "69 MPa", 1e-3),  # ASTM C1048, fully tempered surface compression
        ("density", "156.1 lb/ft3", "2500 kg/m3", 3e-4),  # 2500 is EN 572-1 for float glass (calc)
        ("areal mass", "5.120 lb/ft2", "25 kg/m2", 1e-3),  # 10 mm of that glass (calc)
    ],
)
def test_published_pairs(kind: str, ours: str, printed: str, rel: float) -> None:
    assert value_of(ours, kind) == pytest.approx(value_of(printed, kind), rel=rel, abs=0.0)
