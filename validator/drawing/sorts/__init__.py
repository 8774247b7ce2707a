"""The sorts that are drawn, those that others are painted over first."""

from ..view import View
from . import bar, brace, curb, fixed_panel, guide, hinged_door, opening, pane, sliding_door, wall
from .opening import count_from

_PANE = View(sort="pane", reach=pane.reach, elevation=pane.elevation)
PANE = _PANE.sort
VIEWS = (
    View(
        sort="opening",
        reach=opening.reach,
        elevation=opening.elevation,
        plan=opening.plan,
    ),
    View(
        sort="slider opening",
        hand=opening.hand,
        reach=opening.reach,
        elevation=opening.elevation,
        plan=opening.plan,
    ),
    View(sort="wall", counts=count_from, elevation=wall.elevation, plan=wall.plan),
    View(sort="curb", reach=curb.reach, elevation=curb.elevation, plan=curb.plan),
    View(sort="guide", counts=guide.counts, elevation=guide.elevation, plan=guide.plan),
    _PANE,
    View(
        sort="fixed panel",
        counts=fixed_panel.counts,
        reach=fixed_panel.reach,
        elevation=fixed_panel.elevation,
        plan=fixed_panel.plan,
        details=fixed_panel.details,
    ),
    View(
        sort="sliding door",
        counts=sliding_door.counts,
        reach=sliding_door.reach,
        elevation=sliding_door.elevation,
        plan=sliding_door.plan,
        details=sliding_door.details,
    ),
    View(
        sort="hinge panel",
        counts=fixed_panel.counts,
        reach=fixed_panel.reach,
        elevation=fixed_panel.elevation,
        plan=fixed_panel.plan,
    ),
    View(
        sort="hinged door",
        hand=hinged_door.hand,
        counts=hinged_door.counts,
        reach=hinged_door.reach,
        elevation=hinged_door.elevation,
        plan=hinged_door.plan,
    ),
    View(sort="bar", counts=bar.counts, reach=bar.reach, elevation=bar.elevation),
    View(
        sort="head brace",
        counts=brace.counts,
        reach=brace.reach,
        elevation=brace.elevation,
        plan=brace.plan,
    ),
)
