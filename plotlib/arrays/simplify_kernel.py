"""Douglas-Peucker simplification of long strokes, without recursion.

D. H. Douglas, T. K. Peucker, Cartographica 10, 1973. A stretch whose points all lie within the
tolerance of the segment between its ends loses them; any other is split at its farthest point. The
stretches still to do wait on a stack of their own, so that the length of a stroke is no matter of
the process' stack. Between two steps each point that was dropped lies within the tolerance of the
segment that replaces it, and ``keep`` holds both ends of each stretch that waits.

A zigzag is split at its end again and again, and the work would grow with the square of its points.
So a stretch that came from `DEEPEST` splits is split at the farthest point of its middle half
instead: it may keep a point that could have gone, and the work stays below ``DEEPEST`` looks at
each point. Down to that depth the points kept are those of shapely's recursive simplification, bit
for bit, which is the oracle of the tests.
"""

from __future__ import annotations

from math import sqrt

import numpy as np

from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.compiled import compiled

# Splits; smooth curves of a million points come from fewer than 100.
DEEPEST = 256
# Splits below that: each leaves at most three quarters of a stretch, and 0.75 ** 96 * 1e12 < 1.
_SHALLOW = 96


@compiled
def kept(points: FloatArray, offsets: IntArray, tolerance: float) -> BoolArray:
    """Which points (N,) of the strokes stay."""
    keep = np.ones(len(points), np.bool_)
    waiting = np.empty((DEEPEST + _SHALLOW + 2, 3), np.int64)  # first point, last point, depth
    for stroke in range(len(offsets) - 1):
        waiting[0, 0] = offsets[stroke]
        waiting[0, 1] = offsets[stroke + 1] - 1
        waiting[0, 2] = 0
        count = 1
        while count:
            count -= 1
            first = waiting[count, 0]
            last = waiting[count, 1]
            depth = waiting[count, 2]
            if last - first < 2:
                continue
            at, far = _farthest(points, first, last, first + 1, last - 1)
            if far <= tolerance:
                keep[first + 1 : last] = False
                continue
            if depth >= DEEPEST:
                quarter = (last - first) // 4
                low = max(first + 1, first + quarter)
                at, far = _farthest(points, first, last, low, min(last - 1, last - quarter))
            waiting[count, 1] = at
            waiting[count, 2] = depth + 1
            waiting[count + 1, 0] = at
            waiting[count + 1, 1] = last
            waiting[count + 1, 2] = depth + 1
            count += 2
    return keep


@compiled
def _farthest(points: FloatArray, first: int, last: int, low: int, high: int) -> tuple[int, float]:
    """The first of the points ``low`` to ``high`` that is farthest from the segment between
    ``first`` and ``last``, and how far it is.
    """
    x = points[first, 0]
    y = points[first, 1]
    dx = points[last, 0] - x
    dy = points[last, 1] - y
    square = dx * dx + dy * dy
    at = low
    far = -1.0
    for k in range(low, high + 1):
        away = _distance(points[k, 0] - x, points[k, 1] - y, dx, dy, square)
        if away > far:
            at = k
            far = away
    return at, far


@compiled
def _distance(px: float, py: float, dx: float, dy: float, square: float) -> float:
    """From the point (px, py) to the segment from the origin to (dx, dy), whose length has the
    square ``square``.
    """
    along = px * dx + py * dy
    if square == 0.0 or along <= 0.0:
        return sqrt(px * px + py * py)
    if along >= square:
        qx = px - dx
        qy = py - dy
        return sqrt(qx * qx + qy * qy)
    return abs(dx * py - dy * px) / square * sqrt(square)
