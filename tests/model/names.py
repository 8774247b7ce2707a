"""Every name of the tool that the model uses, in one table, so that a renaming is one change here.

On the left stands the tool's word, on the right the model's own.
"""

from collections.abc import Mapping


def _table(text: str, *, fields: bool) -> dict[str, str]:
    """Return the tool's names with the model's, from lines such as `kit.bar: pitch=bar_pitch`.

    Args:
        text: Groups of the tool's names, each with its fields.
        fields: The field alone is the model's name where none is given; else the group stands
            before it, and words are parted by spaces.
    """
    found: dict[str, str] = {}
    group = ""
    for word in text.split():
        if word.endswith(":"):
            group = word[:-1]
            continue
        name, _, ours = word.partition("=")
        if fields:
            found[f"{group}.{name}"] = ours or name
        else:
            found[f"{group}.{name}"] = (ours or f"{group} {name}").replace("_", " ")
    return found


ARRANGEMENT = "in-line slider"
CODE = "irc-2021"

FACTS: Mapping[str, str] = _table(
    """
survey: read_on base
survey.front: head_height=read_height
survey.front.width: sill=width_sill middle=width_middle head=width_head
survey.near: lean=lean_fixed bow=bow_fixed diagonal=rising fall=fall_fixed drop=drop_fixed
    backing=backing_fixed pipes_known=pipes_fixed hollow=hollow_fixed
    tile_outward=outward_fixed tile_upward=upward_fixed
survey.near.ceiling: inside=ceiling_inside_fixed outside=ceiling_outside_fixed
survey.far: lean=lean_strike bow=bow_strike diagonal=falling fall=fall_strike drop=drop_strike
    backing=backing_strike pipes_known=pipes_strike hollow=hollow_strike
    tile_outward=outward_strike tile_upward=upward_strike
survey.far.ceiling: inside=ceiling_inside_strike outside=ceiling_outside_strike
survey.fixed: drop=drop_split
survey.curb: flat_width=curb_flat above_floor above_drain
survey.receptor: slope=floor_slope
survey.compartment: width=stall_width depth=stall_depth cut=stall_cut
design: hand height
design.bar: offset=bar_offset
design.door: overlap floor_gap eccentric=set_at thickness=door_thickness glass=door_glass
    surface=door_surface treated_face=door_face_treated category=door_category mark=door_mark
    edges=door_edges tilted
design.fixed: split wall_gap sill_lift first_hole=hole_first thickness=fixed_thickness
    glass=fixed_glass surface=fixed_surface treated_face=fixed_face_treated
    category=fixed_category mark=fixed_mark edges=fixed_edges
design.door.handle: setback=handle_setback half_width=handle_half panel_side=handle_stands_off
    height=handle_height hole=handle_hole mass=handle_mass kind=handle_kind
order: placed_on crew
kit.bar: diameter=bar_diameter wall_thickness=bar_wall stock=bar_stock first_hole=bar_first_hole
    pitch=bar_pitch elastic=bar_elastic allowable=bar_allowable density=bar_density
    shift=bar_shift
kit: drop hanger_mass strike_gap floor_gap=floor_gap_usual handle_clear pass_margin edge_room
    curb_margin finger_room=hand_room hole_to_edge
kit.panel: face=panel_face hole=panel_hole holds_bar=panel_holds_bar
    fitting_half=panel_fitting_half rating=panel_rating thinnest=panel_thinnest
    thickest=panel_thickest
kit.end: deduction=end_deduction fit_reach=end_reach radius=end_radius block=end_block
    least_reach=end_least_reach
kit.door: side=door_side face=door_face thinnest=door_thinnest thickest=door_thickest
    rating=door_rating
kit.wheel: tread flange inset hole=wheel_hole axle_to_top eccentric lift
kit.retainer: radius=retainer_radius pitch=retainer_pitch hole=retainer_hole least=retainer_least
    most=retainer_most
kit.stop: length=stop_length captive=stop_captive
kit.guide: slot=guide_slot height=guide_height half_width=guide_half front=guide_front
    rear=guide_rear base=guide_base capture
kit.channel: width=channel_width depth=channel_depth least_bite=channel_bite
kit.bulb: least=bulb_least most=bulb_most free=bulb_free
kit.sweep: overhang=sweep_overhang least=sweep_least most=sweep_most cover=sweep_cover
    skin=sweep_skin
""",
    fields=True,
)

