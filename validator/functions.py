"""The functions that books call and YAML cannot say well, with their kinds."""

from ruleset.formula.check import Function
from ruleset.kinds import KINDS

from . import lifting, plate, pressed, statics, swing

_LENGTH = KINDS["length"]
_FORCE = KINDS["force"]
_STIFFNESS = KINDS["stiffness"]
_BEAM = "Elementary beam theory, force method with superposition"
_HELD = (_LENGTH,) * 6
"""Span, both holds, first wheel, travel, wheel pitch."""
_WALLS = (_LENGTH,) * 4
"""Span, first wheel, travel, wheel pitch."""


FUNCTIONS = (
    Function(
        name="bar_sag",
        takes=(*_HELD, _FORCE, _STIFFNESS),
        gives=_LENGTH,
        call=statics.bar_sag,
        means="greatest sag of a bar held by both walls and two fittings on the panel",
        source=_BEAM,
    ),
    Function(
        name="bar_moment",
        takes=(*_HELD, _FORCE),
        gives=KINDS["moment"],
        call=statics.bar_moment,
        means="greatest bending moment in that bar",
        source=_BEAM,
    ),
    Function(
        name="bar_slope",
        takes=(*_HELD, _FORCE, _STIFFNESS),
        gives=KINDS["angle"],
        call=statics.bar_slope,
        means="slope of that bar under the resting door, the mean under its wheels",
        source=_BEAM,
    ),
    Function(
        name="bar_reaction",
        takes=(*_HELD, _FORCE),
        gives=_FORCE,
        call=statics.bar_reaction,
        means="greatest push down on one of the panel's fittings",
        source=_BEAM,
    ),
    Function(
        name="bar_sag_walls",
        takes=(*_WALLS, _FORCE, _STIFFNESS),
        gives=_LENGTH,
        call=statics.bar_sag_walls,
        means="greatest sag of a bar held by the walls alone",
        source=_BEAM,
    ),
    Function(
        name="bar_moment_walls",
        takes=(*_WALLS, _FORCE),
        gives=KINDS["moment"],
        call=statics.bar_moment_walls,
        means="greatest bending moment in that bar",
        source=_BEAM,
    ),
    Function(
        name="bar_slope_walls",
        takes=(*_WALLS, _FORCE, _STIFFNESS),
        gives=KINDS["angle"],
        call=statics.bar_slope_walls,
        means="slope of that bar under the resting door, the mean under its wheels",
        source=_BEAM,
    ),
    Function(
        name="recommended_load",
        takes=(_LENGTH, _LENGTH, _LENGTH, KINDS["angle"], KINDS["number"], KINDS["number"]),
        gives=KINDS["mass"],
        call=lifting.recommended_load,
        means="recommended load of a lift: reach, height, rise, twist, lifts a minute, grip 1 to 3",
        source="DHHS (NIOSH) 94-110, revised lifting equation",
    ),
    Function(
        name="edge_push",
        takes=(_LENGTH,) * 3 + (KINDS["line load"], KINDS["moment"], KINDS["number"]),
        gives=_LENGTH,
        call=plate.edge_push,
        means="most that the free side edge of a pane moves, its other three edges held and hinged",
        source="Kirchhoff's thin plate, Levy's series",
    ),
    Function(
        name="pane_moves",
        takes=(
            _LENGTH,
            _LENGTH,
            KINDS["count"],
            KINDS["count"],
            KINDS["stress"],
            KINDS["moment"],
            KINDS["number"],
        ),
        gives=_LENGTH,
        call=pressed.pane_moves,
        means="most that a pane bends under an even pressure, by how many sides and ends are held",
        source="Kirchhoff's thin plate, least energy",
    ),
    Function(
        name="pane_stress",
        takes=(
            _LENGTH,
            _LENGTH,
            KINDS["count"],
            KINDS["count"],
            KINDS["stress"],
            _LENGTH,
            KINDS["number"],
        ),
        gives=KINDS["stress"],
        call=pressed.pane_stress,
        means="greatest stress in that pane",
        source="Kirchhoff's thin plate, least energy",
    ),
    Function(
        name="first_contact",
        takes=(*(_LENGTH,) * 9, KINDS["angle"]),
        gives=KINDS["angle"],
        call=swing.first_contact,
        means="angle at which a turning leaf first meets a line or an arc on the floor plan",
        source="Plane geometry",
    ),
)
