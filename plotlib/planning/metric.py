"""The metric of a machine: what a pen-up move costs, in the machine's seconds or in millimetres."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, NamedTuple

from plotlib.checks import one_of

if TYPE_CHECKING:  # kernels import this file, and are compiled anew when what it imports changes
    from plotlib.machine import Axis, Machine

METRICS = ("time", "distance")


class Metric(NamedTuple):
    """What pen-up moves cost, for :func:`plotlib.planning.cost_kernel.move_cost`; grid units go in.

    All parts are floats, so that every kernel is compiled for one kind of metric.

    Attributes
    ----------
    timed : float
        1.0: costs are seconds; 0.0: costs are mm.
    pace_x, pace_y : float
        What one grid unit of each axis costs at its top rate, in s (in mm where ``timed`` is 0).
    ramp_x, ramp_y : float
        One grid unit divided by the acceleration of each axis, in s²; 0.0 where none is declared,
        and where ``timed`` is 0.
    """

    timed: float
    pace_x: float
    pace_y: float
    ramp_x: float
    ramp_y: float

    @property
    def scale(self) -> tuple[float, float]:
        """Factors of x and y with which distances resemble costs: slow axes are long ones."""
        return (self.pace_x, self.pace_y) if self.timed else (1.0, 1.0)


def distance_metric(unit: float) -> Metric:
    """Costs in mm, on a grid with so many mm to the unit.

    Examples
    --------
    >>> distance_metric(0.001).pace_x
    0.001
    """
    return Metric(0.0, unit, unit, 0.0, 0.0)


def metric_of(machine: Machine, kind: str) -> Metric:
    """The metric of a machine: mm for "distance", seconds for "time".

    Where travel goes by G1 its feed is taken as a limit of each axis, so a slanting move may be
    reported shorter than it is, by 30 % at most.
    """
    if one_of("metric", kind, METRICS) == "distance":
        return distance_metric(machine.unit)
    limit = math.inf if machine.travel_feed is None else machine.travel_feed
    return Metric(
        timed=1.0,
        pace_x=machine.unit * 60.0 / min(machine.x.rate, limit),
        pace_y=machine.unit * 60.0 / min(machine.y.rate, limit),
        ramp_x=_inverse_acceleration(machine.x, machine),
        ramp_y=_inverse_acceleration(machine.y, machine),
    )


def _inverse_acceleration(axis: Axis, machine: Machine) -> float:
    return 0.0 if axis.acceleration is None else machine.unit / axis.acceleration
