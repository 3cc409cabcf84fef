"""Near points in the machine's own metric: searches of the k-d tree of ``kd_tree_kernel`` for
lists of neighbours and for the nearest-neighbour walk (Bentley, Sixth Symposium on Computational
Geometry, 1990, for the walk, in which drawn points are deleted).

``perm`` (n,) holds the point in each slot of the tree, whose own points stand in that order. In the
walk ``alive`` (nodes,) counts what is not drawn yet in each node and is right after every step; in
a search for lists ``costs`` and ``slots`` (room,) are in order of cost after every point. Tested
against scans over all pairs by ``tests/planning/ordering/test_lists.py`` and ``test_order.py``.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from plotlib.checks import AnyInts, FloatArray
from plotlib.compiled import compiled, compiled_above
from plotlib.planning.cost_kernel import move_cost
from plotlib.planning.kd_tree_kernel import (
    Tree,
    Waiting,
    await_children,
    box_cost,
    build_tree,
    room_to_wait,
)
from plotlib.planning.metric import Metric


class Entries(NamedTuple):
    """Where runs can be entered, and where they are left then."""

    xy: FloatArray  # (points, 2)
    first: AnyInts  # (runs + 1,) run m has the points first[m]:first[m + 1]
    owner: AnyInts  # (points,) the run of each point
    leave: AnyInts  # (points,) the point at which the pen leaves a run entered at each point


class Undrawn(NamedTuple):
    """What is left to draw in a walk."""

    alive: AnyInts  # (nodes,) how many points of each node
    dead: AnyInts  # (points,) 1 where the point in a slot is drawn
    leaf_of: AnyInts  # (points,) the leaf of each slot


class Nearest(NamedTuple):
    """The nearest slots found so far, nearest first."""

    costs: FloatArray  # (room,)
    slots: AnyInts  # (room,)


@compiled
def _nearest_alive(
    metric: Metric, tree: Tree, left: Undrawn, waiting: Waiting, x: float, y: float
) -> int:
    """Slot (place in the permutation) of the nearest point that is not dead."""
    alive = left.alive
    nodes = waiting.nodes
    bounds = waiting.bounds
    leaves = (len(tree.spans) + 1) // 2
    nodes[0] = 0
    bounds[0] = 0.0
    size = 1
    best = np.inf
    found = -1
    while size > 0:
        size -= 1
        node = nodes[size]
        if bounds[size] >= best:
            continue
        if node >= leaves - 1:
            for slot in range(tree.spans[node, 0], tree.spans[node, 1]):
                if left.dead[slot] == 0:
                    cost = move_cost(metric, tree.xy[slot, 0] - x, tree.xy[slot, 1] - y)
                    if cost < best:
                        best = cost
                        found = slot
            continue
        near = 2 * node + 1
        far = near + 1
        # late in a walk most nodes are empty: they do not even come to wait
        low = box_cost(metric, tree.boxes, near, x, y) if alive[near] > 0 else np.inf
        high = box_cost(metric, tree.boxes, far, x, y) if alive[far] > 0 else np.inf
        if low > high:
            near, far = far, near
            low, high = high, low
        if high < best:
            nodes[size] = far
            bounds[size] = high
            size += 1
        if low < best:
            nodes[size] = near
            bounds[size] = low
            size += 1
    return found


@compiled
def _all_undrawn(tree: Tree) -> Undrawn:
    """Nothing is drawn yet."""
    alive = tree.spans[:, 1] - tree.spans[:, 0]
    leaf_of = np.zeros(len(tree.xy), np.int64)
    for node in range((len(tree.spans) + 1) // 2 - 1, len(tree.spans)):
        leaf_of[tree.spans[node, 0] : tree.spans[node, 1]] = node
    return Undrawn(alive, np.zeros(len(tree.xy), np.int64), leaf_of)


@compiled
def _draw(left: Undrawn, slot: int) -> None:
    """Count a point as drawn, in its leaf and in all nodes above."""
    left.dead[slot] = 1
    node = left.leaf_of[slot]
    while True:
        left.alive[node] -= 1
        if node == 0:
            break
        node = (node - 1) // 2


@compiled_above(400)
def nearest_walk(metric: Metric, entries: Entries, x: float, y: float, anywhere: bool) -> AnyInts:
    """Walk from (x, y) to the nearest point of a run not yet drawn, draw that run, and so on: the
    point entered, for each step.

    Where the start is ``anywhere`` the walk begins with the first point of run 0.
    """
    scale_x = 1.0 if metric.timed == 0.0 else metric.pace_x
    scale_y = 1.0 if metric.timed == 0.0 else metric.pace_y
    perm, ranges, boxes = build_tree(entries.xy, scale_x, scale_y)
    tree = Tree(entries.xy[perm], ranges, boxes)
    slot_of = np.empty(len(perm), np.int64)
    for slot in range(len(perm)):
        slot_of[perm[slot]] = slot
    left = _all_undrawn(tree)
    waiting = room_to_wait()
    entered = np.empty(len(entries.first) - 1, np.int64)
    for step in range(len(entered)):
        if step == 0 and anywhere:
            p = entries.first[0]
        else:
            p = perm[_nearest_alive(metric, tree, left, waiting, x, y)]
        entered[step] = p
        x, y = entries.xy[entries.leave[p]]
        run = entries.owner[p]
        for q in range(entries.first[run], entries.first[run + 1]):
            _draw(left, slot_of[q])
    return entered


@compiled
def move_up(costs: FloatArray, slots: AnyInts, k: int, cost: float, slot: int) -> None:
    """Put a slot where its cost belongs, at place k or before: what is dearer moves one back, and
    what stood at k is lost.
    """
    while k > 0 and costs[k - 1] > cost:
        costs[k] = costs[k - 1]
        slots[k] = slots[k - 1]
        k -= 1
    costs[k] = cost
    slots[k] = slot


@compiled
def _nearest(metric: Metric, tree: Tree, self_slot: int, waiting: Waiting, nearest: Nearest) -> int:
    """Fill ``nearest`` with the nearest points of a slot, nearest first; returns how many there
    are.
    """
    # arrays by names of their own: taken out of a tuple in the loop each costs a count up and down
    xy = tree.xy
    spans = tree.spans
    nodes = waiting.nodes
    bounds = waiting.bounds
    leaves = (len(spans) + 1) // 2
    x = xy[self_slot, 0]
    y = xy[self_slot, 1]
    costs = nearest.costs
    slots = nearest.slots
    boxes = tree.boxes
    room = len(costs)
    nodes[0] = 0
    bounds[0] = 0.0
    size = 1
    count = 0
    worst = np.inf
    while size > 0:
        size -= 1
        node = nodes[size]
        if bounds[size] >= worst:
            continue
        if node < leaves - 1:
            size = await_children(metric, boxes, node, x, y, nodes, bounds, size)
            continue
        for slot in range(spans[node, 0], spans[node, 1]):
            if slot == self_slot:
                continue
            cost = move_cost(metric, xy[slot, 0] - x, xy[slot, 1] - y)
            if cost >= worst:
                continue
            move_up(costs, slots, min(count, room - 1), cost, slot)
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
    metric: Metric, tree: Tree, perm: AnyInts, searched: int, each: int, near: AnyInts
) -> None:
    """Rows of ``near``: of the ``searched`` nearest points ``each`` in every quadrant, then the
    nearest.

    Points must be distinct. Where they lie in rows or clusters the nearest alone would all lie on
    one side. Rows end with -1.
    """
    room = max(searched, near.shape[1])
    nearest = Nearest(np.zeros(room), np.zeros(room, np.int64))
    waiting = room_to_wait()
    for slot in range(len(tree.xy)):
        found = _nearest(metric, tree, slot, waiting, nearest)
        spread_out(tree.xy, perm, slot, nearest.slots, found, each, near)


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
