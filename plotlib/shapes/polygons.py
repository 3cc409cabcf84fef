"""Rectangles, regular polygons and stars."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from plotlib import checks
from plotlib.arrays import affine
from plotlib.arrays.flatten import TOLERANCE, circle_chords, unit_circle
from plotlib.arrays.ragged import without_repeats
from plotlib.checks import FloatArray
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.pen import Pen


def rectangle(
    corner: ArrayLike,
    width: float,
    height: float,
    *,
    radius: float = 0.0,
    tolerance: float = TOLERANCE,
    pen: Pen | None = None,
) -> Drawing:
    """A rectangle, its corners sharp or round.

    Parameters
    ----------
    corner : point
        The lower left corner (x, y) in mm.
    width, height : float
        In mm, > 0.
    radius : float, default 0.0
        The radius of round corners in mm, at most half of the shorter side.
    tolerance : float, default 0.02
        Greatest distance in mm between the round corners and their chords.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        One closed stroke, counter-clockwise.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or ``radius`` is more than half of the shorter side.

    Examples
    --------
    >>> rectangle((0, 0), 30, 20)[0].tolist()
    [[0.0, 0.0], [30.0, 0.0], [30.0, 20.0], [0.0, 20.0], [0.0, 0.0]]
    >>> rectangle((0, 0), 30, 20, radius=5).bounds
    (0.0, 0.0, 30.0, 20.0)
    """
    left, bottom = checks.point("corner", corner)
    right = left + checks.positive("width", width, unit="mm")
    top = bottom + checks.positive("height", height, unit="mm")
    round_by = checks.not_negative("radius", radius, unit="mm")
    limit = checks.positive("tolerance", tolerance, unit="mm")
    most = min(float(width), float(height)) / 2
    if round_by > most:
        raise InvalidValue(
            f"radius must be at most half of the shorter side ({most:g} mm), got {radius!r}",
            name="radius",
            value=radius,
        )
    if round_by == 0.0:
        return _ring(np.array([[left, bottom], [right, bottom], [right, top], [left, top]]), pen)
    return _ring(_rounded((left, bottom, right, top), round_by, limit), pen)


def _rounded(box: tuple[float, float, float, float], radius: float, tolerance: float) -> FloatArray:
    """A box with round corners, from the start of the bottom side; not closed yet."""
    left, bottom, right, top = box
    count = int(circle_chords(radius, tolerance))
    unit = unit_circle(count)
    quarter = count // 4
    corners = []
    for k, (x, y, dx, dy) in zip(
        (2, 3, 0, 1),
        [(left, bottom, 1, 1), (right, bottom, -1, 1), (right, top, -1, -1), (left, top, 1, -1)],
        strict=True,
    ):
        # measured from the sides, so that they are touched exactly
        inwards = 1.0 + unit[k * quarter : (k + 1) * quarter + 1] * (dx, dy)
        corners.append((x, y) + inwards * (dx * radius, dy * radius))
    points = np.concatenate([corners[0][-1:], *corners[1:], corners[0][:-1]])
    # where no straight side is left, the ends of two quarters may miss each other by a rounding
    hair = 4 * np.finfo(np.float64).eps * np.abs(points).max()
    far = np.abs(np.diff(points, axis=0)).max(axis=1) > hair
    points = points[np.concatenate([[True], far])]
    return np.asarray(without_repeats(points, np.array([0, len(points)]))[0])


def regular_polygon(
    centre: ArrayLike, radius: float, *, sides: int, angle: float = 90.0, pen: Pen | None = None
) -> Drawing:
    """A polygon with equal sides and angles.

    Parameters
    ----------
    centre : point
        (x, y) in mm.
    radius : float
        From the centre to the corners in mm, > 0.
    sides : int
        How many, at least 3.
    angle : float, default 90.0
        The direction of the first corner in degrees; upwards by default.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        One closed stroke, counter-clockwise from the first corner.

    Raises
    ------
    InvalidValue
        If an argument is invalid: a radius that is not positive, or fewer than 3 or more than
        100,000 sides.

    Examples
    --------
    >>> round(regular_polygon((0, 0), 1, sides=6).length, 9)
    6.0
    """
    place = checks.point("centre", centre)
    count = checks.whole("sides", sides, low=3, high=100_000)
    return _ring(_corners(checks.positive("radius", radius, unit="mm"), count, angle) + place, pen)


def star(
    centre: ArrayLike,
    radius: float,
    *,
    tips: int = 5,
    inner: float | None = None,
    angle: float = 90.0,
    pen: Pen | None = None,
) -> Drawing:
    """The outline of a star.

    Parameters
    ----------
    centre : point
        (x, y) in mm.
    radius : float
        From the centre to the tips in mm, > 0.
    tips : int, default 5
        How many, at least 2.
    inner : float, optional
        From the centre to the corners between the tips in mm, > 0. Without it the sides that face
        each other across one tip lie on one line, as in the star polygon {tips/2}; this needs at
        least 5 tips.
    angle : float, default 90.0
        The direction of the first tip in degrees; upwards by default.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        One closed stroke, counter-clockwise from the first tip.

    Raises
    ------
    InvalidValue
        If an argument is invalid: a radius that is not positive, fewer than 2 tips (5 without
        ``inner``), or more than 100,000.

    Examples
    --------
    >>> len(star((0, 0), 10, tips=7)[0])
    15
    """
    place = checks.point("centre", centre)
    size = checks.positive("radius", radius, unit="mm")
    count = checks.whole("tips", tips, low=2 if inner is not None else 5, high=100_000)
    aligned = size * math.cos(2 * math.pi / count) / math.cos(math.pi / count)
    between = aligned if inner is None else checks.positive("inner", inner, unit="mm")
    both = _corners(1.0, 2 * count, angle) * np.tile([[size], [between]], (count, 1))
    return _ring(both + place, pen)


def star_polygon(
    centre: ArrayLike,
    radius: float,
    *,
    corners: int = 5,
    step: int = 2,
    angle: float = 90.0,
    pen: Pen | None = None,
) -> Drawing:
    """A star polygon {corners/step}: the corners of a regular polygon, each joined to the one
    ``step`` further.

    Parameters
    ----------
    centre : point
        (x, y) in mm.
    radius : float
        From the centre to the corners in mm, > 0.
    corners, step : int, default 5 and 2
        The two numbers of its Schläfli symbol: at least 3 corners, a step of at least 1 and less
        than half of the corners.
    angle : float, default 90.0
        The direction of the first corner in degrees; upwards by default.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        One closed stroke for each lap that it needs: their greatest common divisor.

    Raises
    ------
    InvalidValue
        If an argument is invalid: a radius that is not positive, or corners or a step out of
        range.

    References
    ----------
    H. S. M. Coxeter, *Regular Polytopes*, 1963, chapter 6 (from memory).

    Examples
    --------
    >>> round(star_polygon((0, 0), 1, corners=7, step=3).length, 9)
    13.648990771
    >>> len(star_polygon((0, 0), 1, corners=6, step=2))
    2
    """
    place = checks.point("centre", centre)
    count = checks.whole("corners", corners, low=3, high=100_000)
    stride = checks.whole("step", step, low=1, high=(count - 1) // 2)
    points = _corners(checks.positive("radius", radius, unit="mm"), count, angle) + place
    laps = math.gcd(count, stride)
    size = count // laps
    order = np.arange(laps)[:, None] + np.arange(size + 1) * stride
    return Drawing.from_arrays(
        points[order.ravel() % count], np.arange(0, laps * (size + 1) + 1, size + 1), pen=pen
    )


def _corners(radius: float, count: int, angle: float) -> FloatArray:
    """Points (count, 2) evenly on a circle around the origin, the first at ``angle`` degrees; exact
    at the quarter turns.
    """
    first = checks.finite("angle", angle, unit="degrees")
    return np.array([affine.cosine_sine(first + 360.0 * k / count) for k in range(count)]) * radius


def _ring(points: FloatArray, pen: Pen | None) -> Drawing:
    closed = np.concatenate([points, points[:1]])
    return Drawing.from_arrays(closed, np.array([0, len(closed)]), pen=pen)
