"""What the order lists besides glass held against the take-off: lengths, pieces and their kinds."""

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
    pieces = [one for one in given if _kind(desk, one) != "word"]
    others = [one for one in cut.goods if one not in given and _is_needed(desk, one)]
    if pieces and others:
        names = listed([one.item for one in pieces])
        says = f"The order lists {names}, and not {listed([one.item for one in others])}."
        yield _finding(desk, cut, pieces[0], says, "note")


def _is_needed(desk: Desk, goods: Goods) -> bool:
    """Return whether goods that the order does not list are needed; a kind alone is no goods."""
    needed = desk.verdict.answer(goods.needed)
    return _kind(desk, goods) != "word" and (not needed.known or needed.value > 0)


def _kind(desk: Desk, goods: Goods) -> str:
    kind = desk.verdict.library.facts[goods.ordered].kind
    return "" if kind is None else kind.name


def _wrong(desk: Desk, cut: Cut, goods: Goods) -> str:
    """Return what is wrong with one of the goods, as the end of a sentence; "" for nothing."""
    needed = desk.verdict.answer(goods.needed)
    if not needed.known:
        return ""
    has, kind = desk.given[goods.ordered].value, _kind(desk, goods)
    if kind == "word":
        return _other_kind(desk, has, needed.value)
    if kind == "count":
        return _other_count(round(has), round(needed.value))
    return _other_length(desk, cut, goods, has, needed.value)


def _other_kind(desk: Desk, has: float, meant: float) -> str:
    words = {number: word for word, number in desk.verdict.library.words.items()}
    if has == meant:
        return ""
    return f"as {words[has]}; the take-off says {words[meant]}."


def _other_count(has: int, meant: int) -> str:
    """Return what is wrong with a number of pieces.

    Example:
        >>> _other_count(2, 3)
        'as 2; the take-off says 3: 1 is missing.'
    """
    if has == meant:
        return ""
    many = abs(has - meant)
    verb = "is" if many == 1 else "are"
    wrong = "missing" if has < meant else "too many"
    return f"as {has}; the take-off says {meant}: {many} {verb} {wrong}."


def _other_length(desk: Desk, cut: Cut, goods: Goods, has: float, meant: float) -> str:
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
