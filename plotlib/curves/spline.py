"""A smooth curve through given points."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from plotlib import checks
from plotlib.arrays.flatten import TOLERANCE
from plotlib.arrays.ragged import meet
from plotlib.checks import FloatArray
from plotlib.curves.bezier import through
from plotlib.curves.making import single
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.pen import Pen


def catmull_rom(
    points: ArrayLike, *, closed: bool = False, tolerance: float = TOLERANCE, pen: Pen | None = None
) -> Drawing:
    """The centripetal Catmull-Rom spline: a smooth curve through all points, without loops or cusps
    between them.

    Parameters
    ----------
    points : array-like (n, 2)
        The points in mm, in order; at least two different ones, for a closed curve three. Repeats
        of a point count once.
    closed : bool, default False
        Whether to return to the first point smoothly.
    tolerance : float, default 0.02
        Greatest distance in mm between the curve and its chords.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        One stroke that contains the points bit for bit. At open ends the curve leaves as if the
        last step went on straight.

    Raises
    ------
    InvalidValue
        If an argument is invalid, there are too few different points, or the curve needs more
        than 5 million points.

    References
    ----------
    C. Yuksel, S. Schaefer, J. Keyser, *Parameterization and applications of Catmull-Rom curves*,
    Computer-Aided Design 43, 2011: with the exponent 1/2 there are neither cusps nor loops within a
    piece.

    Examples
    --------
    >>> path = catmull_rom([(0, 0), (10, 5), (20, 0), (30, 5)])
    >>> path.bounds[0], path.bounds[2]
    (0.0, 30.0)
    """
    given = checks.points("points", points, least=2)
    closed = checks.flag("closed", closed)
    kept = given[np.concatenate([[True], (given[1:] != given[:-1]).any(axis=1)])]
    if closed and len(kept) > 1 and meet(kept[0], kept[-1]):
        kept = kept[:-1]
    if len(kept) < (3 if closed else 2):
        raise InvalidValue(
            f"a{' closed' if closed else ''} spline needs {3 if closed else 2} different points, "
            f"got {len(kept)}",
            name="points",
        )
    return single(
        through(_pieces(_guided(kept, closed)), checks.positive("tolerance", tolerance, unit="mm")),
        pen,
    )


def _guided(points: FloatArray, closed: bool) -> FloatArray:
    """The points with one more at both ends that guides the tangents."""
    if closed:
        return np.concatenate([points[-1:], points, points[:2]])
    return np.concatenate([[2 * points[0] - points[1]], points, [2 * points[-1] - points[-2]]])


def _pieces(p: FloatArray) -> FloatArray:
    """The control points (n - 3, 4, 2) of the curves between neighbours; parameters grow by the
    square root of the distance.
    """
    gap = np.sqrt(np.hypot(*np.diff(p, axis=0).T))[:, None]
    a = gap[:-2]
    b = gap[1:-1]
    c = gap[2:]
    out = (a**2 * p[2:-1] - b**2 * p[:-3] + (2 * a**2 + 3 * a * b + b**2) * p[1:-2]) / (
        3 * a * (a + b)
    )
    back = (c**2 * p[1:-2] - b**2 * p[3:] + (2 * c**2 + 3 * c * b + b**2) * p[2:-1]) / (
        3 * c * (c + b)
    )
    return np.stack([p[1:-2], out, back, p[2:-1]], axis=1)
