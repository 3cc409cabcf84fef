"""Kernels of the bound: searches of the planner's k-d tree (``kd_tree_kernel``) for the nearest
ends of other runs.

J. L. Bentley, Communications of the ACM 18 (1975; from memory). Points stand in the order of the
tree: node ``n`` has the children ``2 n + 1`` and ``2 n + 2``. A search wants the least multiplier
of the points of each node and the one component that all of them belong to, or -1. While one goes
on, ``stack`` holds the nodes still to be looked at, and ``floor`` the least that a link into each
of them can cost: no link that was left out costs less than the best one known. The oracle is Prim's
way over all pairs in ``tests/planning/bounding/test_bound.py``.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.compiled import compiled
from plotlib.planning.cost_kernel import move_cost
from plotlib.planning.kd_tree_kernel import DEEPEST, Tree, box_cost
from plotlib.planning.metric import Metric


class Cells(NamedTuple):
    """A k-d tree, what a search wants to know of each of its nodes, and room for a search."""

    xy: FloatArray  # (P, 2)
    spans: IntArray  # (nodes, 2) the points of each node
    boxes: FloatArray  # (nodes, 4)
    lowest: FloatArray  # (nodes,) the least multiplier of the points of each node
    shared: IntArray  # (nodes,) the component that all points of a node belong to; see `common`
    stack: IntArray  # (DEEPEST,) nodes to look at
    floor: FloatArray  # (DEEPEST,) the least that a link into each of them costs


@compiled
def cells_of(tree: Tree, pi: FloatArray, label: IntArray) -> Cells:
    """The tree for searches among points (P,) with these multipliers and components."""
    return Cells(
        tree.xy,
        tree.spans,
        tree.boxes,
        least(pi, tree.spans),
        common(label, tree.spans),
        np.zeros(DEEPEST, np.int64),
        np.zeros(DEEPEST, np.float64),
    )


@compiled
def common(label: IntArray, spans: IntArray) -> IntArray:
    """The label that all points of a node have, or -1; -2 for a node without points."""
    shared = np.empty(len(spans), np.int64)
    for node in range(len(spans) - 1, -1, -1):
        low = spans[node, 0]
        high = spans[node, 1]
        shared[node] = -2 if low == high else label[low]
        if 2 * node + 1 < len(spans):
            one = shared[2 * node + 1]
            other = shared[2 * node + 2]
            if one == -2:
                shared[node] = other
            elif other == -2 or one == other:
                shared[node] = one
            else:
                shared[node] = -1
            continue
        for k in range(low, high):
            if label[k] != shared[node]:
                shared[node] = -1
    return shared


@compiled
def least(pi: FloatArray, spans: IntArray) -> FloatArray:
    """The least multiplier of the points of each node."""
    lowest = np.full(len(spans), np.inf)
    for node in range(len(spans) - 1, -1, -1):
        if 2 * node + 1 < len(spans):
            lowest[node] = min(lowest[2 * node + 1], lowest[2 * node + 2])
        else:
            for k in range(spans[node, 0], spans[node, 1]):
                lowest[node] = min(lowest[node], pi[k])
    return lowest


@compiled
def near(
    tree: Tree, group: IntArray, metric: Metric, pi: FloatArray, count: int
) -> tuple[IntArray, FloatArray]:
    """The points of other runs with the least cost + pi, -1 where there are no more; no other has
    less than the second array says.
    """
    xy = tree.xy
    found = np.full((len(xy), count), -1, np.int64)
    costs = np.full(count, np.inf)
    reach = np.empty(len(xy), np.float64)
    cells = cells_of(tree, pi, group)
    for u in range(len(xy)):
        costs[:] = np.inf
        cells.stack[0] = 0
        cells.floor[0] = -np.inf
        depth = 1
        while depth:
            depth -= 1
            node = cells.stack[depth]
            most = costs[count - 1]
            if cells.floor[depth] > most:
                continue
            if 2 * node + 1 < len(cells.spans):
                depth = descend(cells, metric, node, u, group[u], most, depth)
                continue
            for v in range(cells.spans[node, 0], cells.spans[node, 1]):
                if group[v] != group[u]:
                    cost = move_cost(metric, xy[u, 0] - xy[v, 0], xy[u, 1] - xy[v, 1])
                    _keep(found[u], costs, v, pi[v] + cost)
        reach[u] = costs[count - 1]
    return found, reach


@compiled
def _into(cells: Cells, metric: Metric, node: int, u: int, own: int) -> float:
    """The least that a link from point ``u`` into a node costs; infinite where all of it is of the
    own component.
    """
    if cells.shared[node] == own or cells.shared[node] == -2:
        return np.inf
    xy = cells.xy
    return float(cells.lowest[node]) + box_cost(metric, cells.boxes, node, xy[u, 0], xy[u, 1])


@compiled
def descend(
    cells: Cells, metric: Metric, node: int, u: int, own: int, most: float, depth: int
) -> int:
    """Put the children of a node on the stack, the better one on top, but for those of the own
    component or above ``most``; how deep the stack is then.
    """
    below = 2 * node + 1
    on_top = 2 * node + 2
    first = _into(cells, metric, below, u, own)
    second = _into(cells, metric, on_top, u, own)
    if first < second:
        below, on_top = on_top, below
        first, second = second, first
    if first <= most and first < np.inf:
        cells.stack[depth] = below
        cells.floor[depth] = first
        depth += 1
    if second <= most and second < np.inf:
        cells.stack[depth] = on_top
        cells.floor[depth] = second
        depth += 1
    return depth


@compiled
def _keep(own: IntArray, cost: FloatArray, v: int, c: float) -> None:
    """Insert a neighbour into the sorted list of a point, if there is room for it; ties by
    index.
    """
    k = len(own) - 1
    if c > cost[k] or (c == cost[k] and v > own[k]):
        return
    while k > 0 and (c < cost[k - 1] or (c == cost[k - 1] and v < own[k - 1])):
        own[k] = own[k - 1]
        cost[k] = cost[k - 1]
        k -= 1
    own[k] = v
    cost[k] = c
