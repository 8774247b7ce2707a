"""A remedy that is shown clears what it claims and breaks nothing; none that is smaller does."""

import itertools
import json
import signal
from collections.abc import Callable, Iterator
from dataclasses import replace
from functools import cache
from pathlib import Path
from random import Random

import jsonpatch
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ruleset.node import plain
from ruleset.program import EXEMPT, FAILS, HOLDS, UNKNOWN
from ruleset.quantity import read_quantity, show
from ruleset.reader import read_file
from validator import Review, Rules, judge, load_job, load_job_text, load_rules, review
from validator.command import _stop
from validator.facts import Given
from validator.job import Job
from validator.remedy import Remedies, Remedy, json_patch, remedies, with_remedies
from validator.remedy.best import Reaching
from validator.remedy.find import _Asked, _Finder, _Watch
from validator.remedy.options import Lever
from validator.remedy.ranges import Node, alone
from validator.remedy.result import AT_SIZE, UNWEIGHED, WITHIN_TOLERANCE
from validator.remedy.solve import MOST
from validator.remedy.tightness import WORST, Tightness
from validator.remedy.wanted_change import ANY, Solution, Wanted
from validator.report.data import FORMAT
from validator.report.remedy_data import data
from validator.report.remedy_text import write

JOBS = Path(__file__).resolve().parent.parent / "fixtures" / "jobs"
FIXTURES = sorted(
    one for one in JOBS.glob("*.yaml") if one.name.count(".") == 1 and one.name.startswith("fails")
)
BAD = {"error", "warning"}


def bad(found: Review) -> set[tuple[str, str]]:
    """Return what fails as an error or a warning, or is unknown."""
    return {
        (one.clause, one.subject)
        for one in found.findings
        if one.outcome == "unknown" or (one.outcome == "fails" and one.level in BAD)
    }


def stands(found: Review) -> dict[tuple[str, str], int]:
    """Return how each clause stands on each part: 3 an error, 2 a warning, 1 a note, 0 met."""
    worst: dict[tuple[str, str], int] = {}
    for one in found.findings:
        how = ("note", "warning", "error").index(one.level) + 1 if one.outcome == "fails" else 0
        key = (one.clause, one.subject)
        worst[key] = max(worst.get(key, 0), how)
    return worst


def made_worse(first: Review, after: Review) -> set[tuple[str, str]]:
    """Return what fails that held or was unknown, fails at a higher level, or is unknown now.

    Only what was not asked before, as whether a way in is comfortable that was none, may come to
    fail as a note; or to be asked of the finished work.
    """
    before, now = stands(first), stands(after)
    exempt = {(one.clause, one.subject) for one in first.findings if one.outcome == "exempt"}
    asked = {(one.clause, one.subject) for one in first.findings if one.outcome == "unknown"}
    late = ("install", "handover")
    unknown = {
        (one.clause, one.subject)
        for one in after.findings
        if one.outcome == "unknown"
        and not (one.stage in late and (one.clause, one.subject) in exempt)
    }
    worse = {
        key
        for key, how in now.items()
        if how > before.get(key, 0) and not (how == 1 and key in exempt)
    }
    return worse | (unknown - asked)


def shown(found: Remedies) -> Iterator[Remedy]:
    """Yield every remedy of a job."""
    yield from (one.remedy for one in found.singles if one.remedy is not None)
    if found.joint is not None:
        yield found.joint


def patched(job: Job, remedy: Remedy, path: Path, rules: Rules) -> Job:
    """Return the job with a remedy's operations applied by a library that is not ours."""
    operations = list(json_patch(remedy.changes, job))
    after = jsonpatch.apply_patch(plain(read_file(path)), operations)
    return load_job_text(json.dumps(after), path.as_posix(), rules, beside=path.parent)


def tight(found: Review) -> dict[tuple[str, str], int]:
    """Return how tight clauses are: 1 at the worst corner alone, 2 within the root-sum-square."""
    return {
        (one.clause, one.subject): 2 if one.stack is not None and one.stack.fails_rss else 1
        for one in found.findings
        if one.outcome == "tight"
    }


def tighter(first: Review, after: Review, remedy: Remedy, rules: Rules) -> set[tuple[str, str]]:
    """Return what is tight with a remedy and may not be so without a word."""
    cures = {(one.clause, one.subject) for one in remedy.cures}
    fails = {(one.clause, one.subject) for one in first.findings if one.outcome == "fails"}
    before = tight(first)
    return {
        key
        for key, grade in tight(after).items()
        if (key in cures or key not in fails)
        and (key in cures or grade > before.get(key, 0))
        and rules.library.clauses[key[0]].clause.level != "note"
    }


