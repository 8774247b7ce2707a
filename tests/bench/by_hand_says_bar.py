"""The sentences of the book of the bar, written out by hand."""

# One long function, as the verdict it belongs to.
# ruff: noqa: C901, PLR0915

from ruleset.show import Style

from .by_hand import Inputs
from .by_hand_numbers import ANGLE, FORCE, LENGTH, NUMBER, STRESS, about, agree, given


def bar_sentences(
    found: tuple[int, ...], worked: Inputs, facts: Inputs, limits: Inputs, style: Style
) -> list[tuple[str, str]]:
    """Return what is and what to do for each clause of the bar that fails."""
    *_, bar, end, _, _, _, _, _, as_built = facts
    _, _, _, stock_first, stock, _, allowable, *_ = bar
    least_reach, bar_level = end[4], as_built[0]
    _, play, sag_most, share_most, rest_most, bar_level_most = limits[1]
    (to_first, first_cut, second_cut, reach_fixed, reach_strike, end_play), rest = worked
    stress, sag, sag_allowed, slope, pushed, may_push = rest
    said: list[tuple[str, str]] = []
    if found[0] == 2:  # first-cut
        have, *_ = agree(first_cut, 0.0, LENGTH, style)
        stock_first_text = given(stock_first, LENGTH, style)
        to_first_text = about(to_first, LENGTH, style)
        says = (
            f"The stock reaches {stock_first_text} past its first tapped hole; the "
            f"drawing needs {to_first_text}, so the first cut comes to {have}."
        )
        do = "Bring the panel's first hole nearer the wall, or order stock with a longer end."
        said.append((says, do))
    if found[1] == 2:  # second-cut
        have, need, _ = agree(second_cut, 0.0, LENGTH, style)
        stock_text = given(stock, LENGTH, style)
        says = (
            f"The stock is {stock_text} long; after both cuts are laid out {have} is "
            f"left at the strike end, and it may not be less than {need}."
        )
        do = "Move the panel's first hole, or order longer stock."
        said.append((says, do))
    if found[2] == 2:  # reach-fixed
        have, need, short = agree(reach_fixed, least_reach, LENGTH, style)
        says = (
            f"The bar reaches {have} into the fitting on the fixed panel's wall; it "
            f"must reach {need}, {short} more."
        )
        do = "Choose a kit with a deeper fitting."
        said.append((says, do))
    if found[3] == 2:  # reach-strike
        have, need, short = agree(reach_strike, least_reach, LENGTH, style)
        says = (
            f"The bar reaches {have} into the fitting on the strike wall; it must "
            f"reach {need}, {short} more."
        )
        do = "Choose a kit with a deeper fitting."
        said.append((says, do))
    if found[4] == 2:  # drops-in
        have, need, short = agree(end_play, play, LENGTH, style)
        says = (
            f"Between the wall blocks the bar has {have} to spare; at least {need} is "
            f"needed, {short} more."
        )
        do = "Choose a kit with a thinner block."
        said.append((says, do))
    if found[5] == 2:  # stress
        have, need, short = agree(stress, allowable, STRESS, style)
        says = (
            f"Under the travelling door the bar is stressed to {have}; the maker "
            f"allows {need}, {short} too much."
        )
        do = "Choose a stouter bar or a lighter door."
        said.append((says, do))
    if found[6] == 2:  # sag-held
        have, need, short = agree(sag, sag_most, LENGTH, style)
        says = (
            f"The bar sags {have} under the travelling door; at most {need} is wanted,"
            f" {short} too much."
        )
        do = "Choose a stouter bar, or move the panel's second hole nearer the middle."
        said.append((says, do))
    if found[7] == 2:  # sag-walls
        have, need, short = agree(sag, sag_allowed, LENGTH, style)
        says = (
            f"The bar sags {have} under the travelling door; at most {need} is wanted, "
            f"{given(share_most, NUMBER, style)} of its length, {short} too much."
        )
        do = "Choose a stouter bar, or a kit whose panel holds the bar."
        said.append((says, do))
    if found[8] == 2:  # slope-at-rest
        have, need, short = agree(slope, rest_most, ANGLE, style)
        says = (
            f"Under the wheels of the resting door the bar slopes {have} in the mean; at most "
            f"{need} is wanted, {short} too much."
        )
        do = "Choose a stouter bar, or wheels with a brake."
        said.append((says, do))
    if found[9] == 2:  # level
        have, need, short = agree(bar_level, bar_level_most, LENGTH, style)
        says = f"The bar is {have} out of level; at most {need} is allowed, {short} too much."
        do = "Level the bar with the door on it before the fittings are tightened."
        said.append((says, do))
    if found[10] == 2:  # panel-push
        have, need, short = agree(pushed, may_push, FORCE, style)
        says = (
            f"The bar pushes on one of the panel's fittings with {have}; the maker "
            f"allows {need}, {short} too much."
        )
        do = "Choose a kit with a stronger fitting, or a lighter door."
        said.append((says, do))
    return said
