"""Least spanning trees against scipy's, the k-d tree against scans over all pairs, by plain Python.

scipy.sparse.csgraph.minimum_spanning_tree stands for the textbook; points of one run are one node.
"""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from scipy.sparse import coo_array
from scipy.sparse.csgraph import minimum_spanning_tree

from plotlib.planning import kd_tree_kernel
from plotlib.planning.bounding import cells_kernel, forest_kernel, levels_kernel, tree_kernel
from plotlib.planning.metric import Metric
from tests.oracles_planning import METRIC, TIMED, move


def least_weight(runs: int, pairs: np.ndarray, weights: np.ndarray) -> float:
    """By scipy, with the least of parallel links; weights are raised, since zeros are no links."""
    lift = 1.0 - weights.min()
    best: dict[tuple[int, int], float] = {}
    for (a, b), weight in zip(np.sort(pairs, axis=1).tolist(), weights, strict=True):
        if a != b:
            best[a, b] = min(best.get((a, b), np.inf), weight + lift)
    rows, columns = np.array(list(best)).T
    graph = coo_array((list(best.values()), (rows, columns)), shape=(runs, runs))
    tree = minimum_spanning_tree(graph.tocsr())
    return float(tree.sum()) - lift * tree.nnz


@pytest.mark.parametrize("seed", range(25))
def test_a_sparse_tree_weighs_the_least(seed: int) -> None:
    rng = np.random.default_rng(seed)
    runs = int(rng.integers(2, 12))
    points = 2 * runs
    group = np.arange(points) // 2
    chain = [(2 * k, 2 * k + 3) for k in range(runs - 1)]
    more = [
        pair for pair in rng.integers(0, points, (30, 2)).tolist() if pair[0] // 2 != pair[1] // 2
    ]
    edges = np.unique(np.sort(chain + more, axis=1), axis=0)
    weights = rng.integers(-9, 30, len(edges)) / 2
    degree = np.zeros(points, np.int64)
    taken = np.ones(len(edges), np.bool_)
    total = forest_kernel.sparse_tree.plain(
        edges, group[edges].astype(np.int32), runs, weights, degree, taken
    )
    assert total == pytest.approx(weights[taken].sum())
    assert total == pytest.approx(least_weight(runs, group[edges], weights))
    assert taken.sum() == runs - 1
    assert degree.tolist() == np.bincount(edges[taken].ravel(), minlength=points).tolist()


def test_runs_without_a_link_make_a_forest() -> None:
    edges = np.array([(0, 1), (2, 3)])
    degree = np.zeros(5, np.int64)
    taken = np.zeros(2, np.bool_)
    groups = edges.astype(np.int32)
    assert forest_kernel.sparse_tree.plain(edges, groups, 5, np.array([3.0, 4]), degree, taken) == 7
    assert degree.tolist() == [1, 1, 1, 1, 0]


def test_components_are_numbered_by_their_first() -> None:
    parent = np.array([0, 0, 2, 2, 4, 1])
    new = np.empty(6, np.int64)
    assert forest_kernel.numbered.plain(parent, new, 6) == 3
    assert new.tolist() == [0, 0, 1, 1, 2, 0]


# ---- the k-d tree


def planted(xy: np.ndarray, metric: Metric) -> tuple[np.ndarray, kd_tree_kernel.Tree]:
    perm, spans, boxes = kd_tree_kernel.build_tree.plain(xy, *metric.scale)
    return perm, kd_tree_kernel.Tree(xy[perm], spans, boxes)


