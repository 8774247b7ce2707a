"""The books of the opening, the bar and the sliding door, written out by hand in plain Python.

This is what the compiled books are measured against: straight-line code over local variables, as
fast as plain Python goes without giving up missing values. A missing quantity is nan, a missing
yes/no or word is None. Outcomes are 0 exempt, 1 holds, 2 fails, 3 unknown, 4 fails at the lower
level, in the order of the books' clauses.
"""

import math
from collections.abc import Callable, Sequence
from typing import Any

# Long functions are what is asked for: a call would slow it, and nan differs from itself.
Inputs = Sequence[Sequence[Any]]
Beams = Sequence[Callable[..., float]]
Found = tuple[tuple[tuple[int, ...], ...], tuple[tuple[tuple[float, ...], ...], ...]]

nan = math.nan


def on_grid(value: float, grid: float) -> float:
    """Return the nearest multiple of a grid, mm; half way goes up."""
    if value == value and grid > 0:
        return math.floor(value / grid + 0.5 + 1e-9) * grid
    return nan


def up_grid(value: float, grid: float) -> float:
    """Return the next multiple of a grid, mm; what is on it stays."""
    return math.ceil(value / grid - 1e-9) * grid if value == value and grid > 0 else nan


def down_grid(value: float, grid: float) -> float:
    """Return the last multiple of a grid, mm; what is on it stays."""
    return math.floor(value / grid + 1e-9) * grid if value == value and grid > 0 else nan


def asked(beam: Callable[..., float], *values: float) -> float:
    """Return what a beam function gives, nan where its values have no meaning together."""
    try:
        return beam(*values)
    except ValueError:
        return nan


