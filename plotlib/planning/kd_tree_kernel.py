"""The k-d tree of all rooms of planning (J. L. Bentley, Communications of the ACM 18, 1975; from
memory), with boxes.

The tree is complete: node i covers a range of the permuted points, its children 2i + 1 and 2i + 2
cover the two halves, all leaves lie on the last level. A move's cost never falls when |dx| or |dy|
grows, so the gap to a box gives a lower bound in either metric.

``perm`` (n,) holds the point in each slot, ``ranges`` (nodes, 2) the slots of each node and
``boxes`` (nodes, 4) its x0, y0, x1, y1; a node without points has an empty box, infinitely far
away. In a search no node is left out whose bound is below the worst of what was found. Tested
against scans over all pairs by ``tests/planning/ordering/test_lists.py`` and
``tests/planning/bounding/test_bound.py``.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from plotlib.checks import AnyInts, FloatArray
from plotlib.compiled import compiled, compiled_above
from plotlib.planning.cost_kernel import move_cost
from plotlib.planning.metric import Metric

LEAF = 8  # points of a leaf; common practice, not measured here
DEEPEST = 128  # nodes that wait on a stack: at most one for each level of the tree, and one more


class Tree(NamedTuple):
    """A k-d tree and its points, which stand in its order."""

    xy: FloatArray  # (P, 2)
    spans: AnyInts  # (nodes, 2) the points of each node
    boxes: FloatArray  # (nodes, 4) x0, y0, x1, y1


class Waiting(NamedTuple):
    """The nodes that a search has still to look at, the next one last."""

    nodes: AnyInts  # (DEEPEST,)
    bounds: FloatArray  # (DEEPEST,) what a move into each of them costs at least


@compiled
def _select(perm: AnyInts, xy: FloatArray, axis: int, low: int, high: int, middle: int) -> None:
    """Hoare's selection: afterwards perm[low:middle] <= perm[middle] <= perm[middle + 1:high] along
    ``axis``.
    """
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


@compiled_above(800)
def build_tree(
    xy: FloatArray, scale_x: float, scale_y: float
) -> tuple[AnyInts, AnyInts, FloatArray]:
    """Permutation of the points, range [begin, end) of every node, and box (x0, y0, x1, y1) of
    every node.
    """
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
            # number by number: setting a whole row takes two seconds to compile
            ranges[2 * node + 1, 0] = low
            ranges[2 * node + 1, 1] = middle
            ranges[2 * node + 2, 0] = middle
            ranges[2 * node + 2, 1] = high
    return perm, ranges, boxes


@compiled
def box_cost(metric: Metric, boxes: FloatArray, node: int, x: float, y: float) -> float:
    """Lower bound on the cost of a move between (x, y) and any point of the node."""
    dx = max(0.0, boxes[node, 0] - x, x - boxes[node, 2])
    dy = max(0.0, boxes[node, 1] - y, y - boxes[node, 3])
    return move_cost(metric, dx, dy)


@compiled
def room_to_wait() -> Waiting:
    """For one search at a time, and as many as are wanted one after the other."""
    return Waiting(np.zeros(DEEPEST, np.int64), np.zeros(DEEPEST))


@compiled
def await_children(
    metric: Metric,
    boxes: FloatArray,
    node: int,
    x: float,
    y: float,
    nodes: AnyInts,
    bounds: FloatArray,
    size: int,
) -> int:
    """Let both children of a node wait, the nearer to (x, y) on top; how many nodes wait then.

    The nearer first: what is found there makes the bound that leaves the other one out. Arrays come
    one by one: taken out of a named tuple here they made lists of near points 5 % slower.
    """
    near = 2 * node + 1
    far = near + 1
    low = box_cost(metric, boxes, near, x, y)
    high = box_cost(metric, boxes, far, x, y)
    if low > high:
        near, far = far, near
        low, high = high, low
    nodes[size] = far
    bounds[size] = high
    nodes[size + 1] = near
    bounds[size + 1] = low
    return size + 2
