"""A sample of a plugin: a book, a function that the book calls, and a finding in Python."""

from collections.abc import Iterable
from pathlib import Path

from ruleset import KINDS, Function
from validator import Finding, Verdict, hook


@hook
def paneproof_books() -> Iterable[Path]:
    """Return the plugin's folder of books."""
    return (Path(__file__).parent / "books",)


@hook
def paneproof_functions() -> Iterable[Function]:
    """Return the one function that the book calls."""
    return (
        Function(
            name="half_perimeter",
            takes=(KINDS["length"], KINDS["length"]),
            gives=KINDS["length"],
            call=lambda width, height: width + height,
            means="half of the way round a pane",
            source="invented for this sample",
        ),
    )


@hook
def paneproof_findings(verdict: Verdict) -> Iterable[Finding]:
    """Return a note where the job's title is shouted."""
    if not verdict.job.title.isupper():
        return ()
    case = next(c for c in verdict.plan.cases if c.clause.name == "sample.crate")
    clause = verdict.clause(case)
    return (
        Finding(
            clause="sample.quiet-title",
            subject="job",
            outcome="fails",
            level="note",
            stage="survey",
            title="The title is written in small letters",
            says="The title is all capitals; write it as a sentence.",
            do="",
            why="Shouting is hard to read.",
            place=verdict.job.place,
            actual=None,
            limit=None,
            margin=None,
            working=(),
            basis=clause.basis,
            missing=(),
        ),
    )
