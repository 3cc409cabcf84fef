"""Compiled: a flow sampled on a grid as a smooth spline, and one step of Runge and Kutta along its
direction.

Uniform cubic B-splines (I. J. Schoenberg, 1946; the weights as in C. de Boor, *A Practical Guide to
Splines*) and the classical fourth-order step (W. Kutta, 1901), on unit vectors.

Every direction has length 1, or is nought with the flag False: a critical point.

``tests/fields/test_flowgrid.py`` tests the directions against the field itself, asked point by
point, ``tests/published/test_streamline_solutions.py`` the lines against solutions in closed form.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np

from plotlib.checks import FloatArray
from plotlib.compiled import compiled

# cosine of the turn that one step may make (20 degrees); a sharper one is taken in halves
_SHARPEST = 0.94
_HALVINGS = 8  # then the step is 1/256 of what was asked, and the point as good as critical


class Flow(NamedTuple):
    """Coefficients of a uniform cubic B-spline (rows, columns, 2): node (0, 0) stands at (x, y),
    nodes are ``cell`` mm apart.
    """

    coefficients: FloatArray
    x: float  # mm
    y: float
    cell_x: float  # mm
    cell_y: float
    slowest: float  # below this speed a point counts as critical: lines end there


@compiled
def direction(flow: Flow, x: float, y: float) -> tuple[float, float, bool]:
    """The unit direction of the flow at (x, y), and whether there is one."""
    rows = flow.coefficients.shape[0]
    columns = flow.coefficients.shape[1]
    s = (x - flow.x) / flow.cell_x
    t = (y - flow.y) / flow.cell_y
    i = min(max(math.floor(s), 1), columns - 3)
    j = min(max(math.floor(t), 1), rows - 3)
    s -= i
    t -= j
    s2 = s * s
    t2 = t * t
    s3 = s2 * s
    t3 = t2 * t
    a0 = 1 - 3 * s + 3 * s2 - s3
    a1 = 4 - 6 * s2 + 3 * s3
    a2 = 1 + 3 * s + 3 * s2 - 3 * s3
    a3 = s3
    weights = (1 - 3 * t + 3 * t2 - t3, 4 - 6 * t2 + 3 * t3, 1 + 3 * t + 3 * t2 - 3 * t3, t3)
    u = v = 0.0
    for k in range(4):
        c = flow.coefficients[j - 1 + k, i - 1 : i + 3]
        u += weights[k] * (a0 * c[0, 0] + a1 * c[1, 0] + a2 * c[2, 0] + a3 * c[3, 0])
        v += weights[k] * (a0 * c[0, 1] + a1 * c[1, 1] + a2 * c[2, 1] + a3 * c[3, 1])
    speed = math.sqrt(u * u + v * v) / 36.0
    if speed <= flow.slowest:
        return 0.0, 0.0, False
    return u / (36.0 * speed), v / (36.0 * speed), True


@compiled
def directions(flow: Flow, points: FloatArray) -> FloatArray:
    """The unit directions (n, 2) at points (n, 2); nought where there is none."""
    result = np.zeros_like(points)
    for k in range(len(points)):
        result[k, 0], result[k, 1], _ = direction(flow, points[k, 0], points[k, 1])
    return result


@compiled
def step(
    flow: Flow, x: float, y: float, u: float, v: float, sign: float, size: float
) -> tuple[float, float, float, float, float]:
    """One step of the classical fourth order from (x, y), where the direction, already turned by
    ``sign``, is (u, v).

    The new point, the direction there, and the length taken: less than ``size`` where the line
    turns sharply, 0 at a critical point.
    """
    for _ in range(_HALVINGS):
        a, b, fine = direction(flow, x + 0.5 * size * u, y + 0.5 * size * v)
        if fine:
            a = a * sign
            b = b * sign
            c, d, fine = direction(flow, x + 0.5 * size * a, y + 0.5 * size * b)
            if fine:
                c = c * sign
                d = d * sign
                e, f, fine = direction(flow, x + size * c, y + size * d)
                if fine:
                    e = e * sign
                    f = f * sign
                    new_x = x + size / 6.0 * (u + 2.0 * a + 2.0 * c + e)
                    new_y = y + size / 6.0 * (v + 2.0 * b + 2.0 * d + f)
                    p, q, fine = direction(flow, new_x, new_y)
                    p = p * sign
                    q = q * sign
                    if fine and u * p + v * q >= _SHARPEST and u * a + v * b >= _SHARPEST:
                        return new_x, new_y, p, q, size
        size *= 0.5
    return x, y, u, v, 0.0