def holds_law(first: Review, after: Review, remedy: Remedy, rules: Rules) -> None:
    """Hold a remedy to its word: what it cures, what it leaves, and how tight."""
    cures = {(one.clause, one.subject) for one in remedy.cures}
    assert cures
    assert cures <= bad(first) | set(tight(first))
    assert not cures & bad(after), remedy.title
    taken_back = {("papers.second-check", "papers"), ("papers.drawing-signed", "papers")}
    asked_again = bool([one for one in remedy.changes if one.again])
    new = made_worse(first, after) - (taken_back if asked_again else set())
    assert not new, (remedy.title, new)
    assert not asked_again or taken_back & bad(after)
    if remedy.reached == UNWEIGHED:
        return
    new = tighter(first, after, remedy, rules)
    assert new == {(one.clause, one.subject) for one in remedy.tight}, remedy.title
    likely = {key for key in new if tight(after)[key] == 2}
    assert likely == {(one.clause, one.subject) for one in remedy.tight if one.likely}
    assert not new or remedy.reached != WITHIN_TOLERANCE, remedy.title
    assert not likely or remedy.reached == AT_SIZE, remedy.title
    first_stacks, stacks = (
        {(f.clause, f.subject): f.stack.worst for f in one.findings if f.stack is not None}
        for one in (first, after)
    )
    other = {
        key[0]
        for key in first_stacks.keys() & stacks.keys()
        if abs(first_stacks[key] - stacks[key]) > 1e-6 and key not in new
    }
    assert other == set(remedy.still), remedy.title
    if remedy.smaller is not None:
        assert remedy.smaller.tight, remedy.title
        classes = ("", "place", "height", "glass", "kit", "arrangement")
        assert key_of(remedy.smaller, classes) <= key_of(remedy, classes)


def key_of(remedy: Remedy, classes: tuple[str, ...]) -> tuple[int, int, int]:
    return classes.index(remedy.dearest), remedy.moved, remedy.steps


@pytest.mark.parametrize("path", FIXTURES, ids=lambda path: path.stem)
def test_every_remedy_of_a_fixture_cures_what_it_says_and_nothing_else_breaks(
    path: Path, rules: Rules
) -> None:
    job = load_job(path, rules)
    found = remedies(job, rules)
    first = review(job, rules, every=True)
    for remedy in shown(found):
        after = review(patched(job, remedy, path, rules), rules, every=True)
        holds_law(first, after, remedy, rules)
        assert remedy.proved
        assert remedy.settled
        if remedy.smaller is not None:
            holds_law(
                first,
                review(patched(job, remedy.smaller, path, rules), rules, every=True),
                replace(remedy.smaller, reached=AT_SIZE),
                rules,
            )
    for single in found.singles:
        assert (single.remedy is None) != (single.nothing is None)
        assert single.nothing is None or single.nothing.do
    text = write(found)
    assert all(len(line) <= 80 for line in text.splitlines())
    for one in found.singles:
        assert one.clause in text
    made = json.loads(json.dumps(data(found, job, "1")))
    assert made["job"] == job.name
    assert (made["paneproof"], made["format"], made["code"]) == ("1", FORMAT, list(first.codes))
    for single in made["singles"]:
        for cured in single["remedy"]["cures"] if single["remedy"] else ():
            assert cured["margin"] is None or set(cured["margin"]) == {"value", "unit", "text"}


def remedy_of(name: str, clause: str, rules: Rules, *, tolerance: bool = True) -> Remedy | None:
    found = remedies(load_job(JOBS / f"{name}.yaml", rules), rules, tolerance=tolerance)
    return next(one.remedy for one in found.singles if one.clause == clause)


SPLIT = "Change the split from 27 in to {}."
HEIGHT = "Change the height of the glass from 78 in to {}."
OVERLAP = "Change the overlap from 3/4 in to {}."
HAND = "Change the hand from left to right."
ORDER = "Write the order anew from the take-off."
BAR = "Change the bar across the curb from 0 in to {}."


@pytest.mark.parametrize(
    ("name", "clause", "title", "at_size", "within"),
    [
        ("fails-open-door-too-narrow", "sliding.clear-opening", SPLIT, "26 3/16 in", "25 15/16 in"),
        ("fails-no-room-to-hang", "opening.head-room", HEIGHT, "77 3/4 in", "77 7/16 in"),
        ("fails-too-little-lap", "sliding.overlap-least", OVERLAP, "1 in", "1 5/16 in"),
        ("fails-spray-into-lap", "sliding.spray-into-lap", HAND, "", ""),
        ("fails-order-disagrees", "papers.order", ORDER, "", ""),
        ("fails-curb-too-narrow", "opening.curb-width", BAR, "1/16 in", "1/8 in"),
    ],
)
def test_the_smallest_change_is_told_in_the_imperative(
    name: str, clause: str, title: str, at_size: str, within: str, rules: Rules
) -> None:
    remedy = remedy_of(name, clause, rules)
    assert remedy is not None
    assert remedy.title == str(remedy) == title.format(within)
    assert remedy.reached == WITHIN_TOLERANCE
    assert remedy.proved
    least = remedy_of(name, clause, rules, tolerance=False)
    assert least is not None
    assert least.title == title.format(at_size)
    assert least.reached == UNWEIGHED
    assert (remedy.smaller is not None) == (at_size != within)
    assert remedy.smaller is None or remedy.smaller.title == least.title


