"""What the hand-written version takes, in the order it takes it in."""

BEAMS = (
    *("bar_sag", "bar_sag_walls", "bar_slope", "bar_slope_walls"),
    *("bar_moment", "bar_moment_walls", "bar_reaction"),
)

SIDES, ENDS = ("inside", "outside"), ("left", "right")

FACTS: tuple[tuple[str, ...], ...] = (
    (
        *("job.grid", "survey.read_on", "order.placed_on", "survey.tiled_since", "survey.base"),
        *("survey.work", "survey.left.shower"),
    ),
    (
        *(
            "survey.front.head_height",
            "survey.front.width.sill",
            "survey.front.width.middle",
            "survey.front.width.head",
        ),
        *("survey.left.diagonal", "survey.right.diagonal"),
        *(f"survey.{end}.ceiling.{side}" for side in SIDES for end in ENDS),
    ),
    *(
        (
            *(f"survey.{wall}.lean", f"survey.{wall}.bow", f"survey.{wall}.backing"),
            *(f"survey.{wall}.pipes_known", f"survey.{wall}.hollow"),
            *(f"survey.{wall}.tile_outward", f"survey.{wall}.tile_upward"),
        )
        for wall in ENDS
    ),
    (
        *("survey.curb.flat_width", "survey.left.fall", "survey.right.fall"),
        *("survey.left.drop", "survey.fixed.drop", "survey.right.drop"),
        *("survey.curb.above_floor", "survey.curb.lined", "survey.curb.joint_under_glass"),
    ),
    (
        *("design.fixed.split", "design.door.overlap", "design.height", "design.fixed.wall_gap"),
        *(
            "design.fixed.sill_lift",
            "design.fixed.first_hole",
            "design.bar.offset",
            "design.curb.fixing",
        ),
        *("design.door.thickness", "design.door.tilted", "design.fixed.thickness"),
        *("design.door.floor_gap", "design.door.eccentric"),
    ),
    (
        *("design.door.handle.setback", "design.door.handle.half_width"),
        *("design.door.handle.panel_side", "design.door.handle.height", "design.door.handle.mass"),
    ),
    (
        *("kit.bar.diameter", "kit.bar.wall_thickness", "kit.bar.pitch", "kit.bar.first_hole"),
        *("kit.bar.stock", "kit.bar.elastic", "kit.bar.allowable", "kit.bar.shift", "kit.drop"),
    ),
    (
        *("kit.end.radius", "kit.end.fit_reach", "kit.end.deduction", "kit.end.block"),
        *("kit.end.least_reach", "kit.stop.length", "kit.stop.captive"),
    ),
    (
        *("kit.panel.face", "kit.panel.holds_bar", "kit.panel.rating", "kit.panel.fitting_half"),
        "kit.channel.width",
    ),
    (
        *("kit.door.face", "kit.door.side", "kit.door.rating", "kit.door.thinnest"),
        *("kit.door.thickest", "kit.strike_gap", "kit.hanger_mass"),
    ),
    (
        *("kit.wheel.tread", "kit.wheel.axle_to_top", "kit.wheel.inset", "kit.wheel.flange"),
        *("kit.wheel.lift", "kit.wheel.eccentric", "kit.retainer.pitch", "kit.retainer.radius"),
        "kit.retainer.adjusts",
    ),
    (
        *("kit.guide.half_width", "kit.guide.front", "kit.guide.rear", "kit.guide.height"),
        *("kit.guide.slot", "kit.bulb.free", "kit.bulb.least", "kit.bulb.most"),
        *("kit.sweep.skin", "kit.sweep.least", "kit.sweep.most", "kit.sweep.overhang"),
        "kit.guide.base",
    ),
    (
        *("kit.pass_margin", "kit.guide.capture", "kit.handle_clear", "kit.edge_room"),
        *("kit.curb_margin", "kit.finger_room", "kit.retainer.least", "kit.retainer.most"),
    ),
    (
        *("as_built.bar.level", "as_built.door.retainers_set", "as_built.bar.stops_fitted"),
        *("as_built.door.handle_clearance", "as_built.door.guide_capture"),
        *(f"as_built.door.floor_gap.{edge}" for edge in ("leading", "trailing", "open")),
    ),
)

LIMITS: tuple[tuple[str, ...], ...] = (
    (
        "opening.head-width-agrees.agree",
        *("opening.middle-width-agrees.agree", "opening.diagonals-agree.agree"),
        *("opening.limit.gross", "opening.limit.fall_reading"),
        *("opening.panel-inside.door_room", "opening.limit.slope_least"),
        *("opening.limit.slope_most", "opening.curb-level.level"),
        *("opening.tile-edge.edge", "opening.head-under-bar.head"),
        *("opening.readings-fresh.age", "opening.rake.rake"),
    ),
    (
        *("bar.limit.gravity", "bar.drops-in.play", "bar.sag-held.sag", "bar.sag-walls.share"),
        *("bar.slope-at-rest.rest", "bar.level.level"),
    ),
    ("sliding.comfortable-way-in.access",),
    (
        *("sliding.overlap-least.lap", "sliding.overlap-most.lap"),
        *("sliding.clear-opening.access", "sliding.comfortable-way-in.comfort"),
        *("sliding.rating-share.share", "sliding.engagement.depth"),
        *("sliding.over-guide-base.clear", "sliding.eccentric-share.share"),
        *("sliding.stops-fitted.stops", "sliding.faces-apart.apart"),
        *("sliding.door-to-bar.clear", "sliding.door-to-fitting.clear"),
        *("sliding.height-to-width.ratio", "sliding.knuckle-room.knuckles"),
        *("sliding.tops-in-line.line", "sliding.sweep-overhang.near"),
        *("doors.handle-height.low", "doors.handle-height.high"),
        *("doors.limit.reach_low", "doors.limit.reach_high"),
    ),
    (
        *("glass.limit.density", "glass.limit.weighed"),
        *(f"glass.limit.{what}_{at}" for at in (19, 16, 12) for what in ("least", "nominal")),
        *(f"glass.limit.{what}_{at}" for at in (10, 8, 6) for what in ("least", "nominal")),
    ),
)
