"""Near points in the machine's own metric: a k-d tree over points, with boxes, for lists of neighbours and for the nearest-neighbour walk.

The tree is complete: node i covers a range of the permuted points, its children 2i + 1 and 2i + 2 cover the two halves, all leaves lie on
the last level. A move's cost never falls when |dx| or |dy| grows, so the gap to a box gives a lower bound in either metric.
"""

from __future__ import annotations

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.compiled import compiled
from plotlib.planning.metric import move_cost

LEAF = 8
DEEPEST = 128


@compiled
def _select(perm: IntArray, xy: FloatArray, axis: int, low: int, high: int, middle: int) -> None:
    """Hoare's selection: afterwards perm[low:middle] <= perm[middle] <= perm[middle + 1:high] along ``axis``."""
    high -= 1
    while low < high:
        pivot = xy[perm[(low + high) // 2], axis]
        i = low
        j = high
        while i <= j:
            while xy[perm[i], axis] < pivot:
                i += 1
            while xy[perm[j], axis] > pivot:
                j -= 1
            if i <= j:
                perm[i], perm[j] = perm[j], perm[i]
                i += 1
                j -= 1
        if middle <= j:
            high = j
        elif middle >= i:
            low = i
        else:
            return


@compiled
def build_tree(xy: FloatArray, scale_x: float, scale_y: float) -> tuple[IntArray, IntArray, FloatArray]:
    """Permutation of the points, range [begin, end) of every node, and box (x0, y0, x1, y1) of every node."""
    n = len(xy)
    leaves = 1
    while leaves * LEAF < n:
        leaves *= 2
    nodes = 2 * leaves - 1
    perm = np.arange(n)
    ranges = np.zeros((nodes, 2), np.int64)
    boxes = np.empty((nodes, 4))
    ranges[0, 1] = n
    for node in range(nodes):
        low, high = ranges[node]
        box = boxes[node]
        box[0] = box[1] = np.inf
        box[2] = box[3] = -np.inf
        for k in range(low, high):
            x, y = xy[perm[k]]
            box[0] = min(box[0], x)
            box[1] = min(box[1], y)
            box[2] = max(box[2], x)
            box[3] = max(box[3], y)
        if node < leaves - 1:
            middle = (low + high) // 2
            axis = 0 if (box[2] - box[0]) * scale_x >= (box[3] - box[1]) * scale_y else 1
            _select(perm, xy, axis, low, high, middle)
            ranges[2 * node + 1] = low, middle
            ranges[2 * node + 2] = middle, high
    return perm, ranges, boxes


@compiled
def box_cost(metric: FloatArray, boxes: FloatArray, node: int, x: float, y: float) -> float:
    """Lower bound on the cost of a move between (x, y) and any point of the node."""
    dx = max(0.0, boxes[node, 0] - x, x - boxes[node, 2])
    dy = max(0.0, boxes[node, 1] - y, y - boxes[node, 3])
    return move_cost(metric, dx, dy)


@compiled
def _nearest_alive(
    metric: FloatArray,
    points: FloatArray,
    ranges: IntArray,
    boxes: FloatArray,
    alive: IntArray,
    dead: IntArray,
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


@compiled
def nearest_walk(
    metric: FloatArray, xy: FloatArray, first: IntArray, owner: IntArray, leave: IntArray, x: float, y: float, anywhere: bool
) -> IntArray:
    """Walk from (x, y) to the nearest point of a run not yet drawn, draw that run, and so on: the point entered, for each step.

    Points of run m are ``first[m]:first[m + 1]``; entering at point p the pen leaves at ``leave[p]``. Where the start is ``anywhere`` the
    walk begins with the first point of run 0.
    """
    scale_x = 1.0 if metric[0] == 0.0 else metric[1]
    scale_y = 1.0 if metric[0] == 0.0 else metric[2]
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