def test_where_nothing_holds_within_tolerance_the_least_at_size_is_told_with_what_is_tight(
    rules: Rules,
) -> None:
    # 1/16 in is the least gap that the wall may have, and leaves just the bite that is asked: a
    # reading of the wall that is 1/32 in off takes it.
    job = load_job(JOBS / "fails-glass-out-of-channel.yaml", rules)
    every = remedies(job, rules)
    remedy = next(one.remedy for one in every.singles if one.clause == "fixed.bite")
    assert remedy is not None
    assert remedy.reached == AT_SIZE
    assert remedy.settled
    assert [(one.clause, one.likely) for one in remedy.tight] == [("fixed.bite", True)]
    assert remedy.smaller is None
    said = " ".join(write(every).split())
    assert "It holds at size; nothing within reach holds within tolerance." in said
    assert "The usual tolerances can eat what is left of fixed.bite." in said
    found = review(job, rules)
    (cure,) = next(
        one.remedies
        for one in with_remedies(found, remedies(job, rules, reviewed=found), job).findings
        if one.clause == "fixed.bite"
    )
    assert str(cure).endswith("At size only: fixed.bite is then tight.")


def test_what_holds_a_change_to_its_size_is_named(rules: Rules) -> None:
    # One pound too heavy, and yet a long move: the hangers are not to be used to their last either.
    remedy = remedy_of("fails-door-over-rating", "sliding.roller-rating", rules)
    assert remedy is not None
    assert "sliding.rating-share" in remedy.held_by
    assert "sliding.roller-rating" not in remedy.held_by
    alone = remedy_of("fails-curb-too-narrow", "opening.curb-width", rules)
    assert alone is not None
    assert alone.held_by == ()


def test_a_tolerance_that_the_job_states_stays_with_a_size_that_moves(
    rules: Rules, tmp_path: Path
) -> None:
    text = (JOBS / "fails-too-little-lap.yaml").read_text(encoding="utf-8")
    path = tmp_path / "stated.yaml"
    assert "overlap: 3/4" in text
    path.write_text(text.replace("overlap: 3/4", "overlap: 3/4 in +- 1/32 in"), encoding="utf-8")
    job = load_job(path, rules, folders=(JOBS.parent / "kits",))
    (one, *_) = remedies(job, rules).singles
    assert one.remedy is not None
    change = next(one for one in one.remedy.changes if one.fact == "design.door.overlap")
    assert change.new.endswith(" in +- 1/32 in")


def test_what_repeats_a_size_follows_it_and_the_survey_is_left_alone(rules: Rules) -> None:
    name, clause = "fails-open-door-too-narrow", "sliding.clear-opening"
    remedy = remedy_of(name, clause, rules, tolerance=False)
    assert remedy is not None
    moved = {one.fact: one.now for one in remedy.changes if not one.follows}
    follows = {one.fact: one.now for one in remedy.changes if one.follows and not one.again}
    assert moved == {"design.fixed.split": "26 3/16 in"}
    # 13/16 in less of panel is 13/16 in more of door, and the pull's further hole goes with it.
    assert follows == {
        "order.door.width": "28 5/8 in",
        "order.fixed.width": "26 1/16 in",
        "design.door.holes[1].x": "26 1/8 in",
    }
    assert not any(one.fact.startswith("survey.") for one in remedy.changes)
    # The check and the signature were for the drawing as it was.
    taken_back = {one.fact: one.new for one in remedy.changes if one.again}
    assert taken_back == {"order.second_check": "no", "order.drawing_signed": "no"}
    *again, code = remedy.again
    assert len(again) == 2
    assert code.startswith("The sizes then have the code ")


def test_several_faults_are_cured_together_and_what_is_left_is_named(rules: Rules) -> None:
    found = remedies(load_job(JOBS / "fails-several-faults.yaml", rules), rules)
    assert found.joint is not None
    assert {one.clause for one in found.joint.cures} >= {
        "sliding.clear-opening",
        "sliding.overlap-least",
        "opening.curb-width",
        "opening.strike-gap-wide",
        "papers.order",
    }
    assert ("opening.backing", "right") in found.left
    backing = next(one for one in found.singles if one.clause == "opening.backing")
    assert backing.nothing is not None
    assert not backing.nothing.design
    assert "blocking" in backing.nothing.do
    bite = next(one for one in found.singles if one.clause == "fixed.bite")
    assert bite.nothing is not None
    assert bite.nothing.proved
    assert {one.clause for one in bite.nothing.clash} == {"fixed.bite", "fixed.wall-gap"}
    assert bite.nothing.best is not None
    assert bite.nothing.best.actual.text == "5/16 in"


