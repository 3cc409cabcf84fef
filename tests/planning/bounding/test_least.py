"""What links weigh, in small cases worked out by hand and against all pairs, by plain Python."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from plotlib.planning.bounding import least_kernel as kernel
from plotlib.planning.bounding.graph import (
    Links,
    Multipliers,
    Problem,
    SetLinks,
    graph_of,
    places,
    union,
    way_cost,
)
from plotlib.planning.metric import distance_metric

METRIC = distance_metric(1.0)
NONE = np.zeros(0, np.int64)
NO_SETS = SetLinks(np.zeros(1, np.int64), NONE, NONE, NONE, NONE)


def problem(share: list[int], group: list[int], xy: np.ndarray | None = None) -> Problem:
    count = len(share)
    points = np.zeros((count, 2)) if xy is None else xy
    return Problem(
        points,
        np.array(group),
        np.array(share),
        max(group) + 1,
        np.zeros(count),
        np.zeros(count),
        METRIC,
        np.array([[0, count]]),
        np.zeros((1, 4)),
    )


@pytest.mark.parametrize("seed", range(40))
def test_the_cheapest_pair_is_that_of_all_pairs(seed: int) -> None:
    rng = np.random.default_rng(seed)
    count = int(rng.integers(2, 9))
    group = np.sort(rng.integers(0, 4, count))
    group[-1] = group[0] + 1 if group[-1] == group[0] else group[-1]
    first, second = rng.integers(0, 6, (2, count)).astype(np.float64)
    pi = rng.integers(-3, 3, count).astype(np.float64)
    pair = kernel.two_links.plain(first, second, pi, group)
    costs = {
        (u, v): first[u] + pi[u] + second[v] + pi[v]
        for u, v in itertools.permutations(range(count), 2)
        if group[u] != group[v]
    }
    assert costs[tuple(int(k) for k in pair)] == min(costs.values())


def test_one_run_has_no_pair_of_two() -> None:
    zeros = np.zeros(3)
    assert kernel.two_links.plain(zeros, zeros, zeros, np.zeros(3, np.int64)) == (0, 0)


def test_links_of_a_tour_for_the_greatest_gain() -> None:
    """A dot (0), an open run (1, 2) and a closed one (3, 4, 5). Of its vertices the first has 2 pi
    = 1, the second 2 pi + slot = 4 + 0.5, the third 2 pi + set = 2 + 3.
    """
    asked = problem([2, 1, 1, 0, 0, 0], [0, 1, 1, 2, 2, 2])
    ends = np.array([1.5, -2.0, 0.25, 0.5, 2.0, 1.0])
    now = Multipliers(ends, np.array([0.5]), np.array([7.0, 3.0]))
    sets = SetLinks(
        np.zeros(3, np.int64), NONE, np.zeros(2, np.int64), np.array([5]), np.array([1])
    )
    target = np.full(6, 9)
    total = kernel.wanted.plain(asked, now, np.array([4]), sets, target)
    assert target.tolist() == [2, 1, 1, 0, 0, 2]
    assert total == pytest.approx(2 * 1.5 - 2.0 + 0.25 + 5.0)
    total = kernel.wanted.plain(asked, now, np.array([4]), NO_SETS, target)
    assert target.tolist() == [2, 1, 1, 0, 2, 0]
    assert total == pytest.approx(2 * 1.5 - 2.0 + 0.25 + 4.5)


def test_what_a_link_weighs() -> None:
    edges = np.array([(0, 1), (0, 2), (1, 2)])
    costs = np.array([10.0, 20.0, 30.0])
    slots = np.array([(-1, 0), (-1, -1), (0, 1)])
    now = Multipliers(np.array([1.0, 2.0, 4.0]), np.array([100.0, 1000.0]), np.zeros(0))
    weights = np.full(3, np.nan)
    kernel.weigh.plain(weights, now, Links(edges, costs, slots, NONE, NONE))
    assert weights.tolist() == [113.0, 25.0, 1136.0]


def test_costs_are_distances() -> None:
    xy = np.array([(0.0, 0.0), (3.0, 4.0), (3.0, 9.0)])
    assert kernel.costs_from.plain(METRIC, xy, 3.0, -4.0).tolist() == [5.0, 8.0, 13.0]
    edges = np.array([(0, 1), (1, 2)])
    assert kernel.costs_of.plain(METRIC, xy, edges).tolist() == [5.0, 5.0]
    assert way_cost(METRIC, (1, 1), (4, 5)) == 5.0


# ---- the graph


def test_slots_are_those_of_a_vertex_and_a_run() -> None:
    """Vertices 2 and 3 are of a closed run; 2 has two links to run 0, one to run 2."""
    asked = problem([1, 1, 0, 0, 2], [0, 0, 1, 1, 2])
    edges = np.array([(0, 2), (0, 4), (1, 2), (1, 3), (2, 4)])
    graph = graph_of(asked, edges)
    assert graph.slots.tolist() == [[-1, 0], [-1, -1], [-1, 0], [-1, 2], [1, -1]]
    assert graph.owner.tolist() == [2, 2, 3]
    assert graph.keys.tolist() == [2 * 3 + 0, 2 * 3 + 2, 3 * 3 + 0]


def test_without_closed_runs_there_are_no_slots() -> None:
    xy = np.array([(0.0, 0.0), (3.0, 4.0)])
    graph = graph_of(problem([2, 2], [0, 1], xy), np.array([(0, 1)]))
    assert (graph.slots.shape, len(graph.owner), graph.costs.tolist()) == ((0, 2), 0, [5.0])


def test_links_of_two_sets_once_and_in_order() -> None:
    one = np.array([(0, 3), (2, 1)])
    two = np.array([(3, 0), (1, 2), (0, 1), (2, 3)])
    assert union(one, two).tolist() == [[0, 1], [0, 3], [1, 2], [2, 3]]
    assert union(one[:0], two).tolist() == [[0, 1], [0, 3], [1, 2], [2, 3]]


def test_where_links_stand() -> None:
    edges = np.array([(0, 1), (0, 3), (2, 3)])
    graph = Links(edges, np.zeros(3), NONE.reshape(0, 2), NONE, NONE)
    links = np.array([(3, 2), (1, 0), (1, 2), (0, 3), (3, 4)])
    assert places(graph, links).tolist() == [2, 0, -1, 1, -1]
    bare = Links(edges[:0], np.zeros(0), NONE.reshape(0, 2), NONE, NONE)
    assert places(bare, links[:2]).tolist() == [-1, -1]
