"""Random points that keep their distance."""

from __future__ import annotations

import numpy as np

from plotlib.checks import BoolArray, FloatArray
from plotlib.compiled import compiled


@compiled
def spread(points: FloatArray, distance: float) -> BoolArray:
    """Which points (n, 2), taken in order, are at least ``distance`` from all taken before: dart
    throwing over a grid of cells.
    """
    low_x = points[:, 0].min()
    low_y = points[:, 1].min()
    cell = distance / np.sqrt(2.0)  # at most one point in a cell
    columns = int((points[:, 0].max() - low_x) / cell) + 1
    rows = int((points[:, 1].max() - low_y) / cell) + 1
    taken = np.full((columns + 4, rows + 4), -1, np.int64)
    kept = np.zeros(len(points), np.bool_)
    for k in range(len(points)):
        x = points[k, 0]
        y = points[k, 1]
        i = int((x - low_x) / cell) + 2
        j = int((y - low_y) / cell) + 2
        free = True
        for a in range(i - 2, i + 3):
            for b in range(j - 2, j + 3):
                other = taken[a, b]
                if (
                    other >= 0
                    and (points[other, 0] - x) ** 2 + (points[other, 1] - y) ** 2
                    < distance * distance
                ):
                    free = False
        if free:
            kept[k] = True
            taken[i, j] = k
    return kept