def test_without_another_kit_no_split_does_and_the_least_opening_is_told(
    rules: Rules, tmp_path: Path
) -> None:
    (tmp_path / "kits").mkdir()
    kit = (JOBS.parent / "kits" / "ostrel-inch.yaml").read_text()
    (tmp_path / "kits" / "ostrel-inch.yaml").write_text(kit)
    path = tmp_path / "narrow.yaml"
    path.write_text((JOBS / "fails-no-split-fits.yaml").read_text())
    job = load_job(path, rules)
    (single,) = remedies(job, rules).singles
    nothing = single.nothing
    assert nothing is not None
    assert nothing.proved
    assert nothing.grid == "1/16 in"
    assert nothing.clash[0].clause == "sliding.clear-opening"
    assert len(nothing.clash) > 1
    assert nothing.best is not None
    assert 21 * 25.4 < nothing.best.actual.value < 22 * 25.4
    site = nothing.site
    assert site is not None
    assert site.fact == "survey.front.width.sill"
    # c = (W - h - overlap - edge room + gap) / 2 - bulb, with the least lap and setback allowed.
    wide = site.need.value / 25.4
    room = 2 * (22 + 5 / 16) + (1 + 15 / 16 + 1 / 2 + 2) + 1 + 1 / 2 - 3 / 16
    assert wide == pytest.approx(room + 1 / 8, abs=1 / 8)  # 1/8 in for both leans
    assert f"under {site.need.text}" in write(remedies(job, rules))


def test_seconds_end_a_search_only_where_they_are_asked_for_and_it_says_so(rules: Rules) -> None:
    path = JOBS / "fails-bar-sags.yaml"
    job = load_job(path, rules)
    found = remedies(job, rules, seconds=0.0)
    assert found.stopped
    assert found.seconds == 0.0
    assert found.exit_code == 1
    assert "The search was stopped after 0 s, as was asked" in " ".join(write(found).split())
    (single, *_) = found.singles
    assert single.nothing is not None
    assert single.nothing.stopped
    assert not single.nothing.proved
    whole = remedies(job, rules)
    assert not whole.stopped
    assert whole.seconds is None


def test_the_answer_does_not_depend_on_the_clock(
    rules: Rules, monkeypatch: pytest.MonkeyPatch
) -> None:
    job = load_job(JOBS / "fails-several-faults.yaml", rules)
    once = remedies(job, rules)
    clock = itertools.count(step=1000)  # a machine on which each look at the clock takes long
    monkeypatch.setattr("time.monotonic", lambda: float(next(clock)))
    assert remedies(job, rules, progress=lambda _: None) == once


def test_what_is_too_much_work_is_not_called_the_smallest(rules: Rules) -> None:
    path = JOBS / "fails-bar-sags.yaml"
    job = load_job(path, rules)
    whole, few = remedies(job, rules), remedies(job, rules, most=2)
    assert remedies(job, rules, most=2) == few
    first = review(job, rules, every=True)
    assert [one.remedy.proved for one in whole.singles if one.remedy] == [True, True]
    assert not any(one.remedy.proved for one in few.singles if one.remedy)
    assert not any(one.nothing.proved for one in few.singles if one.nothing)
    assert list(shown(few))
    for remedy in shown(few):
        after = review(patched(job, remedy, path, rules), rules, every=True)
        holds_law(first, after, remedy, rules)


@pytest.mark.parametrize("after", [0, 10, 100])
def test_a_search_that_is_stopped_keeps_what_it_found(after: int, rules: Rules) -> None:
    job = load_job(JOBS / "fails-several-faults.yaml", rules)
    whole, calls = remedies(job, rules), itertools.count()

    def interrupt() -> bool:
        if next(calls) == after:
            raise KeyboardInterrupt
        return False

    found = remedies(job, rules, stop=interrupt)
    assert found.stopped
    assert found.exit_code == 1
    assert len(found.singles) == len(whole.singles)
    ended = [one.nothing is not None and one.nothing.stopped for one in found.singles]
    assert ended == sorted(ended)
    assert ended[-1]
    kept = [one for one, is_ended in zip(found.singles, ended, strict=True) if not is_ended]
    assert bool(kept) == (after > 0)
    for one, other in zip(kept[:-1], whole.singles, strict=False):
        assert one == other
    text = " ".join(write(found).split())
    assert "The search was stopped; this is what was found by then." in text
    assert "the search was stopped: " in text


def test_ctrl_c_on_the_command_line_ends_the_search_and_not_the_report(rules: Rules) -> None:
    def interrupt() -> bool:
        _stop(signal.SIGINT, None)

    found = remedies(load_job(JOBS / "fails-too-little-lap.yaml", rules), rules, stop=interrupt)
    assert (found.stopped, found.exit_code) == (True, 1)
    assert "The search was stopped; this is what was found by then." in " ".join(
        write(found).split()
    )


