"""Random whole jobs: nothing raises, nothing is undefined in a sound job, every clause can fail.

A job begins from one that holds. Facts that one clause depends on are moved, each clause in turn,
and a few others with them; lists have none, few or many rows.
"""

import math
import random
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest

from ruleset.book import Fact
from ruleset.formula.cone import leaves
from ruleset.hands import shapes
from ruleset.library import Library
from ruleset.plan import Plan, plan
from ruleset.program import EXEMPT, FAILS, HOLDS, SOFTER, UNKNOWN, Program, Run, compile_plan
from validator import Rules, judge, load_job

JOBS = Path(__file__).parent.parent / "fixtures" / "jobs"
RUNS = 4000
FURTHER = 2000
"""Jobs drawn for a clause by itself, where none of the others made it fail."""
NAMES = ("holds-ordinary", "holds-millimetres", "holds-walls-only")
TOGETHER = (r"survey\.front\.width\.", r"survey\.(left|right)\.ceiling\.")
"""Readings of one thing: moved together now and then, or nothing would agree with them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """A program for one shape of job, and which facts each of its cases depends on."""

    program: Program
    cones: tuple[tuple[str, ...], ...]
    limits: tuple[float, ...]

    def run(self, facts: Mapping[str, float]) -> Run:
        return self.program.run([facts[name] for name in self.program.facts], self.limits)

    @property
    def plan(self) -> Plan:
        return self.program.plan


def bench_of(library: Library, rows: Mapping[str, int], hand: str) -> Bench:
    lists = (fact.name for fact in library.facts.values() if fact.rows)
    (shape,) = shapes(library, tuple((name, rows.get(name, 0)) for name in lists), hand)
    made = plan(library, shape)
    program = compile_plan(library, made)
    drawn = {step.name: step.drawn for step in made.steps}

    @cache
    def cone(name: str) -> frozenset[str]:
        if name not in drawn:
            return frozenset((name,) if name in made.leaves else ())
        return frozenset().union(*(cone(leaf) for leaf in leaves(drawn[name])))

    cones = []
    for case in made.cases:
        trees = (tree for tree in (case.when, case.needs, case.softer) if tree is not None)
        names = frozenset().union(*(cone(leaf) for tree in trees for leaf in leaves(tree)))
        cones.append(tuple(sorted(names & set(program.facts))))
    limits = tuple(library.limits[name].value for name in program.limits)
    return Bench(program=program, cones=tuple(cones), limits=limits)


@dataclass(frozen=True, slots=True, kw_only=True)
class World:
    """The library, programs for some shapes, and jobs to begin from."""

    library: Library
    benches: tuple[Bench, ...]
    bases: tuple[Mapping[str, float], ...]


@pytest.fixture(scope="module")
def world(rules: Rules) -> World:
    codes = ("irc-2021", "ada-2010")  # a standard of access, so that its clauses are asked too
    verdicts = [judge(load_job(JOBS / f"{name}.yaml", rules), rules, codes=codes) for name in NAMES]
    library = verdicts[0].library
    every = [fact for fact in library.facts.values() if fact.rows]
    lists = [{}, {fact.name: 1 for fact in every}, {fact.name: 2 for fact in every}]
    lists.append({"design.door.holes": 8, "design.fixed.holes": 8})
    known = [{k: v for k, v in one.facts.items() if not math.isnan(v)} for one in verdicts]
    built = {k: v for k, v in known[1].items() if k.startswith("as_built.")}
    return World(
        library=library,
        benches=tuple(bench_of(library, rows, hand) for rows in lists for hand in library.hands),
        bases=tuple({**built, **one} for one in known),
    )


class Draw:
    """Draws jobs from one seed."""

    def __init__(self, world: World, seed: int) -> None:
        """Begin from a world's jobs."""
        self.world = world
        self.rng = random.Random(seed)  # noqa: S311  # seeded, so that a run can be had again

    def value(self, fact: Fact, now: float | None, ends: str) -> float:
        kind, rng = fact.kind, self.rng
        assert kind is not None
        if kind.name == "word":
            return self.world.library.words[rng.choice(fact.words)]
        if kind.name == "yes/no":
            return float(rng.random() < 0.5)
        if ends:
            return fact.low if ends == "low" else fact.high
        way = rng.random()
        if way < 0.4 and now is not None:
            step = kind.step or abs(now) / 16 or 1.0
            value = now + rng.choice((-1, 1)) * rng.choice((1, 2, 4, 8, 16, 32, 80)) * step
        elif way < 0.6:
            value = rng.choice((fact.low, fact.high))
        elif way < 0.8 and now:
            value = now * rng.choice((0.5, 0.8, 1.25, 2.0))
        else:
            value = rng.uniform(*(fact.usual or (fact.low, fact.high)))
        value = round(value) if kind.name == "count" else value
        return float(min(max(value, fact.low), fact.high))

    def of_row(self, name: str) -> float:
        """Draw a field of a row: somewhere on a pane, or near its edge."""
        key = name.rpartition(".")[2]
        most = {"x": 700.0, "y": 1900.0, "across": 100.0, "radius": 40.0}.get(key, 600.0)
        edge = 0.0 if key in ("x", "y") else 12.7
        far, near = self.rng.uniform(0, most), self.rng.uniform(0, most / 6)
        return self.rng.choice((far, near, 12.7, edge))

    def job(self, bench: Bench, at: int) -> dict[str, float]:
        """Draw a job that moves what the case at a place depends on."""
        base = self.rng.choice(self.world.bases)
        cone = bench.cones[at]
        moved = set(self.rng.sample(cone, min(len(cone), self.rng.choice((1, 1, 2, 3, 99)))))
        moved |= set(self.rng.sample(bench.program.facts, self.rng.choice((0, 0, 1, 3))))
        ends = self.rng.choice(("", "", "", "", "", "", "low", "high"))
        job: dict[str, float] = {}
        for name in bench.program.facts:
            fact = bench.plan.leaves[name].fact
            now = base.get(name)
            if fact.rows:
                job[name] = self.of_row(name)
            else:
                job[name] = (
                    now if now is not None and name not in moved else self.value(fact, now, ends)
                )
        if self.rng.random() < 0.5:
            self.agree(job)
        return job

    def agree(self, job: dict[str, float]) -> None:
        for start in TOGETHER:
            names = [name for name in job if re.match(start, name)]
            for name in names:
                job[name] = job[names[0]]


