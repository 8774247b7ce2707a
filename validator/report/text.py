"""A review for people: what to change, what to look at, what is still to be measured."""

from collections.abc import Collection, Iterable, Iterator

from ruleset.book import STAGES, Basis

from ..cautions import STANDINGS, UNSURE
from ..finding import Asked, Assumed, Finding, Review
from ..phrases import listed
from ..release import READY as READY_WHY
from ..release import waited_for
from .groups import Group, Numbered, errors, grouped, warnings
from .layout import Look, counted

READY: dict[str, str] = {
    "survey": "Survey complete",
    "design": "Design settled",
    "order": "Ready to order",
    "fabricate": "Ready to fabricate",
    "install": "Ready to install",
    "handover": "Ready to hand over",
}
_PAINTS = {"Must change": "red", "To look at": "yellow", "Notes": "bold"}
_MOST_NAMED = 3
_INDENT = 5  # columns before what belongs to a numbered finding


Elsewhere = dict[tuple[str, str, str], str]
"""Findings on another file than the job's, as its kit, and the job that each was told under."""


def review_text(
    review: Review,
    look: Look,
    *,
    every: bool = False,
    cautions: bool = True,
    elsewhere: Elsewhere | None = None,
) -> str:
    """Return one review as text that ends with a line break.

    Args:
        review: The review.
        look: Width, colour and characters.
        every: Whether to list also what waits, holds or does not apply.
        cautions: Whether to end with the cautions; several reviews in one report share them.
        elsewhere: What was told of other files under reviews before this one; added to. It is not
            told at length again.
    """
    lines = [*_head(review, look), *_verdict(review, look)]
    told: dict[str, int] = {}
    before = {} if elsewhere is None else dict(elsewhere)
    for group in grouped(review, every=every):
        lines += _group(group, look, told, before)
    if elsewhere is not None:
        for finding in review.findings:
            if finding.place.file != review.file:
                elsewhere.setdefault(_key(finding), review.job)
    lines += [*_asked(review, look), *assumed_lines(review.assumed, look), *_counts(review, look)]
    if cautions:
        lines += cautions_lines(review.cautions, look)
    return "\n".join(lines) + "\n"


def finding_text(review: Review, number: int, look: Look) -> str:
    """Return all of one finding, by its number; a sentence where there is none of that number."""
    for group in grouped(review):
        for one in group.findings:
            if one.number == number:
                alone = Group(title=group.title, brief=False, findings=(one,))
                lines = [*_head(review, look), *_group(alone, look, {}, {})]
                lines += cautions_lines(review.cautions, look)
                return "\n".join(lines) + "\n"
    last = sum(len(group.findings) for group in grouped(review))
    says = f"{review.of.capitalize()} {review.job} has no finding {number}; the last is {last}."
    return "\n".join(look.wrap(says)) + "\n"


def cautions_lines(cautions: Iterable[str], look: Look) -> list[str]:
    """Return the cautions under their heading, each told once; none for none."""
    told = tuple(dict.fromkeys(cautions))
    lines = look.heading("Before anyone relies on this") if told else []
    for caution in told:
        lines += look.wrap(caution, first="  - ")
    return lines


def standing_words(basis: Basis) -> tuple[str, bool]:
    """Return by whose word something holds, and whether a reader must check it first."""
    said = STANDINGS.get(basis.standing, basis.standing)
    unsure = basis.standing in UNSURE
    named = " ".join(part for part in (basis.document, basis.edition) if part)
    source = ", ".join(part for part in (named, basis.clause) if part)
    marked = f"[{said}]" if unsure else f"({said})" if source else said
    return f"{source} {marked}{_note(basis)}".strip(), unsure


def _note(basis: Basis) -> str:
    note = basis.note
    if not note or (basis.standing == "common practice" and note == "no source"):
        return ""
    return f". {note}" if note[0].isupper() else f"; {note}"


def _head(review: Review, look: Look) -> Iterator[str]:
    title = f": {review.title}" if review.title else ""
    for line in look.wrap(f"{review.of.capitalize()} {review.job}{title}"):
        yield look.paint(line, "bold")
    yield "=" * look.width
    yield from look.field("File", review.file, indent=2)
    if review.of == "job":
        yield from look.field("Kit", review.kit or "none named", indent=2)
        yield from look.field("Day", review.today or "none given", indent=2)
    yield from look.field("Codes", ", ".join(review.codes) or "none named", indent=2)


