"""The sentences of the book of the sliding door, written out by hand."""

# One long function, as the verdict it belongs to.
# ruff: noqa: C901, PLR0912, PLR0915

from ruleset.show import Style

from .by_hand import Inputs
from .by_hand_numbers import COUNT, LENGTH, MASS, NUMBER, about, agree, given, nearer


def sliding_sentences(
    found: tuple[int, ...], worked: Inputs, facts: Inputs, limits: Inputs, style: Style
) -> list[tuple[str, str]]:
    """Return what is and what to do for each clause of the sliding door that fails."""
    *_, design, _, _, _, _, hung, wheels, sill, terms, as_built = facts
    thick, eccentric = design[8], wheels[5]
    _, _, rating, thinnest, thickest, strike_gap, _ = hung
    _, _, _, _, slot, _, _, _, _, sweep_least, sweep_most, overhang, _ = sill
    _, _, stops_fitted, handle_clearance, left_open, *_ = as_built
    _, capture, handle_clear, _, _, _, retainer_least, retainer_most = terms
    lap_least, lap_most, access, comfort, rating_share, depth, *clause_rest = limits[3]
    base_clear, spent_share, stops, apart, bar_clear, end_clear, *clause_rest = clause_rest
    ratio, knuckles, line, sweep_near, handle_low, handle_high, low, high = clause_rest
    openings, captures, gaps, runs, lasts = worked
    overlap_least, clear, closed_room, closed_needs, open_stop_at, stop_most, stop_over = openings
    capture_closed, open_at, stopped_by, hung_mass, wanted, gap_spread, sweep_range = captures
    gap_least, gap_most, lowest, highest, over_base, in_guide, foot, retainer_near = gaps
    retainer_far, set_least, set_most, faces_apart, to_bar, to_fitting, slender = runs
    knuckle_room, spent, wanted_spent, tops_apart, sweep_error, handle_at = lasts
    lowest_text, highest_text = about(lowest, LENGTH, style), about(highest, LENGTH, style)
    said: list[tuple[str, str]] = []
    if found[0] == 2:  # overlap-least
        have, need, short = agree(overlap_least, lap_least, LENGTH, style)
        says = (
            f"The closed door laps the panel by {have} where it laps least; at least "
            f"{need} is needed, {short} more."
        )
        do = "Ask for more overlap."
        said.append((says, do))
    if found[1] == 2:  # overlap-most
        have, need, short = agree(overlap_least, lap_most, LENGTH, style)
        says = f"The closed door laps the panel by {have}; {need} does, {short} too much."
        do = "Ask for less overlap."
        said.append((says, do))
    if found[2] == 2:  # clear-opening
        have, need, short = agree(clear, access, LENGTH, style)
        need += " (22 in)" if style.units == "mm" else ""  # as the code has it
        says = (
            f"The open door leaves {have}; at least {need} is needed, {short} more. Where its "
            f"edge stops, from the fixed side: {about(open_at, LENGTH, style)}; what stops it: "
            f"{stopped_by}."
        )
        do = "Move the split, or choose a handle with less setback or one that passes the panel."
        said.append((says, do))
    if found[3] == 2:  # comfortable-way-in
        have, need, short = agree(clear, comfort, LENGTH, style)
        says = f"The open door leaves {have}; {need} is comfortable, {short} more."
        do = "Move the split to the place that opens most."
        said.append((says, do))
    if found[4] == 2:  # can-close
        have, need, short = agree(closed_room, closed_needs, LENGTH, style)
        says = (
            f"Between the closed door's leading wheel and the wall {have} of bar is "
            f"left; stop and end fitting need {need}, {short} more."
        )
        do = "Choose a kit with wheels further from the door's edge, or a shorter stop."
        said.append((says, do))
    if found[5] == 2:  # open-stop
        have, need, short = agree(open_stop_at, stop_most, LENGTH, style)
        says = (
            f"The open stop must face the wheel at {have} from the fixed side's plumb line; "
            f"the panel's fitting begins at {need}, {short} nearer the wall."
        )
        do = (
            "Move the panel's first hole away from the wall as far as the stock reaches, let the "
            "door open further, or take a kit whose stop is free."
        )
        said.append((says, do))
    if found[6] == 2:  # stop-beside-fitting
        have, _, _ = agree(stop_over, 0.0, LENGTH, style)
        says = (
            f"The open stop must face the wheel at {about(open_stop_at, LENGTH, style)} from the "
            f"fixed side's plumb line; there it stands {have} over one "
            "of the panel's fittings."
        )
        do = "Move the panel's first hole, or let the door open further or less far."
        said.append((says, do))
    if found[7] == 2:  # guide-closed
        have, need, short = agree(capture_closed, capture, LENGTH, style)
        says = (
            f"Behind the guide {have} of the closed door is left; at least {need} is "
            f"needed, {short} more."
        )
        do = "Ask for more overlap."
        said.append((says, do))
    if found[8] == 2:  # guide-open
        have, need, short = agree(left_open, capture, LENGTH, style)
        says = (
            f"With the door against its open stop {have} of it is left before the guide; at "
            f"least {need} is needed, {short} more."
        )
        do = "Set the open stop so that the door stands out further."
        said.append((says, do))
    if found[9] == 2:  # roller-rating
        have, need, short = agree(hung_mass, rating, MASS, style)
        says = f"The door hangs with {have}; the kit carries {need}, {short} too much."
        do = "Choose a stronger kit, a thinner door, or a narrower one."
        said.append((says, do))
    if found[10] == 2:  # rating-share
        have, need, short = agree(hung_mass, wanted, MASS, style)
        says = (
            f"The door hangs with {have}; at most {need} is wanted, "
            f"{given(rating_share, NUMBER, style)} of what the hangers carry, {short} too much."
        )
        do = "Choose a stronger kit, or a narrower door."
        said.append((says, do))
    if found[11] == 2:  # sweep-range
        have, need, short = agree(gap_spread, sweep_range, LENGTH, style)
        says = (
            "From where the gap under the door is narrowest to where it is widest under the closed "
            f"door it changes by {have}; the sweep takes {need}, {short} too much, so that no "
            "floor gap does."
        )
        do = "Choose a sweep of wider range, or have the curb relaid."
        said.append((says, do))
    if found[12] == 2:  # sweep-crushed
        have, need, short = agree(gap_least, sweep_least, LENGTH, style)
        says = (
            f"Under the door {have} is left where the gap is narrowest on its travel; the sweep "
            f"needs {need}, {short} more. "
            f"Floor gaps from {lowest_text} to {highest_text} hold."
        )
        do = "Hang the door higher, by its glass or its eccentrics, or choose a thinner sweep."
        said.append((says, do))
    if found[13] == 2:  # sweep-short
        have, need, short = agree(gap_most, sweep_most, LENGTH, style)
        says = (
            f"Under the closed door the gap opens to {have}; the sweep closes {need}, {short} "
            f"too much. Floor gaps from {lowest_text} to {highest_text} hold."
        )
        do = "Hang the door lower, by its glass or its eccentrics, or choose a longer sweep."
        said.append((says, do))
    if found[14] == 2:  # over-guide-base
        have, need, short = agree(over_base, base_clear, LENGTH, style)
        says = (
            f"Over the guide's base {have} is left under the glass; at least {need} is needed, "
            f"{short} more."
        )
        do = "Hang the door higher, by its glass or its eccentrics, or choose a lower guide."
        said.append((says, do))
    if found[15] == 2:  # engagement
        have, need, short = agree(in_guide, depth, LENGTH, style)
        says = (
            f"At the top of the adjustment {have} of glass is in the guide; at least "
            f"{need} is needed, {short} more."
        )
        do = "Hang the door lower, by its glass or its eccentrics, or choose a taller guide."
        said.append((says, do))
    if found[16] == 2:  # guide-slot
        have, need, short = agree(slot, foot, LENGTH, style)
        says = f"The guide's slot is {have}; door and sweep need {need}, {short} more."
        do = "Choose a thinner door, or another guide."
        said.append((says, do))
    if found[17] == 2:  # retainer-as-set
        have, need, short = agree(retainer_near, retainer_least, LENGTH, style)
        says = (
            f"With the eccentrics as set a retainer runs {have} below the bar; it must run {need} "
            f"below it, {short} more."
        )
        do = "Keep the eccentrics nearer their middle, or choose the retainer made for this bar."
        said.append((says, do))
    if found[18] == 2:  # retainer-holds
        have, need, short = agree(retainer_far, retainer_most, LENGTH, style)
        says = (
            f"With the eccentrics as set a retainer runs {have} below the bar; it may run {need} "
            f"below it, {short} too much."
        )
        do = "Keep the eccentrics nearer their middle, or choose the retainer made for this bar."
        said.append((says, do))
    if found[19] == 2:  # floor-gap-set
        have, need, short = agree(set_least, sweep_least, LENGTH, style)
        says = (
            f"Under the hung door {have} is left where least was read, shut at both edges and open "
            f"at the trailing one; the sweep needs {need}, {short} more."
        )
        do = "Lift the door with its eccentrics, both or the one that hangs low."
        said.append((says, do))
    if found[20] == 2:  # floor-gap-closed
        have, need, short = agree(set_most, sweep_most, LENGTH, style)
        says = (
            f"Under the closed door {have} was read at the edge where it is more; the sweep closes "
            f"{need}, {short} too much."
        )
        do = "Lower the door with its eccentrics, both or the one that hangs high."
        said.append((says, do))
    if found[21] == 2:  # retainers-set
        says = (
            "The retainers below the bar are not both set and locked; they must be "
            "before the door is left."
        )
        do = "Set both retainers and lock them."
        said.append((says, do))
    if found[22] == 2:  # stops-fitted
        have, need, _ = agree(stops_fitted, stops, COUNT, style)
        says = f"Stops on the bar: {have}; {need} are needed."
        do = "Fit and tighten the missing stop."
        said.append((says, do))
    if found[23] == 2:  # handle-stops-clear
        have, need, short = agree(handle_clearance, handle_clear, LENGTH, style)
        says = (
            f"With the door against its open stop the handle is {have} from the panel;"
            f" at least {need} is needed, {short} more."
        )
        do = "Set the open stop further from the wall."
        said.append((says, do))
    if found[24] == 2:  # faces-apart
        have, need, short = agree(faces_apart, apart, LENGTH, style)
        says = (
            f"The faces of door and panel are {have} apart; at least {need} is needed,"
            f" {short} more."
        )
        do = "Choose another kit."
        said.append((says, do))
    if found[25] == 2:  # door-to-bar
        have, need, short = agree(to_bar, bar_clear, LENGTH, style)
        says = f"The door runs {have} from the bar; at least {need} is needed, {short} more."
        do = "Choose another kit."
        said.append((says, do))
    if found[26] == 2:  # door-to-fitting
        have, need, short = agree(to_fitting, end_clear, LENGTH, style)
        says = (
            f"The door runs {have} from the end fittings; at least {need} is needed, {short} more."
        )
        do = "Choose a kit with slimmer end fittings."
        said.append((says, do))
    if found[27] == 2:  # thickness
        have, need, short = agree(thick, nearer(thick, thinnest, thickest), LENGTH, style)
        says = (
            f"The door is {have} thick; the nearest that the hangers take is {need}, {short} away."
        )
        do = "Choose a thickness the hangers take, or another kit."
        said.append((says, do))
    if found[28] == 2:  # height-to-width
        have, need, _ = agree(slender, ratio, NUMBER, style)
        says = f"The door is {have} times as tall as it is wide; at most {need} is wanted."
        do = "Move the split so that the door grows wider, or lower the glass."
        said.append((says, do))
    if found[29] == 2:  # knuckle-room
        have, need, short = agree(knuckle_room, knuckles, LENGTH, style)
        says = (
            f"Between the closed door's handle and the wall {have} is left; at least "
            f"{need} is wanted, {short} more."
        )
        do = "Set the handle further back."
        said.append((says, do))
    if found[30] == 2:  # spray-into-lap
        says = (
            "The shower head is on the left wall, and the lap opens "
            "toward it; it wants to be on another wall."
        )
        do = "Put the fixed panel on the other side, or fit a seal in the lap."
        said.append((says, do))
    if found[31] == 2:  # eccentric-budget
        have, need, short = agree(spent, eccentric, LENGTH, style)
        says = (
            f"For its height and tilt the door needs an eccentric turned by {have}; it has {need}, "
            f"{short} too much."
        )
        do = "Leave the door upright, or let its glass give the floor gap."
        said.append((says, do))
    if found[32] == 2:  # eccentric-share
        have, need, short = agree(spent, wanted_spent, LENGTH, style)
        says = (
            f"For its height and tilt the door needs an eccentric turned by {have}; at most {need} "
            f"is wanted, {given(spent_share, NUMBER, style)} of what it has, {short} too much."
        )
        do = (
            "Let the glass give the floor gap, leave the door upright, rake its edge, or build the "
            "wall out."
        )
        said.append((says, do))
    if found[33] == 2:  # tops-in-line
        have, need, short = agree(tops_apart, line, LENGTH, style)
        says = (
            f"The tops of door and panel are {have} apart; {need} passes for one line,"
            f" {short} too much."
        )
        do = "Choose a kit whose axle and drop agree, or tell the client."
        said.append((says, do))
    if found[34] == 2:  # sweep-overhang
        have, need, short = agree(sweep_error, sweep_near, LENGTH, style)
        overhang_text = given(overhang, LENGTH, style)
        strike_gap_text = given(strike_gap, LENGTH, style)
        says = (
            f"The sweep overhangs {overhang_text} into a strike gap of "
            f"{strike_gap_text}, {have} apart; {need} does, {short} too much."
        )
        do = "Cut the sweep to the gap."
        said.append((says, do))
    if found[35] == 2:  # handle-height
        have, *_ = agree(handle_at, nearer(handle_at, handle_low, handle_high), LENGTH, style)
        handle_low_text = given(handle_low, LENGTH, style)
        handle_high_text = given(handle_high, LENGTH, style)
        says = (
            f"The handle is {have} above the floor outside; {handle_low_text} to "
            f"{handle_high_text} is usual."
        )
        do = "Move the handle."
        said.append((says, do))
    if found[36] == 2:  # handle-in-reach
        have, *_ = agree(handle_at, nearer(handle_at, low, high), LENGTH, style)
        low_text, high_text = given(low, LENGTH, style), given(high, LENGTH, style)
        says = (
            f"The handle is {have} above the floor outside; hands reach {low_text} to {high_text}."
        )
        said.append((says, "Read the handle's height again."))
    return said
