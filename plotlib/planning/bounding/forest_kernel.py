"""Kernel of the bound: the least spanning tree on a sparse graph, thousands of times.

Borůvka's algorithm (1926; from memory). Between rounds every component is a subtree of a least
spanning tree, and only links between two components are left. The oracle is the exact tree of
``tree_kernel``, which certifies what this one claims.
"""

from __future__ import annotations

import numpy as np

from plotlib.checks import AnyInts, BoolArray, FloatArray, IntArray
from plotlib.compiled import compiled
from plotlib.planning.union_find_kernel import root


@compiled
def sparse_tree(
    edges: IntArray,
    groups: AnyInts,
    runs: int,
    weights: FloatArray,
    degree: IntArray,
    taken: BoolArray,
) -> float:
    """Weight of the least spanning forest of the runs over the given links, which are marked and
    counted in ``degree`` (of each point).

    ``groups`` (E, 2) of int32 are the runs of the ends of ``edges``. Borůvka's rounds; links within
    a component are left behind.
    """
    taken[:] = False
    count = len(edges)
    parts = runs
    total = 0.0
    a = np.empty(count, np.int32)
    b = np.empty(count, np.int32)
    w = np.empty(count, np.float64)
    which = np.empty(count, np.int32)
    best = np.full(runs, -1, np.int32)
    least = np.full(runs, np.inf)
    for e in range(count):
        a[e] = groups[e, 0]
        b[e] = groups[e, 1]
        w[e] = weights[e]
        which[e] = e
        for own in groups[e]:
            if weights[e] < least[own]:
                best[own] = e
                least[own] = weights[e]
    new = np.empty(runs, np.int32)
    parent = np.empty(runs, np.int32)
    while count:
        for own in range(parts):
            parent[own] = own
        for own in range(parts):
            if best[own] >= 0:
                e = best[own]
                one = root(parent, a[e])
                other = root(parent, b[e])
                if one != other:
                    parent[max(one, other)] = min(one, other)
                    total += w[e]
                    taken[which[e]] = True
                    degree[edges[which[e], 0]] += 1
                    degree[edges[which[e], 1]] += 1
        parts = numbered(parent, new, parts)
        best[:parts] = -1
        least[:parts] = np.inf
        count = _left(a, b, w, which, count, new, best, least)
    return total


@compiled
def numbered(parent: AnyInts, new: AnyInts, parts: int) -> int:
    """Number the components anew; how many there are. A parent has a lower number than its own, so
    it has its new one already.
    """
    left = 0
    for own in range(parts):
        if parent[own] == own:
            new[own] = left
            left += 1
        else:
            new[own] = new[parent[own]]
    return left


@compiled
def _left(
    a: AnyInts,
    b: AnyInts,
    w: FloatArray,
    which: AnyInts,
    count: int,
    new: AnyInts,
    best: AnyInts,
    least: FloatArray,
) -> int:
    """Keep the links that still join two components, and the best one of each component; how many
    links there are.
    """
    kept = 0
    for e in range(count):
        one = new[a[e]]
        other = new[b[e]]
        if one == other:
            continue
        weight = w[e]
        a[kept] = one
        b[kept] = other
        w[kept] = weight
        which[kept] = which[e]
        if weight < least[one]:
            best[one] = kept
            least[one] = weight
        if weight < least[other]:
            best[other] = kept
            least[other] = weight
        kept += 1
    return kept