def _verdict(review: Review, look: Look) -> Iterator[str]:
    release = review.release
    yield ""
    asked = READY.get(release.stage, f"Ready for {release.stage}")
    if review.of == "kit":
        asked = "Sound by itself"
    paint = "green" if release.ready else "red"
    for line in look.wrap(f"{asked}: {verdict_reason(review)}"):
        yield look.paint(line, paint)


def verdict_reason(review: Review) -> str:
    """Return yes or no, and why."""
    if review.release.ready:
        return f"YES. {_why_ready(review)}"
    return f"NO, because {_why_not(review)}"


def _why_ready(review: Review) -> str:
    waived = sum(finding.waived is not None for finding in review.findings)
    if review.of == "kit":
        return "No clause that concerns the kit alone fails, and none is undecided."
    if not waived:
        return READY_WHY
    return f"{READY_WHY} {counted(waived, 'departure')} {'is' if waived == 1 else 'are'} waived."


def _why_not(review: Review) -> str:
    because = review.release.because
    failing = _failing(review)
    broken = [name for name in because if name in failing]
    waiting = [name for name in because if name not in failing]
    said = []
    if broken:
        verb = "fails" if len(broken) == 1 else "fail"
        places = _places(review, broken)
        where = f" in {places} places" if places > len(broken) else ""
        said.append(f"{counted(len(broken), 'clause')} {verb}{where} ({_named(broken)})")
    if waiting:
        waits = len(waited_for(review))
        facts = counted(waits, "fact")
        until = f" until {facts} {'is' if waits == 1 else 'are'} known"
        many = counted(len(waiting), "clause")
        said.append(f"{many} cannot be decided{until if waits else ''}")
    if review.broken:
        said.append("a book or a plugin failed on it (see the messages)")
    return (" and ".join(said) or "it was not found ready") + "."


def _failing(review: Review) -> frozenset[str]:
    return frozenset(
        finding.clause
        for finding in review.findings
        if finding.outcome == "fails" and finding.level == "error" and finding.waived is None
    )


def _places(review: Review, clauses: Collection[str]) -> int:
    """Return how many findings tell that clauses fail: a clause may fail of several parts."""
    return sum(
        one.clause in clauses
        and one.outcome == "fails"
        and one.level == "error"
        and one.waived is None
        for one in review.findings
    )


def _named(names: list[str]) -> str:
    more = len(names) - _MOST_NAMED
    rest = f" and {more} more" if more > 0 else ""
    return ", ".join(names[:_MOST_NAMED]) + rest


def _key(finding: Finding) -> tuple[str, str, str]:
    return (str(finding.place), finding.clause, finding.says)


def _group(group: Group, look: Look, told: dict[str, int], before: Elsewhere) -> Iterator[str]:
    yield from look.heading(f"{group.title} ({len(group.findings)})")
    for numbered in group.findings:
        if group.brief:
            yield from _brief(numbered, look)
        else:
            yield ""
            lead = f"{numbered.number:>3}. "
            says = _tag(numbered.finding) + (numbered.finding.says or numbered.finding.title)
            for line in look.wrap(says, first=lead):
                yield look.paint(line, _PAINTS[group.title])
            under = before.get(_key(numbered.finding))
            if under is None:
                yield from _finding(numbered, look, told)
            else:
                yield from look.field("Told", f"at length under {under}", indent=_INDENT)


def _finding(numbered: Numbered, look: Look, told: dict[str, int]) -> Iterator[str]:
    finding = numbered.finding
    if finding.do:
        yield from look.field("To do", finding.do, indent=_INDENT, how="bold")
    for label, remedy in zip(_labels("Cure"), finding.remedies, strict=False):
        yield from look.field(label, str(remedy), indent=_INDENT)
    if finding.caution:
        yield from look.field("Danger", finding.caution, indent=_INDENT, how="yellow")
    if finding.why:
        yield from look.field("Why", finding.why, indent=_INDENT)
    for label, line in zip(_labels("Sums"), _working(numbered, told), strict=False):
        yield from look.field(label, line, indent=_INDENT)
    yield from _waiver(finding, look)
    yield from look.field("Where", str(finding.place), indent=_INDENT)
    yield from look.field("Clause", f"{finding.clause}, for {finding.subject}", indent=_INDENT)
    said, unsure = standing_words(finding.basis)
    yield from look.field("Basis", said, indent=_INDENT, how="yellow" if unsure else "")
    for label, (name, basis) in zip(_labels("Marked"), finding.marked, strict=False):
        said, _ = standing_words(basis)
        yield from look.field(label, f"{name}: {said}", indent=_INDENT, how="yellow")


