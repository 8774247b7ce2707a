"""The findings as they are printed: number, sentence, what to do, sums, place and whose word."""

from collections.abc import Iterator

from ruleset.book import Basis

from ..finding import Finding, Review
from ..phrases import listed
from ..report.groups import Group, Numbered, grouped
from ..report.text import standing_words
from .markup import Markup, Piece, el, job_text, joined, section

_MOST_WHY = 400  # characters of a waiver's reason
_MOST_STEPS = 24
_INVITE = {
    "Must change": "Each of these stands in the way of the release of its stage.",
    "To look at": "None of these stops the release; each wants a decision by somebody.",
    "Notes": "For whoever builds it.",
}


def findings_section(review: Review) -> Markup:
    """Return the findings in the groups and with the numbers of text and drawing."""
    groups = grouped(review)
    if not groups:
        said = "No clause that can be decided fails or is tight."
        if review.asked:
            said = f"{said} Others wait for what is still to be measured."
        return section("Findings", el("p", said))
    many = sum(len(group.findings) for group in groups)
    about = "The numbers are those of the marks in the drawing."
    told: dict[str, int] = {}
    body = (_group(group, told) for group in groups)
    return section(f"Findings ({many})", *body, opening=(el("p", about, class_="note"),))


def mark(number: int, group: str) -> Markup:
    """Return the mark of a finding, drawn, so that it prints without backgrounds.

    Args:
        number: The finding's number.
        group: Title of its group: black for what must change, a heavy ring to look at, else a
            thin one, as in the drawing.
    """
    loud = group == "Must change"
    ring = {"Must change": "8", "To look at": "10"}.get(group, "4")
    circle = el(
        "circle",
        cx="50",
        cy="50",
        r="44",
        fill="#000" if loud else "#fff",
        stroke="#000",
        stroke_width=ring,
    )
    text = el(
        "text",
        str(number),
        x="50",
        y="66",
        text_anchor="middle",
        font_size="46" if number < 100 else "36",  # noqa: PLR2004  # two figures fit
        font_weight="bold",
        fill="#fff" if loud else "#000",
    )
    title = f"Finding {number}"
    return el(
        "svg", circle, text, class_="mark", viewBox="0 0 100 100", role="img", aria_label=title
    )


def _group(group: Group, told: dict[str, int]) -> Markup:
    items = (_finding(one, group.title, told) for one in group.findings)
    start = str(group.findings[0].number)
    return joined(
        (
            el(
                "div",
                el("h3", f"{group.title} ({len(group.findings)})"),
                el("p", _INVITE.get(group.title, ""), class_="note"),
                class_="together",
            ),
            el("ol", *items, start=start, class_="findings"),
        )
    )


def _finding(numbered: Numbered, group: str, told: dict[str, int]) -> Markup:
    finding = numbered.finding
    says = el("p", _tag(finding), finding.says or finding.title, class_="says")
    fields = el("dl", *(_field(label, *said) for label, said in _fields(numbered, told)))
    return el("li", mark(numbered.number, group), says, fields)


def _field(label: str, *said: Piece) -> Markup:
    return el("div", el("dt", label), el("dd", *said))


def _fields(numbered: Numbered, told: dict[str, int]) -> Iterator[tuple[str, tuple[Piece, ...]]]:
    finding = numbered.finding
    if finding.do:
        yield "To do", (el("b", finding.do),)
    for remedy in finding.remedies:
        yield "Cure", (str(remedy),)
    if finding.caution:
        yield "Danger", (el("b", finding.caution),)
    if finding.why:
        yield "Why", (finding.why,)
    steps = tuple(_working(numbered, told))
    if steps:
        yield "Sums", (el("ul", *(el("li", step) for step in steps)),)
    if finding.waived is not None:
        yield "Waived", tuple(_waiver(finding))
    if finding.missing:
        yield "Lacks", (", ".join(finding.missing),)
    yield "Where", (job_text(str(finding.place)),)
    yield "Clause", (f"{finding.clause}, for {finding.subject}",)
    yield "Basis", (_basis(finding.basis),)
    for name, basis in finding.marked:
        yield "Rests on", (f"{name}: ", _basis(basis))


def _basis(basis: Basis) -> Markup:
    said, unsure = standing_words(basis)
    return el("strong", said, class_="unsure") if unsure else joined((said,))


def _working(numbered: Numbered, told: dict[str, int]) -> Iterator[str]:
    """Yield the sums of a finding; steps that stand under another are not told again."""
    elsewhere: set[int] = set()
    shown = 0
    for at, line in enumerate(numbered.finding.working):
        under = told.setdefault(line, numbered.number)
        if at and under != numbered.number:
            elsewhere.add(under)
        elif shown < _MOST_STEPS:
            shown += 1
            yield line
    if elsewhere:
        yield f"(further steps stand under {listed(sorted(elsewhere))})"


def _tag(finding: Finding) -> str:
    if finding.waived is not None:
        return "Waived: "
    match finding.outcome:
        case "tight":
            return "Tight, it holds as drawn and not over its tolerances: "
        case "unknown":
            return "Not decided: "
    return {"warning": "Warning: ", "note": "Note: "}.get(finding.level, "")


def _waiver(finding: Finding) -> Iterator[Piece]:
    waiver = finding.waived
    if waiver is not None:
        yield "by "
        yield job_text(waiver.by)
        yield f", until {waiver.until}: " if waiver.until else ", without end: "
        yield job_text(waiver.why, most=_MOST_WHY)
