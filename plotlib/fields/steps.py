"""Runge-Kutta steps for many points at once, on any flow that numpy can evaluate."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeAlias

import numpy as np

from plotlib.checks import FloatArray

Vectors: TypeAlias = Callable[[FloatArray], FloatArray]  # points (n, 2) to vectors (n, 2)

# J. R. Dormand, P. J. Prince, *A family of embedded Runge-Kutta formulae*, J. Comp. Appl. Math. 6,
# 1980, table 2: RK5(4)7M.
_NODES = (
    (1 / 5,),
    (3 / 40, 9 / 40),
    (44 / 45, -56 / 15, 32 / 9),
    (19372 / 6561, -25360 / 2187, 64448 / 6561, -212 / 729),
    (9017 / 3168, -355 / 33, 46732 / 5247, 49 / 176, -5103 / 18656),
    (35 / 384, 0.0, 500 / 1113, 125 / 192, -2187 / 6784, 11 / 84),
)
_ERROR = (71 / 57600, 0.0, -71 / 16695, 71 / 1920, -17253 / 339200, 22 / 525, -1 / 40)


def classical(flow: Vectors, points: FloatArray, step: FloatArray | float) -> FloatArray:
    """The classical fourth-order step: points (n, 2) after ``step``, one number or (n, 1)."""
    a = flow(points)
    b = flow(points + 0.5 * step * a)
    c = flow(points + 0.5 * step * b)
    d = flow(points + step * c)
    return points + step / 6.0 * (a + 2.0 * b + 2.0 * c + d)


def embedded(
    flow: Vectors, points: FloatArray, step: FloatArray | float
) -> tuple[FloatArray, FloatArray]:
    """The fifth-order step of Dormand and Prince, and its distance (n,) from the fourth-order one:
    an estimate of the error.
    """
    slopes = [flow(points)]
    for row in _NODES:
        moved = points + step * sum(
            weight * slope for weight, slope in zip(row, slopes, strict=True) if weight
        )
        slopes.append(flow(moved))
    off = step * np.tensordot(_ERROR, np.stack(slopes), axes=1)
    return moved, np.hypot(off[:, 0], off[:, 1])
