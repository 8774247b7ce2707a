"""The remedies of a job for people."""

from collections import Counter
from collections.abc import Iterable, Iterator

from ruleset.explain import Amount

from ..phrases import listed, small
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
from .layout import USUAL_WIDTH, Look, counted

INDENT = 5
MOST_TOLD = 6  # facts that are still to be known; a review lists all of them
HEADINGS = (
    ("One error at a time", "fails", "error"),
    ("One warning at a time", "fails", "warning"),
    ("Tight, one at a time", "tight", "warning"),
)
SPECK = 1e-6  # internal units; a margin nearer to nothing than this is none
_NOTHING = "Nothing fails or is tight as an error or a warning; there is nothing to cure."
_BROKEN = (
    "A book or a plugin failed on this job (see the messages), so it is not released. "
    "Of what was judged nothing fails or is tight as an error or a warning."
)


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
        lines += ["", *seen.wrap(_BROKEN if remedies.broken else _NOTHING)]
    if remedies.unknown:
        lines += ["", *seen.wrap(_waiting(remedies.unknown))]
    lines += _joint(remedies, seen)
    for heading, outcome, level in HEADINGS:
        singles = [one for one in remedies.singles if (one.outcome, one.level) == (outcome, level)]
        lines += seen.heading(heading) if singles else []
        for number, single in enumerate(singles, start=1):
            lines += _single(number, single, seen)
    shown = _shown(remedies)
    if shown:
        lines += seen.heading("For every change above")
        for again in dict.fromkeys(one for remedy in shown for one in remedy.again):
            lines += seen.wrap(again, first="  ")
        for sentence in _foot(shown):
            lines += seen.wrap(sentence, first="  ")
    lines += _remarks(remedies, seen)
    return "\n".join(lines) + "\n"


def _remarks(remedies: Remedies, look: Look) -> list[str]:
    """Return how the search ended, and what it left out."""
    lines: list[str] = []
    if remedies.stopped:
        when = "" if remedies.seconds is None else f" after {remedies.seconds:g} s, as was asked"
        lines += ["", *look.wrap(f"The search was stopped{when}; this is what was found by then.")]
    for unfit in remedies.unfit:
        lines += look.wrap(f"A handle of the stock was not tried: {unfit}.")
    for unread in remedies.unread:
        lines += look.wrap(f"A kit was left out, since it cannot be read: {unread}")
    return lines


def _waiting(unknown: tuple[str, ...]) -> str:
    """Return what no cure is looked for until it is known."""
    told = _listed(small(one) for one in unknown[:MOST_TOLD])
    more = len(unknown) - MOST_TOLD
    rest = f"; and {more} more, which a review lists" if more > 0 else ""
    return (
        "What is not decided yet may still fail; no cure of that is looked for until known: "
        f"{told}{rest}."
    )


def _shown(remedies: Remedies) -> list[Remedy]:
    found = [remedies.joint, *(one.remedy for one in remedies.singles)]
    return [one for one in found if one is not None]


def _joint(remedies: Remedies, look: Look) -> list[str]:
    errors = [one for one in remedies.singles if one.level == "error"]
    if len(errors) < 2:  # noqa: PLR2004  # one error's own cure is told below
        return []
    lines = look.heading("All errors together")
    if remedies.joint is not None:
        lines += _remedy(remedies.joint, look)
    elif remedies.joint_nothing is not None:
        lines += look.wrap("No cure of all errors together was found.", first="  ")
        lines += _nothing(remedies.joint_nothing, look)
    elif all(one.nothing is not None and one.nothing.missing for one in errors):
        lines += look.wrap("No cure is looked for until more is known.", first="  ")
    else:
        lines += look.wrap("No change of the design cures any of the errors.", first="  ")
    left = [one for one in errors if (one.clause, one.subject) in remedies.left]
    for why in dict.fromkeys(_why_left(one) for one in left):
        those = [one for one in left if _why_left(one) == why]
        names = listed(dict.fromkeys(one.clause for one in those))
        verb = "is" if len(those) == 1 else "are"
        says = f"{counted(len(those), 'error')} {verb} left {why}: {names}; see below."
        lines += look.wrap(says, first="  ")
    return lines