def test_what_is_tight_gets_a_remedy_that_leaves_it_loose(rules: Rules) -> None:
    path = JOBS / "holds-at-the-limit.yaml"
    job = load_job(path, rules)
    first = review(job, rules, every=True)
    found = remedies(job, rules, reviewed=first)
    assert {one.outcome for one in found.singles} == {"tight"}
    assert found.exit_code == first.exit_code == 0
    loosened = 0
    for single in found.singles:
        if single.remedy is None:
            assert single.nothing is not None
            assert single.nothing.tight or not single.nothing.design
            continue
        loosened += 1
        after = review(patched(job, single.remedy, path, rules), rules, every=True)
        holds_law(first, after, single.remedy, rules)
        how = tight(after).get((single.clause, single.subject), 0)
        assert how <= (0 if single.remedy.reached == WITHIN_TOLERANCE else 1)
    assert loosened > 4


def test_what_is_not_known_is_not_looked_for_and_is_not_called_incurable(rules: Rules) -> None:
    half = load_job(JOBS / "unknown-half-surveyed.yaml", rules)
    found = remedies(half, rules)
    assert found.unknown == tuple(one.means for one in review(half, rules).asked)
    assert len(found.unknown) > 6
    told = " ".join(write(found).split())
    assert "no cure of that is looked for until known: " in told
    assert f"and {len(found.unknown) - 6} more, which a review lists." in told
    narrow = remedies(load_job(JOBS / "fails-too-narrow-already.yaml", rules), rules)
    (single, *_) = narrow.singles
    assert single.nothing is not None
    assert single.nothing.missing
    assert not single.nothing.proved
    told = " ".join(write(narrow).split())
    assert "Not looked for until known: how far the head of the left wall" in told
    assert "no change of the design cures" not in told


def test_progress_is_told_only_of_a_long_search(
    rules: Rules, monkeypatch: pytest.MonkeyPatch
) -> None:
    told: list[str] = []
    job = load_job(JOBS / "fails-bar-sags.yaml", rules)
    monkeypatch.setattr("validator.remedy.find.TELL_AFTER", 0.0)
    remedies(job, rules, progress=told.append)
    assert told
    monkeypatch.setattr("validator.remedy.find.TELL_AFTER", 60.0)
    told.clear()
    remedies(job, rules, progress=told.append)
    assert not told


# Random jobs.

SIZES = {
    "survey.front.width.sill": (48.0, 66.0),
    "design.fixed.split": (20.0, 38.0),
    "design.door.overlap": (0.25, 2.5),
    "design.door.handle.setback": (1.0, 6.0),
    "design.fixed.first_hole": (5.0, 14.0),
    "design.height": (74.0, 80.0),
    "design.bar.offset": (-0.5, 0.5),
    "design.fixed.wall_gap": (0.0, 0.375),
    "survey.left.lean": (-0.375, 0.375),
    "survey.right.lean": (-0.375, 0.375),
    "survey.curb.flat_width": (3.5, 5.5),
    "survey.left.ceiling.inside": (78.0, 96.0),
}


@st.composite
def changed(draw: st.DrawFn) -> dict[str, float]:
    """Draw a few other sizes, in inches on the grid."""
    names = draw(st.lists(st.sampled_from(sorted(SIZES)), min_size=1, max_size=4, unique=True))
    return {
        name: draw(st.integers(int(SIZES[name][0] * 16), int(SIZES[name][1] * 16))) / 16
        for name in names
    }


@cache
def ordinary() -> tuple[Rules, Job]:
    """Return the rules and the job that random jobs are made from."""
    rules = load_rules(installed=False, proofs=False)
    return rules, load_job(JOBS / "holds-ordinary.yaml", rules)


def other(job: Job, sizes: dict[str, float]) -> Job:
    """Return a job with other sizes."""
    place = job.place
    given_sizes = {
        name: Given(value=size * 25.4, tolerance=None, text=f"{size}", place=place)
        for name, size in sizes.items()
    }
    return replace(job, values={**job.values, **given_sizes})


def applied(job: Job, remedy: Remedy, rules: Rules) -> Job:
    """Return the job with a remedy's texts read as the job's own would be."""
    values = dict(job.values)
    kit = job.kit
    for change in remedy.changes:
        if change.fact == "kit":
            kit = next(one for one in rules.kits.values() if one.name == change.new)
            values = {n: g for n, g in values.items() if not n.startswith("kit.")}
            values.update(kit.values)
            continue
        facts = rules.bound(job.arrangement).facts
        fact = facts.get(change.fact.split("[")[0])
        assert fact is not None
        kind = facts["design.fixed.split"].kind if fact.rows else fact.kind
        assert kind is not None
        place, tolerance = change.place, None
        if kind.name == "word":
            value = rules.library.words[change.new]
        else:
            read = read_quantity(change.new, kind, units=job.style.units)
            value, tolerance = read.value, read.tolerance
        values[change.fact] = Given(value=value, tolerance=tolerance, text=change.new, place=place)
    return replace(job, values=values, kit=kit)


