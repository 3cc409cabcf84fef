"""Kernels of the bound on a sparse graph: multipliers that make the least spanning tree look like a tour."""

from __future__ import annotations

import numpy as np

from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.compiled import compiled
from plotlib.planning.join_kernel import root
from plotlib.planning.metric import move_cost


@compiled
def sparse_tree(edges: IntArray, group: IntArray, runs: int, weights: FloatArray, degree: IntArray, taken: BoolArray) -> float:
    """Weight of the least spanning forest of the runs over the given links, which are marked and counted in ``degree`` (of each point)."""
    taken[:] = False
    count = len(edges)
    a, b, w, which = np.empty(count, np.int32), np.empty(count, np.int32), weights.copy(), np.arange(count)
    for e in range(count):
        a[e], b[e] = group[edges[e, 0]], group[edges[e, 1]]
    new = np.arange(runs)
    parts, total = runs, 0.0
    while True:
        best, kept = np.full(parts, -1, np.int64), 0
        for e in range(count):
            one, other = new[a[e]], new[b[e]]
            if one == other:
                continue
            a[kept], b[kept], w[kept], which[kept] = one, other, w[e], which[e]
            if best[one] < 0 or w[kept] < w[best[one]]:
                best[one] = kept
            if best[other] < 0 or w[kept] < w[best[other]]:
                best[other] = kept
            kept += 1
        if kept == 0:
            return total
        count = kept
        parent = np.arange(parts)
        for own in range(parts):
            e = best[own]
            if e < 0:
                continue
            one, other = root(parent, a[e]), root(parent, b[e])
            if one != other:
                parent[max(one, other)] = min(one, other)
                total += w[e]
                taken[which[e]] = True
                degree[edges[which[e], 0]] += 1
                degree[edges[which[e], 1]] += 1
        new = np.empty(parts, np.int64)
        left = 0
        for own in range(parts):
            if parent[own] == own:
                new[own] = left
                left += 1
            else:
                new[own] = new[parent[own]]
        parts = left


@compiled
def two_links(first: FloatArray, second: FloatArray, pi: FloatArray, group: IntArray) -> tuple[int, int]:
    """The cheapest pair of points of two runs for the links from home (``first``: their costs) and to the finish."""
    ones, others = _two_best(first, pi, group), _two_best(second, pi, group)
    best, pair = np.inf, (0, 0)
    for u in ones:
        for v in others:
            if u >= 0 and v >= 0 and group[u] != group[v] and first[u] + pi[u] + (second[v] + pi[v]) < best:
                best, pair = first[u] + pi[u] + (second[v] + pi[v]), (u, v)
    return pair


@compiled
def _two_best(cost: FloatArray, pi: FloatArray, group: IntArray) -> tuple[int, int]:
    """The point of least cost + pi, and the best one of another run."""
    one = other = -1
    for u in range(len(pi)):
        w = cost[u] + pi[u]
        if one < 0 or w < cost[one] + pi[one]:
            if one >= 0 and group[one] != group[u]:
                other = one
            one = u
        elif group[u] != group[one] and (other < 0 or w < cost[other] + pi[other]):
            other = u
    return one, other


@compiled
def wanted(pi: FloatArray, rho: FloatArray, owner: IntArray, group: IntArray, share: IntArray, runs: int, target: IntArray) -> float:
    """How many links a tour has at each point for the sum of the multipliers' gains to be greatest; that sum.

    ``share`` is 2 for a dot, 1 for an end of an open run, and 0 for a vertex of a closed one, whose two links meet at one vertex: the
    one with the greatest gain, 2 pi and the rho of all that it owns.
    """
    worth = 2.0 * pi
    for slot in range(len(rho)):
        worth[owner[slot]] += rho[slot]
    top = np.full(runs, -1, np.int64)
    total = 0.0
    for u in range(len(pi)):
        target[u] = share[u]
        total += share[u] * pi[u]
        if share[u] == 0 and (top[group[u]] < 0 or worth[u] > worth[top[group[u]]]):
            top[group[u]] = u
    for run in range(runs):
        if top[run] >= 0:
            target[top[run]] = 2
            total += worth[top[run]]
    return total


