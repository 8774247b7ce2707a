"""Whole designs for a survey: the usual one of each arrangement and kit, moved until it holds."""

import datetime as dt
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from ruleset.arrangement import Arrangement
from ruleset.cases import margin_of
from ruleset.errors import Fault, RulesetError, ShapeError
from ruleset.formula.kind_of import kind_of
from ruleset.layers import Layer, read_layer
from ruleset.library import Library
from ruleset.program import HOLDS
from ruleset.reader import read_text
from ruleset.show import show
from ruleset.turns import HAND

from ..arrangements import FOLDER, arrangements_in, find_arrangement
from ..books import Rules
from ..day import on_day
from ..finding import Finding, Review
from ..job import Job, load_job_text
from ..kit import around
from ..remedy.find import remedies
from ..remedy.levers import load_levers
from ..remedy.result import Change, Remedies, Remedy, Single
from ..remedy.rewrite import rewritten
from ..reviewing import review_verdict
from ..verdict import Verdict, judge
from .hardware import kit_choices
from .usual_design import UsualDesign, taken, usual_design
from .wishes import Survey, WishError, check_value, job_text, unknown_wish

STAGE = "design"
WISHES = "wishes"
"""The policy that wishes are laid over the books as."""
ROUNDS = 3
"""How often what is tight is loosened, once no error is left."""
NEAREST = 3
"""Clauses that are told with what they have to spare."""
WITHIN, AT_SIZE, NONE = "within tolerance", "at size", "none"
RANKS = (WITHIN, AT_SIZE, NONE)
MOST = 4000
"""Nodes of one search, as for `remedies`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """A whole design, or why there is none.

    Attributes:
        arrangement: What would be built.
        title: What that is.
        kits: Its hardware.
        reached: "within tolerance", "at size", or "none".
        proved: Of none, whether that is proved on the shop's grid within reach.
        text: The job that it is, to be saved; of none, the usual design.
        verdict: The job, judged.
        review: Its review for design.
        nearest: The clauses that have least to spare at size, each with how much.
        changes: What was moved of the usual design.
        dearest: The dearest class of these; "" where nothing was moved.
        failing: Of none, each error with the reason why nothing cures it.
        left_out: Readings of the survey that the arrangement does not have.
    """

    arrangement: str
    title: str
    kits: tuple[str, ...]
    reached: str
    proved: bool
    text: str
    verdict: Verdict
    review: Review
    nearest: tuple[tuple[str, str], ...]
    changes: tuple[Change, ...]
    dearest: str
    cost: tuple[int, int]
    failing: tuple[Single, ...]
    left_out: tuple[str, ...]

    @property
    def holds(self) -> bool:
        """Return whether it is a design, and not the reason why there is none."""
        return self.reached != NONE


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposals:
    """Everything that was found for a survey.

    Attributes:
        file: The survey.
        found: Designs, the best first, and then those arrangements and kits that have none.
        untried: What could not be tried, with the reason.
    """

    file: str
    found: tuple[Proposal, ...]
    untried: tuple[str, ...]


def propose(  # noqa: PLR0913  # what a call may ask for, by name
    survey: Survey,
    rules: Rules,
    *,
    kits: Sequence[Path] = (),
    today: dt.date | None = None,
    most: int = MOST,
    progress: Callable[[str], None] = lambda _: None,
) -> Proposals:
    """Return a whole design for each arrangement and kit, or why there is none.

    A search begins with the shop's usual design and moves it as `remedies` moves a job's; what a
    wish fixes does not move, and its least is laid over the books as a policy.

    Args:
        survey: The survey, with its wishes.
        rules: The rules.
        kits: Further folders of kits.
        today: The day that readings are held against; none for None.
        most: Nodes of one search.
        progress: Is told what is tried.

    Raises:
        RulesetError: An arrangement, a kit or a wish is not known, or the survey cannot be read.
    """
    asked = _Asked(survey=survey, rules=rules, kits=tuple(kits), today=today, most=most)
    found: list[Proposal] = []
    untried: list[str] = []
    first: RulesetError | None = None
    for arrangement in asked.arrangements():
        choices = kit_choices(survey, rules, arrangement, asked.kits)
        if not choices:
            untried.append(f"{arrangement.name}: no kit that is stocked has all it needs.")
        for names in choices:
            progress(f"{arrangement.name}, {', '.join(names)}")
            try:
                hands = [
                    asked.proposal(arrangement, names, hand) for hand in asked.hands(arrangement)
                ]
            except WishError:
                raise
            except RulesetError as error:
                first = first or error
                untried.append(f"{arrangement.name}, {', '.join(names)}: {error.faults[0]}")
                continue
            found.append(min(hands, key=_rank))
    if first is not None and not found:
        raise first
    return Proposals(
        file=survey.path.as_posix(), found=tuple(sorted(found, key=_rank)), untried=tuple(untried)
    )


def _rank(one: Proposal) -> tuple[int, int, int, int, float]:
    """Return how good a proposal is, the best least: how far it reaches, then what it costs."""
    warnings = sum(f.level == "warning" and f.outcome != "holds" for f in one.review.findings)
    return (RANKS.index(one.reached), len(one.review.asked), *one.cost, warnings)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Step:
    """A design on the way, with the remedy that led to it; None for the usual one."""

    text: str
    verdict: Verdict
    review: Review
    cure: Remedy | None
    failing: tuple[Single, ...] = ()

    @property
    def changes(self) -> tuple[Change, ...]:
        return () if self.cure is None else tuple(c for c in self.cure.changes if not c.follows)


def _is_error(finding: Finding) -> bool:
    return finding.outcome == "fails" and finding.level == "error"


def _is_tight(review: Review) -> bool:
    """Return whether something that would be an error is only tight, and so told as a warning."""
    return any(one.outcome == "tight" and one.level == "warning" for one in review.findings)


def _nearest(verdict: Verdict) -> Iterator[tuple[str, str]]:
    """Yield the clauses about lengths that the design decides, the least to spare first."""
    moving = {one.fact for one in load_levers(verdict).levers if one.reach is not None}
    spare: dict[str, tuple[float, str]] = {}
    for case, outcome in zip(verdict.plan.cases, verdict.run.outcomes, strict=True):
        margin = margin_of(case)
        if outcome != HOLDS or margin is None or moving.isdisjoint(verdict.cone(case)):
            continue
        answer = verdict.answering.answer(margin)
        kind = kind_of(margin, verdict.kind)
        if answer.known and kind is not None and kind.name == "length":
            text = show(answer.value, kind, verdict.job.style).text
            title = verdict.clause(case).title
            spare[title] = min(spare.get(title, (math.inf, "")), (answer.value, text))
    least = sorted((value, title, text) for title, (value, text) in spare.items())
    yield from ((title, text) for _, title, text in least[:NEAREST])


def _reached(step: _Step) -> str:
    if any(map(_is_error, step.review.findings)):
        return NONE
    return AT_SIZE if _is_tight(step.review) else WITHIN


def _loosening(found: Remedies) -> Remedy | None:
    """Return the first remedy of something that is tight; None where nothing loosens any."""
    return next(
        (one.remedy for one in found.singles if one.outcome == "tight" and one.remedy), None
    )


def _incurable(found: Remedies) -> Iterator[Single]:
    """Yield the errors that no change cures; all of them where none cures them together."""
    for one in found.singles:
        alone = (one.clause, one.subject) in found.left
        if one.level == "error" and one.outcome == "fails" and (alone or found.joint is None):
            yield one


def _sum(steps: Sequence[_Step], what: str) -> int:
    return sum(getattr(step.cure, what) for step in steps if step.cure is not None)


def _is_proved(single: Single) -> bool:
    return single.nothing is not None and (single.nothing.proved or not single.nothing.design)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """What the caller asked for."""

    survey: Survey
    rules: Rules
    kits: tuple[Path, ...]
    today: dt.date | None
    most: int

    def arrangements(self) -> tuple[Arrangement, ...]:
        near = around(self.survey.path.parent)
        folders = (*(folder / FOLDER for folder in near), *self.rules.folders)
        place = self.survey.node.place
        if self.survey.arrangements:
            return tuple(
                find_arrangement(name, folders, place, self.rules.read)
                for name in self.survey.arrangements
            )
        return arrangements_in(folders)

    def hands(self, arrangement: Arrangement) -> tuple[str, ...]:
        wish = next((w for w in self.survey.wishes.values() if w.text in arrangement.hands), None)
        return (wish.text,) if wish is not None else arrangement.hands or ("",)

    def proposal(self, arrangement: Arrangement, kits: tuple[str, ...], hand: str) -> Proposal:
        """Return the design for one arrangement, its kits and a hand.

        Raises:
            RulesetError: The survey or a wish cannot be read.
        """
        design = {HAND: hand} if hand else {}
        begun = self._job(arrangement, kits, design)
        first = judge(begun, self.rules)
        usual = usual_design(first)
        fixed = dict(self._fixed(usual, first.library))
        values = {row.fact: row.given for row in usual.facts if row.given}
        design |= {**values, **fixed}
        for _ in range(2):  # what is taken of a value that is itself taken of another comes second
            verdict = judge(self._job(arrangement, kits, design), self.rules)
            design |= {k: v for k, v in taken(verdict, usual) if k not in fixed}
        text, left_out = self._text(arrangement, kits, design)
        held = (*fixed, "kit", *([HAND] if hand else []))
        policy = self._policy(usual, first)
        steps = list(self._steps(text, policy, held))
        last = steps[-1]
        if last.review.broken:
            raise ShapeError([Fault(last.verdict.job.place, one) for one in last.review.broken])
        return Proposal(
            arrangement=arrangement.name,
            title=arrangement.title,
            kits=kits,
            reached=_reached(last),
            proved=bool(last.failing) and all(_is_proved(one) for one in last.failing),
            text=last.text,
            verdict=last.verdict,
            review=last.review,
            nearest=tuple(_nearest(last.verdict)),
            changes=tuple(one for step in steps for one in step.changes),
            dearest=next((s.cure.dearest for s in steps if s.cure and s.cure.dearest), ""),
            cost=(_sum(steps, "moved"), _sum(steps, "steps")),
            failing=last.failing,
            left_out=left_out,
        )

    def _steps(self, text: str, policy: Layer | None, held: Sequence[str]) -> "Iterator[_Step]":
        """Yield the design as it begins, and as each remedy moves it: errors, then tight ones."""
        cure: Remedy | None = None
        for turn in range(ROUNDS + 1):
            job = self._read(text)
            if policy is not None:
                codes = (*job.codes, (WISHES, job.place))
                job = replace(job, codes=codes, near={**job.near, WISHES: policy})
            verdict = judge(job, self.rules)
            review = review_verdict(verdict, self.rules, stage=STAGE)
            errors = any(map(_is_error, review.findings))
            step = _Step(text=text, verdict=verdict, review=review, cure=cure)
            if turn == ROUNDS or not (errors or _is_tight(review)):
                yield step
                return
            found = remedies(
                job, self.rules, stage=STAGE, reviewed=review, most=self.most, held=held
            )
            cure = found.joint if errors else _loosening(found)
            failing = tuple(_incurable(found)) if errors else ()
            yield replace(step, failing=failing)
            if failing or cure is None:
                return
            text = rewritten(text.encode(), job.file, cure.changes)

    def _text(
        self, arrangement: Arrangement, kits: tuple[str, ...], design: Mapping[str, str]
    ) -> tuple[str, tuple[str, ...]]:
        leaves = self.rules.bound(arrangement).facts
        return job_text(self.survey, arrangement.name, kits, design, leaves)

    def _job(
        self, arrangement: Arrangement, kits: tuple[str, ...], design: Mapping[str, str]
    ) -> Job:
        return self._read(self._text(arrangement, kits, design)[0])

    def _read(self, text: str) -> Job:
        path = self.survey.path
        job = load_job_text(
            text, path.as_posix(), self.rules, beside=path.parent, folders=self.kits
        )
        return job if self.today is None else on_day(job, self.today)

    def _fixed(self, usual: UsualDesign, library: Library) -> Iterator[tuple[str, str]]:
        """Yield what wishes fix, by fact.

        Raises:
            WishError: There is no such wish, or it cannot be so.
        """
        for wish in self.survey.wishes.values():
            meant = usual.wishes.get(wish.name)
            if meant is None:
                raise WishError(unknown_wish(wish, tuple(usual.wishes)))
            if (wish.text and not meant.fixes) or (wish.least is not None and not meant.least):
                form = f"`least:`, such as `{wish.name}: {{least: 24 in}}`"
                says = f"The wish {wish.name} is {form if meant.least else 'one value'}."
                raise WishError(Fault(wish.node.place, says))
            for fact in meant.fixes if wish.text else ():
                check_value(wish, library.facts[fact], self.survey.units)
            yield from ((fact, wish.text) for fact in meant.fixes if wish.text)

    def _policy(self, usual: UsualDesign, verdict: Verdict) -> Layer | None:
        """Return the least of each wish as a policy; None where the books ask as much already."""
        limits = verdict.library.limits
        amends: list[str] = []
        for wish in self.survey.wishes.values():
            meant = usual.wishes[wish.name]
            for limit in meant.least if wish.least is not None else ():
                if wish.least is not None and wish.least > limits[limit].value:
                    clause, _, name = limit.rpartition(".")
                    basis = "{standing: shop policy, note: a wish of the client}"
                    to = f"{name}: {{is: {wish.least!r} mm, basis: {basis}}}"
                    amends.append(f"  {clause}: {{limits: {{{to}}}, why: The client wishes it.}}")
        if not amends:
            return None
        text = "\n".join(
            [f"policy: {WISHES}", "format: 2", "title: What is wished", "amends:", *amends]
        )
        # Books are kept by the files of their layers: other wishes are another file.
        return read_layer(read_text(text, f"{WISHES}: {'; '.join(amends)}"))