@settings(max_examples=10)
@given(changed())
def test_a_shown_remedy_of_a_random_job_always_cures_and_adds_nothing(
    ran: Callable[[], None], sizes: dict[str, float]
) -> None:
    rules, base = ordinary()
    job = other(base, sizes)
    first = review(job, rules, every=True)
    found = remedies(job, rules, reviewed=first)
    for remedy in shown(found):
        ran()
        after = review(applied(job, remedy, rules), rules, every=True)
        holds_law(first, after, remedy, rules)


def test_no_remedy_leaves_a_pane_of_no_size_or_a_narrow_one_narrower() -> None:
    # Between a wide split and a narrow opening the door has next to no width, and fails for it.
    rules, base = ordinary()
    seen = 0
    for split, wide in ((54.0, 60.0), (57.0, 60.0), (61.0, 60.0), (40.0, 44.0)):
        sizes = {"survey.front.width.sill": wide, "design.fixed.split": split}
        job = other(base, {**sizes, "design.door.overlap": 0.5, "survey.left.ceiling.inside": 77.0})
        verdict = judge(job, rules)
        found = remedies(job, rules, tolerance=False, most=500)
        for remedy in shown(found):
            after = judge(applied(job, remedy, rules), rules)
            seen += 1
            for name in ("door.width", "door.height", "fixed.width", "fixed.height"):
                was, size = verdict.answer(name).value, after.answer(name).value
                assert size > 0, remedy.title
                assert size >= min(was, 8 * 25.4) - 1e-6, remedy.title
    assert seen > 4


SILENCED = (
    "survey.front.width.head",
    "survey.right.lean",
    "survey.left.bow",
    "survey.right.drop",
    "survey.right.ceiling.outside",
    "survey.curb.flat_width",
    "design.door.handle.mass",
    "design.fixed.wall_gap",
    "survey.right.backing",
    "survey.left.tile_outward",
)


def test_with_facts_missing_a_remedy_makes_nothing_fail_that_was_unknown() -> None:
    rules, base = ordinary()
    random, cured = Random(4), 0  # noqa: S311  # a seeded draw
    for _ in range(12):
        names = random.sample(sorted(SIZES), 3)
        sizes = {n: random.randint(*(int(16 * end) for end in SIZES[n])) / 16 for n in names}
        job = other(base, sizes)
        gone = random.sample(SILENCED, 3)
        job = replace(job, values={n: g for n, g in job.values.items() if n not in gone})
        first = review(job, rules, every=True, tolerance=False)
        found = remedies(job, rules, reviewed=first, tolerance=False, most=500)
        for remedy in shown(found):
            cured += 1
            after = review(applied(job, remedy, rules), rules, every=True, tolerance=False)
            holds_law(first, after, remedy, rules)
    assert cured > 12


@pytest.mark.parametrize("path", FIXTURES, ids=lambda path: path.stem)
def test_what_is_left_is_what_a_review_still_finds_with_the_joint_remedy(
    path: Path, rules: Rules
) -> None:
    job = load_job(path, rules)
    found = remedies(job, rules, tolerance=False)
    after = job if found.joint is None else patched(job, found.joint, path, rules)
    first, still = (
        {
            (one.clause, one.subject)
            for one in review(each, rules, tolerance=False).findings
            if (one.outcome, one.level) == ("fails", "error")
        }
        for each in (job, after)
    )
    again = found.joint is not None and any(one.again for one in found.joint.changes)
    taken_back = {("papers.second-check", "papers"), ("papers.drawing-signed", "papers")} - first
    assert still - (taken_back if again else set()) == set(found.left)
    assert found.exit_code == int(bool(found.left))


def test_errors_of_the_papers_and_of_plugins_are_told_as_left(rules: Rules, tmp_path: Path) -> None:
    text = (JOBS / "holds-ordinary.yaml").read_text(encoding="utf-8")
    path = tmp_path / "slip.yaml"
    assert text.count("\norder:\n") == 1
    text = text.replace("\norder:\n", "\norder:\n  hand: right\n")  # of etched glass: a remake
    text = text.replace("surface: clear", "surface: etched")
    kits = (JOBS.parent / "kits",)
    path.write_text(text, encoding="utf-8")
    checked = review(load_job(path, rules, folders=kits), rules).sizes_code
    path.write_text(text.replace("HKNCF", checked), encoding="utf-8")
    job = load_job(path, rules, folders=kits)
    first = review(job, rules)
    wrong = [one for one in first.findings if one.outcome == "fails"]
    errors = {(one.clause, one.subject) for one in wrong if one.level == "error"}
    assert errors == {("order-check.mirrored", "fixed")}
    found = remedies(job, rules, reviewed=first)
    assert set(found.left) == errors
    assert found.exit_code == first.exit_code == 1
    assert "there is nothing to cure" not in write(found)
    told = replace(first, broken=("The plugin x failed on this job.",))
    assert remedies(job, rules, reviewed=told).exit_code == told.exit_code == 2


