"""Searches in trees leave most out: how many costs they look at, counted while Python runs them.

What is left out never changes what is found, so no other test would notice a search that looks at
everything. The bounds are what was counted once, rounded up.
"""

from __future__ import annotations

from collections import Counter
from typing import Any

import numpy as np
import pytest

from plotlib.planning.bounding import cells_kernel, tree_kernel
from plotlib.planning.kd_tree_kernel import Tree, build_tree
from plotlib.planning.ordering import closed_kernel, exact_kernel, neighbours_kernel, seats_kernel
from tests.oracles_planning import METRIC


class Counts:
    """Counts calls of the plain functions of a kernel's module."""

    def __init__(self, patch: pytest.MonkeyPatch) -> None:
        self.patch = patch
        self.calls: Counter[str] = Counter()

    def of(self, kernel: Any, *names: str) -> Counter[str]:
        plain = kernel.plain.__globals__
        for name in names:
            self.patch.setitem(plain, name, self.counted(name, plain[name]))
        return self.calls

    def are_at_most(self, **most: int) -> bool:
        """None above its bound, and none of them far below: what is counted is what was meant."""
        return all(0.9 * bound < self.calls[name] <= bound for name, bound in most.items())

    def counted(self, name: str, function: Any) -> Any:
        def call(*arguments: Any) -> Any:
            self.calls[name] += 1
            return function(*arguments)

        return call


@pytest.fixture
def counts(monkeypatch: pytest.MonkeyPatch) -> Counts:
    return Counts(monkeypatch)


def planted(count: int) -> tuple[np.ndarray, Tree]:
    xy = np.random.default_rng(count).uniform(0, 1_000, (count, 2))
    perm, spans, boxes = build_tree.plain(xy, 1.0, 1.0)
    return perm, Tree(xy[perm], spans, boxes)


def test_near_points_of_600(counts: Counts) -> None:
    perm, tree = planted(600)
    calls = counts.of(neighbours_kernel.near_points, "move_cost", "await_children")
    near = np.empty((600, 5), np.int32)
    neighbours_kernel.near_points.plain(METRIC, tree, perm, 5, 0, near)
    assert counts.are_at_most(move_cost=10_500, await_children=6_800), calls


def test_the_nearest_of_600_that_are_left(counts: Counts) -> None:
    xy = np.random.default_rng(1).uniform(0, 1_000, (600, 2))
    each = np.arange(600)
    calls = counts.of(neighbours_kernel.nearest_walk, "move_cost", "box_cost")
    entries = neighbours_kernel.Entries(xy, np.arange(601), each, each)
    neighbours_kernel.nearest_walk.plain(METRIC, entries, 0.0, 0.0, False)
    assert counts.are_at_most(move_cost=3_200, box_cost=10_200), calls


def test_the_nearest_of_other_rings(counts: Counts) -> None:
    perm, tree = planted(300)
    key = np.repeat(np.arange(6), 50)[np.argsort(np.argsort(tree.xy[:, 0]))]
    calls = counts.of(seats_kernel.near_rows, "move_cost", "await_children")
    near = np.empty((300, 3), np.int32)
    seats_kernel.near_rows.plain(METRIC, tree, perm, key, 3, 0, near)
    assert counts.are_at_most(move_cost=34_300, await_children=11_400), calls


def test_vertices_of_two_large_rings(counts: Counts) -> None:
    turn = np.linspace(0, 2 * np.pi, 200, endpoint=False)
    ring = 100 * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    xy = np.concatenate([ring, ring + 150])
    calls = counts.of(closed_kernel.best_states, "_cost", "_node_bound", "_pass_tree")
    states = np.array([0, 200, 400])
    ends = np.array([0.0, 0.0, 100.0, 100.0])
    closed_kernel.best_states.plain(METRIC, xy, states, np.arange(400), np.arange(2), ends)
    assert counts.are_at_most(_cost=3_500, _node_bound=5_300, _pass_tree=1), calls


@pytest.mark.parametrize(("before", "now", "trees"), [(48, 5, 0), (49, 4, 0), (49, 5, 1)])
def test_a_tree_is_grown_where_it_pays(before: int, now: int, trees: int, counts: Counts) -> None:
    xy = np.random.default_rng(1).uniform(0, 100, (before + now, 2))
    calls = counts.of(closed_kernel.best_states, "_pass_tree", "_pass_all")
    first = np.array([0, before, before + now])
    leave = np.arange(before + now)
    closed_kernel.best_states.plain(METRIC, xy, first, leave, np.arange(2), np.zeros(4))
    assert (calls["_pass_tree"], calls["_pass_all"]) == (trees, 1 - trees)


def test_sequences_of_eight_dots(counts: Counts) -> None:
    xy = np.random.default_rng(2).uniform(0, 100, (8, 2))
    each = np.arange(8)
    boxes = np.concatenate([xy, xy], axis=1)
    none = np.zeros(8, np.int64)
    free = np.full(4, np.nan)
    rest, gaps = exact_kernel.rest_costs.plain(METRIC, boxes, boxes, np.arange(9), none, free)
    given = exact_kernel.Stretches(xy, each, np.arange(9), np.arange(9), none, free, rest, gaps)
    calls = counts.of(exact_kernel.cheapest_sequence, "_begin", "_extend", "move_cost")
    exact_kernel.cheapest_sequence.plain(METRIC, given, np.inf)
    assert counts.are_at_most(_begin=8, _extend=290, move_cost=140), calls


def test_near_ends_of_other_runs(counts: Counts) -> None:
    _, tree = planted(600)
    calls = counts.of(cells_kernel.near, "move_cost", "descend", "box_cost")
    cells_kernel.near.plain(tree, np.arange(600) // 2, METRIC, np.zeros(600), 4)
    assert counts.are_at_most(move_cost=9_500, descend=6_700, box_cost=13_400), calls


def test_the_least_tree_of_300_lines(counts: Counts) -> None:
    _, tree = planted(600)
    none = np.zeros(0, np.int64)
    zeros = np.zeros(601, np.int64)
    known = tree_kernel.Known(
        np.zeros(600), np.arange(600) // 2, zeros, none, np.zeros(0), zeros,
        none.reshape(0, 2), np.zeros(0),
    )  # fmt: skip
    calls = counts.of(tree_kernel.spanning_tree, "move_cost", "descend", "_search")
    tree_kernel.spanning_tree.plain(tree, 300, METRIC, known, np.full(600, -np.inf))
    assert counts.are_at_most(move_cost=10_500, descend=24_400, _search=3_000), calls
