"""The sorts that are drawn, those that others are painted over first."""

from ..view import View
from . import bar, curb, fixed_panel, guide, opening, pane, sliding_door, wall

VIEWS = (
    View(
        sort="opening",
        facing=opening.facing,
        reach=opening.reach,
        elevation=opening.elevation,
        plan=opening.plan,
    ),
    View(sort="wall", elevation=wall.elevation, plan=wall.plan),
    View(sort="curb", reach=curb.reach, elevation=curb.elevation, plan=curb.plan),
    View(sort="guide", elevation=guide.elevation, plan=guide.plan),
    View(sort="pane", reach=pane.reach, elevation=pane.elevation),
    View(
        sort="fixed panel",
        reach=fixed_panel.reach,
        elevation=fixed_panel.elevation,
        plan=fixed_panel.plan,
        details=fixed_panel.details,
    ),
    View(
        sort="sliding door",
        reach=sliding_door.reach,
        elevation=sliding_door.elevation,
        plan=sliding_door.plan,
        details=sliding_door.details,
    ),
    View(sort="bar", reach=bar.reach, elevation=bar.elevation),
)
