"""Kernels of the bound on a sparse graph: multipliers that make the least spanning tree look like a
tour.
"""

from __future__ import annotations

import numpy as np

from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.compiled import compiled
from plotlib.planning.bounding.forest_kernel import sparse_tree
from plotlib.planning.bounding.least_kernel import two_links, wanted, weigh
from plotlib.planning.bounding.levels_kernel import spread

NOW = 0.7  # weight of this step's surplus in the direction; the rest is the step's before
RECENT = 0.05  # weight of this step in the mean of links taken


@compiled
def ascend(
    start: FloatArray,
    mean: FloatArray,
    tide: FloatArray,
    edges: IntArray,
    costs: FloatArray,
    slots: IntArray,
    owner: IntArray,
    sets: IntArray,
    inside: IntArray,
    room: IntArray,
    group: IntArray,
    above: IntArray,
    runs: int,
    share: IntArray,
    first: FloatArray,
    second: FloatArray,
    steps: FloatArray,
) -> tuple[float, FloatArray, FloatArray, bool]:
    """Move the multipliers along the surplus of links, each step aiming at a gain of ``steps[k]``.

    ``start`` holds those of the points (pi), of the slots (rho) and of the odd sets (zeta), one
    after the other. ``mean``, how often each link was taken of late, and ``tide`` (see
    :func:`~plotlib.planning.bounding.levels_kernel.spread`) go on in place. The best value on the
    sparse graph, its multipliers, the last multipliers, and whether the 1-tree came to be a tour,
    which nothing can improve.
    """
    points = len(share)
    slotted = len(share) + len(owner)
    last = start.copy()
    pi = last[:points]
    rho = last[points:slotted]
    zeta = last[slotted:]
    best = -np.inf
    peak = start.copy()
    move = np.zeros(len(start), np.float64)
    degree = np.zeros(points, np.int64)
    target = np.zeros(points, np.int64)
    filled = np.zeros(len(owner), np.int64)
    held = np.zeros(len(room), np.int64)
    weights = np.empty(len(edges), np.float64)
    taken = np.empty(len(edges), np.bool_)
    push = np.zeros(len(above), np.float64)
    groups = np.empty(edges.shape, np.int32)
    for e in range(len(edges)):
        groups[e, 0], groups[e, 1] = group[edges[e, 0]], group[edges[e, 1]]
    for k in range(len(steps)):
        weigh(weights, pi, rho, edges, slots, costs)
        value = -raised(weights, zeta, sets, inside, room)
        degree[:] = 0
        value += sparse_tree(edges, groups, runs, weights, degree, taken)
        u, v = two_links(first, second, pi, group)
        degree[u] += 1
        degree[v] += 1
        value += (
            first[u]
            + pi[u]
            + (second[v] + pi[v])
            - wanted(pi, rho, owner, group, share, runs, target)
        )
        if value > best:
            best = value
            peak[:] = last
        for e in range(len(mean)):
            mean[e] += RECENT * (taken[e] - mean[e])
        degree -= target
        excess = (degree**2).sum() + _overfull(filled, rho, slots, owner, taken, target)
        excess += _beyond(held, zeta, sets, inside, room, taken)
        if excess == 0:
            return value, last, last, True
        within = spread(degree, group, above, runs, tide, push)
        size = steps[k] / (excess + within)
        now = NOW if k else 1.0
        for p in range(points):
            move[p] += now * (degree[p] + push[group[p]] - move[p])
            pi[p] += size * move[p]
        for slot in range(len(rho)):
            rho[slot] = max(0.0, rho[slot] + size * filled[slot])
        for s in range(len(zeta)):
            move[slotted + s] += now * (held[s] - move[slotted + s])
            zeta[s] = max(0.0, zeta[s] + size * move[slotted + s])
    return best, peak, last, False


@compiled
def raised(
    weights: FloatArray, zeta: FloatArray, sets: IntArray, inside: IntArray, room: IntArray
) -> float:
    """Let the links inside of sets weigh their multipliers more; what a tour with full sets weighs
    more at most.
    """
    price = 0.0
    for s in range(len(room)):
        if zeta[s] > 0.0:
            price += zeta[s] * room[s]
            for j in range(sets[s], sets[s + 1]):
                weights[inside[j]] += zeta[s]
    return price


@compiled
def _beyond(
    held: IntArray,
    zeta: FloatArray,
    sets: IntArray,
    inside: IntArray,
    room: IntArray,
    taken: BoolArray,
) -> int:
    """Fill in the links taken beyond the room of each set; the sum of the squares of those that
    count.
    """
    total = 0
    for s in range(len(room)):
        held[s] = -room[s]
        for j in range(sets[s], sets[s + 1]):
            held[s] += taken[inside[j]]
        if held[s] > 0 or zeta[s] > 0.0:
            total += held[s] ** 2
    return total


@compiled
def _overfull(
    filled: IntArray,
    rho: FloatArray,
    slots: IntArray,
    owner: IntArray,
    taken: BoolArray,
    target: IntArray,
) -> int:
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
