"""The survey to be filled in on site: a sketch of what is read where, a box for each reading."""

from collections.abc import Iterator

from ruleset.book import Fact

from ..blank import may_be
from ..verdict import Verdict
from ..walk import Section, sections
from .markup import Markup, el, section

_WIDE, _TALL = 180.0, 76.0  # mm, of the sketch
_LEFT, _RIGHT = 52.0, 128.0  # where the walls stand on it
_HEAD, _SILL = 10.0, 62.0
_INK = {"stroke": "#000", "fill": "none"}


def survey_section(verdict: Verdict) -> Iterator[Markup]:
    """Yield the sketch, and by section a box for each fact of the survey that is not given.

    Args:
        verdict: The job, judged; for a job that was just begun every fact is open.
    """
    yield el("h2", "What is read where", class_="aside")
    yield el("div", _sketch(_walls(verdict)), class_="small-drawing")
    open_ = [(one, _open(verdict, one)) for one in sections(verdict.library)]
    asked = [(one, facts) for one, facts in open_ if facts and one.source == "survey"]
    if not asked:
        yield section("Survey", el("p", "Nothing: every reading is given."))
        return
    many = sum(len(facts) for _, facts in asked)
    words = (
        "Left and right are seen from outside. Measure everything yourself, write what you read, "
        "and ? where it cannot be read yet; nothing is taken for granted."
    )
    groups = (
        el("div", el("h3", one.title), *(_ask(fact, verdict) for fact in facts), class_="asks")
        for one, facts in asked
    )
    body = el("div", *groups, class_="laid")
    yield section(f"Survey ({many} to read)", body, opening=(el("p", words),))


def _open(verdict: Verdict, one: Section) -> list[Fact]:
    job = verdict.job
    lists = (name for name, rows in job.rows.items() if rows is not None)
    given = {*job.values, *job.texts, *lists}
    unread = {name for name, value in job.values.items() if value.value != value.value}  # nan
    return [fact for fact in one.facts if fact.name not in given or fact.name in unread]


def _ask(fact: Fact, verdict: Verdict) -> Markup:
    said = el(
        "span",
        fact.means,
        el("span", f" ({fact.path}: {may_be(fact, verdict.job.style)})", class_="fine"),
    )
    return el("p", said, el("span", class_="blank"), class_="ask")


def _walls(verdict: Verdict) -> tuple[str, str]:
    """Return what the walls are called, the one on the left first."""
    names = (name.split(".") for name in verdict.library.facts)
    found = [one[1] for one in names if one[0] == "survey" and one[2:] == ["lean"]]
    return (found[0], found[-1]) if found else ("", "")


def _sketch(walls: tuple[str, str]) -> Markup:
    """Return the opening from outside, with what is read where by the ends of its names."""
    middle = (_HEAD + _SILL) / 2
    lines = [
        ((_LEFT, _HEAD - 6), (_LEFT, _SILL + 6)),
        ((_RIGHT, _HEAD - 6), (_RIGHT, _SILL + 6)),
        ((_LEFT, _SILL), (_RIGHT, _SILL)),
    ]
    thin = [
        ((_LEFT, _HEAD), (_RIGHT, _HEAD)),
        ((_LEFT, middle), (_RIGHT, middle)),
        ((_LEFT, _SILL + 4), (_RIGHT, _SILL + 4)),
        ((_LEFT, _SILL), (_RIGHT, _HEAD)),
        ((_RIGHT, _SILL), (_LEFT, _HEAD)),
        ((_RIGHT + 26, _HEAD), (_RIGHT + 26, _SILL)),
    ]
    words = [
        ("width.head", 90.0, _HEAD - 1.5, "middle"),
        ("width.middle", 90.0, middle - 5.0, "middle"),
        ("width.sill", 90.0, _SILL + 9.0, "middle"),
        (f"{walls[0]}.diagonal", 66.0, _SILL - 3.0, "start"),
        (f"{walls[1]}.diagonal", 114.0, _SILL - 3.0, "end"),
        (f"{walls[0]}.lean at the head", _LEFT - 3.0, _HEAD, "end"),
        (f"{walls[0]}.bow at the middle", _LEFT - 3.0, middle, "end"),
        (f"{walls[0]}.drop, fall", _LEFT - 3.0, _SILL, "end"),
        (f"{walls[1]}.lean", _RIGHT + 3.0, _HEAD, "start"),
        (f"{walls[1]}.bow", _RIGHT + 3.0, middle, "start"),
        (f"{walls[1]}.drop, fall", _RIGHT + 3.0, _SILL, "start"),
        ("head_height", _RIGHT + 28.0, middle, "start"),
    ]
    strokes = [
        el("path", d=f"M{a} {b} L{c} {d}", stroke_width=width, **_INK)
        for group, width in ((lines, "0.7"), (thin, "0.25"))
        for (a, b), (c, d) in group
    ]
    texts = [
        el("text", said, x=f"{x}", y=f"{y}", text_anchor=anchor, font_size="3.5", fill="#000")
        for said, x, y, anchor in words
    ]
    label = "The opening from outside, with the names of its readings where they are taken"
    box = f"0 0 {_WIDE} {_TALL}"
    return el("svg", *strokes, *texts, viewBox=box, role="img", aria_label=label)
