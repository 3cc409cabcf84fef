"""Near points in the machine's own metric: searches of the k-d tree of ``kd_tree_kernel`` for
lists of neighbours and for the nearest-neighbour walk (Bentley, Sixth Symposium on Computational
Geometry, 1990, for the walk, in which drawn points are deleted).

``perm`` (n,) holds the point in each slot, ``points`` (n, 2) are the points by slots, ``ranges``
(nodes, 2) the slots of each node and ``boxes`` (nodes, 4) its x0, y0, x1, y1; in the walk
``alive`` (nodes,) counts what is not drawn yet in each node and is right after every step. Tested
against scans over all pairs by ``tests/planning/ordering/test_lists.py`` and ``test_order.py``.
"""

from __future__ import annotations

import numpy as np

from plotlib.checks import AnyInts, FloatArray
from plotlib.compiled import compiled, compiled_above
from plotlib.planning.cost_kernel import move_cost
from plotlib.planning.kd_tree_kernel import DEEPEST, box_cost, build_tree
from plotlib.planning.metric import Metric


@compiled
def _nearest_alive(
    metric: Metric,
    points: FloatArray,
    ranges: AnyInts,
    boxes: FloatArray,
    alive: AnyInts,
    dead: AnyInts,
    x: float,
    y: float,
) -> int:
    """Slot (place in the permutation) of the nearest point that is not dead."""
    leaves = (len(ranges) + 1) // 2
    stack = np.empty(DEEPEST, np.int64)
    bounds = np.empty(DEEPEST)
    stack[0] = 0
    bounds[0] = 0.0
    size = 1
    best = np.inf
    found = -1
    while size > 0:
        size -= 1
        node = stack[size]
        if bounds[size] >= best:
            continue
        if node >= leaves - 1:
            for slot in range(ranges[node, 0], ranges[node, 1]):
                if dead[slot] == 0:
                    cost = move_cost(metric, points[slot, 0] - x, points[slot, 1] - y)
                    if cost < best:
                        best = cost
                        found = slot
            continue
        left = 2 * node + 1
        right = left + 1
        near = box_cost(metric, boxes, left, x, y) if alive[left] > 0 else np.inf
        far = box_cost(metric, boxes, right, x, y) if alive[right] > 0 else np.inf
        if near > far:
            left, right = right, left
            near, far = far, near
        if far < best:
            stack[size] = right
            bounds[size] = far
            size += 1
        if near < best:
            stack[size] = left
            bounds[size] = near
            size += 1
    return found


@compiled_above(400)
def nearest_walk(
    metric: Metric,
    xy: FloatArray,
    first: AnyInts,
    owner: AnyInts,
    leave: AnyInts,
    x: float,
    y: float,
    anywhere: bool,
) -> AnyInts:
    """Walk from (x, y) to the nearest point of a run not yet drawn, draw that run, and so on: the
    point entered, for each step.

    Points of run m are ``first[m]:first[m + 1]``; entering at point p the pen leaves at
    ``leave[p]``. Where the start is ``anywhere`` the walk begins with the first point of run 0.
    """
    scale_x = 1.0 if metric.timed == 0.0 else metric.pace_x
    scale_y = 1.0 if metric.timed == 0.0 else metric.pace_y
    perm, ranges, boxes = build_tree(xy, scale_x, scale_y)
    points = xy[perm]
    slot_of = np.empty(len(perm), np.int64)
    for slot in range(len(perm)):
        slot_of[perm[slot]] = slot
    alive = ranges[:, 1] - ranges[:, 0]
    dead = np.zeros(len(perm), np.int64)
    leaves = (len(ranges) + 1) // 2
    leaf_of = np.empty(len(perm), np.int64)
    for node in range(leaves - 1, len(ranges)):
        leaf_of[ranges[node, 0] : ranges[node, 1]] = node
    runs = len(first) - 1
    entered = np.empty(runs, np.int64)
    for step in range(runs):
        if step == 0 and anywhere:
            p = first[0]
        else:
            p = perm[_nearest_alive(metric, points, ranges, boxes, alive, dead, x, y)]
        entered[step] = p
        x, y = xy[leave[p]]
        run = owner[p]
        for q in range(first[run], first[run + 1]):
            slot = slot_of[q]
            dead[slot] = 1
            node = leaf_of[slot]
            while True:
                alive[node] -= 1
                if node == 0:
                    break
                node = (node - 1) // 2
    return entered


