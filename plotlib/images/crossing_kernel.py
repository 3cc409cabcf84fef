"""Compiled: crossings of a path with itself, found exactly and taken out by 2-opt.

A crossing of two pieces of a path is taken out by reversing what lies between them (2-opt; G. A.
Croes, *A Method for Solving Traveling-Salesman Problems*, Operations Research 6, 1958): by the
triangle inequality the path gets shorter, so this ends, and a path that no such step shortens has
no crossing.

Places are whole numbers below 2^30, so that the signs of areas are exact. Pieces lie in all cells
of a square grid that their boxes meet. ``plain_crossings`` in ``tests/oracles_images.py``, which
tests every pair in Python's own whole numbers, tests it.
"""

from __future__ import annotations

import numpy as np

from plotlib.checks import IntArray
from plotlib.compiled import compiled


@compiled
def listed(xy: IntArray, cell: int, columns: int, rows: int) -> tuple[IntArray, IntArray]:
    """The pieces in each cell: offsets (columns * rows + 1,) and pieces; ``xy`` (n, 2) >= 0."""
    first = np.zeros(columns * rows + 1, np.int64)
    for k in range(len(xy) - 1):
        for row in range(
            min(xy[k, 1], xy[k + 1, 1]) // cell, max(xy[k, 1], xy[k + 1, 1]) // cell + 1
        ):
            for column in range(
                min(xy[k, 0], xy[k + 1, 0]) // cell, max(xy[k, 0], xy[k + 1, 0]) // cell + 1
            ):
                first[row * columns + column + 1] += 1
    for k in range(columns * rows):
        first[k + 1] += first[k]
    place = first[:-1].copy()
    pieces = np.zeros(first[-1], np.int64)
    for k in range(len(xy) - 1):
        for row in range(
            min(xy[k, 1], xy[k + 1, 1]) // cell, max(xy[k, 1], xy[k + 1, 1]) // cell + 1
        ):
            for column in range(
                min(xy[k, 0], xy[k + 1, 0]) // cell, max(xy[k, 0], xy[k + 1, 0]) // cell + 1
            ):
                pieces[place[row * columns + column]] = k
                place[row * columns + column] += 1
    return first, pieces


@compiled
def crossing(
    xy: IntArray, first: IntArray, pieces: IntArray, cell: int, columns: int, start: int
) -> tuple[int, int]:
    """The first piece from ``start`` on that meets a later one, and the first such; (-1, -1)
    without one. Neighbours may share their point, but not lie upon each other.
    """
    for k in range(start, len(xy) - 1):
        found = len(xy)
        for row in range(
            min(xy[k, 1], xy[k + 1, 1]) // cell, max(xy[k, 1], xy[k + 1, 1]) // cell + 1
        ):
            for column in range(
                min(xy[k, 0], xy[k + 1, 0]) // cell, max(xy[k, 0], xy[k + 1, 0]) // cell + 1
            ):
                place = row * columns + column
                for item in range(first[place], first[place + 1]):
                    other = pieces[item]
                    if k < other < found and meets(xy, k, other):
                        found = other
        if found < len(xy):
            return k, found
    return -1, -1


@compiled
def meets(xy: IntArray, k: int, other: int) -> bool:
    """Whether piece ``k`` meets a later one, where neighbours share a point anyway."""
    if other == k + 1:
        ahead = (xy[k + 1, 0] - xy[k, 0]) * (xy[k + 2, 0] - xy[k + 1, 0]) + (
            xy[k + 1, 1] - xy[k, 1]
        ) * (xy[k + 2, 1] - xy[k + 1, 1])
        return side(xy, k, k + 1, k + 2) == 0 and ahead < 0
    a = side(xy, k, k + 1, other)
    b = side(xy, k, k + 1, other + 1)
    c = side(xy, other, other + 1, k)
    d = side(xy, other, other + 1, k + 1)
    if a != b and c != d and a * b <= 0 and c * d <= 0:
        return True
    if a == 0 and b == 0 and c == 0 and d == 0:
        for axis in range(2):
            low = max(min(xy[k, axis], xy[k + 1, axis]), min(xy[other, axis], xy[other + 1, axis]))
            high = min(max(xy[k, axis], xy[k + 1, axis]), max(xy[other, axis], xy[other + 1, axis]))
            if low > high:
                return False
        return True
    return False


@compiled
def side(xy: IntArray, a: int, b: int, c: int) -> int:
    """1, 0 or -1: whether c lies to the left of, on, or to the right of the line from a to b."""
    area = (xy[b, 0] - xy[a, 0]) * (xy[c, 1] - xy[a, 1]) - (xy[b, 1] - xy[a, 1]) * (
        xy[c, 0] - xy[a, 0]
    )
    if area > 0:
        return 1
    return -1 if area < 0 else 0