def test_where_a_plugin_failed_it_is_not_said_that_nothing_is_to_cure(rules: Rules) -> None:
    job = load_job(JOBS / "holds-ordinary.yaml", rules)
    first = replace(review(job, rules), broken=("The plugin x failed on this job.",), findings=())
    found = remedies(job, rules, reviewed=first)
    said = write(found)
    assert found.exit_code == 2
    assert "A book or a plugin failed on this job (see the messages)" in said
    assert "nothing to cure" not in said


def finder(job: Job, rules: Rules, *, tolerance: bool = True) -> _Finder:
    """Return the search of a job, set up."""
    watch = _Watch(seconds=None, stop=None, progress=None)
    first = review(job, rules, tolerance=False)
    asked = _Asked(rules=rules, codes=(), stage="order", tolerance=tolerance, most=MOST)
    made = _Finder(judge(job, rules), first, asked, watch)
    made._set_up()
    return made


@settings(max_examples=12)
@given(changed())
def test_no_single_lever_moved_less_cures(ran: Callable[[], None], sizes: dict[str, float]) -> None:
    rules, base = ordinary()
    job = other(base, sizes)
    search = finder(job, rules)
    solver = search.solver
    wrong = [at for at, code in enumerate(solver.verdict.run.outcomes) if code == FAILS]
    for at in wrong[:2]:
        solution = solver.best(frozenset((at,)))
        allowed = solver.curing((at,))
        for which, lever in enumerate(solver.levers.narrow):
            for option, cost in enumerate(lever.costs):
                step = lever.steps[option]
                if not 0 < step <= 12:
                    continue
                if solution is not None and (cost, 1, step) >= (
                    solution.cap,
                    solution.moved,
                    solution.steps,
                ):
                    continue
                point = [one.at for one in solver.levers.narrow]
                point[which] = option
                ran()
                assert solver.broken(solver.present, tuple(point), allowed), lever.name


HARD: list[dict[str, float]] = [
    {"design.fixed.split": 20.0, "design.door.overlap": 2.75, "survey.front.width.sill": 52.0},
    {
        "design.fixed.split": 40.0,
        "design.door.handle.setback": 5.5,
        "design.fixed.first_hole": 22.0,
    },
    {"design.fixed.split": 44.0, "survey.right.lean": 0.5, "design.bar.offset": -1.0},
]


@pytest.mark.parametrize("sizes", HARD, ids=str)
def test_the_best_found_is_no_less_than_any_lever_alone_reaches(sizes: dict[str, float]) -> None:
    # Every option of every lever is gone through by itself.
    rules, base = ordinary()
    search = finder(other(base, sizes), rules, tolerance=False)
    solver, chosen = search.solver, search.solver.present
    reaching = Reaching(solver=solver, trying=search.curing.trying)
    now = tuple(lever.at for lever in solver.levers.narrow)
    asked = 0
    for at, code in enumerate(solver.verdict.run.outcomes):
        if code != FAILS or at in chosen.settled or at in solver.space.costly:
            continue
        cell, allowed = chosen.cell(at), list(solver.allowed)
        present = cell.said(alone(now)).low
        if present != present:  # nan: it compares nothing
            continue
        allowed[at] = ANY
        most = present
        for which, lever in enumerate(solver.levers.narrow):
            for option in range(len(lever.costs)):
                point = (*now[:which], option, *now[which + 1 :])
                margin = cell.said(alone(point)).low
                if margin > most and not solver.broken(chosen, point, allowed):
                    most = margin
        asked += 1
        found = reaching._greatest(at, (now, present, False))
        assert found[1] >= most - 1e-6, solver.verdict.plan.cases[at].clause.name
        assert not solver.broken(chosen, found[0], allowed)
    assert asked


@pytest.mark.parametrize("name", ["fails-several-faults", "fails-handle-meets-panel"])
def test_what_is_surely_so_over_ranges_is_so_at_every_point_in_them(
    name: str, rules: Rules
) -> None:
    random = Random(1)  # noqa: S311  # a seeded draw
    solver = finder(load_job(JOBS / f"{name}.yaml", rules), rules).solver
    chosen = solver.present
    decided = 0
    for at in (*solver.space.open, *sorted(solver.space.costly)):
        cell = chosen.cell(at)
        for _ in range(12):
            node: Node = tuple(
                tuple(sorted(random.choices(range(len(lever.costs)), k=2)))  # type: ignore[misc]
                for lever in chosen.narrow
            )
            point = tuple((random.randint(*ends),) * 2 for ends in node)
            over, one = cell.said(node), cell.said(point)
            if UNKNOWN not in (over.code, one.code):
                decided += 1
                same = {over.code, one.code} <= {HOLDS, EXEMPT} or over.code == one.code
                assert same, (solver.space.plan.cases[at].clause.name, node, point)
            if one.low == one.low and over.low == over.low:
                assert over.low - 1e-6 <= one.low <= over.high + 1e-6
    assert decided > 100


