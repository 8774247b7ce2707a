"""What differs between a job and an older state of it: facts, what is cut, findings."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from .finding import Finding, Review
from .take_off import takeoff
from .verdict import Verdict

TOLD = ("fails", "tight", "unknown")
"""Outcomes whose coming and going is told."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Changed:
    """One thing that is not what it was.

    Attributes:
        name: The fact, or where the value stands in the take-off.
        means: What it is, for people.
        was: As it was; "" where it was not there.
        now: As it is; "" where it is gone.
    """

    name: str
    means: str
    was: str
    now: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Since:
    """What differs between two states of a job.

    Attributes:
        old: The file of the older state.
        facts: Facts that the file or its kit gives otherwise, with kit, codes and units.
        cut: Values of the take-off that differ: what is ordered and cut.
        came: Findings that were not there.
        went: Findings that are gone.
        changed: Findings that say something else, the old one first.
        was_ready: Whether the older state was ready.
        ready: Whether it is.
        codes: The codes of the sizes, before and now; "" where not all are known.
    """

    old: str
    facts: tuple[Changed, ...]
    cut: tuple[Changed, ...]
    came: tuple[Finding, ...]
    went: tuple[Finding, ...]
    changed: tuple[tuple[Finding, Finding], ...]
    was_ready: bool
    ready: bool
    codes: tuple[str, str]

    @property
    def nothing(self) -> bool:
        """Return whether the two states are one to whoever signed the older."""
        return not (self.facts or self.cut or self.came or self.went or self.changed)


def since(old: Verdict, old_review: Review, new: Verdict, new_review: Review) -> Since:
    """Return what differs between an older state of a job and the present one.

    Args:
        old: The older state, judged.
        old_review: Its review.
        new: The present state, judged.
        new_review: Its review.

    Raises:
        RulesetError: A sheet of the take-off cannot be used.
    """
    before, after = _told(old_review), _told(new_review)
    return Since(
        old=old.job.file,
        facts=tuple(_differing(_facts(old), _facts(new))),
        cut=tuple(_differing(_cut(old), _cut(new))),
        came=tuple(after[key] for key in after if key not in before),
        went=tuple(before[key] for key in before if key not in after),
        changed=tuple(
            (before[key], after[key])
            for key in after
            if key in before and before[key].says != after[key].says
        ),
        was_ready=old_review.release.ready,
        ready=new_review.release.ready,
        codes=(old.sizes_code, new.sizes_code),
    )


def _differing(
    before: Mapping[str, tuple[str, str]], after: Mapping[str, tuple[str, str]]
) -> Iterator[Changed]:
    for name in dict.fromkeys((*before, *after)):
        means, was = before.get(name, ("", ""))
        means_now, now = after.get(name, ("", ""))
        if was != now:
            yield Changed(name=name, means=means_now or means, was=was, now=now)


def _facts(verdict: Verdict) -> dict[str, tuple[str, str]]:
    """Return what each fact is and what stands for it, with what the head of the file says."""
    job, facts = verdict.job, verdict.library.facts
    found = {
        "arrangement": ("What is built", job.arrangement.name),
        "kit": ("The kit", job.kit.name),
        "code": ("Code sets and policies", ", ".join(layer.name for layer in verdict.layers)),
        "units": ("Units", job.style.units),
    }
    given = {name: one.text for name, one in job.values.items()} | dict(job.texts)
    for name, rows in job.rows.items():
        given[name] = "not known" if rows is None else f"{rows} rows" if rows else "none"
    for name, text in given.items():
        fact = facts.get(name)
        found[name] = (fact.means if fact is not None else "", text)
    return found


def _cut(verdict: Verdict) -> dict[str, tuple[str, str]]:
    found: dict[str, tuple[str, str]] = {}
    for table in takeoff(verdict).tables:
        for row in table.rows:
            for cell in row.cells:
                if cell.value is not None or cell.missing:
                    what = ": ".join(one for one in (row.item, cell.title) if one)
                    exact = f" ({cell.exact.text})" if cell.exact is not None else ""
                    name = f"{table.key}/{row.part}/{row.item}/{cell.key}"
                    found[name] = (f"{table.title}, {what}", f"{cell.text}{exact}")
    return found


def _told(review: Review) -> dict[tuple[str, str, str], Finding]:
    return {
        (one.clause, one.subject, one.outcome): one
        for one in review.findings
        if one.outcome in TOLD and (one.outcome != "unknown" or one.level == "error")
    }
