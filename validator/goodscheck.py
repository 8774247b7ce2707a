"""What the order lists besides glass held against the take-off: bar, seals and channels."""

from collections.abc import Iterator

from .desk import BOOK, PRACTICE, TITLES, Desk
from .facts import place_for
from .finding import Finding
from .papers import Cut, Goods
from .phrases import listed
from .slips import is_near, unit_slip


def check_goods(desk: Desk) -> Iterator[Finding]:
    """Yield what is wrong with the goods that an order lists, and which of them it does not list.

    Args:
        desk: The job's papers.
    """
    cut = desk.papers.cut
    if cut is None:
        return
    given = [one for one in cut.goods if one.ordered in desk.given]
    for one in given:
        says = _wrong(desk, cut, one)
        if says:
            yield _finding(desk, cut, one, f"The order has {one.item} {says}", cut.level)
    others = [one for one in cut.goods if one not in given and _is_needed(desk, one)]
    if given and others:
        names = listed([one.item for one in given])
        says = f"The order lists {names}, and not {listed([one.item for one in others])}."
        yield _finding(desk, cut, given[0], says, "note")


def _is_needed(desk: Desk, goods: Goods) -> bool:
    needed = desk.verdict.answer(goods.needed)
    return not needed.known or needed.value > 0


def _wrong(desk: Desk, cut: Cut, goods: Goods) -> str:
    """Return what is wrong with one length, as the end of a sentence; "" where nothing is known."""
    needed = desk.verdict.answer(goods.needed)
    if not needed.known:
        return ""
    has, meant = desk.given[goods.ordered].value, needed.value
    within = desk.verdict.library.limits[cut.apart].value
    right = is_near(has, meant, within) or (has > meant and not goods.exact)
    slip = "" if is_near(has, meant, within) else unit_slip(meant, has, within)
    if right and not slip:
        return ""
    texts = desk.texts(has, meant, abs(has - meant))
    if slip:
        return f"at {texts[0]}; the take-off says {texts[1]}: {slip}."
    far = "longer" if has > meant else "shorter"
    return f"at {texts[0]}; the take-off says {texts[1]}, so that it is {texts[2]} {far}."


def _finding(desk: Desk, cut: Cut, goods: Goods, says: str, level: str) -> Finding:
    job = desk.verdict.job
    return Finding(
        clause=f"{BOOK}.goods",
        subject=goods.part,
        outcome="fails",
        level=level,
        stage="order",
        title=TITLES["goods"],
        says=says,
        do=cut.do,
        why=cut.why,
        place=place_for(goods.ordered, job.values, job.tables, job.place),
        actual=None,
        limit=None,
        margin=None,
        working=(),
        basis=PRACTICE,
        missing=(),
    )
