"""What round pens cover of level lines: runs of ink, and their union.

A scan conversion: on each level line every segment with its round ends covers one run, and the
union of sorted runs is found in one sweep. The oracles of the tests are the union of buffers by
shapely and the distances of sample points (`covered_by_samples` in tests/oracles_fills.py).
"""

from __future__ import annotations

from math import ceil, floor, inf, sqrt

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.compiled import compiled


@compiled
def runs(
    points: FloatArray, offsets: IntArray, radii: FloatArray, spacing: float, count: int
) -> tuple[IntArray, FloatArray, FloatArray]:
    """Rows, beginnings and ends of what each segment covers of level lines at odd halves of
    ``spacing``; room for ``count`` of them.

    What a round pen covers of a line along one segment is one run, because that shape is convex.
    """
    row = np.empty(count, np.int64)
    left = np.empty(count)
    right = np.empty(count)
    at = 0
    for stroke in range(len(offsets) - 1):
        first = offsets[stroke]
        last = offsets[stroke + 1] - 1
        radius = radii[stroke]
        for k in range(first, max(last, first + 1)):
            near = k
            far = min(k + 1, last)
            if points[near, 1] > points[far, 1]:
                near, far = far, near
            ax = points[near, 0]
            ay = points[near, 1]
            bx = points[far, 0]
            by = points[far, 1]
            dx = bx - ax
            dy = by - ay
            length = sqrt(dx * dx + dy * dy)
            slope = dx / dy if dy > 0.0 else 0.0
            across = radius * dy / length if length > 0.0 else 0.0
            along = radius * dx / length if length > 0.0 else 0.0
            for level in range(
                ceil((ay - radius) / spacing - 0.5), floor((by + radius) / spacing - 0.5) + 1
            ):
                y = (level + 0.5) * spacing
                begin = inf
                end = -inf
                square = radius * radius - (y - ay) * (y - ay)
                if square >= 0.0:
                    half = sqrt(square)
                    begin = ax - half
                    end = ax + half
                square = radius * radius - (y - by) * (y - by)
                if square >= 0.0:
                    half = sqrt(square)
                    begin = min(begin, bx - half)
                    end = max(end, bx + half)
                step = y - ay + along
                if dy > 0.0 and 0.0 <= step <= dy:
                    end = max(end, ax + across + step * slope)
                step = y - ay - along
                if dy > 0.0 and 0.0 <= step <= dy:
                    begin = min(begin, ax - across + step * slope)
                if begin < end and at < count:
                    row[at] = level
                    left[at] = begin
                    right[at] = end
                    at += 1
    return row[:at], left[:at], right[:at]


@compiled
def measured(
    ink: IntArray,
    row: IntArray,
    left: FloatArray,
    right: FloatArray,
    area: IntArray,
    level: IntArray,
    along: FloatArray,
) -> tuple[float, float]:
    """Length of lines that is inked in all, and within the chords of an area.

    ``ink`` sorts the runs and ``area`` the crossings of the area's outline by row and place.
    """
    total = 0.0
    inside = 0.0
    chord = 0
    k = 0
    while k < len(ink):
        here = row[ink[k]]
        begin = left[ink[k]]
        end = right[ink[k]]
        k += 1
        while k < len(ink) and row[ink[k]] == here and left[ink[k]] <= end:
            end = max(end, right[ink[k]])
            k += 1
        total += end - begin
        while chord < len(area) and (
            level[area[chord]] < here
            or (level[area[chord]] == here and along[area[chord + 1]] <= begin)
        ):
            chord += 2
        c = chord
        while c < len(area) and level[area[c]] == here and along[area[c]] < end:
            inside += max(0.0, min(end, along[area[c + 1]]) - max(begin, along[area[c]]))
            c += 2
    return total, inside
