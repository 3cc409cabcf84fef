"""The first tour by hand, and the optima of a few runs against all orders, by plain Python."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from plotlib.planning.metric import Metric
from plotlib.planning.ordering import closed_kernel, exact_kernel, greedy_kernel
from tests.oracles_planning import METRIC, TIMED, move

FREE = (np.nan, np.nan)


def test_every_listed_link_once() -> None:
    """Ends 0 | 1, 2 | 3 and 4 | 5 of three strokes; the ends of one stroke are no link."""
    row = np.arange(6)
    near = np.array([(1, 2), (2, 4), (1, 5), (4, -1), (1, 3), (2, 0)])
    far = np.array([(1, 2), (3, 4), (3, 6), (7, 0), (4, 7), (6, 8)], np.float64)
    one, two, cost = greedy_kernel.candidate_links.plain(row, near, far, np.arange(6))
    links = sorted(zip(one.tolist(), two.tolist(), cost.tolist(), strict=True))
    assert links == [(0, 2, 2), (1, 2, 3), (1, 4, 4), (2, 5, 6), (3, 4, 7), (5, 0, 8)]


def test_short_links_first_and_no_rings() -> None:
    one = np.array([1, 3, 5, 0, 1, 4])
    two = np.array([2, 4, 0, 5, 6, 7])
    mates = np.full(8, -1)
    parent = np.arange(4)
    ranked = np.array([0, 1, 2, 3, 4, 5])
    # 5-0 and 0-5 would close the ring of three strokes; 1 and 4 have their links already.
    assert greedy_kernel.join_links.plain(one, two, ranked, mates, parent) == 2
    assert mates.tolist() == [-1, 2, 1, 4, 3, -1, -1, -1]
    assert greedy_kernel.walk_links.plain(mates).tolist() == [0, 2, 4, 6]


def test_paths_are_walked_from_their_free_ends() -> None:
    mates = np.array([-1, 5, -1, -1, 7, 1, -1, 4])
    # From 0 through 1 - 5 to 4 - 7 and out at 6; the stroke of 2 and 3 alone.
    assert greedy_kernel.walk_links.plain(mates).tolist() == [0, 5, 7, 2]


def states(rng: np.random.Generator, sizes: list[int]) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Points, the first of each run, and where a pen leaves: dots and rings where they were
    entered, open runs (of two states) at the other end.
    """
    first = np.concatenate([[0], np.cumsum(sizes)])
    xy = np.concatenate(
        [rng.uniform(0, 100, 2) + rng.uniform(-20, 20, (size, 2)) for size in sizes]
    )
    leave = np.arange(len(xy))
    for run, size in enumerate(sizes):
        if size == 2:
            leave[first[run] : first[run + 1]] = [first[run] + 1, first[run]]
    return xy, first, leave


def cost_of(
    metric: Metric, xy: np.ndarray, leave: np.ndarray, entered: tuple[int, ...], ends: np.ndarray
) -> float:
    total = 0.0
    if not np.isnan(ends[0]):
        total += move(metric, *(xy[entered[0]] - ends[:2]))
    for one, two in itertools.pairwise(entered):
        total += move(metric, *(xy[leave[one]] - xy[two]))
    if not np.isnan(ends[2]):
        total += move(metric, *(xy[leave[entered[-1]]] - ends[2:]))
    return total


ENDS = [(0, 0, 100, 100), (*FREE, 50, 0), (3, 4, *FREE), (*FREE, *FREE)]


@pytest.mark.parametrize("metric", [METRIC, TIMED])
@pytest.mark.parametrize("ends", ENDS)
def test_the_best_states_of_a_sequence(ends: tuple[float, ...], metric: Metric) -> None:
    rng = np.random.default_rng(int(metric.timed))
    for sizes in ([2, 1, 5, 2], [6, 6, 1], [1], [4, 2]):
        xy, first, leave = states(rng, sizes)
        sequence = rng.permutation(len(sizes))
        at = np.array(ends, np.float64)
        found = closed_kernel.best_states.plain(metric, xy, first, leave, sequence, at)
        every = itertools.product(*(range(first[run], first[run + 1]) for run in sequence))
        costs = [cost_of(metric, xy, leave, entered, at) for entered in every]
        assert cost_of(metric, xy, leave, tuple(found), at) == pytest.approx(min(costs))
        assert all(first[run] <= p < first[run + 1] for run, p in zip(sequence, found, strict=True))


