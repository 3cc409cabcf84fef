"""Kernels of the bound on the complete graph: the exact least spanning tree of the runs over all
links of their ends.
"""

from __future__ import annotations

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.compiled import compiled
from plotlib.planning.bounding.cells_kernel import common, descend, least
from plotlib.planning.bounding.forest_kernel import numbered
from plotlib.planning.cost_kernel import move_cost
from plotlib.planning.metric import Metric
from plotlib.planning.union_find_kernel import root

ROUNDING = 1e-14  # room for the order of sums when cells are left out


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
def _search(
    u: int,
    xy: FloatArray,
    part: IntArray,
    spans: IntArray,
    boxes: FloatArray,
    metric: Metric,
    pi: FloatArray,
    lowest: FloatArray,
    shared: IntArray,
    best: FloatArray,
    chosen: IntArray,
    group: IntArray,
    starts: IntArray,
    keys: IntArray,
    rho: FloatArray,
    firsts: IntArray,
    edges: IntArray,
    weights: FloatArray,
    stack: IntArray,
    floor: FloatArray,
) -> None:
    """Improve the best link of the component of point ``u`` by the links from it to other
    components.
    """
    own = part[u]
    stack[0] = 0
    floor[0] = -np.inf
    depth = 1
    while depth:
        depth -= 1
        node = stack[depth]
        most = best[own] - pi[u]
        if floor[depth] > most + ROUNDING * abs(most):
            continue
        if 2 * node + 1 < len(spans):
            most += ROUNDING * abs(most)
            depth = descend(
                node,
                xy[u, 0],
                xy[u, 1],
                own,
                shared,
                lowest,
                boxes,
                metric,
                most,
                stack,
                floor,
                depth,
            )
            continue
        for v in range(spans[node, 0], spans[node, 1]):
            if part[v] != own:
                w = pi[u] + pi[v] + move_cost(metric, xy[u, 0] - xy[v, 0], xy[u, 1] - xy[v, 1])
                a = min(u, v)
                b = max(u, v)
                if w <= best[own]:
                    known = place(a, b, firsts, edges)
                    if known >= 0:
                        w = weights[known]
                    elif len(rho):
                        w += extra(a, group[b], starts, keys, rho) + extra(
                            b, group[a], starts, keys, rho
                        )
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
    known = group, starts, keys, rho, firsts, edges, weights, stack, floor
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
                _search(u, xy, part, spans, boxes, metric, pi, lowest, shared, best, chosen, *known)
        parts, count = merged(label, parts, chosen, part, links, count)
        for u in range(len(xy)):
            part[u] = label[group[u]]
    return links
