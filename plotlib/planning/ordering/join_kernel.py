"""Kernels of joining: pairing ends at nodes, merging closed trails, walking the runs.

Hierholzer's way to Euler trails (Mathematische Annalen 6, 1873; from memory): pair the ends at each
node, then merge closed trails where they meet. The rule for which ends to pair, the straightest
first, is our own.

An *edge* is a piece of a stroke, its *ends* are ``2 * edge`` (where it starts) and ``2 * edge +
1``. ``mate[end]`` is the end that the pen goes on with at the same node, or -1 where a run begins
or stops. A set of mates splits the edges into open and closed trails.

``mate`` (2 E,) int64; ``heading`` (2 E, 2) is the unit direction in which the pen leaves the node
along each end; the ends at node n are ``ends[starts[n]:starts[n + 1]]``. Between steps ``mate`` is
an involution: ``mate[mate[e]] == e`` wherever it is not -1, and both lie at one node. The oracles
are Euler's count of runs and the same ink before and after, in
``tests/planning/ordering/test_join.py`` and ``tests/properties``.
"""

from __future__ import annotations

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.compiled import compiled, compiled_above
from plotlib.planning.union_find_kernel import root

# ends at a node up to which every pair is looked at; beyond, a turn by half the sorted directions
FEW = 16


@compiled
def turn(heading: FloatArray, a: int, b: int) -> float:
    """How sharply the pen turns when it comes in along end ``a`` and leaves along end ``b``: -1
    straight on, 1 straight back.
    """
    bend: float = heading[a, 0] * heading[b, 0] + heading[a, 1] * heading[b, 1]
    return bend


@compiled
def _half(heading: FloatArray, end: int) -> int:
    return 0 if heading[end, 1] > 0.0 or (heading[end, 1] == 0.0 and heading[end, 0] > 0.0) else 1


@compiled
def _before(heading: FloatArray, a: int, b: int) -> bool:
    """Whether end ``a`` comes before end ``b`` when turning counter-clockwise from the x axis; ties
    by index.
    """
    if _half(heading, a) != _half(heading, b):
        return _half(heading, a) < _half(heading, b)
    cross = heading[a, 0] * heading[b, 1] - heading[a, 1] * heading[b, 0]
    return cross > 0.0 or (cross == 0.0 and a < b)


@compiled
def _sorted_by_angle(heading: FloatArray, ends: IntArray) -> IntArray:
    """Bottom-up merge sort of the ends around one node."""
    count = len(ends)
    source = ends.copy()
    target = ends.copy()
    width = 1
    while width < count:
        for low in range(0, count, 2 * width):
            middle = min(low + width, count)
            high = min(low + 2 * width, count)
            i = low
            j = middle
            for k in range(low, high):
                if i < middle and (j >= high or not _before(heading, source[j], source[i])):
                    target[k] = source[i]
                    i += 1
                else:
                    target[k] = source[j]
                    j += 1
        source, target = target, source
        width *= 2
    return source


