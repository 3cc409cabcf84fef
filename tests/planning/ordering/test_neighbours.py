"""Lists of near points and the plain walk against scans over all pairs, by plain Python."""

from __future__ import annotations

import numpy as np
import pytest

from plotlib.planning.kd_tree_kernel import Tree, build_tree
from plotlib.planning.metric import Metric
from plotlib.planning.ordering import neighbours_kernel as kernel
from tests.oracles_planning import METRIC, TIMED, move


@pytest.mark.parametrize("metric", [METRIC, TIMED])
@pytest.mark.parametrize("anywhere", [False, True])
@pytest.mark.parametrize("seed", range(4))
def test_the_walk_goes_to_the_nearest_point_left(seed: int, anywhere: bool, metric: Metric) -> None:
    """Points at random, so that no two ways are equal; runs of one, two and three points."""
    rng = np.random.default_rng(seed)
    sizes = rng.integers(1, 4, 25)
    first = np.concatenate([[0], np.cumsum(sizes)])
    owner = np.repeat(np.arange(25), sizes)
    xy = rng.uniform(0, 100, (first[-1], 2))
    leave = first[owner + 1] - 1 - (np.arange(first[-1]) - first[owner])  # across the run
    entries = kernel.Entries(xy, first, owner, leave)
    entered = kernel.nearest_walk.plain(metric, entries, 10.0, 20.0, anywhere)
    at = np.array([10.0, 20.0])
    left = set(range(25))
    for step, p in enumerate(entered.tolist()):
        costs = {q: move(metric, *(xy[q] - at)) for q in range(len(xy)) if owner[q] in left}
        nearest = min(costs, key=lambda q: costs[q])
        assert p == (first[0] if step == 0 and anywhere else nearest)
        left.remove(int(owner[p]))
        at = xy[leave[p]]
    assert not left


def rows(xy: np.ndarray, searched: int, each: int, width: int, metric: Metric) -> np.ndarray:
    perm, ranges, boxes = build_tree.plain(xy, *metric.scale)
    near = np.full((len(xy), width), -7, np.int32)
    kernel.near_points.plain(metric, Tree(xy[perm], ranges, boxes), perm, searched, each, near)
    return near


def quadrant(dx: float, dy: float) -> int:
    """Counter-clockwise, each with the half-axis at its beginning."""
    return int(np.floor((np.arctan2(dy, dx) % (2 * np.pi)) / (np.pi / 2) + 1e-12))


@pytest.mark.parametrize("metric", [METRIC, TIMED])
@pytest.mark.parametrize(("searched", "each", "width"), [(6, 0, 6), (12, 1, 5), (14, 2, 9)])
def test_near_points_some_in_each_quadrant_then_the_nearest(
    searched: int, each: int, width: int, metric: Metric
) -> None:
    rng = np.random.default_rng(searched)
    xy = rng.uniform(0, 100, (50, 2))
    near = rows(xy, searched, each, width, metric)
    for u in range(50):
        others = [v for v in range(50) if v != u]
        others.sort(key=lambda v: move(metric, *(xy[v] - xy[u])))
        others = others[:searched]
        chosen: list[int] = []
        taken = [0] * 4
        for v in others:
            side = quadrant(*(xy[v] - xy[u]))
            if taken[side] < each and len(chosen) < width:
                taken[side] += 1
                chosen.append(v)
        for v in others:
            if len(chosen) < width and v not in chosen:
                chosen.append(v)
        wanted = [v for v in others if v in chosen]
        assert near[u].tolist() == wanted + [-1] * (width - len(wanted))


def test_half_axes_belong_to_the_quadrant_that_they_begin() -> None:
    """One in each quadrant: of the eight directions around a point the axes are nearer."""
    around = [(2, 0), (0, 2), (-2, 0), (0, -2), (3, 3), (-3, 3), (-3, -3), (3, -3)]
    xy = np.array([(0, 0), *around], np.float64)
    near = rows(xy, 8, 1, 4, METRIC)
    assert sorted(near[0].tolist()) == [1, 2, 3, 4]
    for axis in range(4):  # without one of the axes the slanting point of its quadrant is taken
        left = np.delete(np.arange(9), axis + 1)
        some = rows(xy[left], 7, 1, 4, METRIC)
        names = sorted(left[some[0]].tolist())
        assert names == sorted([k for k in range(1, 5) if k != axis + 1] + [5 + axis])


def test_few_points_leave_rows_open() -> None:
    xy = np.array([(0.0, 0.0), (1.0, 0.0), (5.0, 0.0)])
    near = rows(xy, 5, 1, 4, METRIC)
    assert near.tolist() == [[1, 2, -1, -1], [0, 2, -1, -1], [1, 0, -1, -1]]


def test_rows_of_ends() -> None:
    """Points 0, 1 and 2 with the ends 0, 1 and 2; 3; 4, 5 and 6."""
    begin = np.array([0, 3, 4, 7])
    ends = np.arange(7)
    near = np.array([(1, 2), (2, 0), (0, -1)])
    out = np.full((3, 6), 9)
    kernel.near_ends.plain(near, begin, ends, 2, -1, out)
    assert out.tolist() == [[0, 1, 3, 4, 5, -1], [4, 5, 0, 1, -1, -1], [4, 5, 0, 1, -1, -1]]
    kernel.near_ends.plain(near, begin, ends, 3, 99, out)
    assert out.tolist() == [[99, 0, 1, 2, 3, 4], [99, 4, 5, 0, 1, -1], [99, 4, 5, 6, 0, 1]]
    narrow = np.full((3, 2), 9)
    kernel.near_ends.plain(near, begin, ends, 3, 99, narrow)
    assert narrow.tolist() == [[99, 0], [99, 4], [99, 4]]


def test_costs_put_rows_in_order() -> None:
    """An end without a place (nan) costs nothing."""
    xy = np.array([(0.0, 0.0), (9.0, 0.0), (0.0, 4.0), (np.nan, np.nan), (0.0, 1.0)])
    near = np.array([(1, 2, 3, 4), (2, 4, -1, -1)])
    far = np.full((2, 4), 7.0)
    kernel.row_costs.plain(METRIC, xy, np.array([0, 1]), near, far)
    assert far.tolist() == [[0.0, 1.0, 4.0, 9.0], [82**0.5, 97**0.5, np.inf, np.inf]]
    assert near.tolist() == [[3, 4, 2, 1], [4, 2, -1, -1]]


def test_each_node_knows_how_many_of_its_points_are_left() -> None:
    rng = np.random.default_rng(5)
    xy = rng.uniform(0, 100, (70, 2))
    perm, spans, boxes = build_tree.plain(xy, 1.0, 1.0)
    tree = Tree(xy[perm], spans, boxes)
    left = kernel._all_undrawn.plain(tree)
    assert left.alive.tolist() == (spans[:, 1] - spans[:, 0]).tolist()
    drawn: list[int] = []
    for slot in rng.permutation(70)[:40].tolist():
        kernel._draw.plain(left, slot)
        drawn.append(slot)
        alive = [high - low - sum(low <= s < high for s in drawn) for low, high in spans.tolist()]
        assert left.alive.tolist() == alive
    assert np.flatnonzero(left.dead).tolist() == sorted(drawn)
