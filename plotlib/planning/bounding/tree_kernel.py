"""Kernels of the bound on the complete graph: the exact least spanning tree of the runs over all
links of their ends.

Borůvka's algorithm (1926; from memory) with branch and bound in a k-d tree for the best link of
each component. Between rounds every component is a subtree of the least spanning tree; ties fall by
the ends of links, so that there is one such tree. The oracle is Prim's way over all pairs,
``tree_weight`` in ``tests/planning/bounding/test_bound.py``.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.compiled import compiled
from plotlib.planning.bounding.cells_kernel import Cells, cells_of, descend
from plotlib.planning.bounding.forest_kernel import numbered
from plotlib.planning.cost_kernel import move_cost
from plotlib.planning.kd_tree_kernel import Tree
from plotlib.planning.metric import Metric
from plotlib.planning.union_find_kernel import root

ROUNDING = 1e-14  # room for the order of sums when cells are left out


class Known(NamedTuple):
    """What links weigh beside their cost.

    ``edges`` are sorted links a < b whose ``weights`` are known and at least cost + pi[a] + pi[b].
    Another link u-v weighs cost + pi[u] + pi[v] and the rho >= 0 of its slots (see :func:`extra`).
    """

    pi: FloatArray  # (P,)
    group: IntArray  # (P,) run of each point
    starts: IntArray  # (P + 1,) point u has the slots starts[u]:starts[u + 1]
    keys: IntArray  # (S,) the run that each slot leads to
    rho: FloatArray  # (S,) its multiplier
    firsts: IntArray  # (P + 1,) the known links from u are edges[firsts[u]:firsts[u + 1]]
    edges: IntArray  # (E, 2)
    weights: FloatArray  # (E,)


@compiled
def extra(u: int, run: int, starts: IntArray, keys: IntArray, rho: FloatArray) -> float:
    """The multiplier of the slot from point ``u`` to a run; ``keys[starts[u]:starts[u + 1]]`` are
    the runs that have one, sorted.
    """
    low = starts[u]
    high = starts[u + 1]
    while low < high:
        middle = (low + high) // 2
        if keys[middle] < run:
            low = middle + 1
        else:
            high = middle
    found: float = rho[low] if low < starts[u + 1] and keys[low] == run else 0.0
    return found


@compiled
def place(a: int, b: int, firsts: IntArray, edges: IntArray) -> int:
    """The index of the link a < b in the sorted ``edges``, or -1; those from ``a`` begin at
    ``firsts[a]``.
    """
    low = firsts[a]
    high = firsts[a + 1]
    while low < high:
        middle = (low + high) // 2
        if edges[middle, 1] < b:
            low = middle + 1
        else:
            high = middle
    found: int = low if low < firsts[a + 1] and edges[low, 1] == b else -1
    return found


@compiled
def _full_weight(plain: float, a: int, b: int, known: Known) -> float:
    """What the link a < b weighs: as known, or ``plain`` and the multipliers of its slots."""
    at = place(a, b, known.firsts, known.edges)
    if at >= 0:
        return float(known.weights[at])
    if len(known.rho) == 0:
        return plain
    there = extra(a, known.group[b], known.starts, known.keys, known.rho)
    back = extra(b, known.group[a], known.starts, known.keys, known.rho)
    return plain + (there + back)


class Best(NamedTuple):
    """The best link of each component so far."""

    weight: FloatArray  # (parts,) infinite where there is none yet
    ends: IntArray  # (parts, 2) a < b, -1 where there is none yet


@compiled
def no_links(parts: int) -> Best:
    """No component has a link yet."""
    return Best(np.full(parts, np.inf), np.full((parts, 2), -1, np.int64))


@compiled
def _offer(best: Best, own: int, w: float, a: int, b: int) -> None:
    """Take the link a < b as the best of a component if it comes first in the one order of all
    links.
    """
    known = best.ends[own]
    is_first = a < known[0] or (a == known[0] and b < known[1])
    if w < best.weight[own] or (w == best.weight[own] and is_first):
        best.weight[own] = w
        known[0] = a
        known[1] = b


@compiled
def _search(u: int, cells: Cells, metric: Metric, known: Known, part: IntArray, best: Best) -> None:
    """Improve the best link of the component of point ``u`` by the links from it to other
    components.
    """
    xy = cells.xy
    pi = known.pi
    own = part[u]
    cells.stack[0] = 0
    cells.floor[0] = -np.inf
    depth = 1
    while depth:
        depth -= 1
        node = cells.stack[depth]
        most = best.weight[own] - pi[u]
        most += ROUNDING * abs(most)
        if cells.floor[depth] > most:
            continue
        if 2 * node + 1 < len(cells.spans):
            depth = descend(cells, metric, node, u, own, most, depth)
            continue
        for v in range(cells.spans[node, 0], cells.spans[node, 1]):
            if part[v] != own:
                w = pi[u] + pi[v] + move_cost(metric, xy[u, 0] - xy[v, 0], xy[u, 1] - xy[v, 1])
                a = min(u, v)
                b = max(u, v)
                if w <= best.weight[own]:  # a lower bound: with its slots a link weighs no less
                    w = _full_weight(w, a, b, known)
                _offer(best, own, w, a, b)


@compiled
def best_edges(
    active: IntArray, edges: IntArray, weights: FloatArray, part: IntArray, best: Best
) -> IntArray:
    """Improve the best links by those of the edges that still join two components; those edges."""
    kept = 0
    for e in active:
        a = edges[e, 0]
        b = edges[e, 1]
        if part[a] == part[b]:
            continue
        active[kept] = e
        kept += 1
        for own in (part[a], part[b]):
            _offer(best, own, weights[e], a, b)
    return active[:kept]


@compiled
def merged(
    label: IntArray, best: Best, part: IntArray, links: IntArray, count: int
) -> tuple[int, int]:
    """Join components along their best links: new labels of the runs, number of components and of
    links.
    """
    parts = len(best.weight)
    parent = np.arange(parts)
    for own in range(parts):
        a = best.ends[own, 0]
        b = best.ends[own, 1]
        if a < 0:
            continue
        one = root(parent, part[a])
        other = root(parent, part[b])
        if one != other:
            parent[max(one, other)] = min(one, other)
            links[count, 0] = a
            links[count, 1] = b
            count += 1
    new = np.empty(parts, np.int64)
    left = numbered(parent, new, parts)
    for run in range(len(label)):
        label[run] = new[label[run]]
    return left, count


@compiled
def spanning_tree(
    tree: Tree, runs: int, metric: Metric, known: Known, reach: FloatArray
) -> IntArray:
    """The least spanning tree of the runs over all links, as pairs of points (runs - 1, 2).

    A link from u that is not known weighs no less than pi[u] + reach[u]. Borůvka's rounds: each
    component finds its best link among those known and, from the ends whose reach leaves a doubt,
    by a search of the k-d tree.
    """
    pi = known.pi
    links = np.empty((max(runs - 1, 0), 2), np.int64)
    label = np.arange(runs)
    part = known.group.copy()
    active = np.arange(len(known.edges))
    count = 0
    parts = runs
    while parts > 1:
        cells = cells_of(tree, pi, part)
        best = no_links(parts)
        active = best_edges(active, known.edges, known.weights, part, best)
        for u in range(len(tree.xy)):
            most = best.weight[part[u]]
            if pi[u] + reach[u] <= most + ROUNDING * (abs(most) + abs(pi[u])):
                _search(u, cells, metric, known, part, best)
        parts, count = merged(label, best, part, links, count)
        for u in range(len(tree.xy)):
            part[u] = label[known.group[u]]
    return links
