"""Circles, ellipses and their parts."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from plotlib import checks
from plotlib.arrays import affine
from plotlib.arrays.flatten import TOLERANCE, chords, circle_chords, unit_arc, unit_circle
from plotlib.arrays.ragged import offsets_of
from plotlib.checks import FloatArray
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.pen import Pen


def circle(
    centre: ArrayLike, radius: float, *, tolerance: float = TOLERANCE, pen: Pen | None = None
) -> Drawing:
    """A circle.

    Parameters
    ----------
    centre : point
        (x, y) in mm.
    radius : float
        In mm, > 0.
    tolerance : float, default 0.02
        Greatest distance in mm between the circle and its chords.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        One closed stroke, counter-clockwise from the rightmost point. The corners lie on the
        circle; their number is ceil(pi / acos(1 - tolerance / radius)), rounded up to a multiple of
        four, so that the bounds are exact.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or ``tolerance`` is so small that the circle needs more
        than 5 million chords.

    Examples
    --------
    >>> circle((60, 60), 40).bounds
    (20.0, 20.0, 100.0, 100.0)
    >>> len(circle((0, 0), 50, tolerance=0.05)[0]) - 1
    72
    """
    place = checks.point("centre", centre)
    size = checks.positive("radius", radius, unit="mm")
    count = int(circle_chords(size, checks.positive("tolerance", tolerance, unit="mm")))
    return _one(unit_circle(count) * size + place, pen)


def circles(
    centres: ArrayLike, radii: ArrayLike, *, tolerance: float = TOLERANCE, pen: Pen | None = None
) -> Drawing:
    """Many circles at once, each as `circle` draws it.

    Parameters
    ----------
    centres : array-like (n, 2)
        Their centres in mm.
    radii : float or array-like (n,)
        Their radii in mm, > 0: one for all, or one each.
    tolerance : float, default 0.02
        Greatest distance in mm between a circle and its chords.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        n closed strokes.

    Raises
    ------
    InvalidValue
        If an argument is invalid, ``radii`` does not fit ``centres`` in number, or the
        circles need more than 5 million chords.

    Examples
    --------
    >>> circles([(0, 0), (30, 0)], [5, 10])
    <Drawing: 2 strokes, 94.2 mm, x -5 to 40, y -10 to 10, pens: pen>
    """
    places = checks.points("centres", centres, least=0)
    sizes = _radii(radii, len(places))
    counts = circle_chords(sizes, checks.positive("tolerance", tolerance, unit="mm")) + 1
    kinds, kind = np.unique(counts, return_inverse=True)
    table = np.concatenate([np.empty((0, 2)), *(unit_circle(int(count) - 1) for count in kinds)])
    offsets = offsets_of(counts)
    rows = np.arange(offsets[-1]) + np.repeat(offsets_of(kinds)[:-1][kind] - offsets[:-1], counts)
    points = table[rows] * np.repeat(sizes, counts)[:, None] + np.repeat(places, counts, axis=0)
    return Drawing.from_arrays(points, offsets, pen=pen)


def ellipse(
    centre: ArrayLike,
    radius_x: float,
    radius_y: float,
    *,
    angle: float = 0.0,
    tolerance: float = TOLERANCE,
    pen: Pen | None = None,
) -> Drawing:
    """An ellipse.

    Parameters
    ----------
    centre : point
        (x, y) in mm.
    radius_x, radius_y : float
        The half axes in mm, > 0, before the ellipse is turned.
    angle : float, default 0.0
        By how many degrees it is turned counter-clockwise about its centre.
    tolerance : float, default 0.02
        Greatest distance in mm between the ellipse and its chords.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        One closed stroke, counter-clockwise.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or ``tolerance`` is so small that the ellipse needs more
        than 5 million chords.

    Examples
    --------
    >>> ellipse((0, 0), 50, 30, angle=90).bounds
    (-30.0, -50.0, 30.0, 50.0)
    """
    place = checks.point("centre", centre)
    across = checks.positive("radius_x", radius_x, unit="mm")
    up = checks.positive("radius_y", radius_y, unit="mm")
    count = int(circle_chords(max(across, up), checks.positive("tolerance", tolerance, unit="mm")))
    turn = affine.turn(checks.finite("angle", angle, unit="degrees"))
    return _one(
        affine.apply(np.column_stack([turn, place]), unit_circle(count) * (across, up)), pen
    )


def arc(
    centre: ArrayLike,
    radius: float,
    *,
    start: float = 0.0,
    sweep: float = 180.0,
    tolerance: float = TOLERANCE,
    pen: Pen | None = None,
) -> Drawing:
    """A part of a circle.

    Parameters
    ----------
    centre : point
        (x, y) in mm.
    radius : float
        In mm, > 0.
    start : float, default 0.0
        Where it begins, in degrees counter-clockwise from the x axis.
    sweep : float, default 180.0
        How far it goes in degrees, at most a full turn; negative goes clockwise.
    tolerance : float, default 0.02
        Greatest distance in mm between the arc and its chords.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        One stroke; closed if ``sweep`` is a full turn.

    Raises
    ------
    InvalidValue
        If an argument is invalid, ``sweep`` is 0 or beyond 360 degrees, or the arc needs more
        than 5 million chords.

    Examples
    --------
    >>> arc((0, 0), 10, start=90, sweep=-90)[0][[0, -1]].tolist()
    [[0.0, 10.0], [10.0, 0.0]]
    """
    place = checks.point("centre", centre)
    points = _arc(
        checks.positive("radius", radius, unit="mm"),
        start,
        _sweep(sweep),
        checks.positive("tolerance", tolerance, unit="mm"),
    )
    return _one(points + place, pen)


def sector(
    centre: ArrayLike,
    radius: float,
    *,
    start: float = 0.0,
    sweep: float = 90.0,
    inner: float = 0.0,
    tolerance: float = TOLERANCE,
    pen: Pen | None = None,
) -> Drawing:
    """A slice of a disc, or of a ring.

    Parameters
    ----------
    centre : point
        (x, y) in mm.
    radius : float
        The outer radius in mm, > 0.
    start, sweep : float, default 0.0 and 90.0
        Where it begins and how far it goes, in degrees counter-clockwise; less than a full turn,
        negative goes clockwise.
    inner : float, default 0.0
        The inner radius in mm, less than ``radius``; 0 for a slice that reaches the centre.
    tolerance : float, default 0.02
        Greatest distance in mm between the arcs and their chords.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        One closed stroke that begins at the start of the inner arc, or at the centre.

    Raises
    ------
    InvalidValue
        If an argument is invalid, ``inner`` is not less than ``radius``, ``sweep`` is 0 or
        not less than 360 degrees, or an arc needs more than 5 million chords.

    Examples
    --------
    >>> sector((0, 0), 10).bounds
    (0.0, 0.0, 10.0, 10.0)
    """
    place = checks.point("centre", centre)
    outer = checks.positive("radius", radius, unit="mm")
    hole = checks.not_negative("inner", inner, unit="mm")
    turn = _sweep(sweep)
    limit = checks.positive("tolerance", tolerance, unit="mm")
    if hole >= outer:
        raise InvalidValue(
            f"inner ({hole:g} mm) must be less than radius ({outer:g} mm)",
            name="inner",
            value=inner,
        )
    if abs(turn) == 360.0:
        raise InvalidValue(
            f"a sector sweeps less than 360 degrees, got {sweep!r}; use circle or circles",
            name="sweep",
            value=sweep,
        )
    away = _arc(outer, start, turn, limit)
    back = _arc(hole, start, turn, limit)[::-1] if hole else np.zeros((1, 2))
    return _one(np.concatenate([back[-1:], away, back]) + place, pen)


def _one(points: FloatArray, pen: Pen | None) -> Drawing:
    return Drawing.from_arrays(points, np.array([0, len(points)]), pen=pen)


def _radii(radii: ArrayLike, count: int) -> FloatArray:
    """One positive radius for each of ``count`` circles."""
    try:
        sizes = np.asarray(radii)
    except ValueError as error:
        raise InvalidValue(
            f"radii must be one number or a list of them, got {radii!r:.80}", name="radii"
        ) from error
    if sizes.ndim == 0:
        return np.full(count, checks.positive("radii", radii, unit="mm"))
    if sizes.dtype.kind not in "iuf" and sizes.size:
        raise InvalidValue(f"radii must hold numbers only, got {sizes.dtype}", name="radii")
    if sizes.shape != (count,):
        raise InvalidValue(
            f"radii must be one number or one for each of the {count} centres, got shape "
            f"{sizes.shape}",
            name="radii",
        )
    good = np.isfinite(sizes) & (sizes > 0) if sizes.size else np.ones(0, np.bool_)
    if not good.all():
        at = int(np.argmin(good))
        raise InvalidValue(
            f"radii: number {at} must be finite and greater than 0 (mm), got {sizes[at]}",
            name="radii",
            index=at,
        )
    return sizes.astype(np.float64)


def _sweep(sweep: float) -> float:
    turn = checks.between("sweep", sweep, -360.0, 360.0, unit="degrees")
    if turn == 0.0:
        raise InvalidValue("sweep must not be 0 (degrees)", name="sweep", value=sweep)
    return turn


def _arc(radius: float, start: float, sweep: float, tolerance: float) -> FloatArray:
    """Points of an arc around the origin; its ends are exact at the quarter turns, a full turn
    closes bit for bit.
    """
    begin = checks.finite("start", start, unit="degrees")
    count = int(chords(radius, math.radians(abs(sweep)), tolerance))
    if abs(sweep) == 360.0:
        count = max(count, 4)
    points = unit_arc(math.radians(begin), math.radians(sweep), count)
    points[0] = affine.cosine_sine(begin)
    points[-1] = affine.cosine_sine(begin + sweep)
    if abs(sweep) == 360.0:
        points[-1] = points[0]
    return points * radius
