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


@compiled
def _extend(
    metric: Metric,
    xy: FloatArray,
    exit_of: IntArray,
    low: IntArray,
    enter: FloatArray,
    gaps: FloatArray,
    value: FloatArray,
    floor: FloatArray,
    before: tuple[int, int],
    new: tuple[int, int],
    onward: FloatArray,
    limit: float,
) -> float:
    """Exact cost of reaching the states of stretches ``new`` from those of ``before``, where an
    order through them can beat ``limit``.

    ``value[p]`` is the cost so far of each state, ``floor[c]`` the least in each stretch (inf:
    none). Returns a bound on the whole order.
    """
    bound = np.inf
    for v in range(new[0], new[1]):
        floor[v] = np.inf
        reach = np.inf
        for u in range(before[0], before[1]):
            reach = min(reach, floor[u] + gaps[u, v])
        if reach + onward[v] >= limit:
            continue
        for p in range(low[v], low[v + 1]):
            x, y = xy[p]
            least = np.inf
            for u in range(before[0], before[1]):
                if floor[u] + gaps[u, v] >= min(least, limit):
                    continue
                for o in range(low[u], low[u + 1]):
                    if value[o] < least:
                        cost = value[o] + move_cost(
                            metric, xy[exit_of[o], 0] - x, xy[exit_of[o], 1] - y
                        )
                        least = min(least, cost)
            value[p] = least
            floor[v] = min(floor[v], least)
        bound = min(bound, floor[v] + onward[v])
    return bound


@compiled
def cheapest_sequence(
    metric: Metric,
    xy: FloatArray,
    exit_of: IntArray,
    low: IntArray,
    enter: FloatArray,
    first: IntArray,
    needs: IntArray,
    ends: FloatArray,
    rest: FloatArray,
    gaps: FloatArray,
    known: float,
) -> IntArray:
    """The sequence of runs whose best states cost the least, where that is below ``known``; else -1
    in the first place.

    Depth first over sequences; the costs of all states along the sequence are exact, what is left
    is bounded by ``rest``.
    """
    runs = len(first) - 1
    value = np.empty((runs, len(xy)))
    floor = np.empty((runs, first[runs]))
    sequence = np.full(runs, -1)
    best = np.full(runs, -1)
    masks = np.zeros(runs + 1, np.int64)
    depth = 0
    while depth >= 0:
        q = sequence[depth] + 1
        sequence[depth] = q
        if q == runs:
            sequence[depth] = -1
            depth -= 1
            continue
        mask = masks[depth]
        if mask >> q & 1 or needs[q] & ~mask:
            continue
        onward = rest[mask | 1 << q]
        if depth == 0:
            bound = np.inf
            for c in range(first[q], first[q + 1]):
                floor[0, c] = np.inf
                for p in range(low[c], low[c + 1]):
                    value[0, p] = (
                        0.0
                        if np.isnan(ends[0])
                        else move_cost(metric, xy[p, 0] - ends[0], xy[p, 1] - ends[1])
                    )
                    floor[0, c] = min(floor[0, c], value[0, p])
                bound = min(bound, floor[0, c] + onward[c])
        else:
            r = sequence[depth - 1]
            # the states of a run keep their values per depth: copy those that the next run starts
            # from
            for p in range(low[first[r]], low[first[r + 1]]):
                value[depth, p] = value[depth - 1, p]
            for c in range(first[r], first[r + 1]):
                floor[depth, c] = floor[depth - 1, c]
            before = (first[r], first[r + 1])
            new = (first[q], first[q + 1])
            bound = _extend(
                metric,
                xy,
                exit_of,
                low,
                enter,
                gaps,
                value[depth],
                floor[depth],
                before,
                new,
                onward,
                known,
            )
        if bound >= known:
            continue
        if depth < runs - 1:
            depth += 1
            masks[depth] = mask | 1 << q
            continue
        cost = np.inf
        for c in range(first[q], first[q + 1]):
            if floor[depth, c] == np.inf:
                continue
            for p in range(low[c], low[c + 1]):
                total = value[depth, p]
                if not np.isnan(ends[2]):
                    total += move_cost(
                        metric, xy[exit_of[p], 0] - ends[2], xy[exit_of[p], 1] - ends[3]
                    )
                cost = min(cost, total)
        if cost < known:
            known = cost
            best[:] = sequence
    return best