@compiled
def _pair_few(mate: IntArray, heading: FloatArray, ends: IntArray) -> None:
    """Straightest pair first, until one end or none is left."""
    for _ in range(len(ends) // 2):
        best = 2.5
        first = -1
        second = -1
        for i in range(len(ends)):
            if mate[ends[i]] >= 0:
                continue
            for j in range(i + 1, len(ends)):
                if mate[ends[j]] < 0:
                    bend = turn(heading, ends[i], ends[j])
                    if bend < best:
                        best = bend
                        first = ends[i]
                        second = ends[j]
        mate[first] = second
        mate[second] = first


@compiled_above(5_000)
def pair_ends(mate: IntArray, heading: FloatArray, starts: IntArray, ends: IntArray) -> None:
    """Pair the free ends of each node, going straight on where there is a choice.

    ``ends[starts[n]:starts[n + 1]]`` are the ends at node ``n``; ``mate`` is filled in place.
    """
    for node in range(len(starts) - 1):
        count = 0
        for k in range(starts[node], starts[node + 1]):
            count += mate[ends[k]] < 0
        if count < 2:
            continue
        free = np.empty(count, np.int64)
        count = 0
        for k in range(starts[node], starts[node + 1]):
            if mate[ends[k]] < 0:
                free[count] = ends[k]
                count += 1
        if count <= FEW:
            _pair_few(mate, heading, free)
            continue
        free = _sorted_by_angle(heading, free)
        for k in range(count // 2):
            mate[free[k]] = free[k + count // 2]
            mate[free[k + count // 2]] = free[k]


@compiled
def trails(mate: IntArray) -> tuple[IntArray, IntArray]:
    """Number of the trail of each edge, and for each trail whether it is open (1) or closed (0)."""
    edges = len(mate) // 2
    trail = np.full(edges, -1, np.int64)
    is_open = np.zeros(edges, np.int64)
    count = 0
    for end in range(2 * edges):
        if mate[end] < 0 and trail[end >> 1] < 0:
            is_open[count] = 1
            _follow(mate, trail, end, count)
            count += 1
    for edge in range(edges):
        if trail[edge] < 0:
            _follow(mate, trail, 2 * edge, count)
            count += 1
    return trail, is_open[:count]


@compiled
def _follow(mate: IntArray, trail: IntArray, end: int, number: int) -> None:
    while end >= 0 and trail[end >> 1] < 0:
        trail[end >> 1] = number
        end = mate[end ^ 1]


@compiled
def _is_first(mate: IntArray, end: int) -> bool:
    """One end stands for each passage through a node: its lower end, or the lone end of an open
    trail.
    """
    is_first: bool = mate[end] < end
    return is_first


@compiled
def _meetings(
    mate: IntArray,
    trail: IntArray,
    is_open: IntArray,
    starts: IntArray,
    ends: IntArray,
    pairs: IntArray,
) -> int:
    """Write the pairs of ends where a closed trail meets another one (if there is room for them);
    return how many there are.
    """
    count = 0
    for node in range(len(starts) - 1):
        low = starts[node]
        high = starts[node + 1]
        few = high - low <= FEW
        for i in range(low, high):
            if not _is_first(mate, ends[i]):
                continue
            for j in range(i + 1, high):
                if not _is_first(mate, ends[j]):
                    continue
                one = trail[ends[i] >> 1]
                other = trail[ends[j] >> 1]
                if one != other and not (is_open[one] and is_open[other]):
                    if len(pairs):
                        pairs[count, 0] = ends[i]
                        pairs[count, 1] = ends[j]
                    count += 1
                if not few:
                    break
    return count


@compiled
def swap(mate: IntArray, heading: FloatArray, a: int, c: int, commit: bool) -> float:
    """Turning added by joining the passages of ends ``a`` and ``c`` crosswise, the better of the
    ways; done if ``commit``.

    A lone end has no mate: it takes one end of the other passage and leaves the other one lone.
    """
    if mate[a] < 0:
        a, c = c, a
    b = mate[a]
    d = mate[c]
    before = turn(heading, a, b) + (turn(heading, c, d) if d >= 0 else 0.0)
    straight = turn(heading, a, c) + (turn(heading, b, d) if d >= 0 else 0.0)
    crossed = turn(heading, b, c) + (turn(heading, a, d) if d >= 0 else 0.0)
    if crossed < straight:
        a, b = b, a
    if commit:
        mate[a] = c
        mate[c] = a
        mate[b] = d
        if d >= 0:
            mate[d] = b
    return min(straight, crossed) - before


@compiled_above(5_000)
def chances(
    mate: IntArray, heading: FloatArray, starts: IntArray, ends: IntArray
) -> tuple[IntArray, IntArray, IntArray, FloatArray]:
    """Trail of each edge, whether each trail is open, the pairs of ends where a closed trail meets
    another one, and what joining each pair adds in turning.
    """
    trail, is_open = trails(mate)
    count = _meetings(mate, trail, is_open, starts, ends, np.empty((0, 2), np.int64))
    pairs = np.empty((count, 2), np.int64)
    costs = np.empty(count, np.float64)
    if count:
        _meetings(mate, trail, is_open, starts, ends, pairs)
    for k in range(count):
        costs[k] = swap(mate, heading, pairs[k, 0], pairs[k, 1], False)
    return trail, is_open, pairs, costs


@compiled_above(5_000)
def merge_closed(
    mate: IntArray,
    heading: FloatArray,
    trail: IntArray,
    is_open: IntArray,
    pairs: IntArray,
    ranked: IntArray,
) -> None:
    """Join every closed trail into a trail that it meets, least added turning first, until none of
    them can be joined; ``ranked`` puts the pairs in that order (sorted by numpy: a sort within the
    kernel takes more than a second to compile).
    """
    parent = np.arange(len(is_open))
    for k in ranked:
        one = root(parent, trail[pairs[k, 0] >> 1])
        other = root(parent, trail[pairs[k, 1] >> 1])
        if one != other and not (is_open[one] and is_open[other]):
            swap(mate, heading, pairs[k, 0], pairs[k, 1], True)
            low = min(one, other)
            high = max(one, other)
            parent[high] = low
            is_open[low] = max(is_open[low], is_open[high])


@compiled_above(10_000)
def walk(mate: IntArray) -> tuple[IntArray, IntArray]:
    """The runs as entry ends one after the other, and where each run begins among them.

    The edge with the lowest index of a run is walked forwards, and a closed run begins with it.
    """
    edges = len(mate) // 2
    entries = np.empty(edges, np.int64)
    starts = np.empty(edges + 1, np.int64)
    seen = np.zeros(edges, np.bool_)
    count = runs = 0
    for edge in range(edges):
        if seen[edge]:
            continue
        end = 2 * edge
        while mate[end] >= 0 and mate[end] >> 1 != edge:
            end = mate[end] ^ 1
        if mate[end] >= 0:
            end = 2 * edge  # closed: it came back to itself
        starts[runs] = count
        runs += 1
        while end >= 0 and not seen[end >> 1]:
            seen[end >> 1] = True
            entries[count] = end
            count += 1
            end = mate[end ^ 1]
    starts[runs] = count
    return entries, starts[: runs + 1]


@compiled_above(5_000)
def choose_links(
    pairs: IntArray, component: IntArray, parent: IntArray, odd: IntArray, is_odd: IntArray
) -> IntArray:
    """Which of the pairs of nodes, shortest first, save a lift when a link is drawn between them
    (indices of ``pairs``).

    ``odd`` counts the odd nodes of each component; a component needs ``max(1, odd / 2)`` runs.
    ``parent`` (components), ``odd`` and ``is_odd`` (nodes) are brought up to date.
    """
    chosen = np.empty(len(pairs), np.int64)
    count = 0
    for k in range(len(pairs)):
        p = pairs[k, 0]
        q = pairs[k, 1]
        one = root(parent, component[p])
        other = root(parent, component[q])
        change = 2 - 2 * (is_odd[p] + is_odd[q])
        before = max(1, odd[one] // 2)
        if one == other:
            after = max(1, (odd[one] + change) // 2)
            total = odd[one] + change
        else:
            before += max(1, odd[other] // 2)
            total = odd[one] + odd[other] + change
            after = max(1, total // 2)
        if after < before:
            low = min(one, other)
            high = max(one, other)
            parent[high] = low
            odd[low] = total
            is_odd[p] = 1 - is_odd[p]
            is_odd[q] = 1 - is_odd[q]
            chosen[count] = k
            count += 1
    return chosen[:count]
