"""Kernel of the bound: sets of vertices that 1-trees link more often than chosen vertices allow.

Generalised subtour elimination (M. Fischetti, J. J. Salazar González, P. Toth, Networks 26, 1995;
from memory). A closed run is entered and left at one vertex, the chosen one, so the links of a tour
inside a set S of vertices join chosen vertices only, and as home is outside of S they are a forest:
there are fewer of them than chosen vertices in S, if any is. With y(v) = 1 where v is chosen, and
any run R, that is

    links inside S  <=  sum of y(v) over the v in S that are not of R,

because R has at most one chosen vertex: without one in S nothing is left out, with one it is the
one to spare. Relaxed tours break this where runs come near each other at several places: they
choose half a vertex here and half a vertex there.

The oracle is ``tests/planning/bounding/test_bound.py``: no random tour takes more links of a set
than there is room.
"""

from __future__ import annotations

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.compiled import compiled
from plotlib.planning.bounding.sets_kernel import Near, chained, join, mark_of
from plotlib.planning.union_find_kernel import root

# Chosen once and not varied since; tests/benchmarks/bound.py --closed shows what they do.
MOST = 40  # points of a set
EXCESS = 0.1  # links beyond the room that make a set worth its multiplier


@compiled
def find(
    near: Near, order: IntArray, chosen: FloatArray, group: IntArray, share: IntArray, runs: int
) -> tuple[IntArray, IntArray, IntArray, IntArray]:
    """Sets that the 1-trees overfill in the mean: rows (a, a), one for each point, where each set
    begins, the run R of each, and a mark that differs between sets.

    Vertices (and dots, which are always chosen) grow together along the links of ``order``, and
    each component is looked at once.
    """
    count = len(share)
    chain = chained(count)
    mark = np.full(count, -1)
    load = np.zeros(runs, np.float64)
    rows = np.empty((8 * count + 100, 2), np.int64)
    sets = np.zeros(count + 2, np.int64)
    spares = np.empty(count + 1, np.int64)
    marks = np.empty(count + 1, np.int64)
    used = 0
    made = 0
    for e in order:
        a = root(chain.parent, near.edges[e, 0])
        b = root(chain.parent, near.edges[e, 1])
        if a == b or chain.size[a] + chain.size[b] > MOST:
            continue
        if share[near.edges[e, 0]] == 1 or share[near.edges[e, 1]] == 1:
            continue
        join(chain, a, b)
        if chain.size[a] < 3:
            continue
        excess, spare = _excess(a, near, chain.after, chosen, group, share, mark, load)
        if excess <= EXCESS:
            continue
        if used + chain.size[a] > len(rows):
            break
        begin = used
        point = a
        while point >= 0:
            rows[used, 0] = point
            rows[used, 1] = point
            used += 1
            point = chain.after[point]
        spares[made] = spare
        marks[made] = mark_of(rows[begin:used], count) + spare + 1
        made += 1
        sets[made] = used
    return rows[:used], sets[: made + 1], spares[:made], marks[:made]


@compiled
def _excess(
    first: int,
    near: Near,
    after: IntArray,
    chosen: FloatArray,
    group: IntArray,
    share: IntArray,
    mark: IntArray,
    load: FloatArray,
) -> tuple[float, int]:
    """Links inside the component that begins at ``first`` beyond its room, in the mean; and the run
    to leave out, the one that is chosen in it most often.
    """
    point = first
    while point >= 0:
        mark[point] = first
        load[group[point]] += 1.0 if share[point] else chosen[point]
        point = after[point]
    total = 0.0
    spare = group[first]
    point = first
    while point >= 0:
        for j in range(near.starts[point], near.starts[point + 1]):
            e = near.which[j]
            if mark[near.edges[e, 0] + near.edges[e, 1] - point] == first:
                total += 0.5 * near.taken[e]  # seen from both ends
        total -= 1.0 if share[point] else chosen[point]
        if load[group[point]] > load[spare]:
            spare = group[point]
        point = after[point]
    total += load[spare]
    point = first
    while point >= 0:
        load[group[point]] = 0.0
        point = after[point]
    return total, spare
