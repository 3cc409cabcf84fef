"""Near places of other runs, for closed runs that may start at any of several vertices.

A search of a k-d tree, that of ``kd_tree_kernel``, with branch and bound (J. H. Friedman, J. L.
Bentley, R. A. Finkel, ACM Transactions on Mathematical Software 3, 1977; from memory); that only
the nearest vertex of each other run counts is our own.

A row is a place: a vertex of a closed run, an end of an open one, a dot. Rows with the same key
belong together (the vertices of one run) and are never near each other; of another run each row
lists the nearest vertex alone. While a row is searched, ``costs`` (room,) and ``slots`` (room,)
hold the nearest slot of each of the nearest other keys met so far, nearest first, each key once.

Points and ``key`` (n,) stand in the order of the tree, ``perm`` (n,) leads back; ``near`` (n,
width) is filled in the order of the rows. Oracle: a scan over all pairs in
``tests/planning/ordering/test_seats.py``.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from plotlib.checks import AnyInts, FloatArray, IntArray
from plotlib.compiled import compiled, compiled_above
from plotlib.planning.cost_kernel import move_cost
from plotlib.planning.kd_tree_kernel import Tree, Waiting, await_children, room_to_wait
from plotlib.planning.metric import Metric
from plotlib.planning.ordering.neighbours_kernel import Nearest, move_up, spread_out


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


class Keyed(NamedTuple):
    """A tree of points that belong to runs."""

    tree: Tree
    key: IntArray  # (P,) the run of each point, or what else keeps points apart from each other
    shared: IntArray  # (nodes,) the key of all points of a node, -1 where they differ


@compiled
def _offer(
    key: IntArray, costs: FloatArray, slots: AnyInts, count: int, cost: float, slot: int
) -> int:
    """Take a slot among the nearest, each key once; how many there are then."""
    k = 0
    while k < count and key[slots[k]] != key[slot]:
        k += 1
    if k < count and costs[k] <= cost:
        return count
    if k == count:  # a key that is not listed: the last one, if there is no room, goes
        count = min(count + 1, len(costs))
        k = count - 1
    move_up(costs, slots, k, cost, slot)
    return count


@compiled
def _nearest_others(
    metric: Metric, keyed: Keyed, self_slot: int, waiting: Waiting, nearest: Nearest
) -> int:
    """Fill ``nearest`` with the nearest slot of each of the nearest other keys, nearest first;
    returns how many there are.
    """
    tree = keyed.tree
    key = keyed.key
    leaves = (len(tree.spans) + 1) // 2
    x = tree.xy[self_slot, 0]
    y = tree.xy[self_slot, 1]
    xy = tree.xy
    nodes = waiting.nodes
    bounds = waiting.bounds
    costs = nearest.costs
    slots = nearest.slots
    room = len(costs)
    nodes[0] = 0
    bounds[0] = 0.0
    size = 1
    count = 0
    while size > 0:
        size -= 1
        node = nodes[size]
        worst = costs[room - 1] if count == room else np.inf
        # most nodes near a vertex of a long run hold that run alone
        if bounds[size] >= worst or keyed.shared[node] == key[self_slot]:
            continue
        if node < leaves - 1:
            size = await_children(metric, tree.boxes, node, x, y, nodes, bounds, size)
            continue
        for slot in range(tree.spans[node, 0], tree.spans[node, 1]):
            if key[slot] == key[self_slot]:
                continue
            cost = move_cost(metric, xy[slot, 0] - x, xy[slot, 1] - y)
            if count < room or cost < costs[room - 1]:
                count = _offer(key, costs, slots, count, cost, slot)
    return count


@compiled_above(150)
def near_rows(
    metric: Metric,
    tree: Tree,
    perm: AnyInts,
    key: IntArray,
    searched: int,
    each: int,
    near: AnyInts,
) -> None:
    """Rows near each row, by the rule of ``neighbours_kernel.near_points``; ``key`` stands in the
    order of the tree.
    """
    keyed = Keyed(tree, key, shared_keys(key, tree.spans))
    room = max(searched, near.shape[1])
    nearest = Nearest(np.zeros(room), np.zeros(room, np.int64))
    waiting = room_to_wait()
    for slot in range(len(tree.xy)):
        found = _nearest_others(metric, keyed, slot, waiting, nearest)
        spread_out(tree.xy, perm, slot, nearest.slots, found, each, near)


class Listed(NamedTuple):
    """Lists of ends, a row for each place."""

    ends: AnyInts  # (rows, width) the ends near each place, -1 after the last
    port: AnyInts  # (rows, width) the row where each of them would sit
    far: FloatArray  # (rows, width) what the link to it costs


@compiled_above(4_000)
def list_ends(
    metric: Metric,
    places: FloatArray,
    near: AnyInts,
    enter: IntArray,
    twin: IntArray,
    free: int,
    listed: Listed,
) -> None:
    """The ends of the rows that each row lists, where they would sit, and the costs of the links,
    nearest first; ``free``, an end without a place, comes before all.
    """
    width = listed.ends.shape[1]
    for u in range(len(near)):
        k = 0
        if free >= 0:
            listed.ends[u, 0] = free
            listed.port[u, 0] = len(near)
            listed.far[u, 0] = 0.0
            k = 1
        for v in near[u]:
            if v < 0:
                break
            cost = move_cost(metric, places[v, 0] - places[u, 0], places[v, 1] - places[u, 1])
            for e in range(enter[v], enter[v] + 1 + twin[v]):
                if k < width:
                    listed.ends[u, k] = e
                    listed.port[u, k] = v
                    listed.far[u, k] = cost
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
