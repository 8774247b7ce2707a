"""The sentences of the book of the opening, written out by hand."""

# One long function, as the verdict it belongs to.
# ruff: noqa: C901, PLR0912, PLR0915

from ruleset.show import Style

from .by_hand import Inputs
from .by_hand_numbers import DURATION, FAILS, LENGTH, SLOPE, agree, given


def opening_sentences(
    found: tuple[int, ...], worked: Inputs, facts: Inputs, limits: Inputs, style: Style
) -> list[tuple[str, str]]:
    """Return what is and what to do for each clause of the opening that fails."""
    _, room, left, right, curb, design, *_, hung, _, sill, terms, _ = facts
    head_height, f_outward, s_outward = room[0], left[5], right[5]
    flat, strike_gap, glass_top = curb[0], hung[5], design[2]
    offset, fixing, bulb_least, bulb_most = design[6], design[7], sill[6], sill[7]
    head_most, middle_most, diagonal_most, gross, _, door_room, *opening_rest = limits[0]
    slope_least, slope_most, level_most, tile_edge, head_least, age, rake = opening_rest
    fingers, shift = terms[5], facts[7][7]
    errors, lines, (underside, readings_age, f_spread, s_spread) = worked
    head_error, middle_error, diagonal_error, room_beside, gap_widest, width_needed = errors
    (
        outer_line,
        fall_least,
        fall_wanted,
        fall_most,
        fall_allowed,
        finger_room,
        out_of_level,
        f_anchor,
        s_anchor,
    ) = lines
    said: list[tuple[str, str]] = []
    if found[0] == 2:  # head-width-agrees
        have, need, short = agree(head_error, head_most, LENGTH, style)
        says = (
            f"The head width and the leans disagree by {have}; at most {need} is "
            f"allowed, {short} too much."
        )
        do = "Read the widths and the leans again."
        said.append((says, do))
    if found[1] == 2:  # middle-width-agrees
        have, need, short = agree(middle_error, middle_most, LENGTH, style)
        says = (
            f"The middle width and the leans and bows disagree by {have}; at most "
            f"{need} is allowed, {short} too much."
        )
        do = "Read the middle width and both bows again."
        said.append((says, do))
    if found[2] == 2:  # diagonals-gross
        have, need, short = agree(diagonal_error, gross, LENGTH, style)
        says = (
            f"A diagonal is {have} from what the other readings make; past {need} one "
            f"of the readings is wrong, and this is {short} more."
        )
        do = "Read both diagonals, the widths, the leans and the head height again."
        said.append((says, do))
    if found[3] == 2:  # diagonals-agree
        have, need, short = agree(diagonal_error, diagonal_most, LENGTH, style)
        says = (
            f"A diagonal is {have} from what the other readings make; at most {need} "
            f"is allowed, {short} too much."
        )
        do = "Read both diagonals and the head height again."
        said.append((says, do))
    if found[4] == 2:  # readings-reach-the-top
        have, need, short = agree(head_height, glass_top, LENGTH, style)
        says = (
            f"The head readings were taken at {have}; the glass goes up to {need}, "
            f"{short} above them."
        )
        do = "Read the head width and the leans again at the top of the glass."
        said.append((says, do))
    if found[5] == 2:  # panel-inside
        have, need, short = agree(room_beside, door_room, LENGTH, style)
        says = (
            f"Beside the fixed glass {have} is left between the plumb lines; at least "
            f"{need} is needed, {short} more."
        )
        do = "Move the split toward the panel's wall, or choose another arrangement."
        said.append((says, do))
    if found[6] == 2:  # strike-gap-tight
        have, need, short = agree(strike_gap, bulb_least, LENGTH, style)
        says = f"The strike gap is {have}; the bulb needs at least {need}, {short} more."
        do = "Choose another bulb, or another kit."
        said.append((says, do))
    if found[7] == 2:  # strike-gap-wide
        have, need, short = agree(gap_widest, bulb_most, LENGTH, style)
        says = f"The strike gap opens to {have}; the bulb closes at most {need}, {short} too much."
        do = "Tilt the door to the wall with the eccentrics, rake its edge, or build the wall out."
        said.append((says, do))
    if found[8] == 2:  # backing
        says = "There is no solid backing behind the left wall at every fixing; it is needed."
        do = "Open the wall and add blocking before the glass is ordered."
        said.append((says, do))
    if found[9] == 2:  # backing
        says = "There is no solid backing behind the right wall at every fixing; it is needed."
        do = "Open the wall and add blocking before the glass is ordered."
        said.append((says, do))
    if found[10] == 2:  # curb-width
        have, need, short = agree(flat, width_needed, LENGTH, style)
        says = (
            f"The curb is flat over {have}; the hardware needs {need} with the bar "
            f"where it is drawn, {short} more."
        )
        do = (
            "Move the bar across the curb where the kit lets it, choose a narrower "
            "kit, or widen the curb."
        )
        said.append((says, do))
    if found[11] == 2:  # bar-shift
        have, need, short = agree(abs(offset), shift, LENGTH, style)
        says = (
            f"The bar is drawn {have} beside the middle of the curb; this kit's bar may stand "
            f"{need} beside it, {short} too much."
        )
        do = "Put the bar nearer the middle, or choose a kit whose bar shifts further."
        said.append((says, do))
    if found[12] == 2:  # tile-reaches
        have, need, short = agree(f_outward, outer_line, LENGTH, style)
        says = (
            f"The tile of the left wall ends {have} outward of the middle of "
            f"the curb; it must reach {need}, {short} further."
        )
        do = "Have the tile carried further out, or move the bar inward."
        said.append((says, do))
    if found[13] == 2:  # tile-reaches
        have, need, short = agree(s_outward, outer_line, LENGTH, style)
        says = (
            f"The tile of the right wall ends {have} outward of the middle of the "
            f"curb; it must reach {need}, {short} further."
        )
        do = "Have the tile carried further out, or move the bar inward."
        said.append((says, do))
    if found[14] in FAILS:  # curb-falls-inward
        have, *_ = agree(-fall_least, 0.0, LENGTH, style)
        says = (
            f"At its worse end the curb's inner edge stands {have} above its outer edge; "
            "it must lie below it."
        )
        do = "Have the top of the curb relaid before the glass is ordered."
        said.append((says, do))
    if found[15] in FAILS:  # curb-slope
        have, need, short = agree(fall_least, fall_wanted, LENGTH, style)
        share, flat_text = given(slope_least, SLOPE, style), given(flat, LENGTH, style)
        says = (
            f"The curb falls {have} inward where it falls least; {share} of its {flat_text} is "
            f"wanted, which reads as {need} at least, {short} more."
        )
        do = "Have the top of the curb relaid, or bed the channel."
        said.append((says, do))
    if found[16] in FAILS:  # curb-slope-most
        have, need, short = agree(fall_most, fall_allowed, LENGTH, style)
        share, flat_text = given(slope_most, SLOPE, style), given(flat, LENGTH, style)
        says = (
            f"The curb falls {have} inward where it falls most; {share} of its {flat_text} is the "
            f"most, which reads as {need}, {short} too much."
        )
        do = "Have the top of the curb relaid, or bed the channel."
        said.append((says, do))
    if found[17] == 2:  # head-room
        have, need, short = agree(finger_room, fingers, LENGTH, style)
        says = (
            f"Above the lifted door {have} is left under ceiling or soffit; at least "
            f"{need} is needed, {short} more."
        )
        do = "Lower the glass, or choose a kit with less lift."
        said.append((says, do))
    if found[18] in FAILS:  # curb-level
        have, need, short = agree(out_of_level, level_most, LENGTH, style)
        says = (
            f"The curb is {have} out of level along the glass; at most {need} is "
            f"wanted, {short} too much."
        )
        do = "Have the curb relaid, or choose a sweep with more range."
        said.append((says, do))
    if found[19] == 2:  # joint-under-glass
        says = (
            "A joint runs along under the glass; the channel and the guide want one "
            "unbroken surface."
        )
        do = "Move the bar across the curb, or have the joint sealed under the channel."
        said.append((says, do))
    if found[20] == 2:  # lined-curb
        says = (
            "The waterproofing runs over the top and the sill hardware is to be "
            f"{fixing}; it must be bonded there."
        )
        do = "Bond the channel and the guide."
        said.append((says, do))
    if found[21] == 2:  # pipes-known
        says = (
            "Pipes and wires at the fixings of the left wall are not "
            "located; find them before it is drilled."
        )
        do = "Scan the wall, or ask for photographs of it open."
        said.append((says, do))
    if found[22] == 2:  # pipes-known
        says = (
            "Pipes and wires at the fixings of the right wall are not located; find "
            "them before it is drilled."
        )
        do = "Scan the wall, or ask for photographs of it open."
        said.append((says, do))
    if found[23] == 2:  # hollow-tile
        says = "The tile of the left wall sounds hollow at a fixing; bedded tile is wanted there."
        do = "Have the tile rebedded, or fill behind it."
        said.append((says, do))
    if found[24] == 2:  # hollow-tile
        says = "The tile of the right wall sounds hollow at a fixing; bedded tile is wanted there."
        do = "Have the tile rebedded, or fill behind it."
        said.append((says, do))
    if found[25] == 2:  # tile-edge
        have, need, short = agree(f_anchor, tile_edge, LENGTH, style)
        says = (
            f"On the left wall the bar's fixing is {have} from an edge of the"
            f" tile; at least {need} is wanted, {short} more."
        )
        do = "Lower the bar, move it inward, or extend the tile."
        said.append((says, do))
    if found[26] == 2:  # tile-edge
        have, need, short = agree(s_anchor, tile_edge, LENGTH, style)
        says = (
            f"On the right wall the bar's fixing is {have} from an edge of the tile; "
            f"at least {need} is wanted, {short} more."
        )
        do = "Lower the bar, move it inward, or extend the tile."
        said.append((says, do))
    if found[27] == 2:  # head-under-bar
        have, need, short = agree(underside, head_least, LENGTH, style)
        says = (
            f"The lowest part on the bar is {have} above the floor outside; at least "
            f"{need} is wanted, {short} more."
        )
        do = "Raise the glass, or choose a kit with less drop."
        said.append((says, do))
    if found[28] == 2:  # readings-fresh
        have, need, short = agree(readings_age, age, DURATION, style)
        says = (
            f"The readings are {have} old on the day of the order; at most {need} is "
            f"wanted, {short} too much."
        )
        do = "Read the opening again before ordering."
        said.append((says, do))
    if found[29] == 2:  # nothing-tiled-since
        says = (
            "Tile, curb or floor work was done after the readings; they no longer "
            "describe the opening."
        )
        do = "Read the opening again."
        said.append((says, do))
    if found[30] == 2:  # rake
        have, need, short = agree(f_spread, rake, LENGTH, style)
        says = (
            f"The face of the left wall spreads over {have} from its plumb "
            f"line; past {need} raked glass is usual, and this is {short} more."
        )
        do = "Template the opening and rake the edge, or accept the taper in writing."
        said.append((says, do))
    if found[31] == 2:  # rake
        have, need, short = agree(s_spread, rake, LENGTH, style)
        says = (
            f"The face of the right wall spreads over {have} from its plumb line; "
            f"past {need} raked glass is usual, and this is {short} more."
        )
        do = "Template the opening and rake the edge, or accept the taper in writing."
        said.append((says, do))
    return said
