"""What changed since an older state of a job, for the one who signed that."""

from collections.abc import Iterable, Iterator

from ruleset.book import LEVELS

from ..changes import Changed, Since
from ..finding import Finding, Review
from ..phrases import small
from .data import FORMAT, finding_data, plain
from .layout import Look


def since_text(found: Since, review: Review, look: Look) -> str:
    """Return what changed, as text that ends with a line break.

    Args:
        found: What differs.
        review: The review of the present state.
        look: Width, colour and characters.
    """
    lines = look.wrap(f"Job {review.job}: what changed since {found.old}")
    lines = [look.paint(line, "bold") for line in lines]
    lines += look.wrap(f"Ready to order: {_ready(found)}")
    old, new = found.codes
    if old != new:
        said = f"Code of the sizes: {old or 'none'} before, {new or 'none'} now"
        checked = "; what was checked and signed for the old sizes does not count any more"
        lines += look.wrap(f"{said}{checked if old else ''}.")
    if found.nothing:
        lines += ["", *look.wrap("Nothing that is given, cut or found differs.")]
    lines += _values("Facts", found.facts, look)
    lines += _values("What is ordered and cut", found.cut, look)
    lines += _findings("Found now, and not before", found.came, look)
    lines += _findings("Found before, and not now", found.went, look)
    if found.changed:
        lines += look.heading(f"Found before and now, otherwise ({len(found.changed)})")
        for was, now in found.changed:
            lines += look.wrap(f"{now.says} [{now.clause}]", first="  ")
            lines += look.wrap(f"before: {small(was.says)}", first="    ")
    return "\n".join(lines) + "\n"


def _ready(found: Since) -> str:
    was, now = ("yes" if one else "NO" for one in (found.was_ready, found.ready))
    return f"{now}, as before." if was == now else f"{now}; it was {was} before."


def _values(title: str, changed: Iterable[Changed], look: Look) -> Iterator[str]:
    told = list(changed)
    if not told:
        return
    yield from look.heading(f"{title} ({len(told)})")
    for one in told:
        if not one.was:
            said = f"{one.now}; it was not given"
        elif not one.now:
            said = f"not given any more; it was {one.was}"
        else:
            said = f"{one.was} becomes {one.now}"
        named = f"{one.means} ({one.name})" if "/" not in one.name else one.means
        yield from look.wrap(f"{named}: {said}", first="  - ")


def _findings(title: str, found: Iterable[Finding], look: Look) -> Iterator[str]:
    told = sorted(found, key=lambda one: LEVELS.index(one.level), reverse=True)
    if not told:
        return
    yield from look.heading(f"{title} ({len(told)})")
    for one in told:
        how = {"tight": "tight: ", "unknown": "not decided: "}.get(one.outcome, f"{one.level}: ")
        said = one.title if one.outcome == "tight" else one.says or one.title
        paint = "red" if (one.outcome, one.level) == ("fails", "error") else ""
        for line in look.wrap(f"{how}{said} [{one.clause} of {one.subject}]", first="  - "):
            yield look.paint(line, paint) if paint else line


def since_data(found: Since, review: Review, version: str) -> dict[str, object]:
    """Return what changed as dictionaries, lists and texts."""
    return {
        "paneproof": version,
        "format": FORMAT,
        "job": review.job,
        "file": review.file,
        "since": found.old,
        "ready": found.ready,
        "was_ready": found.was_ready,
        "sizes_codes": list(found.codes),
        "facts": [plain(one) for one in found.facts],
        "cut": [plain(one) for one in found.cut],
        "came": [finding_data(one) for one in found.came],
        "went": [finding_data(one) for one in found.went],
        "changed": [[finding_data(was), finding_data(now)] for was, now in found.changed],
    }
