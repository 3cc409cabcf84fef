"""Kernels of the bound: what links weigh, and the parts of a 1-tree beside its tree.

M. Held, R. M. Karp, Mathematical Programming 1 (1971; from memory): a 1-tree is a spanning tree and
two links of one more node, here of home. A link from u to v weighs its cost, ``pi[u] + pi[v]`` and
the multipliers of its slots; the multipliers of all points times the links that a tour has there
are subtracted at the end. Invariant: no tour's weight, so counted, is below that of the 1-tree.

``pi``, ``group``, ``share`` (P,) are of the points: multiplier, run, links in any tour; ``first``
and ``second`` (P,) are costs of links from home and to the finish; ``edges`` (E, 2), ``costs`` and
``weights`` (E,) of the links, the rest as in ``graph``. Oracles: exact costs of small orders, and
Prim's way over all pairs, in ``tests/planning/bounding/test_bound.py``.
"""

from __future__ import annotations

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.compiled import compiled
from plotlib.planning.bounding.graph import Links, Multipliers, Problem, SetLinks
from plotlib.planning.cost_kernel import move_cost
from plotlib.planning.metric import Metric


@compiled
def two_links(
    first: FloatArray, second: FloatArray, pi: FloatArray, group: IntArray
) -> tuple[int, int]:
    """The cheapest pair of points of two runs for the links from home (``first``: their costs) and
    to the finish.
    """
    ones = _two_best(first, pi, group)
    others = _two_best(second, pi, group)
    best = np.inf
    pair = (0, 0)
    for u in ones:
        for v in others:
            if (
                u >= 0
                and v >= 0
                and group[u] != group[v]
                and first[u] + pi[u] + (second[v] + pi[v]) < best
            ):
                best = first[u] + pi[u] + (second[v] + pi[v])
                pair = (u, v)
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
def wanted(
    problem: Problem, now: Multipliers, owner: IntArray, sets: SetLinks, target: IntArray
) -> float:
    """How many links a tour has at each point for the sum of the multipliers' gains to be greatest;
    that sum.

    ``share`` is 2 for a dot, 1 for an end of an open run, and 0 for a vertex of a closed one, whose
    two links meet at one vertex: the one with the greatest gain, 2 pi and the multipliers of all
    slots that it owns and of all sets that it makes room in.
    """
    share = problem.share
    worth = 2.0 * now.ends
    for slot in range(len(now.slots)):
        worth[owner[slot]] += now.slots[slot]
    for k in range(len(sets.counted)):
        worth[sets.counted[k]] += now.sets[sets.counting[k]]
    top = np.full(problem.runs, -1, np.int64)
    total = 0.0
    for u in range(len(share)):
        target[u] = share[u]
        total += share[u] * now.ends[u]
        run = problem.group[u]
        if share[u] == 0 and (top[run] < 0 or worth[u] > worth[top[run]]):
            top[run] = u
    for run in range(problem.runs):
        if top[run] >= 0:
            target[top[run]] = 2
            total += worth[top[run]]
    return total


@compiled
def weigh(weights: FloatArray, now: Multipliers, links: Links) -> None:
    """Fill in what each link weighs: its cost and the multipliers of its ends and slots.

    A slot stands for the links from one vertex of a closed run to one other run: no more than one
    of them is taken, and only where the vertex is the chosen one.
    """
    edges = links.edges
    for e in range(len(edges)):
        weights[e] = now.ends[edges[e, 0]] + now.ends[edges[e, 1]] + links.costs[e]
    for e in range(len(links.slots)):
        for side in range(2):
            if links.slots[e, side] >= 0:
                weights[e] += now.slots[links.slots[e, side]]


@compiled
def costs_from(metric: Metric, xy: FloatArray, x: float, y: float) -> FloatArray:
    """Cost of the link between (x, y) and each point."""
    costs = np.empty(len(xy), np.float64)
    for u in range(len(xy)):
        costs[u] = move_cost(metric, xy[u, 0] - x, xy[u, 1] - y)
    return costs


@compiled
def costs_of(metric: Metric, xy: FloatArray, edges: IntArray) -> FloatArray:
    """Cost of each link."""
    costs = np.empty(len(edges), np.float64)
    for e in range(len(edges)):
        a = edges[e, 0]
        b = edges[e, 1]
        costs[e] = move_cost(metric, xy[a, 0] - xy[b, 0], xy[a, 1] - xy[b, 1])
    return costs