def test_values_are_written_as_the_author_wrote_them(rules: Rules) -> None:
    job = load_job(JOBS / "fails-door-tall-and-narrow.yaml", rules)
    (single,) = remedies(job, rules).singles
    assert single.remedy is not None
    split = next(one for one in single.remedy.changes if one.fact == "design.fixed.split")
    kind = rules.bound(job.arrangement).facts["design.fixed.split"].kind
    assert kind is not None
    assert split.new.isdigit()
    value = read_quantity(split.new, kind, units=job.style.units).value
    assert split.now == show(value, kind, job.style).text


def few(lever: Lever, around: int) -> Lever:
    """Return a lever with a few options to each side of the present one."""
    low, high = max(lever.at - around, 0), min(lever.at + around, len(lever.costs) - 1)
    return replace(
        lever,
        columns={fact: column[low : high + 1] for fact, column in lever.columns.items()},
        costs=lever.costs[low : high + 1],
        steps=lever.steps[low : high + 1],
        at=lever.at - low,
    )


AROUND = {"split": 4, "overlap": 6, "bar-offset": 2}
SMALL_JOBS: list[dict[str, float]] = [
    {"design.door.overlap": 15 / 16},
    {"design.fixed.split": 31.0, "design.door.overlap": 1.0},
    {"survey.curb.flat_width": 4.0625, "design.door.overlap": 1.0},
    {"design.door.overlap": 0.625},
]


@pytest.mark.parametrize("sizes", SMALL_JOBS, ids=str)
def test_nothing_smaller_holds_within_tolerance_on_a_small_grid(sizes: dict[str, float]) -> None:
    # Every point of the grid is judged and stacked up as a job of its own.
    rules, base = ordinary()
    search = finder(other(base, sizes), rules)
    solver, tightness = search.solver, search.solver.tightness
    assert isinstance(tightness, Tightness)
    narrow = tuple(few(one, AROUND.get(one.name, 0)) for one in solver.levers.narrow)
    levers = replace(solver.levers, narrow=narrow, wide=())
    solver.levers = levers
    tightness.trying = replace(tightness.trying, levers=levers, trials={})
    targets = frozenset(
        at
        for at, code in enumerate(solver.verdict.run.outcomes)
        if code == FAILS and not solver.verdict.plan.cases[at].clause.name.startswith("papers.")
    )
    wanted = Wanted(targets=targets, grade=WORST)
    allowed, found = solver.curing(targets), []
    for point in itertools.product(*(range(len(one.costs)) for one in narrow)):
        moved = [(one, at) for one, at in zip(narrow, point, strict=True) if at != one.at]
        solution = Solution(
            choice=(),
            point=point,
            cap=max((one.costs[at] for one, at in moved), default=-1),
            moved=len(moved),
            steps=sum(one.steps[at] for one, at in moved),
        )
        verdict = tightness.trying.trial(solution, targets).verdict
        is_clean = all(c in a for c, a in zip(verdict.run.outcomes, allowed, strict=True))
        if is_clean and not any(tightness.too_tight(verdict, wanted)):
            found.append((solution.cap, solution.moved, solution.steps))
    best = solver.best(targets, wanted)
    assert (best is None) == (not found)
    assert best is None or (best.cap, best.moved, best.steps) == min(found)
    assert targets


@pytest.mark.parametrize("clause", ["sliding.clear-opening", "sliding.guide-closed"])
def test_each_change_of_a_hard_job_that_counts_less_is_too_tight(clause: str, rules: Rules) -> None:
    # Every change of one or two levers that costs less is judged; what holds at size is stacked up.
    search = finder(load_job(JOBS / "fails-several-faults.yaml", rules), rules)
    solver, tightness = search.solver, search.solver.tightness
    assert isinstance(tightness, Tightness)
    targets = frozenset(at for (name, _), at in search.places.items() if name == clause)
    wanted = Wanted(targets=targets, grade=WORST)
    best = solver.best(targets, wanted)
    assert best is not None
    assert best.proved
    chosen, allowed = solver.present, solver.curing(targets)
    at_size = 0
    for many in range(best.moved + 1):
        for levers in itertools.combinations(range(len(chosen.narrow)), many):
            ends = [
                range(low, high + 1)
                for low, high in map(solver.bounds(best.cap).__getitem__, levers)
            ]
            for options in itertools.product(*ends):
                point = [one.at for one in chosen.narrow]
                for which, option in zip(levers, options, strict=True):
                    point[which] = option
                change = solver.solution(chosen, tuple(point), proved=True)
                if change.moved < many or change.cost >= best.cost:
                    continue
                if solver.broken(chosen, change.point, allowed):
                    continue
                at_size += 1
                verdict = tightness.trying.trial(change, targets).verdict
                assert any(tightness.too_tight(verdict, wanted)), change
    assert at_size > 3