def _why_left(single: Single) -> str:
    """Return why an error is left, as a clause of a sentence."""
    nothing = single.nothing
    if nothing is not None and nothing.missing:
        return "for which no cure is looked for until more is known"
    if nothing is not None and nothing.stopped:
        return "for which no cure was looked for before the search was stopped"
    if nothing is not None and not nothing.proved:
        return "for which no cure was found"
    return "that no change of the design cures"


def _single(number: int, single: Single, look: Look) -> list[str]:
    lines = ["", *look.wrap(single.says, first=f"{number:>3}. ")]
    lines += look.wrap(f"({single.clause}, {single.subject})", first=" " * INDENT)
    if single.remedy is not None:
        return lines + _remedy(single.remedy, look)
    if single.nothing is not None:
        lines += _nothing(single.nothing, look)
    return lines


def _remedy(remedy: Remedy, look: Look) -> list[str]:
    lines = look.field("Cure", remedy.title, indent=INDENT, how="green")
    for label, text in _details(remedy):
        lines += look.field(label, text, indent=INDENT)
    return lines


def _details(remedy: Remedy) -> Iterator[tuple[str, str]]:
    said = [_follows(one) for one in remedy.changes if one.follows and not one.again]
    if said:
        yield "Also", _listed(said)
    twice = {one for one, many in Counter(c.clause for c in remedy.cures).items() if many > 1}
    yield "Cures", _listed(_cured(one, part=one.clause in twice) for one in remedy.cures)
    if remedy.tight:
        eaten = _tight(remedy.tight)
        yield "Tight", f"{eaten[:1].upper()}{eaten[1:]}."
    if remedy.still:
        yield "Tight", f"Still, as before the change: {listed(remedy.still)}."
    if remedy.worse:
        yield "But", f"This fails by more than before: {listed(remedy.worse)}."
    yield "How sure", _reach(remedy)
    if remedy.smaller is not None:
        yield "Smaller", f"{remedy.smaller.title} But then {_tight(remedy.smaller.tight)}."


def _now(change: Change) -> str:
    return f"{small(change.means)}: {change.now}"


def _follows(change: Change) -> str:
    return f"{small(change.means)}: {change.was} becomes {change.now}"


def _cured(cured: Cured, *, part: bool) -> str:
    """Return what is cured and what is left; its part too, where others share the clause."""
    name = f"{cured.clause} for {cured.subject}" if part else cured.clause
    if cured.margin is None:
        return f"{name} holds"
    spare = _spare(cured.margin)
    if cured.worst is None or cured.worst.value >= cured.margin.value - SPECK:
        return f"{name} holds with {spare}"
    return f"{name} holds with {spare}, at worst {_spare(cured.worst)}"


def _spare(margin: Amount) -> str:
    if abs(margin.value) < SPECK or margin.text.removeprefix("-").partition(" ")[0] == "0":
        return "nothing to spare"
    if margin.value < 0:
        return f"{margin.text.removeprefix('-')} short"
    return f"{margin.text} to spare"


def _tight(tight: Iterable[Tighter]) -> str:
    """Return what tolerances eat, and how surely, as a clause of a sentence."""
    likely = [one.clause for one in tight if one.likely]
    other = [one.clause for one in tight if not one.likely]
    parts = [f"the usual tolerances can eat what is left of {listed(likely)}"] if likely else []
    if other:
        parts.append(f"all tolerances at their worst at once would eat {listed(other)}")
    return "; ".join(parts)


REACHED = {
    WITHIN_TOLERANCE: "It holds within tolerance",
    WITHIN_LIKELY: "It holds within the usual tolerance",
    AT_SIZE: "It holds at size",
    UNWEIGHED: "It holds at size",
}


