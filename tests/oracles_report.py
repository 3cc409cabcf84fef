"""Slow and obvious: how often pens come to each point, walked along the strokes in small steps."""

from __future__ import annotations

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.drawing import Drawing

STEP = 1e-3  # mm


def passes(drawing: Drawing, spots: FloatArray) -> tuple[IntArray, IntArray]:
    """The least and the greatest number of comings (n,) to each spot, which differ where a pen
    covers the spot by a hair or stays for a hair longer.
    """
    least = [_comings(drawing, spot, -3 * STEP) for spot in spots]
    most = [_comings(drawing, spot, 3 * STEP) for spot in spots]
    return np.array(least), np.array(most)


def _comings(drawing: Drawing, spot: FloatArray, hair: float) -> int:
    total = 0
    for stroke, pen in zip(drawing, drawing.pen_index, strict=True):
        radius = drawing.pens[pen].width / 2
        way, places = _walked(stroke)
        on = np.hypot(*(places - spot).T) <= radius + hair
        total += _counted(way[on], radius, hair)
    return total


def _counted(ways: FloatArray, radius: float, hair: float) -> int:
    """Comings at these ways along one stroke: anew after a radius off the spot, once more after
    four radii on it.
    """
    count = 0
    seen = -np.inf
    counted = -np.inf
    for way in ways:
        if way - seen > radius - hair or way - counted > 4 * radius - hair:
            count += 1
            counted = way
        seen = way
    return count


def _walked(stroke: FloatArray) -> tuple[FloatArray, FloatArray]:
    ways = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(stroke, axis=0).T))])
    at = np.union1d(np.arange(0.0, ways[-1], STEP), ways)
    if len(stroke) == 1:
        return np.zeros(1), stroke
    return at, np.column_stack([np.interp(at, ways, stroke[:, axis]) for axis in range(2)])
