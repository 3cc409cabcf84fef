"""Roulettes: what a point on a rolling circle draws."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from plotlib import checks
from plotlib.arrays.flatten import TOLERANCE
from plotlib.checks import FloatArray
from plotlib.curves.making import evenly, ratio, traced, turning
from plotlib.drawing import Drawing
from plotlib.pen import Pen

_PER_TURN = 8  # pieces of 45 degrees, where ``adaptive`` asks for no more than a right angle


def hypotrochoid(
    centre: ArrayLike,
    fixed: float,
    rolling: float,
    *,
    arm: float | None = None,
    turns: float | None = None,
    tolerance: float = TOLERANCE,
    pen: Pen | None = None,
) -> Drawing:
    """A hypotrochoid: a point carried by a circle that rolls inside a fixed one.

    Parameters
    ----------
    centre : point
        The centre of the fixed circle, in mm.
    fixed, rolling : float
        The radii of both circles in mm, > 0; the rolling one may be the larger.
    arm : float, optional
        Distance of the point from the centre of the rolling circle in mm, >= 0. Without it the
        point is on the circle: a hypocycloid.
    turns : float, optional
        How many turns the rolling circle makes around the centre, > 0. Without it as many as close
        the figure.
    tolerance : float, default 0.02
        Greatest distance in mm between the curve and its chords.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        One stroke that begins to the right of the centre; closed, with cusps exactly on points,
        when ``turns`` is not given.

    Raises
    ------
    InvalidValue
        If an argument is invalid; if ``turns`` is not given and the ratio of the radii is not
        a fraction of whole numbers up to 10,000; or if the curve needs more than 5 million
        points.

    References
    ----------
    J. D. Lawrence, *A Catalog of Special Plane Curves*, Dover 1972 (from memory).

    Examples
    --------
    >>> round(hypotrochoid((0, 0), 105, 45, arm=30, tolerance=1e-3).length, 1)
    1260.6
    """
    return _roulette(
        centre, fixed, rolling, side=-1.0, arm=arm, turns=turns, tolerance=tolerance, pen=pen
    )


def epitrochoid(
    centre: ArrayLike,
    fixed: float,
    rolling: float,
    *,
    arm: float | None = None,
    turns: float | None = None,
    tolerance: float = TOLERANCE,
    pen: Pen | None = None,
) -> Drawing:
    """An epitrochoid: a point carried by a circle that rolls around a fixed one.

    Parameters
    ----------
    centre : point
        The centre of the fixed circle, in mm.
    fixed, rolling : float
        The radii of both circles in mm, > 0.
    arm : float, optional
        Distance of the point from the centre of the rolling circle in mm, >= 0. Without it the
        point is on the circle: an epicycloid.
    turns : float, optional
        How many turns the rolling circle makes around the centre, > 0. Without it as many as close
        the figure.
    tolerance : float, default 0.02
        Greatest distance in mm between the curve and its chords.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        One stroke that begins to the right of the centre; closed, with cusps exactly on points,
        when ``turns`` is not given.

    Raises
    ------
    InvalidValue
        If an argument is invalid; if ``turns`` is not given and the ratio of the radii is not
        a fraction of whole numbers up to 10,000; or if the curve needs more than 5 million
        points.

    References
    ----------
    J. D. Lawrence, *A Catalog of Special Plane Curves*, Dover 1972 (from memory).

    Examples
    --------
    >>> round(epitrochoid((0, 0), 10, 10, tolerance=1e-3).length, 2)
    160.0
    """
    return _roulette(
        centre, fixed, rolling, side=1.0, arm=arm, turns=turns, tolerance=tolerance, pen=pen
    )


def trochoid(
    start: ArrayLike,
    radius: float,
    *,
    arm: float | None = None,
    arches: float = 1.0,
    tolerance: float = TOLERANCE,
    pen: Pen | None = None,
) -> Drawing:
    """A trochoid: a point carried by a circle that rolls along a line.

    Parameters
    ----------
    start : point
        Where the circle first touches the line, in mm; the line goes right from there.
    radius : float
        Of the rolling circle in mm, > 0.
    arm : float, optional
        Distance of the point from the centre of the circle in mm, >= 0; the point begins below.
        Without it it is on the circle: a cycloid.
    arches : float, default 1.0
        How many turns the circle makes, > 0.
    tolerance : float, default 0.02
        Greatest distance in mm between the curve and its chords.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        One stroke, with cusps exactly on points.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or the curve needs more than 5 million points.

    References
    ----------
    J. D. Lawrence, *A Catalog of Special Plane Curves*, Dover 1972 (from memory).

    Examples
    --------
    >>> round(trochoid((0, 0), 10, tolerance=1e-3).length, 2)
    80.0
    """
    place = checks.point("start", start)
    size = checks.positive("radius", radius, unit="mm")
    reach = size if arm is None else checks.not_negative("arm", arm, unit="mm")
    laps = checks.positive("arches", arches)
    limit = checks.positive("tolerance", tolerance, unit="mm")

    def curve(t: FloatArray) -> FloatArray:
        return np.column_stack([size * t - reach * np.sin(t), size - reach * np.cos(t)])

    return traced(
        curve, _with_cusps(laps, _PER_TURN, ("arches", laps)), at=place, tolerance=limit, pen=pen
    )


def _roulette(
    centre: ArrayLike,
    fixed: float,
    rolling: float,
    *,
    side: float,
    arm: float | None,
    turns: float | None,
    tolerance: float,
    pen: Pen | None,
) -> Drawing:
    """A circle that rolls outside (``side`` 1) or inside (-1); the parameter is the angle between
    it and the point where it touches.
    """
    place = checks.point("centre", centre)
    still = checks.positive("fixed", fixed, unit="mm")
    size = checks.positive("rolling", rolling, unit="mm")
    reach = size if arm is None else checks.not_negative("arm", arm, unit="mm")
    limit = checks.positive("tolerance", tolerance, unit="mm")
    lobes = (
        still / size * checks.positive("turns", turns) if turns is not None else _lobes(still, size)
    )
    cause = ("rolling", size) if turns is None else ("turns", turns)
    carried = size / still
    orbit = still + side * size

    def curve(t: FloatArray) -> FloatArray:
        slow = carried * t
        return turning(slow, orbit) - side * turning(slow + side * t, reach)

    pieces = _PER_TURN * math.ceil(max(1.0, min(carried, 1e9)))
    return traced(
        curve,
        _with_cusps(lobes, pieces, cause),
        at=place,
        tolerance=limit,
        closed=turns is None,
        pen=pen,
    )


def _lobes(fixed: float, rolling: float) -> float:
    """How often the rolling circle turns on the fixed one before the figure closes."""
    return float(ratio("fixed / rolling", fixed / rolling, otherwise="give turns").numerator)


def _with_cusps(laps: float, pieces: int, cause: tuple[str, float]) -> FloatArray:
    """Parameters from 0 over ``laps`` turns, ``pieces`` in each, so that every whole turn (a cusp,
    where there are any) is among them.
    """
    whole = 2 * math.pi * math.floor(laps)
    rest = 2 * math.pi * laps - whole
    breaks = evenly(0.0, whole, math.floor(laps) * pieces, cause) if whole else np.zeros(1)
    return (
        np.concatenate([breaks, whole + evenly(0.0, rest, pieces, cause)[1:]])
        if rest > 1e-12 * laps
        else breaks
    )
