"""The remedies of a job for people, and for programs."""

from collections.abc import Iterable, Iterator

from ruleset.explain import Amount

from ..job import Job
from ..phrases import listed, small
from ..remedy.patch import json_patch
from ..remedy.result import (
    AT_SIZE,
    UNWEIGHED,
    WITHIN_LIKELY,
    WITHIN_TOLERANCE,
    Change,
    Cured,
    Nothing,
    Remedies,
    Remedy,
    Single,
    Site,
    Tighter,
)
from .data import plain
from .layout import USUAL_WIDTH, Look, counted

INDENT = 5
SPECK = 1e-6  # internal units; a margin nearer to nothing than this is none


def write(remedies: Remedies, *, width: int = USUAL_WIDTH, look: Look | None = None) -> str:
    """Return the remedies of a job as text that ends with a line break.

    Args:
        remedies: The remedies.
        width: Columns, where no look is given.
        look: Width, colour and characters.
    """
    seen = look or Look(width=width)
    head = f"Remedies for {remedies.job}" + (f", {remedies.title}" if remedies.title else "")
    lines = seen.wrap(head)
    if not remedies.singles:
        lines += [
            "",
            *seen.wrap("Nothing fails as an error or a warning; there is nothing to cure."),
        ]
    lines += _joint(remedies, seen)
    for heading, level in (("One error at a time", "error"), ("One warning at a time", "warning")):
        singles = [one for one in remedies.singles if one.level == level]
        lines += seen.heading(heading) if singles else []
        for number, single in enumerate(singles, start=1):
            lines += _single(number, single, seen)
    if remedies.joint is not None or any(one.remedy for one in remedies.singles):
        lines += ["", *seen.wrap(_foot(remedies))]
    if remedies.stopped:
        lines += ["", *seen.wrap("The search was stopped; this is what was found by then.")]
    for unread in remedies.unread:
        lines += seen.wrap(f"A kit was left out, since it cannot be read: {unread}")
    return "\n".join(lines) + "\n"


def _joint(remedies: Remedies, look: Look) -> list[str]:
    errors = [one for one in remedies.singles if one.level == "error"]
    if not errors:
        return []
    lines = look.heading("All errors together")
    if remedies.joint is not None:
        lines += _remedy(remedies.joint, look)
    elif remedies.joint_nothing is not None:
        lines += look.wrap("The errors have no cure in common.", first="  ")
        lines += _nothing(remedies.joint_nothing, look)
    else:
        lines += look.wrap("No change of the design cures any of the errors.", first="  ")
    if remedies.left:
        count = counted(len(remedies.left), "error")
        verb = "is" if len(remedies.left) == 1 else "are"
        says = f"{count} {verb} left that no change of the design cures; see below."
        lines += look.wrap(says, first="  ")
    return lines


def _single(number: int, single: Single, look: Look) -> list[str]:
    lines = ["", *look.wrap(single.says, first=f"{number:>3}. ")]
    lines += look.wrap(f"({single.clause}, {single.subject})", first=" " * INDENT)
    if single.remedy is not None:
        return lines + _remedy(single.remedy, look)
    if single.nothing is not None:
        lines += _nothing(single.nothing, look)
    return lines


def _remedy(remedy: Remedy, look: Look) -> list[str]:
    lines = look.field("Do", remedy.title, indent=INDENT, how="green")
    for label, text in _details(remedy):
        lines += look.field(label, text, indent=INDENT)
    return lines


def _details(remedy: Remedy) -> Iterator[tuple[str, str]]:
    follows = [one for one in remedy.changes if one.follows and not one.again]
    if follows:
        yield "Follows", _listed(_follows(one) for one in follows)
    yield "Then", _listed(_cured(one) for one in remedy.cures)
    if remedy.tight:
        yield "Tight", f"At size only: {_tight(remedy.tight)}."
    for again in remedy.again:
        yield "Again", again
    yield "Sure", _sure(remedy)
    if remedy.smaller is not None:
        yield "Or", _smaller(remedy.smaller)


def _now(change: Change) -> str:
    return f"{small(change.means)}: {change.now}"


def _follows(change: Change) -> str:
    return f"{small(change.means)}: {change.was} becomes {change.now}"


def _cured(cured: Cured) -> str:
    if cured.margin is None:
        return f"{cured.clause} holds"
    spare = _spare(cured.margin)
    if cured.worst is None or cured.worst.value >= cured.margin.value - SPECK:
        return f"{cured.clause} holds with {spare}"
    return f"{cured.clause} holds with {spare}, at worst {_spare(cured.worst)}"


def _spare(margin: Amount) -> str:
    if abs(margin.value) < SPECK:
        return "nothing to spare"
    if margin.value < 0:
        return f"{margin.text.removeprefix('-')} short"
    return f"{margin.text} to spare"


