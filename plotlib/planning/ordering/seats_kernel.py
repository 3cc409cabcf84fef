"""Near places of other runs, for closed runs that may start at any of several vertices.

A search of a k-d tree, that of ``kd_tree_kernel``, with branch and bound (J. H. Friedman, J. L.
Bentley, R. A. Finkel, ACM Transactions on Mathematical Software 3, 1977; from memory); that only
the nearest vertex of each other run counts is our own.

A row is a place: a vertex of a closed run, an end of an open one, a dot. Rows with the same key
belong together (the vertices of one run) and are never near each other; of another run each row
lists the nearest vertex alone. While a row is searched, ``costs`` (room,) and ``slots`` (room,)
hold the nearest slot of each of the nearest other keys met so far, nearest first, each key once.

``points`` (n, 2), ``key`` (n,) and the trees' ``ranges`` (nodes, 2) and ``boxes`` (nodes, 4) stand
in the order of the tree, ``perm`` (n,) leads back; ``near`` (n, width) is filled in the order of
the rows. Oracle: a scan over all pairs in ``tests/planning/ordering/test_seats.py``.
"""

from __future__ import annotations

import numpy as np

from plotlib.checks import AnyInts, FloatArray, IntArray
from plotlib.compiled import compiled, compiled_above
from plotlib.planning.cost_kernel import move_cost
from plotlib.planning.kd_tree_kernel import DEEPEST, box_cost
from plotlib.planning.metric import Metric
from plotlib.planning.ordering.neighbours_kernel import spread_out


@compiled
def shared_keys(key: IntArray, ranges: AnyInts) -> IntArray:
    """The key of all slots of a node, -1 where they differ."""
    shared = np.full(len(ranges), -1, np.int64)
    for node in range(len(ranges)):
        low, high = ranges[node]
        if high == low:
            continue
        shared[node] = key[low]
        for slot in range(low + 1, high):
            if key[slot] != key[low]:
                shared[node] = -1
                break
    return shared


@compiled
def _nearest_others(
    metric: Metric,
    points: FloatArray,
    key: IntArray,
    ranges: AnyInts,
    boxes: FloatArray,
    shared: IntArray,
    self_slot: int,
    costs: FloatArray,
    slots: AnyInts,
) -> int:
    """Fill ``costs`` and ``slots`` with the nearest slot of each of the nearest other keys, nearest
    first; returns how many there are.
    """
    leaves = (len(ranges) + 1) // 2
    x = points[self_slot, 0]
    y = points[self_slot, 1]
    room = len(costs)
    stack = np.empty(DEEPEST, np.int64)
    bounds = np.empty(DEEPEST)
    stack[0] = 0
    bounds[0] = 0.0
    size = 1
    count = 0
    while size > 0:
        size -= 1
        node = stack[size]
        worst = costs[room - 1] if count == room else np.inf
        if bounds[size] >= worst or shared[node] == key[self_slot]:
            continue
        if node < leaves - 1:
            left = 2 * node + 1
            right = left + 1
            near = box_cost(metric, boxes, left, x, y)
            far = box_cost(metric, boxes, right, x, y)
            if near > far:
                left, right = right, left
                near, far = far, near
            stack[size] = right
            bounds[size] = far
            stack[size + 1] = left
            bounds[size + 1] = near
            size += 2
            continue
        for slot in range(ranges[node, 0], ranges[node, 1]):
            if key[slot] == key[self_slot]:
                continue
            cost = move_cost(metric, points[slot, 0] - x, points[slot, 1] - y)
            worst = costs[room - 1] if count == room else np.inf
            if cost >= worst:
                continue
            k = 0
            while k < count and key[slots[k]] != key[slot]:
                k += 1
            if k < count and costs[k] <= cost:
                continue
            if k == count:
                count = min(count + 1, room)
                k = count - 1
            while k > 0 and costs[k - 1] > cost:
                costs[k] = costs[k - 1]
                slots[k] = slots[k - 1]
                k -= 1
            costs[k] = cost
            slots[k] = slot
    return count


