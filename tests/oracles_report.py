"""Slow and obvious: how often pens come to each point, walked along the strokes in small steps."""

from __future__ import annotations

import numpy as np

from plotlib.checks import FloatArray, IntArray
from plotlib.drawing import Drawing

STEP = 1e-3  # mm
_HAIRS = (-3 * STEP, 0.0, 3 * STEP)


def passes(drawing: Drawing, spots: FloatArray) -> tuple[IntArray, IntArray]:
    """The least and the greatest number of comings (n,) to each spot, which differ where a pen
    covers the spot by a hair or is away for a hair longer. A smaller disc may have more comings:
    it is left for longer. So the disc and the ways are tried one by one, a hair less and more.
    """
    every = np.array([_comings(drawing, spot) for spot in spots])
    return every.min(axis=1), every.max(axis=1)


def _comings(drawing: Drawing, spot: FloatArray) -> IntArray:
    """Comings to a spot, for each hair on the disc and each hair on the ways off and on it."""
    total = np.zeros((len(_HAIRS), len(_HAIRS)), np.int64)
    for stroke, pen in zip(drawing, drawing.pen_index, strict=True):
        radius = drawing.pens[pen].width / 2
        way, places = _walked(stroke)
        away = np.hypot(*(places - spot).T)
        for row, wider in enumerate(_HAIRS):
            on = way[away <= radius + wider].tolist()
            for column, longer in enumerate(_HAIRS):
                total[row, column] += _counted(on, radius, longer)
    return total.ravel()


def _counted(ways: list[float], radius: float, hair: float) -> int:
    """Comings at these ways along one stroke: anew after a radius off the spot, once more after
    four radii on it; both a hair more.
    """
    count = 0
    seen = -np.inf
    counted = -np.inf
    for way in ways:
        if way - seen > radius + hair or way - counted > 4 * radius + hair:
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
