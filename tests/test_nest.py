"""Cutting from stock and offcuts: no fewer lengths would do.

Judges from outside: CP-SAT of OR-Tools packs the same pieces, networkx matches the same holes.
"""

import random

import networkx as nx
import pytest
from ortools.sat.python import cp_model

from validator.several.nest import DEEPEST, Cut, Length, Piece, nest

KERF = 3.0
NEW = Length(name="new", length=2400.0, new=True)


def _piece(length: float, lead: float | None = None) -> Piece:
    return Piece(job="24-117", item="bar", length=length, lead=lead)


def _least_cut(pieces: list[int], offcuts: list[int], kerf: int) -> tuple[int, int]:
    """Return the fewest new lengths, and of these the least of offcuts cut up, by CP-SAT."""
    model = cp_model.CpModel()
    bins = [*offcuts, *(int(NEW.length) for _ in pieces)]
    used = [model.new_bool_var(f"used{at}") for at in range(len(bins))]
    on = [[model.new_bool_var(f"{p}on{b}") for b in range(len(bins))] for p in range(len(pieces))]
    for row in on:
        model.add_exactly_one(row)
    for at, length in enumerate(bins):
        sizes = sum((pieces[p] + kerf) * on[p][at] for p in range(len(pieces)))
        model.add(sizes <= (length + kerf) * used[at])
    new = sum(used[len(offcuts) :])
    cut_up = sum(length * one for length, one in zip(offcuts, used, strict=False))
    model.minimize(new * 1_000_000 + cut_up)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    assert solver.solve(model) == cp_model.OPTIMAL
    return divmod(round(solver.objective_value), 1_000_000)


def _check_cuts(cuts: tuple[Cut, ...], kerf: float) -> None:
    for cut in cuts:
        used = sum(piece.length for piece in cut.pieces) + kerf * (len(cut.pieces) - 1)
        assert used <= cut.length.length + 1e-6


@pytest.mark.parametrize("seed", range(12))
def test_plain_pieces_are_cut_as_a_solver_cuts_them(seed: int) -> None:
    rng = random.Random(seed)  # noqa: S311  # seeded
    sizes = [rng.randrange(300, 1700, 5) for _ in range(rng.randint(3, 8))]
    offcuts = [rng.randrange(200, 1500, 5) for _ in range(rng.randint(0, 3))]
    lengths = [Length(name=f"offcut {at}", length=mm) for at, mm in enumerate(offcuts)]
    found = nest([_piece(mm) for mm in sizes], [*lengths, NEW], kerf=KERF)
    assert found.proved
    assert not found.without
    _check_cuts(found.cuts, KERF)
    cut_up = sum(cut.length.length for cut in found.cuts if not cut.length.new)
    assert (found.new, cut_up) == _least_cut(sizes, offcuts, int(KERF))
    assert sorted(piece.length for cut in found.cuts for piece in cut.pieces) == sorted(sizes)


@pytest.mark.parametrize("seed", range(20))
def test_tapped_pieces_are_matched_hole_on_hole(seed: int) -> None:
    rng = random.Random(seed)  # noqa: S311  # seeded
    pieces = [
        _piece(rng.randrange(900, 1600), rng.randrange(100, 300)) for _ in range(rng.randint(1, 6))
    ]
    offcuts = [
        Length(name=f"offcut {at}", length=rng.randrange(900, 1900), hole=rng.randrange(100, 400))
        for at in range(rng.randint(0, 6))
    ]
    new = Length(name="new", length=2400.0, hole=305.0, new=True)
    found = nest(pieces, [*offcuts, new], kerf=KERF)
    graph = nx.Graph()
    graph.add_nodes_from(("offcut", at) for at in range(len(offcuts)))
    for at, offcut in enumerate(offcuts):
        for to, piece in enumerate(pieces):
            hole, lead = offcut.hole or 0.0, piece.lead or 0.0
            if hole >= lead and offcut.length - hole >= piece.length - lead:
                graph.add_edge(("offcut", at), ("piece", to), weight=10_000 - offcut.length)
    best = nx.max_weight_matching(graph, maxcardinality=True)
    taken = [one for pair in best for one in pair if one[0] == "offcut"]
    cut = [one for one in found.cuts if not one.length.new]
    assert len(cut) == len(taken)
    assert sum(one.length.length for one in cut) == sum(offcuts[at].length for _, at in taken)
    for one in found.cuts:
        (piece,) = one.pieces
        assert one.first + (piece.lead or 0.0) == pytest.approx(one.length.hole)
        assert min(one.first, one.left) >= 0
        assert one.first + piece.length + one.left == pytest.approx(one.length.length)


def test_a_hole_that_stands_wrong_serves_no_tapped_piece() -> None:
    short = Length(name="short end", length=2000.0, hole=100.0)
    plain = Length(name="plain", length=2000.0)
    found = nest([_piece(1200.0, 200.0)], [short, plain], kerf=0.0)
    assert (found.cuts, len(found.without)) == ((), 1)


def test_a_piece_that_is_longer_than_any_length_is_told_and_the_others_are_cut() -> None:
    found = nest([_piece(2500.0), _piece(2400.0), _piece(100.0)], [NEW], kerf=KERF)
    assert [piece.length for piece in found.without] == [2500.0]
    assert found.new == 2


def test_of_two_long_pieces_and_one_long_offcut_one_is_left_out() -> None:
    long = Length(name="long", length=3000.0)
    found = nest([_piece(2900.0), _piece(2950.0), _piece(1000.0)], [long, NEW], kerf=KERF)
    assert len(found.without) == 1
    assert found.new == 1
    assert found.proved


def test_many_pieces_are_placed_without_end() -> None:
    rng = random.Random(1)  # noqa: S311  # seeded
    pieces = [_piece(rng.randrange(300, 1700)) for _ in range(DEEPEST * 2)]
    found = nest(pieces, [NEW], kerf=KERF)
    _check_cuts(found.cuts, KERF)
    assert sum(len(cut.pieces) for cut in found.cuts) == len(pieces)
    few = nest(pieces[:40], [NEW], kerf=KERF, most=50)
    assert not few.proved or few.new == -(-sum(p.length + KERF for p in pieces[:40]) // 2403)