def _reach(remedy: Remedy) -> str:
    held = REACHED[remedy.reached]
    if remedy.reached == AT_SIZE:
        held += (
            "; nothing within reach holds within tolerance"
            if remedy.settled
            else "; none was found that holds within tolerance, though there may be one"
        )
    less = f" A step less would not do for {listed(remedy.held_by)}." if remedy.held_by else ""
    if remedy.proved:
        only = (
            "leaves nothing else tight" if remedy.reached == AT_SIZE and remedy.smaller else "does"
        )
        return f"{held}. Proved the least change that {only}, on the shop's grid.{less}"
    return f"{held}. It is the least found; a smaller change may do.{less}"


def _foot(shown: list[Remedy]) -> Iterator[str]:
    weighed = any(one.reached != UNWEIGHED for one in shown)
    yield (
        "Each was applied to a copy of the job and reviewed again: no other error or warning "
        "appears, nothing that held fails, and nothing but what the finished work tells becomes "
        "unknown"
        f"{', or tight but where it says so' if weighed else ''}."
    )
    if any(change.again for one in shown for change in one.changes):
        yield "What was checked or signed for the old sizes is set to no in what is saved."
    if weighed:
        yield (
            "At size: with every size just as written. Within tolerance: also if every reading, "
            "pane, hole and part is off by its most, each the worst way. Within the usual "
            "tolerance: if they are off by chance, each its own way (root-sum-square)."
        )


def _nothing(nothing: Nothing, look: Look) -> list[str]:
    lines: list[str] = []
    for label, text in _reasons(nothing):
        lines += look.field(label, text, indent=INDENT)
    return lines


def _reasons(nothing: Nothing) -> Iterator[tuple[str, str]]:
    if nothing.do:
        yield "To do", nothing.do
    if nothing.missing:
        missing = _listed(small(one) for one in nothing.missing)
        yield "No cure", f"Not looked for until known: {missing}."
        return
    if nothing.stopped:
        yield "No cure", "Not looked for to the end: the search was stopped."
        return
    if not nothing.design:
        return
    yield "No cure", _none(nothing)
    tried = _listed(f"{small(one.means)} ({one.text})" for one in nothing.tried)
    more = f"; for what they break also {listed(nothing.besides)}" if nothing.besides else ""
    yield "Tried", f"{tried[:1].upper()}{tried[1:]}{more}."
    if nothing.held:
        yield "Kept", f"{_listed(nothing.held)}."
    if len(nothing.clash) > 1:
        titles = "; ".join(f"{small(one.title)} ({one.clause})" for one in nothing.clash)
        kit = "With this kit these" if any(one.of_kit for one in nothing.clash) else "These"
        yield "Why", f"{kit} exclude each other: {titles}."
    if nothing.best is not None:
        where = _listed(_now(one) for one in nothing.best.changes if not one.follows)
        best = nothing.best
        found = "The best within reach is" if best.proved else "The best found is"
        place = f". It is reached with {where}" if where else ""
        yield "Best", f"{found} {best.actual.text} where {best.limit.text} is asked{place}."
    if nothing.site is not None:
        yield "Site", _site(nothing.site)


def _none(nothing: Nothing) -> str:
    """Return what is proved, or what is not, where nothing was found."""
    does = "makes it hold within tolerance" if nothing.tight else "cures it"
    if nothing.proved:
        return (
            f"Proved on the {nothing.grid} grid within reach: nothing {does} with nothing new that "
            "fails, is unknown, or is an error or a warning."
        )
    if nothing.tight:
        return f"Nothing was found that {does}; there may be something."
    if nothing.late:
        return (
            f"Nothing was found that {does}; there may be something. The search takes more work "
            "than it is given."
        )
    return (
        f"Nothing was found that {does}; there may be something. What was found did not stand when "
        "the job was reviewed with it."
    )


def _site(site: Site) -> str:
    moves = _listed(_now(one) for one in site.changes if not one.follows)
    with_ = f", with {moves}" if moves else ""
    no = (
        f"No design with this kit does in {site.means} under {site.need.text}"
        if site.proved
        else f"The least found that would do with this kit is {site.means} of {site.need.text}"
    )
    return (
        f"{no}; it was read as {site.have.text}. At {site.need.text} it would hold at size{with_}; "
        "allow for tolerances on top."
    )


def _listed(parts: Iterable[str]) -> str:
    found = list(parts)
    return "; ".join(found)
