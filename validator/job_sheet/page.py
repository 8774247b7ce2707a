"""The whole sheet: every section in order, in one file that asks for nothing from outside."""

import re
from collections.abc import Mapping

from ..drawing import draw
from ..drawing.drafting import PAGE_SIZES
from ..finding import Review
from ..settingout import SettingOut, setting_out
from ..takeoff import Takeoff, takeoff
from ..verdict import Verdict
from .findings import findings_section
from .head import day_words, head_section, release_words
from .look import style_sheet
from .markup import Markup, el, joined, section
from .setting_out import hold_section, order_section, setting_out_section
from .sign import assumed_section, cautions_section, sign_section
from .tables import table_section
from .waiting import Waiting, measure_section, waiting

_NO_RELEASE = "A take-off releases nothing: the head of this sheet says whether to order."
# The page may show what it holds and nothing else, whatever a text in it managed to say.
_POLICY = "default-src 'none'; style-src 'unsafe-inline'"
_PROLOGUE = re.compile(r"^\s*<\?xml[^>]*\?>\s*")


def sheet_html(
    verdict: Verdict,
    review: Review,
    *,
    paper: str = "letter",
    taken_off: Takeoff | None = None,
    set_out: SettingOut | None = None,
) -> str:
    """Return the job sheet as one HTML file.

    Args:
        verdict: What the rules found.
        review: The review of the same job; its day stands on every page.
        paper: letter or a4.
        taken_off: The take-off; by the shipped sheet for None.
        set_out: The setting-out; by the shipped sheet for None.

    Raises:
        ValueError: There is no such paper.
        RulesetError: A shipped sheet names what the books do not have.

    Example:
        >>> verdict, found = judge(job, rules), review(job, rules)  # doctest: +SKIP
        >>> html = sheet_html(verdict, found)  # doctest: +SKIP
    """
    drawing = draw(verdict, review, paper=paper)
    taken_off = taken_off or takeoff(verdict, review=review)
    set_out = set_out or setting_out(verdict)
    found = waiting(review.asked, (*taken_off.missing, *set_out.missing))
    sections = (
        head_section(verdict, review),
        sign_section(verdict),
        _drawing(drawing),
        findings_section(review),
        measure_section(found),
        assumed_section(review.assumed),
        _take_off(taken_off, found),
        setting_out_section(set_out, found),
        order_section(set_out, found),
        hold_section(set_out),
        cautions_section(review.cautions),
    )
    return _document(review, paper, joined(sections))


def _document(review: Review, paper: str, body: Markup) -> str:
    size = PAGE_SIZES[paper]
    style = style_sheet(
        size,
        job=f"Job {review.job}",
        release=release_words(review),
        day=f"As of {day_words(review.today)}",
    )
    head = el(
        "head",
        el("meta", charset="utf-8"),
        el("meta", http_equiv="Content-Security-Policy", content=_POLICY),
        el("meta", name="viewport", content="width=device-width, initial-scale=1"),
        el("title", f"Job sheet {review.job}: {review.title}".removesuffix(": ")),
        el("style", Markup(style)),
    )
    whole = el("html", head, "\n", el("body", el("main", body)), lang="en")
    return f"<!DOCTYPE html>\n{whole.html}\n"


def _drawing(svg: str) -> Markup:
    """Return the drawing on a page of its own; it brings its frame, title block and own text."""
    return el(
        "section",
        el("h2", "Drawing", class_="aside"),
        Markup(_PROLOGUE.sub("", svg).strip()),
        class_="drawing",
    )


def _take_off(taken_off: Takeoff, found: Mapping[str, Waiting]) -> Markup:
    tables = (table_section(table, found) for table in taken_off.tables)
    says = _NO_RELEASE if taken_off.standing is None else str(taken_off.standing)
    about = (el("p", says), el("p", taken_off.about))
    return section(taken_off.heading, *tables, opening=about)
