"""One screen of a review: whether it is ready, what to change, what is still to be measured.

The whole report stands in `text.py`, with the same numbers; it is what `--explain` prints.
"""

from collections.abc import Iterable, Iterator

from ruleset.book import STAGES

from ..finding import Asked, Review
from .groups import Numbered, errors, grouped
from .layout import Look, cells, counted, cut
from .text import READY, verdict_reason

SHOWN = ("Must change", "To look at")
"""Groups that are listed; notes are counted."""
_CHANGE = "     -> "
FEW = 4
"""Facts that are named for each person who has them."""
CAUTION = "Glass can maim; local code, the maker's sheet and licensed practice come first."
MORE = "--explain tells all: sums, why, basis, notes, cautions; --number N one of them."


def brief_text(review: Review, look: Look, *, cautions: bool = True) -> str:
    """Return one review on one screen, as text that ends with a line break.

    Args:
        review: The review.
        look: Width, colour and characters.
        cautions: Whether to end with a line of caution; several reviews in one report share it.
    """
    lines = [*_head(review, look), *_verdict(review, look)]
    for group in grouped(review):
        if group.title in SHOWN:
            lines += _group(group.title, group.findings, look)
    lines += [*_asked(review, look), "", *_total(review, look)]
    if cautions:
        lines += caution_lines(look)
    return "\n".join(lines) + "\n"


def caution_lines(look: Look) -> list[str]:
    """Return the caution in a line, and how more is told."""
    return [*look.wrap(CAUTION), *(look.paint(line, "dim") for line in look.wrap(MORE))]


def _head(review: Review, look: Look) -> Iterator[str]:
    title = f": {review.title}" if review.title else ""
    for line in look.wrap(f"{review.of.capitalize()} {review.job}{title}"):
        yield look.paint(line, "bold")
    said = [f"kit {review.kit or 'none named'}"] if review.of == "job" else []
    said.append(f"codes {', '.join(review.codes) or 'none named'}")
    if review.today:
        said.append(f"as of {review.today}")
    line = "; ".join(said)
    yield from look.wrap(f"{line[:1].upper()}{line[1:]}")


def _verdict(review: Review, look: Look) -> Iterator[str]:
    asked = READY.get(review.release.stage, f"Ready for {review.release.stage}")
    if review.of == "kit":
        asked = "Sound by itself"
    yield ""
    paint = "green" if review.release.ready else "red"
    for line in look.wrap(f"{asked}: {verdict_reason(review)}"):
        yield look.paint(line, paint)


def _group(title: str, findings: Iterable[Numbered], look: Look) -> Iterator[str]:
    told = tuple(findings)
    yield ""
    yield look.paint(f"{title} ({len(told)})", "head")
    for one in told:
        yield from _entry(one, look) if title == "Must change" else _line(one, look)


def _entry(one: Numbered, look: Look) -> Iterator[str]:
    """Yield an error: its sentence with its clause, then what to change, in a line."""
    finding = one.finding
    danger = "Danger. " if finding.caution else ""
    says = f"{danger}{finding.says or finding.title} [{finding.clause}]"
    for line in look.wrap(says, first=f"{one.number:>3}. "):
        yield look.paint(line, "red")
    change = str(finding.remedies[0]) if finding.remedies else finding.do
    if change:
        room = look.width - len(_CHANGE)
        yield look.paint(f"{_CHANGE}{cut(look.clean(change), room)}", "bold")


def _line(one: Numbered, look: Look) -> Iterator[str]:
    """Yield a warning or a note in one line: what it is about, and its clause."""
    finding = one.finding
    tag = {"tight": "tight: ", "unknown": "not decided: "}.get(finding.outcome, "")
    waived = "waived: " if finding.waived is not None else tag
    clause = f" [{finding.clause}]"
    room = look.width - 5 - cells(clause)
    told = finding.title if finding.outcome == "tight" else finding.says or finding.title
    said = cut(look.clean(f"{waived}{told}"), room)
    yield f"{one.number:>3}. {said}{clause}"


def _asked(review: Review, look: Look) -> Iterator[str]:
    if not review.asked:
        return
    yield ""
    yield look.paint(f"Still to measure ({len(review.asked)})", "head")
    by_who: dict[str, list[Asked]] = {}
    for one in sorted(review.asked, key=lambda asked: STAGES.index(asked.stage)):
        by_who.setdefault(one.who, []).append(one)
    for who, facts in by_who.items():
        named = ", ".join(one.fact for one in facts[:FEW])
        more = f" and {len(facts) - FEW} more" if len(facts) > FEW else ""
        yield from look.wrap(
            f"{who.removeprefix('the ')}: {len(facts)} ({named}{more})", first="  "
        )


def _total(review: Review, look: Look) -> Iterator[str]:
    many = {group.title: len(group.findings) for group in grouped(review)}
    said = [
        counted(errors(review), "error"),
        f"{many.get('To look at', 0)} to look at",
        counted(many.get("Notes", 0), "note"),
        f"{len(review.asked)} to measure",
    ]
    ready = "yes" if review.release.ready else "no"
    line = f"Ready: {ready}; {', '.join(said)}"
    yield from (look.paint(one, "bold") for one in look.wrap(line))
