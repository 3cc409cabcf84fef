"""Bézier curves."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from plotlib import checks
from plotlib.arrays.flatten import TOLERANCE, cubics
from plotlib.checks import FloatArray
from plotlib.curves.making import single
from plotlib.drawing import Drawing
from plotlib.errors import InvalidValue
from plotlib.pen import Pen


def bezier(
    points: ArrayLike, *, degree: int = 3, tolerance: float = TOLERANCE, pen: Pen | None = None
) -> Drawing:
    """A Bézier curve, or a path of several that share their ends.

    Parameters
    ----------
    points : array-like of shape (degree * k + 1, 2)
        The control points in mm of k curves, one after the other: each begins where the one before
        it ends.
    degree : int, default 3
        3 for cubic curves, 2 for quadratic ones.
    tolerance : float, default 0.02
        Greatest distance in mm between the curve and its chords.
    pen : Pen, optional
        The pen; without it the default one.

    Returns
    -------
    Drawing
        One stroke; the ends of each curve are points of it bit for bit, so a path that returns to
        its first point is closed.

    Raises
    ------
    InvalidValue
        If an argument is invalid, the number of points does not fit the degree, or the curve
        needs more than 5 million points.

    References
    ----------
    G. Farin, *Curves and Surfaces for Computer Aided Geometric Design*, Academic Press 1988 (from
    memory).

    Examples
    --------
    >>> arch = bezier([(0, 0), (0, 10), (10, 10), (10, 0)], tolerance=1e-4)
    >>> round(arch.length, 3)
    20.0
    """
    order = checks.whole("degree", degree, low=2, high=3)
    control = checks.points("points", points, least=order + 1)
    if (len(control) - 1) % order:
        raise InvalidValue(
            f"a path of Bézier curves of degree {order} has {order}k + 1 points ({order + 1}, "
            f"{2 * order + 1}, …), got {len(control)}",
            name="points",
        )
    starts = np.arange(0, len(control) - 1, order)
    pieces = control[starts[:, None] + np.arange(order + 1)]
    return single(
        through(
            raised(pieces) if order == 2 else pieces,
            checks.positive("tolerance", tolerance, unit="mm"),
        ),
        pen,
    )


def raised(quadratics: FloatArray) -> FloatArray:
    """The same curves (m, 3, 2) as cubic ones (m, 4, 2)."""
    a = quadratics[:, 0]
    b = quadratics[:, 1]
    c = quadratics[:, 2]
    return np.stack([a, a + (b - a) * (2 / 3), c + (b - c) * (2 / 3), c], axis=1)


def through(pieces: FloatArray, tolerance: float) -> FloatArray:
    """Cubic curves (m, 4, 2) that follow one another as one polyline."""
    return np.concatenate([pieces[0, :1], cubics(pieces, tolerance)[0]])
