"""Which spot of a drawing a finding concerns: the first name of its formula that has one."""

from collections.abc import Iterator

from ruleset.formula.cone import leaves
from ruleset.plan import Case

from ..finding import Finding
from ..verdict import Verdict
from .rows import DrawingRows, names_above
from .sizes import Sizes


def places(verdict: Verdict, sizes: Sizes, rows: DrawingRows, finding: Finding) -> Iterator[str]:
    """Yield the spots that a finding concerns, the nearest first.

    Args:
        verdict: The verdict the review was made from.
        sizes: The job's values.
        rows: The rows of the drawing's sheet.
        finding: One of its findings.
    """
    part, row, _ = finding.subject.partition("[")[0].partition(".")
    if row:
        yield from _cuts(finding.subject, part)
    case = _case(verdict, finding)
    book = finding.clause.partition(".")[0]
    if book not in rows.whole and case is not None and case.needs is not None:
        spots = [spot for name in leaves(case.needs) for spot in _spots(verdict, rows, name)]
        # What the case is of comes first where a name has spots of several parts.
        found = map(sizes.plain, spots)
        yield from sorted(found, key=lambda spot: not spot.startswith(f"{part}."))
    yield from map(sizes.plain, rows.places.get(part, ()))


def _cuts(subject: str, part: str) -> Iterator[str]:
    """Yield the holes of a subject such as door.holes[1]+holes[3]."""
    for one in subject.split("+"):
        yield f"{part}.{one.removeprefix(f'{part}.')}"


def _spots(verdict: Verdict, rows: DrawingRows, name: str) -> tuple[str, ...]:
    if name in verdict.library.limits:
        return ()
    above = names_above(name, verdict.library.parts)
    return next((rows.places[one] for one in above if one in rows.places), ())


def _case(verdict: Verdict, finding: Finding) -> Case | None:
    fits = (
        case
        for case in verdict.plan.cases
        if case.clause.name == finding.clause and case.subject == finding.subject
    )
    return next(fits, None)
