"""A plugin's findings, checked before anything is built on them."""

from collections.abc import Iterable, Iterator, Mapping
from types import UnionType
from typing import Any, Union, get_args, get_origin, get_type_hints

from ruleset.book import LEVELS, STAGES, STANDINGS

from .finding import OUTCOMES, Finding


def fault_in(given: object) -> str:
    """Return what is wrong with a plugin's finding, as the rest of a sentence; "" for nothing.

    Args:
        given: What the plugin gave as a finding.

    Example:
        >>> fault_in("too wide")
        'gave an object of type str as a finding; give a Finding.'
    """
    if not isinstance(given, Finding):
        return f"gave an object of type {type(given).__name__} as a finding; give a Finding."
    wrong = _misfit(given, Finding, "")
    if wrong:
        return f"gave a finding in which {wrong}."
    wrong = _first(_faults(given))
    return wrong and f"gave the finding {given.clause!r} {wrong}."


def _faults(finding: Finding) -> Iterator[str]:
    """Yield what is wrong with a finding whose values are of their types."""
    for name in ("clause", "subject", "title", "says"):
        if not getattr(finding, name).strip():
            yield f"whose {name} is empty; write it"
    words = {"outcome": OUTCOMES, "level": LEVELS, "stage": STAGES}
    for name, known in words.items():
        value = getattr(finding, name)
        if value not in known:
            yield f"whose {name} is {value!r}; it is one of {', '.join(known)}"
    for basis in (finding.basis, *(one for _, one in finding.marked)):
        if basis.standing not in STANDINGS:
            sure = ", ".join(STANDINGS)
            yield f"whose basis stands on {basis.standing!r}; it is one of {sure}"
    place = finding.place
    if min(place.line, place.column) < 0:
        yield f"whose place is line {place.line}, column {place.column}; both are from 0"


def _misfit(value: object, needed: Any, path: str) -> str:  # noqa: ANN401  # any type there is
    """Return what in a value is not of the type declared for it; "" for nothing."""
    origin, inner = get_origin(needed), get_args(needed)
    if origin in (UnionType, Union):
        found = [_misfit(value, one, path) for one in inner]
        return "" if "" in found else found[0]
    wanted = origin or needed
    if not _is_a(value, wanted):
        return f"{path} is of type {type(value).__name__}, not {wanted.__name__}"
    if isinstance(value, tuple) and origin is tuple:
        each = inner[:1] * len(value) if inner[1:] == (...,) else inner
        if len(each) != len(value):
            return f"{path} has {len(value)} values; it has {len(each)}"
        pairs = enumerate(zip(value, each, strict=True), start=1)
        return _first(_misfit(one, kind, f"{path}[{at}]") for at, (one, kind) in pairs)
    if isinstance(value, Mapping) and inner:
        return _first(_misfit(one, inner[1], f"{path}[{key}]") for key, one in value.items())
    fields = get_type_hints(wanted) if hasattr(wanted, "__match_args__") else {}
    inside = f"{path}." if path else ""
    return _first(_misfit(getattr(value, one), fields[one], f"{inside}{one}") for one in fields)


def _is_a(value: object, wanted: type) -> bool:
    """Return whether a value is of a type; yes is no number, but a whole number is one."""
    if wanted in (int, float):
        return type(value) in (int, wanted)
    return isinstance(value, wanted)


def _first(found: Iterable[str]) -> str:
    return next((one for one in found if one), "")
