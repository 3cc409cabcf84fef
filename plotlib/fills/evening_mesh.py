"""The vertices of a closed line kept about half a spacing apart, and its crumples ironed out.

Invariant: the line stays simple and on its side of the edge. A vertex is left out, or pulled
between its neighbours, only if no other one can lie in their triangle: what crossed the chord would
have to end in there. ``ironed`` looks; ``remeshed`` knows from the ``room`` that each vertex had
before the moves, of which at least 1 - 2 ``KEEP`` is left.

Oracle: ``shapely.is_simple`` and ``covers`` in ``tests/fills/test_evening.py``.

Arrays: ``points`` (n, 2), ``room`` (n,), ``walls`` (m, 4) the segments of the edge, whose first
ends are its corners.
"""

from __future__ import annotations

import numpy as np

from plotlib.checks import FloatArray
from plotlib.compiled import compiled
from plotlib.fills.evening_cells import Cells, around, following, in_row, laid_out, turned
from plotlib.fills.evening_kernel import KEEP, Line
from plotlib.fills.evening_look import FRONT, REACH

_LONG = 0.8  # spacings: a longer segment is halved
_SHORT = 0.3  # spacings: a shorter one is joined to the next
_FLAT = 0.02  # spacings by which the line may move then


@compiled
def is_crumpled(points: FloatArray, k: int) -> bool:
    """Whether the line turns sharply at a vertex and at the next one too."""
    if turned(points, k) >= FRONT:
        return False
    before = turned(points, k - 1)
    after = turned(points, following(k, len(points)))
    return bool(min(before, after) < FRONT)


@compiled
def is_within(place: FloatArray, a: FloatArray, b: FloatArray, c: FloatArray) -> bool:
    """Whether a place lies in a triangle or on its edge."""
    one = (b[0] - a[0]) * (place[1] - a[1]) - (b[1] - a[1]) * (place[0] - a[0])
    two = (c[0] - b[0]) * (place[1] - b[1]) - (c[1] - b[1]) * (place[0] - b[0])
    three = (a[0] - c[0]) * (place[1] - c[1]) - (a[1] - c[1]) * (place[0] - c[0])
    least = min(one, two, three)
    most = max(one, two, three)
    return bool(least >= 0.0 or most <= 0.0)


@compiled
def is_clear(points: FloatArray, corners: FloatArray, k: int, cells: Cells) -> bool:
    """Whether no vertex of the line nor corner of the edge lies in the triangle of a vertex and its
    neighbours.
    """
    count = len(points)
    one = points[k - 1]
    other = points[following(k, count)]
    low, high, left, right = around(points[k, 0], points[k, 1], cells)
    for row in range(low, high):
        for j in in_row(cells, row, left, right):
            if j < count and (j == k or j == (k - 1) % count or j == following(k, count)):
                continue
            place = points[j] if j < count else corners[j - count, :2]
            if is_within(place, one, points[k], other):
                return False
    return True


@compiled
def ironed(line: Line, walls: FloatArray, gap: float) -> Line:
    """The line without crumples: their vertices pulled back between their neighbours, where nothing
    lies in the way.
    """
    points = line.points.copy()
    awake = line.awake.copy()
    count = len(points)
    cells = laid_out(points, walls, REACH * gap)[1]
    for k in range(count):
        if not is_crumpled(points, k):
            continue
        way = points[following(k, count)] - points[k - 1]
        if way[0] ** 2 + way[1] ** 2 < gap**2 and is_clear(points, walls, k, cells):
            points[k] = (points[k - 1] + points[following(k, count)]) / 2.0
            awake[k] = True
    return Line(points, line.velocity, awake)


@compiled
def is_spare(points: FloatArray, room: FloatArray, k: int, gap: float) -> bool:
    """Whether a vertex can go: it is near to the next one, and the line hardly moves."""
    count = len(points)
    before = points[k - 1]
    one = points[k] - before
    other = points[following(k, count)] - before
    if one[0] ** 2 + one[1] ** 2 > (_SHORT * gap) ** 2:
        return False
    wide = np.sqrt(other[0] ** 2 + other[1] ** 2)
    if wide == 0.0 or wide > _LONG * gap or one[0] * other[0] + one[1] * other[1] < 0.0:
        return False
    least = min(room[k - 1], room[k], room[following(k, count)])
    high = abs(one[0] * other[1] - one[1] * other[0]) / wide
    return bool(high < min((1.0 - 2.0 * KEEP) * least, _FLAT * gap))


@compiled
def remeshed(line: Line, room: FloatArray, gap: float) -> Line:
    """The line with its long segments halved and without vertices that are too near to the next."""
    count = len(line.points)
    points = np.empty((2 * count, 2))
    velocity = np.empty((2 * count, 2))
    awake = np.empty(2 * count, np.bool_)
    size = 0
    kept = False
    for k in range(count):
        after = following(k, count)
        kept = not (kept and 0 < k < count - 1 and is_spare(line.points, room, k, gap))
        if not kept:
            continue
        points[size] = line.points[k]
        velocity[size] = line.velocity[k]
        awake[size] = line.awake[k]
        size += 1
        way = line.points[after] - line.points[k]
        if way[0] ** 2 + way[1] ** 2 > (_LONG * gap) ** 2:
            points[size] = (line.points[k] + line.points[after]) / 2.0
            velocity[size] = (line.velocity[k] + line.velocity[after]) / 2.0
            awake[size] = line.awake[k] or line.awake[after]
            size += 1
    return Line(points[:size].copy(), velocity[:size].copy(), awake[:size].copy())