def verdict(facts: Inputs, limits: Inputs, beams: Beams) -> Any:  # noqa: ANN401, C901, PLR0912, PLR0915
    """Return outcomes and the values that sentences need, each by book: bar, opening, sliding.

    Args:
        facts: Values in the order of by_hand_inputs.FACTS, internal units.
        limits: Values in the order of by_hand_inputs.LIMITS, internal units.
        beams: The functions by_hand_inputs.BEAMS names.
    """
    office, room, left, right, curb, design, handle, *hardware = facts
    bar, end, panel, hung, wheels, sill, terms, as_built = hardware
    grid, read_on, placed_on, tiled_since, base, work, shower = office
    head_height, sill_width, middle_width, head_width, rising, falling, *soffit = room
    f_lean, f_bow, f_backing, f_pipes, f_hollow, f_outward, f_upward = left
    s_lean, s_bow, s_backing, s_pipes, s_hollow, s_outward, s_upward = right
    flat, fall_fixed, fall_strike, drop_fixed, drop_split, drop_strike, *curb_rest = curb
    above_floor, lined, joint = curb_rest
    split, lap, glass_top, wall_gap, sill_lift, first_hole, offset, fixing, *glass = design
    thick, tilted, fixed_thick, floor_gap_asked, eccentric_set = glass
    setback, half_width, panel_side, handle_height, handle_mass = handle
    diameter, wall_thick, pitch, stock_first, stock, elastic, allowable, shift, bar_drop = bar
    end_radius, fit_reach, deduction, block, least_reach, stop_length, captive = end
    panel_face, holds_bar, panel_rating, fitting_half, channel = panel
    door_face, side, rating, thinnest, thickest, strike_gap, hangers = hung
    tread, axle_to_top, inset, flange, lift, eccentric, *lower = wheels
    retainer_pitch, retainer_radius, adjusts = lower
    guide_half, front, rear, guide_height, slot, bulb_free, bulb_least, bulb_most, *sweep = sill
    sweep_skin, sweep_least, sweep_most, overhang, guide_base = sweep
    bar_level, retainers_set, stops_fitted, handle_clearance, left_open, *gaps_set = as_built
    gap_set_leading, gap_set_trailing, gap_set_open = gaps_set

    opening_limits, bar_limits, sliding_limits, clause_limits, glass_limits = limits
    head_most, middle_most, diagonal_most, *opening_rest = opening_limits
    gross, fall_reading, door_room, *opening_rest = opening_rest
    slope_least, slope_most, level_most, tile_edge, head_least, age, rake = opening_rest
    gravity, play, sag_most, share_most, rest_most, bar_level_most = bar_limits
    (told_from,) = sliding_limits
    pass_margin, capture, handle_clear, edge_room, curb_margin, fingers, *retainer = terms
    retainer_least, retainer_most = retainer
    lap_least, lap_most, access, comfort, rating_share, depth, *clause_rest = clause_limits
    base_clear, spent_share, stops, apart, bar_clear, end_clear, *clause_rest = clause_rest
    ratio, knuckles, line, sweep_near, handle_low, handle_high, low, high = clause_rest
    density, weighed, least_19, nom_19, least_16, nom_16, least_12, nom_12, *thin = glass_limits
    least_10, nom_10, least_8, nom_8, least_6, nom_6 = thin
    bar_sag, bar_sag_walls, bar_slope, bar_slope_walls, bar_moment, bar_moment_walls, push = beams
    h, tiny = 1e-6, 1e-9

    # The opening and the curb.
    f_middle, s_middle = f_lean / 2 + f_bow, s_lean / 2 + s_bow
    if f_middle == f_middle:
        f_into = max(0.0, f_lean, f_middle)
        f_spread = f_into - min(0.0, f_lean, f_middle)
    else:
        f_into = f_spread = nan
    if s_middle == s_middle:
        s_into = max(0.0, s_lean, s_middle)
        s_spread = s_into - min(0.0, s_lean, s_middle)
    else:
        s_into = s_spread = nan
    plumb = sill_width - f_into - s_into
    head_error = abs(head_width - (sill_width - f_lean - s_lean))
    middle_error = abs(middle_width - (sill_width - (f_lean + s_lean) / 2 - f_bow - s_bow))
    up, down = sill_width - s_lean, sill_width - f_lean
    left, right = head_height + drop_fixed, head_height + drop_strike
    rise_error = abs(rising - math.sqrt(up * up + left * left))
    fall_error = abs(falling - math.sqrt(down * down + right * right))
    known = rise_error == rise_error and fall_error == fall_error
    diagonal_error = max(rise_error, fall_error) if known else nan
    readings_age = placed_on - read_on
    panel_room = panel_face + fixed_thick / 2 + channel / 2 + curb_margin
    door_side_room = door_face + thick / 2 + guide_half + curb_margin
    if side is None:
        ceilings, outward, inward = [nan, nan], nan, nan
    elif side == "inside":
        ceilings, outward, inward = soffit[:2], panel_room, door_side_room
    else:
        ceilings, outward, inward = soffit[2:], door_side_room, panel_room
    outer_line, inner_line = offset + outward, inward - offset
    known = outer_line == outer_line and inner_line == inner_line
    width_needed = 2 * max(outer_line, inner_line) if known else nan
    known = fall_fixed == fall_fixed and fall_strike == fall_strike
    fall_least = min(fall_fixed, fall_strike) if known else nan
    fall_most = max(fall_fixed, fall_strike) if known else nan
    fall_wanted = slope_least * flat - fall_reading
    fall_allowed = slope_most * flat + fall_reading
    if drop_fixed == drop_fixed and drop_split == drop_split and drop_strike == drop_strike:
        high_point = min(drop_fixed, drop_split, drop_strike)
        out_of_level = max(drop_fixed, drop_split, drop_strike) - high_point
    else:
        high_point = out_of_level = nan

    # The fixed panel, the bar over it, and the door's size.
    fixed_edge = wall_gap + on_grid(split - wall_gap, grid)
    fixed_top = sill_lift + on_grid(glass_top - sill_lift, grid)
    hole_a = wall_gap + first_hole
    bar_height = fixed_top - bar_drop
    part = bar_height / head_height if head_height else nan
    bow_part = part * (1 - part) * 4
    bar_start = f_lean * part + f_bow * bow_part - f_into
    bar_finish = plumb + s_into - s_lean * part - s_bow * bow_part
    between_walls = bar_finish - bar_start
    bar_cut = on_grid(between_walls - 2 * deduction, grid)
    to_first = hole_a - bar_start - deduction
    to_second = to_first + pitch
    axle = bar_height + diameter / 2 + tread
    door_width = on_grid(plumb - strike_gap - fixed_edge + lap, grid)
    door_height = on_grid(axle + axle_to_top - floor_gap_asked, grid)
    wheel_pitch = door_width - 2 * inset
    floor_gap = axle + axle_to_top - door_height
    wheel_y = door_height - axle_to_top

    # The door turned with its head toward a strike wall that falls away; upright is no turn.
    tilt = wheel_shift = head_shift = handle_shift = foot_rise = wheel_rise = past_plumb = nan
    gap_widest = nan
    if tilted is False:
        tilt = wheel_shift = head_shift = handle_shift = foot_rise = wheel_rise = 0.0
        past_plumb, gap_widest = 0.0, strike_gap + s_spread
    elif tilted:
        tilt = math.atan(-s_lean / head_height) if head_height else nan
        lean = math.sin(tilt)
        handle_shift = handle_height * lean
        wheel_shift, head_shift = wheel_y * lean, door_height * lean
        foot_rise, wheel_rise = door_width * lean, wheel_pitch * lean
        gap_widest = strike_gap + abs(s_bow)
    along = math.cos(tilt)
    foot = floor_gap + eccentric_set + wheel_y * (1 - along) - foot_rise / 2
    if tilted:
        past_plumb = s_into + foot * math.tan(tilt)
        past_plumb -= max(0.0, s_bow) if s_bow == s_bow else nan
    closed_at = plumb + past_plumb - strike_gap
    overlap = fixed_edge - closed_at + door_width * along
    overlap_least = overlap - max(0.0, head_shift) if head_shift == head_shift else nan
    door_top = foot + door_height * along + max(0.0, foot_rise) if foot_rise == foot_rise else nan
    set_leading, set_trailing = eccentric_set - wheel_rise / 2, eccentric_set + wheel_rise / 2
    known = set_leading == set_leading and set_trailing == set_trailing
    spent = max(abs(set_leading), abs(set_trailing)) if known else nan
    lifts = eccentric - max(set_leading, set_trailing) if known else nan
    lifts = max(0.0, lifts) if lifts == lifts else nan
    leading_wheel = inset * along - wheel_shift
    wheels_apart = wheel_pitch * along
    trailing_wheel = leading_wheel + wheels_apart

    # Where the door stands open.
    faces_apart = panel_face + door_face
    passes = None
    if panel_side == panel_side and faces_apart - pass_margin == faces_apart - pass_margin:
        passes = panel_side <= faces_apart - pass_margin + h
    reach = setback + half_width
    by_handle = nan if passes is None else 0.0
    if passes is False:
        by_handle = fixed_edge + handle_clear + reach * along - handle_shift
    by_guide, by_wall = fixed_edge + front + capture, nan
    if head_shift == head_shift:
        by_wall = door_width * along + edge_room + max(0.0, -head_shift)
    by_stop = trailing_wheel + flange + stop_length + fit_reach + bar_start
    open_at = by_handle + by_guide + by_wall + by_stop
    if open_at == open_at:
        open_at = max(by_handle, by_guide, by_wall, by_stop)
    stopped_by = "the open stop"
    if by_handle >= open_at - h:
        stopped_by = "its handle"
    elif by_guide >= open_at - h:
        stopped_by = "the guide"
    elif by_wall >= open_at - h:
        stopped_by = "its wall"
    trailing = open_at - door_width * along
    travel = closed_at - open_at
    clear = travel + strike_gap - bulb_free
    open_stop_at = open_at - trailing_wheel - flange
    closed_room = bar_finish - (closed_at - leading_wheel + flange)
    closed_needs = stop_length + fit_reach

    # What the door weighs, and what that does to the bar.
    if thick >= least_19 - h:
        nominal = nom_19
    elif thick >= least_16 - h:
        nominal = nom_16
    elif thick >= least_12 - h:
        nominal = nom_12
    elif thick >= least_10 - h:
        nominal = nom_10
    elif thick >= least_8 - h:
        nominal = nom_8
    else:
        nominal = nom_6 if thick >= least_6 - h else thick
    hung_mass = (
        door_width * door_height * (max(thick, nominal) * weighed * density) + handle_mass + hangers
    )
    load = hung_mass * gravity / 2
    bore = diameter - 2 * wall_thick
    bore = max(0.0, bore) if bore == bore else nan
    inertia = math.pi / 64 * (diameter**4 - bore**4)
    modulus = 2 * inertia / diameter if diameter else nan
    stiff = elastic * inertia
    first = open_at - trailing_wheel - bar_start - deduction
    sag = slope = moment = pushed = nan
    if holds_bar:
        held = (bar_cut, to_first, to_second, first, travel, wheels_apart, load)
        sag, slope = asked(bar_sag, *held, stiff), asked(bar_slope, *held, stiff)
        moment, pushed = asked(bar_moment, *held), asked(push, *held)
    elif holds_bar is not None:
        free = (bar_cut, first, travel, wheels_apart, load)
        sag, slope = asked(bar_sag_walls, *free, stiff), asked(bar_slope_walls, *free, stiff)
        moment = asked(bar_moment_walls, *free)
    else:
        pushed = asked(push, bar_cut, to_first, to_second, first, travel, wheels_apart, load)
    stress = moment / modulus if modulus else nan
    sag_allowed = share_most * bar_cut
    may_push = panel_rating * gravity
    first_cut = stock_first - to_first
    second_cut = stock - first_cut - bar_cut
    reach_fixed = bar_start + fit_reach - (hole_a - to_first)
    reach_strike = bar_cut + deduction - between_walls + fit_reach
    end_play = between_walls - 2 * block - bar_cut
    below_bar, lower_wheel = bar_height - diameter / 2, nan
    if set_leading == set_leading and set_trailing == set_trailing:
        lower_wheel = axle + min(set_leading, set_trailing)
    below_door = lower_wheel - retainer_pitch * along - retainer_radius
    known = below_bar == below_bar and below_door == below_door
    underside = above_floor + min(below_bar, below_door) if known else nan

    # What clauses ask for besides.
    room_beside = plumb - fixed_edge
    known = all(one == one for one in ceilings)
    finger_room = (min(ceilings) if known else nan) - door_top - lift
    f_up, f_out = f_upward - bar_height, f_outward - offset
    s_up, s_out = s_upward - bar_height, s_outward - offset
    f_anchor = min(f_up, f_out) if f_up == f_up and f_out == f_out else nan
    s_anchor = min(s_up, s_out) if s_up == s_up and s_out == s_out else nan
    stop_most, hole_b = hole_a - fitting_half, hole_a + pitch
    over_a = min(open_stop_at - hole_a, hole_a - open_stop_at + stop_length)
    over_b = min(open_stop_at - hole_b, hole_b - open_stop_at + stop_length)
    stop_over = max(over_a, over_b) + fitting_half
    if over_a != over_a or over_b != over_b:
        stop_over = nan
    capture_closed = overlap - rear
    wanted = rating_share * rating
    wanted_spent = spent_share * eccentric
    # Under the door: the curb lies straight between its readings.
    length_fixed, length_strike = fixed_edge + f_into, plumb + s_into - fixed_edge
    to_fixed = (drop_fixed - drop_split) / length_fixed if length_fixed else nan
    to_strike = (drop_strike - drop_split) / length_strike if length_strike else nan
    turned = math.tan(tilt) if tilted else 0.0
    at_split = foot + drop_split
    over_shut = at_split + ((closed_at - fixed_edge) * turned if tilted else 0.0)
    over_open = at_split + ((open_at - fixed_edge) * turned if tilted else 0.0)
    if tilted is None:
        over_shut = over_open = nan
    shut_leading = at_split + to_strike * (closed_at - fixed_edge)
    open_leading = at_split + to_strike * (open_at - fixed_edge)
    shut_trailing = (
        at_split + foot_rise + (to_fixed * overlap if overlap >= 0 else to_strike * -overlap)
    )
    behind = fixed_edge - trailing
    open_trailing = (
        at_split + foot_rise + (to_fixed * behind if behind >= 0 else to_strike * -behind)
    )
    # A slope that is not known makes its side unknown, though it is not stood on.
    shut_trailing += 0.0 * (to_fixed + to_strike)
    open_trailing += 0.0 * (to_fixed + to_strike)
    # The split is not under a door that does not lap: its trailing edge goes over it, or stays off.
    laps, past = overlap >= -h, trailing <= fixed_edge + h
    shut_gaps = (shut_leading, shut_trailing, over_shut if laps else shut_trailing)
    all_gaps = (
        *(shut_leading, shut_trailing, over_shut if laps else at_split + foot_rise),
        *(open_leading, open_trailing, over_open if past else open_trailing),
    )
    gap_most = max(shut_gaps) if all(gap == gap for gap in shut_gaps) else nan
    gap_least = min(all_gaps) if all(gap == gap for gap in all_gaps) else nan
    gap_spread, sweep_range = gap_most - gap_least, sweep_most - sweep_least
    lowest = up_grid(floor_gap + sweep_least - gap_least, grid)
    highest = down_grid(floor_gap + sweep_most - gap_most, grid)
    spans = None
    if gap_spread == gap_spread and sweep_range == sweep_range:
        spans = gap_spread <= sweep_range + h
    known = over_shut == over_shut and over_open == over_open
    in_guide = guide_height - max(over_shut, over_open) - lifts if known else nan
    over_base = min(over_shut, over_open) - guide_base if known else nan
    foot_thick = thick + 2 * sweep_skin
    retainer_gap = retainer_pitch - tread - diameter - retainer_radius
    gap_one, gap_two = retainer_gap - set_leading, retainer_gap - set_trailing
    known = gap_one == gap_one and gap_two == gap_two
    retainer_near, retainer_far = (
        (min(gap_one, gap_two), max(gap_one, gap_two)) if known else (nan, nan)
    )
    known = gap_set_leading == gap_set_leading and gap_set_trailing == gap_set_trailing
    set_most = max(gap_set_leading, gap_set_trailing) if known else nan
    known = known and gap_set_open == gap_set_open
    set_least = min(gap_set_leading, gap_set_trailing, gap_set_open) if known else nan
    to_bar, to_fitting = door_face - diameter / 2, door_face - end_radius
    slender = door_height / door_width if door_width else nan
    knuckle_room = strike_gap + setback - half_width
    tops_apart, sweep_error = abs(door_top - fixed_top), abs(overhang - strike_gap)
    handle_at = above_floor + foot + setback * math.sin(tilt) + handle_height * along
    soft = 4 if work == "replacement" else 2

    bar_found = (
        1 if first_cut >= -h else 2 if first_cut < -h else 3,
        1 if second_cut >= -h else 2 if second_cut < -h else 3,
        1 if reach_fixed >= least_reach - h else 2 if reach_fixed < least_reach - h else 3,
        1 if reach_strike >= least_reach - h else 2 if reach_strike < least_reach - h else 3,
        1 if end_play >= play - h else 2 if end_play < play - h else 3,
        1 if stress <= allowable + h else 2 if stress > allowable + h else 3,
        0 if holds_bar is False else 1 if sag <= sag_most + h else 2 if sag > sag_most + h else 3,
        0 if holds_bar else 1 if sag <= sag_allowed + h else 2 if sag > sag_allowed + h else 3,
        1 if slope <= rest_most + tiny else 2 if slope > rest_most + tiny else 3,
        1 if bar_level <= bar_level_most + h else 2 if bar_level > bar_level_most + h else 3,
        0
        if holds_bar is False
        else 1
        if pushed <= may_push + h
        else 2
        if holds_bar and pushed > may_push + h
        else 3,
    )
    on_floor, on_curb = base == "floor", base == "curb"
    off_curb, off_floor = base in ("floor", "rim"), base in ("curb", "rim")
    opening_found = (
        1 if head_error <= head_most + h else 2 if head_error > head_most + h else 3,
        1 if middle_error <= middle_most + h else 2 if middle_error > middle_most + h else 3,
        1 if diagonal_error <= gross + h else 2 if diagonal_error > gross + h else 3,
        0
        if diagonal_error > gross + h
        else 1
        if diagonal_error <= diagonal_most + h
        else 2
        if diagonal_error > diagonal_most + h
        else 3,
        1 if head_height >= glass_top - h else 2 if head_height < glass_top - h else 3,
        1 if room_beside >= door_room - h else 2 if room_beside < door_room - h else 3,
        1 if strike_gap >= bulb_least - h else 2 if strike_gap < bulb_least - h else 3,
        1 if gap_widest <= bulb_most + h else 2 if gap_widest > bulb_most + h else 3,
        3 if f_backing is None else 1 if f_backing else 2,
        3 if s_backing is None else 1 if s_backing else 2,
        0
        if on_floor
        else 1
        if flat >= width_needed - h
        else 2
        if off_floor and flat < width_needed - h
        else 3,
        1 if abs(offset) <= shift + h else 2 if abs(offset) > shift + h else 3,
        1 if f_outward >= outer_line - h else 2 if f_outward < outer_line - h else 3,
        1 if s_outward >= outer_line - h else 2 if s_outward < outer_line - h else 3,
        0 if off_curb else 1 if fall_least > h else soft if on_curb and fall_least <= h else 3,
        0
        if off_curb or fall_least <= h
        else 1
        if fall_least >= fall_wanted - h
        else soft
        if on_curb and fall_least > h and fall_least < fall_wanted - h
        else 3,
        0
        if off_curb
        else 1
        if fall_most <= fall_allowed + h
        else soft
        if on_curb and fall_most > fall_allowed + h
        else 3,
        1 if finger_room >= fingers - h else 2 if finger_room < fingers - h else 3,
        1 if out_of_level <= level_most + h else soft if out_of_level > level_most + h else 3,
        3 if joint is None else 2 if joint else 1,
        1 if fixing == "bonded" or lined is False else 2 if fixing is not None and lined else 3,
        3 if f_pipes is None else 1 if f_pipes else 2,
        3 if s_pipes is None else 1 if s_pipes else 2,
        3 if f_hollow is None else 2 if f_hollow else 1,
        3 if s_hollow is None else 2 if s_hollow else 1,
        1 if f_anchor >= tile_edge - h else 2 if f_anchor < tile_edge - h else 3,
        1 if s_anchor >= tile_edge - h else 2 if s_anchor < tile_edge - h else 3,
        1 if underside >= head_least - h else 2 if underside < head_least - h else 3,
        1 if readings_age <= age + h else 2 if readings_age > age + h else 3,
        3 if tiled_since is None else 2 if tiled_since else 1,
        1 if f_spread <= rake + h else 2 if f_spread > rake + h else 3,
        1 if s_spread <= rake + h else 2 if s_spread > rake + h else 3,
    )
    sliding_found = (
        1 if overlap_least >= lap_least - h else 2 if overlap_least < lap_least - h else 3,
        1 if overlap_least <= lap_most + h else 2 if overlap_least > lap_most + h else 3,
        1 if clear >= access - h else 2 if clear < access - h else 3,
        0
        if clear < told_from - h
        else 1
        if clear >= comfort - h
        else 2
        if clear >= told_from - h and clear < comfort - h
        else 3,
        1 if closed_room >= closed_needs - h else 2 if closed_room < closed_needs - h else 3,
        0
        if captive is False
        else 1
        if open_stop_at <= stop_most + h
        else 2
        if captive and open_stop_at > stop_most + h
        else 3,
        0 if captive else 1 if stop_over <= h else 2 if captive is False and stop_over > h else 3,
        1 if capture_closed >= capture - h else 2 if capture_closed < capture - h else 3,
        1 if left_open >= capture - h else 2 if left_open < capture - h else 3,
        1 if hung_mass <= rating + tiny else 2 if hung_mass > rating + tiny else 3,
        0
        if hung_mass > rating + tiny
        else 1
        if hung_mass <= wanted + tiny
        else 2
        if hung_mass <= rating + tiny and hung_mass > wanted + tiny
        else 3,
        1 if spans else 2 if spans is False else 3,
        0
        if spans is False
        else 1
        if gap_least >= sweep_least - h
        else 2
        if spans and gap_least < sweep_least - h
        else 3,
        0
        if spans is False
        else 1
        if gap_most <= sweep_most + h
        else 2
        if spans and gap_most > sweep_most + h
        else 3,
        1 if over_base >= base_clear - h else 2 if over_base < base_clear - h else 3,
        1 if in_guide >= depth - h else 2 if in_guide < depth - h else 3,
        1 if slot >= foot_thick - h else 2 if slot < foot_thick - h else 3,
        0
        if adjusts
        else 1
        if retainer_near >= retainer_least - h
        else 2
        if adjusts is False and retainer_near < retainer_least - h
        else 3,
        0
        if adjusts
        else 1
        if retainer_far <= retainer_most + h
        else 2
        if adjusts is False and retainer_far > retainer_most + h
        else 3,
        1 if set_least >= sweep_least - h else 2 if set_least < sweep_least - h else 3,
        1 if set_most <= sweep_most + h else 2 if set_most > sweep_most + h else 3,
        3 if retainers_set is None else 1 if retainers_set else 2,
        1 if stops_fitted >= stops - tiny else 2 if stops_fitted < stops - tiny else 3,
        0
        if passes
        else 1
        if handle_clearance >= handle_clear - h
        else 2
        if passes is False and handle_clearance < handle_clear - h
        else 3,
        1 if faces_apart >= apart - h else 2 if faces_apart < apart - h else 3,
        1 if to_bar >= bar_clear - h else 2 if to_bar < bar_clear - h else 3,
        1 if to_fitting >= end_clear - h else 2 if to_fitting < end_clear - h else 3,
        1
        if thinnest - h <= thick <= thickest + h
        else 2
        if thick < thinnest - h or thick > thickest + h
        else 3,
        1 if slender <= ratio + tiny else 2 if slender > ratio + tiny else 3,
        1 if knuckle_room >= knuckles - h else 2 if knuckle_room < knuckles - h else 3,
        3 if shower is None else 2 if shower else 1,
        1 if spent <= eccentric + h else 2 if spent > eccentric + h else 3,
        0
        if spent > eccentric + h
        else 1
        if spent <= wanted_spent + h
        else 2
        if spent <= eccentric + h and spent > wanted_spent + h
        else 3,
        1 if tops_apart <= line + h else 2 if tops_apart > line + h else 3,
        1 if sweep_error <= sweep_near + h else 2 if sweep_error > sweep_near + h else 3,
        0
        if handle_at < low - h or handle_at > high + h
        else 1
        if handle_low - h <= handle_at <= handle_high + h
        else 2
        if handle_at == handle_at
        else 3,
        1 if low - h <= handle_at <= high + h else 2 if handle_at == handle_at else 3,
    )
    bar_worked = (
        (to_first, first_cut, second_cut, reach_fixed, reach_strike, end_play),
        (stress, sag, sag_allowed, slope, pushed, may_push),
    )
    opening_worked = (
        (head_error, middle_error, diagonal_error, room_beside, gap_widest, width_needed),
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
        ),
        (underside, readings_age, f_spread, s_spread),
    )
    sliding_worked = (
        (overlap_least, clear, closed_room, closed_needs, open_stop_at, stop_most, stop_over),
        (capture_closed, open_at, stopped_by, hung_mass, wanted, gap_spread, sweep_range),
        (gap_least, gap_most, lowest, highest, over_base, in_guide, foot_thick, retainer_near),
        (retainer_far, set_least, set_most, faces_apart, to_bar, to_fitting, slender),
        (knuckle_room, spent, wanted_spent, tops_apart, sweep_error, handle_at),
    )
    found = (bar_found, opening_found, sliding_found)
    return found, (bar_worked, opening_worked, sliding_worked)