WALLS: Mapping[str, tuple[str, str]] = {"left": ("left", "right"), "right": ("right", "left")}
"""The tool's walls that are near and far here, by the hand: near is the one the panel is at."""


def of_hand(name: str, hand: str) -> str:
    """Return the tool's name for one that has near or far in it."""
    near, far = WALLS[hand]
    return name.replace(".near.", f".{near}.").replace(".far.", f".{far}.")


ROWS: Mapping[str, str] = {
    "design.door.holes": "door_more",
    "design.fixed.holes": "fixed_more",
    "design.door.notches": "door_notches",
    "design.fixed.notches": "fixed_notches",
}
ROW_FIELDS: Mapping[str, tuple[str, ...]] = {
    "door_more": ("x", "y", "across"),
    "fixed_more": ("x", "y", "across"),
    "door_notches": ("x", "y", "width", "height", "radius"),
    "fixed_notches": ("x", "y", "width", "height", "radius"),
}
"""What a row of each list holds; x from the edge nearer the fixed panel's wall, y from the foot."""

GROUPS: Mapping[str, str] = {"holes": "hole", "notches": "notch"}
"""Groups of a pane's parts."""

POLICIES: Mapping[str, str] = {
    "doors.limit.second_over": "second_over",
    "doors.limit.second_reach": "second_reach",
    "doors.limit.second_beside": "second_beside",
    "opening.limit.slope_least": "slope_least",
    "opening.limit.slope_most": "slope_most",
    "opening.limit.fall_reading": "fall_reading",
    "glass.limit.weighed": "weighed",
}
"""Margins that a shop or a kit chooses; the model takes them as they are, like any fact."""

PARTS: Mapping[str, str] = {
    "door": "door",
    "fixed": "fixed",
    "near": "wall fixed",
    "far": "wall strike",
}
"""Parts whose workings are written once for their sort, such as pane.area for door and panel."""

OWN_WORKINGS: Mapping[str, str] = _table(
    """
bar: height up fixed_end=bar_fixed_face strike_end=bar_strike_face wall_to_wall cut to_first_hole
    to_second_hole first_cut second_cut above_curb_fixed above_curb_strike from_curb_edge
    open_stop reach_fixed reach_strike end_play underside_above_floor bore inertia modulus mass
    stiffness wheel_load first_wheel sag slope moment stress panel_push first_end last_end
compartment: area=stall_area least_dimension=stall_least circle=stall_circle
    step_inside=step_inside
opening: plumb_width=plumb_width head_error=head_error middle_error=middle_error
    rising_expected=rising_expected falling_expected=falling_expected
    diagonal_error=diagonal_error ceiling_inside=ceiling_inside ceiling_outside=ceiling_outside
    ceiling_over_door=ceiling_over_door
    width_tolerance=tolerance_width soffit_error=soffit_error ends_apart=ends_apart
    readings_age=readings_age door_bay=door_bay
hardware: flange_depth end_reach slot_least
curb: deeper_fixed deeper_strike panel_room door_room outward_room inward_room width_needed
    outer_line fall_least rise_most fall_most fall_wanted fall_allowed
    before_glass behind_glass outer_glass inner_glass
slider_curb: line=bar_from_curb_edge
panel_curb: highest=curb_highest out_of_level=curb_out_of_level
slider_opening: ceiling_over_panel=ceiling_over_panel
panel: on_right=fixed_on_right reach=fixed_edge past_bay=plumb_width
    width=fixed_width edge=fixed_edge height=fixed_height top=fixed_top
    hole_y=fixed_hole_y second_hole=fixed_second_hole past_second_hole=fixed_past_second_hole
    hole_a=fixed_hole_a hole_b=fixed_hole_b bite_least=fixed_bite_least
    sill_bite_least=fixed_sill_bite_least line=fixed_line from_curb_edge=fixed_from_curb_edge
    wall_channel=fixed_wall_channel sill_channel=fixed_sill_channel lift_out=fixed_lift_out
    soffit_room=fixed_soffit_room load_stress=fixed_load_stress rigidity=fixed_rigidity
    load_deflection=fixed_load_deflection side_load_height=fixed_side_load_height
    edge_deflection=fixed_edge_deflection
door: line=guide_line width closed_at closed_trailing overlap overlap_least strike_spread
    wheels_apart strike_gap_widest follows axle top height wheel_hole_y retainer_hole_y wheel_pitch
    hung_mass floor_gap tilt wheel_shift head_shift handle_top handle_shift handle_past foot_rise
    foot wheel_rise setting_leading setting_trailing eccentric_spent eccentric_left adjustment_left
    gap_leading_shut gap_trailing_shut gap_split_shut gap_leading_open gap_trailing_open
    gap_split_open sweep_range gap_spread lowest_floor_gap highest_floor_gap retainer_gap_leading
    retainer_gap_trailing leading_wheel trailing_wheel floor_gap_least floor_gap_most finger_room
    retainer_gap faces_apart to_bar to_fitting handle_reach handle_passes open_by_handle
    open_by_guide open_by_wall open_by_stop open_at stopped_by trailing travel clear_opening
    past_panel best_split widest_way_in open_stop_at open_stop_over closed_stop_at closed_room
    closed_needs knuckle_room handle_above_floor foot_thickness sweep bulb dam pull_holes far_hole
    second_holes stray_holes
guide: line from_curb_edge far_edge near_edge capture_closed engagement over_base
route: crew_load=crew_load
""",
    fields=False,
)
"""Workings of one part."""

