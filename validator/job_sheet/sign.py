"""Who answers for the job, what was assumed, and the cautions."""

from collections.abc import Iterable

from ..finding import Assumed
from ..verdict import Verdict
from .markup import Markup, el, section

_TAKEN = "Taken, because the job does not say"
_SIGNERS = (
    ("Checked by", "who measured and designed it, reading the whole sheet", ""),
    ("Second person", "has read every size against the survey", "order.second_check"),
    ("Client", "agrees hand, height, finish and gaps as drawn", "order.drawing_signed"),
)
"""Role, what the signature says, and the fact of the job that tells of it."""


def sign_section(verdict: Verdict) -> Markup:
    """Return the lines to sign, with what the job already says of each."""
    rows = (
        el(
            "tr",
            el("th", role, el("br"), el("span", says, class_="fine"), scope="row"),
            el("td", _said(verdict, fact)),
            el("td", class_="write"),
            el("td", class_="write"),
            el("td", class_="write"),
        )
        for role, says, fact in _SIGNERS
    )
    heads = (el("th", title, scope="col") for title in _HEADS)
    code = verdict.sizes_code
    words = (
        ("These sizes have the code ", el("b", code), "; a check or signature is given for it.")
        if code
        else ("These sizes have no code yet: they are not all known.",)
    )
    table = el(
        "table",
        el("caption", "Sign once nothing on this sheet is open to you"),
        el("thead", el("tr", *heads)),
        el("tbody", *rows),
        class_="signatures",
    )
    return section("Signatures", el("p", *words), table)


def client_section(verdict: Verdict) -> Markup:
    """Return the line that a client signs: for hand, height, finish and gaps as drawn."""
    finish = verdict.job.texts.get("design.finish", "")
    code = verdict.sizes_code
    words = (
        "I agree hand, height, sizes, glass, gaps and "
        f"{f'the finish, {finish},' if finish else 'the finish (not given yet)'} as they stand here"
        f"{f', revision {code}' if code else ', which is no final revision'}."
    )
    cells = (el("td", el("span", label, class_="fine")) for label in ("Name", "Day", "Signature"))
    table = el("table", el("tbody", el("tr", *cells)), class_="signs")
    return el("div", el("p", el("b", words)), table, class_="keep")


_HEADS = ("Who", "The job says", "Name", "Day", "Signature")


def _said(verdict: Verdict, fact: str) -> str:
    if not fact:
        return "does not tell"
    given = verdict.job.values.get(fact)
    if given is None:
        return f"not yet ({fact})"
    other = not given.value and given.text != "no"
    return f"{given.text}{', for other sizes' if other else ''} ({fact})"


def assumed_section(assumed: Iterable[Assumed]) -> Markup:
    """Return the values that were taken because the job does not give them."""
    rows = [
        el(
            "tr",
            el("th", one.means, el("br"), el("span", one.fact, class_="fine name"), scope="row"),
            el("td", one.says),
        )
        for one in assumed
    ]
    if not rows:
        return section(_TAKEN, el("p", "Nothing: the job gives it all."))
    heads = el("tr", el("th", "What", scope="col"), el("th", "Taken as", scope="col"))
    caption = el("caption", "Correct what is wrong, in the job")
    table = el("table", caption, el("thead", heads), el("tbody", *rows), class_="few")
    return section(_TAKEN, table)


def cautions_section(cautions: Iterable[str]) -> Markup:
    """Return the cautions that end every report."""
    items = (el("li", one) for one in dict.fromkeys(cautions))
    return el("div", section("Before anyone relies on this", el("ul", *items)), class_="keep")
