"""Curves given by a radius for each direction: roses, the lemniscate and superellipses."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from plotlib import checks
from plotlib.arrays.flatten import TOLERANCE, adaptive
from plotlib.checks import FloatArray
from plotlib.curves.making import evenly, ratio, single, traced, turning
from plotlib.drawing import Drawing
from plotlib.pen import Pen


def rose(
    centre: ArrayLike,
    radius: float,
    *,
    k: float,
    tolerance: float = TOLERANCE,
    pen: Pen | None = None,
) -> Drawing:
    """A rose curve: distance ``radius * cos(k * direction)`` from the centre.

    Parameters
    ----------
    centre : point
        (x, y) in mm.
    radius : float
        Length of the petals in mm, > 0.
    k : float or Fraction
        > 0. A whole number gives k petals when odd, 2 k when even; a fraction petals that overlap.
    tolerance : float, default 0.02
        Greatest distance in mm between the curve and its chords.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        One closed stroke that begins at the tip of the petal to the right.

    Raises
    ------
    InvalidValue
        If an argument is invalid, ``k`` is not a fraction of whole numbers up to 10,000, or
        the curve needs more than 5 million points.

    References
    ----------
    J. D. Lawrence, *A Catalog of Special Plane Curves*, Dover 1972 (from memory).

    Examples
    --------
    >>> round(rose((0, 0), 10, k=3, tolerance=1e-3).length, 1)
    66.8
    """
    place = checks.point("centre", centre)
    size = checks.positive("radius", radius, unit="mm")
    exact = ratio("k", checks.positive("k", k), otherwise="take a fraction of smaller numbers")
    limit = checks.positive("tolerance", tolerance, unit="mm")
    is_odd = exact.numerator * exact.denominator % 2 == 1
    halves = exact.numerator * (1 if is_odd else 2)  # of petals, from tip to tip
    pieces = halves * math.ceil(8 * (1 + exact.denominator / exact.numerator))
    breaks = evenly(0.0, math.pi * halves, pieces, ("k", k))  # angles k * direction
    bend = exact.denominator / exact.numerator
    return traced(
        lambda t: turning(t * bend, size * np.cos(t)),
        breaks,
        at=place,
        tolerance=limit,
        closed=True,
        pen=pen,
    )


def lemniscate(
    centre: ArrayLike, radius: float, *, tolerance: float = TOLERANCE, pen: Pen | None = None
) -> Drawing:
    """The lemniscate of Bernoulli: a lying eight.

    Parameters
    ----------
    centre : point
        Where it crosses itself, in mm.
    radius : float
        Half of its width in mm, > 0.
    tolerance : float, default 0.02
        Greatest distance in mm between the curve and its chords.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        One closed stroke that begins on the right.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or the curve needs more than 5 million points.

    References
    ----------
    J. D. Lawrence, *A Catalog of Special Plane Curves*, Dover 1972 (from memory).

    Examples
    --------
    >>> round(lemniscate((0, 0), 100, tolerance=1e-3).length, 1)
    524.4
    """
    place = checks.point("centre", centre)
    size = checks.positive("radius", radius, unit="mm")
    limit = checks.positive("tolerance", tolerance, unit="mm")

    def curve(t: FloatArray) -> FloatArray:
        across = size * np.cos(t) / (1 + np.sin(t) ** 2)
        return np.column_stack([across, across * np.sin(t)])

    return traced(
        curve, evenly(0.0, 2 * math.pi, 16), at=place, tolerance=limit, closed=True, pen=pen
    )


def superellipse(
    centre: ArrayLike,
    radius_x: float,
    radius_y: float,
    *,
    power: float = 4.0,
    tolerance: float = TOLERANCE,
    pen: Pen | None = None,
) -> Drawing:
    """A superellipse: ``|x / radius_x| ** power + |y / radius_y| ** power = 1``.

    Parameters
    ----------
    centre : point
        (x, y) in mm.
    radius_x, radius_y : float
        The half axes in mm, > 0.
    power : float, default 4.0
        The exponent, from 0.1 to 1000: 2 is an ellipse, more comes nearer to a rectangle, 1 is a
        rhombus, less a star with four tips.
    tolerance : float, default 0.02
        Greatest distance in mm between the curve and its chords.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        One closed stroke, counter-clockwise from the right; its quarters mirror each other bit for
        bit.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or the curve needs more than 5 million points.

    References
    ----------
    M. Gardner, *Mathematical Carnival*, Knopf 1975: Piet Hein's superellipse, after G. Lamé, 1818
    (from memory).

    Examples
    --------
    >>> superellipse((0, 0), 40, 30, power=4).bounds
    (-40.0, -30.0, 40.0, 30.0)
    """
    place = checks.point("centre", centre)
    axes = (
        checks.positive("radius_x", radius_x, unit="mm"),
        checks.positive("radius_y", radius_y, unit="mm"),
    )
    exponent = checks.between("power", power, 0.1, 1000.0)
    limit = checks.positive("tolerance", tolerance, unit="mm")

    def curve(t: FloatArray) -> FloatArray:
        x = np.cos(t)
        y = np.sin(t)
        most = np.maximum(np.abs(x), np.abs(y))
        radius = ((np.abs(x) / most) ** exponent + (np.abs(y) / most) ** exponent) ** (
            -1 / exponent
        ) / most
        return np.column_stack([radius * x, radius * y]) * axes

    quarter = adaptive(curve, evenly(0.0, math.pi / 2, 4), limit)
    # cos(90 degrees) is not 0 in float64, but the tips are
    quarter[0] = (axes[0], 0.0)
    quarter[-1] = (0.0, axes[1])
    upper = np.concatenate([quarter, quarter[-2::-1] * (-1, 1)])
    return single(np.concatenate([upper, upper[-2::-1] * (1, -1)]) + place, pen)
