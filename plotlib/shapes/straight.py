"""Dots, straight lines and polylines."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from plotlib import checks
from plotlib.arrays.ragged import meet
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.pen import Pen


def line(start: ArrayLike, end: ArrayLike, *, pen: Pen | None = None) -> Drawing:
    """One straight stroke.

    Parameters
    ----------
    start, end : point
        (x, y) in mm.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        One stroke of two points.

    Raises
    ------
    InvalidValue
        If an end is not a finite point.

    Examples
    --------
    >>> line((0, 0), (30, 40)).length
    50.0
    """
    ends = np.array([checks.point("start", start), checks.point("end", end)])
    return Drawing.from_arrays(ends, np.array([0, 2]), pen=pen)


def lines(starts: ArrayLike, ends: ArrayLike, *, pen: Pen | None = None) -> Drawing:
    """Many straight strokes at once.

    Parameters
    ----------
    starts, ends : array-like (n, 2)
        The points in mm where the strokes begin and end.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        n strokes of two points.

    Raises
    ------
    InvalidValue
        If the arrays differ in length or do not hold finite points.

    Examples
    --------
    >>> rows = range(0, 50, 10)
    >>> lines([(0, y) for y in rows], [(80, y) for y in rows])
    <Drawing: 5 strokes, 400.0 mm, x 0 to 80, y 0 to 40, pens: pen>
    """
    first = checks.points("starts", starts, least=0)
    last = checks.points("ends", ends, least=0)
    if len(first) != len(last):
        raise InvalidValue(
            f"starts and ends must have the same length, got {len(first)} and {len(last)}"
        )
    points = np.stack([first, last], axis=1).reshape(-1, 2)
    return Drawing.from_arrays(points, np.arange(0, len(points) + 1, 2), pen=pen)


def polyline(points: ArrayLike, *, closed: bool = False, pen: Pen | None = None) -> Drawing:
    """One stroke through given points.

    Parameters
    ----------
    points : array-like (n, 2)
        The corners in mm, at least two; at least three for a closed one.
    closed : bool, default False
        Whether to return to the first point; a last point within 1e-6 mm of the first is taken for
        it.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        One stroke.

    Raises
    ------
    InvalidValue
        If there are too few points, or they are not finite.

    Examples
    --------
    >>> polyline([(0, 0), (30, 0), (30, 40)], closed=True).length
    120.0
    """
    closed = checks.flag("closed", closed)
    corners = checks.points("points", points, least=3 if closed else 2)
    if closed and meet(corners[0], corners[-1]):
        corners = corners[:-1]
    corners = np.concatenate([corners, corners[:1]]) if closed else corners.copy()
    return Drawing.from_arrays(corners, np.array([0, len(corners)]), pen=pen)


def dots(points: ArrayLike, *, pen: Pen | None = None) -> Drawing:
    """Dots: the pen goes down and up again.

    Parameters
    ----------
    points : array-like (n, 2)
        Where, in mm; none at all is an empty drawing.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        n strokes of one point.

    Raises
    ------
    InvalidValue
        If ``points`` does not hold finite points.

    Examples
    --------
    >>> len(dots([(0, 0), (5, 0), (5, 5)]))
    3
    """
    places = checks.points("points", points, least=0).copy()
    return Drawing.from_arrays(places, np.arange(len(places) + 1), pen=pen)
