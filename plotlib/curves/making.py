"""What the makers of curves share: strokes from functions, ratios that close, paths laid from one
point to another.
"""

from __future__ import annotations

import math
from fractions import Fraction

import numpy as np
from numpy.typing import ArrayLike

from plotlib import checks
from plotlib.arrays import affine
from plotlib.arrays.flatten import MOST_POINTS, Curve, adaptive
from plotlib.checks import FloatArray
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.pen import Pen

MOST_LAPS = 10_000


def traced(
    curve: Curve,
    breaks: FloatArray,
    *,
    at: tuple[float, float],
    tolerance: float,
    pen: Pen | None,
    closed: bool = False,
) -> Drawing:
    """One stroke along ``curve`` around ``at``, through the points at the parameters ``breaks``."""
    points = adaptive(curve, breaks, tolerance) + at
    if closed:
        points[-1] = points[0]
    return single(points, pen)


def evenly(
    begin: float, until: float, pieces: float, cause: tuple[str, float] = ("tolerance", 0.0)
) -> FloatArray:
    """Parameters from ``begin`` to ``until`` in equal steps, at least ``pieces``; millions of them
    are refused, naming the argument that is the ``cause``.
    """
    name, value = cause
    checks.affordable(name, value, pieces, MOST_POINTS, "pieces of curve", "draw fewer turns")
    count = max(1, math.ceil(pieces))
    breaks = begin + (until - begin) * (np.arange(count + 1) / count)
    breaks[-1] = until
    return breaks


def single(points: FloatArray, pen: Pen | None) -> Drawing:
    """One stroke."""
    return Drawing.from_arrays(points, np.array([0, len(points)]), pen=pen)


def turning(angle: FloatArray, radius: FloatArray | float = 1.0) -> FloatArray:
    """Points (n, 2) at ``angle`` radians and distance ``radius`` from the origin."""
    return np.column_stack([radius * np.cos(angle), radius * np.sin(angle)])


def ratio(name: str, value: float, *, otherwise: str) -> Fraction:
    """``value`` as a ratio of whole numbers up to 10,000, so that the figure closes; ``otherwise``
    tells what to do when there is none.
    """
    exact = Fraction(value)
    near = exact.limit_denominator(MOST_LAPS)
    if abs(near - exact) > Fraction(1, 10**12) * abs(exact) or near.numerator > 100 * MOST_LAPS:
        raise InvalidValue(
            f"with {name} = {value!r} the figure does not close within {MOST_LAPS:,} turns; "
            f"{otherwise}",
            name=name,
            value=value,
        )
    return near


def laid(points: FloatArray, start: tuple[float, float], end: tuple[float, float]) -> FloatArray:
    """``points`` (n, 2) turned, scaled and moved so that the first lies on ``start`` and the last
    on ``end``, both bit for bit.
    """
    a, b = points[-1] - points[0]
    c, d = np.subtract(end, start)
    square = a * a + b * b
    x = (c * a + d * b) / square
    y = (d * a - c * b) / square
    placed = affine.apply(np.array([[x, -y, start[0]], [y, x, start[1]]]), points - points[0])
    placed[-1] = end
    return placed


def apart(start: ArrayLike, end: ArrayLike) -> tuple[tuple[float, float], tuple[float, float]]:
    """Two points that differ, or InvalidValue."""
    first = checks.point("start", start)
    last = checks.point("end", end)
    if first == last:
        raise InvalidValue(f"start and end must be two different points, got {first} twice")
    return first, last
