"""Feeds that the axes can follow: one for each stroke, so that the line stays even."""

from __future__ import annotations

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.machine import Machine
from plotlib.pen import Pen


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
) -> FloatArray:
    """Drawing feed (M,) of each stroke in mm/min: the pen's (else the machine's), or less where an
    axis could not follow.

    Feeds are whole thousandths, rounded down; a whole one that the quotient misses by its last
    bits is kept.
    """
    if len(offsets) == 1:
        return np.zeros(0)
    wanted = np.array([machine.feed if pen.feed is None else pen.feed for pen in pens])[pen_index]
    steps = np.zeros_like(points)
    steps[:-1] = np.diff(points, axis=0)
    steps[offsets[1:] - 1] = 0
    slowest = np.minimum.reduceat(direction_limits(steps, machine), offsets[:-1])
    limited = np.floor(slowest * 1000 * (1 + 1e-12)) / 1000
    return np.asarray(np.where(slowest >= wanted, wanted, limited))
