"""Feeds that the axes can follow: one for each stroke, so that the line stays even."""

from __future__ import annotations

import numpy as np

from plotlib.checks import BoolArray, FloatArray, IntArray
from plotlib.machine import Machine
from plotlib.pen import Pen
from plotlib.planning.placing.pressing import pressed


def direction_limits(steps: IntArray, machine: Machine) -> FloatArray:
    """The highest feed (N,) in mm/min along each step (N, 2) that keeps both axes within their
    rates; infinite for no step.
    """
    dx, dy = np.abs(steps).T.astype(np.float64)
    length = np.sqrt(dx * dx + dy * dy)
    with np.errstate(divide="ignore", invalid="ignore"):
        limits = np.minimum(
            np.where(dx > 0, length / dx * machine.x.rate, np.inf),
            np.where(dy > 0, length / dy * machine.y.rate, np.inf),
        )
    return np.asarray(limits)


def stroke_feeds(
    points: IntArray,
    offsets: IntArray,
    pen_index: IntArray,
    pens: tuple[Pen, ...],
    machine: Machine,
    has_arcs: BoolArray | None = None,
) -> FloatArray:
    """Drawing feed (M,) of each stroke in mm/min: the pen's (else the machine's), or less where an
    axis could not follow.

    Feeds are whole thousandths, rounded down; a whole one that the quotient misses by its last
    bits is kept. A stroke that ``has_arcs`` (M,) may run in any direction, so both axes must be
    able to follow alone.
    """
    if len(offsets) == 1:
        return np.zeros(0)
    wanted = np.array([machine.feed if pen.feed is None else pen.feed for pen in pens])[pen_index]
    steps = np.zeros_like(points)
    steps[:-1] = np.diff(points, axis=0)
    steps[offsets[1:] - 1] = 0
    limits = np.minimum(direction_limits(steps, machine), _climb_limits(points, steps, machine))
    slowest = np.minimum.reduceat(limits, offsets[:-1])
    if has_arcs is not None:
        least = min(machine.x.rate, machine.y.rate)
        slowest = np.where(has_arcs, np.minimum(slowest, least), slowest)
    limited = np.floor(slowest * 1000 * (1 + 1e-12)) / 1000
    return np.asarray(np.where(slowest >= wanted, wanted, limited))


def _climb_limits(points: IntArray, steps: IntArray, machine: Machine) -> FloatArray:
    """The highest feed (N,) along each step at which the lift can follow the bed; of a climb one
    unit may be rounding, and counts for nothing.
    """
    heights = machine.lift.heights
    if machine.height_map is None or heights is None:
        return np.full(len(points), np.inf)
    climbs = np.zeros(len(points))
    climbs[:-1] = np.maximum(np.abs(np.diff(pressed(points, machine))) - 1, 0)
    length = np.hypot(*steps.T.astype(np.float64))
    with np.errstate(divide="ignore", invalid="ignore"):
        limits = np.where(climbs * length > 0, length / climbs * heights.feed, np.inf)
    return np.asarray(limits)
