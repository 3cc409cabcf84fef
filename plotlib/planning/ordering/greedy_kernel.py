"""The first tour: greedy edge (Bentley, ORSA Journal on Computing 4, 1992), which takes the
shortest links first, as long as no ring closes.

``row`` (2n,), ``near`` and ``far`` (rows, width) are lists of near ends, see ``lists``. ``mates``
(2n,) holds the end that each end is linked to, -1 while it has no link; ``parent`` (n,) holds the
sets of strokes on one path. Between links every set is one path with two ends that have no link.
Tested by ``tests/planning/ordering/test_order.py``: each stroke once, and no dearer than other
plain orders.
"""

from __future__ import annotations

import numpy as np

from plotlib.checks import AnyInts, FloatArray
from plotlib.compiled import compiled
from plotlib.planning.union_find_kernel import root


@compiled
def candidate_links(
    row: AnyInts, near: AnyInts, far: FloatArray, ends: AnyInts
) -> tuple[AnyInts, AnyInts, FloatArray]:
    """Every listed link between two ends once, from the lists of ``ends``."""
    count = 0
    room = len(ends) * near.shape[1]
    one = np.empty(room, np.int32)
    two = np.empty(room, np.int32)
    cost = np.empty(room)
    for e in ends:
        for j in range(near.shape[1]):
            f = near[row[e], j]
            if f < 0:
                break
            if f == e or f == e ^ 1:
                continue
            if f < e:
                listed = False
                for k in range(near.shape[1]):
                    if near[row[f], k] == e:
                        listed = True
                        break
                if listed:
                    continue
            one[count] = e
            two[count] = f
            cost[count] = far[row[e], j]
            count += 1
    return one[:count], two[:count], cost[:count]


@compiled
def join_links(one: AnyInts, two: AnyInts, ranked: AnyInts, mates: AnyInts, parent: AnyInts) -> int:
    """Take the links in the order ``ranked`` where both ends are still free and no ring closes;
    returns how many were taken.
    """
    taken = 0
    for k in ranked:
        e = one[k]
        f = two[k]
        if mates[e] >= 0 or mates[f] >= 0:
            continue
        a = root(parent, e >> 1)
        b = root(parent, f >> 1)
        if a == b:
            continue
        parent[b] = a
        mates[e] = f
        mates[f] = e
        taken += 1
    return taken


@compiled
def walk_links(mates: AnyInts) -> AnyInts:
    """Entry ends of all strokes, path after path."""
    n = len(mates) // 2
    seq = np.empty(n, np.int32)
    done = np.zeros(n, np.bool_)
    at = 0
    for e in range(2 * n):
        if mates[e] >= 0 or done[e >> 1]:
            continue
        f = e
        while f >= 0:
            seq[at] = f
            done[f >> 1] = True
            at += 1
            f = mates[f ^ 1]
    return seq
