"""The cheapest order of a few runs: lower bounds by dynamic programming over subsets (Bellman 1962;
Held and Karp 1962), then a search.

A closed run of many vertices is taken as stretches of its vertices, each with a box; a gap between
boxes never overestimates a move.

The table ``rest`` (2^runs, stretches) holds what is left to pay at least after a subset of the
runs, the last of them left from a stretch; the search never takes a step on which cost so far and
``rest`` reach the best order known. What the other arrays hold stands with :func:`rest_costs`.
Tested by ``tests/planning/ordering/test_order.py`` against all orders, directions and start
vertices.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.compiled import compiled
from plotlib.planning.cost_kernel import move_cost
from plotlib.planning.metric import Metric


@compiled
def gap_cost(metric: Metric, one: FloatArray, two: FloatArray) -> float:
    """Least cost of a move from a point of box ``one`` to a point of box ``two``; boxes are (x0,
    y0, x1, y1).
    """
    dx = max(0.0, two[0] - one[2], one[0] - two[2])
    dy = max(0.0, two[1] - one[3], one[1] - two[3])
    return move_cost(metric, dx, dy)


@compiled
def rest_costs(
    metric: Metric,
    enter: FloatArray,
    leave: FloatArray,
    first: IntArray,
    needs: IntArray,
    finish: FloatArray,
) -> tuple[FloatArray, FloatArray]:
    """Lower bound on what is left to pay after the runs of a subset, the last in stretch c: shape
    (2^runs, stretches); and all gaps.

    Stretch c of run r (``first[r] <= c < first[r + 1]``) is entered in the box ``enter[c]`` and
    left from the box ``leave[c]``; run r may come only after all runs of the bit set ``needs[r]``.
    ``finish`` is a box, nan where the end is free.
    """
    runs = len(first) - 1
    count = first[runs]
    full = (1 << runs) - 1
    gaps = np.empty((count, count))
    for u in range(count):
        for v in range(count):
            gaps[u, v] = gap_cost(metric, leave[u], enter[v])
    rest = np.full((full + 1, count), np.inf)
    for c in range(count):
        rest[full, c] = 0.0 if np.isnan(finish[0]) else gap_cost(metric, leave[c], finish)
    for mask in range(full - 1, 0, -1):
        for q in range(runs):
            if mask >> q & 1 or needs[q] & ~mask:
                continue
            for r in range(runs):
                if mask >> r & 1 == 0:
                    continue
                for u in range(first[r], first[r + 1]):
                    for v in range(first[q], first[q + 1]):
                        rest[mask, u] = min(rest[mask, u], gaps[u, v] + rest[mask | 1 << q, v])
    return rest, gaps


class Stretches(NamedTuple):
    """The states of a few runs in stretches, and what orders of them must keep to.

    Stretch c has the states ``low[c]:low[c + 1]``, run r the stretches ``first[r]:first[r + 1]``.
    """

    xy: FloatArray  # (states, 2) where each state is entered
    exit_of: IntArray  # (states,) the state at whose point it is left
    low: IntArray  # (stretches + 1,)
    first: IntArray  # (runs + 1,)
    needs: IntArray  # (runs,) bits of the runs that must come before
    ends: FloatArray  # (4,) home x, home y, finish x, finish y; nan where that end is free
    rest: FloatArray  # (2^runs, stretches) as rest_costs has it
    gaps: FloatArray  # (stretches, stretches)


class Begun(NamedTuple):
    """The sequence that a search stands at, and what it costs so far.

    A depth has rows of its own: the first holds the run that was drawn last and the one that is
    tried next, so that a step back finds what it needs where it was.
    """

    sequence: IntArray  # (runs,) the run at each depth; -1 where none was tried yet
    masks: IntArray  # (runs + 1,) bits of the runs before each depth
    value: FloatArray  # (runs, states) cost of the pen's way so far if it ends in that state
    floor: FloatArray  # (runs, stretches) the least value in each stretch, infinite where none is


@compiled
def _begin(metric: Metric, given: Stretches, q: int, begun: Begun) -> float:
    """Draw run q first, from home; a bound on the whole order."""
    onward = given.rest[1 << q]
    bound = np.inf
    for c in range(given.first[q], given.first[q + 1]):
        begun.floor[0, c] = np.inf
        for p in range(given.low[c], given.low[c + 1]):
            cost = 0.0
            if not np.isnan(given.ends[0]):
                dx = given.xy[p, 0] - given.ends[0]
                cost = move_cost(metric, dx, given.xy[p, 1] - given.ends[1])
            begun.value[0, p] = cost
            begun.floor[0, c] = min(begun.floor[0, c], cost)
        bound = min(bound, begun.floor[0, c] + onward[c])
    return bound


@compiled
def _extend(
    metric: Metric, given: Stretches, q: int, begun: Begun, depth: int, limit: float
) -> float:
    """Draw run q after the run of the depth before, where an order through it can beat ``limit``;
    a bound on the whole order.
    """
    run = begun.sequence[depth - 1]
    before = (given.first[run], given.first[run + 1])
    low = given.low
    gaps = given.gaps
    value = begun.value[depth]
    floor = begun.floor[depth]
    # each depth keeps its own values, so that a step back finds them: copy what the run is left at
    for p in range(low[before[0]], low[before[1]]):
        value[p] = begun.value[depth - 1, p]
    for u in range(before[0], before[1]):
        floor[u] = begun.floor[depth - 1, u]
    onward = given.rest[begun.masks[depth] | 1 << q]
    bound = np.inf
    for v in range(given.first[q], given.first[q + 1]):
        floor[v] = np.inf
        reach = np.inf
        for u in range(before[0], before[1]):
            reach = min(reach, floor[u] + gaps[u, v])
        # most stretches end here: boxes alone show that no order through them is the cheapest
        if reach + onward[v] >= limit:
            continue
        for p in range(low[v], low[v + 1]):
            x, y = given.xy[p]
            least = np.inf
            for u in range(before[0], before[1]):
                if floor[u] + gaps[u, v] >= min(least, limit):
                    continue
                for o in range(low[u], low[u + 1]):
                    if value[o] < least:  # else no move, however short, makes it better
                        at = given.xy[given.exit_of[o]]
                        least = min(least, value[o] + move_cost(metric, at[0] - x, at[1] - y))
            value[p] = least
            floor[v] = min(floor[v], least)
        bound = min(bound, floor[v] + onward[v])
    return bound


@compiled
def _finished(
    metric: Metric, given: Stretches, q: int, value: FloatArray, floor: FloatArray
) -> float:
    """What the whole order costs at least if it ends with run q."""
    cost = np.inf
    for c in range(given.first[q], given.first[q + 1]):
        if floor[c] == np.inf:  # left out by its bound: what stands there is of another sequence
            continue
        for p in range(given.low[c], given.low[c + 1]):
            total = value[p]
            if not np.isnan(given.ends[2]):
                left = given.exit_of[p]
                dx = given.xy[left, 0] - given.ends[2]
                total += move_cost(metric, dx, given.xy[left, 1] - given.ends[3])
            cost = min(cost, total)
    return cost


@compiled
def cheapest_sequence(metric: Metric, given: Stretches, known: float) -> IntArray:
    """The sequence of runs whose best states cost the least, where that is below ``known``; else -1
    in the first place.

    Depth first over sequences; the costs of all states along the sequence are exact, what is left
    is bounded by ``rest``.
    """
    runs = len(given.first) - 1
    begun = Begun(
        np.full(runs, -1),
        np.zeros(runs + 1, np.int64),
        np.full((runs, len(given.xy)), np.inf),
        np.full((runs, given.first[runs]), np.inf),
    )
    best = np.full(runs, -1)
    depth = 0
    while depth >= 0:
        q = begun.sequence[depth] + 1
        begun.sequence[depth] = q
        if q == runs:  # all runs were tried here: back to the one before
            begun.sequence[depth] = -1
            depth -= 1
            continue
        mask = begun.masks[depth]
        if mask >> q & 1 or given.needs[q] & ~mask:
            continue
        if depth == 0:
            bound = _begin(metric, given, q, begun)
        else:
            bound = _extend(metric, given, q, begun, depth, known)
        if bound >= known:
            continue
        if depth < runs - 1:
            depth += 1
            begun.masks[depth] = mask | 1 << q
            continue
        cost = _finished(metric, given, q, begun.value[depth], begun.floor[depth])
        if cost < known:
            known = cost
            best[:] = begun.sequence
    return best
