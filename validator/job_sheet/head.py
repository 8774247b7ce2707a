"""The head of the sheet: whose job it is, what it is built of, and whether it is released."""

import datetime as dt
from collections.abc import Iterator

from ..filled_tables import NOT_GIVEN
from ..finding import Finding, Review
from ..papers import papers_of
from ..release import READY as READY_WHY
from ..release import waited_for
from ..report.groups import grouped
from ..report.layout import counted
from ..report.text import READY
from ..verdict import Verdict
from .markup import Markup, Piece, el, job_text

_HAND = "design.hand"
_UNITS = {"in": "inches", "mm": "millimetres"}
_MONTHS = (
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
)


def release_words(review: Review) -> str:
    """Return whether a job is ready for the stage asked about, as a heading says it."""
    stage = review.release.stage
    asked = READY.get(stage, f"Ready for {stage}")
    return f"{asked}: {'YES' if review.release.ready else 'NO'}"


def day_words(text: str) -> str:
    """Return a day so that no country reads it the wrong way round.

    Args:
        text: The day, ISO 8601; "" where none was given.

    Example:
        >>> day_words("2026-02-03"), day_words("")
        ('3 February 2026', 'no day given')
    """
    if not text:
        return "no day given"
    day = dt.date.fromisoformat(text)
    return f"{day.day} {_MONTHS[day.month - 1]} {day.year}"


def head_section(verdict: Verdict, review: Review) -> Markup:
    """Return the head of the sheet.

    Args:
        verdict: What the rules found.
        review: The review of the same job.
    """
    title = job_text(review.title) if review.title else "(the job has no title)"
    facts = (el("div", el("dt", label), el("dd", *said)) for label, said in _facts(verdict, review))
    day = el("div", el("dt", "As of"), el("dd", day_words(review.today)))
    return el(
        "header",
        el("h1", "Job sheet ", job_text(review.job)),
        el("p", title, class_="title"),
        el("dl", *facts, day, class_="job"),
        _release(review),
    )


def short_head(verdict: Verdict, review: Review, heading: str) -> Markup:
    """Return the head of one reader's pages: whose job it is, and where it is built.

    Args:
        verdict: What the rules found.
        review: The review of the same job.
        heading: What the pages are.
    """
    texts, job = verdict.job.texts, verdict.job
    said = {
        "Client": texts.get("survey.client", NOT_GIVEN),
        "Site": texts.get("survey.site", NOT_GIVEN),
        "Built": job.arrangement.name,
        "Hand": _hand(verdict),
        "Purchase order": texts.get("order.purchase_order", NOT_GIVEN),
        "Glass from": texts.get("order.supplier", NOT_GIVEN),
        "Finish": texts.get("design.finish", NOT_GIVEN),
        "Code of the sizes": verdict.sizes_code or "none yet, they are not all known",
    }
    facts = (el("div", el("dt", label), el("dd", job_text(text))) for label, text in said.items())
    title = f"{heading}: job {review.job}" + (f", {review.title}" if review.title else "")
    return el("header", el("h1", job_text(title)), el("dl", *facts, class_="job short"))


def _facts(verdict: Verdict, review: Review) -> Iterator[tuple[str, tuple[Piece, ...]]]:
    job = verdict.job
    yield "Job", (job_text(review.job),)
    yield "Arrangement", (job.arrangement.name,)
    yield "Hand", (_hand(verdict),)
    kit = job.kit
    yield "Kit", (job_text(kit.title), " (", job_text(kit.name), ")")
    for layer in verdict.layers:
        label = "Shop policy" if layer.policy else "Code set"
        yield label, (job_text(layer.title), " (", job_text(layer.name), ")")
    style = review.style
    yield "Units", (f"{_UNITS[style.units]}, to {style.grid} {style.units}",)
    yield "File", (job_text(review.file),)


def _hand(verdict: Verdict) -> str:
    given = verdict.job.values.get(_HAND)
    if given is None:
        return f"not known yet ({_HAND})"
    return f"{papers_of(verdict).hand(given.text).removeprefix('a ')}, seen from outside"


def _release(review: Review) -> Markup:
    lines = [el("p", said) for said in _reasons(review)]
    broken = [el("p", el("b", "Not to be relied on: "), one) for one in review.broken]
    counts = review.counts
    checks = (
        f"Of {sum(counts.values()):,} checks, each a clause on a part: "
        f"{counts.get('holds', 0):,} hold, {counts.get('fails', 0):,} fail, "
        f"{counts.get('tight', 0):,} tight, {counts.get('unknown', 0):,} not decided, "
        f"{counts.get('exempt', 0):,} do not apply or are waived."
    )
    return el(
        "section",
        el("h2", release_words(review)),
        *lines,
        *broken,
        el("p", checks, class_="fine"),
        class_="release",
    )


def _reasons(review: Review) -> Iterator[str]:
    if review.release.ready:
        yield READY_WHY
    else:
        yield from _in_the_way(review)
    waived = sum(finding.waived is not None for finding in review.findings)
    if waived:
        said = f"{counted(waived, 'departure')} from the rules {_is(waived)} waived"
        yield f"{said}; see the findings."


def _in_the_way(review: Review) -> Iterator[str]:
    because = set(review.release.because)
    failing = {f.clause for f in review.findings if _stops(f) and f.clause in because}
    if failing:
        numbers = [
            one.number
            for group in grouped(review)
            for one in group.findings
            if _stops(one.finding) and one.finding.clause in because
        ]
        verb = "fails" if len(failing) == 1 else "fail"
        yield f"{counted(len(failing), 'clause')} {verb}: {_span(numbers)}."
    undecided = len(because - failing)
    if undecided:
        waits = len(waited_for(review))
        until = f" until {counted(waits, 'fact')} {_is(waits)} known" if waits else ""
        yield f"{counted(undecided, 'clause')} cannot be decided{until}."


def _stops(finding: Finding) -> bool:
    return finding.outcome == "fails" and finding.level == "error" and finding.waived is None


def _span(numbers: list[int]) -> str:
    """Return numbers of findings in words.

    Example:
        >>> _span([1]), _span([1, 2, 3]), _span([1, 4])
        ('finding 1', 'findings 1 to 3', 'findings 1, 4')
    """
    if not numbers:
        return "see the findings"
    if len(numbers) == 1:
        return f"finding {numbers[0]}"
    if numbers == list(range(numbers[0], numbers[-1] + 1)):
        return f"findings {numbers[0]} to {numbers[-1]}"
    return f"findings {', '.join(map(str, numbers))}"


def _is(number: int) -> str:
    return "is" if number == 1 else "are"