def _tight(tight: Iterable[Tighter]) -> str:
    """Return what tolerances eat, and how surely, as the end of a sentence."""
    likely = [one.clause for one in tight if one.likely]
    others = [one.clause for one in tight if not one.likely]
    parts = [f"tolerances can eat what it leaves {listed(likely)}"] if likely else []
    if others:
        parts.append(f"if all fall the wrong way at once they eat what it leaves {listed(others)}")
    return "; ".join(parts)


REACHED = {
    WITHIN_TOLERANCE: "It holds within tolerance",
    WITHIN_LIKELY: "It holds within the likely tolerance, the root-sum-square",
    AT_SIZE: "It holds at size only",
    UNWEIGHED: "It holds at size",
}


def _sure(remedy: Remedy) -> str:
    held = REACHED[remedy.reached]
    if remedy.reached == AT_SIZE:
        none = "is there" if remedy.settled else "was found"
        held += f"; no change {none} within reach that holds within tolerance"
    if remedy.proved:
        return f"{held}. No smaller change does, on the shop's grid."
    return f"{held}. It is the best found; a smaller change may do."


def _smaller(remedy: Remedy) -> str:
    return f"{remedy.title} That is less, but {_tight(remedy.tight)}."


def _foot(remedies: Remedies) -> str:
    weighed = any(one.remedy and one.remedy.reached != UNWEIGHED for one in remedies.singles)
    tight = ", or becomes tight but where it says so" if weighed else ""
    return (
        "Each change was applied to a copy of the job and judged again: nothing else fails, "
        f"becomes unknown{tight}."
    )


def _nothing(nothing: Nothing, look: Look) -> list[str]:
    lines: list[str] = []
    for label, text in _reasons(nothing):
        lines += look.field(label, text, indent=INDENT)
    return lines


def _reasons(nothing: Nothing) -> Iterator[tuple[str, str]]:
    if nothing.do:
        yield "Do", nothing.do
    if nothing.missing:
        yield "First", f"Find out: {_listed(small(one) for one in nothing.missing)}."
        return
    if not nothing.design:
        return
    tried = _listed(f"{one.means} ({one.text})" for one in nothing.tried)
    if nothing.proved:
        yield (
            "None",
            f"Proved on the {nothing.grid} grid that nothing within reach cures it: {tried}.",
        )
    else:
        yield "None", f"Nothing was found in the time allowed; there may be a cure. Tried: {tried}."
    if len(nothing.clash) > 1:
        titles = "; ".join(f"{one.title} ({one.clause})" for one in nothing.clash)
        yield "Clash", f"With this kit these exclude each other: {titles}."
    if nothing.best is not None:
        where = _listed(_now(one) for one in nothing.best.changes if not one.follows)
        best = nothing.best
        found = "The best within reach is" if best.proved else "The best found is"
        place = f". It is reached with {where}" if where else ""
        yield "Best", f"{found} {best.actual.text} where {best.limit.text} is asked{place}."
    if nothing.site is not None:
        yield "Site", _site(nothing.site)


def _site(site: Site) -> str:
    moves = _listed(_now(one) for one in site.changes if not one.follows)
    with_ = f", with {moves}" if moves else ""
    no = (
        f"No design with this kit does in {site.means} under {site.need.text}"
        if site.proved
        else f"The least found that would do with this kit is {site.means} of {site.need.text}"
    )
    return f"{no}; it was read as {site.have.text}. At {site.need.text} it would hold{with_}."


def _listed(parts: Iterable[str]) -> str:
    found = list(parts)
    return "; ".join(found)


def data(remedies: Remedies, job: Job) -> dict[str, object]:
    """Return the remedies of a job as dictionaries, lists, texts and numbers.

    Args:
        remedies: The remedies.
        job: The job, for the operations of each remedy.
    """
    return {
        "job": remedies.job,
        "file": remedies.file,
        "stopped": remedies.stopped,
        "joint": _remedy_data(remedies.joint, job),
        "joint_nothing": plain(remedies.joint_nothing),
        "left": [list(one) for one in remedies.left],
        "unread": list(remedies.unread),
        "singles": [
            {
                "clause": one.clause,
                "subject": one.subject,
                "level": one.level,
                "title": one.title,
                "says": one.says,
                "remedy": _remedy_data(one.remedy, job),
                "nothing": plain(one.nothing),
            }
            for one in remedies.singles
        ],
    }


def _remedy_data(remedy: Remedy | None, job: Job) -> dict[str, object] | None:
    if remedy is None:
        return None
    told = plain(remedy)
    if not isinstance(told, dict):
        raise TypeError(remedy.title)
    return {**told, "patch": list(json_patch(remedy.changes, job))}
