"""Kernels of the bound: a k-d tree of the ends of runs, and the nearest ends of other runs.

J. L. Bentley, Communications of the ACM 18 (1975; from memory). Points stand in the order of the
tree: node ``n`` has the children ``2 n + 1`` and ``2 n + 2`` and the points of a range (``spans``);
``boxes`` holds least x, least y, greatest x, greatest y of each node. A search wants the least
multiplier of the points of each node and the one component that all of them belong to, or -1. The
oracle is Prim's way over all pairs in ``tests/planning/bounding/test_bound.py``.
"""

from __future__ import annotations

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.compiled import compiled
from plotlib.planning.cost_kernel import move_cost
from plotlib.planning.metric import Metric

LEAF = 8


@compiled
def _select(key: FloatArray, order: IntArray, low: int, high: int, middle: int) -> None:
    """Rearrange ``order[low:high]`` until ``middle`` parts smaller keys from greater ones; ties by
    index.
    """
    high -= 1
    while low < high:
        pivot = order[(low + high) // 2]
        i = low
        j = high
        while i <= j:
            while key[order[i]] < key[pivot] or (key[order[i]] == key[pivot] and order[i] < pivot):
                i += 1
            while key[order[j]] > key[pivot] or (key[order[j]] == key[pivot] and order[j] > pivot):
                j -= 1
            if i <= j:
                order[i], order[j] = order[j], order[i]
                i += 1
                j -= 1
        if middle <= j:
            high = j
        elif middle >= i:
            low = i
        else:
            return


@compiled
def build(xy: FloatArray, scale: FloatArray) -> tuple[IntArray, IntArray]:
    """Order of the points and the span of each node; cells are halved across their longer side,
    measured with ``scale``.
    """
    count = len(xy)
    leaves = 1
    while leaves * LEAF < count:
        leaves *= 2
    spans = np.zeros((2 * leaves - 1, 2), np.int64)
    spans[0, 1] = count
    order = np.arange(count)
    x = xy[:, 0].copy()
    y = xy[:, 1].copy()
    for node in range(leaves - 1):
        low = spans[node, 0]
        high = spans[node, 1]
        middle = (low + high) // 2
        if high > low:
            x0 = x1 = x[order[low]]
            y0 = y1 = y[order[low]]
            for k in range(low, high):
                x0 = min(x0, x[order[k]])
                x1 = max(x1, x[order[k]])
                y0 = min(y0, y[order[k]])
                y1 = max(y1, y[order[k]])
            if (x1 - x0) * scale[0] >= (y1 - y0) * scale[1]:
                _select(x, order, low, high, middle)
            else:
                _select(y, order, low, high, middle)
        spans[2 * node + 1, 0] = low
        spans[2 * node + 1, 1] = middle
        spans[2 * node + 2, 0] = middle
        spans[2 * node + 2, 1] = high
    return order, spans


@compiled
def bounding(xy: FloatArray, spans: IntArray) -> FloatArray:
    """Boxes of the nodes of points that stand in the order of the tree."""
    boxes = np.empty((len(spans), 4), np.float64)
    for node in range(len(spans) - 1, -1, -1):
        box = boxes[node]
        box[0] = np.inf
        box[1] = np.inf
        box[2] = -np.inf
        box[3] = -np.inf
        if 2 * node + 1 < len(spans):
            for child in (2 * node + 1, 2 * node + 2):
                box[0] = min(box[0], boxes[child, 0])
                box[1] = min(box[1], boxes[child, 1])
                box[2] = max(box[2], boxes[child, 2])
                box[3] = max(box[3], boxes[child, 3])
            continue
        for k in range(spans[node, 0], spans[node, 1]):
            box[0] = min(box[0], xy[k, 0])
            box[1] = min(box[1], xy[k, 1])
            box[2] = max(box[2], xy[k, 0])
            box[3] = max(box[3], xy[k, 1])
    return boxes


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
def gap_cost(metric: Metric, boxes: FloatArray, node: int, x: float, y: float) -> float:
    """Least cost of a move from (x, y) into the box of a node (the cost grows with |dx| and with
    |dy|).
    """
    dx = max(0.0, boxes[node, 0] - x, x - boxes[node, 2])
    dy = max(0.0, boxes[node, 1] - y, y - boxes[node, 3])
    return move_cost(metric, dx, dy)


@compiled
def near(
    xy: FloatArray,
    group: IntArray,
    spans: IntArray,
    boxes: FloatArray,
    metric: Metric,
    pi: FloatArray,
    count: int,
) -> tuple[IntArray, FloatArray]:
    """The points of other runs with the least cost + pi, -1 where there are no more; no other has
    less than the second array says.
    """
    found = np.full((len(xy), count), -1, np.int64)
    costs = np.full(count, np.inf)
    reach = np.empty(len(xy), np.float64)
    shared = common(group, spans)
    lowest = least(pi, spans)
    stack = np.empty(128, np.int64)
    floor = np.empty(128, np.float64)
    for u in range(len(xy)):
        costs[:] = np.inf
        stack[0] = 0
        floor[0] = -np.inf
        depth = 1
        while depth:
            depth -= 1
            node = stack[depth]
            if floor[depth] > costs[count - 1]:
                continue
            if 2 * node + 1 < len(spans):
                depth = descend(
                    node,
                    xy[u, 0],
                    xy[u, 1],
                    group[u],
                    shared,
                    lowest,
                    boxes,
                    metric,
                    costs[count - 1],
                    stack,
                    floor,
                    depth,
                )
                continue
            for v in range(spans[node, 0], spans[node, 1]):
                if group[v] != group[u]:
                    _keep(
                        found[u],
                        costs,
                        v,
                        pi[v] + move_cost(metric, xy[u, 0] - xy[v, 0], xy[u, 1] - xy[v, 1]),
                    )
        reach[u] = costs[count - 1]
    return found, reach


@compiled
def descend(
    node: int,
    x: float,
    y: float,
    own: int,
    shared: IntArray,
    lowest: FloatArray,
    boxes: FloatArray,
    metric: Metric,
    most: float,
    stack: IntArray,
    floor: FloatArray,
    depth: int,
) -> int:
    """Put the children of a node on the stack, the better one on top, but for those of the own
    component or above ``most``.
    """
    one = 2 * node + 1
    other = 2 * node + 2
    first = np.inf
    second = np.inf
    if shared[one] != own and shared[one] != -2:
        first = lowest[one] + gap_cost(metric, boxes, one, x, y)
    if shared[other] != own and shared[other] != -2:
        second = lowest[other] + gap_cost(metric, boxes, other, x, y)
    if first < second:
        one, other, first, second = other, one, second, first
    if first <= most and first < np.inf:
        stack[depth] = one
        floor[depth] = first
        depth += 1
    if second <= most and second < np.inf:
        stack[depth] = other
        floor[depth] = second
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
