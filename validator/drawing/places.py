"""Which place of a drawing a finding concerns: the first name of its formula that has one."""

from collections.abc import Iterator, Mapping
from types import MappingProxyType

from ruleset.formula.cone import leaves
from ruleset.plan import Case

from ..finding import Finding
from ..verdict import Verdict

# Beginnings of names, and where what they tell of is drawn; the longest that fits counts.
_BY_NAME: Mapping[str, str] = MappingProxyType(
    {
        "opening.plumb_width": "opening",
        "opening.head_error": "opening",
        "survey.head_height": "opening",
        "survey.width": "opening",
        "survey.diagonal": "opening",
        "survey.curb": "curb",
        "survey.curb.flat_width": "curb width",
        "curb.width": "curb width",
        "survey.curb.fall": "curb fall fixed",
        "curb.fall": "curb fall fixed",
        "curb.rise": "curb fall fixed",
        "survey.curb.lined": "sill channel",
        "design.curb_fixing": "sill channel",
        "curb.out_of_level": "curb",
        "survey.shower": "lap",
        "design.split": "split",
        "design.overlap": "lap",
        "design.wall_gap": "wall channel",
        "design.sill_lift": "panel foot",
        "design.bar_offset": "bar",
        "fixed.bite": "wall channel",
        "fixed.sill_bite": "sill channel",
        "fixed.hole_a": "first hole",
        "fixed.second_hole": "second hole",
        "fixed.edge": "split",
        "fixed": "fixed",
        "design.fixed": "fixed",
        "door": "door",
        "design.door": "door",
        "door.overlap": "lap",
        "door.clear_opening": "way in",
        "door.widest_way_in": "way in",
        "door.closed_room": "closed stop",
        "door.closed_needs": "closed stop",
        "door.open_stop_at": "open stop",
        "door.open_at": "open edge",
        "door.hung_mass": "trailing wheel",
        "door.eccentric_spent": "trailing wheel",
        "door.floor_gap": "floor gap",
        "door.gap": "floor gap",
        "as_built.floor_gap": "floor gap",
        "door.retainer": "leading retainer",
        "as_built.retainers": "leading retainer",
        "as_built.stops": "open stop",
        "as_built.handle": "handle",
        "door.faces_apart": "faces",
        "door.to_bar": "faces",
        "door.to_fitting": "bar end strike",
        "door.knuckle_room": "handle",
        "door.handle": "handle",
        "door.top": "door top",
        "door.finger_room": "door top",
        "door.strike": "strike gap",
        "kit.strike_gap": "strike gap",
        "kit.bulb": "strike gap",
        "kit.sweep": "sweep",
        "kit.guide": "guide",
        "guide": "guide",
        "bar": "bar",
        "bar.first_cut": "bar end fixed",
        "bar.second_cut": "bar end strike",
        "bar.reach_fixed": "bar end fixed",
        "bar.reach_strike": "bar end strike",
        "bar.end_play": "bar end strike",
        "bar.panel_push": "second hole",
        "as_built.bar": "bar",
        "as_built.head_held": "first hole",
        "as_built.setting_blocks": "panel foot",
        "as_built.fixed": "split",
    }
)
# Where a finding goes whose formula names no place.
_BY_SUBJECT: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "opening": ("opening",),
        "curb": ("curb", "curb width"),
        "fixed_wall": ("fixed_wall",),
        "strike_wall": ("strike_wall",),
        "fixed": ("fixed", "panel in plan"),
        "door": ("door", "door in plan"),
        "bar": ("bar",),
        "guide": ("guide", "guide in plan"),
    }
)
_WHOLE_PART = ("glass.", "handling.", "papers.")  # what is asked of a pane, not of a place on it


def places(verdict: Verdict, finding: Finding) -> Iterator[str]:
    """Yield the names of places that a finding concerns, the nearest first.

    Args:
        verdict: The verdict the review was made from.
        finding: One of its findings.
    """
    yield from _hole_places(finding.subject)
    part = finding.subject.partition(".")[0]
    if part in ("fixed_wall", "strike_wall"):
        yield part
    if not finding.clause.startswith(_WHOLE_PART):
        case = _case(verdict, finding)
        if case is not None and case.needs is not None:
            for name in leaves(case.needs):
                yield from _places_of(name)
    yield from _BY_SUBJECT.get(part, ())


def _hole_places(subject: str) -> Iterator[str]:
    """Yield the holes of a subject such as door.holes[1]+holes[3]."""
    if "[" in subject:
        part = subject.partition(".")[0]
        for one in subject.split("+"):
            yield f"{part}.{one.removeprefix(f'{part}.')}"


def _places_of(name: str) -> Iterator[str]:
    words = name.replace("_", "._").split(".")
    while words:
        place = _BY_NAME.get(".".join(words).replace("._", "_"))
        if place is not None:
            yield place
            return
        words.pop()


def _case(verdict: Verdict, finding: Finding) -> Case | None:
    fits = (
        case
        for case in verdict.plan.cases
        if case.clause.name == finding.clause and case.subject == finding.subject
    )
    return next(fits, None)
