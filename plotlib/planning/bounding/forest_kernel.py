"""Kernel of the bound: the least spanning tree on a sparse graph, thousands of times.

Borůvka's algorithm (1926; from memory). Between rounds every component is a subtree of a least
spanning tree, and only links between two components are left. The oracle is the exact tree of
``tree_kernel``, which certifies what this one claims.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from plotlib.checks import AnyInts, BoolArray, FloatArray, IntArray
from plotlib.compiled import compiled
from plotlib.planning.union_find_kernel import root


class Between(NamedTuple):
    """The links that still join two components, in the first places of the arrays; int32, since
    the memory that these arrays go through is most of the time.
    """

    a: AnyInts  # (E,) the components of their ends
    b: AnyInts  # (E,)
    weight: FloatArray  # (E,)
    which: AnyInts  # (E,) the link in ``edges``


class Best(NamedTuple):
    """The best link of each component so far."""

    link: AnyInts  # (parts,) its place in ``Between``, -1 where there is none
    weight: FloatArray  # (parts,) infinite where there is none


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
    left = _all_links(groups, weights)
    best = _best_of_all(left, runs)
    new = np.empty(runs, np.int32)
    parent = np.empty(runs, np.int32)
    while count:
        for own in range(parts):
            parent[own] = own
        for own in range(parts):
            e = best.link[own]
            if e < 0:
                continue
            one = root(parent, left.a[e])
            other = root(parent, left.b[e])
            if one != other:  # two components may have the same best link
                parent[max(one, other)] = min(one, other)
                total += left.weight[e]
                taken[left.which[e]] = True
                degree[edges[left.which[e], 0]] += 1
                degree[edges[left.which[e], 1]] += 1
        parts = numbered(parent, new, parts)
        best.link[:parts] = -1
        best.weight[:parts] = np.inf
        count = _keep(left, count, new, best)
    return total


@compiled
def _all_links(groups: AnyInts, weights: FloatArray) -> Between:
    """Every link, each run a component of its own."""
    count = len(weights)
    left = Between(
        np.empty(count, np.int32),
        np.empty(count, np.int32),
        np.empty(count, np.float64),
        np.empty(count, np.int32),
    )
    for e in range(count):
        left.a[e] = groups[e, 0]
        left.b[e] = groups[e, 1]
        left.weight[e] = weights[e]
        left.which[e] = e
    return left


@compiled
def _best_of_all(left: Between, runs: int) -> Best:
    """The best link of each run; the first of those that weigh the same."""
    best = Best(np.full(runs, -1, np.int32), np.full(runs, np.inf))
    for e in range(len(left.a)):
        for own in (left.a[e], left.b[e]):
            if left.weight[e] < best.weight[own]:
                best.link[own] = e
                best.weight[own] = left.weight[e]
    return best


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
def _keep(left: Between, count: int, new: AnyInts, best: Best) -> int:
    """Keep the links that still join two components, and the best one of each component; how many
    links there are.
    """
    kept = 0
    for e in range(count):
        one = new[left.a[e]]
        other = new[left.b[e]]
        if one == other:
            continue
        weight = left.weight[e]
        left.a[kept] = one
        left.b[kept] = other
        left.weight[kept] = weight
        left.which[kept] = left.which[e]
        if weight < best.weight[one]:
            best.link[one] = kept
            best.weight[one] = weight
        if weight < best.weight[other]:
            best.link[other] = kept
            best.weight[other] = weight
        kept += 1
    return kept