@pytest.mark.parametrize("count", [0, 1, 8, 9, 16, 17, 70])
@pytest.mark.parametrize("metric", [METRIC, TIMED])
def test_a_tree_halves_its_points(count: int, metric: Metric) -> None:
    rng = np.random.default_rng(count)
    xy = rng.integers(0, 40, (count, 2)).astype(np.float64)
    perm, tree = planted(xy, metric)
    assert sorted(perm.tolist()) == list(range(count))
    leaves = (len(tree.spans) + 1) // 2
    assert tree.spans[0].tolist() == [0, count]
    assert leaves == max(1, 2 ** int(np.ceil(np.log2(max(count, 1) / 8))))
    for node, (low, high) in enumerate(tree.spans.tolist()):
        inside = tree.xy[low:high]
        if len(inside):
            x0, y0, x1, y1 = tree.boxes[node]
            assert (x0, y0) == tuple(inside.min(axis=0))
            assert (x1, y1) == tuple(inside.max(axis=0))
        else:
            assert tree.boxes[node].tolist() == [np.inf, np.inf, -np.inf, -np.inf]
        if node < leaves - 1:
            middle = (low + high) // 2
            assert tree.spans[2 * node + 1].tolist() == [low, middle]
            assert tree.spans[2 * node + 2].tolist() == [middle, high]
            size = np.ptp(inside, axis=0) * metric.scale
            axis = 0 if size[0] >= size[1] else 1
            assert tree.xy[low:middle, axis].max() <= tree.xy[middle:high, axis].min()


def test_the_gap_to_a_box() -> None:
    boxes = np.array([(2.0, 3.0, 5.0, 7.0)])
    for x, y, gap in (
        (3, 4, 0),
        (2, 7, 0),
        (-1, 4, 3),
        (9, 4, 4),
        (3, 1, 2),
        (3, 12, 5),
        (-1, -1, 5),
    ):
        assert kd_tree_kernel.box_cost.plain(METRIC, boxes, 0, float(x), float(y)) == gap


