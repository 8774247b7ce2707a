"""The whole sheet, or the pages of one reader, in one file that asks for nothing from outside."""

import re
from collections.abc import Iterator, Mapping
from hashlib import sha256

from ..drawing import draw
from ..drawing.drafting import PAGE_SIZES, PageSize
from ..filled_tables import Filling
from ..finding import Review
from ..pane_drawing import draw_pane_page, panes
from ..pane_drawing import shape_of as pane_shape
from ..report.brief import CAUTION
from ..settingout import SettingOut, setting_out
from ..sheet_reader import load_sheet
from ..take_off import Takeoff, takeoff
from ..verdict import Verdict
from .findings import findings_section
from .head import day_words, head_section, release_words, short_head
from .look import style_sheet
from .markup import Markup, el, joined, section
from .setting_out import hold_section, order_section, setting_out_section
from .sign import assumed_section, cautions_section, client_section, sign_section
from .survey import survey_section
from .tables import table_section
from .waiting import Waiting, measure_section, waiting

READERS = ("office", "client", "glass", "site", "survey")
"""Who a sheet is for: all of it, what the client signs, what the furnace cuts, what is hung by,
what is still to be read."""
FOR_GLASS = ("glass", "holes", "notches")
"""Tables of the take-off that glass is ordered by."""
_NO_RELEASE = "A take-off releases nothing: the head of this sheet says whether to order."
# The page may show what it holds and nothing else, whatever a text in it managed to say.
_POLICY = "default-src 'none'; style-src 'unsafe-inline'"
_PROLOGUE = re.compile(r"^\s*<\?xml[^>]*\?>\s*")
_CLIENT_DRAWING = 146.0
"""Height of the drawing on a client's page, mm."""
_SIDES = 28.0  # margins of a page at both sides, mm


def sheet_html(  # noqa: PLR0913  # each has a usual value
    verdict: Verdict,
    review: Review,
    *,
    paper: str = "letter",
    reader: str = "office",
    digest: str = "",
    taken_off: Takeoff | None = None,
    set_out: SettingOut | None = None,
) -> str:
    """Return the job sheet as one HTML file.

    Args:
        verdict: What the rules found.
        review: The review of the same job; its day stands on every page.
        paper: letter or a4.
        reader: Who it is for, one of `READERS`.
        digest: A short hash of the job's file, which stands on every page; "" for none.
        taken_off: The take-off; by the shipped sheet for None.
        set_out: The setting-out; by the shipped sheet for None.

    Raises:
        ValueError: There is no such paper or reader.
        RulesetError: A shipped sheet names what the books do not have.
        PaneError: The notches of a pane make no one outline.

    Example:
        >>> verdict, found = judge(job, rules), review(job, rules)  # doctest: +SKIP
        >>> html = sheet_html(verdict, found)  # doctest: +SKIP
    """
    if reader not in READERS:
        raise ValueError(f"There is no reader {reader}; there are {', '.join(READERS)}.")
    if paper not in PAGE_SIZES:
        raise ValueError(f"There is no paper {paper}; there are {', '.join(PAGE_SIZES)}.")
    pages = _Pages(verdict, review, paper, taken_off, set_out)
    sections = {
        "office": pages.office,
        "client": pages.client,
        "glass": pages.glass,
        "site": pages.site,
        "survey": pages.survey,
    }[reader]()
    return _document(review, paper, reader, digest, joined(sections))


class _Pages:
    """The sections of one job, for whichever reader."""

    def __init__(
        self,
        verdict: Verdict,
        review: Review,
        paper: str,
        taken_off: Takeoff | None,
        set_out: SettingOut | None,
    ) -> None:
        self.verdict = verdict
        self.review = review
        self.paper = paper
        self.taken_off = taken_off or takeoff(verdict, review=review)
        self.set_out = set_out or setting_out(verdict)
        missing = (*self.taken_off.missing, *self.set_out.missing)
        self.found = waiting(review.asked, missing)

    def office(self) -> Iterator[Markup | None]:
        """Yield all of it."""
        yield head_section(self.verdict, self.review)
        yield sign_section(self.verdict)
        yield _drawing(draw(self.verdict, self.review, paper=self.paper))
        yield findings_section(self.review)
        yield measure_section(self.found)
        yield assumed_section(self.review.assumed)
        yield _take_off(self.taken_off, self.found)
        yield setting_out_section(self.set_out, self.found)
        yield order_section(self.set_out, self.found)
        yield hold_section(self.set_out)
        yield cautions_section(self.review.cautions)

    def client(self) -> Iterator[Markup | None]:
        """Yield what the client signs, without findings, on one page."""
        yield short_head(self.verdict, self.review, "Drawing for the client")
        page = PAGE_SIZES[self.paper]
        size = PageSize(name="part of a page", width=page.width - _SIDES, height=_CLIENT_DRAWING)
        svg = draw(self.verdict, self.review, paper=self.paper, size=size, marked=False)
        yield el("div", Markup(_PROLOGUE.sub("", svg).strip()), class_="small-drawing")
        declared = load_sheet("client", self.verdict)
        filling = Filling(self.verdict)
        tables = [table_section(filling.table(table), self.found) for table in declared.tables]
        yield el("h2", declared.title, class_="aside")
        yield el("div", *tables, class_="beside")
        yield el("p", declared.about)
        yield client_section(self.verdict)

    def glass(self) -> Iterator[Markup | None]:
        """Yield the order list, then each pane on a page of its own."""
        yield short_head(self.verdict, self.review, "Glass order")
        says = el("span", CAUTION, class_="fine")
        yield el("p", f"{self.taken_off.standing} ", says, class_="standing")
        yield el("h2", "The list", class_="aside")
        tables = (one for one in self.taken_off.tables if one.key in FOR_GLASS)
        yield joined(table_section(one, self.found) for one in tables)
        for part in panes(self.verdict):
            shape = pane_shape(self.verdict, part)
            yield _drawing(draw_pane_page(self.verdict, self.review, shape, paper=self.paper))

    def site(self) -> Iterator[Markup | None]:
        """Yield what is hung by: lines and heights, the order of work, the hold points."""
        yield short_head(self.verdict, self.review, "For the site")
        yield setting_out_section(self.set_out, self.found)
        yield order_section(self.set_out, self.found)
        yield hold_section(self.set_out)
        yield cautions_section(self.review.cautions)

    def survey(self) -> Iterator[Markup | None]:
        """Yield a box for each reading that is not given, with a sketch of where it is read."""
        yield short_head(self.verdict, self.review, "Survey")
        yield from survey_section(self.verdict)


def _document(review: Review, paper: str, reader: str, digest: str, body: Markup) -> str:
    day = f"As of {day_words(review.today)}"
    style = style_sheet(
        PAGE_SIZES[paper],
        job=f"Job {review.job}",
        release=release_words(review),
        day=f"{day}; job file {digest}" if digest else day,
    )
    title = f"Job sheet {review.job}: {review.title}".removesuffix(": ")
    head = el(
        "head",
        el("meta", charset="utf-8"),
        el("meta", http_equiv="Content-Security-Policy", content=_POLICY),
        el("meta", name="viewport", content="width=device-width, initial-scale=1"),
        el("title", title if reader == "office" else f"{title} (for {reader})"),
        el("style", Markup(style)),
    )
    whole = el("html", head, "\n", el("body", el("main", body), class_=reader), lang="en")
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


def digest_of(data: bytes) -> str:
    """Return the short hash of a job's file that stands on its pages."""
    return sha256(data).hexdigest()[:8]