@compiled
def weigh(weights: FloatArray, pi: FloatArray, rho: FloatArray, edges: IntArray, slots: IntArray, costs: FloatArray) -> None:
    """Fill in what each link weighs: its cost and the multipliers of its ends and slots."""
    for e in range(len(edges)):
        weights[e] = pi[edges[e, 0]] + pi[edges[e, 1]] + costs[e]
    for e in range(len(slots)):
        for side in range(2):
            if slots[e, side] >= 0:
                weights[e] += rho[slots[e, side]]


@compiled
def ascend(
    pi: FloatArray,
    rho: FloatArray,
    edges: IntArray,
    slots: IntArray,
    owner: IntArray,
    costs: FloatArray,
    group: IntArray,
    runs: int,
    share: IntArray,
    first: FloatArray,
    second: FloatArray,
    steps: FloatArray,
) -> tuple[float, FloatArray, FloatArray, bool]:
    """Move the multipliers along the surplus of links, each step aiming at a gain of ``steps[k]``.

    A slot stands for the links from one vertex of a closed run to one other run: no more than one of them is taken, and only where
    the vertex is the chosen one. The best value on the sparse graph, its multipliers, and whether the 1-tree came to be a tour, which
    nothing can improve.
    """
    pi, rho = pi.copy(), rho.copy()
    best, best_pi, best_rho = -np.inf, pi.copy(), rho.copy()
    degree, target, before = np.zeros(len(pi), np.int64), np.zeros(len(pi), np.int64), np.zeros(len(pi), np.int64)
    weights, taken, filled = np.empty(len(edges), np.float64), np.empty(len(edges), np.bool_), np.zeros(len(rho), np.int64)
    for k in range(len(steps)):
        weigh(weights, pi, rho, edges, slots, costs)
        degree[:] = 0
        value = sparse_tree(edges, group, runs, weights, degree, taken)
        u, v = two_links(first, second, pi, group)
        degree[u] += 1
        degree[v] += 1
        value += first[u] + pi[u] + (second[v] + pi[v]) - wanted(pi, rho, owner, group, share, runs, target)
        if value > best:
            best = value
            best_pi[:] = pi
            best_rho[:] = rho
        excess = 0
        for p in range(len(pi)):
            excess += (degree[p] - target[p]) ** 2
        excess += _overfull(filled, rho, slots, owner, taken, target)
        if excess == 0:
            return value, pi, rho, True
        for p in range(len(pi)):
            surplus = degree[p] - target[p]
            pi[p] += steps[k] / excess * (0.7 * surplus + 0.3 * (before[p] if k else surplus))
            before[p] = surplus
        for slot in range(len(rho)):
            rho[slot] = max(0.0, rho[slot] + steps[k] / excess * filled[slot])
    return best, best_pi, best_rho, False


@compiled
def _overfull(filled: IntArray, rho: FloatArray, slots: IntArray, owner: IntArray, taken: BoolArray, target: IntArray) -> int:
    """Fill in the surplus of links in each slot; the sum of the squares of those that count."""
    for slot in range(len(rho)):
        filled[slot] = -(target[owner[slot]] // 2)
    for e in range(len(slots)):
        if taken[e]:
            for side in range(2):
                if slots[e, side] >= 0:
                    filled[slots[e, side]] += 1
    total = 0
    for slot in range(len(rho)):
        if filled[slot] > 0 or rho[slot] > 0.0:
            total += filled[slot] ** 2
    return total


@compiled
def costs_from(metric: FloatArray, xy: FloatArray, x: float, y: float) -> FloatArray:
    """Cost of the link between (x, y) and each point."""
    costs = np.empty(len(xy), np.float64)
    for u in range(len(xy)):
        costs[u] = move_cost(metric, xy[u, 0] - x, xy[u, 1] - y)
    return costs


@compiled
def costs_of(metric: FloatArray, xy: FloatArray, edges: IntArray) -> FloatArray:
    """Cost of each link."""
    costs = np.empty(len(edges), np.float64)
    for e in range(len(edges)):
        a, b = edges[e, 0], edges[e, 1]
        costs[e] = move_cost(metric, xy[a, 0] - xy[b, 0], xy[a, 1] - xy[b, 1])
    return costs
