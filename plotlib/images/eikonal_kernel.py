"""Compiled: the eikonal equation by fast sweeping.

H. Zhao, *A Fast Sweeping Method for Eikonal Equations*, Mathematics of Computation 74, 2005: the
grid is swept in its four diagonal directions, and every node takes Godunov's upwind solution from
its lower neighbours if that is less than it has. Numbers only fall, and never below the solution of
the discrete equation. ``tests/images/test_bands.py`` compares them with distances from a point.
"""

from __future__ import annotations

import math

from plotlib.checks import FloatArray
from plotlib.compiled import compiled


@compiled
def sweep(time: FloatArray, slowness: FloatArray, cell: float) -> float:
    """Sweep ``time`` (rows, columns) once each way; returns the largest change."""
    rows, columns = time.shape
    changed = 0.0
    for way in range(4):
        for i in range(rows):
            row = i if way < 2 else rows - 1 - i
            for j in range(columns):
                column = j if way % 2 == 0 else columns - 1 - j
                left = time[row, column - 1] if column > 0 else math.inf
                right = time[row, column + 1] if column < columns - 1 else math.inf
                below = time[row - 1, column] if row > 0 else math.inf
                above = time[row + 1, column] if row < rows - 1 else math.inf
                a = min(left, right)
                b = min(below, above)
                if a > b:
                    a, b = b, a
                if a == math.inf:
                    continue
                step = slowness[row, column] * cell
                found = a + step
                if found > b:
                    found = (a + b + math.sqrt(max(0.0, 2.0 * step * step - (a - b) ** 2))) / 2.0
                if found < time[row, column]:
                    if time[row, column] < math.inf:
                        changed = max(changed, time[row, column] - found)
                    else:
                        changed = math.inf
                    time[row, column] = found
    return changed