@pytest.mark.parametrize("metric", [METRIC, TIMED])
@pytest.mark.parametrize("seed", range(6))
def test_near_points_of_other_runs(seed: int, metric: Metric) -> None:
    rng = np.random.default_rng(seed)
    xy = rng.integers(0, 25, (60, 2)).astype(np.float64)
    perm, tree = planted(xy, metric)
    group = (np.arange(60) // 3)[perm]
    pi = rng.integers(-4, 4, 60) / 4
    found, reach = cells_kernel.near.plain(tree, group, metric, pi, 5)
    for u in range(60):
        costs = [
            (pi[v] + move(metric, *(tree.xy[u] - tree.xy[v])), v)
            for v in range(60)
            if group[v] != group[u]
        ]
        wanted = sorted(costs)[:5]
        mine = [pi[v] + move(metric, *(tree.xy[u] - tree.xy[v])) for v in found[u]]
        assert mine == pytest.approx([cost for cost, _ in wanted])
        assert len(set(found[u].tolist())) == 5
        assert reach[u] == pytest.approx(wanted[-1][0])


def test_where_there_are_no_more_points_the_reach_is_infinite() -> None:
    xy = np.array([(0.0, 0.0), (1.0, 0.0), (5.0, 0.0)])
    _, tree = planted(xy, METRIC)
    found, reach = cells_kernel.near.plain(tree, np.array([0, 0, 1]), METRIC, np.zeros(3), 2)
    assert found.tolist() == [[2, -1], [2, -1], [1, 0]]
    assert reach.tolist() == [np.inf, np.inf, 5.0]


def test_labels_and_least_multipliers_of_nodes() -> None:
    spans = np.array([(0, 4), (0, 2), (2, 4)])
    assert cells_kernel.common.plain(np.array([7, 7, 7, 7]), spans).tolist() == [7, 7, 7]
    assert cells_kernel.common.plain(np.array([7, 7, 3, 3]), spans).tolist() == [-1, 7, 3]
    assert cells_kernel.common.plain(np.array([7, 7, 7, 3]), spans).tolist() == [-1, 7, -1]
    assert cells_kernel.common.plain(np.array([7, 3, 3, 7]), spans).tolist() == [-1, -1, -1]
    hollow = np.array([(0, 2), (0, 2), (2, 2)])
    assert cells_kernel.common.plain(np.array([5, 5]), hollow).tolist() == [5, 5, -2]
    hollow = np.array([(0, 2), (0, 0), (0, 2)])
    assert cells_kernel.common.plain(np.array([5, 5]), hollow).tolist() == [5, -2, 5]
    pi = np.array([3.0, -1.0, 4.0, 0.5])
    assert cells_kernel.least.plain(pi, spans).tolist() == [-1.0, -1.0, 0.5]


# ---- the exact tree


@pytest.mark.parametrize("seed", range(8))
def test_a_spanning_tree_over_all_links_weighs_the_least(seed: int) -> None:
    """With links that are known to weigh more than their cost, and slots for all others."""
    rng = np.random.default_rng(seed)
    runs = 14
    metric = TIMED if seed % 2 else METRIC
    xy = rng.integers(0, 30, (2 * runs, 2)).astype(np.float64)
    perm, tree = planted(xy, metric)
    group = (np.arange(2 * runs) // 2)[perm]
    pi = rng.integers(-8, 8, 2 * runs) / 8
    pairs = [(a, b) for a, b in itertools.combinations(range(2 * runs), 2) if group[a] != group[b]]
    plain = np.array([move(metric, *(tree.xy[a] - tree.xy[b])) + pi[a] + pi[b] for a, b in pairs])
    slots = sorted({(a, int(group[b])) for a, b in pairs if (a + b) % 5 == 0})
    rho = rng.uniform(0, 0.4, len(slots))
    owed = dict(zip(slots, rho, strict=True))
    weights = plain + [
        owed.get((a, int(group[b])), 0.0) + owed.get((b, int(group[a])), 0.0) for a, b in pairs
    ]
    known = np.flatnonzero(rng.random(len(pairs)) < 0.2)
    weights[known] = plain[known] + rng.uniform(0, 3, len(known))
    edges = np.array(pairs)[known]
    owners = np.array([a for a, _ in slots])
    made = tree_kernel.Known(
        pi,
        group,
        np.searchsorted(owners, np.arange(2 * runs + 1)),
        np.array([run for _, run in slots]),
        rho,
        np.searchsorted(edges[:, 0], np.arange(2 * runs + 1)),
        edges,
        weights[known],
    )
    for far in (np.full(2 * runs, -np.inf), np.full(2 * runs, -100.0)):
        links = tree_kernel.spanning_tree.plain(tree, runs, metric, made, far)
        weighed = dict(zip(pairs, weights, strict=True))
        total = sum(weighed[a, b] for a, b in links.tolist())
        assert total == pytest.approx(least_weight(runs, group[np.array(pairs)], weights))
        assert len(links) == runs - 1


def test_ties_fall_by_the_ends_of_links() -> None:
    """Four dots on a square: all sides weigh the same, and the first links are taken."""
    xy = np.array([(0.0, 0.0), (1.0, 0.0), (0.0, 1.0), (1.0, 1.0)])
    _, tree = planted(xy, METRIC)
    none = np.zeros(0, np.int64)
    zeros = np.zeros(5, np.int64)
    made = tree_kernel.Known(
        np.zeros(4), np.arange(4), zeros, none, np.zeros(0), zeros, none.reshape(0, 2), np.zeros(0)
    )
    links = tree_kernel.spanning_tree.plain(tree, 4, METRIC, made, np.full(4, -np.inf))
    assert sorted(map(tuple, links.tolist())) == [(0, 1), (0, 2), (1, 3)]


def test_slots_and_links_are_found_by_halving() -> None:
    starts = np.array([0, 3, 3, 5])
    keys = np.array([1, 4, 6, 0, 9])
    rho = np.array([0.1, 0.4, 0.6, 1.0, 1.9])
    wanted = {(0, 1): 0.1, (0, 4): 0.4, (0, 6): 0.6, (2, 0): 1.0, (2, 9): 1.9}
    firsts = np.array([0, 3, 3, 5, 5])
    edges = np.array([(0, 1), (0, 4), (0, 6), (2, 3), (2, 9)])
    for u in range(3):
        for run in range(11):
            extra = tree_kernel.extra.plain(u, run, starts, keys, rho)
            assert extra == wanted.get((u, run), 0.0)
            known = edges.tolist()
            at = known.index([u, run]) if [u, run] in known else -1
            assert tree_kernel.place.plain(u, run, firsts, edges) == at


# ---- levels


def test_levels_of_four_dots_in_two_pairs() -> None:
    """Runs 0 and 1 are one component, 2 and 3 another (nodes 4 and 5); both are the whole."""
    links = np.array([(0, 1), (1, 2), (2, 3)])
    above = levels_kernel.levels.plain(links, np.array([1.0, 5.0, 1.0]), np.arange(4), 4)
    assert above.tolist() == [4, 4, 5, 5, -1, -1]


@pytest.mark.parametrize("seed", range(10))
def test_levels_are_the_rounds_of_boruvka(seed: int) -> None:
    """In each round every component takes its least link; those joined are one in the next."""
    rng = np.random.default_rng(seed)
    runs = int(rng.integers(2, 20))
    group = rng.permutation(np.repeat(np.arange(runs), rng.integers(1, 3, runs)))
    of_run = [np.flatnonzero(group == run) for run in range(runs)]
    links = np.array(
        [
            sorted((rng.choice(of_run[run]), rng.choice(of_run[int(rng.integers(run))])))
            for run in range(1, runs)
        ]
    )
    weights = rng.uniform(0, 1, runs - 1)
    above = levels_kernel.levels.plain(links, weights, group, runs)
    parts = [{run} for run in range(runs)]
    wanted: list[int] = []
    while True:
        label = {run: number for number, part in enumerate(parts) for run in part}
        ends = [tuple(label[run] for run in pair) for pair in group[links].tolist()]
        merged = [set(part) for part in parts]
        for number in range(len(parts)):
            mine = [e for e, (a, b) in enumerate(ends) if a != b and number in (a, b)]
            a, b = ends[min(mine, key=lambda e: weights[e])]
            one = next(part for part in merged if parts[a] <= part)
            other = next(part for part in merged if parts[b] <= part)
            if one is not other:
                merged.remove(other)
                one |= other
        if len(merged) == 1:
            break
        merged.sort(key=lambda part: next(n for n, own in enumerate(parts) if own <= part))
        base = len(wanted) + len(parts)
        wanted += [base + next(n for n, part in enumerate(merged) if own <= part) for own in parts]
        parts = merged
    assert above.tolist() == wanted + [-1] * len(parts)


def test_a_lasting_surplus_pushes_and_a_swinging_one_does_not() -> None:
    above = np.array([4, 4, 5, 5, -1, -1])
    group = np.arange(4)
    tide = np.zeros((2, 6))
    push = np.zeros(6)
    for _ in range(200):
        levels_kernel.spread.plain(np.array([1, 1, 0, -2]), group, above, 4, tide, push)
    # The means come to the surplus itself, 2 and -2, and a node is given that of what it is in.
    assert push == pytest.approx([2, 2, -2, -2, 2, -2], abs=1e-6)
    total = levels_kernel.spread.plain(np.array([1, 1, 0, -2]), group, above, 4, tide, push)
    assert total == pytest.approx(8, abs=1e-6)
    tide[:] = 0.0
    for step in range(200):
        swing = np.array([1, 0, 0, 0]) * (1 if step % 2 else -1)
        levels_kernel.spread.plain(swing, group, above, 4, tide, push)
    assert np.abs(push).max() < 1e-4
    first = np.zeros((2, 6))
    total = levels_kernel.spread.plain(np.array([3, 1, 0, 0]), group, above, 4, first, push)
    # Of one step the mean is a tenth of 4, that of the square a tenth of 16: (0.16 / 1.6) ** 2.
    assert push[4] == pytest.approx(0.4 * 0.01)
    assert total == pytest.approx(0.4 * 0.4 * 0.01)
