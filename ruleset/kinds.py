"""What a value may be: its kind, its dimension, and how closely it is compared."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

Dims = tuple[int, int, int, int, int]
"""Powers of length, mass, force, angle and time, in that order.

Force stands on its own beside mass and length: standard gravity is then a value in N/kg that a book
names, and no formula can turn a mass into a force without saying so.
"""

PLAIN: Dims = (0, 0, 0, 0, 0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """One sort of value.

    Attributes:
        name: The word a book writes after `kind:`.
        dims: Powers of the five dimensions.
        hair: Two values closer than this are equal; internal units (mm, kg, N, MPa, rad, s).
            None where values of the kind may not be compared.
        step: The least move that a proof makes past a limit; internal units. None where there is
            no usual one.
    """

    name: str
    dims: Dims
    hair: float | None
    step: float | None


_SIXTEENTH_INCH = 1.5875  # mm; an inch is 25.4 mm exactly: NIST SP 811 (2008), B.8 (memory)
_SQUARE_INCH = 645.16  # mm2; the inch squared
_TENTH_DEGREE = 0.0017453292519943296  # rad; pi / 1800
_HOUR = 3600.0  # s
_DAY = 86400.0  # s

# Hairs and steps are this project's own choice: a hair is far above the rounding of sums of floats
# and far below anything that can be measured; a step is the usual least move in the trade.
_ALL = (
    Kind(name="length", dims=(1, 0, 0, 0, 0), hair=1e-6, step=_SIXTEENTH_INCH),
    Kind(name="area", dims=(2, 0, 0, 0, 0), hair=1e-3, step=_SQUARE_INCH),
    Kind(name="volume", dims=(3, 0, 0, 0, 0), hair=None, step=None),
    Kind(name="section modulus", dims=(3, 0, 0, 0, 0), hair=None, step=None),
    Kind(name="inertia", dims=(4, 0, 0, 0, 0), hair=None, step=None),
    Kind(name="mass", dims=(0, 1, 0, 0, 0), hair=1e-9, step=0.1),
    Kind(name="areal mass", dims=(-2, 1, 0, 0, 0), hair=None, step=None),
    Kind(name="density", dims=(-3, 1, 0, 0, 0), hair=None, step=None),
    Kind(name="force", dims=(0, 0, 1, 0, 0), hair=1e-6, step=1.0),
    Kind(name="line load", dims=(-1, 0, 1, 0, 0), hair=None, step=None),
    Kind(name="stress", dims=(-2, 0, 1, 0, 0), hair=1e-6, step=1.0),
    Kind(name="moment", dims=(1, 0, 1, 0, 0), hair=None, step=None),
    Kind(name="stiffness", dims=(2, 0, 1, 0, 0), hair=None, step=None),
    Kind(name="load per mass", dims=(0, -1, 1, 0, 0), hair=None, step=None),
    Kind(name="angle", dims=(0, 0, 0, 1, 0), hair=1e-9, step=_TENTH_DEGREE),
    Kind(name="duration", dims=(0, 0, 0, 0, 1), hair=1e-6, step=_HOUR),
    Kind(name="date", dims=(0, 0, 0, 0, 1), hair=1e-6, step=_DAY),
    Kind(name="number", dims=PLAIN, hair=1e-9, step=0.01),
    Kind(name="slope", dims=PLAIN, hair=1e-9, step=0.001),
    Kind(name="count", dims=PLAIN, hair=1e-9, step=1.0),
    Kind(name="word", dims=PLAIN, hair=None, step=None),
    Kind(name="yes/no", dims=PLAIN, hair=None, step=None),
)

KINDS: Mapping[str, Kind] = MappingProxyType({kind.name: kind for kind in _ALL})
"""Every kind by its name; where kinds share a dimension the default one stands first."""

TEXT = Kind(name="text", dims=PLAIN, hair=None, step=None)
"""Of a fact that stands on papers as it was written: a name, a finish. No formula reads it."""

_BY_DIMS: Mapping[Dims, Kind] = MappingProxyType({kind.dims: kind for kind in reversed(_ALL)})

_BASES = ("mass", "force", "angle", "time")
_LENGTHS = {1: "length", 2: "area", 3: "volume"}


def kind_for(dims: Dims) -> Kind | None:
    """Return the default kind of a dimension, or None where no kind has it.

    Args:
        dims: Powers of length, mass, force, angle and time.

    Returns:
        The kind: `number` for a plain number, `volume` for length^3, `duration` for time.

    Example:
        >>> kind_for((1, 0, 0, 0, 0)).name
        'length'
        >>> kind_for((5, 0, 0, 0, 0)) is None
        True
    """
    return _BY_DIMS.get(dims)


def dims_in_words(dims: Dims) -> str:
    """Return a dimension as words for the middle of a sentence.

    Args:
        dims: Powers of length, mass, force, angle and time.

    Example:
        >>> dims_in_words((-1, 0, 1, 0, 0))
        'force per length'
        >>> dims_in_words((4, 0, 0, 0, 0))
        'length^4'
        >>> dims_in_words(PLAIN)
        'a plain number'
    """
    above = _factors(dims, sign=1)
    below = _factors(dims, sign=-1)
    over = " times ".join(above) or "a plain number"
    return " per ".join((over, *below))


def _factors(dims: Dims, *, sign: int) -> tuple[str, ...]:
    """Return the names of the dimensions whose power has this sign, force and mass first."""
    named = [
        base if power * sign == 1 else f"{base}^{power * sign}"
        for base, power in zip(_BASES, dims[1:], strict=True)
        if power * sign > 0
    ]
    length = dims[0] * sign
    if length > 0:
        named.append(_LENGTHS.get(length, f"length^{length}"))
    return tuple(named)
