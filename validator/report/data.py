"""A review for programs: the object that `--format json` prints, in a fixed order of keys."""

import dataclasses
import json
import math
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from types import MappingProxyType

from ruleset.book import Basis
from ruleset.explain import Amount
from ruleset.kinds import Kind
from ruleset.place import Place

from ..finding import OUTCOMES, Assumed, Finding, Review, Stack, Waiver

FORMAT = 2
"""Number of the contract; a change that breaks a reader raises it."""
PLACES = 6  # decimals that values are rounded to

_UNITS: Mapping[str, str] = {
    "length": "mm",
    "area": "mm2",
    "volume": "mm3",
    "section modulus": "mm3",
    "inertia": "mm4",
    "mass": "kg",
    "areal mass": "kg/mm2",
    "density": "kg/mm3",
    "force": "N",
    "line load": "N/mm",
    "stress": "MPa",
    "moment": "N mm",
    "stiffness": "N mm2",
    "load per mass": "N/kg",
    "angle": "rad",
    "duration": "s",
    "date": "s",
}


def review_data(
    review: Review, version: str, digests: Mapping[str, str] = MappingProxyType({})
) -> dict[str, object]:
    """Return one review as dictionaries, lists, texts and numbers.

    Args:
        review: The review.
        version: Version of the program that made it.
        digests: SHA-256 of the job's file under `job` and of the books in force under `books`.
    """
    release = review.release
    return {
        "paneproof": version,
        "format": FORMAT,
        review.of: review.job,
        "title": review.title,
        "file": review.file,
        **({"kit": review.kit} if review.of == "job" else {}),
        "sha256": {"job": digests.get("job", ""), "books": digests.get("books", "")},
        "today": review.today,
        "sizes_code": review.sizes_code,
        "code": list(review.codes),
        "release": {
            "stage": release.stage,
            "ready": release.ready,
            "because": list(release.because),
        },
        "counts": {outcome: review.counts.get(outcome, 0) for outcome in OUTCOMES},
        "past": review.past,
        "findings": [finding_data(finding) for finding in review.findings],
        "to_measure": [
            {
                "fact": one.fact,
                "means": one.means,
                "who": one.who,
                "stage": one.stage,
                "place": place_data(one.place),
                "clauses": list(one.clauses),
            }
            for one in review.asked
        ],
        "assumed": [assumed_data(one) for one in review.assumed],
        "cautions": list(review.cautions),
        "broken": list(review.broken),
    }


def assumed_data(one: Assumed) -> dict[str, str]:
    """Return a value that was taken where none is given."""
    return {"fact": one.fact, "means": one.means, "text": one.text, "source": one.source}


def no_digests(_: Review) -> Mapping[str, str]:
    """Return what is told where no digest is known."""
    return {}


def reviews_data(
    reviews: Sequence[Review],
    version: str,
    digests: Callable[[Review], Mapping[str, str]] = no_digests,
) -> dict[str, object]:
    """Return several reviews as one object."""
    jobs = [review_data(review, version, digests(review)) for review in reviews]
    return {"paneproof": version, "format": FORMAT, "jobs": jobs}


def reviews_json(
    reviews: Iterable[Review],
    version: str,
    digests: Callable[[Review], Mapping[str, str]] = no_digests,
) -> Iterator[str]:
    """Yield the pieces of the JSON of several reviews, each review as it comes.

    Together they are `as_json` of `reviews_data`.
    """
    head, _, tail = as_json(reviews_data((), version)).partition("[]")
    yield f"{head}["
    between = "\n"
    for review in reviews:
        one = as_json(review_data(review, version, digests(review))).rstrip("\n")
        yield between + "\n".join(f"    {line}" for line in one.split("\n"))
        between = ",\n"
    yield f"{'' if between == chr(10) else chr(10) + '  '}]{tail}"


