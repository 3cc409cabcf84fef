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

from typing import NamedTuple

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


class Passed(NamedTuple):
    """The states of all runs, and what is known of those that were passed."""

    xy: FloatArray  # (states, 2) where each state is entered
    leave: IntArray  # (states,) the state at whose point it is left
    value: FloatArray  # (states,) the least cost from home until the pen has drawn its run
    back: IntArray  # (states,) the state of the run before on that way, -1 where there is none


class Tree(NamedTuple):
    """A binary tree over the states low:high of one run, which lie along it; node n has the
    children 2n + 1 and 2n + 2.
    """

    low: int
    high: int
    leaves: int
    boxes: FloatArray  # (nodes, 5) box x0, y0, x1, y1 of the leaving points, and the least value


@compiled
def _grown(passed: Passed, low: int, high: int, boxes: FloatArray) -> Tree:
    """The tree over the states low:high, in the room of ``boxes``."""
    leaves = 1
    while leaves * LEAF < high - low:
        leaves *= 2
    width = high - low
    for leaf in range(leaves):
        node = boxes[leaves - 1 + leaf]
        node[0] = node[1] = node[4] = np.inf
        node[2] = node[3] = -np.inf
        for p in range(low + leaf * width // leaves, low + (leaf + 1) * width // leaves):
            x, y = passed.xy[passed.leave[p]]
            node[0] = min(node[0], x)
            node[1] = min(node[1], y)
            node[2] = max(node[2], x)
            node[3] = max(node[3], y)
            node[4] = min(node[4], passed.value[p])
    for n in range(leaves - 2, -1, -1):
        for c in range(5):
            one = boxes[2 * n + 1, c]
            two = boxes[2 * n + 2, c]
            boxes[n, c] = max(one, two) if c == 2 or c == 3 else min(one, two)
    return Tree(low, high, leaves, boxes)


@compiled
def _node_bound(metric: Metric, boxes: FloatArray, node: int, x: float, y: float) -> float:
    """What a way to (x, y) costs at least that comes from a state of the node."""
    box = boxes[node]
    dx = max(0.0, box[0] - x, x - box[2])
    dy = max(0.0, box[1] - y, y - box[3])
    return float(box[4] + move_cost(metric, dx, dy))


@compiled
def _cost(metric: Metric, passed: Passed, u: int, v: int) -> float:
    """Cost from home over state u until the pen stands where state v is entered."""
    left = passed.leave[u]
    dx = passed.xy[left, 0] - passed.xy[v, 0]
    return float(passed.value[u] + move_cost(metric, dx, passed.xy[left, 1] - passed.xy[v, 1]))


@compiled
def _least(metric: Metric, passed: Passed, tree: Tree, v: int, guess: int) -> int:
    """The state u of the tree from which state v is reached at the least cost.

    ``guess`` is tried first: vertices that follow each other have the same best state, or one near
    it, so that most of the tree is left out at once.
    """
    stack = np.empty(128, np.int64)
    x = passed.xy[v, 0]
    y = passed.xy[v, 1]
    best = _cost(metric, passed, guess, v)
    found = guess
    size = 1
    stack[0] = 0
    width = tree.high - tree.low
    while size > 0:
        size -= 1
        node = stack[size]
        if _node_bound(metric, tree.boxes, node, x, y) >= best:
            continue
        if node >= tree.leaves - 1:
            leaf = node - (tree.leaves - 1)
            begin = tree.low + leaf * width // tree.leaves
            for u in range(begin, tree.low + (leaf + 1) * width // tree.leaves):
                cost = _cost(metric, passed, u, v)
                if cost < best:
                    best = cost
                    found = u
            continue
        near = 2 * node + 1
        far = near + 1
        if _node_bound(metric, tree.boxes, near, x, y) > _node_bound(metric, tree.boxes, far, x, y):
            near, far = far, near
        stack[size] = far
        stack[size + 1] = near
        size += 2
    return found


@compiled
def _pass_all(
    metric: Metric, passed: Passed, before: tuple[int, int], now: tuple[int, int]
) -> None:
    """Value of each state of a run, from each of the run before."""
    for v in range(now[0], now[1]):
        least = np.inf
        for u in range(before[0], before[1]):
            cost = _cost(metric, passed, u, v)
            if cost < least:
                least = cost
                passed.back[v] = u
        passed.value[v] = least


@compiled
def _pass_tree(
    metric: Metric,
    passed: Passed,
    before: tuple[int, int],
    now: tuple[int, int],
    boxes: FloatArray,
) -> None:
    """As ``_pass_all``, by a tree over the states of the run before."""
    tree = _grown(passed, before[0], before[1], boxes)
    guess = before[0]
    for v in range(now[0], now[1]):
        guess = _least(metric, passed, tree, v, guess)
        passed.back[v] = guess
        passed.value[v] = _cost(metric, passed, guess, v)


@compiled
def _last(metric: Metric, passed: Passed, low: int, high: int, ends: FloatArray) -> int:
    """The state of the last run, of low:high, in which the whole costs the least."""
    least = np.inf
    found = low
    for v in range(low, high):
        cost = passed.value[v]
        if not np.isnan(ends[2]):
            left = passed.leave[v]
            dx = passed.xy[left, 0] - ends[2]
            cost += move_cost(metric, dx, passed.xy[left, 1] - ends[3])
        if cost < least:
            least = cost
            found = v
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
    states = np.empty(len(sequence), np.int64)
    if len(sequence) == 0:
        return states
    passed = Passed(xy, leave, np.zeros(len(xy)), np.full(len(xy), -1, np.int64))
    largest = 0
    for run in sequence:
        largest = max(largest, first[run + 1] - first[run])
    boxes = np.empty((4 * (largest // LEAF + 2), 5))
    before = (first[sequence[0]], first[sequence[0] + 1])
    if not np.isnan(ends[0]):
        for v in range(before[0], before[1]):
            passed.value[v] = move_cost(metric, xy[v, 0] - ends[0], xy[v, 1] - ends[1])
    for k in range(1, len(sequence)):
        now = (first[sequence[k]], first[sequence[k] + 1])
        # a tree does not pay for few states, nor for few that ask it
        if before[1] - before[0] <= FEW or now[1] - now[0] <= 4:
            _pass_all(metric, passed, before, now)
        else:
            _pass_tree(metric, passed, before, now, boxes)
        before = now
    states[-1] = _last(metric, passed, before[0], before[1], ends)
    for k in range(len(sequence) - 1, 0, -1):
        states[k - 1] = passed.back[states[k]]
    return states
