"""Kernels of the bound: odd sets of ends that take more links than any tour can, and the links
inside them.

A set is a list of rows: (a, a) for each end of its handle, (a, b) for each tooth, a link from the
end a to an end b outside. J. Edmonds, Journal of Research of the National Bureau of Standards 69B
(1965), for odd sets (from memory). The oracle: no random tour takes more links of a set than there
is room, in ``tests/planning/bounding/test_bound.py``.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.compiled import compiled
from plotlib.planning.union_find_kernel import root

MOST = 30  # ends of a handle
EXCESS = 0.25  # links beyond the room that make a set worth its multiplier
# links taken less or more often tell nothing
NEVER = 0.02
ALWAYS = 0.9


class Near(NamedTuple):
    """The sparse graph as the 1-trees took it of late."""

    edges: IntArray  # (E, 2) links a < b
    taken: FloatArray  # (E,) how often each was taken
    starts: IntArray  # (P + 1,) those of point u are which[starts[u]:starts[u + 1]]
    which: IntArray


class Chain(NamedTuple):
    """Points in components, each a linked list."""

    parent: IntArray  # (P,) towards the point that stands for the component
    after: IntArray  # (P,) the next point of the component, or -1
    tail: IntArray  # (P,) the last one, where the point stands for a component
    size: IntArray  # (P,) how many there are, likewise


@compiled
def chained(count: int) -> Chain:
    """So many points, each a component of its own."""
    return Chain(np.arange(count), np.full(count, -1), np.arange(count), np.ones(count, np.int64))


@compiled
def join(chain: Chain, a: int, b: int) -> None:
    """Append the component of ``b`` to that of ``a``, which stands for both then."""
    chain.parent[b] = a
    chain.size[a] += chain.size[b]
    chain.after[chain.tail[a]] = b
    chain.tail[a] = chain.tail[b]


@compiled
def touching(edges: IntArray, count: int) -> tuple[IntArray, IntArray]:
    """The links of each point: those of ``u`` are ``which[starts[u]:starts[u + 1]]``."""
    starts = np.zeros(count + 1, np.int64)
    which = np.empty(2 * len(edges), np.int64)
    for e in range(len(edges)):
        starts[edges[e, 0] + 1] += 1
        starts[edges[e, 1] + 1] += 1
    starts = np.cumsum(starts)
    at = starts.copy()
    for e in range(len(edges)):
        for u in edges[e]:
            which[at[u]] = e
            at[u] += 1
    return starts, which


@compiled
def within(
    rows: IntArray, sets: IntArray, edges: IntArray, starts: IntArray, which: IntArray
) -> tuple[IntArray, IntArray]:
    """The links inside each handle and on its teeth: those of set ``s`` are
    ``inside[spans[s]:spans[s + 1]]``.
    """
    room = 0
    for a, b in rows:
        room += starts[a + 1] - starts[a] if a == b else 1
    mark = np.full(len(starts) - 1, -1)
    spans = np.zeros(len(sets), np.int64)
    inside = np.empty(room, np.int64)
    used = 0
    for s in range(len(sets) - 1):
        for row in range(sets[s], sets[s + 1]):
            if rows[row, 0] == rows[row, 1]:
                mark[rows[row, 0]] = s
        for row in range(sets[s], sets[s + 1]):
            a = rows[row, 0]
            b = rows[row, 1]
            for j in range(starts[a], starts[a + 1]):
                other = edges[which[j], 0] + edges[which[j], 1] - a
                if (a == b and other > a and mark[other] == s) or (a != b and other == b):
                    inside[used] = which[j]
                    used += 1
        spans[s + 1] = used
    return spans, inside[:used]


@compiled
def find(
    near: Near, order: IntArray, share: IntArray
) -> tuple[IntArray, IntArray, IntArray, IntArray]:
    """Sets that the 1-trees overfill in the mean: rows, where each set begins, its room, and a mark
    that tells sets apart.

    Ends grow together along the links of ``order``, and each component is looked at once. Its
    handle H with teeth T and ``load`` links to its ends takes at most (load + T) // 2 links, inside
    it and on the teeth: each of them uses two of the links to the ends, or one of those and the one
    of a tooth. Teeth are the outward links that are taken more often than not; where that makes
    load + T even, the one that matters least changes sides.
    """
    count = len(share)
    chain = chained(count)
    load = share.copy()
    mark = np.full(count, -1)
    rows = np.empty((8 * count + 100, 2), np.int64)
    sets = np.zeros(2 * count + 2, np.int64)
    rooms = np.empty(2 * count + 1, np.int64)
    marks = np.empty(2 * count + 1, np.int64)
    used = 0
    made = 0
    for e in order:
        one = near.edges[e, 0]
        other = near.edges[e, 1]
        a = root(chain.parent, one)
        b = root(chain.parent, other)
        if a == b or chain.size[a] + chain.size[b] > MOST or share[one] == 0 or share[other] == 0:
            continue
        join(chain, a, b)
        load[a] += load[b]
        if chain.size[a] < 3:
            continue
        excess, teeth, change = _excess(a, near, chain.after, load[a], mark)
        if excess <= EXCESS:
            continue
        if used + chain.size[a] + teeth > len(rows):
            break
        begin = used
        used = _write(rows, used, a, near, chain.after, change, mark)
        rooms[made] = (load[a] + teeth) // 2
        marks[made] = mark_of(rows[begin:used], count)
        made += 1
        sets[made] = used
    return rows[:used], sets[: made + 1], rooms[:made], marks[:made]


@compiled
def _excess(
    first: int, near: Near, after: IntArray, load: int, mark: IntArray
) -> tuple[float, int, int]:
    """Links beyond the room of the handle that begins at ``first``, with its best teeth; how many;
    the one that changes sides or -1.
    """
    point = first
    while point >= 0:
        mark[point] = first
        point = after[point]
    total = 0.5 - 0.5 * load
    teeth = 0
    low = np.inf
    high = -np.inf
    drop = -1
    add = -1
    point = first
    while point >= 0:
        for j in range(near.starts[point], near.starts[point + 1]):
            e = near.which[j]
            if mark[near.edges[e, 0] + near.edges[e, 1] - point] == first:
                total += 0.5 * near.taken[e]  # seen from both ends
            elif near.taken[e] > 0.5:
                teeth += 1
                total += near.taken[e] - 0.5
                if near.taken[e] < low:
                    low = near.taken[e]
                    drop = e
            elif near.taken[e] > high:
                high = near.taken[e]
                add = e
        point = after[point]
    if (load + teeth) % 2:
        return total, teeth, -1
    if low - 0.5 < 0.5 - high:
        return total - (low - 0.5), teeth - 1, drop
    return total - (0.5 - high), teeth + 1, add


@compiled
def _write(
    rows: IntArray,
    used: int,
    first: int,
    near: Near,
    after: IntArray,
    change: int,
    mark: IntArray,
) -> int:
    """Append the rows of a set whose handle is marked; the number of rows then."""
    point = first
    while point >= 0:
        rows[used, 0] = rows[used, 1] = point
        used += 1
        for j in range(near.starts[point], near.starts[point + 1]):
            e = near.which[j]
            other = near.edges[e, 0] + near.edges[e, 1] - point
            if mark[other] != first and (near.taken[e] > 0.5) != (e == change):
                rows[used, 0] = point
                rows[used, 1] = other
                used += 1
        point = after[point]
    return used


@compiled
def mark_of(rows: IntArray, count: int) -> int:
    """A number for a set of rows in any order, the same for the same set; others seldom share
    it.
    """
    total = np.uint64(0)
    for a, b in rows:
        x = np.uint64(a * count + b + 1) * np.uint64(0x9E3779B97F4A7C15)
        x = (x ^ (x >> np.uint64(29))) * np.uint64(0xBF58476D1CE4E5B9)
        total += x ^ (x >> np.uint64(32))
    return int(np.int64(total))
