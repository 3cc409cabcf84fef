"""Directions and start vertices along a given sequence: dynamic programming (Bellman, 1957), exact
for open runs, dots and closed runs of any size.

``value[p]`` (states,) is the least cost from home until the pen has drawn a run that it entered at
p; it holds for all runs of the sequence that were passed. ``first`` (runs + 1,) says which states
belong to which run. Tested by ``tests/planning/ordering/test_order.py`` against all orders,
directions and start vertices of a few runs.

A state of a run is the point at which the pen enters it; entering at point p the pen leaves at
``leave[p]``. Between two large closed runs the least ``value[u] + cost(u, v)`` is found in a binary
tree over the vertices of the first, so no pair is left out and few are tried.
"""

from __future__ import annotations

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.compiled import compiled, compiled_above
from plotlib.planning.cost_kernel import move_cost
from plotlib.planning.metric import Metric

# States of the run before up to which every pair is tried, without a tree; not measured anew here.
FEW = 48
LEAF = 8  # states of a leaf; common practice for such trees, not measured here


@compiled_above(5_000)
def link_costs(metric: Metric, from_xy: FloatArray, to_xy: FloatArray) -> FloatArray:
    """Cost of each move from ``from_xy[k]`` to ``to_xy[k]``."""
    costs = np.empty(len(from_xy))
    for k in range(len(costs)):
        costs[k] = move_cost(metric, to_xy[k, 0] - from_xy[k, 0], to_xy[k, 1] - from_xy[k, 1])
    return costs


@compiled
def _grow_tree(
    xy: FloatArray, leave: IntArray, value: FloatArray, low: int, high: int, tree: FloatArray
) -> int:
    """Boxes of the leaving points and least value for each node over the states low:high; returns
    the number of leaves.
    """
    leaves = 1
    while leaves * LEAF < high - low:
        leaves *= 2
    width = high - low
    for leaf in range(leaves):
        node = tree[leaves - 1 + leaf]
        node[0] = node[1] = node[4] = np.inf
        node[2] = node[3] = -np.inf
        for p in range(low + leaf * width // leaves, low + (leaf + 1) * width // leaves):
            x, y = xy[leave[p]]
            node[0] = min(node[0], x)
            node[1] = min(node[1], y)
            node[2] = max(node[2], x)
            node[3] = max(node[3], y)
            node[4] = min(node[4], value[p])
    for node in range(leaves - 2, -1, -1):
        for c in range(5):
            one = tree[2 * node + 1, c]
            two = tree[2 * node + 2, c]
            tree[node, c] = max(one, two) if c == 2 or c == 3 else min(one, two)
    return leaves


@compiled
def _node_bound(metric: Metric, tree: FloatArray, node: int, x: float, y: float) -> float:
    box = tree[node]
    bound: float = box[4] + move_cost(
        metric, max(0.0, box[0] - x, x - box[2]), max(0.0, box[1] - y, y - box[3])
    )
    return bound


@compiled
def _least(
    metric: Metric,
    xy: FloatArray,
    leave: IntArray,
    value: FloatArray,
    low: int,
    high: int,
    tree: FloatArray,
    leaves: int,
    x: float,
    y: float,
    guess: int,
) -> int:
    """The state u in low:high with the least value[u] + cost(leave[u], (x, y)); ``guess`` is tried
    first.
    """
    stack = np.empty(128, np.int64)
    best = value[guess] + move_cost(metric, xy[leave[guess], 0] - x, xy[leave[guess], 1] - y)
    found = guess
    size = 1
    stack[0] = 0
    width = high - low
    while size > 0:
        size -= 1
        node = stack[size]
        if _node_bound(metric, tree, node, x, y) >= best:
            continue
        if node >= leaves - 1:
            leaf = node - (leaves - 1)
            for u in range(low + leaf * width // leaves, low + (leaf + 1) * width // leaves):
                cost = value[u] + move_cost(metric, xy[leave[u], 0] - x, xy[leave[u], 1] - y)
                if cost < best:
                    best = cost
                    found = u
            continue
        left = 2 * node + 1
        right = left + 1
        if _node_bound(metric, tree, left, x, y) > _node_bound(metric, tree, right, x, y):
            left, right = right, left
        stack[size] = right
        stack[size + 1] = left
        size += 2
    return found


@compiled_above(1_000)
def best_states(
    metric: Metric,
    xy: FloatArray,
    first: IntArray,
    leave: IntArray,
    sequence: IntArray,
    ends: FloatArray,
) -> IntArray:
    """The state of every run of ``sequence`` (a point index each) that together cost the least.

    ``ends`` is (home x, home y, finish x, finish y), nan where that end is free.
    """
    value = np.zeros(len(xy))
    back = np.full(len(xy), -1, np.int64)
    largest = 0
    for run in sequence:
        largest = max(largest, first[run + 1] - first[run])
    tree = np.empty((4 * (largest // LEAF + 2), 5))
    for k in range(len(sequence)):
        low = first[sequence[k]]
        high = first[sequence[k] + 1]
        if k == 0:
            if not np.isnan(ends[0]):
                for v in range(low, high):
                    value[v] = move_cost(metric, xy[v, 0] - ends[0], xy[v, 1] - ends[1])
            continue
        before = first[sequence[k - 1]]
        after = first[sequence[k - 1] + 1]
        if after - before <= FEW or high - low <= 4:
            for v in range(low, high):
                least = np.inf
                for u in range(before, after):
                    cost = value[u] + move_cost(
                        metric, xy[leave[u], 0] - xy[v, 0], xy[leave[u], 1] - xy[v, 1]
                    )
                    if cost < least:
                        least = cost
                        back[v] = u
                value[v] = least
            continue
        leaves = _grow_tree(xy, leave, value, before, after, tree)
        guess = before
        for v in range(low, high):
            guess = _least(
                metric, xy, leave, value, before, after, tree, leaves, xy[v, 0], xy[v, 1], guess
            )
            back[v] = guess
            value[v] = value[guess] + move_cost(
                metric, xy[leave[guess], 0] - xy[v, 0], xy[leave[guess], 1] - xy[v, 1]
            )
    states = np.empty(len(sequence), np.int64)
    if len(sequence) == 0:
        return states
    least = np.inf
    run = sequence[-1]
    for v in range(first[run], first[run + 1]):
        cost = value[v]
        if not np.isnan(ends[2]):
            cost += move_cost(metric, xy[leave[v], 0] - ends[2], xy[leave[v], 1] - ends[3])
        if cost < least:
            least = cost
            states[-1] = v
    for k in range(len(sequence) - 1, 0, -1):
        states[k - 1] = back[states[k]]
    return states