def _working(numbered: Numbered, told: dict[str, int]) -> Iterator[str]:
    """Return the arithmetic of a finding; steps that stand under another are not told again.

    Args:
        numbered: The finding.
        told: The number under which each step stands; new steps are added.
    """
    elsewhere: set[int] = set()
    for at, line in enumerate(numbered.finding.working):
        under = told.setdefault(line, numbered.number)
        if at == 0 or under == numbered.number:
            yield line
        else:
            elsewhere.add(under)
    if elsewhere:
        yield f"(further steps stand under {listed(sorted(elsewhere))})"


def _labels(first: str) -> Iterator[str]:
    yield first
    while True:
        yield ""


def _tag(finding: Finding) -> str:
    """Return the word that tells how a finding stands, for those that do not simply fail."""
    if finding.waived is not None:
        return "Waived: "
    match finding.outcome:
        case "tight":
            return "Tight (holds as drawn, not over its tolerances): "
        case "unknown":
            return "Not decided: " if finding.missing else ""
    return {"warning": "Warning: ", "note": "Note: "}.get(finding.level, "")


def _waiver(finding: Finding, look: Look) -> Iterator[str]:
    waiver = finding.waived
    if waiver is not None:
        until = f", until {waiver.until}" if waiver.until else ", without end"
        said = f"by {waiver.by}{until}: {waiver.why} ({waiver.place})"
        yield from look.field("Waived", said, indent=_INDENT)


def _brief(numbered: Numbered, look: Look) -> list[str]:
    finding = numbered.finding
    compared = ""
    if finding.outcome == "holds" and finding.actual is not None and finding.limit is not None:
        compared = f": {finding.actual.text} against {finding.limit.text}"
    lacks = f"; lacks {', '.join(finding.missing)}" if finding.missing else ""
    said = f"{finding.title}{compared} ({finding.clause}, for {finding.subject}{lacks})"
    return look.wrap(said, first=f"{numbered.number:>3}. ")


def _asked(review: Review, look: Look) -> Iterator[str]:
    asked, needed = review.asked, frozenset(one.fact for one in waited_for(review))
    if not asked:
        return
    yield from look.heading(f"Still to measure ({len(asked)})")
    by_who: dict[str, list[Asked]] = {}
    for one in sorted(asked, key=lambda asked: STAGES.index(asked.stage)):
        by_who.setdefault(one.who, []).append(one)
    for who, facts in by_who.items():
        yield ""
        yield from (look.paint(line, "bold") for line in look.wrap(_from(who), first="  "))
        for one in facts:
            waits = f"{counted(len(one.clauses), 'clause')} wait{'s' * (len(one.clauses) == 1)}"
            spare = "" if one.fact in needed else ", the release does not"
            said = f"{one.fact}: {one.means}; {waits}{spare}"
            yield from look.wrap(said, first="  - ")


def _from(who: str) -> str:
    return f"From {who}:" if who.startswith("the ") else f"From the {who}:"


def assumed_lines(assumed: Iterable[Assumed], look: Look) -> Iterator[str]:
    """Yield the values that were taken where none is given, under their heading; none for none."""
    told = tuple(assumed)
    if not told:
        return
    yield from look.heading("Taken, because the job does not say")
    for one in told:
        yield from look.wrap(f"{one.fact} = {one.says}: {one.means}", first="  - ")


def _counts(review: Review, look: Look) -> Iterator[str]:
    counts = review.counts
    said = [_outcome(counts.get("holds", 0), "holds", "hold")]
    said.append(_outcome(counts.get("fails", 0), "fails", "fail"))
    if counts.get("tight"):
        said.append(f"{counts['tight']:,} tight")
    later = " (needed at a later stage)" if review.release.ready and counts.get("unknown") else ""
    said.append(f"{counts.get('unknown', 0):,} unknown{later}")
    said.append(f"{counts.get('exempt', 0):,} exempt")
    yield ""
    if review.past:
        yield from look.wrap(past_words(review.past))
        yield ""
    yield from look.wrap(
        f"{counted(errors(review), 'error')}, {counted(warnings(review), 'warning')}. Of "
        f"{sum(counts.values()):,} checks, each a clause on a part: {', '.join(said)}."
    )


def past_words(many: int) -> str:
    """Return what is said of advice that is not told any more."""
    told = "is" if many == 1 else "are"
    return (
        f"{counted(many, 'warning or note', 'warnings and notes')} on survey, design and order "
        f"{told} not told: all of it is built by now. --all tells them."
    )


def _outcome(number: int, one: str, many: str) -> str:
    return f"{number:,} {one if number == 1 else many}"