@compiled_above(150)
def near_rows(
    metric: Metric,
    perm: AnyInts,
    points: FloatArray,
    key: IntArray,
    ranges: AnyInts,
    boxes: FloatArray,
    searched: int,
    each: int,
    near: AnyInts,
) -> None:
    """Rows near each row, by the rule of ``neighbours_kernel.near_points``; ``points`` and ``key``
    stand in the order of the tree.
    """
    shared = shared_keys(key, ranges)
    room = max(searched, near.shape[1])
    costs = np.empty(room)
    slots = np.empty(room, np.int64)
    for slot in range(len(points)):
        found = _nearest_others(metric, points, key, ranges, boxes, shared, slot, costs, slots)
        spread_out(points, perm, slot, slots, found, each, near)


@compiled_above(4_000)
def listed_ends(
    metric: Metric,
    places: FloatArray,
    near: AnyInts,
    enter: IntArray,
    twin: IntArray,
    free: int,
    ends: AnyInts,
    port: AnyInts,
    far: FloatArray,
) -> None:
    """The ends of the rows that each row lists, where they would sit, and the costs of the links,
    nearest first; ``free``, an end without a place, comes before all.
    """
    width = ends.shape[1]
    for u in range(len(near)):
        k = 0
        if free >= 0:
            ends[u, 0] = free
            port[u, 0] = len(near)
            far[u, 0] = 0.0
            k = 1
        for v in near[u]:
            if v < 0:
                break
            cost = move_cost(metric, places[v, 0] - places[u, 0], places[v, 1] - places[u, 1])
            for e in range(enter[v], enter[v] + 1 + twin[v]):
                if k < width:
                    ends[u, k] = e
                    port[u, k] = v
                    far[u, k] = cost
                    k += 1


@compiled
def rows_within(
    ends: IntArray, row: AnyInts, span: AnyInts, near: AnyInts, port: AnyInts, far: FloatArray
) -> tuple[AnyInts, AnyInts, AnyInts, AnyInts, FloatArray, AnyInts]:
    """The lists of the pieces with the ends ``ends[2k], ends[2k + 1]``, without all other ends, in
    numbers that count along ``ends``.

    A piece that is one closed run keeps all its rows, all other ends the row where they sit.
    Returns the row of each end, the span of each piece, and of each row the near ends, ports and
    costs and the number that it had.
    """
    number = np.full(len(row), -1, np.int32)
    fresh = np.full(len(near), -1, np.int32)
    old = np.empty(len(near), np.int32)
    rows = np.empty(len(ends), np.int32)
    spans = np.zeros((len(ends) // 2, 2), np.int32)
    count = 0
    for k in range(len(ends)):
        e = ends[k]
        number[e] = k
        here = row[e]
        s = e >> 1
        if k & 1 == 0 and ends[k + 1] == e ^ 1 and span[s, 1] > 0:
            spans[k >> 1, 0] = count
            spans[k >> 1, 1] = span[s, 1]
            for r in range(span[s, 0], span[s, 0] + span[s, 1]):
                fresh[r] = count
                old[count] = r
                count += 1
        if fresh[here] < 0:
            fresh[here] = count
            old[count] = here
            count += 1
        rows[k] = fresh[here]
    width = near.shape[1]
    kept = np.full((count, width), -1, np.int32)
    seats = np.full((count, width), -1, np.int32)
    costs = np.full((count, width), np.inf)
    for r in range(count):
        at = 0
        for j in range(width):
            e = near[old[r], j]
            if e >= 0 and number[e] >= 0 and fresh[port[old[r], j]] >= 0:
                kept[r, at] = number[e]
                seats[r, at] = fresh[port[old[r], j]]
                costs[r, at] = far[old[r], j]
                at += 1
    return rows, spans, kept, seats, costs, old[:count]
