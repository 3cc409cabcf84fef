"""Scalar fields by formula: ramps, ridges, functions of your own."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np

from plotlib import checks
from plotlib.arrays import affine
from plotlib.checks import FloatArray
from plotlib.errors import InvalidValue
from plotlib.fields.scalar import ScalarField


def from_function(
    value: Callable[[FloatArray, FloatArray], Any],
    slopes: Callable[[FloatArray, FloatArray], Any] | None = None,
) -> ScalarField:
    """A scalar field from a function of two numpy arrays x and y in mm.

    Parameters
    ----------
    value : function
        ``value(x, y)``: the numbers; x and y broadcast.
    slopes : function, optional
        ``slopes(x, y)``: a pair, the slopes along x and along y. Without it they are central
        differences over 0.0001 mm.

    Returns
    -------
    ScalarField

    Raises
    ------
    InvalidValue
        If an argument is not a function. When the field is asked: if ``value`` or ``slopes``
        does not take arrays, or does not give what is described here.

    Examples
    --------
    >>> saddle = from_function(lambda x, y: x * y, lambda x, y: (y, x))
    >>> saddle(3, 4), saddle.slopes(3, 4)
    (12.0, (4.0, 3.0))
    """
    checks.function("value", value)
    if slopes is None:
        return ScalarField(value)
    exact = checks.function("slopes", slopes)
    return ScalarField(value, lambda x, y: (value(x, y), *_two(exact(x, y))))


def _two(slopes: Any) -> tuple[Any, Any]:
    try:
        along_x, along_y = slopes
    except (TypeError, ValueError) as error:
        raise InvalidValue(
            f"slopes must give a pair, the slopes along x and along y; got {slopes!r:.200}",
            name="slopes",
        ) from error
    return along_x, along_y


def ramp(angle: float = 0.0, *, centre: tuple[float, float] = (0.0, 0.0)) -> ScalarField:
    """A linear ramp: distance in mm from a point along a direction, negative behind it.

    Parameters
    ----------
    angle : float, default 0.0
        The direction in degrees, counter-clockwise from the x axis; multiples of 90 are exact.
    centre : (float, float), default (0, 0)
        The point in mm where it is 0.

    Returns
    -------
    ScalarField

    Raises
    ------
    InvalidValue
        If an argument is invalid.

    Examples
    --------
    >>> ramp(90)(3, 4)
    4.0
    """
    c, s = affine.cosine_sine(checks.finite("angle", angle) % 360.0)
    x0, y0 = checks.point("centre", centre)
    c64 = np.float64(c)
    s64 = np.float64(s)

    def height(x: FloatArray, y: FloatArray) -> FloatArray:
        return c * (x - x0) + s * (y - y0)

    def slopes(x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        return height(x, y), np.asarray(c64), np.asarray(s64)

    return ScalarField(height, slopes)


def ridge(start: tuple[float, float], end: tuple[float, float], *, width: float) -> ScalarField:
    """A smooth crest along a straight line: a Gaussian of the distance from a segment.

    Parameters
    ----------
    start, end : (float, float)
        The ends of the segment in mm; equal ones give a round hill.
    width : float
        Distance in mm from the line at which the crest has fallen to exp(-1), > 0.

    Returns
    -------
    ScalarField
        1 on the line, 0 far away.

    Raises
    ------
    InvalidValue
        If an argument is invalid.

    Examples
    --------
    >>> crest = ridge((0, 0), (10, 0), width=2)
    >>> crest(5, 0), round(crest(5, 2), 6), round(crest(12, 0), 6)
    (1.0, 0.367879, 0.367879)
    """
    a = np.array(checks.point("start", start))
    b = np.array(checks.point("end", end))
    across = checks.positive("width", width, unit="mm")
    along = b - a
    squared = float(along @ along)

    def jet(x: FloatArray, y: FloatArray) -> tuple[FloatArray, FloatArray, FloatArray]:
        dx = x - a[0]
        dy = y - a[1]
        share = np.clip((dx * along[0] + dy * along[1]) / squared, 0.0, 1.0) if squared else 0.0
        ex = dx - share * along[0]
        ey = dy - share * along[1]
        value = np.exp(-(ex * ex + ey * ey) / across**2)
        return value, -2 * ex / across**2 * value, -2 * ey / across**2 * value

    return ScalarField(lambda x, y: jet(x, y)[0], jet)
