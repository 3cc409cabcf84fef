"""Compiled: a uniform bicubic B-spline and its slopes at many points.

The weights of the uniform cubic B-spline (I. J. Schoenberg, 1946), as a tensor product; the
coefficients come from the recursive filter of M. Unser, A. Aldroubi, M. Eden, *B-Spline Signal
Processing*, IEEE Transactions on Signal Processing 41, 1993, in scipy.

The four weights of a point sum to 6 in each direction, hence the division by 36; those of a slope
sum to 0.

``tests/fields/test_arrays.py`` tests it against scipy's splines by another method.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from plotlib.checks import FloatArray
from plotlib.compiled import compiled


class Spline(NamedTuple):
    """Coefficients (rows, columns), the first at (x, y), nodes ``cell`` mm apart; outside left …
    top it keeps the number of the edge.
    """

    coefficients: FloatArray
    x: float  # mm
    y: float
    cell_x: float  # mm
    cell_y: float
    left: float  # mm
    bottom: float
    right: float
    top: float


@compiled
def values(spline: Spline, xs: FloatArray, ys: FloatArray) -> FloatArray:
    """The numbers (n,) at points (n,)."""
    result = np.empty(len(xs))
    for k in range(len(xs)):
        result[k] = _jet(spline, xs[k], ys[k])[0]
    return result


@compiled
def jets(
    spline: Spline, xs: FloatArray, ys: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """The numbers (n,) and both slopes at points (n,)."""
    f = np.empty(len(xs))
    fx = np.empty(len(xs))
    fy = np.empty(len(xs))
    for k in range(len(xs)):
        f[k], fx[k], fy[k] = _jet(spline, xs[k], ys[k])
    return f, fx, fy


@compiled
def _jet(spline: Spline, x: float, y: float) -> tuple[float, float, float]:
    c = spline.coefficients
    inside_x = spline.left <= x <= spline.right
    inside_y = spline.bottom <= y <= spline.top
    s = (min(max(x, spline.left), spline.right) - spline.x) / spline.cell_x
    t = (min(max(y, spline.bottom), spline.top) - spline.y) / spline.cell_y
    i = min(max(math.floor(s), 1), c.shape[1] - 3)
    j = min(max(math.floor(t), 1), c.shape[0] - 3)
    s = s - i
    t = t - j
    a0 = (1 - s) ** 3
    a1 = 4 - 6 * s * s + 3 * s**3
    a2 = 1 + 3 * s + 3 * s * s - 3 * s**3
    a3 = s**3
    d0 = -((1 - s) ** 2)
    d1 = -4 * s + 3 * s * s
    d2 = 1 + 2 * s - 3 * s * s
    d3 = s * s
    weights = ((1 - t) ** 3, 4 - 6 * t * t + 3 * t**3, 1 + 3 * t + 3 * t * t - 3 * t**3, t**3)
    slopes = (-((1 - t) ** 2), -4 * t + 3 * t * t, 1 + 2 * t - 3 * t * t, t * t)
    f = fx = fy = 0.0
    for k in range(4):
        row = c[j - 1 + k]
        number = a0 * row[i - 1] + a1 * row[i] + a2 * row[i + 1] + a3 * row[i + 2]
        f += weights[k] * number
        fx += weights[k] * (d0 * row[i - 1] + d1 * row[i] + d2 * row[i + 1] + d3 * row[i + 2])
        fy += slopes[k] * number
    fx = 3.0 * fx / spline.cell_x if inside_x else 0.0
    fy = 3.0 * fy / spline.cell_y if inside_y else 0.0
    return f / 36.0, fx / 36.0, fy / 36.0
