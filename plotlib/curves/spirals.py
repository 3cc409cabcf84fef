"""Spirals."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from plotlib import checks
from plotlib.arrays.flatten import TOLERANCE
from plotlib.curves.making import evenly, traced, turning
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.pen import Pen

_PER_TURN = 12  # pieces of 30 degrees, where ``adaptive`` asks for no more than a right angle


def archimedean_spiral(
    centre: ArrayLike,
    radius: float,
    *,
    pitch: float,
    inner: float = 0.0,
    angle: float = 0.0,
    tolerance: float = TOLERANCE,
    pen: Pen | None = None,
) -> Drawing:
    """An Archimedean spiral: neighbouring turns are ``pitch`` apart.

    Parameters
    ----------
    centre : point
        (x, y) in mm.
    radius : float
        Distance of the outer end from the centre in mm, > 0.
    pitch : float
        Distance between neighbouring turns in mm, > 0.
    inner : float, default 0.0
        Distance of the inner end from the centre in mm, less than ``radius``.
    angle : float, default 0.0
        The direction of the inner end in degrees.
    tolerance : float, default 0.02
        Greatest distance in mm between the curve and its chords.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        One stroke, outwards and counter-clockwise; ``.mirrored()`` makes it clockwise.

    Raises
    ------
    InvalidValue
        If an argument is invalid, ``inner`` is not less than ``radius``, or the spiral needs
        more than 5 million points.

    References
    ----------
    J. D. Lawrence, *A Catalog of Special Plane Curves*, Dover 1972 (from memory).

    Examples
    --------
    >>> round(archimedean_spiral((0, 0), 60, pitch=5, inner=10, tolerance=1e-4).length, 2)
    2199.83
    """
    place = checks.point("centre", centre)
    outer = checks.positive("radius", radius, unit="mm")
    hole = _inner(inner, radius)
    grow = checks.positive("pitch", pitch, unit="mm") / (2 * math.pi)
    ahead = math.radians(checks.finite("angle", angle, unit="degrees")) - hole / grow
    limit = checks.positive("tolerance", tolerance, unit="mm")
    breaks = evenly(
        hole / grow,
        outer / grow,
        _PER_TURN * (outer - hole) / (2 * math.pi * grow),
        (f"radius = {outer:g} with pitch", pitch),
    )
    return traced(
        lambda t: turning(t + ahead, grow * t), breaks, at=place, tolerance=limit, pen=pen
    )


def logarithmic_spiral(
    centre: ArrayLike,
    radius: float,
    *,
    inner: float,
    turns: float,
    angle: float = 0.0,
    tolerance: float = TOLERANCE,
    pen: Pen | None = None,
) -> Drawing:
    """A logarithmic spiral: every turn is the same number of times larger than the one before.

    Parameters
    ----------
    centre : point
        (x, y) in mm.
    radius : float
        Distance of the outer end from the centre in mm, > 0.
    inner : float
        Distance of the inner end from the centre in mm, > 0 and less than ``radius``.
    turns : float
        How many turns lie between the ends, > 0.
    angle : float, default 0.0
        The direction of the inner end in degrees.
    tolerance : float, default 0.02
        Greatest distance in mm between the curve and its chords.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        One stroke, outwards and counter-clockwise; ``.mirrored()`` makes it clockwise.

    Raises
    ------
    InvalidValue
        If an argument is invalid, ``inner`` is not less than ``radius``, or the spiral needs
        more than 5 million points.

    References
    ----------
    J. D. Lawrence, *A Catalog of Special Plane Curves*, Dover 1972 (from memory).

    Examples
    --------
    >>> spiral = logarithmic_spiral((0, 0), 40, inner=1, turns=3)
    >>> spiral[0][[0, -1]].round(6).tolist()
    [[1.0, 0.0], [40.0, -0.0]]
    """
    place = checks.point("centre", centre)
    outer = checks.positive("radius", radius, unit="mm")
    hole = _inner(checks.positive("inner", inner, unit="mm"), radius)
    laps = checks.positive("turns", turns)
    begin = math.radians(checks.finite("angle", angle, unit="degrees"))
    until = 2 * math.pi * laps
    rate = math.log(outer / hole) / until
    limit = checks.positive("tolerance", tolerance, unit="mm")
    breaks = evenly(0.0, until, _PER_TURN * laps, ("turns", laps))
    return traced(
        lambda t: turning(t + begin, hole * np.exp(rate * t)),
        breaks,
        at=place,
        tolerance=limit,
        pen=pen,
    )


def _inner(inner: float, radius: float) -> float:
    hole = checks.not_negative("inner", inner, unit="mm")
    if hole >= radius:
        raise InvalidValue(
            f"inner ({hole:g} mm) must be less than radius ({radius:g} mm)",
            name="inner",
            value=inner,
        )
    return hole
