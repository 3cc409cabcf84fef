"""Affine maps of the plane as (2, 3) matrices, exact at the quarter turns."""

from __future__ import annotations

import math

import numpy as np

from plotlib.checks import FloatArray


def cosine_sine(angle: float) -> tuple[float, float]:
    """Cosine and sine of ``angle`` degrees; exact at multiples of 90."""
    quarter, rest = divmod(angle, 90.0)
    # cos(0) and sin(0) are 1 and 0 exactly, and quarter turns only swap them and change signs;
    # 0 - s, so that there is no -0.0
    c = math.cos(math.radians(rest))
    s = math.sin(math.radians(rest))
    return [(c, s), (0.0 - s, c), (-c, 0.0 - s), (s, -c)][int(quarter) % 4]


def about(linear: FloatArray, centre: tuple[float, float]) -> FloatArray:
    """The map that applies the (2, 2) matrix ``linear`` around ``centre``."""
    origin = np.asarray(centre)
    return np.column_stack([linear, origin - linear @ origin])


def turn(angle: float) -> FloatArray:
    """Rotation by ``angle`` degrees counter-clockwise, (2, 2)."""
    c, s = cosine_sine(angle)
    return np.array([[c, -s], [s, c]])


def mirror(angle: float) -> FloatArray:
    """Reflection in the line through the origin at ``angle`` degrees, (2, 2)."""
    c, s = cosine_sine(2.0 * angle)
    return np.array([[c, s], [s, -c]])


def apply(matrix: FloatArray, points: FloatArray) -> FloatArray:
    """``points`` (N, 2) under the (2, 3) ``matrix``."""
    x = points[:, 0]
    y = points[:, 1]
    result = np.empty((len(points), 2))
    for row in (0, 1):  # skip the zero terms: 0 * y may turn -0.0 into 0.0 and costs a pass
        a, b, c = matrix[row]
        if b == 0.0:
            column = a * x
        elif a == 0.0:
            column = b * y
        else:
            column = a * x + b * y
        result[:, row] = column + c if c else column
    return result
