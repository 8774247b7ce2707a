"""One entry judged: read, turned into this format, reviewed, and put into rows."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from ruleset.errors import RulesetError
from ruleset.node import Node, Table
from ruleset.reader import read_text

from ..books import Rules
from ..convert import convert
from ..day import TODAY, on_day
from ..finding import Finding, Review
from ..job import Job, read_job
from ..reviewing import review_verdict
from ..several.found import is_another
from ..site import MARK, is_site, jobs_of
from ..verdict import Verdict, judge
from .kept import line_of
from .margins import margins
from .question import Fingerprint, Question
from .row import BROKEN, NOT_MEANT, NOT_TOLD, OPEN, READY, Row, Told
from .sources import Entry, bytes_in, digest_of
from .where import Where

_ORDER, _READINGS = "order.", "survey."


class Judge:
    """What judges entries: the rules once, and what is asked."""

    def __init__(self, question: Question, version: str) -> None:
        """Load the rules.

        Raises:
            RulesetError: They cannot be used, or the formula of which jobs are meant cannot.
        """
        self.question = question
        self.rules: Rules = question.rules()
        self.fingerprint = Fingerprint(question=question, version=version)
        self.where = Where(question.where, self.rules) if question.where else None

    def lines(self, entries: Sequence[Entry]) -> list[str]:
        """Return the line to be kept of each entry."""
        return [self.line(entry) for entry in entries]

    def line(self, entry: Entry) -> str:
        """Return the line to be kept of an entry; what is wrong with it is told in a row."""
        beside = Path(entry.file).parent
        rules = self.fingerprint.of(beside)
        if entry.wrong:
            return broken_line(entry, entry.wrong, rules)
        try:
            data = bytes_in(entry)
        except RulesetError as error:
            return broken_line(entry, _why(error), rules)
        digest = digest_of(data)
        try:
            node = read_text(data, entry.name)
            if entry.passing and is_another(node):
                return line_of(entry.name, digest, rules, (), passed="no job")
            rows = self._rows(entry, data, node, beside)
        except RulesetError as error:
            rows = [Row(name=entry.name, verdict=BROKEN, why=_why(error))]
        return line_of(entry.name, digest, rules, rows)

    def _rows(self, entry: Entry, data: bytes, node: Node, beside: Path) -> list[Row]:
        if is_site(node):
            jobs = jobs_of(node)
            return [self._row(f"{entry.name}{MARK}{n}", one, beside) for n, one in jobs.items()]
        if isinstance(node, Table) and "format" not in node.entries and "job" in node.entries:
            made = convert(data, entry.name).data
            node = node if made is None else read_text(made, entry.name)
        return [self._row(entry.name, node, beside)]

    def _row(self, name: str, node: Node, beside: Path) -> Row:
        try:
            job = read_job(node, self.rules, beside=beside, folders=self.question.kits)
            job = on_day(replace(job, file=name), self.question.today)
            verdict = judge(job, self.rules, codes=self.question.codes)
            head = _head(name, verdict)
            if self.where is not None and (said := self.where.said(verdict)) is not None:
                return replace(head, verdict=NOT_TOLD if said else NOT_MEANT, why=said)
            found = review_verdict(
                verdict,
                self.rules,
                stage=self.question.stage,
                tolerance=self.question.tolerance,
                explained=False,
            )
        except RulesetError as error:
            return Row(name=name, verdict=BROKEN, why=_why(error))
        return _told(head, verdict, found)


def _head(name: str, verdict: Verdict) -> Row:
    job = verdict.job
    return Row(
        name=name,
        verdict=OPEN,
        job=job.name,
        arrangement=job.arrangement.name,
        kit=job.kit.name,
        codes=tuple(layer.name for layer in verdict.layers),
        date=_date(job),
    )


def _told(head: Row, verdict: Verdict, found: Review) -> Row:
    if found.broken:
        return replace(head, verdict=BROKEN, why=" ".join(found.broken))
    counted = [f for f in found.findings if f.outcome in ("fails", "tight")]
    return replace(
        head,
        verdict=READY if found.release.ready else OPEN,
        asked=len(found.asked),
        waived=sum(one.waived is not None for one in counted),
        told=tuple(_one(one, head.name) for one in counted if one.waived is None),
        margins=margins(verdict),
    )


def _one(finding: Finding, file: str) -> Told:
    here = finding.place.file == file
    return Told(
        clause=finding.clause,
        subject=finding.subject,
        outcome=finding.outcome,
        level=finding.level,
        title=finding.title,
        says=finding.says,
        line=finding.place.line if here else 0,
        column=finding.place.column if here else 0,
        margin=None if finding.margin is None else finding.margin.value,
    )


def _date(job: Job) -> str:
    """Return the day of a job's order, else of its newest reading, ISO 8601; "" for none."""
    for section in (_ORDER, _READINGS):
        days = [
            one.text
            for name, one in job.values.items()
            if name.startswith(section) and name != TODAY and _is_day(one.text)
        ]
        if days:
            return max(days)
    return ""


def _is_day(text: str) -> bool:
    try:
        return dt.date.fromisoformat(text).isoformat() == text
    except ValueError:
        return False


def broken_line(entry: Entry, why: str, rules: str = "") -> str:
    """Return the line of an entry that cannot be used; it is read again by the next audit."""
    row = Row(name=entry.name, verdict=BROKEN, why=why)
    return line_of(entry.name, "", rules, [row])


def _why(error: RulesetError) -> str:
    return " ".join(" ".join(str(one).split("\n")) for one in error.faults)
