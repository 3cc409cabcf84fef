"""What a pen-up move costs: the machine's seconds, or plain millimetres.

A straight coordinated move by (dx, dy) under per-axis top rates and accelerations is a trapezoid
along the line. With ``a = max(|dx| / rate_x, |dy| / rate_y)`` (its time at top speed) and ``b =
max(|dx| / acceleration_x, |dy| / acceleration_y)`` the time from rest to rest is ``a + b / a``
where top speed is reached (a² >= b), else ``2 sqrt(b)`` (textbook kinematics: the two agree where
a² = b). It never falls when |dx| or |dy| grows, which is what the boxes of the k-d trees rest on.

Its oracles are ``TimeCost`` and ``distance_cost`` in ``tests/oracles_planning.py``, and the closed
forms of ``tests/published/test_motion_closed_forms.py``.
"""

from __future__ import annotations

import numpy as np

from plotlib.compiled import compiled
from plotlib.planning.metric import Metric


@compiled
def move_cost(metric: Metric, dx: float, dy: float) -> float:
    """Cost of one pen-up move by (dx, dy) grid units, in s or mm as the metric has it.

    Lift and settle are the same for every move and not in it.
    """
    if metric.timed == 0.0:
        distance: float = metric.pace_x * np.sqrt(dx * dx + dy * dy)
        return distance
    dx = abs(dx)
    dy = abs(dy)
    a = max(dx * metric.pace_x, dy * metric.pace_y)
    b = max(dx * metric.ramp_x, dy * metric.ramp_y)
    if a * a >= b:
        if a == 0.0:
            return 0.0
        return float(a + b / a)
    return float(2.0 * np.sqrt(b))