@compiled
def _nearest(
    metric: Metric,
    points: FloatArray,
    ranges: AnyInts,
    boxes: FloatArray,
    self_slot: int,
    costs: FloatArray,
    slots: AnyInts,
) -> int:
    """Fill ``costs`` and ``slots`` with the nearest points of a slot, nearest first; returns how
    many there are.
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
    worst = np.inf
    while size > 0:
        size -= 1
        node = stack[size]
        if bounds[size] >= worst:
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
            if slot == self_slot:
                continue
            cost = move_cost(metric, points[slot, 0] - x, points[slot, 1] - y)
            if cost >= worst:
                continue
            k = min(count, room - 1)
            while k > 0 and costs[k - 1] > cost:
                costs[k] = costs[k - 1]
                slots[k] = slots[k - 1]
                k -= 1
            costs[k] = cost
            slots[k] = slot
            count = min(count + 1, room)
            if count == room:
                worst = costs[room - 1]
    return count


@compiled
def spread_out(
    points: FloatArray,
    perm: AnyInts,
    slot: int,
    slots: AnyInts,
    found: int,
    each: int,
    near: AnyInts,
) -> None:
    """Fill in the row of ``near`` of a slot: of the ``found`` nearest ``slots`` first ``each`` in
    every quadrant, then the nearest, nearest first, -1 after the last.
    """
    taken = np.zeros(4, np.int64)
    kept = 0
    limit = near.shape[1]
    for k in range(found):  # mark those chosen by quadrant with a negative slot
        dx = points[slots[k], 0] - points[slot, 0]
        dy = points[slots[k], 1] - points[slot, 1]
        if dx > 0:
            quadrant = 0 if dy >= 0 else 3
        elif dy > 0:
            quadrant = 1
        else:
            quadrant = 3 if dx == 0 and dy < 0 else 2
        if taken[quadrant] < each and kept < limit:
            taken[quadrant] += 1
            kept += 1
            slots[k] = -slots[k] - 1
    for k in range(found):
        if kept == limit:
            break
        if slots[k] >= 0:
            slots[k] = -slots[k] - 1
            kept += 1
    out = 0
    for k in range(found):
        if slots[k] < 0:
            near[perm[slot], out] = perm[-slots[k] - 1]
            out += 1
    near[perm[slot], out:] = -1


@compiled_above(250)
def near_points(
    metric: Metric,
    perm: AnyInts,
    points: FloatArray,
    ranges: AnyInts,
    boxes: FloatArray,
    low: int,
    high: int,
    searched: int,
    each: int,
    near: AnyInts,
) -> None:
    """Rows of ``near`` for the slots low:high: of the ``searched`` nearest points ``each`` in every
    quadrant, then the nearest.

    Points must be distinct. Where they lie in rows or clusters the nearest alone would all lie on
    one side. Rows end with -1.
    """
    room = max(searched, near.shape[1])
    costs = np.empty(room)
    slots = np.empty(room, np.int64)
    for slot in range(low, high):
        found = _nearest(metric, points, ranges, boxes, slot, costs, slots)
        spread_out(points, perm, slot, slots, found, each, near)


@compiled_above(5_000)
def near_ends(
    near: AnyInts, begin: AnyInts, ends: AnyInts, twins: int, free: int, out: AnyInts
) -> None:
    """Rows of ends from rows of points: first the free end, then the ends at the point itself, then
    up to two of each near point.
    """
    width = out.shape[1]
    for u in range(len(near)):
        k = 0
        if free >= 0:
            out[u, 0] = free
            k = 1
        if begin[u + 1] - begin[u] > 1:
            for c in range(begin[u], min(begin[u + 1], begin[u] + twins)):
                if k < width:
                    out[u, k] = ends[c]
                    k += 1
        for j in range(near.shape[1]):
            v = near[u, j]
            if v < 0:
                break
            for c in range(begin[v], min(begin[v + 1], begin[v] + 2)):
                if k < width:
                    out[u, k] = ends[c]
                    k += 1
        out[u, k:] = -1


@compiled_above(4_000)
def row_costs(metric: Metric, xy: FloatArray, at: AnyInts, near: AnyInts, far: FloatArray) -> None:
    """``far[u, j]``: cost of the link between the end ``at[u]`` and ``near[u, j]``; rows are put in
    order of it.
    """
    for u in range(len(near)):
        x, y = xy[at[u]]
        for j in range(near.shape[1]):
            e = near[u, j]
            if e < 0:
                far[u, j:] = np.inf
                break
            dx = xy[e, 0] - x
            cost = 0.0 if dx != dx else move_cost(metric, dx, xy[e, 1] - y)
            k = j
            while k > 0 and far[u, k - 1] > cost:
                far[u, k] = far[u, k - 1]
                near[u, k] = near[u, k - 1]
                k -= 1
            far[u, k] = cost
            near[u, k] = e
