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
from plotlib.planning.bounding.cells_kernel import common, descend, least
from plotlib.planning.bounding.forest_kernel import numbered
from plotlib.planning.cost_kernel import move_cost
from plotlib.planning.metric import Metric
from plotlib.planning.union_find_kernel import root

ROUNDING = 1e-14  # room for the order of sums when cells are left out


class Cells(NamedTuple):
    """The k-d tree of the points, and room for a search in it."""

    xy: FloatArray  # (P, 2)
    spans: IntArray  # (nodes, 2) the points of each node
    boxes: FloatArray  # (nodes, 4)
    lowest: FloatArray  # (nodes,) the least multiplier of the points of each node
    stack: IntArray  # (128,) nodes to look at
    floor: FloatArray  # (128,) the least that a link into each of them costs


class Known(NamedTuple):
    """What links weigh beside their cost; see :func:`spanning_tree`."""

    pi: FloatArray  # (P,)
    group: IntArray  # (P,) run of each point
    starts: IntArray  # (P + 1,) point u has the slots starts[u]:starts[u + 1]
    keys: IntArray  # (S,) the run that each slot leads to
    rho: FloatArray  # (S,) its multiplier
    firsts: IntArray  # (P + 1,) the known links from u are edges[firsts[u]:firsts[u + 1]]
    edges: IntArray  # (E, 2)
    weights: FloatArray  # (E,)


@compiled
def _better(w: float, a: int, b: int, best: FloatArray, chosen: IntArray, part: int) -> bool:
    """Whether the link a < b comes before the best one of a component in the one order of all
    links.
    """
    better: bool = w < best[part] or (
        w == best[part] and (a < chosen[part, 0] or (a == chosen[part, 0] and b < chosen[part, 1]))
    )
    return better


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


@compiled
def _search(
    u: int,
    cells: Cells,
    metric: Metric,
    known: Known,
    part: IntArray,
    shared: IntArray,
    best: FloatArray,
    chosen: IntArray,
) -> None:
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
        most = best[own] - pi[u]
        if cells.floor[depth] > most + ROUNDING * abs(most):
            continue
        if 2 * node + 1 < len(cells.spans):
            most += ROUNDING * abs(most)
            depth = descend(
                node,
                xy[u, 0],
                xy[u, 1],
                own,
                shared,
                cells.lowest,
                cells.boxes,
                metric,
                most,
                cells.stack,
                cells.floor,
                depth,
            )
            continue
        for v in range(cells.spans[node, 0], cells.spans[node, 1]):
            if part[v] != own:
                w = pi[u] + pi[v] + move_cost(metric, xy[u, 0] - xy[v, 0], xy[u, 1] - xy[v, 1])
                a = min(u, v)
                b = max(u, v)
                if w <= best[own]:  # a lower bound of what the link weighs with all multipliers
                    w = _full_weight(w, a, b, known)
                if _better(w, a, b, best, chosen, own):
                    best[own] = w
                    chosen[own, 0] = a
                    chosen[own, 1] = b


@compiled
def best_edges(
    active: IntArray,
    edges: IntArray,
    weights: FloatArray,
    part: IntArray,
    best: FloatArray,
    chosen: IntArray,
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
            if _better(weights[e], a, b, best, chosen, own):
                best[own] = weights[e]
                chosen[own, 0] = a
                chosen[own, 1] = b
    return active[:kept]


@compiled
def merged(
    label: IntArray, parts: int, chosen: IntArray, part: IntArray, links: IntArray, count: int
) -> tuple[int, int]:
    """Join components along their best links: new labels of the runs, number of components and of
    links.
    """
    parent = np.arange(parts)
    for own in range(parts):
        a = chosen[own, 0]
        b = chosen[own, 1]
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
    xy: FloatArray,
    group: IntArray,
    runs: int,
    spans: IntArray,
    boxes: FloatArray,
    metric: Metric,
    pi: FloatArray,
    starts: IntArray,
    keys: IntArray,
    rho: FloatArray,
    edges: IntArray,
    weights: FloatArray,
    reach: FloatArray,
) -> IntArray:
    """The least spanning tree of the runs over all links, as pairs of points (runs - 1, 2).

    ``edges`` are sorted links a < b whose ``weights`` are known and at least cost + pi[a] + pi[b].
    Another link u-v weighs cost + pi[u] + pi[v] and the rho >= 0 of its slots (see :func:`extra`),
    and no less than pi[u] + reach[u]. Borůvka's rounds: each component finds its best link among
    the edges and, from the ends whose reach leaves a doubt, by a search of the k-d tree.
    """
    links = np.empty((max(runs - 1, 0), 2), np.int64)
    label = np.arange(runs)
    part = group.copy()
    lowest = least(pi, spans)
    firsts = np.searchsorted(edges[:, 0], np.arange(len(xy) + 1))
    stack = np.empty(128, np.int64)
    floor = np.empty(128, np.float64)
    cells = Cells(xy, spans, boxes, lowest, stack, floor)
    known = Known(pi, group, starts, keys, rho, firsts, edges, weights)
    active = np.arange(len(edges))
    count = 0
    parts = runs
    while parts > 1:
        shared = common(part, spans)
        best = np.full(parts, np.inf)
        chosen = np.full((parts, 2), -1, np.int64)
        active = best_edges(active, edges, weights, part, best, chosen)
        for u in range(len(xy)):
            most = best[part[u]]
            if pi[u] + reach[u] <= most + ROUNDING * (abs(most) + abs(pi[u])):
                _search(u, cells, metric, known, part, shared, best, chosen)
        parts, count = merged(label, parts, chosen, part, links, count)
        for u in range(len(xy)):
            part[u] = label[group[u]]
    return links
