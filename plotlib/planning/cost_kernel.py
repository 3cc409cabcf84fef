"""What a pen-up move costs: the machine's seconds, or plain millimetres.

A straight coordinated move by (dx, dy) under per-axis top rates and accelerations is a trapezoid
along the line. With
``a = max(|dx| / rate_x, |dy| / rate_y)`` (its time at top speed) and ``b = max(|dx| / acceleration_x, |dy| / acceleration_y)``
the time from rest to rest is ``a + b / a`` where top speed is reached (a² >= b), else ``2 sqrt(b)``
(textbook kinematics).
"""

from __future__ import annotations

import numpy as np

from plotlib.checks import FloatArray
from plotlib.compiled import compiled


@compiled
def move_cost(
    metric: FloatArray | tuple[float, float, float, float, float], dx: float, dy: float
) -> float:
    """Cost of one pen-up move by (dx, dy) grid units.

    ``metric`` is ``[kind, px, py, qx, qy]``: kind 0 is distance (px = mm for each unit), kind 1 is
    time (px, py = seconds at top rate for each unit; qx, qy = unit / acceleration in s²). Lift and
    settle are the same for every move and not in it.
    """
    if metric[0] == 0.0:
        distance: float = metric[1] * np.sqrt(dx * dx + dy * dy)
        return distance
    dx = abs(dx)
    dy = abs(dy)
    a = max(dx * metric[1], dy * metric[2])
    b = max(dx * metric[3], dy * metric[4])
    if a * a >= b:
        if a == 0.0:
            return 0.0
        return float(a + b / a)
    return float(2.0 * np.sqrt(b))
