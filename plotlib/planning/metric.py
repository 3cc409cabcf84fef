"""The metric of a machine: what a pen-up move costs, as the array that the kernels read."""

from __future__ import annotations

import math

import numpy as np

from plotlib.checks import FloatArray, one_of
from plotlib.machine import Axis, Machine

METRICS = ("time", "distance")


def metric_of(machine: Machine, kind: str) -> FloatArray:
    """``[kind, px, py, qx, qy]`` as ``metric.move_cost`` reads it: mm for "distance", seconds for
    "time".

    Where travel goes by G1 its feed is taken as a limit of each axis, so a slanting move may be
    told shorter than it is, by 30 % at most.
    """
    if one_of("metric", kind, METRICS) == "distance":
        return np.array([0.0, machine.unit, machine.unit, 0.0, 0.0])
    limit = math.inf if machine.travel_feed is None else machine.travel_feed
    px, py = (machine.unit * 60.0 / min(axis.rate, limit) for axis in (machine.x, machine.y))
    return np.array(
        [
            1.0,
            px,
            py,
            _inverse_acceleration(machine.x, machine),
            _inverse_acceleration(machine.y, machine),
        ]
    )


def _inverse_acceleration(axis: Axis, machine: Machine) -> float:
    return 0.0 if axis.acceleration is None else machine.unit / axis.acceleration