@pytest.mark.parametrize("metric", [METRIC, TIMED])
@pytest.mark.parametrize("sizes", [[49, 5], [60, 70, 64], [130, 48, 90]])
def test_large_rings_are_searched_in_a_tree(sizes: list[int], metric: Metric) -> None:
    """Against dynamic programming over all pairs of vertices."""
    rng = np.random.default_rng(sum(sizes))
    xy, first, leave = states(rng, sizes)
    ends = np.array([0.0, 0.0, 100.0, 0.0])
    sequence = np.arange(len(sizes))
    found = closed_kernel.best_states.plain(metric, xy, first, leave, sequence, ends)
    value = np.array([move(metric, *p) for p in xy[: first[1]]])
    for run in range(1, len(sizes)):
        ways = xy[first[run] : first[run + 1]][:, None] - xy[first[run - 1] : first[run]]
        value = np.array(
            [min(v + move(metric, *w) for v, w in zip(value, row, strict=True)) for row in ways]
        )
    last = [v + move(metric, *(p - ends[2:])) for v, p in zip(value, xy[first[-2] :], strict=True)]
    assert cost_of(metric, xy, leave, tuple(found), ends) == pytest.approx(min(last))


def test_costs_of_links() -> None:
    one = np.array([(0.0, 0.0), (5.0, 5.0)])
    two = np.array([(3.0, 4.0), (5.0, -7.0)])
    assert closed_kernel.link_costs.plain(METRIC, one, two).tolist() == [5.0, 12.0]


def test_gaps_between_boxes() -> None:
    box = np.array([0.0, 0.0, 2.0, 1.0])
    for other, gap in (
        ((1, 0.5, 9, 9), 0),
        ((5, 0, 6, 1), 3),
        ((-4, 0, -1, 1), 1),
        ((0, 6, 1, 7), 5),
        ((0, -9, 1, -2), 2),
        ((5, 5, 6, 6), 5),
    ):
        assert exact_kernel.gap_cost.plain(METRIC, box, np.array(other, np.float64)) == gap


@pytest.mark.parametrize("metric", [METRIC, TIMED])
@pytest.mark.parametrize("ends", ENDS)
@pytest.mark.parametrize("seed", range(3))
def test_the_cheapest_sequence_of_four_runs(
    seed: int, ends: tuple[float, ...], metric: Metric
) -> None:
    """One stretch for each two states; run 3 may come only after run 0."""
    rng = np.random.default_rng(seed)
    sizes = [2, 4, 1, 6]
    xy, first, leave = states(rng, sizes)
    stretches = [[0, 2], [2, 4], [4, 6], [6, 7], [7, 9], [9, 11], [11, 13]]
    low = np.array([pair[0] for pair in stretches] + [13])
    runs = np.array([0, 1, 3, 4, 7])
    enter = np.array([(*xy[a:b].min(0), *xy[a:b].max(0)) for a, b in stretches])
    out = xy[leave]
    leaving = np.array([(*out[a:b].min(0), *out[a:b].max(0)) for a, b in stretches])
    needs = np.array([0, 0, 0, 1])
    at = np.array(ends, np.float64)
    rest, gaps = exact_kernel.rest_costs.plain(
        metric, enter, leaving, runs, needs, np.tile(at[2:], 2)
    )
    costs = {}
    for sequence in itertools.permutations(range(4)):
        if sequence.index(3) > sequence.index(0):
            every = itertools.product(*(range(first[run], first[run + 1]) for run in sequence))
            costs[sequence] = min(cost_of(metric, xy, leave, entered, at) for entered in every)
    best = min(costs, key=lambda sequence: costs[sequence])
    given = exact_kernel.Stretches(xy, leave, low, runs, needs, at, rest, gaps)
    for known in (np.inf, costs[best] * 1.2, costs[best] * (1 + 1e-9)):
        found = exact_kernel.cheapest_sequence.plain(metric, given, known)
        assert tuple(found.tolist()) == best
    none = exact_kernel.cheapest_sequence.plain(metric, given, costs[best])
    assert none[0] == -1
    # What is left after one run is never more than what the best order from there costs.
    for run in range(3):
        for sequence, cost in costs.items():
            if sequence[0] == run:
                onward = rest[1 << run, runs[run] : runs[run + 1]].min()
                assert onward <= cost + 1e-9