def runs(world: World, seed: int, many: int) -> list[tuple[Bench, dict[str, float], Run]]:
    draw = Draw(world, seed)
    found = []
    for at in range(many):
        bench = world.benches[at % len(world.benches)]
        job = draw.job(bench, at // len(world.benches) % len(bench.cones))
        found.append((bench, job, bench.run(job)))
    return found


@pytest.fixture(scope="module")
def drawn(world: World) -> list[tuple[Bench, dict[str, float], Run]]:
    return runs(world, 7, RUNS)


def test_every_clause_can_fail(
    world: World, drawn: list[tuple[Bench, dict[str, float], Run]]
) -> None:
    failed: set[str] = set()
    for bench, _, run in drawn:
        for case, outcome in zip(bench.plan.cases, run.outcomes, strict=True):
            if outcome in (FAILS, SOFTER):
                failed.add(case.clause.name)
    asked = {case.clause.name for bench in world.benches for case in bench.plan.cases}
    clauses = {name: world.library.clauses[name].clause for name in asked}
    asking = {name for name, clause in clauses.items() if "fails" in clause.unmoved}
    assert asking == {"fixed.side-chosen"}  # these are only there to ask for a fact
    never = {name for name in asked - failed - asking if not fails(world, name)}
    assert not never, f"never failed in {RUNS} jobs and {FURTHER} of its own: {sorted(never)}"


def fails(world: World, clause: str) -> bool:
    """Return whether a clause fails in one of the jobs that are drawn for it alone."""
    draw = Draw(world, 11)
    for _ in range(FURTHER):
        bench = draw.rng.choice(world.benches)
        places = [at for at, case in enumerate(bench.plan.cases) if case.clause.name == clause]
        if places:
            at = draw.rng.choice(places)
            if bench.run(draw.job(bench, at)).outcomes[at] in (FAILS, SOFTER):
                return True
    return False


def test_nothing_is_undefined_in_a_job_that_else_holds(
    drawn: list[tuple[Bench, dict[str, float], Run]],
    ran: Callable[[], None],
) -> None:
    for bench, job, run in drawn:
        if UNKNOWN not in run.outcomes:
            continue
        told = list(zip(bench.plan.cases, run.outcomes, strict=True))
        undefined = [case.clause.name for case, outcome in told if outcome == UNKNOWN]
        wrong = [
            case.clause.name
            for case, outcome in told
            if outcome == FAILS and case.clause.level == "error"
        ]
        ran()
        assert wrong, (undefined, job)


def test_no_function_of_the_books_breaks(
    drawn: list[tuple[Bench, dict[str, float], Run]],
) -> None:
    assert [run.faults for _, _, run in drawn if run.faults] == []


def test_filling_in_a_fact_never_changes_holds_or_fails(
    world: World, ran: Callable[[], None]
) -> None:
    draw = Draw(world, 7)
    for bench, job, _ in runs(world, 7, 60):
        less = dict(job)
        names = draw.rng.sample(bench.program.facts, draw.rng.choice((1, 3, 10, 40, 120)))
        less.update(dict.fromkeys(names, math.nan))
        before = bench.run(less)
        for name in names:
            less[name] = job[name]
            after = bench.run(less)
            for case, was, now in zip(
                bench.plan.cases, before.outcomes, after.outcomes, strict=True
            ):
                ran()
                assert now in NEXT[was], (case.clause.name, case.subject, name, was, now)
            for step, old, new in zip(bench.plan.steps, before.values, after.values, strict=True):
                assert math.isnan(old) or old == new, (step.name, name, old, new)
            before = after


NEXT: Mapping[int, set[int]] = {
    EXEMPT: {EXEMPT},
    HOLDS: {HOLDS, EXEMPT},  # what need not be asked holds as well
    FAILS: {FAILS, SOFTER},  # a failure of whatever level
    SOFTER: {SOFTER},
    UNKNOWN: {UNKNOWN, EXEMPT, HOLDS, FAILS, SOFTER},
}


def test_built_equals_drawn_where_nothing_was_read_on_site(world: World) -> None:
    bench = world.benches[1]
    built = compile_plan(world.library, bench.plan, built=True)
    limits = [world.library.limits[name].value for name in built.limits]
    draw = Draw(world, 3)
    names = [step.name for step in bench.plan.steps]
    outcomes = 0
    for at in range(len(bench.cones)):
        job = draw.job(bench, at)
        job = {k: math.nan if k.startswith("as_built.") else v for k, v in job.items()}
        drawn_run = bench.run(job)
        values = dict(zip(names, drawn_run.values, strict=True))
        given = {**dict.fromkeys(built.facts, math.nan), **job, **values}
        run = built.run([given[name] for name in built.facts], limits)
        for name, value in zip(names, run.values, strict=True):
            same = math.isclose(value, values[name], rel_tol=1e-9, abs_tol=1e-6)
            assert same or (math.isnan(value) and math.isnan(values[name])), name
        outcomes += run.outcomes == drawn_run.outcomes
    assert outcomes > 0.95 * len(bench.cones)
