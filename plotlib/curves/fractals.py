"""Fractal curves: Koch, dragon, Sierpinski."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from plotlib import checks
from plotlib.arrays import affine
from plotlib.curves.lsystem import path
from plotlib.curves.making import apart, laid, single
from plotlib.drawing import Drawing
from plotlib.pen import Pen

_KOCH = {"F": "F+F--F+F"}
_DRAGON = {"l": "l+r+", "r": "-l-r"}
_SIERPINSKI = {"l": "r+l+r", "r": "l-r-l"}


def koch(start: ArrayLike, end: ArrayLike, *, depth: int, pen: Pen | None = None) -> Drawing:
    """The Koch curve: every step has a triangle in its middle third.

    Parameters
    ----------
    start, end : point
        Where it begins and ends, in mm; the triangles are on the left.
    depth : int
        From 0 to 10: it has ``4 ** depth`` steps and is ``(4 / 3) ** depth`` times as long as the
        straight line.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        One stroke.

    Raises
    ------
    InvalidValue
        If both points are equal or not finite, or ``depth`` is out of range.

    References
    ----------
    H. von Koch, *Sur une courbe continue sans tangente*, Arkiv för Matematik 1, 681-704, 1904.

    Examples
    --------
    >>> round(koch((0, 0), (100, 0), depth=4).length, 6)
    316.049383
    """
    first, last = apart(start, end)
    points = path("F", _KOCH, checks.whole("depth", depth, low=0, high=10), angle=60.0, draw="F")
    return single(laid(points, first, last), pen)


def koch_snowflake(
    centre: ArrayLike, radius: float, *, depth: int, angle: float = 90.0, pen: Pen | None = None
) -> Drawing:
    """The Koch snowflake: a triangle whose sides are Koch curves.

    Parameters
    ----------
    centre : point
        (x, y) in mm.
    radius : float
        From the centre to the corners of the triangle in mm, > 0.
    depth : int
        From 0 to 9: it has ``3 * 4 ** depth`` sides.
    angle : float, default 90.0
        The direction of the first corner in degrees; upwards by default.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        One closed stroke, clockwise from the first corner.

    Raises
    ------
    InvalidValue
        If an argument is invalid, or ``depth`` is out of range.

    References
    ----------
    H. von Koch, *Sur une courbe continue sans tangente*, Arkiv för Matematik 1, 681-704, 1904.

    Examples
    --------
    >>> flake = koch_snowflake((50, 50), 40, depth=3)
    >>> len(flake[0]), bool(flake.is_closed[0])
    (193, True)
    """
    place = checks.point("centre", centre)
    size = checks.positive("radius", radius, unit="mm")
    order = checks.whole("depth", depth, low=0, high=9)
    side = 3.0**order
    points = path("F--F--F", _KOCH, order, angle=60.0, draw="F") - (
        side / 2,
        -side * math.sqrt(3) / 6,
    )
    turn = affine.turn(checks.finite("angle", angle, unit="degrees") - 150.0) * (
        size * math.sqrt(3) / side
    )
    return single(affine.apply(np.column_stack([turn, place]), points), pen)


def dragon(start: ArrayLike, end: ArrayLike, *, depth: int, pen: Pen | None = None) -> Drawing:
    """The dragon curve: a strip of paper folded in half again and again, opened to right angles.

    Parameters
    ----------
    start, end : point
        Where it begins and ends, in mm.
    depth : int
        From 0 to 20: it has ``2 ** depth`` steps, none of them twice; its corners touch.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        One stroke; corners that touch are equal bit for bit.

    Raises
    ------
    InvalidValue
        If both points are equal or not finite, or ``depth`` is out of range.

    References
    ----------
    C. Davis, D. E. Knuth, *Number representations and dragon curves*, Journal of Recreational
    Mathematics 3, 1970 (from memory).

    Examples
    --------
    >>> len(dragon((0, 0), (80, 0), depth=10)[0])
    1025
    """
    first, last = apart(start, end)
    points = path("l", _DRAGON, checks.whole("depth", depth, low=0, high=20), angle=90.0, draw="lr")
    return single(laid(points, first, last), pen)


def sierpinski_arrowhead(
    start: ArrayLike, end: ArrayLike, *, depth: int, pen: Pen | None = None
) -> Drawing:
    """The Sierpinski arrowhead curve, which outlines the holes of the Sierpinski triangle.

    Parameters
    ----------
    start, end : point
        The ends of the triangle's side where it begins and ends, in mm; the triangle is on the
        left.
    depth : int
        From 0 to 13: it has ``3 ** depth`` steps.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        One stroke; no point is visited twice.

    Raises
    ------
    InvalidValue
        If both points are equal or not finite, or ``depth`` is out of range.

    References
    ----------
    W. Sierpiński, *Sur une courbe dont tout point est un point de ramification*, Comptes rendus de
    l'Académie des sciences 160, 302-305, 1915 (the triangle; from memory).

    Examples
    --------
    >>> round(sierpinski_arrowhead((0, 0), (64, 0), depth=6).length, 9)
    729.0
    """
    first, last = apart(start, end)
    order = checks.whole("depth", depth, low=0, high=13)
    points = path("r", _SIERPINSKI, order, angle=60.0, draw="lr")
    return single(laid(points, first, last), pen)