SORT_WORKINGS: Mapping[str, str] = {
    "wall.foot_past": "foot past",
    "wall.middle_past": "middle past",
    "wall.head_past": "head past",
    "wall.into": "into",
    "wall.spread": "spread",
    "wall.anchor_to_tile_edge": "anchor to tile edge",
    "pane.area": "area",
    "pane.cut_tolerance": "cut tolerance",
    "pane.diagonal": "diagonal",
    "pane.treated": "treated",
    "pane.shorter": "shorter",
    "pane.longer": "longer",
    "pane.least_thickness": "least thickness",
    "pane.nominal": "nominal",
    "pane.weighed_thickness": "weighed thickness",
    "pane.areal_mass": "areal mass",
    "pane.glass_mass": "glass mass",
    "pane.hole_count": "hole count",
    "pane.allowable_stress": "allowable stress",
    "pane.inertia": "inertia",
    "pane.modulus": "modulus",
    "pane.people": "people",
    "pane.lifting_index": "lifting index",
    "notch.on_pane": "on pane",
    "notch.strip": "strip",
    "notch.to_hole": "to hole",
    "notch.from_level": "from level",
    "notch.from_side": "from side",
    "notch.corner_to_hole": "corner to hole",
    "hole.rim_to_edge": "rim to edge",
    "hole.rim_to_corner": "rim to corner",
}

FACTS_AGAIN: Mapping[str, str] = {
    "door.thinnest": "door_thinnest",
    "panel.thinnest": "panel_thinnest",
}
"""Workings that only hand a fact to the clauses of a sort: the fact itself is what they must be."""

MIRRORED: Mapping[str, str] = {
    "rising expected": "falling expected",
    "falling expected": "rising expected",
}
"""What rises from the left wall falls from the panel's where that is the right one."""

NO_MEANING: Mapping[str, str] = {
    "notch.near_side": "how far a side is carried past the edge is the book's choice",
    "notch.far_side": "the same",
    "notch.lower_side": "the same",
    "notch.upper_side": "the same",
    "notch.corner_x": "which of the two corners is named first is the book's choice",
    "notch.corner_y": "the same",
    "notch.other_x": "the same",
    "notch.other_y": "the same",
    "curb.of_bath": "it is no for every curb; a rim says otherwise",
    "wall.drop": "it is the reading again",
    "panel.drop": "the same",
    "wall.reach": "it is nothing, so that a wall can be a side as a panel is",
    "panel.spread": "the same",
    "door.datum_edge": "it is the hand again",
    "panel.datum_edge": "the same",
    "wall.end": "it is what the wall is called",
}
"""Workings that mean nothing outside the books, with the reason."""

COARSE: Mapping[str, float] = {
    "bar.sag": 1e-6,
    "bar.moment": 1e-6,
    "bar.stress": 1e-6,
    "bar.panel_push": 1e-6,
    "door.widest_way_in": 1e-4,  # a wider door hangs a hair lower at its strike edge
    "panel.load_stress": 1e-6,
    "panel.load_deflection": 1e-6,
    "panel.edge_deflection": 3e-5,  # the model looks at 401 places along the edge
}
"""How near, of the value, the two come where one of them goes in steps."""

DIFFERS: Mapping[str, str] = {}
"""Workings on which tool and model are known to differ, with the reason; each must still differ."""
