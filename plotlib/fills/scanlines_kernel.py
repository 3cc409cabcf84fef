"""Parallel rows over rings, edge by edge.

Scan-line filling by the even-odd rule: each edge is cut by the rows between its ends, and the
sorted cuts of a row are the ends of its chords in pairs. The oracle of the tests is what shapely
cuts (`hatch_by_shapely` in tests/oracles_fills.py).
"""

from __future__ import annotations

from math import ceil

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.compiled import compiled, compiled_above


@compiled_above(3_000)
def crossed(corners: FloatArray, ring: IntArray, spacing: float) -> float:
    """How many times rows cross the rings; infinite where rows can no longer be told apart."""
    total = 0.0
    for k in range(len(corners)):
        level = np.ceil(corners[k, 1] / spacing - 0.5)
        if not abs(level) < 2.0**53:
            return np.inf
        if k and ring[k] == ring[k - 1]:
            total += abs(level - np.ceil(corners[k - 1, 1] / spacing - 0.5))
    return total


@compiled_above(1_000)
def scanned(
    corners: FloatArray, ring: IntArray, spacing: float, count: int
) -> tuple[IntArray, IntArray, FloatArray]:
    """The edge, the row and the place u of ``count`` crossings, in ring order.

    Each corner has a first row at or above it. Whatever the rounding, each ring comes back to where
    it began, so its crossings are even in number. Places are reckoned from the lower end of the
    edge, so that areas on both sides of it agree bit for bit.
    """
    edge = np.empty(count, np.int64)
    row = np.empty(count, np.int64)
    along = np.empty(count)
    at = 0
    for k in range(len(corners) - 1):
        if ring[k] != ring[k + 1]:
            continue
        one = ceil(corners[k, 1] / spacing - 0.5)
        two = ceil(corners[k + 1, 1] / spacing - 0.5)
        low, high = (k, k + 1) if one < two else (k + 1, k)
        way = 1 if one < two else -1
        for n in range(abs(two - one)):
            edge[at] = k
            row[at] = one + n if way == 1 else one - 1 - n
            share = ((row[at] + 0.5) * spacing - corners[low, 1]) / (
                corners[high, 1] - corners[low, 1]
            )
            share = min(max(share, 0.0), 1.0)
            along[at] = corners[low, 0] + share * (corners[high, 0] - corners[low, 0])
            at += 1
    return edge, row, along


@compiled_above(3_000)
def chorded(
    order: IntArray,
    row: IntArray,
    along: FloatArray,
    spacing: float,
    alternate: bool,
    nothing: float,
) -> FloatArray:
    """The ends (u, v) of each chord (2 n, 2), row after row; ``order`` sorts the crossings by row
    and place.

    Chords that touch are one, chords of no length are none; with ``alternate`` odd rows run from
    right to left.
    """
    ends = np.empty((len(order), 2))
    count = 0
    for k in range(0, len(order), 2):
        left = along[order[k]]
        right = along[order[k + 1]]
        level = row[order[k]]
        if right - left <= nothing:
            continue
        v = (level + 0.5) * spacing
        if count and ends[count - 1, 1] == v and left - ends[count - 1, 0] <= nothing:
            ends[count - 1, 0] = right
            continue
        ends[count, 0] = left
        ends[count + 1, 0] = right
        ends[count, 1] = v
        ends[count + 1, 1] = v
        count += 2
    if alternate:
        _turned(ends, count, spacing)
    return ends[:count]


@compiled
def _turned(ends: FloatArray, count: int, spacing: float) -> None:
    first = 0
    while first < count:
        last = first
        while last < count and ends[last, 1] == ends[first, 1]:
            last += 1
        if int(np.floor(ends[first, 1] / spacing)) % 2 == 1:
            for k in range((last - first) // 2):
                one = first + k
                other = last - 1 - k
                ends[one, 0], ends[other, 0] = ends[other, 0], ends[one, 0]
        first = last
