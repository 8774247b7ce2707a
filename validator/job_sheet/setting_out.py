"""The setting-out: heights and lines, the order of work with boxes to tick, the hold points."""

from collections.abc import Iterator, Mapping, Sequence
from string import ascii_lowercase

from ..settingout import HoldPoint, Reading, SettingOut, WorkStep
from .markup import Markup, Piece, el, section
from .tables import cell_pieces, checked, table_section
from .waiting import Waiting


def setting_out_section(set_out: SettingOut, found: Mapping[str, Waiting]) -> Markup:
    """Return heights and lines from the datum.

    Args:
        set_out: The setting-out.
        found: Number of each fact that is missing.
    """
    tables = (table_section(table, found) for table in set_out.tables)
    return section(set_out.heading, *tables, opening=(el("p", set_out.about),))


def order_section(set_out: SettingOut, found: Mapping[str, Waiting]) -> Markup | None:
    """Return the order of work, with a box to tick for each step; None where there is none."""
    if not set_out.steps:
        return None
    numbers = _numbers(set_out.hold_points)
    words = "; ".join(checked(word) for word in dict.fromkeys(s.basis for s in set_out.steps))
    head = el(
        "thead",
        el(
            "tr",
            el("th", "Done", scope="col", class_="tick"),
            el("th", "Step", scope="col", class_="mark"),
            el("th", "What to do", scope="col"),
            el("th", "After", scope="col", class_="after"),
        ),
    )
    rows = (_step(step, found, numbers) for step in set_out.steps)
    caption = el("caption", "Tick a step once it is done and every hold point under it is signed")
    table = el("table", caption, head, el("tbody", *rows), class_="order")
    about = el("p", f"By whose word: {words}.", class_="note")
    return section("Order of work", table, opening=(about,))


def hold_section(set_out: SettingOut) -> Markup | None:
    """Return the hold points: what each must show, a box for the reading, who signs."""
    holds = set_out.hold_points
    if not holds:
        return None
    steps = {id(hold): step.number for step in set_out.steps for hold in step.holds}
    head = el(
        "thead",
        el(
            "tr",
            el("th", "No.", scope="col", class_="mark"),
            el("th", "Hold until", scope="col"),
            el("th", "Must show", scope="col", class_="shows"),
            el("th", "Reading", scope="col", class_="write"),
            el("th", "Signs, and day", scope="col", class_="sign"),
        ),
    )
    rows = (
        _hold(number, hold, steps.get(id(hold), 0)) for number, hold in enumerate(holds, start=1)
    )
    about = "The work stops at each of these until the reading is written down and signed for."
    caption = el("caption", "Hold points, in the order of the work")
    table = el("table", caption, head, el("tbody", *rows), class_="holds")
    return section(f"Hold points ({len(holds)})", table, opening=(el("p", about),))


def _numbers(holds: Sequence[HoldPoint]) -> Mapping[int, int]:
    return {id(hold): number for number, hold in enumerate(holds, start=1)}


def _step(step: WorkStep, found: Mapping[str, Waiting], numbers: Mapping[int, int]) -> Markup:
    values = [
        el("li", f"{cell.title}: ", el("b", cell_pieces(cell, found)), class_="value")
        for cell in step.values
    ]
    said: list[Piece] = [step.do]
    if values:
        said.append(el("ul", *values))
    said += [el("p", el("b", "Caution: "), one, class_="caution") for one in step.cautions]
    if step.holds:
        named = ", ".join(f"H{numbers[id(hold)]}" for hold in step.holds)
        many = "hold point" if len(step.holds) == 1 else "hold points"
        said.append(el("p", el("b", f"Then {many} {named}."), class_="caution"))
    return el(
        "tr",
        el("td", box(f"Step {step.number} done"), class_="tick"),
        el("th", str(step.number), scope="row"),
        el("td", *said),
        el("td", ", ".join(map(str, step.after)) or "start"),
    )


def box(label: str) -> Markup:
    """Return an empty box to tick, drawn, so that it prints everywhere."""
    square = el(
        "rect",
        x="6",
        y="6",
        width="88",
        height="88",
        fill="#fff",
        stroke="#000",
        stroke_width="8",
    )
    return el("svg", square, class_="box", viewBox="0 0 100 100", role="img", aria_label=label)


def _hold(number: int, hold: HoldPoint, step: int) -> Markup:
    said: list[Piece] = [el("b", hold.title)]
    said += [el("p", f"{letter}{one.means}") for letter, one in _lettered(hold.readings)]
    if hold.outcome == "fails":
        said.append(el("p", el("b", "Fails by the readings given: "), hold.says))
    elif hold.outcome == "holds":
        said.append(el("p", "Holds by the readings given."))
    if hold.caution:
        said.append(el("p", el("b", "Danger: "), hold.caution, class_="caution"))
    said.append(el("p", f"{hold.clause}; {checked(hold.basis)}", class_="fine"))
    when = f"step {step}" if step else hold.stage
    return el(
        "tr",
        el("th", f"H{number}", el("br"), el("span", when, class_="fine"), scope="row"),
        el("td", *said),
        el("td", el("b", hold.shows[:1].upper() + hold.shows[1:]), *_as_drawn(hold.readings)),
        el("td", *_to_write(hold.readings), class_="write"),
        el("td", hold.signs[:1].upper() + hold.signs[1:], class_="sign"),
    )


def _lettered(readings: Sequence[Reading]) -> Iterator[tuple[str, Reading]]:
    """Yield readings with their letters; one alone has none."""
    for at, one in enumerate(readings):
        yield (f"({ascii_lowercase[at % 26]}) " if len(readings) > 1 else ""), one


def _as_drawn(readings: Sequence[Reading]) -> Iterator[Markup]:
    for letter, one in _lettered(readings):
        if one.expected:
            yield el("p", f"{letter}as drawn {one.expected}", class_="fine")


def _to_write(readings: Sequence[Reading]) -> Iterator[Markup]:
    """Yield what the job gives already, and a line to write on for what it does not."""
    for letter, one in _lettered(readings):
        if letter or one.given:
            yield el("p", letter, el("b", one.given) if one.given else None)