def finding_data(finding: Finding) -> dict[str, object]:
    """Return one finding as the contract has it.

    `marked`, `waived` and `stack` stand only where they apply.
    """
    data: dict[str, object] = {
        "clause": finding.clause,
        "subject": finding.subject,
        "outcome": finding.outcome,
        "level": finding.level,
        "stage": finding.stage,
        "title": finding.title,
        "says": finding.says,
        "do": finding.do,
        "why": finding.why,
        "place": place_data(finding.place),
        "actual": amount_data(finding.actual),
        "limit": amount_data(finding.limit),
        "margin": amount_data(finding.margin),
        "working": list(finding.working),
        "basis": _basis(finding.basis),
        "missing": list(finding.missing),
        "remedies": [plain(remedy) for remedy in finding.remedies],
        "caution": finding.caution,
    }
    if finding.marked:
        data["marked"] = {name: _basis(basis) for name, basis in finding.marked}
    if finding.amended:
        data["amended"] = [plain(one) for one in finding.amended]
    if finding.waived is not None:
        data["waived"] = _waiver(finding.waived)
    if finding.stack is not None:
        data["stack"] = _stack(finding.stack, finding.margin)
    return data


def _stack(stack: Stack, margin: Amount | None) -> dict[str, object]:
    """Return how tolerances stack up; margins and losses in `unit`, shares of 1."""
    return {
        "unit": "" if margin is None else unit_of(margin.kind),
        "margin": rounded(stack.margin),
        "rss": rounded(stack.rss),
        "worst": rounded(stack.worst),
        "taken_up": rounded(stack.taken_up),
        "tried": stack.tried,
        "contributors": [
            {
                "means": one.means,
                "names": list(one.names),
                "loss": rounded(one.loss),
                "share": rounded(one.share),
            }
            for one in stack.contributors
        ],
    }


def place_data(place: Place) -> dict[str, object]:
    """Return a place; line and column are 0 where only the file is known."""
    return {
        "file": place.file,
        "pointer": place.pointer,
        "line": place.line,
        "column": place.column,
    }


def amount_data(amount: Amount | None) -> dict[str, object] | None:
    """Return a value with its internal unit and its text; None where there is none."""
    if amount is None:
        return None
    return {
        "value": rounded(amount.value),
        "unit": unit_of(amount.kind),
        "text": amount.text,
    }


def unit_of(kind: Kind) -> str:
    """Return the internal unit of a kind, "" for plain numbers.

    Example:
        >>> from ruleset.kinds import KINDS
        >>> unit_of(KINDS["length"]), unit_of(KINDS["count"])
        ('mm', '')
    """
    return _UNITS.get(kind.name, "")


def rounded(value: float) -> float | None:
    """Return a value rounded to 1e-6, None where it is not finite; JSON has no word for that.

    Example:
        >>> rounded(19.875 * 25.4), rounded(-1e-9), rounded(float("inf"))
        (504.825, 0.0, None)
    """
    return round(value, PLACES) + 0.0 if math.isfinite(value) else None


def plain(value: object) -> object:
    """Return a data class, a mapping or a sequence as JSON's own forms, anything else as text."""
    found: object = str(value)
    match value:
        case None | bool() | int() | str():
            found = value
        case float():
            found = rounded(value)
        case Place():
            found = place_data(value)
        case Amount():
            found = amount_data(value)
        case Mapping():
            found = {str(key): plain(item) for key, item in value.items()}
        case list() | tuple():
            found = [plain(item) for item in value]
        case _ if dataclasses.is_dataclass(value):
            names = (field.name for field in dataclasses.fields(value))
            found = {name: plain(getattr(value, name)) for name in names}
    return found


def as_json(data: Mapping[str, object]) -> str:
    """Return JSON in ASCII that ends with a line break, so that any encoding can carry it."""
    return json.dumps(data, indent=2, allow_nan=False) + "\n"


def _basis(basis: Basis) -> dict[str, object]:
    """Return by whose word something holds; what to know besides, only where there is something."""
    note = {"note": basis.note} if basis.note else {}
    return {
        "document": basis.document,
        "edition": basis.edition,
        "clause": basis.clause,
        "standing": basis.standing,
        **note,
    }


def _waiver(waiver: Waiver) -> dict[str, object]:
    return {
        "why": waiver.why,
        "by": waiver.by,
        "until": waiver.until,
        "place": place_data(waiver.place),
    }
