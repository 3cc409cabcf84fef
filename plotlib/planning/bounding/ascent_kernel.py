"""Kernel of the bound: subgradient steps that make minimum 1-trees look like tours.

Held and Karp's ascent (Mathematical Programming 1, 1971; from memory) with heavy-ball directions.
Each step builds the minimum 1-tree of the sparse graph for the multipliers at hand, then moves each
multiplier by what its constraint is violated: links at an end beyond its share, links of a slot
beyond the vertex that owns it, links of a set beyond its room.

Between steps these hold: ``last`` is one vector with the multipliers of the ends, of the slots and
of the sets, one after the other, those of slots and sets >= 0; so every value met is a lower bound
on the sparse graph. What is claimed here is certified on the complete graph by ``search``; the slow
oracle of the whole is ``tests/oracles_planning.exact_cost``.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from plotlib.checks import AnyInts, BoolArray, FloatArray, IntArray
from plotlib.compiled import compiled
from plotlib.planning.bounding.forest_kernel import sparse_tree
from plotlib.planning.bounding.graph import Links, Multipliers, Problem, SetLinks
from plotlib.planning.bounding.least_kernel import two_links, wanted, weigh
from plotlib.planning.bounding.levels_kernel import spread

# No record was kept of how these two were set; tests/benchmarks/bound.py shows what they do.
NOW = 0.7  # weight of this step's surplus in the direction; the rest is the step's before
RECENT = 0.05  # weight of this step in the means of links taken and vertices chosen


class Recent(NamedTuple):
    """What the 1-trees did of late; goes on in place from stretch to stretch."""

    taken: FloatArray  # (E,) how often each link was taken
    chosen: FloatArray  # (P,) how often each vertex of a closed run was the chosen one
    tide: FloatArray  # (2, nodes) surplus of components, see levels_kernel.spread


class OneTree(NamedTuple):
    """A minimum 1-tree and what a tour would have in its place."""

    weights: FloatArray  # (E,) of the links, multipliers and all
    taken: BoolArray  # (E,) whether the tree has the link
    degree: IntArray  # (P,) its links at each end
    target: IntArray  # (P,) links of a tour there, for the greatest gain


class Surplus(NamedTuple):
    """By how much a 1-tree violates each constraint."""

    ends: IntArray  # (P,) links at an end beyond those of a tour
    slots: IntArray  # (S,) links of a slot beyond its vertex's choice
    sets: IntArray  # (T,) links of a set beyond its room


@compiled
def ascend(
    problem: Problem,
    links: Links,
    sets: SetLinks,
    above: IntArray,
    recent: Recent,
    start: FloatArray,
    steps: FloatArray,
) -> tuple[float, FloatArray, FloatArray, bool]:
    """Move the multipliers from ``start``, each step aiming at a gain of ``steps[k]``.

    The best value on the sparse graph, its multipliers, the last multipliers, and whether the
    1-tree came to be a tour, which nothing can improve.
    """
    points = len(problem.share)
    last = start.copy()
    now = split(last, points, len(links.owner))
    best = -np.inf
    peak = start.copy()
    move = np.zeros(len(start), np.float64)
    push = np.zeros(len(above), np.float64)
    tree = OneTree(
        np.empty(len(links.edges), np.float64),
        np.empty(len(links.edges), np.bool_),
        np.zeros(points, np.int64),
        np.zeros(points, np.int64),
    )
    surplus = Surplus(
        tree.degree, np.zeros(len(links.owner), np.int64), np.zeros(len(sets.room), np.int64)
    )
    groups = _groups(links.edges, problem.group)
    for k in range(len(steps)):
        value = _one_tree(problem, links, sets, groups, now, tree)
        if value > best:
            best = value
            peak[:] = last
        _remember(recent, tree, problem.share)
        excess = _violated(surplus, links, sets, now, tree)
        if excess == 0:
            return value, last, last, True
        within = spread(surplus.ends, problem.group, above, problem.runs, recent.tide, push)
        size = steps[k] / (excess + within)
        weight = NOW if k else 1.0
        for p in range(points):
            move[p] += weight * (surplus.ends[p] + push[problem.group[p]] - move[p])
            now.ends[p] += size * move[p]
        for slot in range(len(now.slots)):
            now.slots[slot] = max(0.0, now.slots[slot] + size * surplus.slots[slot])
        at = points + len(now.slots)
        for s in range(len(now.sets)):
            move[at + s] += weight * (surplus.sets[s] - move[at + s])
            now.sets[s] = max(0.0, now.sets[s] + size * move[at + s])
    return best, peak, last, False


@compiled
def split(every: FloatArray, points: int, slots: int) -> Multipliers:
    """Views of one vector: those of the ends, of the slots and of the sets."""
    return Multipliers(every[:points], every[points : points + slots], every[points + slots :])


@compiled
def raised(weights: FloatArray, zeta: FloatArray, sets: SetLinks) -> float:
    """Let the links inside of sets weigh their multipliers more; what a tour with full sets weighs
    more at most, but for the room that chosen vertices make.
    """
    price = 0.0
    for s in range(len(sets.room)):
        if zeta[s] > 0.0:
            price += zeta[s] * sets.room[s]
            for j in range(sets.spans[s], sets.spans[s + 1]):
                weights[sets.links[j]] += zeta[s]
    return price


@compiled
def _groups(edges: IntArray, group: IntArray) -> AnyInts:
    """The runs of the ends of each link, as small numbers."""
    groups: AnyInts = np.empty(edges.shape, np.int32)
    for e in range(len(edges)):
        groups[e, 0] = group[edges[e, 0]]
        groups[e, 1] = group[edges[e, 1]]
    return groups


@compiled
def _one_tree(
    problem: Problem,
    links: Links,
    sets: SetLinks,
    groups: AnyInts,
    now: Multipliers,
    tree: OneTree,
) -> float:
    """Fill in the minimum 1-tree of the sparse graph; its value less what a tour's multipliers
    come to at most.
    """
    weigh(tree.weights, now, links)
    value = -raised(tree.weights, now.sets, sets)
    tree.degree[:] = 0
    value += sparse_tree(links.edges, groups, problem.runs, tree.weights, tree.degree, tree.taken)
    u, v = two_links(problem.first, problem.second, now.ends, problem.group)
    tree.degree[u] += 1
    tree.degree[v] += 1
    gain = wanted(problem, now, links.owner, sets, tree.target)
    home = problem.first[u] + now.ends[u]
    finish = problem.second[v] + now.ends[v]
    return float(value + (home + finish - gain))


@compiled
def _remember(recent: Recent, tree: OneTree, share: IntArray) -> None:
    """Let this step count in the means."""
    for e in range(len(recent.taken)):
        recent.taken[e] += RECENT * (tree.taken[e] - recent.taken[e])
    for p in range(len(share)):
        is_chosen = share[p] == 0 and tree.target[p] == 2
        recent.chosen[p] += RECENT * (is_chosen - recent.chosen[p])


@compiled
def _violated(
    surplus: Surplus, links: Links, sets: SetLinks, now: Multipliers, tree: OneTree
) -> int:
    """Fill in the surplus; the sum of the squares of what counts: a slot or set with room left and
    no multiplier does not.
    """
    total = 0
    for p in range(len(tree.degree)):
        surplus.ends[p] = tree.degree[p] - tree.target[p]
        total += surplus.ends[p] ** 2
    total += _overfull(surplus.slots, now.slots, links, tree)
    return total + _beyond(surplus.sets, now.sets, sets, tree)


@compiled
def _overfull(filled: IntArray, rho: FloatArray, links: Links, tree: OneTree) -> int:
    """Fill in the surplus of links in each slot; the sum of the squares of those that count."""
    for slot in range(len(rho)):
        filled[slot] = -(tree.target[links.owner[slot]] // 2)
    for e in range(len(links.slots)):
        if tree.taken[e]:
            for side in range(2):
                if links.slots[e, side] >= 0:
                    filled[links.slots[e, side]] += 1
    total = 0
    for slot in range(len(rho)):
        if filled[slot] > 0 or rho[slot] > 0.0:
            total += filled[slot] ** 2
    return total


@compiled
def _beyond(held: IntArray, zeta: FloatArray, sets: SetLinks, tree: OneTree) -> int:
    """Fill in the links taken beyond the room of each set; the sum of the squares of those that
    count.
    """
    for s in range(len(sets.room)):
        held[s] = -sets.room[s]
        for j in range(sets.spans[s], sets.spans[s + 1]):
            held[s] += tree.taken[sets.links[j]]
    for k in range(len(sets.counted)):
        if tree.target[sets.counted[k]] == 2:
            held[sets.counting[k]] -= 1
    total = 0
    for s in range(len(sets.room)):
        if held[s] > 0 or zeta[s] > 0.0:
            total += held[s] ** 2
    return total
