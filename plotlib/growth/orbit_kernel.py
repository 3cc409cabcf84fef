"""Compiled: orbits of maps of the plane, and dots of them that keep a distance.

Maps: M. Hénon, 1976; Clifford's and de Jong's as in ``attractors.py``. Thinning is dart throwing
(R. L. Cook, *Stochastic Sampling in Computer Graphics*, 1986) with the points in their order:
each is kept if none before it that is kept is nearer. Cells of the grid are so small
(spacing / sqrt 2) that each holds one dot at most.

``tests/growth/test_attractors.py`` tests both against plain Python.
"""

from __future__ import annotations

import math

import numpy as np

from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.compiled import compiled


@compiled
def follow(kind: int, p: FloatArray, start: FloatArray, points: FloatArray) -> FloatArray:
    """Write the next ``len(points)`` points (n, 2) of the orbit, and return the last: map 0 is
    Clifford's, 1 de Jong's, 2 Hénon's.
    """
    x = start[0]
    y = start[1]
    for k in range(len(points)):
        if kind == 0:
            u = math.sin(p[0] * y) + p[2] * math.cos(p[0] * x)
            v = math.sin(p[1] * x) + p[3] * math.cos(p[1] * y)
        elif kind == 1:
            u = math.sin(p[0] * y) - math.cos(p[1] * x)
            v = math.sin(p[2] * x) - math.cos(p[3] * y)
        else:
            u = 1.0 - p[0] * x * x + y
            v = p[1] * x
        x = u
        y = v
        points[k, 0] = x
        points[k, 1] = y
    return np.array([x, y])


@compiled
def is_free(points: FloatArray, heads: IntArray, k: int, apart: float) -> bool:
    """Whether no kept point is nearer to point k."""
    side = apart / math.sqrt(2.0)
    column = int(points[k, 0] / side)
    row = int(points[k, 1] / side)
    for j in range(max(row - 2, 0), min(row + 3, heads.shape[0])):
        for i in range(max(column - 2, 0), min(column + 3, heads.shape[1])):
            other = heads[j, i]
            if other >= 0:
                dx = points[other, 0] - points[k, 0]
                dy = points[other, 1] - points[k, 1]
                if dx * dx + dy * dy < apart * apart:
                    return False
    return True


@compiled
def thin(points: FloatArray, apart: float, heads: IntArray) -> BoolArray:
    """Which points (n, 2), none of them left of or below 0, are kept, (n,). ``heads`` (rows,
    columns) is -1 everywhere.
    """
    side = apart / math.sqrt(2.0)
    kept = np.zeros(len(points), np.bool_)
    for k in range(len(points)):
        if is_free(points, heads, k, apart):
            kept[k] = True
            heads[int(points[k, 1] / side), int(points[k, 0] / side)] = k
    return kept
