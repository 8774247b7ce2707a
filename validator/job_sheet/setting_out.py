"""The setting-out: heights and lines, the order of work with boxes to tick, the hold points."""

from collections.abc import Iterator, Mapping, Sequence
from string import ascii_lowercase

from ..filled_tables import Cell
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
    laid = el("div", *tables, class_="laid")
    return section(set_out.heading, laid, opening=(el("p", set_out.about),))


def order_section(set_out: SettingOut, found: Mapping[str, Waiting]) -> Markup | None:
    """Return the order of work, with a box to tick for each step; None where there is none."""
    if not set_out.steps:
        return None
    numbers = _numbers(set_out.hold_points)
    words = "; ".join(checked(word) for word in dict.fromkeys(s.basis for s in set_out.steps))
    steps = (_step(step, found, numbers) for step in set_out.steps)
    about = (
        el("p", "Tick a step once it is done and every hold point under it is signed."),
        el("p", f"By whose word: {words}.", class_="note"),
    )
    return section("Order of work", el("ol", *steps, class_="steps"), opening=about)


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
    caption = el("caption", "The work stops at each until its reading is written and signed for")
    table = el("table", caption, head, el("tbody", *rows), class_="holds")
    return section(f"Hold points ({len(holds)})", table)


def _numbers(holds: Sequence[HoldPoint]) -> Mapping[int, int]:
    return {id(hold): number for number, hold in enumerate(holds, start=1)}


def _step(step: WorkStep, found: Mapping[str, Waiting], numbers: Mapping[int, int]) -> Markup:
    """Return one step: a box to tick, what to do, its values, cautions and hold points."""
    after = f" (after {', '.join(map(str, step.after))})" if step.after else ""
    said: list[Piece] = [
        box(f"Step {step.number} done"),
        el("b", f"{step.number}. "),
        step.do,
        el("span", after, class_="fine") if after else None,
    ]
    for at, cell in enumerate(step.values):
        said += ["; " if at else " ", f"{cell.title}: ", el("b", *_inline(cell, found))]
    said += [el("p", el("b", "Caution: "), one, class_="caution") for one in step.cautions]
    if step.holds:
        named = ", ".join(f"H{numbers[id(hold)]}" for hold in step.holds)
        many = "hold point" if len(step.holds) == 1 else "hold points"
        said.append(el("p", el("b", f"Then {many} {named}."), class_="caution"))
    return el("li", *said)


def _inline(cell: Cell, found: Mapping[str, Waiting]) -> Iterator[Piece]:
    """Yield a value for a line of text: exact first where printing alone rounded it."""
    if cell.missing:
        yield cell_pieces(cell, found)
    elif cell.exact is None:
        yield cell.text
    elif cell.value is not None and cell.exact.value == cell.value.value:
        yield f"{cell.exact.text} ({cell.text})"
    else:
        yield f"{cell.text} (rounded from {cell.exact.text})"


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
    lettered = list(_lettered(hold.readings))
    if len(lettered) > 1:
        said.append(f": {'; '.join(f'{letter}{one.means}' for letter, one in lettered)}")
    if hold.outcome == "fails":
        said.append(el("p", el("b", "Fails by the readings given: "), hold.says))
    elif hold.outcome == "holds":
        said.append(". Holds by the readings given.")
    if hold.caution:
        said.append(el("p", el("b", "Danger: "), hold.caution, class_="caution"))
    said.append(el("span", f" {hold.clause}; {checked(hold.basis)}", class_="fine whose"))
    when = f"step {step}" if step else hold.stage
    return el(
        "tr",
        el("th", f"H{number} ", el("span", when, class_="fine"), scope="row"),
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
